"""Air: its density at a temperature and a pressure or a height above the sea."""

from __future__ import annotations

from typing import NamedTuple

from engine.physics.physical import (
    GAS_CONSTANT_AIR,
    GRAVITY,
    STANDARD_LAPSE,
    STANDARD_PRESSURE,
    STANDARD_SEA_LEVEL,
    ZERO_CELSIUS,
)
from engine.sources import Source
from engine.worksheet import CannotCalculate, Output, quantity, worksheet

US_STANDARD_ATMOSPHERE = Source(
    "U.S. Standard Atmosphere, 1976", "NOAA, NASA and USAF", "1976", "1.2.5 and equation 33a"
)
EARTH_RADIUS = 6_356_766.0  # m, the same, 1.2.3
LOWEST, HIGHEST = -430.0, 9000.0  # m: the shore of the lowest lake, the highest peak


def standard_pressure(elevation: float) -> float:
    """Air pressure [Pa] at an elevation [m, below 11 000 m geopotential] in the standard atmosphere of 1976.

    ``p = 101 325 Pa * (1 - 0.0065 K/m * H / 288.15 K)^(g / (R * 0.0065 K/m))``, with the geopotential height
    ``H = r z / (r + z)``. Arrays pass too.

    >>> round(standard_pressure(1500.0))
    84560

    Source: U.S. Standard Atmosphere, 1976 (from memory; the printed table is the check).
    """
    geopotential = EARTH_RADIUS * elevation / (EARTH_RADIUS + elevation)
    ratio = 1 - STANDARD_LAPSE * geopotential / STANDARD_SEA_LEVEL
    pressure: float = STANDARD_PRESSURE * ratio ** (GRAVITY / (GAS_CONSTANT_AIR * STANDARD_LAPSE))
    return pressure


class AirDensity(NamedTuple):
    density: float
    pressure: float


@worksheet(
    id="air-density",
    subject="Wind",
    title="Density of air",
    inputs=(
        quantity("temperature", "degC", "air temperature", "12 degC", low=-80, high=60),
        quantity("pressure", "Pa", "air pressure", "845 hPa", None, above=0, high=120_000),
        quantity("elevation", "m", "height above the sea", "1500 m", None, low=LOWEST, high=HIGHEST),
    ),
    outputs=(Output("density", "density", "kg/m^3"), Output("pressure", "air pressure", "Pa")),
    expression=(
        "pressure = 101325 Pa * (1 - 0.0065 K/m * elevation / 288.15 K)^5.2559",
        "density = pressure / (287.05 J/(kg*K) * (temperature + 273.15 K))",
    ),
    source=US_STANDARD_ATMOSPHERE,
    validity="Dry air. Give the pressure or the elevation, not both; the elevation is taken as geopotential "
    "(0.1 % less at 6 km).",
    one_of=(("pressure", "elevation"),),
)
def air_density(
    *, temperature: float, pressure: float | None = None, elevation: float | None = None
) -> AirDensity:
    """Density of dry air as an ideal gas, at a pressure or an elevation in the 1976 standard atmosphere.

    ``density = pressure / (R * (temperature + 273.15))``

    Args: temperature [degC]; exactly one of pressure [Pa] and elevation [m].
    Returns: density [kg/m^3], pressure [Pa]. An array of temperatures passes too.
    Raises CannotCalculate for both or neither. Moist air is up to 1 % lighter: a windmill's power falls with
    it.

    >>> round(air_density(temperature=15, elevation=0).density, 3)
    1.225

    Source: U.S. Standard Atmosphere, 1976 (from memory).
    """
    if pressure is not None and elevation is not None:
        raise CannotCalculate("elevation", "a pressure and an elevation", "one of the two")
    if pressure is None:
        if elevation is None:
            raise CannotCalculate("elevation", "nothing", "a pressure or an elevation")
        pressure = standard_pressure(elevation)
    return AirDensity(pressure / (GAS_CONSTANT_AIR * (temperature + ZERO_CELSIUS)), pressure)
