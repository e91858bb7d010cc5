"""How tables are looked up: by exact key, by printed band, to the next printed value, or between rows.

Each look-up builds its index once. None extrapolates: beyond the printed rows, or where a cell is not
printed, it raises ``OutsideTable``.
"""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType
from typing import Literal

from engine.tables import Cell, OutsideTable, Table


def exact(of: Table, key_column: str, key: Cell, value_column: str) -> float:
    """The number that stands beside an exact key; ``ValueError`` for a column that repeats a key."""
    row = _index(of, key_column).get(key)
    if row is None:
        keys = [cell for cell in of.column(key_column) if cell is not None]
        raise OutsideTable(of.name, key_column, key, f"one of {keys[0]} ... {keys[-1]}")
    return _printed(of, value_column, row, f"{key_column} {key}")


def band(
    of: Table,
    low_column: str,
    high_column: str,
    x: float,
    value_column: str,
    stricter: Literal["up", "down"] = "up",
) -> float:
    """The number of the printed band that holds ``x``; bands are printed for whole units.

    Between two bands (30.4 between 26-30 and 31-35) the stricter one counts: ``stricter="up"`` rounds ``x``
    up, ``"down"`` rounds it down.
    """
    bands = _bands(of, low_column, high_column)
    if math.isfinite(x):
        whole = math.ceil(x - 1e-9) if stricter == "up" else math.floor(x + 1e-9)
        for row, (low, high) in enumerate(bands):
            if low <= whole <= high:
                return _printed(of, value_column, row, f"{low_column} {x:g}")
    need = f"{min(low for low, _ in bands):g} to {max(high for _, high in bands):g}"
    raise OutsideTable(of.name, low_column, f"{x:g}", need)


def at_least(of: Table, column: str, x: float) -> float:
    """The least printed value that is not below ``x``; below the first row that row's."""
    values = _sorted(of, column)
    place = bisect_left(values, x * (1 - 1e-12) if x > 0 else x)
    if math.isnan(x) or place == len(values):
        raise OutsideTable(of.name, column, f"{x:g}", f"{values[0]:g} to {values[-1]:g}")
    return values[place]


def at_most(of: Table, column: str, x: float) -> float:
    """The greatest printed value that is not above ``x``; above the last row that row's."""
    values = _sorted(of, column)
    place = bisect_right(values, x * (1 + 1e-12) if x > 0 else x)
    if math.isnan(x) or place == 0:
        raise OutsideTable(of.name, column, f"{x:g}", f"{values[0]:g} to {values[-1]:g}")
    return values[place - 1]


def linear(of: Table, x_column: str, x: float, y_column: str) -> float:
    """A straight line between the two rows about ``x``."""
    xs, ys = _pairs(of, x_column, y_column)
    if not xs[0] <= x <= xs[-1]:
        raise OutsideTable(of.name, x_column, f"{x:g}", f"{xs[0]:g} to {xs[-1]:g}")
    place = min(max(bisect_right(xs, x), 1), len(xs) - 1)
    share = (x - xs[place - 1]) / (xs[place] - xs[place - 1])
    return ys[place - 1] + share * (ys[place] - ys[place - 1])


def _printed(of: Table, column: str, row: int, where: str) -> float:
    cell = of.column(column)[row]
    if not isinstance(cell, float):
        raise OutsideTable(of.name, column, where, f"a row for which {column} is printed")
    return cell


@cache
def _index(of: Table, column: str) -> Mapping[Cell, int]:
    index: dict[Cell, int] = {}
    for row, cell in enumerate(of.column(column)):
        if cell in index:
            raise ValueError(f"{of.name}: {column} holds {cell} more than once, so it is no key")
        index[cell] = row
    return MappingProxyType(index)


@cache
def _bands(of: Table, low: str, high: str) -> tuple[tuple[float, float], ...]:
    pairs = zip(of.numbers(low), of.numbers(high), strict=True)
    return tuple((min(a, b), max(a, b)) for a, b in pairs)


@cache
def _sorted(of: Table, column: str) -> tuple[float, ...]:
    return tuple(sorted(set(of.numbers(column))))


@cache
def _pairs(of: Table, x: str, y: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    both = sorted(
        (a, b)
        for a, b in zip(of.column(x), of.column(y), strict=True)
        if isinstance(a, float) and isinstance(b, float)
    )
    return tuple(a for a, _ in both), tuple(b for _, b in both)
