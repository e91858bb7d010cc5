"""The balance: what all sources bring in a day of each month against what the loads take, at the battery."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import partial

from engine.design import Design, Generator, label
from engine.physics.chain import GeneratorHours, energy_chain, generator_hours
from engine.sections.demand import Demand
from engine.sections.hydro import HOURS
from engine.sections.memory import Memory
from engine.sections.notes import Notes
from engine.sections.results import Assumed, Missing
from engine.sections.source_yield import MONTHS, SourceYield, charging
from engine.worksheet import Worked

DAYS = tuple(hours / 24 for hours in HOURS)

_found: Memory[Balance] = Memory(64)


@dataclass(frozen=True, slots=True)
class BalanceMonth:
    """The mean day of a month at the battery [Wh]: what each source brings, in their order, and the loads.

    ``generator`` [h a day] closes what is short; ``None`` where nothing is known to close it.
    """

    name: str
    sources: tuple[float, ...]
    demand: float
    generator: float | None = 0.0
    made: float = 0.0

    @property
    def brought(self) -> float:
        return sum(self.sources)

    @property
    def surplus(self) -> float:
        return self.brought - self.demand

    @property
    def ratio(self) -> float:
        """What the sources bring over what the loads take."""
        return self.brought / self.demand if self.demand > 0 else float("inf")


@dataclass(frozen=True, slots=True, eq=False)
class Balance:
    """The twelve months; none where a datum is missing.

    ``worst`` is the month (0 to 11) in which the sum of all sources covers least of the loads. ``generator``
    is the one that is reckoned with, the strongest at its charger; ``hours`` [h] and ``made`` [Wh] are of a
    year, ``cost`` in the designer's money, ``None`` without a price.
    """

    sources: tuple[SourceYield, ...] = ()
    months: tuple[BalanceMonth, ...] = ()
    worst: int | None = None
    generator: str = ""
    hours: float = 0.0
    made: float = 0.0
    cost: float | None = None
    currency: str = ""
    missing: tuple[Missing, ...] = ()
    generator_missing: tuple[Missing, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)

    @property
    def short(self) -> tuple[BalanceMonth, ...]:
        """The months whose sources bring less than the loads take."""
        return tuple(month for month in self.months if month.surplus < -1e-9 * month.demand)

    def worst_of(self, source: int) -> int:
        """The month (0 to 11) in which one source brings least of the loads."""
        return min(range(12), key=lambda at: _over(self.months[at].sources[source], self.months[at].demand))

    @property
    def year(self) -> float:
        """What the sources bring over what the loads take, in a whole year."""
        brought = sum(month.brought * days for month, days in zip(self.months, DAYS, strict=False))
        taken = sum(month.demand * days for month, days in zip(self.months, DAYS, strict=False))
        return _over(brought, taken)


def balance(design: Design, sources: tuple[SourceYield, ...], demand: Demand) -> Balance:
    """The balance of a design; the same object while sources, demand, bank, generators and prices stay."""
    made_from = (*sources, demand, design.bank, design.generators, design.prices)
    return _found.recall(made_from, partial(_balance, design, sources, demand))


def _balance(design: Design, sources: tuple[SourceYield, ...], demand: Demand) -> Balance:
    notes = Notes()
    for source in sources:
        notes.lack(*source.missing)
        notes.suppose(*source.assumed)
    taken = demand.bank_wh
    notes.suppose(*demand.assumed)
    if taken is None:
        notes.lack(*demand.missing)
    if taken is None or not sources or not all(source.months for source in sources):
        return Balance(sources, missing=notes.missing, assumed=notes.assumed)
    closer, lacking = _closer(design, notes)
    months = []
    for at, (name, need) in enumerate(zip(MONTHS, taken, strict=True)):
        brought = tuple(source.months[at].bank for source in sources)
        gap = need - sum(brought)
        run: GeneratorHours | None = None
        if gap > 1e-9 * need and closer is not None:
            run = notes.keep(f"generator {at}", generator_hours, deficit=gap, **closer[1])
        closed = 0.0 if gap <= 1e-9 * need else None if run is None else run.time
        months.append(BalanceMonth(name, brought, need, closed, 0.0 if run is None else run.made))
    worst = min(range(12), key=lambda at: months[at].ratio)
    for number, source in enumerate(sources):
        chain = source.months[worst]
        notes.keep(f"chain {number}", energy_chain, given=chain.given, factors=chain.factors)
    made = sum(month.made * days for month, days in zip(months, DAYS, strict=True))
    price = design.prices.generator_kwh
    return Balance(
        sources,
        tuple(months),
        worst,
        "" if closer is None else closer[0],
        sum((month.generator or 0.0) * days for month, days in zip(months, DAYS, strict=True)),
        made,
        None if price is None else float(price) * made / 1000,
        design.prices.currency or "",
        notes.missing,
        lacking,
        notes.assumed,
        notes.steps,
    )


def _closer(design: Design, notes: Notes) -> tuple[tuple[str, dict[str, float]] | None, tuple[Missing, ...]]:
    """The generator that gives most at the battery, with the inputs of its hours; else what they lack."""
    found: list[tuple[float, str, dict[str, float]]] = []
    lacking = Notes()
    for generator in design.generators:
        given = _charger(design, generator, lacking)
        if given is None:
            continue
        notes.assume(f"generators.{generator.id}", generator, "charger_efficiency")
        given["given_back"] = charging(design, notes).share
        into = generator_hours(deficit=1.0, **given).power_counted
        found.append((into, label(generator), given))
    if not found:
        return None, lacking.missing
    _, name, given = max(found, key=lambda each: each[0])
    return (name, given), ()


def _charger(design: Design, generator: Generator, lacking: Notes) -> dict[str, float] | None:
    path = f"generators.{generator.id}"
    known = lacking.ask(path, generator, "charger_current", "power")
    known &= lacking.ask("bank", design.bank, "voltage")
    if not known:
        return None
    return {
        "charger_current": float(generator.charger_current or 0.0),
        "voltage": float(design.bank.voltage or 0.0),
        "power": float(generator.power or 0.0),
        "charger_efficiency": float(generator.use("charger_efficiency")),
    }


def _over(brought: float, taken: float) -> float:
    return brought / taken if taken > 0 else float("inf")
