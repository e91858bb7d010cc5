"""Surge protective devices: from which length on, at which ends, for which voltage."""

from __future__ import annotations

import pytest
from a_wired_site import found, judged

from engine.finding import Finding, Signal

RUN = "circuits.south-run"
LAST = {"circuits.south-string.length": "1 m"}


def finding(rule: str, changes: dict[str, str]) -> Finding:
    return found(judged({**LAST, **changes}), rule, RUN)


@pytest.mark.parametrize(("on_building", "factor"), [("yes", 115.0), ("no", 200.0), ("", 115.0)])
@pytest.mark.parametrize("density", [1.0, 2.5])
@pytest.mark.parametrize(("over", "asked"), [(-0.01, False), (0.0, True), (0.01, True)])
def test_that_surge_devices_are_asked_for_by_length_and_lightning(
    on_building: str, factor: float, density: float, over: float, asked: bool
) -> None:
    """IEC 60364-7-712, 712.443 (from memory): from 115/Ng m attached to a building, 200/Ng m apart from one;
    strings and run together."""
    length = factor / density + over - 1.0
    changes = {
        "arrays.south.on_building": on_building,
        "site.lightning": str(density),
        f"{RUN}.length": f"{length} m",
        f"{RUN}.surge": "none",
    }
    ruled = finding("surge", {**changes, "rules": "iec"})
    assert ruled.status.word == ("fails" if asked else "meets")
    assert ruled.limit == pytest.approx(factor / density)
    assert ruled.value == pytest.approx(length + 1.0)
    practice = finding("surge", {**changes, "rules": "nec-2023"})
    assert practice.status.word == ("marginal" if asked else "meets")
    assert (practice.signal is Signal.CAUTION) is asked


def test_that_without_a_flash_density_surge_devices_are_asked_for() -> None:
    """IEC 60364-4-44, 443 (from memory): without a risk assessment protection is provided."""
    blind = {"rules": "iec", "site.lightning": ""}
    assert finding("surge", {**blind, f"{RUN}.surge": "none"}).status.word == "fails"
    got = finding("surge", blind)
    assert (got.status.word, got.field) == ("unknown", f"{RUN}.surge")


@pytest.mark.parametrize(
    ("ends", "length", "status"),
    [
        ("at the controller", 9.0, "meets"),
        ("at the controller", 9.01, "marginal"),
        ("at the source", 9.01, "marginal"),
        ("both ends", 90.0, "meets"),
    ],
)
def test_that_one_device_protects_ten_metres(ends: str, length: float, status: str) -> None:
    """IEC 61643-32 (from memory)."""
    changes = {"rules": "iec", "site.lightning": "20", f"{RUN}.length": f"{length} m", f"{RUN}.surge": ends}
    assert finding("surge", changes).status.word == status


def test_that_devices_at_the_strings_and_at_the_controller_are_both_ends() -> None:
    changes = {
        "rules": "iec",
        "site.lightning": "20",
        f"{RUN}.surge": "at the controller",
        "circuits.south-string.surge": "at the source",
    }
    assert finding("surge", changes).status.word == "meets"


@pytest.mark.parametrize(("over", "status"), [(-0.1, "fails"), (0.0, "meets"), (0.1, "meets")])
def test_that_iec_wants_1_2_times_the_standard_voltage(over: float, status: str) -> None:
    """IEC 61643-32 (from memory): Ucpv at least 1.2 Voc; 2 x 49.5 V here, and no frost."""
    volts = 1.2 * 99 + over
    changes = {
        "rules": "iec",
        "site.design_low": "20 degC",
        "site.record_low": "15 degC",
        f"{RUN}.surge": "both ends",
        f"{RUN}.surge_voltage": f"{volts} V",
    }
    got = finding("surge-voltage", changes)
    assert (got.status.word, got.limit) == (status, pytest.approx(118.8))


@pytest.mark.parametrize(
    ("volts", "status"),
    [(108.35, "fails"), (108.36, "marginal"), (111.5, "marginal"), (111.57, "meets")],
)
def test_that_a_surge_device_stands_the_cold(volts: float, status: str) -> None:
    """Coefficient: 99 V x (1 + 0.0027 x 35) = 108.355 V at design low, x 47 K: 111.563 V at record."""
    changes = {f"{RUN}.surge": "both ends", f"{RUN}.surge_voltage": f"{volts} V"}
    got = finding("surge-voltage", changes)
    assert got.status.word == status
    assert got.limit == pytest.approx(111.563, abs=0.001)


def test_that_a_surge_device_without_its_voltage_is_unknown() -> None:
    got = finding("surge-voltage", {f"{RUN}.surge": "both ends"})
    assert (got.status.word, got.field) == ("unknown", f"{RUN}.surge_voltage")


def test_that_a_circuit_without_surge_devices_is_not_asked_for_their_voltage() -> None:
    assert "surge-voltage" not in [each.rule for each in judged({f"{RUN}.surge": "none"}).findings]


def test_that_next_to_no_lightning_still_gives_a_length_in_metres() -> None:
    got = finding("surge", {"rules": "iec", "site.lightning": "1e-320"})
    assert isinstance(got.limit, float) and got.limit < 1e6
