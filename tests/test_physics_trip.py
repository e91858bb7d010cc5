"""When devices open in a fault, and what an ac source's current is: tables, limits and laws."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.ac_current import ac_current
from engine.physics.trip import CURVES, breaking_class, curve_of, device_trip
from engine.tables import OutsideTable
from engine.tables.family import family

GATES = [(16, 65, 150), (63, 320, 820), (100, 580, 1450), (200, 1250, 3420), (400, 2840, 8060)]
"""Rating, current that melts a gG fuse in 5 s and in 0.1 s (IEC 60269-1, Table 3; from memory)."""


@pytest.mark.parametrize(("rating", "five", "tenth"), GATES)
def test_that_a_fuse_melts_within_the_late_gates_of_iec_60269(rating: int, five: int, tenth: int) -> None:
    assert device_trip(fault_current=five, rating=rating, kind="fuse").time == pytest.approx(5, rel=1e-6)
    within = device_trip(fault_current=tenth, rating=rating, kind="fuse").time
    assert within is not None and within >= 0.1 * (1 - 1e-9)


@pytest.mark.parametrize(
    ("curve", "multiple"), [("Z", 3), ("B", 5), ("C", 10), ("D", 20)]
)  # IEC 60898-1: the late ends of its instantaneous ranges, rms; on dc half as much again (common practice)
def test_that_a_breaker_opens_at_once_at_the_end_of_its_marked_curve(curve: str, multiple: float) -> None:
    def time(current: float, system: str) -> float | None:
        return device_trip(fault_current=current, rating=20, curve=curve, system=system).time

    assert time(20 * multiple, "ac") == 0.02
    late, dc_late = time(20 * multiple * 0.999, "ac"), time(20 * multiple * 1.5 * 0.999, "dc")
    assert late is not None and late > 0.5 and dc_late is not None and dc_late > 0.2
    assert time(20 * multiple * 1.5, "dc") == 0.02


def test_that_a_breaker_takes_a_minute_at_2_55_times_its_rating_to_32_a_and_two_above() -> None:
    """IEC 60898-1, time-current characteristics at 2.55 times the rating (from memory)."""
    assert device_trip(fault_current=2.55 * 32, rating=32).time == pytest.approx(60)
    assert device_trip(fault_current=2.55 * 40, rating=40).time == pytest.approx(120)


@pytest.mark.parametrize(
    ("kind", "rating", "multiple"), [("breaker", 100, 1.45), ("fuse", 100, 1.6), ("fuse", 10, 1.9)]
)
def test_that_below_the_conventional_current_nothing_need_open(
    kind: str, rating: float, multiple: float
) -> None:
    assert device_trip(fault_current=rating * multiple * 0.999, rating=rating, kind=kind).time is None
    assert device_trip(fault_current=rating * multiple, rating=rating, kind=kind).time is not None


@given(
    kind=st.sampled_from(("fuse", "breaker")),
    curve=st.sampled_from(CURVES),
    rating=st.floats(6, 1250),
    low=st.floats(1, 100),
    more=st.floats(1, 10),
)
def test_that_more_current_never_opens_a_device_later(
    kind: str, curve: str, rating: float, low: float, more: float
) -> None:
    def time(multiple: float) -> float:
        found = device_trip(fault_current=rating * multiple, rating=rating, kind=kind, curve=curve).time
        return math.inf if found is None else found

    assert time(low * more) <= time(low) * (1 + 1e-9)


def test_that_a_curve_or_a_rating_beyond_the_tables_is_refused() -> None:
    with pytest.raises(OutsideTable):
        device_trip(fault_current=100, rating=10, curve="X")
    with pytest.raises(OutsideTable):
        device_trip(fault_current=1e5, rating=2000, kind="fuse")


@pytest.mark.parametrize(
    ("marking", "curve"),
    [
        ("C16", "C"),
        ("curve B", "B"),
        ("type D", "D"),
        ("class T", "unmarked"),
        ("gPV", "unmarked"),
        ("", "unmarked"),
        (None, "unmarked"),
    ],
)
def test_that_a_curve_is_read_from_its_marking(marking: str | None, curve: str) -> None:
    assert curve_of(marking) == curve


@pytest.mark.parametrize(
    ("fault", "wanted"), [(6000, 6000), (6001, 10000), (10820, 15000), (2e5, 2e5), (2.1e5, None)]
)
def test_that_the_breaking_capacity_to_order_is_the_next_usual_one(
    fault: float, wanted: float | None
) -> None:
    assert breaking_class(fault) == wanted


def test_that_three_phases_share_the_current_by_the_root_of_three() -> None:
    one = ac_current(power=6900, voltage=400, rules=family("iec"))
    three = ac_current(power=6900, voltage=400, phases=3, rules=family("iec"))
    assert one.current == pytest.approx(17.25) and one.design_current == one.current
    assert three.current == pytest.approx(one.current / math.sqrt(3))
    assert ac_current(power=6900, voltage=400, rules=family("nec-2023")).design_current == 1.25 * one.current
