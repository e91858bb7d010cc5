"""The early end of devices' curves, two of them in series, and the ripple of an inverter."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.early_trip import device_early_trip, device_selectivity
from engine.physics.ripple import inverter_ripple
from engine.physics.trip import CURVES, device_trip
from engine.tables import table
from engine.tables.family import family

NEC, IEC = family("nec-2023"), family("iec")


@pytest.mark.parametrize(
    ("curve", "multiple", "seconds"),
    [
        # IEC 60898-1, Table 7 (from memory): no trip within 1 h at 1.13; at 2.55 not before 1 s; B, C and D
        # do not trip at once below 3, 5 and 10 times.
        ("C", 1.13, None),
        ("C", 2.55, 1.0),
        ("B", 3.0, 0.0),
        ("C", 5.0, 0.0),
        ("D", 10.0, 0.0),
    ],
)
def test_that_a_breaker_holds_what_iec_60898_1_says(
    curve: str, multiple: float, seconds: float | None
) -> None:
    found = device_early_trip(current=16 * multiple, rating=16, curve=curve)
    assert found.time == (None if seconds is None else pytest.approx(seconds))


def test_that_a_fuse_holds_its_early_gates() -> None:
    """IEC 60269-1, Table 3 (from memory): 100 A stands 290 A for 10 s and 820 A for 0.1 s."""
    for amps, seconds in ((290, 10.0), (820, 0.1)):
        found = device_early_trip(current=amps, rating=100, kind="fuse")
        assert found.time == pytest.approx(seconds)


def test_that_what_stands_a_tenth_second_is_what_melts_the_fuse_two_ratings_down() -> None:
    """The gates of IEC 60269-1 make 1.6 to 1 selective: 160 A under 250 A, 63 A under 100 A."""
    early, late = table("iec_60269_1_early_gates"), table("iec_60269_1_gates")
    stands = dict(zip(early.numbers("rating_A"), early.numbers("tenth_second_A"), strict=True))
    melts = dict(zip(late.numbers("rating_A"), late.numbers("tenth_second_A"), strict=True))
    ratings = [rating for rating in late.numbers("rating_A") if rating >= 25]
    for lower, upper in zip(ratings, ratings[2:], strict=False):
        assert stands[upper] >= melts[lower] * 0.99, (lower, upper)


@given(
    st.sampled_from(["breaker", "fuse"]),
    st.sampled_from(CURVES),
    st.floats(6, 1250),
    st.floats(1.01, 40),
    st.floats(1.0, 3.0),
)
def test_that_the_early_end_is_never_after_the_late_one_and_more_current_is_never_slower(
    kind: str, curve: str, rating: float, multiple: float, more: float
) -> None:
    early = device_early_trip(current=multiple * rating, rating=rating, kind=kind, curve=curve).time
    late = device_trip(fault_current=multiple * rating, rating=rating, kind=kind, curve=curve).time
    if late is not None:
        assert early is not None and early <= late * (1 + 1e-9)
    faster = device_early_trip(current=more * multiple * rating, rating=rating, kind=kind, curve=curve).time
    if early is not None:
        assert faster is not None and faster <= early * (1 + 1e-9)


@pytest.mark.parametrize(
    ("rules", "upper", "lower", "selective"),
    [("iec", 100, 63, False), ("iec", 100, 62.5, True), ("iec", 160, 100, True), ("nec-2023", 200, 100, True),
     ("nec-2023", 199, 100, False)],
)  # fmt: skip
def test_that_two_fuses_go_by_their_ratio(rules: str, upper: float, lower: float, selective: bool) -> None:
    found = device_selectivity(
        fault_current=9000,
        upper=upper,
        lower=lower,
        rules=family(rules),
        upper_kind="fuse",
        lower_kind="fuse",
    )
    assert found.selective is selective and found.limit is None


@pytest.mark.parametrize(("amps", "selective"), [(299, True), (300, False), (301, False)])
def test_that_a_breaker_above_stays_closed_below_its_magnetic_zone(amps: float, selective: bool) -> None:
    found = device_selectivity(fault_current=amps, upper=100, lower=20, rules=IEC, upper_curve="B")
    assert (found.selective, found.limit) == (selective, 300)


@pytest.mark.parametrize(("amps", "selective"), [(819, True), (820, True), (821, False)])
def test_that_a_fuse_above_a_breaker_stays_whole_to_its_gate(amps: float, selective: bool) -> None:
    found = device_selectivity(fault_current=amps, upper=100, lower=20, rules=NEC, upper_kind="fuse")
    assert (found.selective, found.limit) == (selective, pytest.approx(820))
    two = device_selectivity(fault_current=amps, upper=100, lower=20, rules=NEC, upper_kind="fuse", abreast=2)
    assert two.limit == pytest.approx(1640)


@pytest.mark.parametrize(
    ("upper", "selective"), [(20, False), (25, False), (31.9, False), (32, True), (40, True)]
)
@pytest.mark.parametrize("kinds", [("breaker", "breaker"), ("fuse", "breaker"), ("breaker", "fuse")])
def test_that_near_ratings_are_never_selective(upper: float, selective: bool, kinds: tuple[str, str]) -> None:
    """1.6 to 1 between the slow parts of two curves is common practice."""
    found = device_selectivity(
        fault_current=50, upper=upper, lower=20, rules=IEC, upper_kind=kinds[0], lower_kind=kinds[1]
    )
    assert (found.selective, found.least_ratio) == (selective, 1.6)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_that_ripple_is_that_of_sampled_single_phase_power(share: float) -> None:
    """Sine voltage times sine current, sampled over a cycle: mean, rms and rms of the rest."""
    angle = np.linspace(0, 2 * math.pi, 4096, endpoint=False)
    power = 2 * np.sin(angle) ** 2
    current = 100 * (1 + share * (power - 1))
    found = inverter_ripple(current=100, share=share)
    assert found.rms == pytest.approx(float(np.sqrt(np.mean(current**2))))
    assert found.ripple == pytest.approx(float(np.std(current)))


def test_that_three_phases_draw_no_ripple() -> None:
    angle = np.linspace(0, 2 * math.pi, 4096, endpoint=False)
    power = sum(np.sin(angle + k * 2 * math.pi / 3) ** 2 for k in range(3))
    assert float(np.std(power)) == pytest.approx(0, abs=1e-12)
    assert inverter_ripple(current=100, phases=3) == (1.0, 100.0, 0.0)
