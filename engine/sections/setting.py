"""One line of the settings sheet: what a person types into a piece on the day of commissioning, and why."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from engine.units import as_json, show

ENTERED = "entered"
TYPED = 0.1  # V: what a person can type into a charger


@dataclass(frozen=True, slots=True)
class Setting:
    """A setting: the path of its piece, the group it stands in, its name in the trade's words, its value.

    ``value`` is a number in ``unit`` (a canonical unit, or ``day``), a word, or ``None`` where it isn't
    known: ``wanted`` then says what to enter. ``source`` says where it is from: ``entered``, ``computed``
    or a default's source; ``why`` is a sentence beside it.
    """

    piece: str
    group: str
    name: str
    value: float | str | None = None
    unit: str = ""
    source: str = ENTERED
    why: str = ""
    wanted: str = ""

    def text(self, habit: str) -> str:
        """The value as text in a habit of units."""
        if self.value is None:
            return "not known"
        if isinstance(self.value, str):
            return self.value
        if self.unit == "day":
            return f"{self.value:g} day" if self.value == 1 else f"{self.value:g} days"
        return show(self.value, self.unit, habit, 5)

    def as_json(self) -> Any:
        """The value as JSON: a word, or a number with its unit; ``None`` where it isn't known."""
        if self.value is None or isinstance(self.value, str):
            return self.value
        if self.unit == "day":
            return {"value": self.value, "unit": "day"}
        return as_json(self.value, self.unit)


def down(value: float, step: float = TYPED) -> float:
    """Rounded down to what can be typed."""
    return _on(math.floor(value / step + 1e-6), step)


def up(value: float, step: float = TYPED) -> float:
    """Rounded up to what can be typed."""
    return _on(math.ceil(value / step - 1e-6), step)


def _on(steps: int, step: float) -> float:
    return round(steps * step, 6)
