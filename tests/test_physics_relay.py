"""Relays second by second: the walk over stretches against a plain loop, and the laws of chatter."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.relay import (
    Floats,
    Logic,
    chatters,
    proportional,
    relay_chatter,
    shortest_least_on,
    simulate,
)

SECONDS = 400
delays = st.integers(0, 30)


def plain(volts_off: Floats, shift: float, logic: Logic) -> tuple[int, ...]:
    """The same relay by a loop over the seconds, with a timer that starts anew when the voltage leaves."""
    rising = logic.on_at > logic.off_at
    on, switched, changed, since = False, [], -1, None
    for second, base in enumerate(volts_off):
        volts = base + shift if on else base
        if on:
            met = volts <= logic.off_at if rising else volts >= logic.off_at
        else:
            met = volts >= logic.on_at if rising else volts <= logic.on_at
        if not met:
            since = None
            continue
        if since is None:
            since = second
        delay = logic.off_delay if on else logic.on_delay
        rested = not on or second - changed >= logic.least_on
        if second - since >= delay and rested and second > changed:
            on, changed = not on, second
            switched.append(second)
            after = base + shift if on else base
            if on:
                met = after <= logic.off_at if rising else after >= logic.off_at
            else:
                met = after >= logic.on_at if rising else after <= logic.on_at
            since = second if met else None
    return tuple(switched)


@st.composite
def days(draw: st.DrawFn) -> tuple[Floats, float, Logic]:
    """A short day of volts in tenths, what the load does to them, and a relay."""
    levels = draw(st.lists(st.integers(220, 320), min_size=2, max_size=12))
    holds = draw(st.lists(st.integers(1, 60), min_size=len(levels), max_size=len(levels)))
    volts = np.repeat(np.array(levels) / 10.0, holds)[:SECONDS]
    on_at, off_at = draw(st.lists(st.integers(230, 310), min_size=2, max_size=2, unique=True))
    sign = 1 if on_at > off_at else -1
    shift = -sign * draw(st.integers(0, 60)) / 10.0
    logic = Logic(on_at / 10, off_at / 10, draw(delays), draw(delays), draw(delays))
    return volts, shift, logic


@given(days())
def test_that_the_walk_over_stretches_is_the_plain_loop(day: tuple[Floats, float, Logic]) -> None:
    assert simulate(*day).switched == plain(*day)


@given(
    st.floats(1, 100),
    st.floats(1e-4, 0.2),
    st.floats(0.05, 5),
    st.integers(1, 60),
    st.integers(1, 60),
    st.integers(1, 60),
)
def test_that_a_steady_source_makes_it_cycle_exactly_where_the_swing_spans_the_band(
    current: float, resistance: float, band: float, on_delay: int, least_on: int, off_delay: int
) -> None:
    """The derivation against the simulation: where it swings through, every cycle is as long as is told."""
    told = relay_chatter(
        current=current,
        resistance=resistance,
        band=band,
        shortest=60,
        on_delay=on_delay,
        least_on=least_on,
        off_delay=off_delay,
    )
    logic = Logic(28 + band, 28.0, on_delay, least_on, off_delay)
    if abs(told.swing - band) < 1e-6:
        return
    middle = (28 + band + 28 + told.swing) / 2  # the one level that lies in both ranges, if any does
    runs = [simulate(np.full(600, level), -told.swing, logic) for level in (middle, 28 + band, 29 + band)]
    cycles = [run.shortest_cycle for run in runs if run.shortest_cycle is not None]
    assert bool(cycles) == told.swings_through
    assert all(cycle == told.cycle for cycle in cycles)
    assert any(chatters(run, 60) for run in runs) == told.chatters


@given(days(), st.integers(1, 90))
def test_that_the_needed_least_on_time_stops_any_chatter(
    day: tuple[Floats, float, Logic], shortest: int
) -> None:
    volts, shift, logic = day
    told = relay_chatter(
        current=1, resistance=1, band=1, shortest=shortest, on_delay=logic.on_delay, least_on=logic.least_on
    )
    assert not chatters(simulate(volts, shift, replace(logic, least_on=told.least_on_needed)), shortest)


@given(days(), st.integers(2, 90))
def test_that_with_the_found_delay_it_is_still_and_with_a_second_less_it_chatters(
    day: tuple[Floats, float, Logic], shortest: int
) -> None:
    volts, shift, logic = day
    found = shortest_least_on(volts, shift, logic, shortest)
    if found is None:
        assert not chatters(simulate(volts, shift, logic), shortest)
        return
    assert not chatters(simulate(volts, shift, replace(logic, least_on=found)), shortest)
    assert chatters(simulate(volts, shift, replace(logic, least_on=found - 1)), shortest)


def test_that_a_heater_on_a_weak_bank_chatters_until_it_is_held_on() -> None:
    """60 A over 20 mohm is 1.2 V, more than the 1 V between the thresholds (Ohm's law)."""
    volts = np.full(3600, 29.1)
    bare = Logic(29.0, 28.0)
    assert len(simulate(volts, -1.2, bare).switched) == 3600  # on and off each second
    told = relay_chatter(current=60, resistance=0.02, band=1.0, shortest=60)
    assert (told.swing, told.chatters, told.least_on_needed) == (pytest.approx(1.2), True, 60)
    assert shortest_least_on(volts, -1.2, bare, 60) == 59  # and the one second that it is off
    assert simulate(volts, -0.9, bare).switched == (0,)


def test_that_a_passing_dip_drops_no_load_that_waits_longer_than_it() -> None:
    """A motor starts for 3 s: with 5 s of off-delay the loads stay on, with 2 s they go."""
    volts = np.full(200, 26.0)
    volts[100:103] = 21.0
    feed = Logic(25.0, 22.0, off_delay=5)
    assert simulate(volts, 0.0, feed).switched == (0,)
    assert simulate(volts, 0.0, replace(feed, off_delay=2)).switched == (0, 102, 103)


@given(st.floats(20, 40), st.floats(0.1, 5), st.floats(0.1, 3))
def test_that_a_pulse_driven_load_settles_where_its_drive_and_the_voltage_agree(
    base: float, pull: float, band: float
) -> None:
    logic = Logic(28 + band, 28.0)
    (share,) = proportional(np.array([base]), -pull, logic)
    left = base - pull * share
    wanted = min(max((left - 28) / band, 0.0), 1.0)
    assert 0 <= share <= 1
    assert math.isclose(share, wanted, abs_tol=1e-9)
