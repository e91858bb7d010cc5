"""What an array gives against what its controller takes, and how far its volts are from the battery's."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Controller, label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_most, needed, steps, unknown
from engine.sections.results import ControllerResult
from engine.sources import COMMON_PRACTICE

EVEN = 0.05  # running voltages of parallel strings may differ by this share (IEC 62548, from memory)
LEAST_LOSS_STEP = 2.0  # array nominal over battery nominal (common practice): 48 V on 24 V
RUNNING = ("module", "modules", "vmp")
DRAWN = ("module", "strings", "imp")


def controller_kind(case: Case) -> Iterator[Finding]:
    """No array belongs on a diversion controller, nor beside a turbine on a controller of its own."""
    for controller in case.controllers.values():
        record = case.design.find("controllers", controller.controller)
        if not controller.arrays or not isinstance(record, Controller):
            continue
        beside = [label(each) for each in case.design.wind if each.controller == record.id]
        beside += [label(each) for each in case.design.hydro if each.controller == record.id]
        if record.use("kind") == "diversion":
            yield _wrong_kind(
                controller,
                Status.FAILS,
                f"{controller.label} is a diversion controller, and an array is on it",
                "A tracking or direct controller between the array and the battery.",
            )
        elif beside:
            yield _wrong_kind(
                controller,
                Status.MARGINAL,
                f"{controller.label} has an array on it and {beside[0]} too: it follows only one",
                "A controller for each kind of source; the turbine's open voltage stands on both.",
            )


def _wrong_kind(controller: ControllerResult, status: Status, title: str, remedy: str) -> Finding:
    where = f"controllers.{controller.controller}"
    return Finding(
        rule="controller-kind",
        where=where,
        field=f"{where}.kind",
        status=status,
        signal=Signal.WARNING,
        title=title,
        remedy=remedy,
        source=COMMON_PRACTICE,
    )


def controller_input(case: Case) -> Iterator[Finding]:
    """The arrays' running current against the input current limit, where the maker gives one."""
    for controller in case.controllers.values():
        limit = getattr(case.design.find("controllers", controller.controller), "input_current_limit", None)
        if limit is None or not controller.arrays:
            continue
        where = f"controllers.{controller.controller}"
        runs = [case.circuits[f"{id}-run"] for id in controller.arrays if f"{id}-run" in case.circuits]
        known = [run.running_current for run in runs if run.running_current is not None]
        if len(known) < len(controller.arrays):
            missing = [item for run in runs for item in needed(run.missing, *DRAWN)]
            title = f"Not known whether {controller.label} takes its arrays' current"
            yield unknown("controller-input", where, title, missing, COMMON_PRACTICE)
            continue
        value = sum(known)
        yield at_most(
            rule="controller-input",
            where=where,
            field=f"{where}.input_current_limit",
            worse=Status.MARGINAL,
            title=(
                f"{controller.label}: its arrays run at {case.show(value, 'A')}, "
                f"it takes {case.show(limit, 'A')}"
            ),
            remedy="The rest of a clear noon is not harvested; more in series and fewer strings lose less.",
            value=value,
            limit=limit,
            unit="A",
            source=COMMON_PRACTICE,
        )


def controller_output(case: Case) -> Iterator[Finding]:
    """What the arrays could drive against the output limit: a tracking controller leaves the rest."""
    for controller in case.controllers.values():
        if not controller.arrays:
            continue
        record = case.design.find("controllers", controller.controller)
        if isinstance(record, Controller) and record.use("kind") == "direct":
            yield _direct_output(case, controller)
            continue
        where = f"controllers.{controller.controller}"
        value, limit = controller.array_output, controller.output_current
        if value is None or limit is None:
            yield _output_unknown(controller)
            continue
        yield at_most(
            rule="controller-output",
            where=where,
            field=f"{where}.current_limit",
            worse=Status.MARGINAL,
            title=(
                f"{controller.label}: its arrays could drive {case.show(value, 'A')} into the battery, "
                f"it passes {case.show(limit, 'A')}"
            ),
            remedy="The rest of a clear noon is not harvested; sound where mornings count more.",
            value=value,
            limit=limit,
            unit="A",
            source=COMMON_PRACTICE,
            steps=steps(controller.steps, "array_output"),
        )


