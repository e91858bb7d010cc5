"""How loads start: what can run together, and what it takes while the worst of it starts."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from engine.design import Load
from engine.physics.demand import load_start
from engine.sections.notes import Notes

MOTOR_START = 6.0  # starting over running power of a motor straight on the line (common practice, high end)


def entered(load: Load) -> float:
    """Starting over running power, as entered or by its default."""
    return float(load.use("surge_factor"))


def starting_factor(load: Load) -> float:
    """Starting over running power; a load of which nobody entered it counts as a motor."""
    return MOTOR_START if load.surge_factor is None else float(load.surge_factor)


def peak(
    known: Sequence[tuple[Load, float]], notes: Notes, factor_of: Callable[[Load], float] = entered
) -> tuple[float, float, str]:
    """What can run together, what it takes while the worst of it starts [W], and which load that is.

    Of the loads that do not run with others one runs at a time, on top of all that do.
    """
    running = [power * int(load.use("number")) for load, power in known]
    apart = [not load.use("together") for load, _ in known]
    base = sum(watts for watts, alone in zip(running, apart, strict=True) if not alone)
    turn = max((watts for watts, alone in zip(running, apart, strict=True) if alone), default=0.0)
    most, worst, step = base + turn, (base + turn, ""), None
    for (load, _), watts, alone in zip(known, running, apart, strict=True):
        around = base + watts if alone else most
        factor = factor_of(load)
        if around + watts * (factor - 1) > worst[0]:
            step = {"running": around, "power": watts, "factor": factor}
            worst = (load_start(**step).surge, load.id)
    if step is not None:
        notes.keep("start", load_start, **step)
    return most, worst[0], worst[1]
