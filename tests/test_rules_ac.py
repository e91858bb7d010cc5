"""Rules of the ac side at their limits: disconnection, residual-current type, one neutral-to-earth bond."""

from __future__ import annotations

import pytest
from a_battery_site import found, judged

from engine.finding import Status

OUTPUT, CHARGER = "circuits.house-output", "circuits.set-charger"
IEC = {
    "rules": "iec",
    "inverters.house.ac_voltage": "230 V",
    "generators.set.ac_voltage": "230 V",
    "devices.breaker.ac_voltage": "230 V",
    "devices.breaker.current": "16 A",
    "devices.breaker.curve": "B",
}
BARE = {"inverters.house.residual_device": "none"}


@pytest.mark.parametrize(("fault", "status"), [("79 A", "fails"), ("80 A", "meets"), ("81 A", "meets")])
def test_that_an_inverter_feeds_enough_to_trip_or_fails_under_iec(fault: str, status: str) -> None:
    """A breaker of curve B opens at once from 5 times its rating (IEC 60898-1): 80 A of 16 A."""
    changes = {**IEC, **BARE, "inverters.house.fault_current": fault, "circuits.house-output.length": "1 m"}
    finding = found(judged(changes), "ac-disconnection", OUTPUT)
    assert (finding.status.word, finding.limit) == (status, pytest.approx(80))


def test_that_under_nec_a_slow_breaker_is_marginal() -> None:
    assert found(judged(BARE), "ac-disconnection", OUTPUT).status is Status.MARGINAL


def test_that_a_residual_device_opens_however_weak_the_inverter() -> None:
    changes = {**IEC, "inverters.house.residual_device": "type B", "inverters.house.fault_current": "20 A"}
    assert found(judged(changes), "ac-disconnection", OUTPUT).status is Status.MEETS


@pytest.mark.parametrize("said", ["none", ""])
def test_that_without_fault_current_or_residual_device_disconnection_is_not_known(said: str) -> None:
    changes = {"inverters.house.fault_current": "", "inverters.house.residual_device": said}
    finding = found(judged(changes), "ac-disconnection", OUTPUT)
    assert (finding.status, finding.field) == (Status.UNKNOWN, "inverters.house.fault_current")


def test_that_a_generators_sustained_current_decides() -> None:
    bare = {"generators.set.residual_device": "none"}
    assert found(judged(bare), "ac-disconnection", CHARGER).status is Status.MARGINAL
    assert found(judged({**IEC, **bare}), "ac-disconnection", CHARGER).status is Status.FAILS
    open_ = found(judged({**bare, "generators.set.sustained_current": ""}), "ac-disconnection", CHARGER)
    assert (open_.status, open_.field) == (Status.UNKNOWN, "generators.set.sustained_current")


@pytest.mark.parametrize(
    ("said", "isolated", "status"),
    [
        ("type B", "", "meets"),
        ("type B", "no", "meets"),
        ("type AC", "yes", "meets"),
        ("type AC", "no", "fails"),
        ("type A", "no", "marginal"),
        ("type A", "yes", "meets"),
        ("type AC", "", "unknown"),
    ],
)
def test_that_dc_can_blind_a_residual_device(said: str, isolated: str, status: str) -> None:
    """IEC 60364-7-712, 712.531: type B unless ac and dc are separated (from memory)."""
    changes = {**IEC, "inverters.house.residual_device": said, "inverters.house.isolated": isolated}
    assert found(judged(changes), "residual-type", "inverters.house").status.word == status


@pytest.mark.parametrize(
    ("bond", "bonds"), [("in panel", 1), ("in inverter", 1), ("switched", 1), ("none", 0), ("", None)]
)
def test_that_one_bond_stands_while_the_inverter_feeds(bond: str, bonds: int | None) -> None:
    finding = found(judged({"inverters.house.neutral_bond": bond}), "neutral-bond", "inverters.house")
    if bonds is None:
        assert (finding.status, finding.field) == (Status.UNKNOWN, "inverters.house.neutral_bond")
    else:
        assert (finding.status is Status.MEETS, finding.value) == (bonds == 1, bonds)


@pytest.mark.parametrize(
    ("inverter", "generator", "feeds", "bonds"),
    [
        ("in panel", "floating", "the inverter's input", 1),
        ("in panel", "bonded", "the inverter's input", 2),
        ("in panel", "bonded, neutral switched", "a transfer switch", 2),
        ("in inverter", "bonded, neutral switched", "a transfer switch", 1),
        ("in inverter", "bonded", "a transfer switch", 2),
        ("switched", "bonded", "the inverter's input", 1),
        ("switched", "floating", "the inverter's input", 0),
        ("none", "floating", "a transfer switch", 0),
        ("in panel", "bonded", "its charger only", 1),
        ("in panel", "floating", "its charger only", 0),
    ],
)
def test_that_one_bond_stands_while_the_generator_feeds(
    inverter: str, generator: str, feeds: str, bonds: int
) -> None:
    changes = {
        "inverters.house.neutral_bond": inverter,
        "generators.set.neutral_bond": generator,
        "generators.set.feeds": feeds,
    }
    finding = found(judged(changes), "neutral-bond", "generators.set")
    assert (finding.value, finding.status is Status.MEETS) == (bonds, bonds == 1)


@pytest.mark.parametrize("field", ["neutral_bond", "feeds"])
def test_that_a_generator_that_nobody_described_leaves_the_bond_open(field: str) -> None:
    finding = found(judged({f"generators.set.{field}": ""}), "neutral-bond", "generators.set")
    assert (finding.status, finding.field) == (Status.UNKNOWN, f"generators.set.{field}")


@pytest.mark.parametrize(
    ("field", "text", "rule"),
    [
        ("supply", "dc", "device-supply"),
        ("ac_voltage", "119 V", "device-voltage"),
        ("current", "26 A", "device-current"),
        ("current", "35 A", "device-current"),
        ("breaking", "59 A", "device-breaking"),
    ],
)
def test_that_a_wrong_device_on_ac_fails(field: str, text: str, rule: str) -> None:
    assert found(judged(), rule, OUTPUT).status is Status.MEETS
    assert found(judged({f"devices.breaker.{field}": text}), rule, OUTPUT).status is Status.FAILS


def test_that_one_pole_between_two_lines_fails() -> None:
    changes = {"inverters.house.ac_voltage": "240 V", "devices.breaker.ac_voltage": "240 V"}
    assert found(judged(), "device-poles", OUTPUT).status is Status.MEETS
    assert found(judged(changes), "device-poles", OUTPUT).status is Status.FAILS
