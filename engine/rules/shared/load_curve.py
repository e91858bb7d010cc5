"""The load curve that a designer entered: what it gives up, and whether it holds the rotor."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_least, at_most, over, room_below, unknown
from engine.rules.shared.wind import FREE, each
from engine.sections.results import Floats, ask
from engine.sections.wind import WINDS
from engine.sources import COMMON_PRACTICE

GIVES_UP = 0.05  # of the year; a curve of the best dozen points gives up less than 1 %
AGAIN = "Take the computed curve, or move its points nearer to that one."


def curve_loss(case: Case) -> Iterator[Finding]:
    """What an entered load curve gives up of the ideal harvest."""
    for result, turbine, where in each(case):
        if turbine.load_points is None or result.kind == "direct":
            continue
        on, ideal = result.energy_load, result.energy_tracked
        if on is None or not ideal:
            title = f"{result.label}: not known what its load curve gives up"
            missing = (*result.missing, *ask(where, turbine, "controller"))
            yield unknown("load-curve-loss", where, title, missing, COMMON_PRACTICE)
            continue
        value = max(1 - on / ideal, 0.0)
        yield at_most(
            rule="load-curve-loss",
            where=where,
            field=f"{where}.load_points",
            worse=Status.MARGINAL,
            title=(
                f"{result.label}: its load curve brings {case.show(on, 'Wh')} a year, "
                f"the ideal {case.show(ideal, 'Wh')}"
            ),
            remedy=AGAIN,
            value=value,
            limit=GIVES_UP,
            unit="%",
            source=COMMON_PRACTICE,
        )


def curve_stall(case: Case) -> Iterator[Finding]:
    """A curve that asks for too much holds the rotor in stall, from which a gust breaks it loose."""
    for result, turbine, where in each(case):
        if turbine.load_points is None or result.kind == "direct":
            continue
        limit = float(WINDS[-1])
        if result.on_load is None:
            title = f"{result.label}: not known whether its load curve stalls the rotor"
            missing = (*result.missing, *ask(where, turbine, "controller"))
            yield unknown("load-curve-stall", where, title, missing, COMMON_PRACTICE, Signal.WARNING)
            continue
        slips: Floats = WINDS[result.on_load.slips]
        value = float(slips.min()) if slips.size else limit
        told = (
            f"holds the rotor in stall from {case.show(value, 'm/s')} on"
            if slips.size
            else "never holds the rotor in stall"
        )
        yield at_least(
            rule="load-curve-stall",
            where=where,
            field=f"{where}.load_points",
            worse=Status.MARGINAL,
            signal=Signal.WARNING,
            title=f"{result.label}: its load curve {told}",
            remedy=f"A gust breaks the rotor loose; then only furling or the brake holds it. {AGAIN}",
            value=value,
            limit=limit,
            unit="m/s",
            source=COMMON_PRACTICE,
        )


def curve_speed(case: Case) -> Iterator[Finding]:
    """How fast the rotor runs on an entered curve: under what it stands, and under the cap asked for."""
    source = case.family.clause("overspeed")
    for result, turbine, where in each(case):
        if turbine.load_points is None or result.kind == "direct":
            continue
        stands, cap = turbine.largest_speed, result.cap
        if result.on_load is None or stands is None or cap is None:
            title = f"{result.label}: not known how fast it runs on its load curve"
            missing = (*result.missing, *ask(where, turbine, "controller", "largest_speed"))
            yield unknown("load-curve-speed", where, title, missing, source, Signal.DANGER)
            continue
        value, at = float(result.on_load.rotor_speed.max()), int(np.argmax(result.on_load.rotor_speed))
        breaks, fast = over(value, stands), over(value, cap)
        limit = float(stands) if breaks else cap
        yield Finding(
            rule="load-curve-speed",
            where=where,
            field=f"{where}.load_points",
            status=Status.FAILS if breaks else Status.MARGINAL if fast else Status.MEETS,
            signal=Signal.DANGER if breaks else Signal.WARNING if fast else Signal.NONE,
            title=(
                f"{result.label}: up to {case.show(value, 'rpm')} on its load curve, in "
                f"{case.show(float(WINDS[at]), 'm/s')}; keep it under {case.show(limit, 'rpm')}"
            ),
            remedy=f"{FREE} A curve that asks for more at its last points, or furling that begins earlier."
            if fast
            else "",
            value=value,
            limit=limit,
            unit="rpm",
            margin=room_below(value, limit),
            source=source,
        )
