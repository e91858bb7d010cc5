"""A device in hand against the circuit that it is put into."""

from __future__ import annotations

import pytest
from a_wired_site import found, judged

from engine.finding import Signal, Status

ARRAY, CONTROLLER, RUN, OUTPUT = "arrays.south", "controllers.c", "circuits.south-run", "circuits.c-battery"


def status(rule: str, where: str, changes: dict[str, str]) -> Status:
    """How a rule answers at a place of the changed site."""
    return found(judged(changes), rule, where).status


@pytest.mark.parametrize(
    ("amps", "wanted", "limit"),
    [
        (34.99, "fails", 35.0),
        (35.0, "meets", 35.0),
        (39.0, "meets", 35.0),
        (40.0, "meets", 35.0),
        (40.01, "fails", 40.0),
    ],
)
def test_that_a_device_in_hand_has_a_least_and_a_largest_rating(
    amps: float, wanted: str, limit: float
) -> None:
    """28 A times 1.25 is 35 A; 8 AWG at terminals of 60 degC carries 40 A (NEC Table 310.16)."""
    changes = {"devices.run-breaker.current": f"{amps!r} A", f"{RUN}.size": "8 AWG"}
    finding = found(judged(changes), "device-current", RUN)
    assert (finding.status.word, finding.limit) == (wanted, pytest.approx(limit))


def test_that_a_device_for_100_percent_duty_needs_no_second_factor() -> None:
    changes = {"devices.run-breaker.current": "28 A"}
    assert status("device-current", RUN, changes) is Status.FAILS
    assert status("device-current", RUN, {**changes, "devices.run-breaker.continuous": "yes"}) is Status.MEETS


@pytest.mark.parametrize(("supply", "wanted"), [("dc", "meets"), ("ac and dc", "meets"), ("ac", "fails")])
def test_that_a_device_for_ac_only_fails_on_dc_whatever_its_numbers(supply: str, wanted: str) -> None:
    finding = found(judged({"devices.run-breaker.supply": supply}), "device-supply", RUN)
    assert (finding.status.word, finding.signal is Signal.DANGER) == (wanted, wanted == "fails")


@pytest.mark.parametrize(
    ("polarity", "back_feed", "wanted"),
    [
        ("none", "10 A", "meets"),
        ("marked", "0 A", "meets"),
        ("marked", "0.1 A", "fails"),
        ("marked", "", "unknown"),
    ],
)
def test_that_a_device_with_polarity_fails_where_current_can_turn(
    polarity: str, back_feed: str, wanted: str
) -> None:
    changes = {"devices.run-breaker.polarity": polarity, f"{CONTROLLER}.back_feed": back_feed}
    assert status("device-polarity", RUN, changes).word == wanted


@pytest.mark.parametrize(
    ("kind", "wanted"), [("breaker", "meets"), ("fuse", "meets"), ("switch", "fails"), ("limiter", "fails")]
)
def test_that_a_switch_is_no_overcurrent_device(kind: str, wanted: str) -> None:
    assert status("device-kind", OUTPUT, {"devices.battery-breaker.kind": kind}).word == wanted


@pytest.mark.parametrize(
    ("curve", "wanted"),
    [
        ("gPV", "meets"),
        ("photovoltaic fuse", "meets"),
        ("PV 10x38", "meets"),
        ("gG", "fails"),
        ("gG, not PV", "fails"),
        ("non-PV", "fails"),
        ("class T", "fails"),
        ("", "unknown"),
    ],
)
@pytest.mark.parametrize("rules", ["nec-2017", "nec-2023", "iec"])
def test_that_a_fuse_of_an_array_is_made_for_pv(rules: str, curve: str, wanted: str) -> None:
    """NEC 690.9(B) and IEC 62548-1 with IEC 60269-6, from memory."""
    three = {"arrays.south.strings": "3", "circuits.south-string.device": "fuse", f"{RUN}.device": ""}
    changes = {**three, "rules": rules, "devices.fuse.curve": curve}
    assert status("device-pv-class", "circuits.south-string", changes).word == wanted


def test_that_a_fuse_on_the_battery_need_not_be_made_for_pv() -> None:
    changes = {"devices.battery-breaker.kind": "fuse", "devices.battery-breaker.curve": "class T"}
    assert "device-pv-class" not in {item.rule for item in judged(changes).findings}


def test_that_a_string_fuse_larger_than_the_modules_stand_fails() -> None:
    three = {"arrays.south.strings": "3", "circuits.south-string.device": "fuse", f"{RUN}.device": ""}
    where = "circuits.south-string"
    for amps, wanted in (("15 A", "fails"), ("20 A", "meets"), ("25 A", "fails")):
        assert status("device-current", where, {**three, "devices.fuse.current": amps}).word == wanted


def test_that_no_rating_between_what_is_needed_and_what_is_stood_fails() -> None:
    changes = {"arrays.south.strings": "3", "modules.m.series_fuse": "15 A", f"{RUN}.device": ""}
    assert status("device-rating", "circuits.south-string", changes) is Status.FAILS
    assert status("string-fuse", ARRAY, changes) is Status.FAILS
