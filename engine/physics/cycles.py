"""Cycle counting: what a battery's state of charge went through, in cycles of each depth."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from engine.sources import Source
from engine.worksheet import CannotCalculate, Output, quantities, worksheet


class Cycle(NamedTuple):
    """A cycle between two turning points; ``share`` is 1, or 0.5 for a half cycle."""

    low: float
    high: float
    share: float


class CycleCount(NamedTuple):
    ranges: tuple[float, ...]
    counts: tuple[float, ...]


def turning_points(history: Sequence[float]) -> list[float]:
    """First value, every peak and valley, last value; repeated values count as one."""
    points: list[float] = []
    for value in history:
        if points and value == points[-1]:
            continue
        if len(points) > 1 and (points[-1] > points[-2]) == (value > points[-1]):
            points[-1] = value
        else:
            points.append(value)
    return points


def rainflow(history: Sequence[float]) -> Iterator[Cycle]:
    """Cycles of a history, in the order in which ASTM E1049 counts them (5.4.4, with half cycles)."""
    open_points: list[float] = []
    for point in turning_points(history):
        open_points.append(point)
        while len(open_points) >= 3:
            start, middle, end = open_points[-3:]
            if abs(end - middle) < abs(middle - start):
                break
            if len(open_points) == 3:
                yield _cycle(start, middle, 0.5)
                del open_points[0]
            else:
                yield _cycle(start, middle, 1.0)
                del open_points[-3:-1]
    for start, end in pairwise(open_points):
        yield _cycle(start, end, 0.5)


def _cycle(one: float, other: float, share: float) -> Cycle:
    return Cycle(min(one, other), max(one, other), share)


@worksheet(
    id="cycle-count",
    subject="Storage",
    title="Cycles in a history",
    inputs=(quantities("history", "1", "values in time order", "[-2, 1, -3, 5, -1, 3, -4, 4, -2]"),),
    outputs=(
        Output("ranges", "ranges, smallest first", "1"),
        Output("counts", "cycles of each range", "1"),
    ),
    expression=("ranges = rainflow count of history: what closes is a cycle, what does not a half cycle",),
    source=Source(
        "ASTM E1049, Standard Practices for Cycle Counting in Fatigue Analysis",
        "ASTM International",
        "1985",
        "5.4.4",
        "read",
    ),
    validity="Any one quantity in any unit; for a battery its state of charge.",
)
def cycle_count(*, history: Sequence[float]) -> CycleCount:
    """Ranges and counts of the cycles in a history, by rainflow counting after ASTM E1049.

    Args: history[time] [any one unit], at least two values.
    Returns: ranges, each once, smallest first, and the count of each, whole cycles and halves summed. A
    history that never moves has none. Ranges are told apart exactly; round the history first where noise must
    not.
    Raises CannotCalculate for fewer than two values.

    >>> cycle_count(history=(0, 4, 1, 3, 0))
    CycleCount(ranges=(2, 4), counts=(1.0, 1.0))

    Source: ASTM E1049-85, 5.4.4 (read).
    """
    if len(history) < 2:
        raise CannotCalculate("history", f"{len(history)} value", "at least two values")
    summed: dict[float, float] = defaultdict(float)
    for cycle in rainflow(history):
        summed[cycle.high - cycle.low] += cycle.share
    ranges = tuple(sorted(summed))
    return CycleCount(ranges, tuple(summed[each] for each in ranges))
