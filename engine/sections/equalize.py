"""The calendar of equalization over the site's year: on which planned days the sources suffice.

A day suffices where its energy covers that day's demand and what equalizing takes besides. The days of a
month are spread about its mean by draws that are the same on each run.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from engine.design import Design
from engine.physics.equalize import Turn, daily_energies, equalize_calendar, month_of
from engine.sections.balance import Balance
from engine.sections.charging import Charging, usual
from engine.sections.memory import Memory
from engine.sections.notes import Notes
from engine.sections.results import Missing

SPREAD = {"sun": 0.45, "wind": 0.9, "water": 0.0}  # of a day's energy about its month's (own choice)
SEEDS = {"sun": 1, "wind": 2, "water": 3}  # one weather for all arrays, and one for all wind turbines
GRACE = 0  # days, where none is entered
DAYS = 365
MONTH_OF_DAY = tuple(month_of(day) for day in range(DAYS))


@dataclass(frozen=True, slots=True)
class EqualizeYear:
    """The turns of a year; ``need`` [Wh] is what equalizing takes besides a day's demand.

    ``source`` and ``demand`` are energies by month, a day [Wh]. ``missing`` names what the calendar lacks; it
    then has no turns.
    """

    every: int
    grace: int
    turns: tuple[Turn, ...] = ()
    need: float | None = None
    source: tuple[float, ...] = ()
    demand: tuple[float, ...] = ()
    missing: tuple[Missing, ...] = ()

    @property
    def missed(self) -> tuple[Turn, ...]:
        return tuple(turn for turn in self.turns if turn.done is None)

    @property
    def late(self) -> tuple[Turn, ...]:
        return tuple(turn for turn in self.turns if turn.late)

    def months_missed(self) -> tuple[int, ...]:
        """The months, 0 to 11, in which a planned one was missed."""
        return tuple(dict.fromkeys(month_of(turn.planned) for turn in self.missed))

    @property
    def longest_gap(self) -> int:
        """Days from one equalization to the next, the longest; the year goes round."""
        done = [turn.done for turn in self.turns if turn.done is not None]
        if not done:
            return DAYS
        return max(after - before for before, after in zip(done, [*done[1:], done[0] + DAYS], strict=True))


_found: Memory[EqualizeYear] = Memory(64)
_days = lru_cache(maxsize=64)(daily_energies)  # most sources stand while one is edited


def equalize_year(design: Design, charging: Charging, balance: Balance) -> EqualizeYear | None:
    """The calendar of a flooded bank; ``None`` where nothing is planned."""
    bank = design.bank
    if charging.chemistry != "flooded" or bank.equalize_days is None or not charging.stages:
        return None
    return _found.recall((charging, bank, balance), lambda: _year(design, charging, balance))


def _year(design: Design, charging: Charging, balance: Balance) -> EqualizeYear:
    notes, bank = Notes(), design.bank
    every = bank.equalize_days or DAYS
    grace = GRACE if bank.equalize_grace is None else bank.equalize_grace
    need, wanted = _need(charging, notes, design), tuple(month.demand for month in balance.months)
    if not wanted:
        notes.lack(*(balance.missing or (Missing("arrays", "a source"),)))
    if notes.missing or need is None or not wanted:
        return EqualizeYear(every, grace, missing=notes.missing)
    given = (_days(each.bank, SPREAD[each.colour], SEEDS[each.colour]) for each in balance.sources)
    days = map(sum, zip(*given, strict=True))
    enough = [energy >= wanted[month] + need for month, energy in zip(MONTH_OF_DAY, days, strict=True)]
    total = tuple(month.brought for month in balance.months)
    return EqualizeYear(every, grace, equalize_calendar(enough, every, grace), need, total, wanted)


def _need(charging: Charging, notes: Notes, design: Design) -> float | None:
    """What one equalization takes [Wh]: its volts, the most usual current, its hours."""
    stage, share = charging.stage("equalize"), usual("flooded", "equalize_share")
    if charging.capacity is None:
        notes.ask("bank", design.bank, "block_capacity", "strings")
    if stage is None or share is None or charging.capacity is None or charging.equalize_hours is None:
        return None
    return stage.volts * share * charging.capacity * charging.equalize_hours
