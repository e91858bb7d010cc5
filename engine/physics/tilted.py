"""The sun of a month on a tilted plane, and how warm modules run in it: from twelve monthly numbers.

The angles are those of ``sun``: azimuth 0 faces the equator, west positive, in both hemispheres.
"""

from __future__ import annotations

from functools import lru_cache
from math import cos, degrees, pi, radians, sin
from typing import NamedTuple

import numpy as np

from engine.physics.sun import extraterrestrial_day
from engine.sources import Source
from engine.tables import table
from engine.worksheet import CannotCalculate, Output, count, quantity, worksheet

GROUND = 0.2  # reflectance of ground without snow (common practice)
STEPS = 144  # of a day: ten minutes of midsummer
CLEAREST = 0.8  # beyond it the correlation of diffuse sun was not measured
LOW_SUN = sin(radians(5.0))  # of the altitude below which a tilted plane gains nothing: no horizon is flat
JOULES = 3600.0  # in a Wh
EVANS = Source(
    "Simplified method for predicting photovoltaic array output", "D. L. Evans, Solar Energy 27", "1981"
)


class TiltedMonth(NamedTuple):
    """Sun on a plane on the average day, and what it was made of."""

    plane: float
    clearness: float
    diffuse: float
    beam_ratio: float
    extraterrestrial: float


@worksheet(
    id="sun-tilted-month",
    subject="Sun",
    title="Sun of a month on a tilted plane",
    inputs=(
        quantity("latitude", "deg", "latitude, north positive", "43 deg", low=-90, high=90, symbol="φ"),
        count("month", "month, 1 to 12", "1", high=12),
        quantity("level", "Wh/m^2", "on level ground, a day", "1.6 kWh/m^2", low=0, high=15_000, symbol="H"),
        quantity("tilt", "deg", "tilt from the horizontal", "60 deg", low=0, high=90, symbol="β"),
        quantity(
            "azimuth",
            "deg",
            "azimuth, 0 faces the equator, west positive",
            "0 deg",
            0.0,
            low=-180,
            high=180,
            symbol="γ",
        ),
        quantity("ground", "%", "reflectance of the ground", "20 %", GROUND, low=0, high=1, symbol="ρ"),
    ),
    outputs=(
        Output("plane", "on the plane, a day", "Wh/m^2", "H_T"),
        Output("clearness", "of what stands above the atmosphere", "1", "K"),
        Output("diffuse", "of it, from the whole sky", "1", "D"),
        Output("beam_ratio", "beam on the plane over beam on level ground", "1", "R_b"),
        Output("extraterrestrial", "above the atmosphere, a day", "Wh/m^2", "H_0"),
    ),
    expression=(
        "extraterrestrial = energy above the atmosphere on the average day (latitude, month)",
        "clearness = level / extraterrestrial",
        (
            "diffuse = 1.391 - 3.560 * clearness + 4.189 * clearness^2 - 2.137 * clearness^3 where the sun"
            " sets within 81.4 deg of noon,"
            " else 1.311 - 3.022 * clearness + 3.427 * clearness^2 - 1.821 * clearness^3"
        ),
        "beam_ratio = beam of the day on the slope over that on the flat, moment by moment",
        (
            "plane = level * ((1 - diffuse) * beam_ratio + diffuse * (1 + cos(tilt)) / 2"
            " + ground * (1 - cos(tilt)) / 2)"
        ),
    ),
    source=Source(
        "Solar Engineering of Thermal Processes",
        "J. A. Duffie and W. A. Beckman, Wiley",
        "2013",
        "sections 2.12 and 2.20, after Erbs (1982), Liu and Jordan (1962), Klein and Theilacker (1981)",
    ),
    validity="Means of many years; an even sky; sun under 5 deg counts as on level ground. Above a clearness "
    "of 0.8 the diffuse share stays as it is there; it is never more than all.",
)
@lru_cache(maxsize=2048)
def tilted_month(
    latitude: float, month: int, level: float, tilt: float, azimuth: float = 0.0, ground: float = GROUND
) -> TiltedMonth:
    """Monthly mean sun on a tilted plane, by Klein and Theilacker's integral over the average day.

    The beam of each moment is ``(a + b cos w - D)(cos w - cos ws)``, Collares-Pereira and Rabl's share less
    Liu and Jordan's diffuse one; ``R_b`` is its mean ratio of ``cos(incidence)`` to ``cos(zenith)``, so that
    a level plane gets exactly ``level``. Erbs, Klein and Duffie give the diffuse share ``D``. Sun lower than
    5 degrees counts no more than on level ground, where the original lets it count without bound.

    Args: latitude, tilt, azimuth [deg]; month 1..12; level [Wh/m^2] a day; ground [0..1].
    Returns: plane [Wh/m^2], clearness, diffuse, beam_ratio [-], extraterrestrial [Wh/m^2]. Raises
    CannotCalculate where more shines than stands above the atmosphere.

    >>> round(tilted_month(latitude=43.0, month=1, level=1600.0, tilt=0.0).plane, 6)
    1600.0

    Source: Duffie and Beckman, Solar Engineering of Thermal Processes, 2013, 2.12 and 2.20 (from memory).
    """
    day = extraterrestrial_day(latitude, average_day(month))
    above = day.energy / JOULES
    if level > above * (1 + 1e-9):
        raise CannotCalculate(
            "level",
            f"{level:.4g} Wh/m^2",
            f"no more than stands above the atmosphere then, {above:.4g} Wh/m^2",
        )
    clearness = level / above if above > 0 else 0.0
    diffuse = _diffuse(clearness, day.sunset)
    ratio = _beam_ratio(latitude, day.declination, day.sunset, tilt, azimuth, diffuse) if level > 0 else 0.0
    sky, ground_seen = (1 + cos(radians(tilt))) / 2, (1 - cos(radians(tilt))) / 2
    plane = level * ((1 - diffuse) * ratio + diffuse * sky + ground * ground_seen)
    return TiltedMonth(plane, clearness, diffuse, ratio, above)


