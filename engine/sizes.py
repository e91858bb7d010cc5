"""Conductor sizes as the trade writes them: AWG, kcmil and mm2."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from engine.units import UnitError, quoted

_MM_PER_INCH = 25.4
_MM2_PER_CIRCULAR_MIL = math.pi / 4 * (_MM_PER_INCH / 1000) ** 2
_NEED = "a conductor size such as 10 AWG, 2/0 AWG, 250 kcmil or 35 mm2"
_AWG = r"(?:[1-4]/0|0{1,4}|[1-9][0-9]?)"
_AWG_BEFORE = re.compile(rf"#? ?({_AWG}) ?AWG", re.IGNORECASE)
_AWG_AFTER = re.compile(rf"AWG ?#? ?({_AWG})", re.IGNORECASE)
_AUGHT = re.compile(r"#? ?([1-4]/0)")
_KCMIL = re.compile(r"([0-9]+(?:\.[0-9]+)?) ?(?:kcmil|MCM)", re.IGNORECASE)
_MM2 = re.compile(r"([0-9]+(?:\.[0-9]+)?) ?mm(?:2|\^2|²)")


@dataclass(frozen=True, order=True, slots=True)
class Size:
    """A conductor size, ordered by the area of its metal.

    ``diameter_mm`` is that of a solid conductor of the area; ``circular_mils`` is unrounded.
    """

    area_mm2: float
    text: str
    system: Literal["awg", "mm2"]
    diameter_mm: float
    circular_mils: float

    def __str__(self) -> str:
        return self.text


@lru_cache(maxsize=1024)
def parse_size(text: str) -> Size:
    """Read a conductor size. Raises UnitError: a bare number, or a diameter, is no size."""
    clean = re.sub(r"\s+", " ", text.strip())
    if match := (_AWG_BEFORE.fullmatch(clean) or _AWG_AFTER.fullmatch(clean) or _AUGHT.fullmatch(clean)):
        return _awg(match[1], text)
    if match := _KCMIL.fullmatch(clean):
        return _kcmil(float(match[1]), text)
    if match := _MM2.fullmatch(clean):
        return _mm2(float(match[1]), text)
    raise UnitError(quoted(text), _NEED, _hint(clean))


def _awg(gauge: str, text: str) -> Size:
    """American wire gauge: d = 0.005 in * 92^((36 - n) / 39), n = 0 for 1/0 to -3 for 4/0.

    Source: Standard Specification for Standard Nominal Diameters and Cross-Sectional Areas of AWG Sizes of
    Solid Round Wires, ASTM International, B258 (36 AWG is 0.0050 in, 4/0 is 0.4600 in, a ratio of 92 over 39
    steps); the formula was read in a secondary source.
    """
    aughts = int(gauge[0]) if "/" in gauge else len(gauge) if gauge.strip("0") == "" else 0
    number = 1 - aughts if aughts else int(gauge)
    if number > 40:
        raise UnitError(quoted(text), _NEED, "AWG sizes here go from 40 AWG to 4/0 AWG")
    inches = 0.005 * 92 ** ((36 - number) / 39)
    name = f"{aughts}/0 AWG" if aughts else f"{number} AWG"
    return _of_circular_mils((1000 * inches) ** 2, name)


def _kcmil(thousands: float, text: str) -> Size:
    if not 250 <= thousands <= 2000:
        raise UnitError(quoted(text), _NEED, "kcmil sizes go from 250 to 2000; smaller ones are AWG sizes")
    return _of_circular_mils(1000 * thousands, f"{thousands:g} kcmil")


def _of_circular_mils(circular_mils: float, name: str) -> Size:
    """A circular mil is the area of a circle 0.001 in across."""
    return Size(
        area_mm2=circular_mils * _MM2_PER_CIRCULAR_MIL,
        text=name,
        system="awg",
        diameter_mm=math.sqrt(circular_mils) / 1000 * _MM_PER_INCH,
        circular_mils=circular_mils,
    )


def _mm2(area: float, text: str) -> Size:
    if not 0.5 <= area <= 1000:
        raise UnitError(quoted(text), _NEED, "sizes in mm2 go from 0.5 to 1000")
    return Size(
        area_mm2=area,
        text=f"{area:g} mm2",
        system="mm2",
        diameter_mm=math.sqrt(4 * area / math.pi),
        circular_mils=area / _MM2_PER_CIRCULAR_MIL,
    )


def _hint(text: str) -> str:
    """Why a text is no size."""
    if re.fullmatch(r"#? ?[0-9.]+", text):
        number = text.lstrip("# ")
        return f"is it {number} AWG or {number} mm2? Write which"
    if re.fullmatch(r"[0-9.]+ ?(mm|cm|in|inch|mil)", text):
        return "a diameter is not a size: give the area in mm2, or the gauge"
    if re.search("AWG", text, re.IGNORECASE):
        return "a gauge is a whole number from 40 to 1, or 1/0, 2/0, 3/0, 4/0"
    if "," in text:
        return "write a decimal point"
    return ""
