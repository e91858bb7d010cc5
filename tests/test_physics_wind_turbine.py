"""A wind turbine's steady state against conservation of energy, closed forms, a library, a real machine."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import weibull_min
from windpowerlib.power_output import power_coefficient_curve, power_curve

from engine.physics.rotor import heier_cp
from engine.physics.wind import weibull_energy, weibull_scale, weibull_shares
from engine.physics.wind_rotor import BETZ, FURLED_AT, Furling, heier_rotor, table_rotor
from engine.physics.wind_turbine import Machine, Steady, direct, tracked
from engine.worksheet import CannotCalculate
from tests.a_turbine import CP, ROTOR, TURBINE, turbine

WINDS = np.linspace(0, 30, 301)
BATTERY = 24.0
machines = st.builds(
    Machine,
    st.sampled_from([ROTOR, heier_rotor(2.5, 0.4, 6.0)]),
    st.floats(0.7, 1.4),
    st.floats(0.5, 1.0),
    st.floats(0.02, 0.6),
    st.floats(0.05, 3.0),
    st.floats(0.0, 2.0),
    st.floats(0.0, 2.0),
    st.floats(0.0, 0.2),
    st.sampled_from([None, Furling(11.0, 0.3)]),
)
caps = st.sampled_from([None, 150.0, 300.0, 600.0])


def balance(state: Steady) -> np.ndarray:
    """What is left of the rotor's power when everything it became is taken off."""
    losses = state.drivetrain_loss + state.drag_loss + state.rectifier_loss
    return state.rotor_power - losses - state.winding_loss - state.cable_loss - state.power


@given(machine=machines, battery=st.floats(10, 60), cap=caps)
def test_that_energy_is_kept_to_a_billionth_both_ways(machine: Machine, battery: float, cap: float) -> None:
    for state in (direct(machine, WINDS, battery), tracked(machine, WINDS, battery, cap)):
        scale = np.maximum(state.rotor_power, 1e-3)
        assert np.all(np.abs(balance(state)) <= 1e-9 * scale)


@given(machine=machines, battery=st.floats(10, 60))
def test_that_tracking_never_gives_less_than_the_battery_tied_straight(
    machine: Machine, battery: float
) -> None:
    best, tied = tracked(machine, WINDS, battery), direct(machine, WINDS, battery)
    assert np.all(best.power >= tied.power * (1 - 1e-12))


@given(machine=machines, more=st.floats(0.01, 2), battery=st.floats(10, 60))
def test_that_more_resistance_never_gives_more_power(machine: Machine, more: float, battery: float) -> None:
    longer = dataclasses.replace(machine, cable=machine.cable + more)
    gained = tracked(longer, WINDS, battery).power - tracked(machine, WINDS, battery).power
    assert np.all(gained <= 1e-9 * (1 + tracked(machine, WINDS, battery).power))


@given(machine=machines, battery=st.floats(10, 60))
def test_that_no_state_gives_more_than_the_best_coefficient(machine: Machine, battery: float) -> None:
    state = tracked(machine, WINDS, battery)
    wind = machine.density * machine.rotor.area * state.met**3 / 2
    assert np.all(state.rotor_power <= machine.rotor.best[1] * wind * (1 + 1e-12))


@given(machine=machines, battery=st.floats(10, 60), wind=st.floats(3, 20))
def test_that_no_other_speed_gives_more_than_the_tracked_one(
    machine: Machine, battery: float, wind: float
) -> None:
    found = tracked(machine, np.array([wind]), battery)
    ratios = np.linspace(0.01, machine.rotor.ratios[-1], 4001)
    met = float(machine.met(np.array([wind]))[0])
    speed = machine.rotor.speed_per_wind * met * ratios
    cp = np.interp(ratios, machine.rotor.ratios, machine.rotor.coefficients)
    shaft = machine.shaft_gain * met**3 * cp - machine.drag * speed
    current = shaft / (machine.volts_per_speed * speed)
    voltage = machine.volts_per_speed * speed - machine.drop - machine.resistance * current
    power = np.where((voltage >= battery) & (current >= 0), voltage * current, 0.0)
    assert found.power[0] >= power.max() * (1 - 1e-9)


