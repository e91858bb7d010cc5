"""The way of the sun over the sky, against pvlib's solar position algorithm."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.sun import extraterrestrial_day
from engine.physics.sun_path import day_path, sky_point
from engine.sections.place import arcs


@pytest.mark.parametrize("latitude", [60.0, 45.0, 10.0, -4.2, -35.0])
@pytest.mark.parametrize("day", [20, 80, 172, 266, 355])
def test_that_the_sun_stands_where_pvlib_has_it(latitude: float, day: int) -> None:
    # SPA (Reda and Andreas, 2004) in solar time: Cooper's declination is half a degree off at most, and
    # more than a degree at the September equinox (day 266), by its own validity.
    import pandas as pd
    import pvlib

    hours = np.arange(5, 20)
    days = pd.Timestamp("2023-01-01") + pd.Timedelta(days=day - 1)
    times = pd.DatetimeIndex([days + pd.Timedelta(hours=float(hour)) for hour in hours], tz="UTC")
    late = pvlib.solarposition.get_solarposition(times, latitude, 0.0)["equation_of_time"]
    moved = times - pd.to_timedelta(late.to_numpy(), unit="min")
    theirs = pvlib.solarposition.get_solarposition(moved, latitude, 0.0)
    for hour, altitude, bearing in zip(hours, theirs["elevation"], theirs["azimuth"], strict=True):
        ours = sky_point(latitude, day, float(hour))
        assert ours.altitude == pytest.approx(altitude, abs=1.2)
        across = (ours.bearing - bearing + 180) % 360 - 180
        assert abs(across) * np.cos(np.radians(altitude)) < 1.2


@given(st.floats(-66, 66), st.integers(1, 365))
def test_that_a_day_begins_and_ends_at_the_horizon_and_is_even_about_noon(latitude: float, day: int) -> None:
    path = day_path(latitude, day)
    assert abs(path[0].altitude) < 1e-6 and abs(path[-1].altitude) < 1e-6
    assert path[-1].hour - path[0].hour == pytest.approx(extraterrestrial_day(latitude, day).daylight)
    for rising, setting in zip(path, reversed(path), strict=True):
        assert rising.altitude == pytest.approx(setting.altitude, abs=1e-6)


def test_that_the_equinox_rises_due_east_and_sets_due_west() -> None:
    for latitude in (-50.0, 0.5, 50.0):
        path = day_path(latitude, 81)
        assert path[0].bearing == pytest.approx(90, abs=0.1) and path[-1].bearing == pytest.approx(
            270, abs=0.1
        )


def test_that_the_noon_sun_stands_south_in_the_north_and_north_in_the_south() -> None:
    assert sky_point(45.0, 355, 12.0).bearing == pytest.approx(180)
    assert sky_point(-45.0, 172, 12.0).bearing % 360 == pytest.approx(0, abs=1e-6)


def test_that_polar_night_has_no_path_and_polar_day_a_whole_one() -> None:
    assert day_path(75.0, 355) == ()
    path = day_path(75.0, 172)
    assert path[-1].hour - path[0].hour == pytest.approx(24) and min(p.altitude for p in path) > 0
    june, _, december = arcs(75.0)
    assert (june.daylight, december.daylight) == (24, 0) and not december.hours
