"""What a wind turbine is made for, and the gust that its place has at the height of its hub."""

from __future__ import annotations

from engine.design import Site, WindTurbine
from engine.tables import table
from engine.tables.lookup import exact

MAP_HEIGHT = 10.0  # m, over open ground: where the maps' gusts are given
GUST_EXPONENT = 0.11  # of a gust over height (IEC 61400-1:2019, 6.3.3.2, extreme wind model, from memory)


def gust_at_hub(site: Site, turbine: WindTurbine) -> float | None:
    """The gust entered for the place, at the hub [m/s]; below 10 m it counts as at 10 m."""
    if site.gust is None or turbine.hub_height is None:
        return None
    higher = max(float(turbine.hub_height), MAP_HEIGHT) / MAP_HEIGHT
    return float(float(site.gust) * higher**GUST_EXPONENT)


def stands_gust(turbine: WindTurbine) -> float | None:
    """The gust [m/s] that a turbine is made for: of its class or its maker's, the lesser of them."""
    own = [] if turbine.survival_wind is None else [float(turbine.survival_wind)]
    classed = _of_class(turbine, "Ve50_m_s")
    return min([*own, *([] if classed is None else [classed])], default=None)


def stands_mean(turbine: WindTurbine) -> float | None:
    """The mean wind of the year [m/s] that its class is made for; ``None`` without one, or for class S."""
    return _of_class(turbine, "Vave_m_s")


def _of_class(turbine: WindTurbine, column: str) -> float | None:
    if turbine.wind_class in (None, "S"):
        return None
    return exact(table("iec61400_2_classes"), "class", turbine.wind_class, column)