@given(machine=machines, battery=st.floats(10, 60), wind=st.floats(2, 20))
def test_that_the_direct_state_balances_where_an_outside_solver_finds_it(
    machine: Machine, battery: float, wind: float
) -> None:
    state = direct(machine, np.array([wind]), battery)
    met = float(state.met[0])

    def spare(speed: float) -> float:
        ratio = speed / (machine.rotor.speed_per_wind * met)
        cp = float(np.interp(ratio, machine.rotor.ratios, machine.rotor.coefficients, right=0.0))
        emf = machine.volts_per_speed * speed
        current = max(emf - machine.drop - battery, 0.0) / machine.resistance
        return machine.shaft_gain * met**3 * cp - machine.drag * speed - emf * current

    found = float(state.rotor_speed[0])
    scale = 1e-9 * machine.shaft_gain * met**3
    top = machine.rotor.speed_per_wind * met * float(machine.rotor.ratios[-1])
    assert abs(spare(found)) <= scale
    assert all(spare(speed) <= scale for speed in np.linspace(found, top * 1.01, 100))
    if 0 < found < 0.999 * top:
        slow, fast = found * 0.9999, found * 1.0001
        assert brentq(spare, slow, fast, xtol=1e-12 * found) == pytest.approx(found, rel=1e-6)


def test_that_without_loss_the_tracked_power_is_the_cube_of_the_wind_as_a_library_has_it() -> None:
    ideal = turbine(drivetrain=1.0, winding=1e-9, cable=0.0, drop=0.0, drag=0.0, furling=None)
    winds = np.linspace(6, 20, 29)
    expected = power_coefficient_curve(winds, winds, np.full(winds.size, 0.32), 2.5, np.full(winds.size, 1.2))
    assert tracked(ideal, winds, BATTERY).power == pytest.approx(np.asarray(expected), rel=1e-7)


def test_that_the_current_of_a_measured_machine_is_met() -> None:
    # PMG manual, small wind generator, ITDG / Practical Action, 2001, pages 6 and 47 (read): 12 V, 15 A at
    # 420 rpm, cut-in at 170 rpm. Hence 13.4 V / 170 rpm and 33.1 V - 13.4 V over 15 A, rectifier 1.4 V.
    volts_per_speed = 13.4 / 170
    resistance = (volts_per_speed * 420 - 13.4) / 15
    machine = turbine(volts_per_speed=volts_per_speed, winding=resistance, cable=0.0, drag=0.0, furling=None)

    def off(wind: float) -> float:
        return float(direct(machine, np.array([wind]), 12.0).rotor_speed[0]) - 420

    state = direct(machine, np.array([brentq(off, 3, 30)]), 12.0)
    assert state.current[0] == pytest.approx(15, abs=0.01)
    assert state.power[0] == pytest.approx(180, abs=0.2)
    assert state.power[0] / (volts_per_speed * 420 * 15) == pytest.approx(0.362, abs=0.0005)
    assert direct(machine, np.array([1.5]), 12.0).current[0] == 0


def test_that_a_rotor_without_load_runs_at_the_end_of_its_table() -> None:
    free = turbine(drag=0.0, furling=None)
    state = direct(free, np.array([2.0]), 400.0)
    assert state.ratio[0] == pytest.approx(11.2)
    assert state.current[0] == 0
    assert state.voltage[0] == pytest.approx(0.12 * state.rotor_speed[0])


def test_that_drag_which_the_wind_can_not_move_leaves_the_rotor_standing() -> None:
    state = direct(turbine(drag=1.0), np.array([0.0, 1.0]), BATTERY)
    assert list(state.rotor_speed) == [0, 0]
    assert list(state.power) == [0, 0]


def test_that_a_battery_tied_straight_stalls_the_rotor_in_strong_wind_and_tracking_does_not() -> None:
    wind = np.array([10.0])
    tied, best = direct(TURBINE, wind, BATTERY), tracked(TURBINE, wind, BATTERY)
    assert tied.stalled[0]
    assert tied.ratio[0] < 4
    assert best.ratio[0] == pytest.approx(6.3, rel=0.02)


def test_that_a_furled_rotor_meets_less_wind_and_keeps_the_rest_of_its_power() -> None:
    furling = Furling(11.5, 0.4)
    winds = np.array([11.5, 11.5 * FURLED_AT, 40.0])
    share = (furling.met(winds) / 11.5) ** 3
    assert share == pytest.approx([1, 0.4, 0.4])
    assert not tracked(TURBINE, winds, BATTERY).furled[0]
    assert tracked(TURBINE, winds, BATTERY).furled[1]


@given(machine=machines, cap=st.floats(150, 800))
def test_that_a_cap_holds_the_speed_or_says_that_it_can_not(machine: Machine, cap: float) -> None:
    state = tracked(machine, WINDS, BATTERY, cap)
    fast = state.rotor_speed > cap * (1 + 1e-9)
    assert np.array_equal(fast, state.over_cap)
    assert np.all(state.rotor_speed[state.capped] == pytest.approx(cap))


