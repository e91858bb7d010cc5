"""The capacity that a bank needs, link by link, against what its blocks make up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from engine.design import Bank, Design
from engine.physics.battery import battery_bank, battery_capacity, battery_runtime
from engine.sections.chemistry import chemistry, of_chemistry, taken
from engine.sections.demand import Demand
from engine.sections.heaviest_hour import heaviest_hour
from engine.sections.heaviest_run import heaviest_run
from engine.sections.notes import Notes
from engine.sections.notes import field as named
from engine.sections.results import Assumed, Missing
from engine.tables import table
from engine.tables.lookup import linear
from engine.units import show
from engine.worksheet import Worked

LITHIUM_HOURS = 20.0  # h: the longest, so the strictest, of the usual ratings of lithium packs (from memory)
SAME = 1e-6  # relative: nominal voltages are printed rounded


@dataclass(frozen=True, slots=True)
class Stage:
    """One link from a day of the heaviest month to the bank that is needed: name, factor, energy [Wh]."""

    name: str
    why: str
    energy: float


@dataclass(frozen=True, slots=True)
class Capacity:
    """Energies [Wh] at nominal voltage; ``None`` where a datum of ``missing`` lacks.

    ``capacity`` [Ah] and ``installed`` are rated, ``usable`` goes to the allowed depth, new and warm.
    ``needed`` is the end of ``chain``, ``needed_new`` the same without ageing, ``needed_strings`` of the
    blocks at hand. ``carried`` [h] without sources in the heaviest month at the end of life, ``carried_new``
    when new, both in a run of days of use as long as the autonomy. ``rate_share`` is what is left of the
    rated capacity at ``heaviest`` [A], the current of the heaviest hour on a day of use; ``peak_time`` [h]
    from full to the allowed depth with everything running.
    ``whole`` says whether the blocks in series make up the nominal voltage.
    """

    whole: bool | None = None
    capacity: float | None = None
    installed: float | None = None
    usable: float | None = None
    needed: float | None = None
    needed_new: float | None = None
    needed_strings: int | None = None
    chain: tuple[Stage, ...] = ()
    carried: float | None = None
    carried_new: float | None = None
    rate_share: float | None = None
    heaviest: float | None = None
    peak_time: float | None = None
    missing: tuple[Missing, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)


def capacity(design: Design, demand: Demand) -> Capacity:
    """What is installed, and, where loads are entered, what is needed."""
    bank, notes = design.bank, Notes()
    whole, rated, installed = _installed(bank)
    known: dict[str, object] = {}
    usable = installed * float(bank.depth) if installed is not None and bank.depth is not None else None
    if design.loads:
        known = _needed(design, demand, notes, rated)
    return Capacity(
        whole=whole,
        capacity=rated,
        installed=installed,
        usable=usable,
        missing=notes.missing,
        assumed=notes.assumed,
        steps=notes.steps,
        **known,  # type: ignore[arg-type]  # each value has the type of its field
    )


def _installed(bank: Bank) -> tuple[bool | None, float | None, float | None]:
    """Whether the series makes up the voltage, the rated capacity [Ah] and energy [Wh]."""
    whole = rated = installed = None
    if bank.voltage is not None and bank.block_voltage is not None and bank.series is not None:
        whole = abs(bank.series * bank.block_voltage - bank.voltage) <= SAME * bank.voltage
    if bank.block_capacity is not None and bank.strings is not None:
        rated = float(bank.block_capacity) * bank.strings
        installed = rated * float(bank.voltage) if bank.voltage is not None else None
    return whole, rated, installed


def _needed(design: Design, demand: Demand, notes: Notes, rated: float | None) -> dict[str, object]:
    """The chain of what is needed, and how long the bank carries the loads."""
    bank, month = design.bank, demand.worst_month
    notes.ask(
        "bank",
        bank,
        *("chemistry", "voltage", "depth", "autonomy"),
        *("block_voltage", "block_capacity", "strings", "series"),
    )
    notes.assume("bank", bank, "end_of_life")
    run = heaviest_run(design, demand)
    mean = None if demand.bank_wh is None or month is None else demand.bank_wh[month]
    daily = None if run.bank_wh is None else max(run.bank_wh)
    if mean is None or daily is None:
        notes.lack(*demand.missing)
    cold = _cold(bank, notes)
    share, heaviest = _rate(design, demand, notes, rated)
    if notes.missing or mean is None or daily is None or cold is None or share is None:
        return {"rate_share": share, "heaviest": heaviest}
    depth, autonomy, voltage = _float(bank.depth), _float(bank.autonomy), _float(bank.voltage)
    age = float(bank.use("end_of_life"))
    found = notes.work(
        "capacity",
        named("bank", bank, "depth"),
        battery_capacity,
        daily_energy=daily,
        autonomy=autonomy,
        depth=depth,
        voltage=voltage,
        temperature_multiplier=cold,
        rate_share=share,
        end_of_life=age,
    )
    if found is None or rated is None:
        return {"rate_share": share, "heaviest": heaviest}
    needed, day = float(found.energy), daily / 24
    held = rated * voltage / cold * depth * share
    blocks = None
    if bank.block_capacity is not None and bank.block_voltage is not None and found.capacity > 0:
        blocks = notes.keep(
            "blocks",
            battery_bank,
            capacity=found.capacity,
            block_capacity=bank.block_capacity,
            block_voltage=bank.block_voltage,
            voltage=voltage,
        )
    return {
        "needed": needed,
        "needed_new": needed * age,
        "needed_strings": None if blocks is None else blocks.parallel,
        "chain": _chain(mean, daily, autonomy, depth, cold, share, age),
        "carried": held * age / day if day > 0 else None,
        "carried_new": held / day if day > 0 else None,
        "rate_share": share,
        "heaviest": heaviest,
        "peak_time": _peak(design, demand, notes, held / voltage, rated),
    }


def _float(value: float | None) -> float:
    assert value is not None  # asked for before
    return float(value)


def _cold(bank: Bank, notes: Notes) -> float | None:
    """What the coldest battery needs more; never less than at 25 degC."""
    if not notes.ask("bank", bank, "lowest_temperature") or bank.chemistry is None:
        return None
    held = table(f"{'battery' if chemistry(bank.chemistry).lead else 'lithium'}_temperature_multiplier")
    lowest, rows = _float(bank.lowest_temperature), held.numbers("temp_C")
    if lowest < min(rows):
        blame = named("bank", bank, "lowest_temperature")
        told = f"{blame.title} (the table of what a cold bank gives ends at {min(rows):g} degC)"
        notes.lack(Missing(blame.path, told))
        return None
    return linear(held, "temp_C", min(lowest, max(rows)), "multiplier")


def _rate(
    design: Design, demand: Demand, notes: Notes, rated: float | None
) -> tuple[float | None, float | None]:
    """What the heaviest hour's current leaves of the rated capacity, and that current [A].

    A rating over more hours than the loads take promises more than they get. A milder current gives no more
    than the rating here, whatever Peukert's law says.
    """
    bank, month = design.bank, demand.worst_month
    exponent = of_chemistry(bank, "peukert")
    if exponent is None or bank.chemistry is None:
        return None, None
    hours = bank.capacity_hours
    if hours is None and chemistry(bank.chemistry).lead:
        notes.ask("bank", bank, "capacity_hours")
        return None, None
    if hours is None:
        told = Assumed(
            "bank.capacity_hours", Bank.specs()["capacity_hours"].title, "20 h", "the strictest usual"
        )
        notes.suppose(told)
    notes.suppose(*taken(bank, "peukert"))
    watts = None if month is None else heaviest_hour(design, demand, month)
    if watts is None or rated is None or bank.voltage is None:
        return None, None
    heaviest = watts * (1 + demand.growth) / float(bank.voltage)
    if heaviest <= 0:
        return 1.0, heaviest
    found = notes.work(
        "rate",
        named("bank", bank, "capacity_hours"),
        battery_runtime,
        capacity=rated,
        rated_time=hours or LITHIUM_HOURS,
        current=heaviest,
        exponent=exponent,
    )
    return (None if found is None else min(1.0, found.delivered / rated)), heaviest


def _chain(
    mean: float, daily: float, autonomy: float, depth: float, cold: float, share: float, age: float
) -> tuple[Stage, ...]:
    """The links in order, each with the energy so far."""
    links = (
        *((("days of use", f"× {daily / mean:.3g}", daily / mean),) if daily > mean * (1 + SAME) else ()),
        ("autonomy", _time(autonomy), autonomy / 24),
        ("depth", show(depth, "%"), 1 / depth),
        ("cold", f"× {cold:.3g}", cold),
        ("rate", show(share, "%", "metric", 3), 1 / share),
        ("age", show(age, "%"), 1 / age),
    )
    stages = [Stage("a day", "", mean)]
    for name, why, factor in links:
        stages.append(Stage(name, why, stages[-1].energy * factor))
    return tuple(stages)


def _time(hours: float) -> str:
    return f"{hours:.3g} h" if hours < 36 else f"{hours / 24:.3g} days"


def _peak(design: Design, demand: Demand, notes: Notes, held: float, rated: float) -> float | None:
    """Time to the allowed depth with everything running [h]; ``held`` [Ah] counts cold and the usual rate."""
    bank, ac, dc = design.bank, demand.peak_ac_w, demand.peak_dc_w
    exponent = of_chemistry(bank, "peukert")
    lowest, shares = (
        bank.lowest_voltage,
        [float(each.efficiency) for each in design.inverters if each.efficiency],
    )
    if ac is None or dc is None or lowest is None or exponent is None or (ac > 0 and not shares):
        return None
    current = (ac / min(shares, default=1.0) + dc) / float(lowest)
    if current <= 0:
        return None
    found = notes.keep(
        "peak",
        battery_runtime,
        capacity=rated,
        rated_time=float(bank.capacity_hours or LITHIUM_HOURS),
        current=current,
        exponent=exponent,
    )
    return None if found is None else min(held / current, float(found.time) * float(bank.depth or 0.0))
