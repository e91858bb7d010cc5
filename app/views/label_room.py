"""Room for the labels of one line: each takes the first of its places that is free, the last is cut short.

Everything is a stretch of pixels on one line, so that two labels collide only where stretches overlap.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

GAP = 4.0
Stretch = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Spot:
    """A place to try: from ``anchor`` to the right, or to the left of it where ``leftward``, within ``room``.

    ``inside`` a bar its colour is no obstacle; a tick always is.
    """

    anchor: float
    leftward: bool
    room: Stretch
    inside: bool = False


@dataclass(frozen=True, slots=True)
class Want:
    """A label of a width that would stand at one of its spots; cut, if it must be, to ``least`` or more."""

    width: float
    least: float
    spots: tuple[Spot, ...]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a label stands: its stretch, the spot it took, and whether it is cut."""

    low: float
    high: float
    spot: int
    cut: bool


def place_labels(
    wants: Sequence[Want], bars: Sequence[Stretch], ticks: Sequence[Stretch]
) -> list[Place | None]:
    """A place for each label, earlier ones first; ``None`` where not even a cut one fits."""
    taken: list[Stretch] = []
    places: list[Place | None] = []
    for want in wants:
        found = _place(want, bars, [*ticks, *taken])
        if found is not None:
            taken.append((found.low, found.high))
        places.append(found)
    return places


def _place(want: Want, bars: Sequence[Stretch], solid: Sequence[Stretch]) -> Place | None:
    widest, chosen = 0.0, -1
    for number, spot in enumerate(want.spots):
        free = _free(spot, solid if spot.inside else [*solid, *bars])
        if free >= want.width:
            return _stand(spot, want.width, number, cut=False)
        if free > widest:
            widest, chosen = free, number
    if chosen < 0 or widest < want.least:
        return None
    return _stand(want.spots[chosen], widest, chosen, cut=True)


def _free(spot: Spot, obstacles: Sequence[Stretch]) -> float:
    """How far one can write from the anchor before the room ends or an obstacle comes."""
    low, high = spot.room
    if not low <= spot.anchor <= high:
        return 0.0
    if spot.leftward:
        if any(a < spot.anchor < b for a, b in obstacles):
            return 0.0
        return spot.anchor - max([low, *(b + GAP for _, b in obstacles if b <= spot.anchor)])
    if any(a < spot.anchor < b for a, b in obstacles):
        return 0.0
    return min([high, *(a - GAP for a, _ in obstacles if a >= spot.anchor)]) - spot.anchor


def _stand(spot: Spot, width: float, number: int, cut: bool) -> Place:
    low = spot.anchor - width if spot.leftward else spot.anchor
    return Place(low, low + width, number, cut)
