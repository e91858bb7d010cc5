"""The usual limits of a battery chemistry, from tables chemistry and charge_stages."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from engine.design import Bank
from engine.sections.results import Assumed
from engine.tables import Cell, table
from engine.tables.lookup import exact
from engine.units import show


@dataclass(frozen=True, slots=True)
class Chemistry:
    """Usual limits of a chemistry. Voltages of a cell [V]; ``charge_low`` and ``charge_high`` are currents
    over capacity [1/h], ``charge_coldest`` [degC] the coldest cell that may be charged; ``deepest`` [0..1];
    ``gassing`` names its rows among the gas currents, empty where charging makes no gas."""

    name: str
    lead: bool
    lowest_cell: float
    never_above: float
    charge_low: float | None
    charge_high: float
    charge_coldest: float | None
    strings_advised: int | None
    deepest: float
    peukert: float
    charge_efficiency: float
    energy_efficiency: float
    gassing: str


@cache
def chemistry(name: str) -> Chemistry:
    """The usual limits of a chemistry; ``StopIteration`` for a name that is no chemistry."""
    row = next(row for row in table("chemistry").rows() if row["chemistry"] == name)
    strings = _maybe(row["strings_advised"])
    return Chemistry(
        name=name,
        lead=row["family"] == "lead",
        lowest_cell=_number(row["lowest_cell"]),
        never_above=exact(table("charge_stages"), "chemistry", name, "never_above"),
        charge_low=_maybe(row["charge_low"]),
        charge_high=_number(row["charge_high"]),
        charge_coldest=_maybe(row["charge_coldest"]),
        strings_advised=None if strings is None else int(strings),
        deepest=_number(row["deepest"]) / 100,
        peukert=_number(row["peukert"]),
        charge_efficiency=_number(row["charge_efficiency"]),
        energy_efficiency=_number(row["energy_efficiency"]),
        gassing=str(row["gassing"] or ""),
    )


def _number(cell: Cell) -> float:
    return float(str(cell))


def _maybe(cell: Cell) -> float | None:
    return None if cell is None else float(cell)


TAKEN = ("peukert", "charge_efficiency", "energy_efficiency")
"""The fields of a bank that its chemistry stands in for where nothing is entered."""


def of_chemistry(bank: Bank, name: str) -> float | None:
    """One of ``TAKEN``, as entered, else as usual for the chemistry; ``None`` where neither is known."""
    entered = getattr(bank, name)
    if entered is not None:
        return float(entered)
    return None if bank.chemistry is None else float(getattr(chemistry(bank.chemistry), name))


def taken(bank: Bank, name: str) -> tuple[Assumed, ...]:
    """The note that a field was left to the chemistry; empty where it was entered."""
    if getattr(bank, name) is not None or bank.chemistry is None:
        return ()
    spec, value = Bank.specs()[name], float(getattr(chemistry(bank.chemistry), name))
    return (Assumed(f"bank.{name}", spec.title, show(value, spec.unit), f"usual for {bank.chemistry}"),)
