"""Shorting the alternator: Ohm's law, the bound of reactance, and how far it holds the rotor."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.brake import STORM, braked_speed, holding_wind, shorted_alternator
from tests.a_turbine import turbine

BRAKED = turbine(cable=0.05, furling=None)


def test_that_a_machine_of_resistance_alone_passes_ohms_current() -> None:
    found = shorted_alternator(rotor_speed=250, volts_per_speed=0.12, resistance=0.5)
    assert found.current == pytest.approx(60)
    assert found.power == pytest.approx(30 * 60)  # volts times amperes, all of it heat
    assert found.line_current == pytest.approx(60 * math.sqrt(2 / 3))


@given(speed=st.floats(0, 2000), k=st.floats(0.01, 1), ohms=st.floats(0.05, 5), most=st.floats(1, 500))
def test_that_reactance_bounds_the_current_and_the_impedance_has_two_sides(
    speed: float, k: float, ohms: float, most: float
) -> None:
    found = shorted_alternator(rotor_speed=speed, volts_per_speed=k, resistance=ohms, short_current=most)
    assert found.current <= most * (1 + 1e-9)
    reactance = k * speed / most
    assert found.current * math.hypot(ohms, reactance) == pytest.approx(k * speed)


@pytest.mark.parametrize("most", [None, 300.0, 120.0])
def test_that_a_braked_rotor_turns_where_wind_and_brake_agree(most: float | None) -> None:
    winds = np.array([6.0, 10.0, 15.0])
    for wind, speed in zip(winds, braked_speed(BRAKED, winds, most), strict=True):
        ratio = speed / (BRAKED.rotor.speed_per_wind * wind)
        shaft = BRAKED.shaft_gain * wind**3 * np.interp(ratio, BRAKED.rotor.ratios, BRAKED.rotor.coefficients)
        brake = shorted_alternator(
            rotor_speed=speed,
            volts_per_speed=BRAKED.volts_per_speed,
            resistance=BRAKED.resistance,
            short_current=most,
        )
        assert shaft == pytest.approx(BRAKED.drag * speed + brake.power, rel=0.1)  # to the next place tried


@given(more=st.floats(0.05, 2), most=st.floats(30, 500))
def test_that_a_longer_cable_to_the_brake_never_holds_more_wind_where_resistance_decides(
    more: float, most: float
) -> None:
    longer = turbine(cable=0.05 + more, furling=None)
    assert holding_wind(longer) <= holding_wind(BRAKED)


@given(most=st.floats(10, 400), less=st.floats(1, 9))
def test_that_a_smaller_short_circuit_current_never_holds_more_wind(most: float, less: float) -> None:
    assert holding_wind(BRAKED, most - less) <= holding_wind(BRAKED, most) <= holding_wind(BRAKED)


def test_that_a_speed_which_the_rotor_does_not_stand_ends_the_holding() -> None:
    assert holding_wind(BRAKED, None, 100.0) < holding_wind(BRAKED, None, 900.0)


def test_that_a_brake_far_too_strong_holds_in_every_storm() -> None:
    assert holding_wind(turbine(winding=0.005, cable=0.0, furling=None)) == STORM
