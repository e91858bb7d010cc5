"""Every circuit of the design, from plan to result: conductor, device, class, earthing and fault currents.

What circuits there are say the makers of plans, one a side of the system. What the designer says about a
circuit is found by its id.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from engine.design import Circuit, Controller, Design, Device
from engine.physics.devices import device_rating, device_voltage_class
from engine.physics.earthing import earthing_conductor
from engine.sections import sizing
from engine.sections.laying import allowed_drop, laying
from engine.sections.notes import Notes
from engine.sections.notes import field as datum
from engine.sections.plans import storage, sun
from engine.sections.plans.plan import Plan, plain
from engine.sections.results import ArrayResult, CircuitResult, ControllerResult, Missing
from engine.sizes import Size
from engine.tables import OutsideTable
from engine.tables.family import Family
from engine.worksheet import CannotCalculate, work

MAKERS = (sun.plans, storage.plans)


def circuits(
    design: Design,
    family: Family,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
) -> dict[str, CircuitResult]:
    """Every circuit of the design by its id, in the order of the line."""
    plans = (plan for maker in MAKERS for plan in maker(design, family, arrays, controllers))
    return {plan.id: _result(design, family, plan) for plan in plans}


def _result(design: Design, family: Family, plan: Plan) -> CircuitResult:
    """Conductor, device, class and earthing conductor of a planned circuit."""
    record, notes = design.circuit(plan.id), Notes()
    notes.lack(*plan.missing)
    notes.steps.update(plan.steps)
    notes.ask(f"circuits.{plan.id}", record, "length")
    needed, least, chosen = _device(family, plan, notes)
    allowed = allowed_drop(record, plan.kind, notes)
    sized = _sized(design, family, plan, record, allowed, needed, chosen, notes)
    if plan.kind == "run" and not plan.guards_modules:
        needed = plan.back is None or sized.ampacity is None or plan.back > sized.ampacity
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
        design_current=plan.design_current,
        running_current=plan.running_current,
        running_voltage=plan.running_voltage,
        length=plain(record.length),
        conductor=sized.size,
        pinned=record.size is not None,
        checks=sized.checks,
        governed_by=sized.governed_by,
        smaller=sized.smaller,
        smaller_fails=sized.smaller_fails,
        device=chosen,
        device_least=least,
        device_largest=_smaller(sized.largest, plan.fuse_largest),
        device_needed=needed,
        voltage_class=_voltage_class(family, plan, notes),
        earthing=_earthing(design, family, plan, record, chosen, sized, notes),
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
        fault_most=plan.fault_most,
        fault_least=plan.fault_least,
        reverses=plan.reverses,
        nearest=plan.nearest,
        fault_missing=plan.fault_missing,
        missing=notes.missing,
        assumed=notes.assumed,
        steps=notes.steps,
    )


def _sized(
    design: Design,
    family: Family,
    plan: Plan,
    record: Circuit,
    allowed: float,
    needed: bool,
    device: float | None,
    notes: Notes,
) -> sizing.Sized:
    """The conductor; what can't be answered is noted as a field of the circuit to mend."""
    ends_at = design.find("controllers", None if plan.kind == "string" else plan.controller)
    controller = ends_at if isinstance(ends_at, Controller) else None
    lies = laying(design, family, record, controller, plan.strings, notes)
    if lies is None or plan.current is None:
        return sizing.Sized(size=record.size)
    demand = sizing.Demand(
        family=family,
        laying=lies,
        current=plan.current,
        device=device,
        protected=needed,
        reverse=0.0 if needed else plan.back or 0.0,
        length=plain(record.length),
        running_current=plan.running_current,
        running_voltage=plan.running_voltage,
        allowed=allowed,
        pinned=record.size,
    )
    sized = sizing.choose(demand)
    notes.steps.update(sized.steps)
    if sized.refused is not None:
        blame = datum(f"circuits.{plan.id}", record, sized.refused[0])
        notes.lack(Missing(blame.path, f"{blame.title} (need {sized.refused[1]})"))
    return sized


def _device(family: Family, plan: Plan, notes: Notes) -> tuple[bool, float | None, float | None]:
    """Whether a device guards conductor or modules, the least rating, and the standard rating chosen [A].

    A string without need of a fuse has none; its disconnect is another question.
    """
    if plan.guards_modules:
        if plan.fuse is None:
            return True, None, None
        return plan.fuse.required, plan.fuse.minimum, plan.fuse.rating if plan.fuse.required else None
    if plan.current is None:
        return True, None, None
    found = _keep(notes, "device", device_rating, current=plan.current, continuous=True, rules=family)
    return (True, plan.design_current, None) if found is None else (True, found.minimum, found.rating)


def _voltage_class(family: Family, plan: Plan, notes: Notes) -> float | None:
    if plan.voltage is None:
        return None
    found = _keep(notes, "voltage_class", device_voltage_class, voltage=plan.voltage, rules=family)
    return None if found is None else float(found.voltage_class)


def _earthing(
    design: Design,
    family: Family,
    plan: Plan,
    record: Circuit,
    chosen: float | None,
    sized: sizing.Sized,
    notes: Notes,
) -> Size | None:
    """By the larger of the device chosen and the one in hand, or by the one that this circuit would have."""
    held = design.find("devices", record.device)
    in_hand = held.current if isinstance(held, Device) and held.kind != "switch" else None
    ratings = [float(rating) for rating in (chosen, in_hand, plan.design_current) if rating is not None]
    if not ratings or sized.size is None:
        return None
    found = _keep(
        notes,
        "earthing",
        earthing_conductor,
        device=max(ratings),
        material=record.use("material"),
        baseline_size=sized.by_rule,
        circuit_size=sized.size,
        kind="other" if plan.kind == "output" else "pv",
        rules=family,
    )
    return None if found is None else found.size


def _keep(notes: Notes, name: str, formula: Callable[..., Any], **inputs: Any) -> Any:
    """Run a formula and keep its worked step; ``None`` beyond its table, which the rules then say."""
    try:
        worked = work(formula, **inputs)
    except (CannotCalculate, OutsideTable):
        return None
    notes.steps[name] = worked
    return worked.result


def _smaller(left: float | None, right: float | None) -> float | None:
    return min((value for value in (left, right) if value is not None), default=None)
