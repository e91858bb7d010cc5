"""Wind and air formulas against published values, libraries and laws."""

from __future__ import annotations

import fluids
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import weibull_min
from windpowerlib.wind_speed import hellman, logarithmic_profile

from engine.physics.air import air_density, standard_pressure
from engine.physics.rotor import heier_cp, rotor_coefficient, rotor_speed, tip_speed_ratio
from engine.physics.wind import wind_annual_energy, wind_mean_power, wind_power, wind_shear
from engine.tables import table
from engine.worksheet import CannotCalculate


def test_that_air_at_thirty_degrees_weighs_as_published() -> None:
    # G. M. Masters, Renewable and Efficient Electric Power Systems, Wiley, 2004, example 6.2 (from memory).
    assert air_density(temperature=30, pressure=101_325).density == pytest.approx(1.165, abs=0.0015)


def test_that_every_row_of_the_standard_atmosphere_is_met() -> None:
    rows = table("std_atmosphere")
    columns = [rows.column(name) for name in ("altitude_m", "temp_C", "pressure_Pa", "density_kg_m3")]
    for elevation, temperature, pressure, density in zip(*columns, strict=True):
        air = air_density(temperature=float(temperature), elevation=float(elevation))
        assert air.pressure == pytest.approx(pressure, abs=1)
        assert air.density == pytest.approx(density, abs=1e-4)


@given(st.floats(-430, 9000))
def test_that_pressure_agrees_with_the_fluids_library(elevation: float) -> None:
    assert standard_pressure(elevation) == pytest.approx(fluids.ATMOSPHERE_1976(elevation).P, rel=1e-6)


@given(low=st.floats(-400, 4000), higher=st.floats(1, 4000), temperature=st.floats(-40, 40))
def test_that_higher_air_and_warmer_air_are_thinner(low: float, higher: float, temperature: float) -> None:
    here = air_density(temperature=temperature, elevation=low).density
    assert air_density(temperature=temperature, elevation=low + higher).density < here
    assert air_density(temperature=temperature + 5, elevation=low).density < here


def test_that_pressure_and_elevation_exclude_each_other() -> None:
    with pytest.raises(CannotCalculate, match="elevation"):
        air_density(temperature=15, pressure=90_000, elevation=1000)
    with pytest.raises(CannotCalculate, match="elevation"):
        air_density(temperature=15)


def test_that_a_large_rotor_takes_its_published_power() -> None:
    # G. D. Rai, Non-conventional Energy Sources, Khanna, 2004, example 6.2.1 (read through open notebooks).
    wind = wind_power(speed=15, density=1.226, diameter=120, cp=0.35)
    assert wind.power == pytest.approx(8188e3, abs=2e3)
    assert wind.power_density == pytest.approx(2068.65, abs=0.5)


def test_that_twice_the_wind_has_eight_times_the_power() -> None:
    speeds = np.array([4.0, 8.0])
    power = wind_power(speed=speeds, density=1.2, diameter=3).power  # type: ignore[arg-type]
    assert power[1] / power[0] == pytest.approx(8)  # type: ignore[index]


def test_that_wind_over_hedges_grows_as_published() -> None:
    # Masters, 2004, example 6.5 (from memory): 5 m/s at 10 m is 6.9 m/s at 50 m with an exponent of 0.2.
    assert wind_shear(speed=5, height=10, target=50, exponent=0.2).speed == pytest.approx(6.9, abs=0.05)


@given(target=st.floats(5, 100), exponent=st.floats(0, 0.5))
def test_that_the_power_law_agrees_with_windpowerlib(target: float, exponent: float) -> None:
    expected = hellman(5.0, 10.0, target, hellman_exponent=exponent)
    assert wind_shear(speed=5, height=10, target=target, exponent=exponent).speed == pytest.approx(expected)


@given(target=st.floats(8, 100), roughness=st.floats(0.001, 1.0), cover=st.floats(0, 5))
def test_that_the_logarithmic_law_agrees_with_windpowerlib(
    target: float, roughness: float, cover: float
) -> None:
    # The library takes the displacement as 0.7 of the height of the obstacles.
    expected = logarithmic_profile(5.0, 10.0, target, roughness, obstacle_height=cover)
    shear = wind_shear(speed=5, height=10, target=target, roughness=roughness, displacement=0.7 * cover)
    assert shear.speed == pytest.approx(float(expected))


