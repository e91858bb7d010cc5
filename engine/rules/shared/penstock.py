"""Penstocks: pressure, the flow that they can use, nozzles, what stays in the stream, air and ice."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_most, needed, over, room_above, room_below, steps, under, unknown
from engine.rules.shared.hydro import pairs
from engine.sections.hydro import HydroResult
from engine.sections.hydro_head import JETS, LOW_HEAD, PENSTOCK
from engine.sections.results import ask
from engine.sources import COMMON_PRACTICE, Source

WATER_HAMMER = Source(
    "Fluid Transients in Systems", "E. B. Wylie and V. L. Streeter, Prentice Hall", "1993", "1.2"
)
MASTERS = Source("Renewable and Efficient Electric Power Systems", "G. M. Masters, Wiley", "2004", "4.5")
SOURCEBOOK = Source("Micro-Hydropower Sourcebook", "A. Inversin, NRECA", "1986")
PICO = Source(
    "PCF-CAL-001, sizing calculations for an open-hardware low-head pico-hydro unit",
    "public design repository",
    "2026",
    how="read",
)
EVEN = 0.01  # share by which the flow that was entered and the one that the nozzles pass may differ
JET_OVER_WHEEL = {"pelton": 0.12, "turgo": 0.30}  # the largest jet that the buckets take well (PCF-CAL-001)
MOST_BELOW = 0.05  # of the head, below the nozzle (PCF-CAL-001 finds 12 % too much)
HEAD = (*PENSTOCK, "pipe_roughness", "fittings", "flow", "nozzle_diameter", "below_nozzle")


def pressure(case: Case) -> Iterator[Finding]:
    """Still water and the surge of a shut valve against the pipe's class; a plugged nozzle warns."""
    for turbine, result, where in pairs(case):
        surge, limit = result.surge, turbine.pipe_pressure
        if surge is None or limit is None:
            title = f"{result.label}: not known whether its penstock stands the surge"
            missing = (*ask(where, turbine, "pipe_pressure"), *needed(result.missing, *HEAD))
            yield unknown("penstock-pressure", where, title, missing, WATER_HAMMER, Signal.DANGER)
            continue
        fails = over(surge.valve, limit)
        warns = not fails and over(surge.plug, limit)
        value = surge.plug if warns else surge.valve
        how = "a nozzle plugged" if warns else "valve shut"
        if not warns and turbine.closure_time is not None:
            how += f" in {case.show(turbine.closure_time, 's')}"
        yield Finding(
            rule="penstock-pressure",
            where=where,
            field=f"{where}.{'closure_time' if fails else 'pipe_pressure'}",
            status=Status.FAILS if fails else Status.MARGINAL if warns else Status.MEETS,
            signal=Signal.DANGER if fails else Signal.WARNING if warns else Signal.NONE,
            title=(
                f"{result.label}: {case.show(value, 'Pa')} in the penstock, {how} "
                f"({case.show(surge.still, 'Pa')} at rest), made for {case.show(float(limit), 'Pa')}"
            ),
            remedy=_surge_remedy(case, result, fails, warns),
            value=value,
            limit=float(limit),
            unit="Pa",
            margin=room_below(value, float(limit)),
            source=WATER_HAMMER,
            steps=steps(result.steps, "plug_surge" if warns else "valve_surge"),
        )


def _surge_remedy(case: Case, result: HydroResult, fails: bool, warns: bool) -> str:
    if fails and result.surge is not None and result.surge.critical_time is not None:
        critical = case.show(result.surge.critical_time, "s")
        return f"A valve that takes many times {critical} to close, a gate with a screw; or a higher class."
    return "A screen that no stone passes, more nozzles, or a higher class." if warns else ""


def best_flow(case: Case) -> Iterator[Finding]:
    """Beyond a third of the head lost, more water through the same pipe gives less power."""
    for _, result, where in pairs(case):
        wet = result.water
        if wet.best is None or wet.flow is None:
            title = f"{result.label}: not known whether its penstock carries the flow"
            yield unknown("penstock-flow", where, title, needed(result.missing, *HEAD), MASTERS)
            continue
        value = max(wet.entered or 0.0, wet.flow)
        lost = "" if wet.head is None else f", {1 - wet.head.share:.0%} of the head lost"
        yield at_most(
            rule="penstock-flow",
            where=where,
            field=f"{where}.pipe_diameter",
            worse=Status.MARGINAL,
            title=(
                f"{result.label}: {case.show(value, 'm^3/s')}{lost}; "
                f"the pipe gives most power at {case.show(wet.best.flow, 'm^3/s')}"
            ),
            remedy="More water gives less power: smaller nozzles, or a wider pipe.",
            value=value,
            limit=wet.best.flow,
            unit="m^3/s",
            source=MASTERS,
            steps=steps(result.steps, "pipe_best", "net_head"),
        )


