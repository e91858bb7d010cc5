"""Where the sun stands and what reaches the top of the atmosphere, by the textbook formulas.

For hand checks and for sites with twelve monthly numbers. Angles in degrees; hour angle 0 at solar noon,
afternoon positive; a surface's azimuth 0 faces the equator, west positive, in both hemispheres (at latitude
0 it faces south). Whole years of hours take a solar position library instead.
"""

from __future__ import annotations

from math import acos, asin, cos, degrees, pi, radians, sin, tan
from typing import NamedTuple

from engine.sources import Source
from engine.worksheet import CannotCalculate, Input, Output, count, quantity, worksheet

SOLAR_CONSTANT = 1367.0  # W/m^2, World Radiation Center; Duffie and Beckman, 2013, section 1.2 (from memory)
BOOK = "Solar Engineering of Thermal Processes"
AUTHORS = "J. A. Duffie and W. A. Beckman, Wiley"

_LATITUDE = quantity("latitude", "deg", "latitude, north positive", "43 deg", low=-90, high=90, symbol="φ")
_DAY = count("day", "day of the year", "105", high=366)
_DECLINATION = Output("declination", "declination", "deg", "δ")
_COOPER = "declination = 23.45 deg * sin(360 deg * (284 + day) / 365)"
_SUNSET = (
    "sunset = acos(-tan(latitude) * tan(declination));"
    " 0 where the sun never rises, 180 deg where it never sets"
)


def _hour_angle(example: str) -> Input:
    return quantity(
        "hour_angle", "deg", "hour angle, afternoon positive", example, low=-180, high=180, symbol="ω"
    )


class Declination(NamedTuple):
    """The sun's angle north of the equator at solar noon."""

    declination: float


@worksheet(
    id="sun-declination",
    subject="Sun",
    title="Declination of the sun",
    inputs=(_DAY,),
    outputs=(_DECLINATION,),
    expression=(_COOPER,),
    source=Source(
        "The absorption of solar radiation in solar stills", "P. I. Cooper, Solar Energy 12", "1969"
    ),
    validity="within about half a degree of the true declination",
)
def solar_declination(day: int) -> Declination:
    """Declination by Cooper's equation: ``23.45 sin(360 (284 + n) / 365)``.

    ``day`` of the year, 1 to 366. Returns [deg].

    >>> round(solar_declination(day=170).declination, 2)
    23.43
    """
    return Declination(23.45 * sin(radians(360 * (284 + day) / 365)))


class Incidence(NamedTuple):
    """Angle between the beam and a surface's normal, and where the sun stands."""

    incidence: float
    altitude: float
    declination: float
    toward_equator: float


@worksheet(
    id="sun-incidence",
    subject="Sun",
    title="Angle of incidence of the beam on a tilted surface",
    inputs=(
        _LATITUDE,
        _DAY,
        _hour_angle("-45 deg"),
        quantity("tilt", "deg", "tilt from the horizontal", "38.58 deg", low=0, high=180, symbol="β"),
        quantity(
            "azimuth",
            "deg",
            "azimuth, 0 faces the equator, west positive",
            "0 deg",
            low=-180,
            high=180,
            symbol="γ",
        ),
    ),
    outputs=(
        Output("incidence", "angle of incidence; above 90 deg the sun is behind the surface", "deg", "θ"),
        Output("altitude", "altitude of the sun; below 0 deg it has set", "deg", "α"),
        _DECLINATION,
        Output("toward_equator", "how far the sun stands toward the equator, of 1", "1", "s"),
    ),
    expression=(
        _COOPER,
        (
            "altitude = asin(sin(latitude) * sin(declination)"
            " + cos(latitude) * cos(declination) * cos(hour_angle))"
        ),
        (
            "toward_equator = sin(latitude) * cos(declination) * cos(hour_angle)"
            " - cos(latitude) * sin(declination), with its sign turned south of the equator"
        ),
        (
            "incidence = acos(cos(tilt) * sin(altitude) + sin(tilt) * (cos(azimuth) * toward_equator"
            " + sin(azimuth) * cos(declination) * sin(hour_angle)))"
        ),
    ),
    source=Source(BOOK, AUTHORS, "2013", "equations 1.6.2 and 1.6.5"),
    validity="solar time; neither horizon nor refraction",
)
def beam_incidence(latitude: float, day: int, hour_angle: float, tilt: float, azimuth: float) -> Incidence:
    """Angle of incidence on a surface: the scalar product of its normal and the sun's direction.

    Equation 1.6.2 of Duffie and Beckman, written by components (up, toward the equator, west) instead of
    their five products, so that azimuth 0 faces the equator in both hemispheres. All angles [deg].
    Returns [deg, deg, deg, 1].

    >>> round(beam_incidence(latitude=28.58, day=335, hour_angle=-45.0, tilt=38.58, azimuth=0.0).incidence, 2)
    44.72
    """
    declination = solar_declination(day).declination
    phi, delta, omega = radians(latitude), radians(declination), radians(hour_angle)
    beta, gamma = radians(tilt), radians(azimuth)
    up = sin(phi) * sin(delta) + cos(phi) * cos(delta) * cos(omega)
    south = sin(phi) * cos(delta) * cos(omega) - cos(phi) * sin(delta)
    equator = south if latitude >= 0 else -south
    west = cos(delta) * sin(omega)
    cosine = cos(beta) * up + sin(beta) * (cos(gamma) * equator + sin(gamma) * west)
    return Incidence(degrees(acos(_unit(cosine))), degrees(asin(_unit(up))), declination, equator)


