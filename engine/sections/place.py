"""What the place gives and takes, to look at: the sun's way, the air, the winds, the darkest days.

From the hours of a weather file where one is open, else from the numbers of the site, and then only what
those can show.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from engine.design import Site
from engine.physics.sun import extraterrestrial_day
from engine.physics.sun_path import SkyPoint, day_path, sky_point
from engine.physics.wind import weibull_shares
from engine.sections.results import Floats
from engine.sections.sunshine import sunshine
from engine.weather import summary
from engine.weather.hours import Weather
from engine.weather.summary import AirMonth, Fortnight

JUNE, MARCH, DECEMBER = 172, 80, 355  # solstices and an equinox, days of the year
HOURS = tuple(range(3, 22, 3))
FINE = 0.25  # m/s between two points of the line of winds


@dataclass(frozen=True, slots=True)
class Arc:
    """The sun's way on one day, every third hour, its altitude at noon [deg] and its time of daylight [h]."""

    name: str
    path: tuple[SkyPoint, ...]
    hours: tuple[SkyPoint, ...]
    noon: float
    daylight: float


@dataclass(frozen=True, slots=True, eq=False)
class Winds:
    """The winds at ``height`` [m]: ``mean`` [m/s] and ``shape``; ``shares`` of hours by step of 1 m/s, empty
    without a file; the Weibull line as ``speeds`` [m/s] and ``line``, the share of hours in 1 m/s there."""

    mean: float
    shape: float
    height: float
    speeds: Floats
    line: Floats
    shares: Floats = field(default_factory=lambda: np.empty(0))
    calm: float | None = None
    shape_assumed: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Days:
    """Sun on level ground of each day [Wh/m^2], the ``mean`` of all, the mean of the fourteen days from each
    on, the darkest of these, and where months (years in a file of several) begin: place and name."""

    sun: Floats
    mean: float
    running: Floats
    darkest: Fortnight | None
    ticks: tuple[tuple[int, str], ...]
    year: int | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """Everything to look at; ``file`` is empty where only the site's own numbers stand. ``sun`` is by month
    [Wh/m^2], ``sun_assumed`` says what it is where it is the coarse default."""

    file: str = ""
    arcs: tuple[Arc, ...] = ()
    air: tuple[AirMonth | None, ...] = ()
    air_months: tuple[float, ...] = ()
    winds: Winds | None = None
    days: Days | None = None
    sun: tuple[float, ...] = ()
    sun_assumed: str = ""


def place(site: Site, weather: Weather | None = None) -> Place:
    """What a site, and a weather file where one is open, can show."""
    latitude = weather.latitude if site.latitude is None and weather is not None else site.latitude
    found = sunshine(site)
    return Place(
        file="" if weather is None else weather.file,
        arcs=() if latitude is None else arcs(float(latitude)),
        air=() if weather is None else summary.months_of_air(weather),
        air_months=tuple(float(each) for each in site.air_temperature or ()),
        winds=_blown(site) if weather is None else _winds(weather),
        days=None if weather is None else _days(weather),
        sun=() if found is None else found.months,
        sun_assumed="" if found is None or found.assumed is None else found.assumed.why,
    )


def arcs(latitude: float) -> tuple[Arc, ...]:
    """The sun's way at the solstices and the equinox, at a latitude [deg]."""
    return tuple(
        _arc(latitude, name, day)
        for name, day in (("21 June", JUNE), ("Equinox", MARCH), ("21 December", DECEMBER))
    )


def _arc(latitude: float, name: str, day: int) -> Arc:
    hours = tuple(point for hour in HOURS if (point := sky_point(latitude, day, hour)).altitude > 0)
    noon = sky_point(latitude, day, 12).altitude
    return Arc(name, day_path(latitude, day), hours, noon, extraterrestrial_day(latitude, day).daylight)


def _winds(weather: Weather) -> Winds | None:
    mean, fit = summary.mean_wind(weather), summary.weibull(weather.wind)
    if mean is None or fit is None or not mean > 0:
        return None
    shares = summary.histogram(weather.wind)
    speeds, line = _line(mean, fit.shape, float(len(shares)))
    return Winds(mean, fit.shape, weather.wind_height, speeds, line, shares, fit.calm)


def _blown(site: Site) -> Winds | None:
    if site.wind_speed is None or not site.wind_speed > 0:
        return None
    mean, shape = float(site.wind_speed), float(site.use("wind_shape"))
    speeds, line = _line(mean, shape, 3 * mean)
    height = float(site.use("wind_height"))
    return Winds(mean, shape, height, speeds, line, shape_assumed=site.is_default("wind_shape"))


def _line(mean: float, shape: float, end: float) -> tuple[Floats, Floats]:
    """Middles of fine steps of wind [m/s], and the share of hours in 1 m/s there."""
    edges = np.arange(0.0, end + FINE, FINE)
    return (edges[1:] + edges[:-1]) / 2, weibull_shares(edges, mean, shape) / FINE


def _days(weather: Weather) -> Days | None:
    if not weather.whole:
        return None
    sun = summary.days_of_sun(weather)
    if not np.isfinite(sun).any():
        return None
    begin = int(np.argmax(weather.hour == 0))
    firsts = [at for at in range(len(sun)) if weather.day[begin + 24 * at] == 1]
    several = len(sun) > 366
    months = [(at, int(weather.month[begin + 24 * at])) for at in firsts]
    ticks = (
        tuple((at, str(int(weather.year[begin + 24 * at]))) for at, month in months if month == 1)
        if several
        else tuple((at, "JFMAMJJASOND"[month - 1]) for at, month in months)
    )
    darkest = summary.darkest(weather)
    year = int(weather.year[begin + 24 * darkest.start]) if several and darkest else None
    return Days(sun, float(np.nanmean(sun)), summary.running(sun), darkest, ticks, year)