def nozzle_flow(case: Case) -> Iterator[Finding]:
    """Flow, nozzles and head must agree: a coefficient that was counted twice shows here."""
    for turbine, result, where in pairs(case):
        if turbine.turbine not in JETS and turbine.nozzle_diameter is None:
            continue
        wet = result.water
        if wet.nozzle is None or wet.entered is None:
            title = f"{result.label}: not known whether its nozzles pass the flow"
            missing = (*ask(where, turbine, "flow", "nozzle_diameter"), *needed(result.missing, *HEAD))
            yield unknown("nozzle-flow", where, title, missing, PICO)
            continue
        off = wet.entered / wet.nozzle.flow - 1
        bad = abs(off) > EVEN * (1 + 1e-9)
        yield Finding(
            rule="nozzle-flow",
            where=where,
            field=f"{where}.nozzle_diameter",
            status=Status.MARGINAL if bad else Status.MEETS,
            signal=Signal.NOTICE if bad else Signal.NONE,
            title=(
                f"{result.label}: flow {case.show(wet.entered, 'm^3/s')} entered, "
                f"its nozzles pass {case.show(wet.nozzle.flow, 'm^3/s')}"
            ),
            remedy=_nozzle_remedy(off, wet.coefficient) if bad else "",
            value=wet.entered,
            limit=wet.nozzle.flow,
            unit="m^3/s",
            margin=EVEN - abs(off),
            source=PICO,
            steps=steps(result.steps, "nozzle_flow"),
        )


def _nozzle_remedy(off: float, coefficient: float) -> str:
    if abs(off + 1 - coefficient) < (1 - coefficient) / 3:
        return "They differ by the nozzle's coefficient: it seems counted twice. It counts once, in the jet."
    if off > 0:
        return (
            "The nozzles let no more through: the rest goes over the weir. Larger nozzles, or a smaller flow."
        )
    return "The nozzles take more than that: where the stream lacks it, the pipe draws air. Smaller nozzles."


def residual_flow(case: Case) -> Iterator[Finding]:
    """What stays in the stream at full flow, in the leanest month in which it runs at all."""
    for turbine, result, where in pairs(case):
        flow, limit = result.water.flow, turbine.residual_flow
        if flow is None or limit is None or turbine.flow_months is None:
            title = f"{result.label}: not known whether enough water stays in the stream"
            missing = (*ask(where, turbine, "flow_months", "residual_flow"), *needed(result.missing, *HEAD))
            yield unknown("residual-flow", where, title, missing, COMMON_PRACTICE)
            continue
        least = float(min((month for month in turbine.flow_months if month > 0), default=0.0))
        value, bad = least - flow, under(least - flow, limit)
        spare = max(least - float(limit), 0.0)
        yield Finding(
            rule="residual-flow",
            where=where,
            field=f"{where}.residual_flow",
            status=Status.MARGINAL if bad else Status.MEETS,
            signal=Signal.NOTICE if bad else Signal.NONE,
            title=(
                f"{result.label}: at full flow {case.show(max(value, 0.0), 'm^3/s')} stay in the stream "
                f"in its leanest month, {case.show(limit, 'm^3/s')} must"
            ),
            remedy=_lean(case, spare) if bad else "",
            value=value,
            limit=float(limit),
            unit="m^3/s",
            margin=room_above(value, float(limit)) if limit else None,
            source=COMMON_PRACTICE,
        )


def _lean(case: Case, spare: float) -> str:
    if spare == 0:
        return "Shut it in that month: nothing is left for it."
    return f"Throttle it to {case.show(spare, 'm^3/s')} then: fewer or smaller nozzles."


