"""What the hours of a weather file come to: months, days, the winds, the darkest fortnight."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from engine.weather.hours import Floats, Weather

FORTNIGHT = 14
ENOUGH = 0.9  # of the hours of a month
SHORTEST = 28 * 24  # hours of a month


@dataclass(frozen=True, slots=True)
class Fortnight:
    """The fourteen days in a row with least sun: the place of the first in the year (from 0), its month and
    day, and the last's; ``mean`` [Wh/m^2 a day]."""

    start: int
    first: tuple[int, int]
    last: tuple[int, int]
    mean: float


@dataclass(frozen=True, slots=True)
class Weibull:
    """A Weibull distribution of winds: shape [-], scale [m/s], and the share of calm hours left out of it."""

    shape: float
    scale: float
    calm: float


def months_of_sun(weather: Weather) -> tuple[float | None, ...]:
    """Sun on level ground, a mean day of each month [Wh/m^2]: the sum of the mean hours of the day, so that a
    missing hour of day counts as the others of its hour."""
    return tuple(_day_of(weather, weather.level, month) for month in range(1, 13))


def months_of(weather: Weather, values: Floats) -> tuple[float | None, ...]:
    """The mean of each month; ``None`` where the file has not nearly all of its hours."""
    return tuple(
        float(np.nanmean(values[weather.month == month])) if _enough(weather, values, month) else None
        for month in range(1, 13)
    )


def _enough(weather: Weather, values: Floats, month: int) -> bool:
    of = values[weather.month == month]
    return len(of) >= SHORTEST and bool(np.isfinite(of).mean() >= ENOUGH)


def _day_of(weather: Weather, values: Floats, month: int) -> float | None:
    if not _enough(weather, values, month):
        return None
    total = 0.0
    for hour in range(24):
        of = values[(weather.month == month) & (weather.hour == hour)]
        if not np.isfinite(of).any():
            return None
        total += float(np.nanmean(of))
    return total


def mean_wind(weather: Weather) -> float | None:
    """The mean wind of the year [m/s], every month by its days; ``None`` where a month is not known."""
    months = months_of(weather, weather.wind)
    known = [speed for speed in months if speed is not None]
    if len(known) < 12:
        return None
    days = np.array([np.sum(weather.month == month) for month in range(1, 13)], dtype=float)
    return float(np.dot(known, days) / days.sum())


def weibull(winds: Floats) -> Weibull | None:
    """The Weibull distribution of most likelihood for winds [m/s]; ``None`` for fewer than two of them.

    ``1 / k = sum(v^k ln v) / sum(v^k) - mean(ln v)``, ``c = mean(v^k)^(1 / k)``. Calm hours have no
    logarithm and are left out, which makes the shape too high and so a turbine's year too small.

    Source: A. C. Cohen, Maximum likelihood estimation in the Weibull distribution, Technometrics 7, 1965
    (from memory).
    """
    known = winds[np.isfinite(winds)]
    blowing = known[known > 0]
    if len(blowing) < 2 or float(blowing.min()) == float(blowing.max()):
        return None
    scaled = blowing / blowing.max()
    logs = np.log(scaled)

    def lean(shape: float) -> float:
        powers = scaled**shape
        return float(np.dot(powers, logs) / powers.sum() - logs.mean() - 1 / shape)

    low, high = 0.05, 200.0
    if lean(high) < 0:
        return None
    for _ in range(80):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if lean(middle) < 0 else (low, middle)
    shape = math.sqrt(low * high)
    scale = float(blowing.max()) * float(np.mean(scaled**shape)) ** (1 / shape)
    return Weibull(shape, scale, 1 - len(blowing) / len(known))


def days_of_sun(weather: Weather) -> Floats:
    """Sun on level ground of each day of the file [Wh/m^2], by day; NaN where an hour is missing."""
    begin = int(np.argmax(weather.hour == 0))
    count = (len(weather.level) - begin) // 24
    days: Floats = weather.level[begin : begin + 24 * count].reshape(count, 24).sum(axis=1)
    return days


def running(days: Floats) -> Floats:
    """The mean of each fourteen days in a row, by their first day. A year goes on into its own beginning."""
    around = np.concatenate((days, days[: FORTNIGHT - 1])) if len(days) in (365, 366) else days
    if len(around) < FORTNIGHT:
        return np.empty(0)
    sums = np.convolve(around, np.ones(FORTNIGHT), "valid")
    return sums / FORTNIGHT


def darkest(weather: Weather) -> Fortnight | None:
    """The fourteen days in a row with least sun; ``None`` where the file has less than a year."""
    if not weather.whole:
        return None
    days = days_of_sun(weather)
    means = running(days)
    if not np.isfinite(means).any():
        return None
    start = int(np.nanargmin(means))
    begin = int(np.argmax(weather.hour == 0))
    rows = [begin + 24 * ((start + on) % len(days)) for on in (0, FORTNIGHT - 1)]
    first, last = ((int(weather.month[row]), int(weather.day[row])) for row in rows)
    return Fortnight(start, first, last, float(means[start]))


@dataclass(frozen=True, slots=True)
class AirMonth:
    """Air of a month [degC]: its mean, the means of each day's lowest and highest, and the extremes."""

    mean: float
    day_low: float
    day_high: float
    lowest: float
    highest: float


def months_of_air(weather: Weather) -> tuple[AirMonth | None, ...]:
    """The air of each month; ``None`` where the file has not nearly all of its hours."""
    begin = int(np.argmax(weather.hour == 0))
    count = (len(weather.air) - begin) // 24
    days = weather.air[begin : begin + 24 * count].reshape(count, 24)
    month_of_day = weather.month[begin : begin + 24 * count : 24]
    found: list[AirMonth | None] = []
    for month in range(1, 13):
        if not _enough(weather, weather.air, month):
            found.append(None)
            continue
        hours = weather.air[weather.month == month]
        whole = days[(month_of_day == month) & np.isfinite(days).all(axis=1)]
        lows, highs = (whole.min(axis=1), whole.max(axis=1)) if len(whole) else (hours, hours)
        found.append(
            AirMonth(
                float(np.nanmean(hours)),
                float(np.nanmean(lows)),
                float(np.nanmean(highs)),
                float(np.nanmin(hours)),
                float(np.nanmax(hours)),
            )
        )
    return tuple(found)


def histogram(winds: Floats) -> Floats:
    """The share of hours in each step of 1 m/s from 0, by step."""
    known = winds[np.isfinite(winds)]
    if not len(known):
        return np.empty(0)
    counts = np.bincount(np.floor(known).astype(int))
    return counts / len(known)
