"""Strict reading of quantities as people type them. Anything that can be misread is refused with a reason."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import NoReturn, Self

from engine.units import hints
from engine.units.kinds import PLAIN, describe, kind_of, noun_of
from engine.units.names import BadExpression, UnknownName, expression

_LONGEST = 80  # characters; a quantity is short, and longer text is a slip of the clipboard
_USUAL = re.compile(r"([+-]?[0-9]{1,15}(?:\.[0-9]{1,15})?) ?((?![eE][0-9])[A-Za-z%][A-Za-z%/^*0-9]*)?")
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_FEET_INCHES = re.compile(r"([0-9]+) ?(?:ft|feet|') ?([0-9]+(?:\.[0-9]+)?) ?(?:in|inch|inches|\")")
_CHARGE_RATE = re.compile(r"C ?/ ?([0-9]+(?:\.[0-9]+)?)")
_SPACES = re.compile(r"[ \t\u00a0\u202f\u2009]+")
_MARKS = {"'": "ft", '"': "in"}
_LOOKALIKES = str.maketrans({"\u2212": "-", "\u2032": "'", "\u2033": '"', "\u2019": "'", "\u201d": '"'})
_ABSOLUTE = {
    "degC": 0.0,
    "°C": 0.0,
    "degF": 32.0,
    "°F": 32.0,
    "K": 273.15,
}  # what 0 degC, or its like, reads there


class UnitError(ValueError):
    """Text that is not what is wanted: ``got`` (as shown, quoted), ``need``, and a ``hint`` that teaches."""

    def __init__(self, got: str, need: str, hint: str = "") -> None:
        super().__init__(got, need, hint)
        self.got, self.need, self.hint = got, need, hint

    def __str__(self) -> str:
        return f"got {self.got}, need {self.need}" + (f" ({self.hint})" if self.hint else "")


def quoted(text: str) -> str:
    """Typed text for a message: in quotes, cut where it is long, control characters made visible."""
    cut = text if len(text) <= _LONGEST else text[:_LONGEST] + "..."
    return '"' + "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in cut) + '"'


class Quantity(float):
    """A float in its canonical unit that remembers how it was typed; arithmetic gives plain floats.

    ``text`` is empty for a computed value. ``kind`` is "dc", "ac" or "peak" where a suffix (VDC, VAC, Wp)
    said so. Equality, order and hash are the float's: two texts of one value are equal.
    """

    __slots__ = ("kind", "text")
    text: str
    kind: str

    def __new__(cls, value: float, text: str = "", kind: str = "") -> Self:
        self = super().__new__(cls, value)
        object.__setattr__(self, "text", text)
        object.__setattr__(self, "kind", kind)
        return self

    def __setattr__(self, name: str, value: object) -> NoReturn:
        raise AttributeError(f"a Quantity does not change: {name}")

    def __reduce__(self) -> tuple[type[Quantity], tuple[float, str, str]]:
        return (Quantity, (float(self), self.text, self.kind))

    def __repr__(self) -> str:
        return f"Quantity({float(self)!r}, {self.text!r})"

    def __str__(self) -> str:
        return float.__repr__(self)


@dataclass(frozen=True, slots=True)
class Coefficient:
    """A temperature coefficient as its data sheet gives it: ``value`` in ``unit``, "1/K" or absolute."""

    value: float
    unit: str
    text: str = ""

    def relative(self, reference: float) -> float:
        """The coefficient [1/K]; an absolute one is divided by its ``reference`` (in V, A or W).

        Raises ValueError where an absolute coefficient meets a reference that is not above zero.
        """
        if self.unit == "1/K":
            return self.value
        if not 0 < reference < math.inf:
            raise ValueError(f"a coefficient in {self.unit} needs a reference above zero, got {reference!r}")
        return self.value / reference


@dataclass(frozen=True, slots=True)
class _Reading:
    """How a number in some unit becomes canonical: ``(number - zero) * over / under``.

    Where that only moves the decimal point, ``shift`` is the exponent to write behind the digits ("e-2"), so
    that -0.28 %/K and -0.0028 1/K are one float.
    """

    zero: float
    over: float
    under: float
    shift: str | None
    kind: str


class _Refused(ValueError):
    """Why a text was refused; ``read`` names the kind that it turned out to be."""

    def __init__(self, hint: str, read: str = "") -> None:
        super().__init__(hint)
        self.hint, self.read = hint, read


def parse(text: str, unit: str) -> Quantity:
    """Read a quantity as typed into its canonical ``unit``. Raises UnitError with the reason.

    One number, then its unit. A bare number is taken for plain numbers, shares and money only.
    """
    typed = text.strip()
    try:
        usual = _USUAL.fullmatch(typed)
        value, kind = _value(usual[1], usual[2] or "", unit) if usual else _unusual(typed, unit)
    except _Refused as refused:
        got = quoted(text) + (f" ({refused.read})" if refused.read else "")
        raise UnitError(got, describe(unit), refused.hint) from None
    return Quantity(value, typed, kind)


def fits(text: str, unit: str) -> bool:
    """Whether ``parse`` would take the text."""
    try:
        parse(text, unit)
    except UnitError:
        return False
    return True


def parse_coefficient(text: str, absolute: str = "V/K") -> Coefficient:
    """Read a temperature coefficient, relative (%/K, 1/K) or in the ``absolute`` unit (V/K, A/K, W/K).

    Raises UnitError.
    """
    try:
        return Coefficient(float(parse(text, "1/K")), "1/K", text.strip())
    except UnitError as error:
        if fits(text, absolute):
            return Coefficient(float(parse(text, absolute)), absolute, text.strip())
        need = f"a temperature coefficient such as -0.28 %/K or {kind_of(absolute).example}"
        raise UnitError(error.got, need, error.hint) from None


def parse_count(text: str) -> int:
    """Read a whole number of pieces, zero or more. Raises UnitError."""
    digits = text.strip()
    if not re.fullmatch(r"[0-9]{1,12}", digits):
        raise UnitError(quoted(text), "a whole number such as 12", "digits only, no sign, point or unit")
    return int(digits)


def parse_flag(text: str) -> bool:
    """Read yes or no (or true or false). Raises UnitError."""
    word = text.strip().lower()
    if word not in ("yes", "true", "no", "false"):
        raise UnitError(quoted(text), "yes or no")
    return word in ("yes", "true")


def _clean(text: str) -> str:
    return _SPACES.sub(" ", text.strip().translate(_LOOKALIKES))


def _unusual(typed: str, unit: str) -> tuple[float, str]:
    """What the usual pattern leaves: other number forms and signs, feet with inches, charge rates."""
    text = _clean(typed)
    if unit in ("m", "mm") and (match := _FEET_INCHES.fullmatch(text)):
        return _feet_inches(float(match[1]), float(match[2]), unit)
    if unit == "1/h" and (match := _CHARGE_RATE.fullmatch(text)) and float(match[1]):
        return 1 / float(match[1]), ""
    digits, rest = _split(text, unit)
    if hint := hints.for_rest(text, rest, unit):
        raise _Refused(hint)
    return _value(digits, rest, unit)


def _value(digits: str, written: str, unit: str) -> tuple[float, str]:
    """The canonical value and its suffix's kind, from a number and the unit written behind it."""
    if not written and unit not in PLAIN:
        raise _Refused("a number needs its unit")
    reading = _reading(written, unit)
    if reading.shift is not None and "e" not in digits and "E" not in digits:
        value = float(digits + reading.shift)
    else:
        value = (float(digits) - reading.zero) * reading.over / reading.under
    if not math.isfinite(value):
        raise _Refused("larger than any number here can be")
    if unit == "degC" and value < -273.15 - 1e-9:
        raise _Refused("colder than absolute zero")
    if unit == "money" and value < 0:
        raise _Refused("zero or more")
    if unit == "%" and not written and abs(value) > 1:
        raise _Refused(f"write {value:g} % or, as a fraction, {value / 100:g}")
    return value, reading.kind


