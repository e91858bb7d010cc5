"""Thin air: what clearances in a device still withstand at a high place."""

from __future__ import annotations

from typing import NamedTuple

from engine.sources import Source
from engine.tables import table
from engine.tables.lookup import linear
from engine.worksheet import Output, quantity, worksheet

MADE_FOR = 2000.0  # m: IEC 60947-1, 6.1.3, and IEC 60664-1 (from memory): the highest place ratings hold at


class Clearance(NamedTuple):
    factor: float
    withstood: float


@worksheet(
    id="altitude-clearance",
    subject="Devices and earthing",
    title="Clearances at a high place",
    inputs=(
        quantity("elevation", "m", "elevation of the place", "2500 m", low=-430, high=20000, symbol="h"),
    ),
    outputs=(
        Output("factor", "clearance needed over that at 2000 m", "1", "k"),
        Output("withstood", "what a given clearance withstands, over that at 2000 m", "%"),
    ),
    expression=("factor = table by elevation, between rows; 1 up to 2000 m", "withstood = 1 / factor"),
    source=Source("IEC 60664-1", "IEC", "2020", "Table A.2 (from memory)"),
    validity="clearances in air only. It does not rate a device: its maker's data for the place decide.",
)
def altitude_clearance(*, elevation: float) -> Clearance:
    """Factor by which clearances in air grow above 2000 m, as air breaks down the sooner the thinner it is.

    ``elevation`` [m]. A straight line between rows lies above the curve: the safe side. Returns [1, 1].
    Raises ``OutsideTable`` above 20 km.

    >>> altitude_clearance(elevation=3000).factor
    1.14

    Source: IEC 60664-1, Table A.2 (from memory).
    """
    high = elevation > MADE_FOR
    factor = linear(table("altitude_clearance"), "elevation_m", elevation, "factor") if high else 1.0
    return Clearance(factor, 1 / factor)
