"""What a relay's thresholds say: a quantity or a word, by what the relay watches."""

from __future__ import annotations

import re

from engine.units import Quantity, UnitError, parse, quoted

MEASURED = {
    "battery voltage": "V",
    "source voltage": "V",
    "state of charge": "%",
    "temperature": "degC",
}
"""What is watched as a quantity, and its canonical unit."""

NAMED = {
    "stage": ("bulk", "absorption", "float", "equalize"),
    "daylight": ("dusk", "dawn"),
}
"""What is watched as one of a few words."""

_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")


def threshold(watches: str, text: str) -> Quantity | str:
    """The threshold that a text says: volts, a share (0 to 1), degrees Celsius, hours after midnight, or a
    word of ``NAMED``. Raises ``UnitError`` where the text is none for what is watched."""
    typed = text.strip()
    if watches in NAMED:
        words = NAMED[watches]
        if typed.lower() not in words:
            raise UnitError(quoted(typed), "one of " + ", ".join(words))
        return typed.lower()
    if watches == "time of day":
        clock = _CLOCK.fullmatch(typed)
        if clock is None:
            raise UnitError(quoted(typed), "a time of day such as 22:30")
        return Quantity(int(clock[1]) + int(clock[2]) / 60, typed)
    unit = MEASURED[watches]
    value = parse(typed, unit)
    if unit == "%" and not 0 <= value <= 1:
        raise UnitError(quoted(typed), "a share from 0 % to 100 %")
    if unit == "V" and value <= 0:
        raise UnitError(quoted(typed), "a voltage above 0 V")
    return value
