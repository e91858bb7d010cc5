"""Devices in series, and what an inverter's surge and ripple ask of its dc device and conductor."""

from __future__ import annotations

import math

import pytest
from a_battery_site import circuit, found, judged
from a_wired_site import judged as sunny

from engine.finding import Signal, Status

PANEL, BRANCH, HOUSE = "circuits.panel-battery", "circuits.lamp-branch", "circuits.house-battery"
TWO = """
[devices.upper]
kind = "fuse"
supply = "dc"
current = "40 A"

[devices.lower]
kind = "fuse"
supply = "dc"
current = "20 A"
"""
IN_SERIES = {f"{PANEL}.device": "upper", f"{BRANCH}.device": "lower"}


@pytest.mark.parametrize(
    ("rules", "upper", "wanted", "limit"),
    [
        ("nec-2023", "41 A", "meets", 2.0),
        ("nec-2023", "40 A", "meets", 2.0),
        ("nec-2023", "39.9 A", "marginal", 2.0),
        ("iec", "32 A", "meets", 1.6),
        ("iec", "31.9 A", "marginal", 1.6),
    ],
)
def test_that_two_fuses_are_selective_from_their_ratio_up(
    rules: str, upper: str, wanted: str, limit: float
) -> None:
    changes = {**IN_SERIES, "rules": rules, "devices.upper.current": upper}
    finding = found(judged(changes, TWO), "selectivity", BRANCH)
    assert (finding.status.word, finding.limit) == (wanted, pytest.approx(limit))
    assert (finding.signal is Signal.NOTICE) == bool(finding.remedy) == (wanted == "marginal")


def test_that_a_fuse_over_a_breaker_goes_by_the_fault_that_can_flow() -> None:
    """800 A of IEC 60269-1 stand 10.6 kA for 0.1 s (from memory); 100 A stand 820 A."""
    changes = {**IN_SERIES, "devices.lower.kind": "breaker"}
    for rating, wanted in (("800 A", "meets"), ("100 A", "marginal")):
        evaluation = judged({**changes, "devices.upper.current": rating}, TWO)
        finding, fault = (
            found(evaluation, "selectivity-current", BRANCH),
            evaluation.circuits["lamp-branch"].fault_most,
        )
        assert fault is not None and 820 < fault < 10600
        assert finding.status.word == wanted
        assert (finding.value, finding.unit) == (fault, "A")


def test_that_selectivity_is_unknown_where_the_fault_is() -> None:
    changes = {**IN_SERIES, "devices.lower.kind": "breaker", "bank.block_resistance": ""}
    finding = found(judged(changes, TWO), "selectivity", BRANCH)
    assert (finding.status, finding.field) == (Status.UNKNOWN, "bank.block_resistance")


def test_that_a_string_s_fuse_is_held_against_the_array_s_device() -> None:
    changes = {"arrays.south.strings": "3"}
    evaluation = sunny({**changes, "devices.run-breaker.current": "90 A"})
    finding = found(evaluation, "selectivity-current", "circuits.south-string")
    assert evaluation.circuits["south-string"].behind == "south-run"
    assert finding.limit == pytest.approx(3 * 90)  # an unmarked breaker may be as quick as a B curve


@pytest.mark.parametrize(("phases", "factor"), [("1", math.sqrt(1.5)), ("2", math.sqrt(1.5)), ("3", 1.0)])
def test_that_ripple_is_counted_of_single_phase_inverters(phases: str, factor: float) -> None:
    changes = {"inverters.house.phases": phases}
    mean = circuit("house-battery", changes).current
    assert mean is not None
    assert found(judged(changes), "inverter-ripple", HOUSE).value == pytest.approx(factor * mean)


def test_that_ripple_meets_meets_at_the_limit_and_is_marginal_over_it() -> None:
    rms = found(judged(), "inverter-ripple", HOUSE).value
    assert isinstance(rms, float)
    for rating, wanted in ((rms * 1.01, "meets"), (rms, "meets"), (rms * 0.999, "marginal")):
        changes = {"devices.fuse.current": f"{rating!r} A", f"{HOUSE}.size": "500 kcmil"}
        finding = found(judged(changes), "inverter-ripple", HOUSE)
        assert (finding.status.word, finding.limit) == (wanted, pytest.approx(rating))


def test_that_a_surge_is_carried_to_the_early_end_of_the_device_s_curve() -> None:
    """A gG fuse stands its early gate for 10 s (IEC 60269-1, from memory): 160 A stands 460 A."""
    drawn = circuit("house-battery", {"inverters.house.surge": "6 kW"})
    surge = drawn.steps["surge"].result.current
    assert surge == pytest.approx(
        6000
        / dict(drawn.steps["surge"].inputs)["efficiency"]
        / dict(drawn.steps["surge"].inputs)["lowest_voltage"]
    )
    watts = 6000 * 460 / surge
    for seconds, wanted in ((9.9, "meets"), (10.0, "meets"), (10.01, "marginal")):
        changes = {
            "inverters.house.surge": f"{watts!r} W",
            "inverters.house.surge_time": f"{seconds} s",
            "devices.fuse.current": "160 A",
        }
        finding = found(judged(changes), "device-surge", HOUSE)
        assert (finding.status.word, finding.value) == (wanted, seconds)
        assert finding.limit == pytest.approx(10.0)


def test_that_a_surge_that_nobody_entered_is_unknown_and_its_time_is_long() -> None:
    finding = found(judged({"inverters.house.surge": ""}), "device-surge", HOUSE)
    assert (finding.status, finding.field) == (Status.UNKNOWN, "inverters.house.surge")
    drawn = circuit("house-battery", {"inverters.house.surge": "6 kW"})
    assert "inverters.house.surge_time" in {item.path for item in drawn.assumed}
