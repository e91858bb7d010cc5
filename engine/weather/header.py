"""The design temperatures of a weather file: the first lines of an EPW file, which most readers skip.

Only the lines LOCATION and DESIGN CONDITIONS are read. A value that the header does not hold for certain
stays ``None`` with a reason: nothing is guessed, since the record low decides whether a controller survives.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice

from engine.problems import Problem, Problems
from engine.units import quoted

_YEARS = (5, 10, 20, 50)
_ROUNDING = 0.35  # K: both numbers are printed to 0.1, and the standard deviation's error counts 2.6 times


@dataclass(frozen=True, slots=True)
class Found:
    """One value of a header in its canonical unit with where it stands, or why there is none."""

    value: float | None
    origin: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Header:
    """What a weather file says of its place: degrees, metres and degrees Celsius."""

    file: str
    place: str
    latitude: Found
    longitude: Found
    elevation: Found
    design_low: Found
    record_low: Found
    design_high: Found


def parse(lines: Sequence[str], name: str) -> Header:
    """The header from the first lines of a file. Raises ``Problems`` where they are no EPW header."""
    cells = [[cell.strip() for cell in line.rstrip("\r\n").split(",")] for line in islice(lines, 2)]
    if not cells or cells[0][0].upper() != "LOCATION" or len(cells[0]) < 10:
        got = quoted(lines[0].rstrip("\r\n")[:40]) if lines else "nothing"
        raise Problems((Problem(name, got, "a weather file (EPW) that begins with LOCATION"),))
    location = cells[0]
    low, record, high = _temperatures(cells[1] if len(cells) > 1 else [], name)
    return Header(
        file=name,
        place=", ".join(part for part in location[1:4] if part not in ("", "-")),
        latitude=_located(location[6], -90, 90, name),
        longitude=_located(location[7], -180, 180, name),
        elevation=_located(location[9], -430, 6000, name),
        design_low=low,
        record_low=record,
        design_high=high,
    )


def return_factor(years: int) -> float:
    """How many standard deviations the extreme of ``years`` lies beyond the mean annual extreme.

    F = -(sqrt(6) / pi) * (0.5772 + ln(ln(n / (n - 1))))

    Source: ASHRAE Handbook, Fundamentals, ASHRAE, 2009, chapter 14, return periods of extreme temperatures by
    Gumbel's distribution (from memory; the headers of two weather files agree with it to their rounding).
    """
    return -(math.sqrt(6) / math.pi) * (0.5772 + math.log(math.log(years / (years - 1))))


def _temperatures(cells: Sequence[str], name: str) -> tuple[Found, Found, Found]:
    """Design low, record low and design high of a DESIGN CONDITIONS line."""
    if not cells or cells[0].upper() != "DESIGN CONDITIONS":
        return _without("the file has no line DESIGN CONDITIONS")
    if "Extremes" not in cells:
        return _without("the line DESIGN CONDITIONS holds no extremes")
    values = [_number(cell) for cell in cells[cells.index("Extremes") + 1 :]]
    layouts = [found for start in (4, 3) for first in (0, 1) if (found := _layout(values, start, first))]
    if len(layouts) != 1:
        return _without("the extremes are in an order that is not known for certain")
    low, record, high = layouts[0]
    line = f"weather file {name}, DESIGN CONDITIONS, "
    return (
        Found(low, line + "mean extreme annual minimum"),
        Found(record, line + "50-year minimum"),
        Found(high, line + "mean extreme annual maximum"),
    )


def _layout(values: Sequence[float | None], start: int, first: int) -> tuple[float, float, float] | None:
    """Mean minimum, 50-year minimum and mean maximum, if the numbers behind ``start`` are such pairs.

    ``first`` is the place of the minimum in a pair: headers of different years differ in it, and in whether a
    wet-bulb temperature stands before. The return periods follow from mean and deviation, so that a wrong
    order shows.
    """
    known = [value for value in values[start : start + 12] if value is not None]
    if len(known) < 12:
        return None
    lows, highs = known[first::2], known[1 - first :: 2]
    if not (lows[0] < highs[0] and lows[1] > 0 and highs[1] > 0):
        return None
    for at, years in enumerate(_YEARS, 2):
        far = return_factor(years)
        if abs(lows[0] - far * lows[1] - lows[at]) > _ROUNDING:
            return None
        if abs(highs[0] + far * highs[1] - highs[at]) > _ROUNDING:
            return None
    return lows[0], lows[5], highs[0]


def _without(reason: str) -> tuple[Found, Found, Found]:
    return (Found(None, reason=reason),) * 3


def _located(cell: str, least: float, most: float, name: str) -> Found:
    value = _number(cell)
    if value is None or not least <= value <= most:
        return Found(None, reason=f"the line LOCATION says {quoted(cell)}")
    return Found(value, f"weather file {name}, LOCATION")


def _number(cell: str) -> float | None:
    try:
        value = float(cell)
    except ValueError:
        return None
    return value if math.isfinite(value) and abs(value) < 9000 else None