def _split(text: str, unit: str) -> tuple[str, str]:
    """Split the leading number off as digits with a point; the rest is the unit's text."""
    if not text:
        raise _Refused("nothing was given")
    if len(text) > _LONGEST:
        raise _Refused("too long for one quantity")
    match = _NUMBER.match(text)
    if not match:
        sign = " and no currency sign" if unit == "money" else ""
        raise _Refused(f"a number comes first, in the digits 0 to 9{sign}")
    digits, rest = match[0], text[match.end() :]
    if "," in digits:
        digits = _decimal_comma(digits, rest)
    value = float(digits)
    if not math.isfinite(value) or (value == 0 and re.search("[1-9]", re.split("[eE]", digits)[0])):
        raise _Refused("outside what a number here can hold")
    return digits, rest.strip()


def _decimal_comma(digits: str, rest: str) -> str:
    """Take a comma as the decimal point only where it cannot be a thousands separator: 1,5 but not 1,500."""
    whole, _, decimals = digits.partition(",")
    figures = re.split("[eE]", decimals)[0]
    if not figures or rest[:1] in (",", "."):
        raise _Refused("one number, without thousands separators, with one decimal point at most")
    if len(figures) == 3 and whole.strip("+-0"):
        raise _Refused(f"a comma can be misread: write {whole}{decimals} or {whole}.{decimals}")
    return f"{whole}.{decimals}"


def _feet_inches(feet: float, inches: float, unit: str) -> tuple[float, str]:
    if inches >= 12:
        raise _Refused("inches after feet stay below 12")
    reading = _reading("in", unit)
    return (12 * feet + inches) * reading.over / reading.under, ""


@lru_cache(maxsize=8192)
def _reading(written: str, unit: str) -> _Reading:
    """How the unit as written reads into the canonical ``unit``. Raises _Refused."""
    kind = kind_of(unit)
    if unit == "money":
        if written:
            raise _Refused("no currency sign or unit")
        return _Reading(0.0, 1.0, 1.0, "", "")
    spelled = _MARKS.get(written, written)
    if unit == "1/h" and spelled.replace(" ", "") == "C/h":
        spelled = "1/h"
    try:
        measure = expression(spelled)
    except UnknownName as unknown:
        raise _Refused(hints.for_name(str(unknown.args[0]), unit)) from None
    except BadExpression:
        raise _Refused(hints.for_expression(spelled)) from None
    if measure.dims not in kind.dims:
        noun = "a share" if spelled == "%" else noun_of(measure.dims)
        raise _Refused(hints.for_kind(spelled, noun, unit), noun)
    zero = 0.0
    if unit == "degC":
        if spelled not in _ABSOLUTE:
            raise _Refused("write a temperature in degC, degF or K")
        zero = _ABSOLUTE[spelled]
    ratio = measure.factor / expression(kind.canonical).factor
    shift = None if zero else _shift(ratio)
    return _Reading(zero, float(ratio.numerator), float(ratio.denominator), shift, measure.kind)


def _shift(ratio: Fraction) -> str | None:
    """The exponent text of a power of ten: 1/100 is "e-2", 1 is empty; None for any other ratio."""
    for ten, one, sign in (
        (ratio.numerator, ratio.denominator, ""),
        (ratio.denominator, ratio.numerator, "-"),
    ):
        if one == 1 and str(ten).strip("0") == "1":
            return f"e{sign}{len(str(ten)) - 1}" if ten > 1 else ""
    return None
