"""Sun formulas against published values, against pvlib, and against what must hold."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.sun import (
    beam_incidence,
    extraterrestrial_day,
    hour_share,
    solar_declination,
    sunset_angle,
)
from engine.worksheet import CannotCalculate

days = st.integers(1, 366)
latitudes = st.floats(-90, 90)
angles = st.floats(-180, 180)

# "Recommended average days for months": S. A. Klein, Solar Energy 19, 1977; printed in J. A. Duffie and
# W. A. Beckman, "Solar Engineering of Thermal Processes", Wiley, table 1.6.1 (from memory).
AVERAGE_DAYS = {17: -20.9, 47: -13.0, 75: -2.4, 105: 9.4, 135: 18.8, 162: 23.1}
AVERAGE_DAYS |= {198: 21.2, 228: 13.5, 258: 2.2, 288: -9.6, 318: -18.9, 344: -23.0}


@pytest.mark.parametrize(("day", "declination"), AVERAGE_DAYS.items())
def test_that_the_average_day_of_each_month_has_its_printed_declination(day: int, declination: float) -> None:
    assert solar_declination(day).declination == pytest.approx(declination, abs=0.05)


def test_that_declination_is_a_librarys_cooper_equation() -> None:
    from pvlib.solarposition import declination_cooper69

    for day in range(1, 366):
        assert solar_declination(day).declination == pytest.approx(np.degrees(declination_cooper69(day)))


def test_that_a_textbooks_winter_morning_in_delhi_is_met() -> None:
    # G. D. Rai, "Non-conventional Energy Sources", Khanna, 2004, example 2.4.2.
    assert beam_incidence(28.58, 335, -45.0, 38.58, 0.0).incidence == pytest.approx(44.73, abs=0.03)


def test_that_the_textbooks_madison_collector_is_met() -> None:
    # Duffie and Beckman, example 1.6.1 (from memory): 13 February 10:30, tilted 45, 15 west: 35 deg.
    assert beam_incidence(43.0, 44, -22.5, 45.0, 15.0).incidence == pytest.approx(35.0, abs=0.5)


@given(latitude=latitudes, day=days, hour_angle=angles, tilt=st.floats(0, 90), azimuth=angles)
def test_that_incidence_agrees_with_a_library_in_both_hemispheres(
    latitude: float, day: int, hour_angle: float, tilt: float, azimuth: float
) -> None:
    from pvlib.irradiance import aoi_projection
    from pvlib.solarposition import solar_azimuth_analytical, solar_zenith_analytical

    got = beam_incidence(latitude, day, hour_angle, tilt, azimuth)
    phi, omega, delta = np.radians([latitude, hour_angle, solar_declination(day).declination])
    zenith = solar_zenith_analytical(phi, omega, delta)
    assert got.altitude == pytest.approx(90 - np.degrees(zenith), abs=1e-5)
    if abs(latitude) > 89 or np.sin(zenith) < 1e-3:
        return  # no south at a pole, no azimuth overhead
    sun_azimuth = np.degrees(solar_azimuth_analytical(phi, omega, delta, zenith))
    compass = 180 + azimuth if latitude >= 0 else -azimuth
    projection = aoi_projection(tilt, compass, np.degrees(zenith), sun_azimuth)
    assert np.cos(np.radians(got.incidence)) == pytest.approx(projection, abs=1e-5)


@given(latitude=latitudes, day=days, hour_angle=angles, azimuth=angles)
def test_that_a_level_surface_sees_the_sun_at_its_zenith_angle(
    latitude: float, day: int, hour_angle: float, azimuth: float
) -> None:
    got = beam_incidence(latitude, day, hour_angle, 0.0, azimuth)
    assert got.incidence == pytest.approx(90 - got.altitude, abs=1e-5)


def test_that_the_sun_energy_at_43_north_in_mid_april_is_the_textbooks() -> None:
    # Duffie and Beckman, example 1.10.1 (from memory).
    assert extraterrestrial_day(43.0, 105).energy / 1e6 == pytest.approx(33.8, abs=0.08)


@given(latitude=latitudes, day=days)
def test_that_a_days_energy_is_the_sum_of_its_moments(latitude: float, day: int) -> None:
    got = extraterrestrial_day(latitude, day)
    omega = np.radians(np.linspace(-180, 180, 20_001))
    phi, delta = np.radians([latitude, got.declination])
    up = np.sin(phi) * np.sin(delta) + np.cos(phi) * np.cos(delta) * np.cos(omega)
    normal = 1367 * (1 + 0.033 * np.cos(2 * np.pi * day / 365))
    energy = np.trapezoid(np.maximum(up, 0), omega) * 86_400 / (2 * np.pi) * normal
    assert got.energy == pytest.approx(energy, abs=2e3)
    assert 0 <= got.daylight <= 24


def test_that_polar_night_has_no_energy_and_polar_day_no_sunset() -> None:
    assert extraterrestrial_day(75.0, 355)[:2] == (0.0, 0.0)
    assert extraterrestrial_day(75.0, 172).daylight == 24.0
    assert extraterrestrial_day(-75.0, 355).daylight == 24.0


@given(day=days)
def test_that_the_equator_has_twelve_hours_every_day(day: int) -> None:
    assert extraterrestrial_day(0.0, day).daylight == pytest.approx(12.0)


@given(latitude=st.floats(-60, 60), day=days)
def test_that_the_hours_of_a_day_share_the_whole_day(latitude: float, day: int) -> None:
    angles = np.linspace(-180, 180, 1441)
    shares = [hour_share(latitude, day, angle).share for angle in angles]
    assert min(shares) >= 0
    assert np.trapezoid(shares, angles / 15) == pytest.approx(1.0, abs=0.02)


def test_that_morning_and_afternoon_share_alike_and_night_shares_nothing() -> None:
    assert hour_share(40.0, 80, -30.0).share == pytest.approx(hour_share(40.0, 80, 30.0).share)
    assert hour_share(40.0, 80, 120.0).share == 0.0


def test_that_polar_night_has_no_day_to_share() -> None:
    with pytest.raises(CannotCalculate, match="latitude"):
        hour_share(75.0, 355, 0.0)
    assert sunset_angle(75.0, -23.4) == 0.0