def low_head(case: Case) -> Iterator[Finding]:
    """On a low head every fitting counts, and what falls below a nozzle is lost."""
    for turbine, result, where in pairs(case):
        head = turbine.gross_head
        if head is not None and head < LOW_HEAD:
            missing = ask(where, turbine, "fittings")
            yield Finding(
                rule="fittings-counted",
                where=where,
                field=f"{where}.fittings",
                status=Status.UNKNOWN if missing else Status.MEETS,
                signal=Signal.CAUTION if missing else Signal.NONE,
                title=(
                    f"{result.label}: the loss in valve, bends and entrance "
                    f"{'is not known' if missing else 'is counted'}, on a head of {case.show(head, 'm')}"
                ),
                remedy="Enter: Sum of fitting losses, K." if missing else "",
                source=PICO,
                steps=steps(result.steps, "net_head"),
            )
        below = turbine.below_nozzle
        if head is not None and below is not None and turbine.turbine in JETS:
            yield _tailwater(case, result, where, float(below), float(head))


def _tailwater(case: Case, result: HydroResult, where: str, below: float, head: float) -> Finding:
    return at_most(
        rule="tailwater",
        where=where,
        field=f"{where}.below_nozzle",
        worse=Status.MARGINAL,
        signal=Signal.CAUTION,
        title=f"{result.label}: {case.show(below, 'm')} of {case.show(head, 'm')} lie below the nozzle",
        remedy="A free jet gets nothing from it: set the wheel lower, clear of the flood.",
        value=below / head,
        limit=MOST_BELOW,
        source=PICO,
    )


def jet_and_wheel(case: Case) -> Iterator[Finding]:
    """A jet too thick for its wheel splashes past the buckets."""
    for turbine, result, where in pairs(case):
        limit = JET_OVER_WHEEL.get(turbine.turbine or "")
        if limit is None:
            continue
        jet, wheel = turbine.nozzle_diameter, turbine.wheel_diameter
        if jet is None or wheel is None:
            title = f"{result.label}: not known whether its jet fits the wheel"
            missing = ask(where, turbine, "nozzle_diameter", "wheel_diameter")
            yield unknown("jet-and-wheel", where, title, missing, PICO)
            continue
        value = float(jet) / float(wheel)
        yield at_most(
            rule="jet-and-wheel",
            where=where,
            field=f"{where}.nozzle_diameter",
            worse=Status.MARGINAL,
            signal=Signal.CAUTION,
            title=f"{result.label}: its jet is {value:.3g} of the wheel, {limit:g} at most",
            remedy="More and thinner jets, or a larger wheel.",
            value=value,
            limit=limit,
            source=PICO,
        )


def air_vent(case: Case) -> Iterator[Finding]:
    """A pipe that drains behind a shut intake collapses, unless air gets in."""
    for turbine, result, where in pairs(case):
        if turbine.air_vent is None:
            title = f"{result.label}: not known whether its penstock can draw air at the intake"
            missing = ask(where, turbine, "air_vent")
            yield unknown("air-vent", where, title, missing, SOURCEBOOK, Signal.CAUTION)
            continue
        yield Finding(
            rule="air-vent",
            where=where,
            field=f"{where}.air_vent",
            status=Status.MEETS if turbine.air_vent else Status.MARGINAL,
            signal=Signal.NONE if turbine.air_vent else Signal.CAUTION,
            title=f"{result.label}: {'an' if turbine.air_vent else 'no'} air vent below the intake valve",
            remedy="" if turbine.air_vent else "A vent there: a vacuum flattens a thin pipe.",
            source=SOURCEBOOK,
        )


def intake_ice(case: Case) -> Iterator[Finding]:
    """An intake that ices leaves the place dark when the sun is least."""
    low = case.design.site.design_low
    for turbine, result, where in pairs(case):
        frost = low is None or low < 0
        if frost and (low is None or turbine.intake_deep is None):
            title = f"{result.label}: not known whether its intake stays free of ice"
            missing = (*ask("site", case.design.site, "design_low"), *ask(where, turbine, "intake_deep"))
            yield unknown("intake-ice", where, title, missing, COMMON_PRACTICE, Signal.CAUTION)
            continue
        bad = frost and turbine.intake_deep is False
        cold = f", down to {case.show(low, 'degC')}" if low is not None else ""
        yield Finding(
            rule="intake-ice",
            where=where,
            field=f"{where}.intake_deep",
            status=Status.MARGINAL if bad else Status.MEETS,
            signal=Signal.CAUTION if bad else Signal.NONE,
            title=f"{result.label}: its intake {'can ice' if bad else 'stays free of ice'}{cold}",
            remedy="A screen deep under the ice; until then count on nothing from it in the frost."
            if bad
            else "",
            source=COMMON_PRACTICE,
        )
