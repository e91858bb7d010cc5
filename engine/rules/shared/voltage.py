"""Cold strings against controllers, modules and the battery: what stands too high, what starts too low."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Controller
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_most, needed, over, room_above, room_below, steps, under, unknown
from engine.sections.results import ArrayResult, ControllerResult, ask
from engine.sources import COMMON_PRACTICE, Source

COLD = ("voc", "beta_voc", "modules", "module", "silicon")
SAFE_SIDE = "Counted at the record low in full sun, which seldom meet: the safe side."
PATHS = "a string with one module fewer, or a controller with a higher limit"


def _pairs(case: Case) -> Iterator[tuple[ArrayResult, ControllerResult]]:
    for array in case.arrays.values():
        controller = case.controllers.get(array.controller or "")
        if controller is not None:
            yield array, controller


def standoff_limit(case: Case) -> Iterator[Finding]:
    """The record low may not lift a string over what the controller survives, nor a usual year's low."""
    source = case.family.clause("pv_voltage")
    for array in case.arrays.values():
        controller = case.controllers.get(array.controller or "")
        if controller is None:
            if array.controller is None:
                title = f"Not known what {array.label} charges through, and whether that survives it"
                missing = needed(array.missing, "controller")
                where = f"arrays.{array.array}"
                yield unknown("standoff-limit", where, title, missing, source, Signal.WARNING)
            continue
        yield _standoff(case, array, controller, source)


def _standoff(case: Case, array: ArrayResult, controller: ControllerResult, source: Source) -> Finding:
    where, limit = f"arrays.{array.array}", controller.standoff
    known = [volts for volts in (array.open_record, array.open_design) if volts is not None]
    value = max(known, default=None)
    bad = value is not None and limit is not None and over(value, limit)
    if value is None or limit is None or (array.open_record is None and not bad):
        missing = (
            *needed(array.missing, *COLD, "record_low"),
            *needed(controller.missing, "standoff_limit", "lowest_voltage"),
        )
        title = f"Not known whether {controller.label} survives {array.label} at the record low"
        return unknown("standoff-limit", where, title, missing, source, Signal.WARNING)
    low, step = ("record", "open_record") if value == array.open_record else ("design", "open_design")
    stands, survives = case.show(value, "V"), case.show(limit, "V")
    return Finding(
        rule="standoff-limit",
        where=where,
        field=f"{where}.modules",
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.WARNING if bad else Signal.NONE,
        title=f"{array.label}: {stands} at the {low} low, {controller.label} survives {survives}",
        remedy=_fewer(array.longest) if bad else "",
        value=value,
        limit=limit,
        unit="V",
        margin=room_below(value, limit),
        source=source,
        steps=(*steps(array.steps, step, "longest"), *steps(controller.steps, "standoff")),
    )


def standoff_battery_open(case: Case) -> Iterator[Finding]:
    """A limit that follows the battery falls with it: shown for the battery breaker opened first."""
    for array, controller in _pairs(case):
        value, limit = array.open_record, controller.standoff_battery_open
        if value is None or limit is None:
            continue
        yield at_most(
            rule="standoff-battery-open",
            where=f"arrays.{array.array}",
            field=f"controllers.{controller.controller}.standoff_above_battery",
            worse=Status.MARGINAL,
            signal=Signal.WARNING,
            title=(
                f"{array.label}: with the battery breaker opened first {controller.label} survives only "
                f"{case.show(limit, 'V')}, the string can stand at {case.show(value, 'V')}"
            ),
            remedy="Open the source disconnect before the battery breaker, and label both so.",
            value=value,
            limit=limit,
            unit="V",
            source=COMMON_PRACTICE,
            steps=(*steps(array.steps, "open_record"), *steps(controller.steps, "standoff_battery_open")),
        )


def operating_limit(case: Case) -> Iterator[Finding]:
    """Above the operating limit a controller waits: lock-out, not damage."""
    for array, controller in _pairs(case):
        where = f"arrays.{array.array}"
        value, limit = array.open_design, controller.operating
        if value is None or limit is None:
            missing = (
                *needed(array.missing, *COLD, "design_low"),
                *needed(controller.missing, "operating_limit"),
            )
            title = f"Not known whether {controller.label} works with {array.label} in the cold"
            yield unknown("operating-limit", where, title, missing, COMMON_PRACTICE)
            continue
        yield at_most(
            rule="operating-limit",
            where=where,
            field=f"{where}.modules",
            worse=Status.MARGINAL,
            title=(
                f"{array.label}: {case.show(value, 'V')} at the design low, "
                f"{controller.label} works up to {case.show(limit, 'V')}"
            ),
            remedy=f"It waits in the cold until the sun has warmed the modules; {PATHS}.",
            value=value,
            limit=limit,
            unit="V",
            source=COMMON_PRACTICE,
            steps=steps(array.steps, "open_design", "longest_operating"),
        )


