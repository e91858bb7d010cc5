"""What a source brings by month, as a chain of named links from what it is given to the battery."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import prod

from engine.design import Design
from engine.sections.chemistry import of_chemistry, taken
from engine.sections.notes import Notes
from engine.sections.results import Assumed, Missing
from engine.tables import table
from engine.units import show
from engine.worksheet import Worked

MONTHS = "January February March April May June July August September October November December".split()


@dataclass(frozen=True, slots=True)
class Link:
    """One link of a chain: what it is and the share of the energy that it passes."""

    name: str
    share: float


@dataclass(frozen=True, slots=True)
class Chain:
    """A day of one month [Wh]: what a source is given, its links, and what counts at the battery."""

    given: float
    links: tuple[Link, ...]

    @property
    def factors(self) -> tuple[float, ...]:
        return tuple(link.share for link in self.links)

    @property
    def bank(self) -> float:
        return self.given * prod(self.factors)


@dataclass(frozen=True, slots=True)
class SourceYield:
    """One source by month; ``months`` is empty where a datum is missing.

    ``begins`` says where its chain begins, ``colour`` is sun, wind or water; ``steps`` are named by the
    number of the month (0 to 11).
    """

    path: str
    label: str
    colour: str
    begins: str
    months: tuple[Chain, ...] = ()
    missing: tuple[Missing, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)

    @property
    def bank(self) -> tuple[float, ...]:
        """What counts at the battery, a day of each month [Wh]."""
        return tuple(month.bank for month in self.months)


def charging(design: Design, notes: Notes) -> Link:
    """What the battery gives back of its charge, as entered, else by its chemistry, else the least."""
    bank = design.bank
    known = of_chemistry(bank, "energy_efficiency")
    notes.suppose(*taken(bank, "energy_efficiency"))
    if known is not None:
        return Link("charging", known)
    least = min(table("chemistry").numbers("energy_efficiency"))
    told, why = show(least, "%"), "the least of all chemistries"
    notes.suppose(Assumed("bank.chemistry", "Charging the battery gives back", told, why))
    return Link("charging", least)
