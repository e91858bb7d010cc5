"""The way of the sun over the sky on a day: its altitude and its compass bearing, moment by moment."""

from __future__ import annotations

from math import asin, atan2, cos, degrees, radians, sin
from typing import NamedTuple

from engine.physics.sun import solar_declination, sunset_angle

STEP = 2.0  # degrees of hour angle between two points


class SkyPoint(NamedTuple):
    """Where the sun stands: solar hour 0 to 24, altitude over a level horizon, bearing from north by east."""

    hour: float
    altitude: float
    bearing: float


def sky_point(latitude: float, day: int, hour: float) -> SkyPoint:
    """The sun at a solar ``hour`` (noon is 12) of a day of the year, at a latitude [deg].

    ``sin(altitude) = sin(phi) sin(delta) + cos(phi) cos(delta) cos(omega)``, and the bearing from the parts
    of its direction toward north and east; neither horizon nor refraction. Declination by Cooper's equation.

    >>> point = sky_point(45.0, 172, 12.0)
    >>> round(point.altitude, 1), round(point.bearing, 1)
    (68.4, 180.0)

    Source: Duffie and Beckman, Solar Engineering of Thermal Processes, Wiley, 2013, 1.6 (from memory).
    """
    phi, delta = radians(latitude), radians(solar_declination(day).declination)
    omega = radians(15 * (hour - 12))
    up = sin(phi) * sin(delta) + cos(phi) * cos(delta) * cos(omega)
    north = cos(phi) * sin(delta) - sin(phi) * cos(delta) * cos(omega)
    east = -cos(delta) * sin(omega)
    return SkyPoint(hour, degrees(asin(max(-1.0, min(1.0, up)))), degrees(atan2(east, north)) % 360)


def day_path(latitude: float, day: int) -> tuple[SkyPoint, ...]:
    """The sun from rise to set on a day; empty in polar night, the whole day in polar day."""
    half = sunset_angle(latitude, solar_declination(day).declination)
    if half <= 0:
        return ()
    count = max(2, round(2 * half / STEP) + 1)
    angles = (-half + 2 * half * at / (count - 1) for at in range(count))
    return tuple(sky_point(latitude, day, 12 + angle / 15) for angle in angles)
