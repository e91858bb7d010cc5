"""Disconnects, the pole that they open, and devices in a hot box."""

from __future__ import annotations

import pytest
from a_wired_site import found, judged

from engine.finding import Finding, Signal, Status
from engine.tables.family import family

RUN, OUTPUT = "circuits.south-run", "circuits.c-battery"
SWITCH = """
[devices.switch]
kind = "switch"
supply = "dc"
current = "100 A"
dc_voltage = "150 V"
polarity = "none"
poles = 2
"""
FUSED = {f"{OUTPUT}.device": "battery-fuse"}
FUSE = """
[devices.battery-fuse]
kind = "fuse"
supply = "dc"
current = "100 A"
dc_voltage = "125 V"
breaking = "20 kA"
polarity = "none"
"""


def finding(rule: str, where: str, changes: dict[str, str]) -> Finding:
    return found(judged(changes, SWITCH + FUSE), rule, where)


def disconnect(changes: dict[str, str], where: str = OUTPUT) -> tuple[str, str]:
    got = finding("disconnect", where, changes)
    return got.status.word, got.signal.word


def test_that_breakers_and_switches_open_and_nothing_in_hand_is_to_be_ordered() -> None:
    assert disconnect({}) == ("meets", "")
    assert disconnect({f"{OUTPUT}.device": "switch"}) == ("meets", "")
    got = finding("disconnect", OUTPUT, {f"{OUTPUT}.device": ""})
    assert got.status is Status.MEETS and "ordered" in got.title


@pytest.mark.parametrize(("rules", "limit"), [("nec-2017", 30.0), ("nec-2023", 30.0), ("iec", 0.0)])
def test_that_a_fuse_alone_is_no_disconnect_above_what_may_be_pulled(rules: str, limit: float) -> None:
    """NFPA 70, 690.15 (from memory): isolating devices to 30 A; IEC 62548-1: a load-break switch."""
    for amps in (29.0, 30.0, 31.0):
        got = finding(
            "disconnect", OUTPUT, {**FUSED, "rules": rules, "devices.battery-fuse.current": f"{amps} A"}
        )
        assert got.status.word == ("fails" if amps > limit else "marginal")
        assert (got.value, got.limit, got.signal) == (amps, limit, Signal.WARNING)


def test_that_a_fuse_with_a_switch_beside_it_is_opened_by_the_switch() -> None:
    assert disconnect({**FUSED, f"{OUTPUT}.disconnect": "switch"}) == ("meets", "")


@pytest.mark.parametrize(
    ("change", "status", "signal"),
    [
        ({"devices.switch.kind": "fuse"}, "fails", "WARNING"),
        ({"devices.switch.supply": "ac"}, "fails", "DANGER"),
        ({"devices.switch.supply": "ac and dc"}, "meets", ""),
        ({"devices.switch.dc_voltage": "29.9 V"}, "fails", "DANGER"),
        ({"devices.switch.dc_voltage": "30 V"}, "meets", ""),
        ({"devices.switch.dc_voltage": "30.1 V"}, "meets", ""),
        ({"devices.switch.current": "79.9 A"}, "fails", "WARNING"),
        ({"devices.switch.current": "80 A"}, "meets", ""),
        ({"devices.switch.current": "80.1 A"}, "meets", ""),
        ({"devices.switch.poles": "1", "bank.system_earthing": "none"}, "fails", "WARNING"),
        ({"devices.switch.poles": "1", "bank.system_earthing": "negative"}, "meets", ""),
        ({"devices.switch.kind": ""}, "unknown", "WARNING"),
        ({"devices.switch.supply": ""}, "unknown", "WARNING"),
        ({"devices.switch.dc_voltage": ""}, "unknown", "WARNING"),
        ({"devices.switch.current": ""}, "unknown", "WARNING"),
        ({"devices.switch.poles": "", "bank.system_earthing": "none"}, "unknown", "WARNING"),
        ({"devices.switch.poles": "", "devices.switch.supply": "ac"}, "fails", "DANGER"),
    ],
)
def test_that_a_separate_disconnect_suits_its_circuit(
    change: dict[str, str], status: str, signal: str
) -> None:
    """The bank stands at 30 V at most, the controller passes 80 A."""
    assert disconnect({**FUSED, f"{OUTPUT}.disconnect": "switch", **change}) == (status, signal)


@pytest.mark.parametrize(
    ("earthing", "poles", "pole", "status"),
    [
        ("negative", "1", "", "meets"),
        ("negative", "1", "not earthed", "meets"),
        ("negative", "1", "earthed", "fails"),
        ("positive", "1", "earthed", "fails"),
        ("", "1", "earthed", "fails"),
        ("none", "1", "earthed", "meets"),
    ],
)
def test_that_a_single_pole_device_never_stands_in_the_earthed_pole(
    earthing: str, poles: str, pole: str, status: str
) -> None:
    """NFPA 70, 690.13 and 404.2 (from memory): opened, the circuit looks dead and is live to earth."""
    changes = {
        "bank.system_earthing": earthing,
        "devices.battery-breaker.poles": poles,
        f"{OUTPUT}.device_pole": pole,
    }
    got = finding("earthed-pole", OUTPUT, changes)
    assert got.status.word == status
    assert (got.signal is Signal.DANGER) is (status == "fails")


def test_that_two_poles_open_both() -> None:
    changes = {"devices.battery-breaker.poles": "2", f"{OUTPUT}.device_pole": "earthed"}
    assert "earthed-pole" not in [each.rule for each in judged(changes).findings if each.where == OUTPUT]


# Heat


def test_that_63_a_carry_53_5_a_at_60_degc() -> None:
    """Suggested Practices, Sandia National Laboratories and New Mexico State University (from memory):
    0.85 x 63 A = 53.5 A."""
    changes = {
        "devices.battery-breaker.current": "63 A",
        "controllers.c.current_limit": "50 A",
        f"{OUTPUT}.device_ambient": "60 degC",
    }
    got = finding("device-heat", OUTPUT, changes)
    assert (got.status, got.value) == (Status.MEETS, pytest.approx(53.5, abs=0.1))


@pytest.mark.parametrize(("amps", "status"), [(85.1, "fails"), (85.0, "meets"), (84.9, "meets")])
def test_that_a_breaker_in_a_hot_box_still_carries_what_flows(amps: float, status: str) -> None:
    changes = {"controllers.c.current_limit": f"{amps} A", f"{OUTPUT}.device_ambient": "60 degC"}
    got = finding("device-heat", OUTPUT, changes)
    assert (got.status.word, got.value, got.limit) == (status, pytest.approx(85), pytest.approx(amps))


def test_that_a_box_counts_as_hot_as_the_hottest_day_and_is_unknown_without_it() -> None:
    hot = finding("device-heat", OUTPUT, {"site.design_high": "50 degC"})
    assert hot.value == pytest.approx(92)
    got = finding("device-heat", OUTPUT, {"site.design_high": ""})
    assert (got.status, got.field) == (Status.UNKNOWN, "site.design_high")
    beyond = finding("device-heat", OUTPUT, {f"{OUTPUT}.device_ambient": "75 degC"})
    assert (beyond.status, beyond.field) == (Status.UNKNOWN, f"{OUTPUT}.device_ambient")


def test_that_every_family_has_a_clause_for_each() -> None:
    for rules in ("nec-2017", "nec-2020", "nec-2023", "iec"):
        for matter in ("source_disconnect", "wind_disconnect", "pole", "device_ambient"):
            assert family(rules).clause(matter).clause
