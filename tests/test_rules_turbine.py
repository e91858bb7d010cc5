"""What stops a turbine, what holds its voltage, and what may never open: each rule at its limit."""

from __future__ import annotations

import pytest
from a_turbine_site import turbines_judged
from a_wired_site import found

from engine.finding import Finding, Signal, Status

MAST, RUN = "wind.mast", "circuits.mast-run"


def finding(rule: str, where: str, changes: dict[str, str] | None = None) -> Finding:
    return found(turbines_judged(changes), rule, where)


def test_that_the_turbines_of_the_site_have_nothing_to_mend() -> None:
    mine = ("overspeed", "open-voltage", "turbine-standoff", "limiter", "never-opens", "trips-free", "surge")
    findings = [each for each in turbines_judged().findings if each.rule.startswith(mine)]
    assert {each.status for each in findings} == {Status.MEETS}
    assert {each.rule for each in findings} >= set(mine) - {"trips-free"}


@pytest.mark.parametrize(
    ("brake", "furling", "status", "signal"),
    [
        ("short circuit", "11 m/s", "meets", ""),
        ("mechanical", "11 m/s", "meets", ""),
        ("short circuit", "", "marginal", "WARNING"),
        ("furling", "", "marginal", "WARNING"),
        ("none", "", "fails", "DANGER"),
        ("none", "11 m/s", "fails", "DANGER"),
        ("", "11 m/s", "unknown", "DANGER"),
    ],
)
def test_that_a_wind_turbine_stops_by_hand_and_by_itself(
    brake: str, furling: str, status: str, signal: str
) -> None:
    """NFPA 70, 694.23; IEC 61400-2 (from memory): manual and automatic shutdown."""
    got = finding("overspeed", MAST, {f"{MAST}.brake": brake, f"{MAST}.furling_wind": furling})
    assert (got.status.word, got.signal.word) == (status, signal)


@pytest.mark.parametrize(("volts", "status"), [(107.9, "fails"), (108.0, "meets"), (108.1, "meets")])
def test_that_the_voltage_entered_is_no_less_than_the_alternator_makes(volts: float, status: str) -> None:
    got = finding("open-voltage", MAST, {f"{MAST}.open_voltage": f"{volts} V"})
    assert (got.status.word, got.value, got.limit) == (status, volts, pytest.approx(108))


def test_that_a_missing_free_running_voltage_is_unknown_with_what_the_alternator_makes() -> None:
    got = finding("open-voltage", MAST, {f"{MAST}.open_voltage": ""})
    assert (got.status, got.signal) == (Status.UNKNOWN, Signal.WARNING)
    assert got.field == f"{MAST}.open_voltage" and "108 V" in got.title


@pytest.mark.parametrize(("building", "limit"), [("", 600), ("dwelling", 600), ("other building", 1000)])
@pytest.mark.parametrize(("over", "status"), [(-0.1, "meets"), (0.0, "meets"), (0.1, "fails")])
def test_that_a_building_bounds_the_free_running_voltage(
    building: str, limit: float, over: float, status: str
) -> None:
    """NFPA 70, 694.10 (from memory): 600 V on dwellings for one or two families."""
    changes = {"site.building": building, f"{MAST}.open_voltage": f"{limit + over} V"}
    got = finding("building-voltage", MAST, changes)
    assert (got.status.word, got.limit) == (status, limit)


@pytest.mark.parametrize(
    ("standoff", "limiter", "status"),
    [
        ("108.1 V", "100 V", "meets"),
        ("108 V", "100 V", "meets"),
        ("107.9 V", "100 V", "marginal"),
        ("100 V", "100 V", "marginal"),
        ("99.9 V", "100 V", "fails"),
        ("107.9 V", "", "fails"),
    ],
)
def test_that_a_free_running_turbine_destroys_no_controller(standoff: str, limiter: str, status: str) -> None:
    changes = {
        "controllers.w.operating_limit": "90 V",
        "controllers.w.standoff_limit": standoff,
        f"{MAST}.limiter_on": limiter,
    }
    got = finding("turbine-standoff", MAST, changes)
    assert (got.status.word, got.value) == (status, 108)
    assert (got.signal is Signal.WARNING) is (status != "meets")


@pytest.mark.parametrize(
    "field", ["controllers.w.standoff_limit", f"{MAST}.open_voltage", f"{MAST}.controller"]
)
def test_that_a_missing_limit_is_never_passed(field: str) -> None:
    got = finding("turbine-standoff", MAST, {field: ""})
    assert (got.status, got.field) == (Status.UNKNOWN, field)


