"""The names of units: which are known, what each is in SI, and how an expression such as ``mV/degC`` is read.

Factors are exact fractions from the definitions: the international yard and pound (1959), the United States
liquid gallon of 231 cubic inches, standard gravity and the standard atmosphere, as Guide for the Use of the
International System of Units, National Institute of Standards and Technology, 2008, SP 811 appendix B lists
them (from memory; the tests hold every name against an independent units library).

Beside the SI's own, three bases keep apart what people must not mix: an angle (deg) is not a plain number,
apparent power (VA) is not power (W), and a battery's capacity (Q) is not cancelled by a current, so that
mA/Ah is not a rate.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

Dims = tuple[tuple[str, int], ...]  # (base, exponent), sorted by base, no exponent 0


@dataclass(frozen=True, slots=True)
class Measure:
    """A unit as a multiple of its bases. ``kind`` keeps what a suffix says: "dc", "ac", "peak" or ""."""

    factor: Fraction
    dims: Dims
    prefixes: str = ""
    kind: str = ""


class UnknownName(LookupError):
    """A unit expression holds this name, which the table does not know."""


class BadExpression(ValueError):
    """A unit expression is not made of ``name``, ``name^2``, ``name*name``, ``name/name`` or ``1/name``."""


def _dims(text: str) -> Dims:
    """Read ``"kg m2 s-3 A-1"``."""
    pairs = (re.fullmatch(r"([A-Za-z]+)(-?\d)?", part) for part in text.split())
    return tuple(sorted((m[1], int(m[2] or 1)) for m in pairs if m))


def _unit(factor: Fraction | int | str, dims: str, prefixes: str = "", kind: str = "") -> Measure:
    return Measure(Fraction(factor), _dims(dims), prefixes, kind)


_FOOT = Fraction("0.3048")
_INCH = _FOOT / 12
_POUND = Fraction("0.45359237")
_GALLON = 231 * _INCH**3
_VOLT, _WATT, _JOULE, _PASCAL = "kg m2 s-3 A-1", "kg m2 s-3", "kg m2 s-2", "kg m-1 s-2"

PREFIXES = {
    "µ": Fraction(1, 10**6),
    "m": Fraction(1, 1000),
    "c": Fraction(1, 100),
    "h": Fraction(100),
    "k": Fraction(1000),
    "M": Fraction(10**6),
    "G": Fraction(10**9),
}

UNITS: dict[str, Measure] = {
    "V": _unit(1, _VOLT, "µmk"),
    "VDC": _unit(1, _VOLT, "k", "dc"),
    "Vdc": _unit(1, _VOLT, "k", "dc"),
    "VAC": _unit(1, _VOLT, "k", "ac"),
    "Vac": _unit(1, _VOLT, "k", "ac"),
    "A": _unit(1, "A", "µmk"),
    "W": _unit(1, _WATT, "mkMG"),
    "Wp": _unit(1, _WATT, "kM", "peak"),
    "VA": _unit(1, "VA", "kM"),
    "Wh": _unit(3600, _JOULE, "mkMG"),
    "J": _unit(1, _JOULE, "mkMG"),
    "Ah": _unit(3600, "Q", "mk"),
    "ohm": _unit(1, "kg m2 s-3 A-2", "µmkM"),
    "s": _unit(1, "s", "µm"),
    "min": _unit(60, "s"),
    "h": _unit(3600, "s"),
    "day": _unit(86400, "s"),
    "year": _unit(Fraction("365.25") * 86400, "s"),
    "m": _unit(1, "m", "µmck"),
    "in": _unit(_INCH, "m"),
    "ft": _unit(_FOOT, "m", "k"),
    "mi": _unit(5280 * _FOOT, "m"),
    "L": _unit("0.001", "m3", "m"),
    "gal": _unit(_GALLON, "m3"),
    "gpm": _unit(_GALLON / 60, "m3 s-1"),
    "cfm": _unit(_FOOT**3 / 60, "m3 s-1"),
    "mph": _unit(5280 * _FOOT / 3600, "m s-1"),
    "knot": _unit(Fraction(1852, 3600), "m s-1"),
    "g": _unit("0.001", "kg", "k"),
    "lb": _unit(_POUND, "kg"),
    "Pa": _unit(1, _PASCAL, "mhkMG"),
    "bar": _unit(10**5, _PASCAL, "m"),
    "psi": _unit(_POUND * Fraction("9.80665") / _INCH**2, _PASCAL),
    "atm": _unit(101325, _PASCAL),
    "deg": _unit(1, "deg"),
    "rad": _unit(Fraction(180 / math.pi), "deg"),
    "rpm": _unit(6, "deg s-1", "k"),
    "K": _unit(1, "K"),
    "degC": _unit(1, "K"),
    "degF": _unit(Fraction(5, 9), "K"),
    "%": _unit(Fraction(1, 100), ""),
}

ALIASES = {
    "Ω": "ohm",
    "°": "deg",
    "°C": "degC",
    "°F": "degF",
    "hour": "h",
    "hours": "h",
    "d": "day",
    "days": "day",
    "y": "year",
    "years": "year",
    "inch": "in",
    "inches": "in",
    "feet": "ft",
    "gallon": "gal",
    "gallons": "gal",
    "knots": "knot",
}

_LOOKALIKES = str.maketrans({"\u2126": "Ω", "\u03bc": "µ", "·": "*", "\u22c5": "*", "²": "^2", "³": "^3"})
_FACTOR = re.compile(r"([A-Za-zΩµ°%]+)(?:\^(-?[1-4])|([23]))?")


def known_names() -> list[str]:
    """Every name that stands for a unit by itself, prefixed ones included."""
    prefixed = [prefix + name for name, measure in UNITS.items() for prefix in measure.prefixes]
    return [*UNITS, *prefixed, *ALIASES]


def name(text: str) -> Measure:
    """Look one name up, with its prefix if it has one. Raises UnknownName."""
    plain = ALIASES.get(text, text)
    if plain in UNITS:
        return UNITS[plain]
    prefix, stem = text[:1], ALIASES.get(text[1:], text[1:])
    measure = UNITS.get(stem)
    if measure is None or prefix not in measure.prefixes:
        raise UnknownName(text)
    return Measure(PREFIXES[prefix] * measure.factor, measure.dims, "", measure.kind)


@lru_cache(maxsize=4096)
def expression(text: str) -> Measure:
    """Read a unit expression: names with powers, joined by ``*`` and ``/``; ``""`` is a plain number.

    No ``*`` may follow a ``/`` (people read ``W/m*K`` in two ways). Raises UnknownName or BadExpression.
    """
    rest = re.sub(r"\s*([/*^])\s*", r"\1", text.strip().translate(_LOOKALIKES))
    rest = re.sub(r"^(k?V) ?(DC|AC)$", r"\1\2", rest)
    factor, powers, kind, sign = Fraction(1), dict[str, int](), "", 1
    if rest.startswith("1/"):
        rest, sign = rest[2:], -1
    elif not rest:
        return Measure(factor, ())
    while True:
        match = _FACTOR.match(rest)
        if not match:
            raise BadExpression(text)
        measure = name(match[1])
        power = sign * int(match[2] or match[3] or 1)
        factor *= measure.factor**power
        kind = kind or measure.kind
        for base, exponent in measure.dims:
            powers[base] = powers.get(base, 0) + power * exponent
        rest = rest[match.end() :]
        if not rest:
            return Measure(factor, tuple(sorted((b, e) for b, e in powers.items() if e)), "", kind)
        if rest[0] not in "*/" or (rest[0] == "*" and sign < 0):
            raise BadExpression(text)
        sign, rest = (-1 if rest[0] == "/" else 1), rest[1:]