def average_day(month: int) -> int:
    """The day of the year that stands for a month (Klein, Solar Energy 19, 1977)."""
    return int(table("klein_average_days").numbers("n")[month - 1])


def _diffuse(clearness: float, sunset: float) -> float:
    """Erbs, Klein and Duffie's share of diffuse sun in a month, never more than all of it."""
    k = min(clearness, CLEAREST)
    if sunset <= 81.4:
        share = 1.391 - 3.560 * k + 4.189 * k**2 - 2.137 * k**3
    else:
        share = 1.311 - 3.022 * k + 3.427 * k**2 - 1.821 * k**3
    return min(share, 1.0)


def _beam_ratio(
    latitude: float, declination: float, sunset: float, tilt: float, azimuth: float, diffuse: float
) -> float:
    """Beam of the average day on the plane over that on level ground [-]; 0 where no beam shines."""
    omega_s = radians(sunset)
    omega = (np.arange(STEPS) + 0.5) / STEPS * 2 * omega_s - omega_s
    a = 0.409 + 0.5016 * sin(omega_s - pi / 3)
    b = 0.6609 - 0.4767 * sin(omega_s - pi / 3)
    beam = np.maximum(a + b * np.cos(omega) - diffuse, 0.0) * (np.cos(omega) - cos(omega_s))
    phi, delta, beta, gamma = (radians(each) for each in (latitude, declination, tilt, azimuth))
    up = sin(phi) * sin(delta) + cos(phi) * cos(delta) * np.cos(omega)
    south = sin(phi) * cos(delta) * np.cos(omega) - cos(phi) * sin(delta)
    equator = south if latitude >= 0 else -south
    west = cos(delta) * np.sin(omega)
    facing = cos(beta) * up + sin(beta) * (cos(gamma) * equator + sin(gamma) * west)
    shines = (up > 1e-9) & (beam > 0)
    beam, facing, up = beam[shines], np.maximum(facing[shines], 0.0), up[shines]
    if not beam.sum() > 0:
        return 0.0
    ratio = facing / up
    counted = np.where(up > LOW_SUN, ratio, np.minimum(ratio, 1.0))
    return float((beam * counted).sum() / beam.sum())


def toward_equator(bearing: float, latitude: float) -> float:
    """A compass bearing [deg] as an azimuth: 0 faces the equator, west positive, -180 to 180.

    >>> toward_equator(270.0, 45.0), toward_equator(270.0, -30.0)
    (90.0, 90.0)
    """
    turned = bearing - 180.0 if latitude >= 0 else -bearing
    return degrees(pi) - (degrees(pi) - turned) % 360.0


class MonthCell(NamedTuple):
    """Cell temperature of a month, weighed by what the modules give."""

    rise: float
    temperature: float


@worksheet(
    id="pv-month-cell",
    subject="PV",
    title="Cell temperature of a month's harvest",
    inputs=(
        quantity("ambient", "degC", "mean air temperature of the month", "18 degC", low=-70, high=60),
        quantity("clearness", "1", "clearness of the month", "0.5", low=0, high=1, symbol="K"),
        quantity("full_sun_rise", "K", "rise over the air in full sun", "30 K", low=0, high=80, symbol="ΔT"),
    ),
    outputs=(Output("rise", "rise over the air", "K"), Output("temperature", "cells", "degC", "T")),
    expression=(
        "rise = (0.219 + 0.832 * clearness) * full_sun_rise",
        "temperature = ambient + rise",
    ),
    source=EVANS,
    validity="Modules near their best tilt; the rise in full sun is the nominal one at 800 W/m^2, raised.",
)
def month_cell(ambient: float, clearness: float, full_sun_rise: float) -> MonthCell:
    """Cell temperature that counts for a month's energy, by Evans: ``Tair + (219 + 832 K) / 1000 rise``.

    Args: ``ambient`` [degC], ``clearness`` [0..1], ``full_sun_rise`` at 1000 W/m^2 [K], which is
    ``(NOCT - 20) / 0.8``. Returns: rise [K], temperature [degC].

    >>> round(month_cell(ambient=20.0, clearness=0.6, full_sun_rise=31.25).temperature, 1)
    42.4

    Source: Evans, Solar Energy 27, 555-560, 1981 (from memory).
    """
    rise = (0.219 + 0.832 * clearness) * full_sun_rise
    return MonthCell(rise, ambient + rise)
