"""A wind turbine against its place: what stands about it, how rough the wind is, and the storms there."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import WindTurbine
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_most, room_above, steps, under, unknown
from engine.rules.shared.wind import each
from engine.sections.results import Missing, ask
from engine.sections.wind import WindResult
from engine.sections.wind_class import stands_gust, stands_mean
from engine.sources import Source

CLEAR, NEAR = 10.0, 150.0  # m: the lowest blade tip over everything that stands so near
ROUGH = 0.18  # turbulence intensity at 15 m/s that every class is made for
TOWERS = Source("Wind Power", "P. Gipe, Chelsea Green", "2004", "towers and siting, rule of thumb")
CLASSES = Source("IEC 61400-2 small wind turbines", "IEC", "2013", "table 1")


def blade_clearance(case: Case) -> Iterator[Finding]:
    """The lowest tip of the blades over the highest thing near, behind which the wind is weak and rough."""
    for result, turbine, where in each(case):
        lacks = ask(where, turbine, "hub_height", "diameter", "obstacle_height")
        if turbine.obstacle_height:
            lacks += ask(where, turbine, "obstacle_distance")
        if lacks:
            title = f"{result.label}: not known how far its blades stay above what stands near"
            yield unknown("blade-clearance", where, title, lacks, TOWERS)
            continue
        value = _clearance(turbine)
        far = turbine.obstacle_distance is not None and float(turbine.obstacle_distance) > NEAR
        bad = under(value, CLEAR) and not far
        above = f"{case.show(float(turbine.obstacle_height or 0.0), 'm')} high"
        away = (
            f", {case.show(float(turbine.obstacle_distance), 'm')} away" if turbine.obstacle_distance else ""
        )
        yield Finding(
            rule="blade-clearance",
            where=where,
            field=f"{where}.hub_height",
            status=Status.MARGINAL if bad else Status.MEETS,
            signal=Signal.CAUTION if bad else Signal.NONE,
            title=(
                f"{result.label}: its lowest blade tip stays {case.show(value, 'm')} above what is near, "
                f"{above}{away}; {case.show(CLEAR, 'm')} within {case.show(NEAR, 'm')}"
            ),
            remedy=_clear(case, turbine, value) if bad else "",
            value=value,
            limit=CLEAR,
            unit="m",
            margin=None if far else room_above(value, CLEAR),
            source=TOWERS,
        )


def _clearance(turbine: WindTurbine) -> float:
    lowest = float(turbine.hub_height or 0.0) - float(turbine.diameter or 0.0) / 2
    return lowest - float(turbine.obstacle_height or 0.0)


def _clear(case: Case, turbine: WindTurbine, value: float) -> str:
    hub = float(turbine.hub_height or 0.0) + CLEAR - value
    return f"A hub at {case.show(hub, 'm')}, or another place: turbulence shakes it and takes its energy."


def turbulence(case: Case) -> Iterator[Finding]:
    """Turbulence that was measured, against what the classes are made for."""
    for result, turbine, where in each(case):
        if turbine.turbulence is None:
            continue  # seldom measured; the clearance of the blades stands for it
        value = float(turbine.turbulence)
        yield at_most(
            rule="turbulence",
            where=where,
            field=f"{where}.turbulence",
            worse=Status.MARGINAL,
            signal=Signal.CAUTION,
            title=(
                f"{result.label}: turbulence {case.show(value, '%')} at {case.show(15.0, 'm/s')}, "
                f"the classes are made for {case.show(ROUGH, '%')}"
            ),
            remedy="A higher tower or another place, else ask its maker: it wears sooner.",
            value=value,
            limit=ROUGH,
            unit="%",
            source=CLASSES,
        )


def class_gust(case: Case) -> Iterator[Finding]:
    """The strongest gust in fifty years at the hub, against that which the turbine is made for."""
    for result, turbine, where in each(case):
        value, limit = result.site_gust, stands_gust(turbine)
        if value is None or limit is None:
            title = f"{result.label}: not known whether it stands the storms of its place"
            yield unknown(
                "wind-class", where, title, _storms(case, result, turbine, where), CLASSES, Signal.WARNING
            )
            continue
        yield _made_for(case, result, where, "wind-class", "gusts of", value, limit)


def _storms(case: Case, result: WindResult, turbine: WindTurbine, where: str) -> tuple[Missing, ...]:
    """What is missing to compare storms."""
    lacks = ask("site", case.design.site, "gust") + ask(where, turbine, "hub_height")
    if stands_gust(turbine) is None:
        lacks += ask(where, turbine, "survival_wind" if turbine.wind_class == "S" else "wind_class")
    return lacks or result.missing


def class_mean(case: Case) -> Iterator[Finding]:
    """The mean wind of the year at the hub, against that which the turbine's class is made for."""
    for result, turbine, where in each(case):
        value, limit = result.mean_wind, stands_mean(turbine)
        if value is None or limit is None:
            continue  # storms and the energy of the year say what is missing; a maker's own class has none
        yield _made_for(case, result, where, "wind-class-mean", "a mean of", value, limit)


def _made_for(
    case: Case, result: WindResult, where: str, rule: str, what: str, value: float, limit: float
) -> Finding:
    return at_most(
        rule=rule,
        where=where,
        field=f"{where}.wind_class",
        signal=Signal.WARNING,
        title=(
            f"{result.label}: {what} {case.show(value, 'm/s')} at its hub, it is made for "
            f"{case.show(limit, 'm/s')}"
        ),
        remedy="A turbine of a stronger class: its tower or blades can break.",
        value=value,
        limit=limit,
        unit="m/s",
        source=CLASSES,
        steps=steps(result.steps, "mean_wind") if rule == "wind-class-mean" else (),
    )
