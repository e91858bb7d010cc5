"""Hydro turbines: what running free does to wheel, alternator and controller; whether the figures agree."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import HydroTurbine
from engine.finding import Finding, Signal, Status
from engine.physics.penstock import SMALL_HYDRO
from engine.physics.physical import GRAVITY
from engine.rules.judging import Case, at_most, needed, over, room_below, steps, under, unknown
from engine.sections.hydro import HydroResult
from engine.sections.hydro_head import JETS, PENSTOCK
from engine.sections.results import ask
from engine.sources import COMMON_PRACTICE, Source
from engine.tables import table

RUNAWAY = Source("Hydraulic machinery: runaway tests", "IEC 62006", "2010", "runaway speed")
WATER = 1000.0 * GRAVITY  # N/m^3
SLACK = 0.05  # share by which a rated power may pass what was computed: data sheets are round
LEAST_USE = (
    0.2  # of the water's power; small plants run at 0.4 to 0.55 (measured, case studies of 2001, 2002)
)
BUCKETS = (0.40, 0.50)  # bucket over jet speed of an impulse wheel at work (common practice)
AWAY = ("rated_speed", "runaway_factor", *PENSTOCK, "pipe_roughness", "fittings", "flow", "nozzle_diameter")


def pairs(case: Case) -> Iterator[tuple[HydroTurbine, HydroResult, str]]:
    """Every hydro turbine with its result and its path."""
    for turbine in case.design.hydro:
        if turbine.id in case.hydro:
            yield turbine, case.hydro[turbine.id], f"hydro.{turbine.id}"


def runaway_speed(case: Case) -> Iterator[Finding]:
    """A wheel and a rotor that are not made for the runaway speed burst."""
    for turbine, result, where in pairs(case):
        value = None if result.water.runaway is None else result.water.runaway.speed
        limit = turbine.largest_speed
        if value is None or limit is None:
            title = f"{result.label}: not known whether wheel and alternator stand running free"
            missing = (*ask(where, turbine, "largest_speed", *AWAY[:2]), *needed(result.missing, *AWAY))
            told = steps(result.steps, "runaway")
            yield unknown("hydro-runaway-speed", where, title, missing, RUNAWAY, Signal.DANGER, told)
            continue
        yield at_most(
            rule="hydro-runaway-speed",
            where=where,
            field=f"{where}.largest_speed",
            signal=Signal.DANGER,
            title=(
                f"{result.label}: {case.show(value, 'rpm')} running free, made for {case.show(limit, 'rpm')}"
            ),
            remedy="A wheel and an alternator that stand it: without load it gets there by itself.",
            value=value,
            limit=limit,
            unit="rpm",
            source=RUNAWAY,
            steps=steps(result.steps, "runaway"),
        )


def runaway_factor(case: Case) -> Iterator[Finding]:
    """A runaway factor below the least of its kind makes everything that follows from it too mild."""
    source = table("runaway_speed_ratio").source
    rows = {str(row["turbine"]).casefold(): row for row in table("runaway_speed_ratio").rows()}
    for turbine, result, where in pairs(case):
        value, kind = turbine.runaway_factor, turbine.turbine
        if value is None or kind is None:
            title = f"{result.label}: not known how far over its rated speed it runs away"
            missing = ask(where, turbine, "turbine", "runaway_factor")
            yield unknown("hydro-runaway-factor", where, title, missing, source, Signal.WARNING)
            continue
        limit = min(float(str(row["min"])) for name, row in rows.items() if name.startswith(kind))
        bad = under(value, limit)
        yield Finding(
            rule="hydro-runaway-factor",
            where=where,
            field=f"{where}.runaway_factor",
            status=Status.MARGINAL if bad else Status.MEETS,
            signal=Signal.WARNING if bad else Signal.NONE,
            title=f"{result.label}: runs away at {value:g} times its speed, its kind at {limit:g} or more",
            remedy="Only a maker's test says less: voltage and speed follow from it." if bad else "",
            value=float(value),
            limit=limit,
            margin=(value - limit) / limit,
            source=source,
        )


def lock_out(case: Case) -> Iterator[Finding]:
    """A controller that waits above its operating limit waits for ever: nothing slows an unloaded turbine."""
    for turbine, result, where in pairs(case):
        controller = case.controllers.get(turbine.controller or "")
        limit = None if controller is None else controller.operating
        value = result.free_voltage
        if controller is None or value is None or limit is None:
            title = f"{result.label}: not known whether its controller starts on it running free"
            missing = (
                *ask(where, turbine, "open_voltage", "controller"),
                *(needed(controller.missing, "operating_limit") if controller is not None else ()),
            )
            yield unknown("hydro-lock-out", where, title, missing, COMMON_PRACTICE)
            continue
        bad = over(value, limit)
        held = bad and turbine.limiter_on is not None and not over(turbine.limiter_on, limit)
        limited = f", its limiter begins at {case.show(turbine.limiter_on or 0.0, 'V')}" if held else ""
        yield Finding(
            rule="hydro-lock-out",
            where=where,
            field=f"controllers.{turbine.controller}.operating_limit",
            status=Status.MEETS if not bad else Status.MARGINAL if held else Status.FAILS,
            signal=Signal.WARNING if bad else Signal.NONE,
            title=(
                f"{result.label}: {case.show(value, 'V')} running free, "
                f"{controller.label} works up to {case.show(limit, 'V')}{limited}"
            ),
            remedy="It trips for ever: a controller that works higher, or water let on only under load."
            if bad
            else "",
            value=value,
            limit=limit,
            unit="V",
            margin=room_below(value, limit),
            source=COMMON_PRACTICE,
            steps=steps(result.steps, "runaway"),
        )


def rated_power(case: Case) -> Iterator[Finding]:
    """A rated power against what the water has, and against what is left of it at the controller."""
    for turbine, result, where in pairs(case):
        power, wet, line = turbine.rated_power, result.water, result.line
        flow = wet.entered if wet.entered is not None else wet.flow
        if power is None or flow is None or turbine.gross_head is None:
            title = f"{result.label}: not known whether the water has its rated power"
            missing = ask(where, turbine, "rated_power", "flow", "gross_head")
            yield unknown("hydro-rated-power", where, title, missing, SMALL_HYDRO)
            continue
        limit = WATER * float(turbine.gross_head) * flow
        made = None if line is None else line.best_power
        status, remedy = _power(float(power), limit, made)
        computed = f", {case.show(made, 'W')} computed" if made is not None else ""
        yield Finding(
            rule="hydro-rated-power",
            where=where,
            field=f"{where}.rated_power",
            status=status,
            signal=Signal.NONE if status is Status.MEETS else Signal.NOTICE,
            title=(
                f"{result.label}: rated {case.show(power, 'W')}{computed}, "
                f"the water has {case.show(limit, 'W')} at most"
            ),
            remedy=remedy,
            value=float(power),
            limit=limit,
            unit="W",
            margin=room_below(float(power), limit),
            source=SMALL_HYDRO,
            steps=steps(result.steps, "net_head", "line"),
        )


def _power(rated: float, water: float, made: float | None) -> tuple[Status, str]:
    if over(rated, water):
        return (
            Status.FAILS,
            "No turbine gives more than density, gravity, flow and head: one of them is wrong.",
        )
    if made is not None and rated > made * (1 + SLACK):
        return Status.MARGINAL, (
            "Net head and efficiency give less: reckon with what was computed, or find what differs."
        )
    if rated < LEAST_USE * water:
        return Status.MARGINAL, "Less than a fifth of the water's power: look at the flow and its unit."
    return Status.MEETS, ""


def wheel_speed(case: Case) -> Iterator[Finding]:
    """An impulse wheel works where its buckets run at nearly half the speed of the jet."""
    for turbine, result, where in pairs(case):
        if turbine.turbine not in JETS:
            continue
        wheel, (low, high) = result.water.wheel, BUCKETS
        if wheel is None:
            title = f"{result.label}: not known whether wheel and jet fit"
            missing = needed(result.missing, "wheel_diameter", *AWAY)
            yield unknown("hydro-wheel-speed", where, title, missing, SMALL_HYDRO)
            continue
        slow, fast = under(wheel.ratio, low), over(wheel.ratio, high)
        best = case.show(wheel.best_speed, "rpm")
        yield Finding(
            rule="hydro-wheel-speed",
            where=where,
            field=f"{where}.wheel_diameter",
            status=Status.MARGINAL if slow or fast else Status.MEETS,
            title=f"{result.label}: its buckets run at {wheel.ratio:.2f} of the jet's speed, best at {best}",
            remedy=f"Between {low:g} and {high:g}: another wheel, drive or alternator."
            if slow or fast
            else "",
            value=wheel.ratio,
            limit=low if slow else high,
            margin=(wheel.ratio - low) / low if slow else room_below(wheel.ratio, high),
            source=SMALL_HYDRO,
            steps=steps(result.steps, "wheel_speed"),
        )


def alternator_current(case: Case) -> Iterator[Finding]:
    """The current that the water drives, tracked or straight into the battery, against the alternator's."""
    for turbine, result, where in pairs(case):
        line, limit, low = result.line, turbine.rated_current, case.design.bank.lowest_voltage
        record = case.design.find("controllers", turbine.controller)
        tracks = record is not None and record.use("kind") == "tracking"
        if line is None or limit is None or (low is None and not tracks):
            title = f"{result.label}: not known whether its alternator stands its current"
            lacks = () if tracks else ask("bank", case.design.bank, "lowest_voltage")
            missing = (*ask(where, turbine, "rated_current"), *lacks, *result.missing)
            yield unknown("hydro-alternator-current", where, title, missing, COMMON_PRACTICE)
            continue
        volts = line.best_voltage if tracks else float(low or 0.0)
        value = max(line.open_voltage - volts, 0.0) / line.resistance
        yield at_most(
            rule="hydro-alternator-current",
            where=where,
            field=f"{where}.rated_current",
            signal=Signal.WARNING,
            title=(
                f"{result.label}: {case.show(value, 'A')} at {case.show(volts, 'V')}"
                f"{' tracked' if tracks else ', straight on the lowest battery'}, "
                f"its alternator is made for {case.show(limit, 'A')}"
            ),
            remedy="Its windings burn: track it, wind it for the battery, or give it less water.",
            value=value,
            limit=limit,
            unit="A",
            source=COMMON_PRACTICE,
            steps=steps(result.steps, "line"),
        )


def output(case: Case) -> Iterator[Finding]:
    """What a turbine drives into the battery against what its controller passes: the rest speeds it up."""
    for turbine, result, where in pairs(case):
        controller = case.controllers.get(turbine.controller or "")
        limit = None if controller is None else controller.largest_output
        value = result.output_current
        if controller is None or value is None or limit is None:
            title = f"{result.label}: not known whether its controller takes all that it gives"
            lacks = needed(controller.missing, "current_limit") if controller is not None else ()
            yield unknown("hydro-output", where, title, (*result.missing, *lacks), COMMON_PRACTICE)
            continue
        yield at_most(
            rule="hydro-output",
            where=where,
            field=f"controllers.{turbine.controller}.current_limit",
            worse=Status.MARGINAL,
            signal=Signal.CAUTION,
            title=(
                f"{result.label}: drives {case.show(value, 'A')} into the battery, "
                f"{controller.label} passes {case.show(limit, 'A')}"
            ),
            remedy="The rest speeds the wheel up, and its voltage: less water, or a larger controller.",
            value=value,
            limit=limit,
            unit="A",
            source=COMMON_PRACTICE,
            steps=steps(result.steps, "line"),
        )
