"""Quantities for people and for JSON: numbers in the user's habit, with sensible digits."""

from __future__ import annotations

import math
import re
from functools import lru_cache
from typing import TYPE_CHECKING, Any, TypeVar

from engine.units.kinds import PLAIN, kind_of
from engine.units.names import ALIASES, expression

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Number = TypeVar("Number", float, NDArray[Any])

_DIGITS = 4  # significant, unless asked otherwise; whole digits are never rounded away
_US = frozenset("ft kft in mi gal gpm cfm mph lb psi degF ' \"".split())
_METRIC = frozenset("m mm cm km µm L mL g kg Pa hPa kPa MPa GPa bar mbar K degC".split())
_PRIMES = str.maketrans({"\u2032": "'", "\u2033": '"', "\u2019": "'", "\u201d": '"', "\u03bc": "µ"})
_NAME = re.compile(r"[A-Za-zΩµ°]+|['\"]")


@lru_cache(maxsize=1024)
def _line(shown: str, unit: str) -> tuple[float, float, float]:
    """``shown = canonical * over / under + zero``."""
    ratio = expression(kind_of(unit).canonical).factor / expression(shown).factor
    zero = 32.0 if (unit, shown) == ("degC", "°F") else 0.0
    return float(ratio.numerator), float(ratio.denominator), zero


def shown_in(unit: str, habit: str = "metric") -> str:
    """The unit on a plot's axis or a slider for this canonical unit: ``"°F"``; empty for plain numbers."""
    return kind_of(unit).scale(habit).main


def convert(value: Number, unit: str, habit: str = "metric") -> Number:
    """A canonical value, or an array of them, as numbers in ``shown_in(unit, habit)``."""
    over, under, zero = _line(shown_in(unit, habit), unit)
    return value * over / under + zero


def unconvert(value: Number, unit: str, habit: str = "metric") -> Number:
    """A number in ``shown_in(unit, habit)``, or an array of them, back to the canonical value."""
    over, under, zero = _line(shown_in(unit, habit), unit)
    return (value - zero) * under / over


@lru_cache(maxsize=4096)
def belongs(text: str, unit: str, habit: str = "metric") -> bool:
    """Whether a quantity as typed may stand as it is in a habit: it has units of that habit, or of neither.

    ``unit`` is the canonical unit. A kind that both habits count in metric units (sunshine, the area of a
    conductor) keeps a metric text in both.
    """
    system = _system(text)
    return system in ("", habit, _system(shown_in(unit, habit)))


def _system(text: str) -> str:
    """The habit whose units a text has: "us", "metric", or "" for volts, hours and other units of both."""
    plain = text.translate(_PRIMES).replace("²", "").replace("³", "")
    names = {ALIASES.get(name, name) for name in _NAME.findall(plain)}
    return "us" if names & _US else "metric" if names & _METRIC else ""


def show(value: float, unit: str, habit: str = "metric", digits: int | None = None) -> str:
    """A canonical value as text that ``parse`` reads back: ``"44.5 V"``, ``"-29 °F"``, ``"2.32 kW"``.

    Four significant digits and never fewer whole ones, unless ``digits`` (significant) says otherwise;
    trailing zeros are dropped. Raises ValueError for NaN and infinity.
    """
    if not math.isfinite(value):
        raise ValueError(f"a value in {unit} is not finite: {value!r}")
    scale = kind_of(unit).scale(habit)
    number, shown = convert(value, unit, habit), scale.main
    for step, limit in scale.large:
        if abs(number) >= limit:
            shown = step
    for step, limit in scale.small:
        if 0 < abs(number) < limit:
            shown = step
    over, under, zero = _line(shown, unit)
    text = _figures(float(value) * over / under + zero, digits)
    if unit == "%" and digits is None and len(text.lstrip("-")) == 1 and text != "0":
        text += ".0"
    return text + shown if shown in ("", "°") else f"{text} {shown}"


def show_apart(
    value: float, limit: float, unit: str, habit: str = "metric", digits: int | None = None
) -> tuple[str, str]:
    """A value and its limit as text, with the digits that tell them apart: 150.04 V beside 150 V."""
    texts = show(value, unit, habit, digits), show(limit, unit, habit, digits)
    for more in range(digits or _DIGITS, 18):
        if texts[0] != texts[1] or value == limit:
            break
        texts = show(value, unit, habit, more), show(limit, unit, habit, more)
    return texts


def _figures(number: float, digits: int | None) -> str:
    """A number in plain decimal figures (e-notation only far out), rounded to significant digits."""
    if number == 0:
        return "0"
    size = math.floor(math.log10(abs(number)))
    if size < -5 or size > 14:
        return f"{number:.{digits or _DIGITS}g}"
    if digits is not None:
        number = float(f"{number:.{digits - 1}e}")
    places = max(0, (digits or _DIGITS) - 1 - size)
    text = f"{number:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def as_json(value: float | None, unit: str) -> dict[str, float | str] | float | None:
    """A canonical value as the command line's JSON: ``{"value": 54.18, "unit": "V"}``, unrounded.

    A plain number, a share (as a fraction) and money are bare numbers; None stays None. Raises ValueError for
    NaN and infinity.
    """
    if value is None:
        return None
    number = float(value)
    if not math.isfinite(number):
        raise ValueError(f"a value in {unit} is not finite: {number!r}")
    kind_of(unit)
    return number if unit in PLAIN else {"value": number, "unit": unit}
