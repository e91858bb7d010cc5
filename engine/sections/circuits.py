"""The circuits of the sun side, derived from what the arrays and controllers join, each with its numbers.

Array ``south`` has ``south-string`` (each string to the combiner, where strings are in parallel) and
``south-run`` (combiner or single string to the controller); a controller with arrays has
``<controller>-battery``. What the designer says about a circuit is found by that id.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from engine.design import Circuit, Controller, Design, Device
from engine.physics.devices import device_rating, device_voltage_class
from engine.physics.earthing import earthing_conductor
from engine.sections import sizing
from engine.sections.laying import allowed_drop, laying
from engine.sections.notes import Notes
from engine.sections.notes import field as datum
from engine.sections.results import ArrayResult, CircuitResult, ControllerResult, Missing, StringFuse
from engine.sizes import Size
from engine.tables import OutsideTable
from engine.tables.family import Family
from engine.worksheet import CannotCalculate, Worked, work

VOLTAGE_DATA = ("module", "modules", "voc", "beta_voc", "silicon", "design_low")
CURRENT_DATA = ("module", "strings", "isc")
RUNNING_DATA = ("module", "modules", "strings", "vmp", "imp")
FUSE_DATA = ("series_fuse", "back_feed")


@dataclass(frozen=True, slots=True)
class _Plan:
    """One circuit before its conductor and device: what stands on it and what flows in it.

    ``strings`` lie together. ``fuse`` is the string's fuse where the circuit's device guards the modules,
    ``fuse_largest`` the most that they stand. ``back`` can flow back through the circuit from beyond it.
    """

    id: str
    kind: str
    title: str
    origin: str
    target: str
    array: str | None = None
    controller: str | None = None
    strings: int = 1
    voltage: float | None = None
    voltage_record: float | None = None
    current: float | None = None
    design_current: float | None = None
    running_current: float | None = None
    running_voltage: float | None = None
    guards_modules: bool = False
    fuse: StringFuse | None = None
    fuse_largest: float | None = None
    back: float | None = None
    missing: tuple[Missing, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)


def circuits(
    design: Design,
    family: Family,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
) -> dict[str, CircuitResult]:
    """Every circuit of the sun side by its id, in the order of the line."""
    plans = [
        *(plan for item in arrays.values() for plan in _of_array(design, item)),
        *(_output(design, family, item) for item in controllers.values() if item.arrays),
    ]
    return {plan.id: _result(design, family, plan) for plan in plans}


def _of_array(design: Design, array: ArrayResult) -> Iterator[_Plan]:
    several = (array.strings or 1) > 1
    if several:
        yield _string(design, array)
    yield _run(design, array, several)


def _string(design: Design, array: ArrayResult) -> _Plan:
    """From each string to the combiner; guarded by a string fuse where the others could overload it."""
    running = array.running_current
    return _Plan(
        id=f"{array.array}-string",
        kind="string",
        title=f"{array.label}, string to combiner",
        origin=array.array,
        target=f"{array.array}-combiner",
        array=array.array,
        controller=array.controller,
        strings=array.strings or 1,
        voltage=array.open_design,
        voltage_record=array.open_record,
        current=array.string_current,
        design_current=array.string_design,
        running_current=running / array.strings if running is not None and array.strings else None,
        running_voltage=array.running_standard,
        guards_modules=True,
        fuse=array.fuse,
        fuse_largest=_series_fuse(design, array),
        back=array.fuse.reverse_current if array.fuse is not None else None,
        missing=_needed(array, *VOLTAGE_DATA, *CURRENT_DATA, *RUNNING_DATA, *FUSE_DATA),
        steps=_steps(array.steps, current="string_current", fuse="fuse"),
    )


def _run(design: Design, array: ArrayResult, several: bool) -> _Plan:
    """From the combiner, or the single string, to the controller.

    The device of a single string guards its modules where other arrays or the battery could overload them.
    """
    fuse = array.fuse
    guards = not several and (fuse is None or fuse.required)
    return _Plan(
        id=f"{array.array}-run",
        kind="run",
        title=f"{array.label}, {'combiner' if several else 'string'} to controller",
        origin=f"{array.array}-combiner" if several else array.array,
        target=array.controller or "",
        array=array.array,
        controller=array.controller,
        voltage=array.open_design,
        voltage_record=array.open_record,
        current=array.array_current,
        design_current=array.array_design,
        running_current=array.running_current,
        running_voltage=array.running_standard,
        guards_modules=guards,
        fuse=fuse if guards else None,
        fuse_largest=_series_fuse(design, array) if guards else None,
        back=array.back_feed,
        missing=_needed(array, *VOLTAGE_DATA, *CURRENT_DATA, *RUNNING_DATA, *(FUSE_DATA if guards else ())),
        steps=_steps(array.steps, current="array_current", **({"fuse": "fuse"} if guards else {})),
    )


def _output(design: Design, family: Family, controller: ControllerResult) -> _Plan:
    """From the controller to the battery: its output limit, without any factor for bright hours."""
    record = design.find("controllers", controller.controller)
    bank, notes = design.bank, Notes()
    limit = _greatest_output(record)
    if limit is None and record is not None:
        notes.lack(datum(f"controllers.{controller.controller}", record, "current_limit"))
    notes.ask("bank", bank, "highest_voltage", "voltage")
    driven = controller.array_output
    return _Plan(
        id=f"{controller.controller}-battery",
        kind="output",
        title=f"{controller.label} to battery",
        origin=controller.controller,
        target="battery",
        controller=controller.controller,
        voltage=_plain(bank.highest_voltage),
        current=limit,
        design_current=limit * family.continuous_factor if limit is not None else None,
        running_current=limit if driven is None or limit is None else min(limit, driven),
        running_voltage=_plain(bank.voltage),
        missing=notes.missing,
    )


def _greatest_output(record: object) -> float | None:
    """The most that a controller ever passes: its flat limit, or the top of its table."""
    flat = getattr(record, "current_limit", None)
    points = getattr(record, "current_points", None) or ()
    limits = [float(amps) for _, amps in points] + ([float(flat)] if flat is not None else [])
    return max(limits, default=None)


def _result(design: Design, family: Family, plan: _Plan) -> CircuitResult:
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
        length=_plain(record.length),
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
        missing=notes.missing,
        assumed=notes.assumed,
        steps=notes.steps,
    )


def _sized(
    design: Design,
    family: Family,
    plan: _Plan,
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
        length=_plain(record.length),
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


def _device(family: Family, plan: _Plan, notes: Notes) -> tuple[bool, float | None, float | None]:
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


def _voltage_class(family: Family, plan: _Plan, notes: Notes) -> float | None:
    if plan.voltage is None:
        return None
    found = _keep(notes, "voltage_class", device_voltage_class, voltage=plan.voltage, rules=family)
    return None if found is None else float(found.voltage_class)


def _earthing(
    design: Design,
    family: Family,
    plan: _Plan,
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


def _series_fuse(design: Design, array: ArrayResult) -> float | None:
    """The largest device that the array's modules stand in series [A]."""
    if array.fuse is not None:
        return array.fuse.maximum
    record = design.find("arrays", array.array)
    module = design.find("modules", getattr(record, "module", None))
    return _plain(getattr(module, "series_fuse", None))


def _needed(array: ArrayResult, *names: str) -> tuple[Missing, ...]:
    return tuple(item for item in array.missing if item.path.rpartition(".")[2] in names)


def _steps(held: Mapping[str, Worked], **names: str) -> dict[str, Worked]:
    """An array's worked steps under the names that a circuit gives them."""
    names = {"voltage": "open_design", "voltage_record": "open_record", **names}
    return {own: held[name] for own, name in names.items() if name in held}


def _plain(value: float | None) -> float | None:
    return None if value is None else float(value)


def _smaller(left: float | None, right: float | None) -> float | None:
    return min((value for value in (left, right) if value is not None), default=None)
