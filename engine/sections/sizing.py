"""The conductor of one circuit: the least size that passes every check, or the fixed one against them all.

Pure and remembered: the same demand has the same answer, so that an edit elsewhere costs nothing here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache

from engine.physics.ampacity import ampacity_sizes, wire_ampacity
from engine.physics.circuit_wire import Check as Checked
from engine.physics.circuit_wire import Duty, governing, wire_checks, wire_for_circuit
from engine.physics.devices import device_limit, limit_for
from engine.physics.fault import fault_withstand
from engine.physics.wire import voltage_drop
from engine.sections.laying import Laying
from engine.sections.results import Check
from engine.sizes import Size, parse_size
from engine.tables import OutsideTable
from engine.tables.family import Family
from engine.worksheet import CannotCalculate, Worked, work

WORKING_TEMPERATURE = 75.0  # degC: a loaded conductor, for its drop
LEAST_PARALLEL = parse_size("1/0 AWG")  # NEC 310.10(G), before 2020 310.10(H) (from memory)


@dataclass(frozen=True, slots=True)
class Demand:
    """What a circuit asks of its conductor.

    ``current`` [A] is what the rules take as the current of the whole circuit, ``device`` [A] the device that
    guards it (``None`` for the standard one), ``protected`` false where no device is needed and ``reverse``
    [A] then flows back unhindered. ``length`` [m], ``running_current`` [A] and ``running_voltage`` [V] make
    the drop, ``allowed`` a fraction; ``phases`` is 3 where three conductors carry the load. ``fault`` [A]
    flows for ``fault_time`` [s] until a device breaks it. ``pinned`` is the size that the designer fixed;
    where ``continuous`` is true the family's factor comes on top of the current.
    """

    family: Family
    laying: Laying
    current: float
    device: float | None
    protected: bool
    reverse: float
    length: float | None
    running_current: float | None
    running_voltage: float | None
    allowed: float
    pinned: Size | None
    continuous: bool = True
    phases: int = 1
    fault: float | None = None
    fault_time: float = 0.0


@dataclass(frozen=True, slots=True)
class Sized:
    """A conductor with the reasons for it; ``refused`` names a field of the circuit and what it must be.

    ``by_rule`` is the least size without regard to the drop, ``baseline`` the one that an earthing conductor
    grows from where that is another; ``ampacity`` and ``largest`` [A] are those of all parallel conductors
    together. Without size and refusal no size of the table is enough: the largest fails ``governed_by``.
    """

    size: Size | None = None
    checks: tuple[Check, ...] = ()
    governed_by: str = ""
    smaller: Size | None = None
    smaller_fails: str = ""
    by_rule: Size | None = None
    baseline: Size | None = None
    ampacity: float | None = None
    largest: float | None = None
    drop: float | None = None
    drop_fraction: float | None = None
    loss: float | None = None
    refused: tuple[str, str] | None = None
    steps: Mapping[str, Worked] = field(default_factory=dict)


@lru_cache(maxsize=512)
def choose(demand: Demand) -> Sized:
    """The conductor for a demand. Where no size keeps the drop, the largest that the table has."""
    lies = demand.laying
    loaded = 2 if demand.family.sizes == "awg" else lies.conductors
    sizes = ampacity_sizes(demand.family, lies.material, lies.insulation, loaded, lies.method)
    try:
        if not sizes:
            _ampacity(demand, LEAST_PARALLEL)  # says which field has no table
        return _first(demand, sizes) if demand.pinned is None else _fixed(demand, demand.pinned, sizes)
    except CannotCalculate as error:
        return Sized(size=demand.pinned, refused=(error.name, error.need))
    except OutsideTable as error:
        if demand.pinned is not None and error.column == "size":
            return Sized(size=demand.pinned, refused=("size", error.need))
        return Sized(size=demand.pinned)


def _first(demand: Demand, sizes: tuple[Size, ...]) -> Sized:
    """The first size that passes everything, else the largest if only the drop is against it."""
    by_rule, duty = None, _duty(demand)
    for size in sizes:
        if by_rule is None and not _carries(_ruled(size, duty, demand.family)):
            continue  # fault and drop can't mend that
        checks = _checks(demand, size)
        if by_rule is None and _carries(checks):
            by_rule = size
        if by_rule is not None and (size is sizes[-1] or all(check.ok for check in checks)):
            return _told(demand, size, checks, sizes, by_rule)
    return Sized(governed_by=governing(_checks(demand, sizes[-1])) if sizes else "")


def _fixed(demand: Demand, size: Size, sizes: tuple[Size, ...]) -> Sized:
    checks = _checks(demand, size)
    by_rule = next((each for each in sizes if _carries(_checks(demand, each))), None)
    return _told(demand, size, checks, sizes, by_rule)


def _carries(checks: tuple[Checked, ...]) -> bool:
    return all(check.ok for check in checks if check.name != "drop")


def _duty(demand: Demand) -> Duty:
    lies = demand.laying
    return Duty(
        current=demand.current,
        continuous=demand.continuous,
        terminal=lies.terminal,
        insulation=lies.insulation,
        ambient=lies.ambient,
        conductors=lies.conductors,
        circuits=lies.circuits,
        material=lies.material,
        method=lies.method,
        device=demand.device,
        protected=demand.protected,
        parallel=lies.parallel,
    )


@lru_cache(maxsize=4096)
def _ruled(size: Size, duty: Duty, family: Family) -> tuple[Checked, ...]:
    """The checks of the rules, remembered: they stand while a length or a fault current is moved."""
    return wire_checks(size, duty, family)


def _checks(demand: Demand, size: Size) -> tuple[Checked, ...]:
    """Every check of one size: those of the rules, the heat of a fault, and the drop."""
    lies = demand.laying
    checks = list(_ruled(size, _duty(demand), demand.family))
    if demand.reverse > 0:
        carried = next(check.capacity for check in checks if check.name == "ampacity")
        checks.append(_check("reverse current", carried, demand.reverse, "A"))
    if lies.parallel > 1 and demand.family.sizes == "awg":
        checks.append(_check("parallel", size.area_mm2, LEAST_PARALLEL.area_mm2, "mm^2"))
    heated = _heated(demand, size)
    if heated is not None:
        checks.append(_check("fault", size.area_mm2, heated.result.minimum_area, "mm^2"))
    dropped = _drop(demand, size)
    if dropped is not None:
        checks.append(_check("drop", demand.allowed, dropped.result.fraction, "%"))
    return tuple(checks)


def _check(name: str, capacity: float, need: float, unit: str) -> Checked:
    return Checked(name, capacity, need, unit, need <= capacity * (1 + 1e-9))


def _drop(demand: Demand, size: Size) -> Worked | None:
    """The running drop along one of the parallel conductors; ``None`` where a datum is missing."""
    length, current, voltage = demand.length, demand.running_current, demand.running_voltage
    if length is None or current is None or voltage is None:
        return None
    return work(
        voltage_drop,
        length=length,
        current=current / demand.laying.parallel,
        voltage=voltage,
        size=size,
        conductors=3 if demand.phases == 3 else 2,
        material=demand.laying.material,
        temperature=WORKING_TEMPERATURE,
        rules=demand.family,
    )


def _heated(demand: Demand, size: Size) -> Worked | None:
    """The heat of a fault in one of the parallel conductors; their insulation as thermoplastic, the stricter.

    ``None`` where no fault current is known.
    """
    if demand.fault is None or demand.fault_time <= 0:
        return None
    return work(
        fault_withstand,
        size=size,
        material=demand.laying.material,
        insulation=demand.laying.insulation,
        compound="thermoplastic",
        fault_current=demand.fault / demand.laying.parallel,
        time=demand.fault_time,
    )


def _ampacity(demand: Demand, size: Size) -> Worked:
    lies = demand.laying
    return work(
        wire_ampacity,
        size=size,
        insulation=lies.insulation,
        material=lies.material,
        ambient=lies.ambient,
        conductors=lies.conductors,
        circuits=lies.circuits,
        method=lies.method,
        rules=demand.family,
    )


def _told(
    demand: Demand, size: Size, checks: tuple[Checked, ...], sizes: tuple[Size, ...], by_rule: Size | None
) -> Sized:
    """A size with its reasons: what the next one down fails, the device it allows, its drop."""
    lies = demand.laying
    smaller = next((each for each in reversed(sizes) if each.area_mm2 < size.area_mm2), None)
    against = () if smaller is None else _checks(demand, smaller)
    fails = governing(against) if any(not check.ok for check in against) else ""
    tightest = min(checks, key=lambda check: check.capacity / check.need if check.need else 1e9).name
    chosen = demand.pinned is None and all(check.ok for check in checks)
    governed = (fails or "smallest") if chosen else tightest
    ampacity, drop = _ampacity(demand, size), _drop(demand, size)
    carried = ampacity.result.ampacity * lies.parallel
    steps = {"ampacity": ampacity, **_conductor_step(demand, by_rule)}
    if lies.parallel == 1:
        inputs = dict(ampacity.inputs)
        steps["device_largest"] = work(device_limit, **inputs, terminal=lies.terminal)
    if drop is not None:
        steps["drop"] = drop
    heated = _heated(demand, size)
    if heated is not None:
        steps["fault_withstand"] = heated
    return Sized(
        size=size,
        checks=tuple(Check(*check) for check in checks),
        governed_by=governed,
        smaller=smaller,
        smaller_fails=fails,
        by_rule=by_rule,
        ampacity=carried,
        largest=limit_for(
            demand.family,
            size,
            lies.material,
            carried,
            insulation=lies.insulation,
            terminal=lies.terminal,
            parallel=lies.parallel,
        ).at_terminals
        or 0.0,
        drop=None if drop is None else drop.result.drop,
        drop_fraction=None if drop is None else drop.result.fraction,
        loss=None if drop is None else drop.result.loss * lies.parallel,
        steps=steps,
    )


def _conductor_step(demand: Demand, by_rule: Size | None) -> dict[str, Worked]:
    """The worked choice by the rules, where the worksheet asks just what this circuit asks."""
    lies = demand.laying
    if lies.parallel > 1 or by_rule is None:
        return {}
    step = work(
        wire_for_circuit,
        current=demand.current,
        continuous=demand.continuous,
        terminal=lies.terminal,
        insulation=lies.insulation,
        material=lies.material,
        ambient=lies.ambient,
        conductors=lies.conductors,
        circuits=lies.circuits,
        method=lies.method,
        rules=demand.family,
    )
    return {"conductor": step} if step.result.size == by_rule else {}
