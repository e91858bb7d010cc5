"""Strict reading of quantities as people type them. Anything that can be misread is refused with a reason."""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import NoReturn

from engine.units.kinds import PLAIN, describe, kind_of, noun_of
from engine.units.names import BadExpression, UnknownName, expression, known_names

_LONGEST = 80  # characters; a quantity is short, and longer text is a slip of the clipboard
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:[.,][0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_FEET_INCHES = re.compile(r"([0-9]+) ?(?:ft|feet|') ?([0-9]+(?:\.[0-9]+)?) ?(?:in|inch|inches|\")")
_CHARGE_RATE = re.compile(r"C ?/ ?([0-9]+(?:\.[0-9]+)?)")
_SPACES = re.compile(r"[ \t\u00a0\u202f\u2009]+")
_MARKS = {"'": "ft", '"': "in"}
_LOOKALIKES = str.maketrans({"\u2212": "-", "\u2032": "'", "\u2033": '"', "\u2019": "'", "\u201d": '"'})

_TEACH = {
    "C": "C can be the coulomb: write degC",
    "F": "F can be the farad: write degF",
    "M": "write m for metres; M alone is no unit",
    "AWG": "a conductor size is no quantity here",
    "kcmil": "a conductor size is no quantity here",
    "MCM": "a conductor size is no quantity here",
}
_WORDS = {
    "V": ("volt", "volts"),
    "A": ("amp", "amps", "ampere", "amperes"),
    "W": ("watt", "watts"),
    "h": ("hr", "hrs"),
    "min": ("minute", "minutes"),
    "s": ("sec", "second", "seconds"),
    "m": ("meter", "meters", "metre", "metres"),
    "mi": ("mile", "miles"),
    "ohm": ("ohms",),
    "L": ("l", "liter", "liters", "litre", "litres"),
    "lb": ("lbs", "pound", "pounds"),
    "deg": ("degree", "degrees"),
    "degC": ("celsius", "Celsius"),
    "degF": ("fahrenheit", "Fahrenheit"),
    "m/s": ("mps",),
    "km/h": ("kph", "kmh"),
}
_WRITE = {word: unit for unit, words in _WORDS.items() for word in words}


class UnitError(ValueError):
    """Text that is not the quantity wanted: what was got, what is needed, and a hint that teaches."""

    def __init__(self, got: str, need: str, hint: str = "", read: str = "") -> None:
        self.got, self.need, self.hint, self.read = got, need, hint, read
        super().__init__(got, need, hint, read)

    def __str__(self) -> str:
        got = self.got if len(self.got) <= _LONGEST else self.got[:_LONGEST] + "..."
        shown = "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in got)
        read = f" ({self.read})" if self.read else ""
        hint = f" ({self.hint})" if self.hint else ""
        return f'got "{shown}"{read}, need {self.need}{hint}'


class Quantity(float):
    """A float in its canonical unit that remembers how it was typed; arithmetic gives plain floats.

    ``text`` is empty for a computed value. ``kind`` is "dc", "ac" or "peak" where the trade's suffix (VDC, VAC, Wp) said
    so. Equality, order and hash are the float's: two texts of one value are equal.
    """

    __slots__ = ("kind", "text")
    text: str
    kind: str

    def __new__(cls, value: float, text: str = "", kind: str = "") -> Quantity:
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
    """A temperature coefficient as its data sheet gives it: ``value`` in ``unit``, which is "1/K" or absolute."""

    value: float
    unit: str
    text: str = ""

    def relative(self, reference: float) -> float:
        """The coefficient [1/K], an absolute one divided by the ``reference`` that it applies to (V, A or W).

        Raises ValueError where an absolute coefficient meets a reference that is not above zero.
        """
        if self.unit == "1/K":
            return self.value
        if not reference > 0:
            raise ValueError(f"a coefficient in {self.unit} needs a reference above zero, got {reference!r}")
        return self.value / reference


@dataclass(frozen=True, slots=True)
class _Reading:
    """How a number in some unit becomes canonical: ``(number - zero) * over / under``."""

    zero: float
    over: float
    under: float
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
    clean = _SPACES.sub(" ", typed.translate(_LOOKALIKES))
    try:
        value, kind = _read(clean, unit)
        if not math.isfinite(value):
            raise _Refused("no such number")
    except _Refused as refused:
        raise UnitError(text, describe(unit), refused.hint, refused.read) from None
    return Quantity(value, typed, kind)


def fits(text: str, unit: str) -> bool:
    """Whether ``parse`` would take the text."""
    try:
        parse(text, unit)
    except UnitError:
        return False
    return True


def parse_coefficient(text: str, absolute: str = "V/K") -> Coefficient:
    """Read a temperature coefficient, relative (%/K, 1/K) or in the ``absolute`` unit (V/K, A/K, W/K)."""
    for unit in ("1/K", absolute):
        try:
            return Coefficient(float(parse(text, unit)), unit, text.strip())
        except UnitError as error:
            last = error
    examples = f"a temperature coefficient such as -0.28 %/K or {kind_of(absolute).example}"
    raise UnitError(text, examples, last.hint, last.read)


def parse_number(text: str) -> float:
    """Read a plain number without a unit. Raises UnitError."""
    try:
        number, rest = _number(_SPACES.sub(" ", text.strip().translate(_LOOKALIKES)))
        if rest:
            raise _Refused(_stray(text.strip(), rest) or "no unit belongs here")
    except _Refused as refused:
        raise UnitError(text, describe("1"), refused.hint) from None
    return number


def parse_count(text: str) -> int:
    """Read a whole number of pieces, zero or more. Raises UnitError."""
    digits = text.strip()
    if not re.fullmatch(r"[0-9]{1,12}", digits):
        raise UnitError(text, "a whole number such as 12", "digits only, no sign, point or unit")
    return int(digits)


def parse_flag(text: str) -> bool:
    """Read yes or no (or true or false). Raises UnitError."""
    word = text.strip().lower()
    if word in ("yes", "true"):
        return True
    if word in ("no", "false"):
        return False
    raise UnitError(text, "yes or no")


def _read(text: str, unit: str) -> tuple[float, str]:
    if unit in ("m", "mm") and (match := _FEET_INCHES.fullmatch(text)):
        return _feet_inches(match, unit)
    if unit == "1/h" and (match := _CHARGE_RATE.fullmatch(text)) and float(match[1]):
        return 1 / float(match[1]), ""
    number, rest = _number(text)
    if not rest and unit not in PLAIN:
        raise _Refused("a number needs its unit")
    if stray := _stray(text, rest):
        raise _Refused(stray)
    reading = _reading(rest, unit)
    value = (number - reading.zero) * reading.over / reading.under
    _check(value, number, rest, unit)
    return value, reading.kind


def _check(value: float, number: float, rest: str, unit: str) -> None:
    if unit == "degC" and value < -273.15 - 1e-9:
        raise _Refused("colder than absolute zero")
    if unit == "money" and value < 0:
        raise _Refused("zero or more")
    if unit == "%" and not rest and abs(number) > 1:
        raise _Refused(f"write {number:g} % or, as a fraction, {number / 100:g}")


def _number(text: str) -> tuple[float, str]:
    """Split the leading number off; the rest is the unit's text."""
    if not text:
        raise _Refused("nothing was given")
    if len(text) > _LONGEST:
        raise _Refused("too long for one quantity")
    match = _NUMBER.match(text)
    if not match:
        raise _Refused("a number comes first, in the digits 0 to 9")
    digits, rest = match[0], text[match.end() :]
    if "," in digits:
        digits = _decimal_comma(digits, rest)
    value = float(digits)
    if not math.isfinite(value) or (value == 0 and re.search("[1-9]", re.split("[eE]", digits)[0])):
        raise _Refused("outside what a number here can hold")
    return value, rest.strip()


def _decimal_comma(digits: str, rest: str) -> str:
    """Take a comma as the decimal point only where it cannot be a thousands separator: 1,5 but not 1,500."""
    whole, _, decimals = digits.partition(",")
    figures = re.split("[eE]", decimals)[0]
    if not figures or rest[:1] in (",", ".") or (len(figures) == 3 and whole.strip("+-0")):
        plain = re.sub("[,']", "", digits)
        raise _Refused(f"a comma can be misread: write {plain}, or a decimal point")
    return digits.replace(",", ".")


def _stray(text: str, rest: str) -> str:
    """Say so where what follows the number is another number or a separator."""
    if rest[:1] in ("_", ",", ".") or (rest[:1].isdigit() and not rest.startswith("1/")):
        if re.match(r"[+-]?[0-9]{1,3}([ _,][0-9]{3})+(?![0-9])", text):
            return f"no thousands separator: write {re.sub('[ _,](?=[0-9]{3})', '', text)}"
        return "one number with one decimal point at most"
    if re.search(
        r"[A-Za-z%°] ?[+-]?[0-9]|[' ][+-]?[0-9]", re.sub(r"\^ ?-?[0-9]|(?<=m)[23]|(?<=ft)[23]|^1/", "", rest)
    ):
        return "one number and one unit; feet and inches as 12 ft 6 in"
    return ""


def _feet_inches(match: re.Match[str], unit: str) -> tuple[float, str]:
    feet, inches = float(match[1]), float(match[2])
    if inches >= 12:
        raise _Refused("inches after feet stay below 12")
    reading = _reading("in", unit)
    return (12 * feet + inches) * reading.over / reading.under, ""


@lru_cache(maxsize=8192)
def _reading(text: str, unit: str) -> _Reading:
    """How the unit ``text`` reads into the canonical ``unit``. Raises _Refused."""
    kind = kind_of(unit)
    if unit == "money" and text:
        raise _Refused("no currency sign or unit")
    spelled = _MARKS.get(text, text)
    if unit == "1/h" and spelled.replace(" ", "") == "C/h":
        spelled = "1/h"
    try:
        measure = expression(spelled)
    except UnknownName as unknown:
        raise _Refused(_suggestion(str(unknown.args[0]))) from None
    except BadExpression:
        raise _Refused(f'"{text}" is not a unit: write it like m/s, W/m^2, Pa*s or 1/K') from None
    if unit != "money" and measure.dims not in kind.dims:
        raise _Refused(_advice(measure.kind, noun_of(measure.dims), unit, spelled), noun_of(measure.dims))
    ratio = measure.factor / expression(kind.canonical).factor
    zero = _ZEROS.get(spelled.replace("°", "deg"), 0.0) if unit == "degC" else 0.0
    return _Reading(zero, float(ratio.numerator), float(ratio.denominator), measure.kind)


_ZEROS = {"degC": 0.0, "degF": 32.0, "K": 273.15}


def _advice(kind: str, noun: str, unit: str, spelled: str) -> str:
    if {noun, kind_of(unit).noun} == {"a power", "an apparent power"}:
        return "power and apparent power differ by the power factor"
    if noun == "a plain number":
        return f"{spelled} alone is not enough"
    if unit in PLAIN:
        return "no unit belongs here"
    return ""


@lru_cache(maxsize=1)
def _names() -> tuple[list[str], dict[str, list[str]]]:
    names = known_names()
    folded: dict[str, list[str]] = {}
    for known in names:
        folded.setdefault(known.lower(), []).append(known)
    return names, folded


def _suggestion(unknown: str) -> str:
    """A hint for a unit name that the table does not know."""
    if unknown in _TEACH:
        return _TEACH[unknown]
    if unknown in _WRITE or unknown.lower() in _WRITE:
        return f"write {_WRITE.get(unknown) or _WRITE[unknown.lower()]}"
    names, folded = _names()
    near = folded.get(unknown.lower()) or difflib.get_close_matches(unknown, names, n=1, cutoff=0.6)
    return (
        f"no unit {unknown}: did you mean {' or '.join(near)}?"
        if near
        else f"no unit {unknown} is known here"
    )
