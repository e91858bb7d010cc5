"""Hints that teach: what to write instead of a text that was refused."""

from __future__ import annotations

import difflib
import re
from functools import lru_cache

from engine.units.kinds import PLAIN, kind_of
from engine.units.names import BadExpression, UnknownName, expression, known_names

_TEACH = {
    "C": "C can be the coulomb: write degC",
    "F": "F can be the farad: write degF",
    "M": "write m for metres; M alone is no unit",
    "AWG": "a conductor size is no quantity here",
    "kcmil": "a conductor size is no quantity here",
    "MCM": "a conductor size is no quantity here",
}
_WORDS = {
    "V": "volt volts",
    "A": "amp amps ampere amperes",
    "W": "watt watts",
    "kW": "kilowatt kilowatts",
    "VA": "va",
    "h": "hr hrs",
    "min": "minute minutes",
    "s": "sec secs second seconds",
    "m": "meter meters metre metres",
    "mi": "mile miles",
    "ohm": "ohms",
    "L": "l liter liters litre litres",
    "lb": "lbs pound pounds",
    "deg": "degree degrees",
    "degC": "celsius centigrade",
    "degF": "fahrenheit",
    "K": "kelvin",
    "%": "percent pct",
    "m/s": "mps",
    "km/h": "kph kmh",
}
_GROUPS = re.compile(r"[ _'](?=[0-9]{3})")
_WRITE = {word: unit for unit, words in _WORDS.items() for word in words.split()}


@lru_cache(maxsize=1)
def _names() -> tuple[list[str], dict[str, list[str]]]:
    names = known_names()
    folded: dict[str, list[str]] = {}
    for known in names:
        folded.setdefault(known.lower(), []).append(known)
    return [*names, *_WRITE], folded


def for_name(unknown: str, unit: str) -> str:
    """A unit name that the table does not know: the nearest known one."""
    if unknown == "C" and unit == "1/h":
        return "write a charge rate as C/5 or 0.2 1/h"
    if unknown in _TEACH:
        return _TEACH[unknown]
    names, folded = _names()
    near = folded.get(unknown.lower()) or [_WRITE.get(unknown.lower(), "")]
    if near == [""]:
        near = [_WRITE.get(name, name) for name in difflib.get_close_matches(unknown, names, n=1, cutoff=0.6)]
    return f"no unit {unknown}: write {' or '.join(near)}" if near else f"no unit {unknown} is known here"


def for_expression(text: str) -> str:
    """A unit text that is not written as this program reads one."""
    for written in (text.replace(" ", ""), text.replace(" ", "*")):
        try:
            expression(written)
        except (UnknownName, BadExpression):
            continue
        return f"write {written}"
    return f'"{text}" is not a unit: write it like m/s, W/m^2, Pa*s or 1/K'


def for_kind(written: str, noun: str, unit: str) -> str:
    """A good unit of the wrong kind."""
    if {noun, kind_of(unit).noun} == {"a power", "an apparent power"}:
        return "power and apparent power differ by the power factor"
    if unit == "1/K" and "%" in written:
        return "a coefficient is per degree: write %/K"
    if noun == "a power" and kind_of(unit).noun == "an energy":
        return "write Wh or kWh, without a time after it"
    return "no unit belongs here" if unit in PLAIN else ""


def for_rest(text: str, rest: str, unit: str) -> str:
    """What follows the number is another number or a separator; empty where it is neither."""
    if re.match(r"1/ ?[^0-9 ]", rest):
        return ""
    if re.match(r"/ ?[0-9]|[0-9]+ ?/ ?[0-9]", rest):
        return "no fractions: write a decimal such as 0.5"
    if rest[:1] in ("_", ",", ".", "'") or rest[:1].isdigit():
        if re.match(r"[+-]?[0-9]{1,3}([ _'][0-9]{3})+(?![0-9])", text):
            return f"no thousands separator: write {re.sub(_GROUPS, '', text)}"
        if rest[:1] != "'":
            return "one number, without thousands separators, with one decimal point at most"
    if re.search(r"(?<!\^)[ '][+-]?[0-9]", rest):
        return "one number and one unit" + ("; feet and inches as 12 ft 6 in" if unit in ("m", "mm") else "")
    return ""
