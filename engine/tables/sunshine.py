"""The coarse world grid of sunshine: what a place gets by month where nobody entered it, on the safe side."""

from __future__ import annotations

from functools import cache, lru_cache
from math import copysign, floor

from engine.tables import OutsideTable, table

STEP = 3.0  # degrees between the centres of cells
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
NAME = "world_sunshine"


@lru_cache(maxsize=64)
def default_sun(latitude: float, longitude: float) -> tuple[float, ...]:
    """Sun on level ground, a mean day of each month [Wh/m^2], January first.

    The least of the grid's cells about the place, month by month, less the share that the grid reads high:
    coasts and valleys share a cell with what is sunnier. A place between rows takes both; one on a row takes
    it and the next toward its pole. Latitude and longitude [deg]. Raises ``OutsideTable`` at sea and beyond
    the grid.
    """
    cells = _cells()
    if (STEP * floor(latitude / STEP + 0.5), _round(longitude)) not in cells:
        got = f"{latitude:g}, {longitude:g}"
        raise OutsideTable(NAME, "latitude and longitude", got, str(table(NAME).sidecar["range"]))
    inner = copysign(STEP * floor(abs(latitude) / STEP), latitude)
    west = STEP * floor(longitude / STEP)
    about = [
        cells[place]
        for row in (inner, inner + copysign(STEP, latitude))
        for place in ((row, _turned(west)), (row, _turned(west + STEP)))
        if place in cells
    ]
    less = 1 + float(table(NAME).sidecar["reads_high"])
    return tuple(1000 * min(values) / less for values in zip(*about, strict=True))


@cache
def _cells() -> dict[tuple[float, float], tuple[float, ...]]:
    """Every cell by its centre: the sun of the months [kWh/m^2]."""
    of = table(NAME)
    places = zip(of.numbers("lat"), of.numbers("lon"), strict=True)
    return dict(zip(places, zip(*map(of.numbers, MONTHS), strict=True), strict=True))


def _round(longitude: float) -> float:
    return _turned(STEP * floor(longitude / STEP + 0.5))


def _turned(longitude: float) -> float:
    """A longitude as the grid writes it, from -180 up to 180."""
    return (longitude + 180.0) % 360.0 - 180.0