@pytest.mark.parametrize(
    ("power", "status"), [("1.66 kW", "fails"), ("1.66667 kW", "meets"), ("1.67 kW", "meets")]
)
def test_that_a_limiter_stands_its_own_heat(power: str, status: str) -> None:
    """Joule: 100 V on 6 ohm are 1667 W."""
    got = finding("limiter", MAST, {f"{MAST}.limiter_power": power})
    assert (got.status.word, got.value) == (status, pytest.approx(1e4 / 6))


def test_that_a_limiter_that_never_lets_go_is_marginal() -> None:
    """PCF-CAL-001, public design repository, 2026 (read): 198 W, 48 V to 40 V: 8.2 ohm latches."""
    design = {
        f"{MAST}.rated_power": "198 W",
        f"{MAST}.limiter_on": "48 V",
        f"{MAST}.limiter_off": "40 V",
        f"{MAST}.limiter_power": "1 kW",
        f"{MAST}.resistance": "",
    }
    assert (
        finding("limiter", MAST, {**design, f"{MAST}.limiter_resistance": "6.8 ohm"}).status is Status.MEETS
    )
    got = finding("limiter", MAST, {**design, f"{MAST}.limiter_resistance": "8.2 ohm"})
    assert got.status is Status.MARGINAL and "let go" in got.title


@pytest.mark.parametrize("name", ["limiter_off", "limiter_power", "limiter_resistance"])
def test_that_a_limiter_half_entered_is_unknown(name: str) -> None:
    got = finding("limiter", MAST, {f"{MAST}.{name}": ""})
    assert (got.status, got.field) == (Status.UNKNOWN, f"{MAST}.{name}")


@pytest.mark.parametrize("end", ["alternator", "limiter"])
@pytest.mark.parametrize("what", ["device", "disconnect"])
@pytest.mark.parametrize("device", ["breaker", "switch"])
def test_that_nothing_that_opens_stands_before_brake_or_limiter(end: str, what: str, device: str) -> None:
    where = f"circuits.mast-{end}"
    assert finding("never-opens", where).status is Status.MEETS
    got = finding("never-opens", where, {f"{where}.{what}": device})
    assert (got.status, got.signal) == (Status.FAILS, Signal.DANGER)


def test_that_a_device_before_the_rectifier_of_a_turbine_without_shorting_brake_is_marginal() -> None:
    where = "circuits.creek-alternator"
    got = finding("never-opens", where, {f"{where}.device": "switch"})
    assert (got.status, got.signal) == (Status.MARGINAL, Signal.WARNING)


@pytest.mark.parametrize(
    ("back_feed", "device", "status"),
    [("0 A", "breaker", "marginal"), ("5 A", "breaker", "marginal"), ("2 kA", "breaker", "meets")],
)
def test_that_a_breaker_in_the_run_guards_against_back_feed_or_nothing(
    back_feed: str, device: str, status: str
) -> None:
    changes = {"controllers.w.back_feed": back_feed, f"{RUN}.device": device}
    assert finding("trips-free", RUN, changes).status.word == status


def test_that_a_switch_in_the_run_trips_nothing() -> None:
    rules = [each.rule for each in turbines_judged({f"{RUN}.device": "switch"}).findings]
    assert "trips-free" not in rules


@pytest.mark.parametrize(("volts", "status"), [(107.9, "fails"), (108.0, "meets"), (108.1, "meets")])
def test_that_surge_devices_of_a_turbine_stand_it_running_free(volts: float, status: str) -> None:
    """Reasoned: an arrester for the nominal voltage conducts at runaway, and burns."""
    got = finding("surge-voltage", RUN, {f"{RUN}.surge_voltage": f"{volts} V"})
    assert (got.status.word, got.limit) == (status, pytest.approx(108))


@pytest.mark.parametrize(("surge", "status"), [("none", "fails"), ("", "unknown"), ("both ends", "meets")])
def test_that_a_wind_turbine_has_surge_devices_whatever_its_length(surge: str, status: str) -> None:
    """NFPA 70, 694.7(D) (from memory)."""
    changes = {f"{RUN}.surge": surge, f"{RUN}.length": "1 m", "circuits.mast-alternator.length": "1 m"}
    assert finding("surge", RUN, changes).status.word == status
