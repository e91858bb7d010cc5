"""Every circuit of the design, from plan to result: conductor, device, class, earthing and fault currents.

What circuits there are say the makers of plans, one a side of the system. What the designer says about a
circuit is found by its id.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from engine.design import Circuit, Design, Device
from engine.fields import Record
from engine.physics.earthing import earthing_conductor, heated_earthing
from engine.physics.trip import breaking_class
from engine.sections import faults, protecting, sizing
from engine.sections.conduit import conduit
from engine.sections.device_heat import in_heat, in_thin_air
from engine.sections.inverter_duty import inverter_duty
from engine.sections.laying import Laying, allowed_drop, laying
from engine.sections.memory import Memory, Same
from engine.sections.notes import Notes
from engine.sections.notes import field as datum
from engine.sections.plans import ac, storage, sun, turbine
from engine.sections.plans.plan import Plan, plain
from engine.sections.results import ArrayResult, CircuitResult, ControllerResult, Missing
from engine.sizes import Size
from engine.tables.family import Family

MAKERS = (sun.plans, turbine.plans, storage.plans, ac.plans)
PLANNED_FROM = "site bank loads modules arrays wind hydro controllers inverters generators diversions".split()
ON_ROOFS = ("string", "run")  # circuits that lie where their array is, unless told otherwise
PRINTED_FOR = 30.0  # degC: the air of Table 310.16
Way = Mapping[str, tuple[CircuitResult, Circuit]]

_plans: Memory[tuple[Plan, ...]] = Memory(64)
_same: Same[Plan] = Same(4)
_results: Memory[CircuitResult] = Memory(512)


def circuits(
    design: Design,
    family: Family,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
) -> dict[str, CircuitResult]:
    """Every circuit of the design by its id, in the order of the line."""
    made_from = (family, arrays, controllers, *(getattr(design, table) for table in PLANNED_FROM))
    plans = _plans.recall(made_from, lambda: _planned(design, family, arrays, controllers))
    done: dict[str, tuple[CircuitResult, Circuit]] = {}
    for plan in plans:
        done[plan.id] = _remembered(design, family, plan, done)
    return {id: result for id, (result, _) in done.items()}


def _planned(
    design: Design,
    family: Family,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
) -> tuple[Plan, ...]:
    """The plans of all makers; one that is as before is the same object as before."""
    made = (plan for maker in MAKERS for plan in maker(design, family, arrays, controllers))
    return tuple(
        _same.of(plan.id, plan, lambda old, new: old == new and old.steps == new.steps) for plan in made
    )


def _remembered(design: Design, family: Family, plan: Plan, done: Way) -> tuple[CircuitResult, Circuit]:
    record = design.circuit(plan.id)
    held = design.find("devices", record.device)
    ends = tuple(_at(design, path) for path in plan.ends)
    way = {id: done[id] for id, _ in plan.way if id in done}
    before = (each for pair in way.values() for each in pair)
    place = (design.site.design_high, design.site.elevation)
    other, array = design.find("devices", record.disconnect), design.find("arrays", plan.array)
    made_from = (family, plan, record, held, other, array, *ends, *place, design.about, *before)
    result = _results.recall(made_from, lambda: _result(design, family, plan, record, held, ends, way))
    return result, record


def _at(design: Design, path: str) -> Record | None:
    table, _, id = path.partition(".")
    return design.find(table, id)


def _result(
    design: Design,
    family: Family,
    plan: Plan,
    record: Circuit,
    held: Record | None,
    ends: tuple[Record | None, ...],
    way: Way,
) -> CircuitResult:
    """Conductor, device, class, earthing conductor and fault currents of a planned circuit."""
    notes = Notes()
    notes.lack(*plan.missing)
    notes.suppose(*plan.assumed)
    notes.steps.update(plan.steps)
    notes.ask(f"circuits.{plan.id}", record, "length")
    other, array = design.find("devices", record.disconnect), design.find("arrays", plan.array)
    device = held if isinstance(held, Device) and held.kind != "switch" else None
    if device is not None and device.poles == 1 and plan.system == "dc":
        notes.assume(f"circuits.{plan.id}", record, "device_pole")
    needed, least, chosen = protecting.device(family, plan, notes)
    allowed = allowed_drop(record, plan.kind, notes)
    fault = faults.most(family, plan, way, notes.steps)
    lies = laying(
        design,
        family,
        record,
        tuple(end for end in (*ends, held, other) if end is not None),
        plan.strings,
        notes,
        plan.phases,
        on_building=plan.kind in ON_ROOFS and bool(getattr(array, "on_building", None)),
    )
    kind = protecting.device_kind(plan, device, notes)
    heat = protecting.heat(plan, device, kind, chosen, fault)
    sized = sizing.Sized(size=record.size)
    if lies is not None and plan.current is not None:
        sized = _sized(family, plan, record, lies, allowed, needed, chosen, heat, notes)
    if plan.kind in ("run", "turbine") and plan.protected and not plan.guards_modules:
        needed = plan.back is None or sized.ampacity is None or plan.back > sized.ampacity
    if (needed and plan.protected) or device is not None:
        rating = chosen if device is None else plain(device.current)
        in_heat(design.site, record, rating, kind, notes)
    in_thin_air(design.site, notes)
    weakest, lacking = faults.least(family, plan, way, (sized.size, record), notes.steps)
    stands = protecting.opens(plan, record, device, kind, chosen, weakest, sized, notes)
    rating = chosen if device is None else plain(device.current)
    inverter_duty(family, plan, ends, device, kind, rating, notes)
    behind, shared = _behind(plan)
    earthing = _earthing(family, plan, record, device, chosen, sized, heat, notes)
    return CircuitResult(
        id=plan.id,
        kind=plan.kind,
        title=plan.title,
        origin=plan.origin,
        target=plan.target,
        array=plan.array,
        controller=plan.controller,
        voltage=plan.voltage,
        voltage_record=plan.voltage_record,
        current=plan.current,
        design_current=protecting.design_current(family, plan),
        running_current=plan.running_current,
        running_voltage=plan.running_voltage,
        length=plain(record.length),
        conductor=sized.size,
        pinned=record.size is not None,
        least=sized.by_rule,
        checks=sized.checks,
        governed_by=sized.governed_by,
        smaller=sized.smaller,
        smaller_fails=sized.smaller_fails,
        device=chosen,
        device_least=least,
        device_largest=_smaller(sized.largest, plan.fuse_largest),
        device_needed=needed and plan.protected,
        device_kind=kind,
        voltage_class=protecting.voltage_class(family, plan, notes),
        earthing=earthing,
        behind=behind,
        shared=shared,
        conduit=conduit(family, plan, record, lies, sized.size, earthing, notes),
        drop=sized.drop,
        drop_fraction=sized.drop_fraction,
        drop_allowed=allowed,
        loss=sized.loss,
        piece=plan.piece,
        ends=plan.ends,
        system=plan.system,
        phases=plan.phases,
        parallel=int(record.use("parallel")),
        poles=plan.poles,
        fault_most=fault,
        fault_least=weakest,
        trip_stands=stands,
        breaking_least=None if fault is None else breaking_class(fault),
        reverses=plan.reverses,
        nearest=plan.nearest,
        unprotected=plain(record.unprotected),
        missing=notes.missing,
        fault_missing=tuple(dict.fromkeys((*plan.fault_missing, *lacking))),
        assumed=notes.assumed,
        steps=notes.steps,
    )


def _behind(plan: Plan) -> tuple[str, int]:
    """The circuit whose device feeds this one, and how many of them share its current."""
    if plan.kind == "string":
        return f"{plan.array}-run", 1
    return plan.way[-1] if plan.way else ("", 1)


def _sized(
    family: Family,
    plan: Plan,
    record: Circuit,
    lies: Laying,
    allowed: float,
    needed: bool,
    device: float | None,
    heat: tuple[float, float] | None,
    notes: Notes,
) -> sizing.Sized:
    """The conductor; what can't be answered is noted as a field of the circuit to mend."""
    assert plan.current is not None
    fault, time = heat or (None, 0.0)
    demand = sizing.Demand(
        family=family,
        laying=lies,
        current=plan.current,
        device=device,
        protected=needed and plan.protected,
        reverse=0.0 if needed else plan.back or 0.0,
        length=plain(record.length),
        running_current=plan.running_current,
        running_voltage=plan.running_voltage,
        allowed=allowed,
        pinned=record.size,
        continuous=plan.continuous,
        phases=plan.phases,
        fault=fault,
        fault_time=time,
    )
    sized = sizing.choose(demand)
    if family.protection.earthing_grows_with_heat:
        sized = replace(sized, baseline=sizing.choose(_cool(demand)).by_rule)
    notes.steps.update(sized.steps)
    if sized.refused is not None:
        blame = datum(f"circuits.{plan.id}", record, sized.refused[0])
        notes.lack(Missing(blame.path, f"{blame.title} (need {sized.refused[1]})"))
    return sized


