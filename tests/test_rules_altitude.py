"""High places: what makers say of their devices there is asked for, and counts."""

from __future__ import annotations

import pytest
from a_wired_site import found, judged
from fluids import ATMOSPHERE_1976

from engine.finding import Signal, Status
from engine.physics.altitude import altitude_clearance

RUN, OUT, BREAKER = "circuits.south-run", "circuits.c-battery", "devices.run-breaker"
HIGH = {"site.elevation": "2600 m"}
RATED = {**HIGH, f"{BREAKER}.altitude_voltage": "150 V", f"{BREAKER}.altitude_current": "35 A"}


@pytest.mark.parametrize(
    ("metres", "factor"), [(0, 1.0), (2000, 1.0), (3000, 1.14), (4000, 1.29), (5000, 1.48), (6000, 1.70)]
)
def test_that_clearances_grow_as_iec_60664_1_prints(metres: float, factor: float) -> None:
    # IEC 60664-1, Table A.2, from memory.
    assert altitude_clearance(elevation=metres).factor == factor


@pytest.mark.parametrize("metres", [2500.0, 3000.0, 3500.0, 4500.0, 6000.0])
def test_that_clearances_follow_the_pressure_of_the_standard_atmosphere(metres: float) -> None:
    """Paschen: what breaks down goes by pressure times distance; the table is within 2 % of it."""
    ratio = ATMOSPHERE_1976(2000.0).P / ATMOSPHERE_1976(metres).P
    assert altitude_clearance(elevation=metres).factor == pytest.approx(ratio, rel=0.02)


@pytest.mark.parametrize(
    ("height", "wanted"),
    [("", "unknown"), ("1999 m", "meets"), ("2000 m", "meets"), ("2001 m", "marginal")],
)
def test_that_ratings_hold_to_2000_m_and_the_elevation_is_asked_for(height: str, wanted: str) -> None:
    finding = found(judged({"site.elevation": height}), "elevation", "site")
    assert finding.status.word == wanted
    assert finding.field == "site.elevation"


def test_that_below_2000_m_no_device_is_asked_for_its_maker_s_data() -> None:
    rules = {item.rule for item in judged({"site.elevation": "2000 m"}).findings}
    assert not rules & {"altitude-voltage", "altitude-current"}


def test_that_above_it_a_device_in_hand_is_unknown_until_its_maker_s_data_are_entered() -> None:
    evaluation = judged(HIGH)
    for name in ("voltage", "current"):
        finding = found(evaluation, f"altitude-{name}", RUN)
        assert finding.status is Status.UNKNOWN
        assert finding.field == f"{BREAKER}.altitude_{name}"


def test_that_a_device_s_voltage_here_meets_meets_at_the_limit_and_fails_under_it() -> None:
    value = found(judged(RATED), "altitude-voltage", RUN).value
    assert isinstance(value, float)
    for volts, wanted in ((150.0, "meets"), (value, "meets"), (value - 0.01, "fails")):
        changes = {**RATED, f"{BREAKER}.altitude_voltage": f"{volts!r} V"}
        finding = found(judged(changes), "altitude-voltage", RUN)
        assert (finding.status.word, finding.limit) == (wanted, pytest.approx(volts))
        assert (finding.signal is Signal.DANGER) == (wanted == "fails")


@pytest.mark.parametrize(("amps", "wanted"), [(35.0, "meets"), (34.99, "fails")])
def test_that_a_device_s_current_here_carries_what_the_circuit_asks(amps: float, wanted: str) -> None:
    """28 A times 1.25 is 35 A (NEC 690.8); at 100 % duty 28 A are enough."""
    changes = {**RATED, f"{BREAKER}.altitude_current": f"{amps} A"}
    assert found(judged(changes), "altitude-current", RUN).status.word == wanted
    full = {**changes, f"{BREAKER}.continuous": "yes"}
    assert found(judged(full), "altitude-current", RUN).limit == pytest.approx(28.0)


def test_that_what_is_said_for_here_never_counts_more_than_what_is_printed() -> None:
    changes = {**RATED, f"{BREAKER}.altitude_voltage": "1000 V", f"{BREAKER}.altitude_current": "90 A"}
    evaluation = judged(changes)
    assert found(evaluation, "altitude-voltage", RUN).limit == 150
    assert found(evaluation, "altitude-current", RUN).value == 35


def test_that_a_device_to_be_ordered_is_ordered_for_here() -> None:
    finding = found(judged({**HIGH, f"{OUT}.device": ""}), "altitude-voltage", OUT)
    assert finding.status is Status.MARGINAL
    assert finding.value == pytest.approx(1 + 0.6 * 0.14)