def module_system_voltage(case: Case) -> Iterator[Finding]:
    """A string may not stand over its modules' system voltage: design low decides, record low warns."""
    source = case.family.clause("pv_voltage")
    for array in case.arrays.values():
        where = f"arrays.{array.array}"
        record = case.design.find("arrays", array.array)
        module = case.design.find("modules", getattr(record, "module", None))
        limit = getattr(module, "system_voltage", None)
        value, worst = array.open_design, array.open_record
        if value is None or limit is None:
            wanted = (
                ask(f"modules.{getattr(record, 'module', '')}", module, "system_voltage") if module else ()
            )
            missing = (*needed(array.missing, *COLD, "design_low"), *wanted)
            title = f"Not known whether the modules of {array.label} stand its voltage"
            yield unknown("module-system-voltage", where, title, missing, source)
            continue
        fails = over(value, limit)
        warns = worst is not None and over(worst, limit)
        highest = worst if warns and worst is not None else value
        yield Finding(
            rule="module-system-voltage",
            where=where,
            field=f"{where}.modules",
            status=Status.FAILS if fails else Status.MARGINAL if warns else Status.MEETS,
            signal=Signal.WARNING if fails or warns else Signal.NONE,
            title=(
                f"{array.label}: {case.show(highest, 'V')} on modules made for {case.show(limit, 'V')}"
                f"{'' if worst is not None else '; the record low is not known'}"
            ),
            remedy="Fewer modules in a string." if fails or warns else "",
            value=highest,
            limit=float(limit),
            unit="V",
            margin=room_below(highest, limit),
            source=source,
            steps=steps(array.steps, "open_design", "open_record"),
        )


def start_voltage(case: Case) -> Iterator[Finding]:
    """A hot string must still stand over the battery's highest charging voltage, and over the start."""
    for array, controller in _pairs(case):
        record = case.design.find("controllers", controller.controller)
        if isinstance(record, Controller) and record.use("kind") == "diversion":
            continue  # nothing starts it; another rule says that no array belongs on it
        where = f"arrays.{array.array}"
        value, limit = array.running_hot, controller.start
        if value is None or limit is None or controller.battery_high is None:
            missing = (
                *needed(array.missing, "vmp", "gamma_pmp", "beta_vmp", "design_high", "modules", "module"),
                *needed(controller.missing, "start_above_battery", "start_voltage", "highest_voltage"),
            )
            title = f"Not known whether {array.label} starts {controller.label} on a hot day"
            yield unknown("start-voltage", where, title, missing, COMMON_PRACTICE)
            continue
        never = under(value, controller.battery_high)
        late = under(value, limit)
        yield Finding(
            rule="start-voltage",
            where=where,
            field=f"{where}.modules",
            status=Status.FAILS if never else Status.MARGINAL if late else Status.MEETS,
            title=(
                f"{array.label}: {case.show(value, 'V')} running on the hottest day, "
                f"{controller.label} starts at {case.show(limit, 'V')}"
            ),
            remedy=_more(array.shortest) if never or late else "",
            value=value,
            limit=limit,
            unit="V",
            margin=room_above(value, limit),
            source=COMMON_PRACTICE,
            steps=(*steps(array.steps, "running_hot", "shortest"), *steps(controller.steps, "start")),
        )


def string_length(case: Case) -> Iterator[Finding]:
    """The range of string lengths that this controller takes at this place."""
    for array, controller in _pairs(case):
        where = f"arrays.{array.array}"
        count, longest, shortest = array.modules, array.longest, array.shortest
        if count is None or longest is None or shortest is None:
            continue
        none = shortest > longest
        bad = count > longest
        short = count < shortest
        told = (
            f"no string length fits {controller.label} here: {shortest} to start, {longest} to survive"
            if none
            else f"{count} in a string, {controller.label} takes {shortest} to {longest}"
        )
        yield Finding(
            rule="string-length",
            where=where,
            field=f"{where}.modules",
            status=Status.FAILS if bad else Status.MARGINAL if short or none else Status.MEETS,
            title=f"{array.label}: {told}",
            remedy=(
                "Another module or another class of controller."
                if none
                else f"{_fewer(longest)} {SAFE_SIDE}"
                if bad
                else _more(shortest)
                if short
                else ""
            ),
            value=float(count),
            limit=float(longest),
            unit="1",
            margin=room_below(count, longest) if longest else -1.0,
            source=case.family.clause("pv_voltage"),
            steps=steps(array.steps, "longest", "longest_operating", "shortest"),
        )


def _fewer(longest: int | None) -> str:
    if not longest:
        return "Another module or a controller with a higher limit."
    return f"At most {longest} modules in a string, or a controller with a higher limit."


def _more(shortest: int | None) -> str:
    if not shortest:
        return "More modules in a string, or a controller that starts lower."
    return f"At least {shortest} modules in a string, or a controller that starts lower."