def _cool(demand: sizing.Demand) -> sizing.Demand:
    """The same circuit by itself, in the air that ampacities are printed for."""
    lies = demand.laying
    plain = replace(lies, ambient=min(lies.ambient, PRINTED_FOR), conductors=2, circuits=1)
    return replace(demand, laying=plain, pinned=None)


def _earthing(
    family: Family,
    plan: Plan,
    record: Circuit,
    held: Device | None,
    chosen: float | None,
    sized: sizing.Sized,
    heat: tuple[float, float] | None,
    notes: Notes,
) -> Size | None:
    """By the larger of the device chosen and the one in hand, or by the one that this circuit would have.

    Larger where the heat of a fault asks for it, though no larger than the conductors of a pole together.
    """
    in_hand = None if held is None else held.current
    ratings = (chosen, in_hand, protecting.design_current(family, plan))
    known = [float(rating) for rating in ratings if rating is not None]
    if not known or sized.size is None:
        return None
    found = notes.keep(
        "earthing",
        earthing_conductor,
        device=max(known),
        material=record.use("material"),
        baseline_size=sized.baseline or sized.by_rule,
        circuit_size=sized.size,
        parallel=int(record.use("parallel")),
        kind="pv" if plan.array is not None else "other",
        rules=family,
    )
    if found is None or heat is None:
        return None if found is None else found.size
    material, parallel = str(record.use("material")), int(record.use("parallel"))
    return heated_earthing(family, found.size, sized.size, material, *heat, parallel)


def _smaller(left: float | None, right: float | None) -> float | None:
    return min((value for value in (left, right) if value is not None), default=None)