def _unit(cosine: float) -> float:
    """A cosine or sine kept from leaving -1 to 1 by the last bit."""
    return min(1.0, max(-1.0, cosine))


class DayEnergy(NamedTuple):
    """Energy on a horizontal square metre above the atmosphere in a day, and the day's length."""

    energy: float
    daylight: float
    declination: float
    sunset: float


@worksheet(
    id="sun-extraterrestrial",
    subject="Sun",
    title="Sun energy on the horizontal above the atmosphere, by day",
    inputs=(
        _LATITUDE,
        _DAY,
        quantity(
            "solar_constant",
            "W/m^2",
            "solar constant",
            "1367 W/m^2",
            SOLAR_CONSTANT,
            low=1300,
            high=1420,
            symbol="G_sc",
        ),
    ),
    outputs=(
        Output("energy", "energy in the day", "J/m^2", "H_0"),
        Output("daylight", "time from sunrise to sunset", "h", "N"),
        _DECLINATION,
        Output("sunset", "hour angle of sunset", "deg", "ω_s"),
    ),
    expression=(
        _COOPER,
        _SUNSET,
        "daylight = 2 * sunset / (15 deg/h)",
        (
            "energy = 86400 s / pi * solar_constant * (1 + 0.033 * cos(360 deg * day / 365))"
            " * (cos(latitude) * cos(declination) * sin(sunset)"
            " + pi * sunset / 180 deg * sin(latitude) * sin(declination))"
        ),
    ),
    source=Source(BOOK, AUTHORS, "2013", "equations 1.10.3, 1.6.10 and 1.6.11"),
    validity="neither horizon nor refraction",
)
def extraterrestrial_day(latitude: float, day: int, solar_constant: float = SOLAR_CONSTANT) -> DayEnergy:
    """Energy on a horizontal surface above the atmosphere in one day.

    Equation 1.10.3 of Duffie and Beckman. ``latitude`` [deg], ``solar_constant`` [W/m^2]. In polar night
    energy and daylight are 0, in polar day the sun never sets (24 h). Returns [J/m^2, h, deg, deg].

    >>> round(extraterrestrial_day(latitude=43.0, day=105).energy / 1e6, 1)
    33.8
    """
    declination = solar_declination(day).declination
    sunset = sunset_angle(latitude, declination)
    phi, delta, omega = radians(latitude), radians(declination), radians(sunset)
    share = cos(phi) * cos(delta) * sin(omega) + omega * sin(phi) * sin(delta)
    distance = 1 + 0.033 * cos(radians(360 * day / 365))
    return DayEnergy(86_400 / pi * solar_constant * distance * share, 2 * sunset / 15, declination, sunset)


def sunset_angle(latitude: float, declination: float) -> float:
    """Hour angle of sunset [deg] from two angles [deg]: 0 in polar night, 180 in polar day."""
    return degrees(acos(_unit(-tan(radians(latitude)) * tan(radians(declination)))))


class HourShare(NamedTuple):
    """Share of a day's energy that falls in an hour around an hour angle."""

    share: float
    sunset: float
    declination: float


@worksheet(
    id="sun-hour-share",
    subject="Sun",
    title="Share of a day's sun energy that falls in an hour",
    inputs=(_LATITUDE, _DAY, _hour_angle("7.5 deg")),
    outputs=(
        Output("share", "share of the day's energy in an hour; 0 while the sun is down", "1/h", "r_t"),
        Output("sunset", "hour angle of sunset", "deg", "ω_s"),
        _DECLINATION,
    ),
    expression=(
        _COOPER,
        _SUNSET,
        "a = 0.409 + 0.5016 * sin(sunset - 60 deg)",
        "b = 0.6609 - 0.4767 * sin(sunset - 60 deg)",
        (
            "share = pi / 24 h * (a + b * cos(hour_angle)) * (cos(hour_angle) - cos(sunset))"
            " / (sin(sunset) - pi * sunset / 180 deg * cos(sunset))"
        ),
    ),
    source=Source(
        "The average distribution of solar radiation",
        "M. Collares-Pereira and A. Rabl, Solar Energy 22, 155-164",
        "1979",
        f"also {BOOK}, {AUTHORS}, 2013, equation 2.13.2",
    ),
    validity="long-term mean of global radiation on the horizontal, at the middle of the hour",
)
def hour_share(latitude: float, day: int, hour_angle: float) -> HourShare:
    """Share of the day's global radiation in the hour around an hour angle, by Collares-Pereira and Rabl.

    All angles [deg]. The share is 0 while the sun is down. Returns [1/h, deg, deg]. Raises
    ``CannotCalculate`` in polar night, when there is nothing to share.

    >>> round(hour_share(latitude=40.0, day=80, hour_angle=0.0).share, 3)
    0.142
    """
    declination = solar_declination(day).declination
    sunset = sunset_angle(latitude, declination)
    if sunset <= 0:
        raise CannotCalculate(
            "latitude", f"{latitude:.4g} deg in polar night", "a day on which the sun rises"
        )
    if abs(hour_angle) >= sunset:
        return HourShare(0.0, sunset, declination)
    omega, omega_s = radians(hour_angle), radians(sunset)
    a = 0.409 + 0.5016 * sin(omega_s - pi / 3)
    b = 0.6609 - 0.4767 * sin(omega_s - pi / 3)
    share = (a + b * cos(omega)) * (cos(omega) - cos(omega_s)) / (sin(omega_s) - omega_s * cos(omega_s))
    return HourShare(pi / 24 * share, sunset, declination)
