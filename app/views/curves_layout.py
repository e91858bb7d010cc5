"""Where the curves, their lines and labels stand: a source's look in, pixels out."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPolygonF

from app.views.axis import Axis, nice_step

Floats = npt.NDArray[np.float64]
HEADROOM, POWER_HEADROOM = 1.03, 1.5  # the power curve's top stays under the current's: the two read apart
UP_STEPS = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 10.0)
FINE = 3.0  # pixels between the points of a drawn curve


@dataclass(frozen=True, slots=True)
class Scales:
    """The three axes of the plot: volts across, amps and watts up, the last two on the same ticks."""

    volts: Axis
    amps: Axis
    watts: Axis

    def current_at(self, voltage: float, current: float) -> QPointF:
        """The pixel of a point of the current curve."""
        return QPointF(self.volts.at(voltage), self.amps.at(current))

    def power_at(self, voltage: float, power: float) -> QPointF:
        """The pixel of a point of the power curve."""
        return QPointF(self.volts.at(voltage), self.watts.at(power))


def scales(volts: tuple[float, float], amps: float, watts: float, box: QRectF) -> Scales:
    """Axes over a range of volts and up to the highest amps and watts, in the box of the plot."""
    across = max(2, int(box.width() / 70))
    step = nice_step(volts[1] - volts[0], min(across, 10))
    up = max(2, min(6, int(box.height() / 32)))
    amp_step = nice_step(HEADROOM * max(amps, 1e-3), up, UP_STEPS)
    ticks = math.ceil(HEADROOM * max(amps, 1e-3) / amp_step - 1e-9)
    watt_step = nice_step(POWER_HEADROOM * max(watts, 1e-3), ticks, UP_STEPS)
    bottom, top = box.bottom(), box.top()
    return Scales(
        Axis(volts[0], volts[1], step, box.left(), box.right()),
        Axis(0.0, ticks * amp_step, amp_step, bottom, top),
        Axis(0.0, ticks * watt_step, watt_step, bottom, top),
    )


@dataclass(frozen=True, slots=True)
class Line:
    """A curve in pixels, ``x`` rising: as few points as a smooth line needs."""

    x: list[float]
    y: list[float]
    polygon: QPolygonF

    def crosses(self, box: QRectF) -> bool:
        """Whether the curve runs through a box."""
        left, right = box.left(), box.right()
        if not self.x or self.x[0] > right or self.x[-1] < left:
            return False
        first, last = bisect_left(self.x, left), bisect_right(self.x, right)
        heights = self.y[first:last]
        heights += [
            self._height(n, edge) for n, edge in ((first, left), (last, right)) if 0 < n < len(self.x)
        ]
        return min(heights) <= box.bottom() and max(heights) >= box.top()

    def _height(self, after: int, x: float) -> float:
        """The height at ``x`` between the point ``after`` and the one before it."""
        x0, x1, y0, y1 = self.x[after - 1], self.x[after], self.y[after - 1], self.y[after]
        return y1 if x1 <= x0 else y0 + (y1 - y0) * (x - x0) / (x1 - x0)


def line(volts: Floats, values: Floats, across: Axis, up: Axis) -> Line:
    """A curve in pixels, with a point about every ``FINE`` pixels of its length."""
    xs = across.start + (volts - across.low) * ((across.stop - across.start) / (across.high - across.low))
    ys = up.start + (values - up.low) * ((up.stop - up.start) / (up.high - up.low))
    along = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(xs), np.diff(ys)))])
    count = max(2, int(along[-1] / FINE))
    if count < xs.size:
        kept = np.unique(np.searchsorted(along, np.linspace(0.0, along[-1], count)).clip(0, xs.size - 1))
        xs, ys = xs[kept], ys[kept]
    x, y = xs.tolist(), ys.tolist()
    return Line(x, y, QPolygonF([QPointF(*point) for point in zip(x, y, strict=True)]))


def reading(volts: Floats, values: Floats, voltage: float) -> float:
    """The value of a drawn curve at a voltage; 0 beyond its ends."""
    return float(np.interp(voltage, volts, values, left=0.0, right=0.0)) if volts.size else 0.0


def free_box(
    at: QPointF,
    size: tuple[float, float],
    within: QRectF,
    taken: Sequence[QRectF],
    lines: Sequence[tuple[Line, float]],
    uprights: Sequence[float] = (),
) -> tuple[float, QRectF] | None:
    """A box for a label by a point, inside the plot and off what is taken; ``None`` where there is none.

    One over or under the point gives way sideways where the plot ends. The best crosses least of the lines
    (each with its weight) and uprights and is nearest; it comes with what it costs: below 1 it crosses
    nothing, or only a fraction of a weight.
    """
    wide, high = size
    best: tuple[float, QRectF] | None = None
    for reach in (5.0, 11.0, 22.0, 40.0):
        for x, y in (
            (at.x() - reach - wide, at.y() + reach),
            (at.x() - reach - wide, at.y() - reach - high),
            (at.x() + reach, at.y() - reach - high),
            (at.x() + reach, at.y() + reach),
            (at.x() - wide / 2, at.y() - reach - high),
            (at.x() - wide / 2, at.y() + reach),
        ):
            inside = max(min(x, within.right() - wide), within.left())
            box = QRectF(inside if x == at.x() - wide / 2 else x, y, wide, high)
            near = box.adjusted(-3, 0, 3, 0)
            if not within.contains(box) or any(near.intersects(other) for other in taken):
                continue
            cost = reach / 20 + sum(weight for curve, weight in lines if curve.crosses(near))
            cost += sum(near.left() < upright < near.right() for upright in uprights)
            if best is None or cost < best[0]:
                best = (cost, box)
        if best is not None and best[0] < (reach + 6) / 20:
            break
    return best
