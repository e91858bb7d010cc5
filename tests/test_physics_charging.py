"""Laws of set points over temperature, of a day's charge, and of the calendar of equalization."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.battery import charge_setpoint
from engine.physics.equalize import MONTH_DAYS, YEAR, daily_energies, equalize_calendar, month_of
from engine.physics.setpoints import charge_day, setpoint_curve

TEMPERATURES = np.arange(-40.0, 61.0)
slopes = st.floats(-0.010, 0.0)
cells = st.integers(1, 48)


def test_that_24_cells_at_0_degrees_want_3_volts_more() -> None:
    """IEEE 937 and 1013, stand-alone photovoltaic batteries: about -5 mV/K a cell (from memory)."""
    cold, warm = setpoint_curve(2.40, 24, -0.005, np.array([0.0, 25.0]))
    assert cold - warm == pytest.approx(3.0)


@given(slope=slopes, count=cells, low=st.floats(2.0, 2.3), high=st.floats(2.4, 2.8))
def test_that_clamps_always_hold_and_colder_is_never_lower(
    slope: float, count: int, low: float, high: float
) -> None:
    volts = setpoint_curve(2.35, count, slope, TEMPERATURES, low, high)
    assert np.all(volts >= count * low * (1 - 1e-12)) and np.all(volts <= count * high * (1 + 1e-12))
    assert np.all(np.diff(volts) <= 1e-9)


@given(slope=slopes, count=cells, temperature=st.floats(-40, 60))
def test_that_the_curve_is_the_worksheet_at_each_temperature(
    slope: float, count: int, temperature: float
) -> None:
    point = charge_setpoint(
        per_cell=2.4, cells=count, coefficient=slope, temperature=temperature, minimum=2.2, maximum=2.6
    )
    (volts,) = setpoint_curve(2.4, count, slope, np.array([temperature]), 2.2, 2.6)
    assert volts == pytest.approx(point.voltage)


def test_that_lithium_is_flat() -> None:
    assert np.ptp(setpoint_curve(3.45, 16, 0.0, TEMPERATURES)) == 0.0


REST = ((0.0, 1.983), (0.5, 2.05), (1.0, 2.11))


@given(
    current=st.floats(20, 300),
    drained=st.floats(0.0, 0.9),
    hours=st.floats(0.5, 24),
    end=st.floats(0.5, 15),
)
def test_that_a_charge_stays_within_its_current_and_volts_and_puts_in_no_more_than_was_taken(
    current: float, drained: float, hours: float, end: float
) -> None:
    day = charge_day(
        capacity=1000,
        current=current,
        drained=drained,
        begins_at=0.85,
        rest=REST,
        absorption=2.4,
        floating=2.25,
        hours=hours,
        end_current=end,
    )
    assert np.all(np.diff(day.hours) >= 0)
    assert np.all(day.amps <= current * (1 + 1e-12)) and np.all(np.diff(day.amps) <= 1e-9)
    assert np.all(day.volts <= 2.4 + 1e-9) and np.all(day.volts[-60:] >= 2.25)
    before = day.hours <= day.float_at
    put_in = np.trapezoid(day.amps[before], day.hours[before])
    lacking = (max(drained, 0.15)) * 1000
    assert put_in <= lacking * 1.01
    if day.ended_by == "end current":
        assert put_in == pytest.approx(lacking, rel=0.01)
        assert day.amps[before][-1] == pytest.approx(end)
    else:
        assert day.float_at - day.absorption_at == pytest.approx(hours)


def test_that_a_current_that_is_no_more_than_the_end_current_is_refused() -> None:
    with pytest.raises(ValueError, match="end current"):
        charge_day(
            capacity=100,
            current=2,
            drained=0.5,
            begins_at=0.85,
            rest=REST,
            absorption=2.4,
            floating=2.2,
            hours=3,
            end_current=2,
        )


# The calendar


def test_that_28_days_with_3_of_grace_tries_the_planned_day_at_most_three_more_then_nothing() -> None:
    enough = [False] * 60
    enough[27 + 4] = True  # the fourth day after the planned one: too late
    first, second = equalize_calendar(enough, 28, 3)
    assert (first.planned, first.tried, first.done) == (27, (27, 28, 29, 30), None)
    assert (second.planned, second.done) == (55, None)
    enough[30] = True
    assert equalize_calendar(enough, 28, 3)[0].done == 30 and equalize_calendar(enough, 28, 3)[0].late
    enough[27] = True
    assert equalize_calendar(enough, 28, 3)[0].done == 27


def day_by_day(enough: list[bool], every: int, grace: int) -> list[int]:
    """The same rule as a controller counts it: a day at a time, with what it remembers."""
    done, waits, tries = [], every, 0
    for day, good in enumerate(enough):
        waits -= 1
        if waits == 0:
            waits, tries = every, grace + 1
        if tries:
            tries -= 1
            if good:
                done.append(day)
                tries = 0
    return done


@given(
    enough=st.lists(st.booleans(), min_size=0, max_size=200),
    every=st.integers(1, 60),
    grace=st.integers(0, 70),
)
def test_that_there_are_never_two_in_one_period_and_never_one_after_its_grace(
    enough: list[bool], every: int, grace: int
) -> None:
    turns = equalize_calendar(enough, every, grace)
    assert [turn.done for turn in turns if turn.done is not None] == day_by_day(enough, every, grace)
    assert [turn.planned for turn in turns] == list(range(every - 1, len(enough), every))
    for turn in turns:
        assert len(turn.tried) <= grace + 1 and turn.tried[0] == turn.planned
        assert max(turn.tried) < turn.planned + every
        if turn.done is not None:
            assert turn.done == turn.tried[-1] and enough[turn.done]
            assert not any(enough[day] for day in turn.tried[:-1])


@given(
    enough=st.lists(st.booleans(), min_size=60, max_size=120),
    every=st.integers(5, 40),
    grace=st.integers(0, 9),
)
def test_that_more_grace_never_misses_more(enough: list[bool], every: int, grace: int) -> None:
    def missed(days: int) -> int:
        return sum(turn.done is None for turn in equalize_calendar(enough, every, days))

    assert missed(grace + 1) <= missed(grace)


@given(months=st.lists(st.floats(0, 1e5), min_size=12, max_size=12), spread=st.floats(0, 1.5))
def test_that_spreading_days_makes_and_loses_no_energy(months: list[float], spread: float) -> None:
    days = daily_energies(months, spread, 1)
    assert len(days) == YEAR and min(days) >= 0
    at = 0
    for mean, length in zip(months, MONTH_DAYS, strict=True):
        assert sum(days[at : at + length]) == pytest.approx(mean * length)
        at += length


def test_that_a_year_is_the_same_on_each_run_and_another_seed_is_another_year() -> None:
    months = (5.0,) * 12
    assert daily_energies(months, 0.45, 1) == daily_energies(months, 0.45, 1)
    assert daily_energies(months, 0.45, 1) != daily_energies(months, 0.45, 2)
    assert len(set(daily_energies(months, 0.0, 1))) == 1


def test_that_days_fall_into_their_months() -> None:
    assert [month_of(day) for day in (0, 30, 31, 58, 59, 364)] == [0, 0, 1, 1, 2, 11]
    with pytest.raises(ValueError, match="not in a year"):
        month_of(365)
