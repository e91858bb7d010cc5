"""The sun side: each string to its combiner, and combiner or single string to the controller.

Array ``south`` has ``south-string`` (where strings are in parallel) and ``south-run``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from engine.design import Design
from engine.sections.plans.battery import POLES
from engine.sections.plans.plan import (
    CURRENT_DATA,
    FUSE_DATA,
    RUNNING_DATA,
    VOLTAGE_DATA,
    Plan,
    array_steps,
    needed,
    plain,
)
from engine.sections.results import ArrayResult, ControllerResult, Missing, ask
from engine.tables.family import Family


def plans(
    design: Design,
    family: Family,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
) -> Iterator[Plan]:
    """The circuits of every array."""
    for array in arrays.values():
        several, fault = (array.strings or 1) > 1, _fault(design, array, controllers)
        stands = _stands(design, array, arrays)
        if several:
            yield _string(design, array, stands, fault)
        yield _run(design, array, several, stands, fault)


@dataclass(frozen=True, slots=True)
class _Stands:
    """The highest voltages [V] that can stand on an array's circuits, and the array that gives them."""

    design: float | None
    record: float | None
    highest: ArrayResult
    missing: tuple[Missing, ...]


def _stands(design: Design, array: ArrayResult, arrays: Mapping[str, ArrayResult]) -> _Stands:
    """Sources on one controller are in parallel: on an open device of one stands the voltage of the highest.

    NEC 690.7: the highest voltage between any two conductors of the circuit. A turbine beside the array
    counts with its brake off.
    """
    together = [
        each for each in arrays.values() if each is array or each.controller == array.controller is not None
    ]
    turbines = [
        (f"{table}.{each.id}", each)
        for table in ("wind", "hydro")
        for each in getattr(design, table)
        if each.controller == array.controller is not None
    ]
    free = [plain(each.open_voltage) for _, each in turbines]
    designs = [*(each.open_design for each in together), *free]
    records = [*(each.open_record for each in together), *free]
    return _Stands(
        _highest(designs),
        _highest(records),
        max(together, key=lambda each: max(each.open_design or 0.0, each.open_record or 0.0)),
        (
            *(item for each in together for item in needed(each.missing, *VOLTAGE_DATA)),
            *(item for path, each in turbines for item in ask(path, each, "open_voltage")),
        ),
    )


def _highest(volts: list[float | None]) -> float | None:
    """The highest; ``None`` where one of them is not known."""
    known = [each for each in volts if each is not None]
    return max(known) if len(known) == len(volts) else None


@dataclass(frozen=True, slots=True)
class _Fault:
    """What a fault on an array's circuits is fed with [A], and whether it can turn the current round."""

    most: float | None
    reverses: bool | None
    missing: tuple[Missing, ...]


def _fault(design: Design, array: ArrayResult, controllers: Mapping[str, ControllerResult]) -> _Fault:
    """All arrays of the controller in short circuit, and what it can push back from the battery."""
    controller = controllers.get(array.controller or "")
    record = design.find("controllers", array.controller)
    if controller is None or record is None:
        return _Fault(None, None, needed(array.missing, "controller"))
    back, most = getattr(record, "back_feed", None), controller.array_short_circuit
    missing = ask(f"controllers.{controller.controller}", record, "back_feed")
    if most is None:
        missing = (*missing, *needed(controller.missing, *CURRENT_DATA))
    shared = len(controller.arrays) > 1
    return _Fault(
        None if most is None or back is None else most + back,
        True if shared else None if back is None else back > 0,
        missing,
    )


def _string(design: Design, array: ArrayResult, stands: _Stands, fault: _Fault) -> Plan:
    """From each string to the combiner; guarded by a string fuse where the others could overload it."""
    running = _running(design, array)
    return Plan(
        id=f"{array.array}-string",
        kind="string",
        title=f"{array.label}, string to combiner",
        origin=array.array,
        target=f"{array.array}-combiner",
        piece=f"arrays.{array.array}",
        array=array.array,
        controller=array.controller,
        strings=array.strings or 1,
        voltage=stands.design,
        voltage_record=stands.record,
        current=array.string_current,
        design_current=array.string_design,
        running_current=running / array.strings if running is not None and array.strings else None,
        running_voltage=array.running_standard,
        guards_modules=True,
        fuse=array.fuse,
        fuse_largest=_series_fuse(design, array),
        back=array.fuse.reverse_current if array.fuse is not None else None,
        fault_most=fault.most,
        poles=POLES.get(design.bank.system_earthing or ""),
        reverses=True,
        missing=(*stands.missing, *needed(array.missing, *CURRENT_DATA, *RUNNING_DATA, *FUSE_DATA)),
        fault_missing=fault.missing,
        steps={**array_steps(array, current="string_current", fuse="fuse"), **array_steps(stands.highest)},
    )


def _run(design: Design, array: ArrayResult, several: bool, stands: _Stands, fault: _Fault) -> Plan:
    """From the combiner, or the single string, to the controller.

    The device of a single string guards its modules where other arrays or the battery could overload them.
    """
    fuse = array.fuse
    guards = not several and (fuse is None or fuse.required)
    data = (*CURRENT_DATA, *RUNNING_DATA, *(FUSE_DATA if guards else ()))
    fused = {"fuse": "fuse"} if guards else {}
    return Plan(
        id=f"{array.array}-run",
        kind="run",
        title=f"{array.label}, {'combiner' if several else 'string'} to controller",
        origin=f"{array.array}-combiner" if several else array.array,
        target=array.controller or "",
        piece=f"arrays.{array.array}",
        ends=(f"controllers.{array.controller}",) if array.controller else (),
        array=array.array,
        controller=array.controller,
        voltage=stands.design,
        voltage_record=stands.record,
        current=array.array_current,
        design_current=array.array_design,
        running_current=_running(design, array),
        running_voltage=array.running_standard,
        guards_modules=guards,
        fuse=fuse if guards else None,
        fuse_largest=_series_fuse(design, array) if guards else None,
        back=array.back_feed,
        fault_most=fault.most,
        poles=POLES.get(design.bank.system_earthing or ""),
        reverses=fault.reverses,
        missing=(*stands.missing, *needed(array.missing, *data)),
        fault_missing=fault.missing,
        steps={**array_steps(array, current="array_current", **fused), **array_steps(stands.highest)},
    )


def _running(design: Design, array: ArrayResult) -> float | None:
    """The array's current at maximum power [A], with what snow or a second face adds."""
    record = design.find("arrays", array.array)
    if array.running_current is None or record is None:
        return None
    return array.running_current * (1 + float(record.use("current_gain")))


def _series_fuse(design: Design, array: ArrayResult) -> float | None:
    """The largest device that the array's modules stand in series [A]."""
    if array.fuse is not None:
        return array.fuse.maximum
    record = design.find("arrays", array.array)
    module = design.find("modules", getattr(record, "module", None))
    return plain(getattr(module, "series_fuse", None))