def test_that_one_shear_law_must_be_chosen() -> None:
    for laws in ({}, {"exponent": 0.2, "roughness": 0.1}):
        with pytest.raises(CannotCalculate, match="exponent"):
            wind_shear(speed=5, height=10, target=20, **laws)


def test_that_a_displacement_needs_the_logarithmic_law() -> None:
    with pytest.raises(CannotCalculate, match="displacement"):
        wind_shear(speed=5, height=10, target=20, exponent=0.2, displacement=5)


@pytest.mark.parametrize(("height", "target", "name"), [(5.0, 20.0, "height"), (20.0, 5.0, "target")])
def test_that_a_height_within_the_cover_has_no_wind(height: float, target: float, name: str) -> None:
    with pytest.raises(CannotCalculate, match=name):
        wind_shear(speed=5, height=height, target=target, roughness=1.0, displacement=4.0)


def test_that_a_rayleigh_wind_has_its_published_mean_power() -> None:
    # Masters, 2004, example 6.9 (from memory): 7.55 m/s gives 504 W/m^2; the pattern factor is 6/pi.
    mean = wind_mean_power(mean_speed=7.55, shape=2, density=1.225)
    assert mean.power_density == pytest.approx(504, abs=1.5)
    assert mean.pattern_factor == pytest.approx(6 / np.pi)


def test_that_pattern_factors_are_those_of_the_published_table() -> None:
    rows = table("weibull_energy_pattern")
    for shape, factor in zip(rows.column("k"), rows.column("Ke"), strict=True):
        mean = wind_mean_power(mean_speed=6, shape=float(shape), density=1.225)
        assert mean.pattern_factor == pytest.approx(factor, abs=5e-5)


@given(st.floats(1, 8))
def test_that_the_pattern_factor_is_the_third_moment_of_scipys_weibull(shape: float) -> None:
    spread = weibull_min(shape)
    expected = spread.moment(3) / spread.mean() ** 3
    assert wind_mean_power(mean_speed=6, shape=shape, density=1.2).pattern_factor == pytest.approx(expected)


def test_that_a_year_of_wind_gives_the_published_energy() -> None:
    # Masters, 2004, example 6.11 (from memory): 504 W/m^2, 48 m, 30 %: 2.397e6 kWh.
    year = wind_annual_energy(power_density=504, diameter=48, efficiency=0.30)
    assert year.energy == pytest.approx(2.397e9, abs=0.0005e9)


def test_that_a_water_pumping_mill_turns_at_its_published_ratio() -> None:
    # Fox and McDonald, Introduction to Fluid Mechanics, Wiley, 1998, example 10.16 (read through notebooks).
    assert tip_speed_ratio(rotor_speed=20, diameter=26, wind_speed=10).ratio == pytest.approx(2.72, abs=0.005)


@given(ratio=st.floats(0.5, 15), diameter=st.floats(1, 20), wind=st.floats(2, 25))
def test_that_rotor_speed_and_tip_speed_ratio_undo_each_other(
    ratio: float, diameter: float, wind: float
) -> None:
    speed = rotor_speed(ratio=ratio, diameter=diameter, wind_speed=wind).rotor_speed
    back = tip_speed_ratio(rotor_speed=speed, diameter=diameter, wind_speed=wind)
    assert back.ratio == pytest.approx(ratio)


def test_that_every_row_of_heiers_table_is_met() -> None:
    rows = table("heier_cp_lambda")
    columns = [rows.column(name) for name in ("lambda", "beta_deg", "cp_set_a")]
    for ratio, pitch, cp in zip(*columns, strict=True):
        assert rotor_coefficient(ratio=float(ratio), pitch=float(pitch)).cp == pytest.approx(cp, abs=5e-5)


def test_that_heiers_curve_peaks_at_eight_and_stays_under_betz() -> None:
    # S. Heier, Grid Integration of Wind Energy Conversion Systems, Wiley, 1998: 0.48 at 8.1.
    ratios = np.linspace(0.5, 15, 2901)
    curve = heier_cp(ratios)
    assert ratios[np.argmax(curve)] == pytest.approx(8.1, abs=0.05)
    assert curve.max() == pytest.approx(0.48, abs=0.0005)
    assert curve.max() < 16 / 27


def test_that_a_rotor_which_brakes_has_a_negative_coefficient() -> None:
    assert rotor_coefficient(ratio=14).cp < 0