def _direct_output(case: Case, controller: ControllerResult) -> Finding:
    """A direct controller is a switch: it limits nothing, and must carry the current of bright hours."""
    where = f"controllers.{controller.controller}"
    value, limit = controller.array_short_circuit, controller.output_current
    if value is None or limit is None:
        return _output_unknown(controller)
    return at_most(
        rule="controller-output",
        where=where,
        field=f"{where}.current_limit",
        signal=Signal.WARNING,
        title=(
            f"{controller.label}: its arrays push {case.show(value, 'A')} through it in bright hours, "
            f"it is made for {case.show(limit, 'A')}"
        ),
        remedy="It can't hold current back: fewer strings, or a controller made for more.",
        value=value,
        limit=limit,
        unit="A",
        source=case.family.clause("pv_current"),
        steps=steps(controller.steps, "array_short_circuit"),
    )


def _output_unknown(controller: ControllerResult) -> Finding:
    where = f"controllers.{controller.controller}"
    title = f"Not known whether {controller.label} takes all its arrays give"
    return unknown("controller-output", where, title, controller.missing, COMMON_PRACTICE)


def controller_short_circuit(case: Case) -> Iterator[Finding]:
    """The arrays' short-circuit current against the most the controller's input is made for."""
    source = case.family.clause("pv_current")
    for controller in case.controllers.values():
        if not controller.arrays:
            continue
        where = f"controllers.{controller.controller}"
        value = controller.array_short_circuit
        limit = getattr(case.design.find("controllers", controller.controller), "short_circuit_limit", None)
        if value is None or limit is None:
            missing = needed(controller.missing, "short_circuit_limit", "isc", "strings", "module")
            title = f"Not known whether {controller.label} stands its arrays' short-circuit current"
            yield unknown("controller-short-circuit", where, title, missing, source)
            continue
        yield at_most(
            rule="controller-short-circuit",
            where=where,
            field=f"{where}.short_circuit_limit",
            signal=Signal.WARNING,
            title=(
                f"{controller.label}: {case.show(value, 'A')} of short-circuit current, "
                f"its input is made for {case.show(limit, 'A')}"
            ),
            remedy="Fewer strings on this controller, or one made for more.",
            value=value,
            limit=limit,
            unit="A",
            source=source,
            steps=steps(controller.steps, "array_short_circuit"),
        )


def nominal_step(case: Case) -> Iterator[Finding]:
    """One nominal step above the battery loses least; more pays on long runs and in dim light."""
    for controller in case.controllers.values():
        step = controller.nominal_step
        if not controller.arrays or step is None:
            continue
        where = f"controllers.{controller.controller}"
        loss = controller.conversion_efficiency
        told = f", about {case.show(1 - loss, '%')} lost in conversion" if loss is not None else ""
        low = step < 1.5
        yield Finding(
            rule="nominal-step",
            where=where,
            field=f"arrays.{controller.arrays[0]}.modules",
            status=Status.MARGINAL if low else Status.MEETS,
            title=f"{controller.label}: array nominal {step:.3g} times the battery's{told}",
            remedy=(
                "No step above the battery: little is left to track on hot days; put more modules in series."
                if low
                else ""
                if step <= LEAST_LOSS_STEP * 1.01
                else "More than one step above the battery loses more in conversion; worth it for long runs, "
                "thinner conductors, or an early start in dim light."
            ),
            value=step,
            limit=LEAST_LOSS_STEP,
            unit="1",
            source=COMMON_PRACTICE,
            steps=steps(controller.steps, "nominal_step", "conversion"),
        )


def mixed_strings(case: Case) -> Iterator[Finding]:
    """Arrays on one controller share one voltage: uneven ones pull each other off their best point."""
    for controller in case.controllers.values():
        if len(controller.arrays) < 2:
            continue
        where = f"controllers.{controller.controller}"
        arrays = [case.arrays[id] for id in controller.arrays]
        volts = [array.running_standard for array in arrays if array.running_standard is not None]
        if len(volts) < len(arrays):
            title = f"Not known whether the arrays on {controller.label} run at one voltage"
            missing = (item for array in arrays for item in needed(array.missing, *RUNNING))
            yield unknown("mixed-strings", where, title, missing, COMMON_PRACTICE)
            continue
        low, high = min(volts), max(volts)
        apart = (high - low) / high
        yield at_most(
            rule="mixed-strings",
            where=where,
            field=f"arrays.{controller.arrays[0]}.modules",
            worse=Status.MARGINAL,
            title=(
                f"{controller.label}: its arrays run at {case.show(low, 'V')} to {case.show(high, 'V')}, "
                f"{case.show(apart, '%')} apart"
            ),
            remedy="Equal strings on one controller, or a controller for each array.",
            value=apart,
            limit=EVEN,
            unit="%",
            source=COMMON_PRACTICE,
        )
