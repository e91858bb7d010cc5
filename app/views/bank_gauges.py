"""What the bars of the bank say: made from the engine's results, with their texts in the habit of units."""

from __future__ import annotations

from dataclasses import dataclass

from engine import units
from engine.design import Bank
from engine.sections.housing import Housing
from engine.sections.storage import BankResult


@dataclass(frozen=True, slots=True)
class Link:
    """One bar of the chain: its name, energy [Wh], its text, and its kind: so far, needed, has."""

    name: str
    energy: float
    text: str
    kind: str


@dataclass(frozen=True, slots=True)
class Tick:
    """A value on a gauge with its text; ``limit`` where it is a bound and no value."""

    at: float
    text: str
    limit: bool = False


@dataclass(frozen=True, slots=True)
class Gauge:
    """A title, what is said beside it, and where ``ticks`` stand between 0 and the greatest of them.

    The good stretch goes from ``low`` to ``high``; either end may be open. Where nothing is ``told``, the
    texts of the ticks are.
    """

    title: str
    told: tuple[str, ...] = ()
    ticks: tuple[Tick, ...] = ()
    low: float | None = None
    high: float | None = None


def chain(result: BankResult, habit: str) -> tuple[Link, ...]:
    """From a day's energy to what is needed, then what is there."""
    size = result.capacity

    def show(value: float) -> str:
        return units.show(value, "Wh", habit, 3)

    links = [
        Link(f"{each.name} {each.why}".strip(), each.energy, show(each.energy), "so far")
        for each in size.chain
    ]
    if links:
        last = links[-1]
        links.append(Link("needed", last.energy, last.text, "needed"))
    if size.installed is not None:
        links.append(Link("installed", size.installed, show(size.installed), "has"))
    if size.usable is not None:
        links.append(Link("usable, new", size.usable, show(size.usable), "has"))
    return tuple(links)


def gauges(bank: Bank, result: BankResult, habit: str, currency: str) -> tuple[Gauge, ...]:
    """Charging, discharging, run time, cold, air and sparks, and money; what is not known is told so."""
    return (
        _charging(bank, result, habit),
        _drawing(bank, result, habit),
        _time(result),
        *_cold(bank, result, habit),
        *_air(bank, result.housing, habit),
        *_money(result, currency),
    )


def _tick(value: float | None, name: str, unit: str, habit: str, *, limit: bool = False) -> tuple[Tick, ...]:
    return (
        () if value is None else (Tick(float(value), f"{name} {units.show(value, unit, habit, 3)}", limit),)
    )


def _charging(bank: Bank, result: BankResult, habit: str) -> Gauge:
    at = result.currents
    ticks = (
        *_tick(at.least, "least", "A", habit, limit=True),
        *_tick(at.sources, "sources", "A", habit),
        *_tick(at.all, "all", "A", habit),
        *_tick(bank.charge_current, "most", "A", habit, limit=True),
    )
    ends = [
        units.show(each, "A", habit, 3) if each is not None else "not entered"
        for each in (at.least or 0.0, bank.charge_current)
    ]
    values = (*_tick(at.sources, "sources", "A", habit), *_tick(at.all, "all", "A", habit))
    told = (f"{ends[0]} to {ends[1]}", *(tick.text for tick in values))
    return Gauge("Charging", told, ticks, at.least, _plain(bank.charge_current))


def _drawing(bank: Bank, result: BankResult, habit: str) -> Gauge:
    ticks = (
        *_tick(result.currents.drawn, "drawn", "A", habit),
        *_tick(bank.discharge_current, "most", "A", habit, limit=True),
    )
    told = () if ticks else ("enter inverters, loads and the largest discharge current",)
    return Gauge("Discharging", told, ticks, None, _plain(bank.discharge_current))


def _plain(value: float | None) -> float | None:
    return None if value is None else float(value)


def _time(result: BankResult) -> Gauge:
    size = result.capacity
    parts = []
    if size.carried is not None:
        parts.append(f"{_hours(size.carried)} when old")
    if size.peak_time is not None:
        parts.append(f"{_hours(size.peak_time)} with all on, new")
    return Gauge("Carries", tuple(parts) or ("enter loads, depth and autonomy",))


def _hours(hours: float) -> str:
    return f"{hours:.3g} h" if hours < 36 else f"{hours / 24:.3g} days"


def _cold(bank: Bank, result: BankResult, habit: str) -> tuple[Gauge, ...]:
    kind = result.chemistry
    if kind is None:
        return ()
    limit = result.freezing if kind.lead else kind.charge_coldest
    if limit is None:
        return ()
    what = "freezes at" if kind.lead else "no charging below"
    here = (
        f"gets down to {units.show(bank.lowest_temperature, 'degC', habit, 2)}"
        if bank.lowest_temperature is not None
        else "enter its lowest temperature"
    )
    return (Gauge("Cold", (f"{what} {units.show(limit, 'degC', habit, 2)}", here)),)


def _air(bank: Bank, house: Housing, habit: str) -> tuple[Gauge, ...]:
    if house.gas is None:
        return ()
    if not house.gas:
        return (Gauge("Air", ("charging makes no gas",)),)
    natural = bank.ventilation == "natural openings"
    need, unit = (house.opening, "cm^2") if natural else (house.airflow, "m^3/h")
    has = bank.vent_opening if natural else bank.vent_airflow
    name = "Opening" if natural else "Air"
    ticks = (*_tick(need, "needed", unit, habit, limit=True), *_tick(has, "has", unit, habit))
    sparks = (
        *_tick(house.distance, "none within", "m", habit, limit=True),
        *_tick(bank.spark_distance, "nearest", "m", habit),
    )
    return (
        Gauge(name, () if ticks else ("enter cells, capacity and ventilation",), ticks, need, None),
        Gauge(
            "Sparks", () if sparks else ("enter the nearest spark or flame",), sparks, house.distance, None
        ),
    )


def _money(result: BankResult, currency: str) -> tuple[Gauge, ...]:
    cost = result.body.cost
    if cost is None:
        return ()
    told = (
        f"a kWh {cost.per_stored:.3g}",
        f"usable {cost.per_usable:.3g}",
        f"cycled {cost.per_cycled:.2g} {currency}".rstrip(),
    )
    return (Gauge("Cost", told),)
