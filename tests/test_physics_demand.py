"""Demand formulas against published load sums and against laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.battery_current import inverter_dc_current
from engine.physics.demand import inverter_day, inverter_loss, load_energy, load_start
from engine.tables.family import family

CURVE = ((0.05, 0.80), (0.2, 0.92), (0.5, 0.93), (1.0, 0.90))
watts = st.floats(0, 2500)


def test_that_a_published_load_sum_comes_out() -> None:
    # Energy System Design, Project, and the Viva (renewable energy lab), open B.Sc. courseware, Renewable
    # Energy and Applications, 2026 (read): 5 LED x 10 W x 5 h; refrigerator 100 W x 24 h x 0.3; fan 50 W x
    # 8 h; laptop 50 W x 4 h; other 100 Wh; printed as 1700 Wh, rounded up from 1670.
    rows = [
        load_energy(power=10, number=5, hours=5),
        load_energy(power=100, hours=24 * 0.3),
        load_energy(power=50, hours=8),
        load_energy(power=50, hours=4),
        load_energy(power=100, hours=1),
    ]
    assert sum(row.energy for row in rows) == pytest.approx(1670)
    # The same lesson's battery: 1700 Wh x 2 days / (0.8 x 0.9) = 4722 Wh: the inverter's part of it.
    assert 2 * inverter_day(ac_energy=1700, efficiency=0.9, idle=0).drawn / 0.8 == pytest.approx(
        4722, abs=0.5
    )


def test_that_the_same_design_left_out_a_fifth_of_its_load_as_idle_draw() -> None:
    assert inverter_day(ac_energy=1700, efficiency=0.9, idle=15).idle_energy == 360  # 15 W x 24 h, 21 %


def test_that_its_inverter_draws_over_100_a_at_12_v() -> None:
    drawn = inverter_dc_current(power=1000, efficiency=0.9, lowest_voltage=10.5, rules=family("nec-2023"))
    assert drawn.current == pytest.approx(105.82, abs=0.005)


def test_that_standby_fills_the_hours_without_running() -> None:
    # By hand: five days of seven, 4.9 h: mean 3.5 h; 3 x (60 W x 3.5 h + 2 W x 20.5 h) = 753 Wh.
    found = load_energy(power=60, hours=4.9, number=3, days_a_week=5, standby=2)
    assert (found.hours_a_day, found.energy) == (pytest.approx(3.5), pytest.approx(753))


def test_that_a_start_comes_on_top_of_what_runs() -> None:
    assert load_start(running=1647, power=900, factor=4) == (2700, 4347)


def test_that_the_curve_is_met_at_its_points() -> None:
    for share, efficiency in CURVE:
        loss = inverter_loss(np.array([share * 2500]), power=2500, idle=18, efficiency=0.9, points=CURVE)
        assert share * 2500 / (share * 2500 + loss[0]) == pytest.approx(efficiency)


def test_that_a_resting_inverter_draws_its_idle_power() -> None:
    for points in ((), CURVE):
        loss = inverter_loss(np.zeros(2), power=2500, idle=18, efficiency=0.9, points=points)
        assert loss.tolist() == [18, 18]


def test_that_a_curve_that_ends_early_takes_the_lesser_efficiency() -> None:
    loss = inverter_loss(np.array([2500.0]), power=2500, idle=0, efficiency=0.85, points=CURVE[:3])
    assert 2500 / (2500 + loss[0]) == pytest.approx(0.85)


@given(watts, watts, st.floats(0.5, 1), st.floats(0, 50))
def test_that_more_load_or_less_efficiency_never_draws_less(
    one: float, other: float, efficiency: float, idle: float
) -> None:
    low, high = min(one, other), max(one, other)
    flat = inverter_loss(np.array([low, high]), power=2500, idle=idle, efficiency=efficiency)
    worse = inverter_loss(np.array([low, high]), power=2500, idle=idle, efficiency=efficiency - 0.1)
    assert low + flat[0] <= high + flat[1] + 1e-9
    assert (worse >= flat).all()
    curve = inverter_loss(np.array([low, high]), power=2500, idle=idle, efficiency=0.9, points=CURVE)
    assert low + curve[0] <= high + curve[1] + 1e-9
    assert (curve >= idle).all()
