"""The nominal voltage of the bank: what the inverters and the sources drive through its cables at each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engine.design import Design
from engine.physics.battery_current import InverterCurrent, inverter_dc_current
from engine.physics.circuit_wire import Duty, least_size
from engine.sections.demand import Demand
from engine.sections.memory import Memory
from engine.sections.notes import Notes, field
from engine.sections.results import ArrayResult, Missing
from engine.sizes import Size
from engine.tables import OutsideTable
from engine.tables.family import Family
from engine.worksheet import CannotCalculate, Worked

NOMINALS = (12.0, 24.0, 48.0)
STEP = 12.0  # V, the voltage class that the limit is stated for
LIMIT = 100.0  # A at 12 V; twice as many at 24 V lose the same share in the same cable
LOWEST = 10.5 / 12  # of the nominal voltage, a lead-acid bank's usual cut-out


@dataclass(frozen=True, slots=True)
class InverterDraw:
    """What all inverters draw at full power and the bank's lowest voltage [A], and the most for that voltage
    class; ``None`` where ``missing`` says what lacks. ``higher`` is the next voltage where it is less."""

    current: float | None
    limit: float
    higher: float | None
    missing: tuple[Missing, ...] = ()
    step: Worked | None = None


@dataclass(frozen=True, slots=True)
class Choice:
    """One nominal voltage: currents of inverters and of arrays [A], the least cable of the inverters, and
    whether the inverters' current suits it."""

    nominal: float
    inverters: float | None
    cable: Size | None
    charging: float | None
    suits: bool | None


_draws: Memory[InverterDraw] = Memory(64)
_choices: Memory[tuple[Choice, ...]] = Memory(64)


def inverter_draw(design: Design, family: Family) -> InverterDraw | None:
    """All inverters at once on the bank as it is; ``None`` without inverters or nominal voltage."""
    bank = design.bank
    if not design.inverters or bank.voltage is None:
        return None
    made_from = (family, design.inverters, bank.voltage, bank.lowest_voltage)
    return _draws.recall(made_from, lambda: _draw(design, family))


def _draw(design: Design, family: Family) -> InverterDraw:
    bank = design.bank
    nominal = float(bank.voltage or 0.0)
    limit, higher = current_limit(nominal), next_voltage(nominal)
    notes = Notes()
    for inverter in design.inverters:
        notes.ask(f"inverters.{inverter.id}", inverter, "power", "efficiency")
    lowest = _lowest(design)
    if lowest is None:
        notes.ask("bank", bank, "lowest_voltage")
    power, efficiency = _inverters(design)
    if notes.missing or lowest is None or power is None or efficiency is None:
        return InverterDraw(None, limit, higher, notes.missing)
    found = notes.work(
        "current",
        field("bank", bank, "lowest_voltage"),
        inverter_dc_current,
        power=power,
        efficiency=efficiency,
        lowest_voltage=lowest,
        rules=family,
    )
    current = found.current if isinstance(found, InverterCurrent) else None
    return InverterDraw(current, limit, higher, notes.missing, notes.steps.get("current"))


def choices(
    design: Design, family: Family, demand: Demand, arrays: Mapping[str, ArrayResult]
) -> tuple[Choice, ...]:
    """The usual nominal voltages side by side, for the inverters entered, else for what runs together."""
    made_from = (family, design.inverters, design.bank.voltage, design.bank.lowest_voltage, demand, arrays)
    return _choices.recall(made_from, lambda: _choose(design, family, demand, arrays))


def _choose(
    design: Design, family: Family, demand: Demand, arrays: Mapping[str, ArrayResult]
) -> tuple[Choice, ...]:
    power, efficiency = _inverters(design)
    if power is None and not design.inverters:
        power, efficiency = demand.peak_ac_w or None, 0.85
    watts = [result.power for result in arrays.values()]
    charging = sum(each for each in watts if each is not None) if watts and None not in watts else None
    lowest, voltage = _lowest(design), design.bank.voltage
    low = lowest / float(voltage) if lowest and voltage else LOWEST
    found = []
    for nominal in NOMINALS:
        amps = None if not power or not efficiency else power / efficiency / (low * nominal)
        suits = None if amps is None else amps <= current_limit(nominal)
        found.append(Choice(nominal, amps, _cable(amps, family), charging and charging / nominal, suits))
    return tuple(found)


def current_limit(nominal: float) -> float:
    """The most that inverters should draw at a nominal voltage [A]: 100 A for each 12 V of it."""
    return LIMIT * max(1, round(nominal / STEP))


def next_voltage(nominal: float) -> float | None:
    """The next usual nominal voltage above one."""
    return next((each for each in NOMINALS if each > 1.2 * nominal), None)


def _lowest(design: Design) -> float | None:
    """The lowest voltage at which an inverter can still run: the bank's, or its own cut-out below it [V]."""
    ends = [design.bank.lowest_voltage, *(inverter.lowest_voltage for inverter in design.inverters)]
    return min((float(end) for end in ends if end is not None), default=None)


def _inverters(design: Design) -> tuple[float | None, float | None]:
    """The power of all inverters together, and what of it reaches their output; ``None`` where not known."""
    known = [(item.power, item.efficiency) for item in design.inverters]
    if not known or any(power is None or efficiency is None for power, efficiency in known):
        return None, None
    pairs = [(float(power or 0), float(efficiency or 1)) for power, efficiency in known]
    power = sum(power for power, _ in pairs)
    return power, power / sum(power / efficiency for power, efficiency in pairs)


def _cable(amps: float | None, family: Family) -> Size | None:
    """The least copper cable for a continuous current in 30 degC, one circuit, if one carries it."""
    if not amps:
        return None
    try:
        return least_size(Duty(current=amps), family).size
    except (CannotCalculate, OutsideTable):
        return None
