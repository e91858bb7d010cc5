"""Axes from zero: an end and a step that people count in."""

from __future__ import annotations

import math
from dataclasses import dataclass

STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


@dataclass(frozen=True, slots=True)
class Axis:
    """An axis from ``low`` to ``high`` on the pixels ``start`` to ``stop``, ticked at whole ``step``."""

    low: float
    high: float
    step: float
    start: float
    stop: float

    def at(self, value: float) -> float:
        """The pixel of a value."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.stop - self.start)

    def value(self, pixel: float) -> float:
        """The value at a pixel."""
        return self.low + (pixel - self.start) / (self.stop - self.start) * (self.high - self.low)

    def ticks(self) -> tuple[float, ...]:
        """The values to tick, those at the ends included."""
        first = math.ceil(self.low / self.step - 1e-9)
        last = math.floor(self.high / self.step + 1e-9)
        return tuple(n * self.step for n in range(first, last + 1))


def nice_step(span: float, most: int, steps: tuple[float, ...] = STEPS) -> float:
    """The smallest of ``steps`` times a power of ten that divides a span into ``most`` parts or fewer."""
    least = span / max(most, 1)
    power = 10.0 ** math.floor(math.log10(least))
    return next(step * power for step in steps if step * power >= least * (1 - 1e-9))


def from_zero(highest: float, most: int, start: float, stop: float) -> Axis:
    """An axis from 0 to the first half step at or above ``highest``; 0 or less gives one to 1."""
    highest = highest if math.isfinite(highest) and highest > 0 else 1.0
    step = nice_step(highest, most)
    return Axis(0.0, math.ceil(2 * highest / step - 1e-9) * step / 2, step, start, stop)


def figure(value: float, step: float) -> str:
    """A tick's number with the decimals its step needs and no more."""
    places = max(0, -math.floor(math.log10(step) + 1e-9))
    if round(step, places) != round(step, places + 1):
        places += 1
    text = f"{value:.{places}f}"
    return "0" if float(text) == 0 else text