def test_that_a_cap_below_the_battery_voltage_can_not_be_held() -> None:
    state = tracked(TURBINE, np.array([8.0]), BATTERY, cap=150.0)  # 18 V
    assert state.over_cap[0]
    assert not state.capped[0]


@given(cp=st.floats(0.1, BETZ), ratio=st.floats(2, 12))
def test_that_the_general_curve_is_scaled_to_its_peak_and_ends_at_zero(cp: float, ratio: float) -> None:
    rotor = heier_rotor(3.0, cp, ratio)
    assert rotor.best == (ratio, cp)
    assert rotor.coefficients[0] == rotor.coefficients[-1] == 0


def test_that_the_knots_of_the_general_curve_lie_close_to_it() -> None:
    rotor = heier_rotor(3.0, 0.48, 8.1)
    ratios = np.linspace(0.5, float(rotor.ratios[-1]), 2001)
    lines = np.interp(ratios, rotor.ratios, rotor.coefficients)
    assert lines == pytest.approx(np.maximum(heier_cp(ratios), 0), abs=0.0008)


@pytest.mark.parametrize(
    "points",
    [
        [(2, 0.1)],
        [(2, 0.1), (2, 0.2), (8, 0)],
        [(2, 0.1), (6, 0.3)],
        [(2, 0.1), (6, 0.6), (9, 0)],
        [(0, 0.1), (6, 0.3), (9, 0)],
        [(2, -0.1), (6, 0.3), (9, 0)],
        [],
    ],
)
def test_that_points_which_are_no_rotor_are_refused(points: list[tuple[float, float]]) -> None:
    with pytest.raises(CannotCalculate, match="cp_points"):
        table_rotor(2.5, points)


def test_that_a_rotor_begins_at_rest_even_where_its_table_does_not() -> None:
    assert table_rotor(2.5, CP[1:]).ratios[0] == 0


@given(mean=st.floats(2, 12), shape=st.floats(1.2, 4))
def test_that_shares_of_the_year_are_those_of_scipy(mean: float, shape: float) -> None:
    spread = weibull_min(shape, scale=weibull_scale(mean, shape))
    assert spread.mean() == pytest.approx(mean)
    edges = np.linspace(0, 60, 61)
    assert weibull_shares(edges, mean, shape) == pytest.approx(np.diff(spread.cdf(edges)), abs=1e-12)


@given(mean=st.floats(3, 10), shape=st.floats(1.5, 3.5))
def test_that_the_energy_of_a_cubic_curve_is_its_third_moment(mean: float, shape: float) -> None:
    speeds = np.linspace(0, 80, 3201)
    moment = weibull_min(shape, scale=weibull_scale(mean, shape)).moment(3)
    assert weibull_energy(speeds**3, speeds, mean, shape) == pytest.approx(8760 * moment, rel=2e-3)


def test_that_the_yearly_energy_of_an_idealised_machine_is_as_published() -> None:
    # Open courseware, lesson on power curves (read): 2 MW, 3, 12 and 25 m/s, Rayleigh 6 m/s, scale 6.77 m/s:
    # 3582 MWh by integration, 3598 MWh by the method of bins; capacity factor 20.5 %.
    speeds = np.arange(0, 25.0001, 0.01)
    rising = np.where(speeds < 3, 0.0, 2e6 * (speeds**3 - 27) / (12**3 - 27))
    power = np.append(np.where(speeds > 12, 2e6, rising), 0.0)
    energy = weibull_energy(power, np.append(speeds, 25.01), 6.0, 2.0)
    assert energy / 1e9 == pytest.approx(3.59, rel=0.01)
    assert energy / (8760 * 2e6) == pytest.approx(0.205, abs=0.001)


def test_that_power_from_a_makers_curve_is_the_librarys() -> None:
    speeds, watts = np.array([3.0, 5, 8, 11]), np.array([0.0, 85, 400, 1000])
    winds = np.array([4.0, 6.5, 10.2])
    library = np.asarray(power_curve(winds, speeds, watts))
    assert np.interp(winds, speeds, watts) == pytest.approx(library)
    mean = quad(
        lambda v: np.interp(v, speeds, watts) * weibull_min(2, scale=6).pdf(v),
        0,
        60,
        points=speeds,
        limit=100,
    )[0]
    fine = np.linspace(0, 60, 6001)
    power = np.interp(fine, speeds, watts)
    assert weibull_energy(power, fine, 6 * 0.886227, 2.0) == pytest.approx(8760 * mean, rel=1e-3)
