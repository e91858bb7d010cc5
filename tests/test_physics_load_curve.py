"""The load curve: its points are the best ones, it rises, and a rotor that follows it gives nearly all."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.physics.load_curve import LoadCurve, followed, ideal, least_error, load_curve
from engine.physics.wind import weibull_energy
from engine.physics.wind_turbine import tracked
from engine.worksheet import CannotCalculate
from tests.a_turbine import TURBINE, turbine

BATTERY, TOP = 24.0, 11.5
WINDS = np.arange(0, 40, 0.1)


def greatest_error(x: np.ndarray, y: np.ndarray, chosen: tuple[int, ...]) -> float:
    """How far straight lines between the chosen points are off the others."""
    return float(np.abs(np.interp(x, x[list(chosen)], y[list(chosen)]) - y).max())


@settings(max_examples=40)
@given(st.lists(st.floats(0.1, 5), min_size=5, max_size=9), st.integers(2, 5), st.randoms())
def test_that_no_other_choice_of_points_errs_less(steps: list[float], points: int, random: object) -> None:
    x = np.cumsum(steps)
    y = np.cumsum(steps[::-1]) ** 2
    points = min(points, x.size)
    chosen, error = least_error(x, y, points)
    assert len(chosen) == points
    assert error == pytest.approx(greatest_error(x, y, chosen), abs=1e-9)
    inner = range(1, x.size - 1)
    every = [greatest_error(x, y, (0, *some, x.size - 1)) for some in combinations(inner, points - 2)]
    assert error == pytest.approx(min(every), abs=1e-9)


def test_that_as_many_points_as_were_asked_for_rise_from_no_power_to_the_strongest_wind() -> None:
    curve = load_curve(TURBINE, BATTERY, TOP)
    assert curve.volts.size == 12
    assert np.all(np.diff(curve.volts) > 0)
    assert np.all(np.diff(curve.watts) > 0)
    assert (curve.volts[0], curve.watts[0]) == (BATTERY, 0)
    best = tracked(TURBINE, np.array([TOP]), BATTERY)
    assert curve.watts[-1] == pytest.approx(float(best.power[0]))
    assert curve.amps[-1] == pytest.approx(float(best.current[0]))


def test_that_more_points_never_err_more() -> None:
    errors = [load_curve(TURBINE, BATTERY, TOP, points).error for points in (3, 6, 12, 24)]
    assert errors == sorted(errors, reverse=True)
    assert errors[2] < 0.005 * float(load_curve(TURBINE, BATTERY, TOP).watts[-1])


def test_that_the_printed_error_is_the_distance_from_the_ideal_curve() -> None:
    curve = load_curve(TURBINE, BATTERY, TOP, 6)
    volts, watts = ideal(TURBINE, BATTERY, TOP)
    off = np.abs(curve.power(volts) - watts)[volts > curve.volts[1]]
    assert off.max() == pytest.approx(curve.error, rel=0.05)


def test_that_a_rotor_on_twelve_points_gives_up_less_than_one_per_cent() -> None:
    curve = load_curve(TURBINE, BATTERY, TOP)
    held = followed(TURBINE, WINDS, curve)
    best = tracked(TURBINE, WINDS, BATTERY)
    assert np.all(held.power <= best.power * (1 + 1e-4) + 1.0)
    kept = weibull_energy(held.power, WINDS, 5.3, 2) / weibull_energy(best.power, WINDS, 5.3, 2)
    assert 0.99 < kept <= 1
    assert not held.slips.any()


def test_that_a_rotor_on_the_curve_stands_where_its_power_balances() -> None:
    curve = load_curve(TURBINE, BATTERY, TOP)
    held = followed(TURBINE, np.array([8.0]), curve)
    amps = held.power / held.voltage
    emf = TURBINE.volts_per_speed * held.rotor_speed
    assert emf == pytest.approx(held.voltage + TURBINE.drop + TURBINE.resistance * amps, rel=1e-4)
    ratio = held.rotor_speed / (TURBINE.rotor.speed_per_wind * 8.0)
    cp = np.interp(ratio, TURBINE.rotor.ratios, TURBINE.rotor.coefficients)
    shaft = TURBINE.shaft_gain * 8.0**3 * cp
    assert shaft == pytest.approx(TURBINE.drag * held.rotor_speed + emf * amps, rel=1e-3)


@pytest.mark.parametrize("cap", [330.0, 400.0, 500.0])
def test_that_a_cap_reshapes_the_curve_so_that_the_rotor_stays_under_it(cap: float) -> None:
    curve = load_curve(TURBINE, BATTERY, TOP, 12, cap)
    assert np.all(np.diff(curve.volts) > 0)
    held = followed(TURBINE, WINDS, curve)
    loaded = held.power > 0
    assert held.rotor_speed[loaded].max() <= cap * 1.005
    free, capped = tracked(TURBINE, WINDS, BATTERY), tracked(TURBINE, WINDS, BATTERY, cap)
    assert weibull_energy(capped.power, WINDS, 5.3, 2) < weibull_energy(free.power, WINDS, 5.3, 2)


def test_that_a_rotor_which_is_stalled_by_its_cap_can_slip_into_a_faster_state() -> None:
    curve = load_curve(TURBINE, BATTERY, TOP, 12, 400.0)
    assert curve.steep
    assert followed(TURBINE, WINDS, curve).slips.any()


def test_that_a_curve_below_its_first_point_takes_nothing() -> None:
    curve = LoadCurve(np.array([24.0, 50.0]), np.array([0.0, 500.0]), 0.0, False)
    assert curve.power(np.array([10.0, 37.0, 60.0])) == pytest.approx([0, 250, 500])


def test_that_a_turbine_too_slow_for_its_battery_has_no_load_curve() -> None:
    with pytest.raises(CannotCalculate, match="wind"):
        load_curve(turbine(volts_per_speed=0.005), BATTERY, TOP)


@pytest.mark.parametrize("points", [1, 61])
def test_that_a_number_of_points_out_of_reach_is_refused(points: int) -> None:
    with pytest.raises(CannotCalculate, match="points"):
        load_curve(TURBINE, BATTERY, TOP, points)
