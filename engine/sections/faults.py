"""The prospective fault currents of a circuit: the most at its device, the least at its far end."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from engine.design import Circuit
from engine.physics.battery_current import battery_fault_current
from engine.physics.controller import in_parallel
from engine.physics.wire import wire_resistance
from engine.sections.notes import field
from engine.sections.plans.plan import Plan, Supply
from engine.sections.results import CircuitResult, Missing
from engine.sizes import Size
from engine.tables import OutsideTable
from engine.tables.family import Family
from engine.worksheet import CannotCalculate, Worked, work

COLDEST = -40.0  # degC: conductors before a device, when their resistance limits the current least


def most(
    family: Family, plan: Plan, way: Mapping[str, tuple[CircuitResult, Circuit]], steps: dict[str, Worked]
) -> float | None:
    """At the device [A]: the battery at its strongest behind the coldest conductors, chargers added.

    Conductors of a battery string and those of unknown length count as none.
    """
    if plan.most is None:
        return plan.fault_most
    ohms = 0.0
    for id, shared in plan.way:
        before = way.get(id)
        if before is not None and before[0].kind != "bank":
            ohms += (resistance(family, *before, COLDEST) or 0.0) / shared
    battery = _driven("fault_most", plan.most, ohms, steps)
    if battery is None or plan.most.added <= 0:
        return battery
    total = work(in_parallel, currents=(battery, plan.most.added))
    steps["fault_total"] = total
    return float(total.result.current)


def least(
    family: Family,
    plan: Plan,
    way: Mapping[str, tuple[CircuitResult, Circuit]],
    own: tuple[Size | None, Circuit],
    steps: dict[str, Worked],
) -> tuple[float | None, tuple[Missing, ...]]:
    """At the far end [A]: the battery at its weakest, or what the source gives, through hot conductors.

    Comes with the lengths that it lacks.
    """
    if plan.least is None and plan.fault_least is None:
        return None, ()
    ohms, missing = 0.0, list[Missing]()
    for id, shared in plan.way:
        before = way.get(id)
        if before is None:
            continue
        hot = resistance(family, *before, _hot(before[1]))
        missing += _lacks(before[1]) if hot is None else ()
        ohms += (hot or 0.0) / shared
    size, record = own
    through = None if size is None else _there_and_back(family, size, record, _hot(record))
    if through is None or missing:
        return None, (*missing, *_lacks(record))
    if plan.least is not None:
        return _driven("fault_least", plan.least, ohms + through, steps), ()
    assert plan.fault_least is not None
    if plan.voltage is None or through <= 0:
        return plan.fault_least, ()
    # Half the voltage between lines stands against earth at least, there and back through the conductors.
    return min(plan.fault_least, plan.voltage / 2 / through), ()


def resistance(family: Family, circuit: CircuitResult, record: Circuit, temperature: float) -> float | None:
    """There and back along a circuit [ohm] at a conductor temperature [degC]; ``None`` if not known."""
    if circuit.conductor is None:
        return None
    return _there_and_back(family, circuit.conductor, record, temperature)


def _there_and_back(family: Family, size: Size, record: Circuit, temperature: float) -> float | None:
    if record.length is None:
        return None
    try:
        each = wire_resistance(
            size=size, rules=family, material=str(record.use("material")), temperature=temperature
        ).resistance
    except OutsideTable:
        return None
    return 2 * float(record.length) * each / int(record.use("parallel"))


def _hot(record: Circuit) -> float:
    return float(record.use("insulation"))


def _lacks(record: Circuit) -> tuple[Missing, ...]:
    return () if record.length is not None else (field(f"circuits.{record.id}", record, "length"),)


def _driven(name: str, supply: Supply, ohms: float, steps: dict[str, Worked]) -> float | None:
    worked = _kept(
        battery_fault_current,
        voltage=supply.voltage,
        resistance=supply.resistance,
        series=supply.series,
        strings=supply.strings,
        circuit_resistance=ohms,
    )
    if worked is None:
        return None
    steps[name] = worked
    return float(worked.result.current)


def _kept(formula: Callable[..., Any], **inputs: Any) -> Worked | None:
    try:
        return work(formula, **inputs)
    except (CannotCalculate, OutsideTable, ZeroDivisionError):
        return None
