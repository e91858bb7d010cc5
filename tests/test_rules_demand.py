"""Demand judged: power, surge, part load, system voltage, growth and shared neutrals, in three shots each."""

from __future__ import annotations

import pytest
from a_wired_site import found

from engine.codec import loads
from engine.edit import set_fields
from engine.evaluation import Evaluation, evaluate
from engine.finding import Finding, Signal, Status

SITE = """
format = 1
rules = "nec-2023"
[bank]
voltage = "12 V"
lowest_voltage = "10.5 V"
growth = "10 %"
[loads.pump]
power = "500 W"
hours = "2 h"
surge_factor = 3
[loads.lights]
power = "100 W"
hours = "20 h"
[inverters.house]
power = "800 W"
surge = "2 kW"
efficiency = "90 %"
idle = "10 W"
ac_voltage = "120 V"
multiwire = false
"""
INVERTER = "inverters.house"


def judged(changes: dict[str, str], more: str = "") -> Evaluation:
    return evaluate(set_fields(loads(SITE + more), changes))


def finding(rule: str, where: str, changes: dict[str, str], more: str = "") -> Finding:
    return found(judged(changes, more), rule, where)


@pytest.mark.parametrize(("power", "status"), [("700 W", "meets"), ("600 W", "meets"), ("599 W", "fails")])
def test_that_an_inverter_feeds_all_that_runs_together(power: str, status: str) -> None:
    got = finding("inverter-power", INVERTER, {"inverters.house.power": power})
    assert (got.status.word, got.value, got.unit) == (status, 600, "W")
    assert (got.signal is Signal.NOTICE) == (status == "fails")


def test_that_loads_that_take_turns_need_a_smaller_inverter() -> None:
    turns = {"loads.pump.together": "no", "loads.lights.together": "no", "inverters.house.power": "500 W"}
    assert finding("inverter-power", INVERTER, turns).status is Status.MEETS


@pytest.mark.parametrize(("surge", "status"), [("2 kW", "meets"), ("1600 W", "meets"), ("1590 W", "fails")])
def test_that_an_inverter_starts_the_worst_load_beside_the_rest(surge: str, status: str) -> None:
    got = finding("inverter-surge", INVERTER, {"inverters.house.surge": surge})
    assert (got.status.word, got.value) == (status, 100 + 500 * 3)
    assert got.steps[0].sheet.id == "load-start"


@pytest.mark.parametrize(("rule", "field"), [("inverter-power", "power"), ("inverter-surge", "surge")])
def test_that_a_rating_that_nobody_entered_is_unknown(rule: str, field: str) -> None:
    got = finding(rule, INVERTER, {f"{INVERTER}.{field}": ""})
    assert (got.status, got.field) == (Status.UNKNOWN, f"{INVERTER}.{field}")
    got = finding(rule, INVERTER, {"loads.pump.power": ""})
    assert (got.status, got.field) == (Status.UNKNOWN, "loads.pump.power")


def test_that_two_inverters_are_never_simply_passed() -> None:
    other = "[inverters.shed]\npower = '800 W'\nsurge = '2 kW'\nefficiency = '90 %'\nidle = '9 W'\n"
    assert finding("inverter-power", INVERTER, {}, other).status is Status.MARGINAL
    big = {"loads.pump.power": "2 kW"}
    assert finding("inverter-power", INVERTER, big, other).status is Status.FAILS


@pytest.mark.parametrize(
    ("hours", "status"), [("24 h", "meets"), ("15.75 h", "meets"), ("15.7 h", "marginal")]
)
def test_that_idle_draw_may_not_eat_the_day(hours: str, status: str) -> None:
    """By hand: 100 W x 15.75 h = 1575 Wh of 1575 / 0.9 + 24 h x 20.8333 W = 2250 Wh is 70 %."""
    changes = {"loads.pump.hours": "0 h", "loads.lights.hours": hours, f"{INVERTER}.idle": "20.83333333333 W"}
    got = finding("inverter-part-load", INVERTER, changes)
    assert (got.status.word, got.limit) == (status, 0.70)
    assert got.steps[0].result.overall == got.value


def test_that_the_leanest_month_counts_and_an_unknown_idle_draw_is_asked_for() -> None:
    year = finding("inverter-part-load", INVERTER, {})
    lean = finding("inverter-part-load", INVERTER, {"loads.lights.months": "; ".join(["0.1", *["1"] * 11])})
    assert isinstance(lean.value, float) and isinstance(year.value, float) and lean.value < year.value
    got = finding("inverter-part-load", INVERTER, {f"{INVERTER}.idle": ""})
    assert (got.status, got.field) == (Status.UNKNOWN, f"{INVERTER}.idle")


@pytest.mark.parametrize(
    ("power", "status"), [("900 W", "meets"), ("945 W", "meets"), ("946 W", "marginal"), ("1 kW", "marginal")]
)
def test_that_a_large_inverter_on_12_v_is_told(power: str, status: str) -> None:
    """1000 / (0.9 x 10.5) = 106 A (read in the courseware that the rule names); 945 W makes 100 A."""
    got = finding("system-voltage", "bank", {f"{INVERTER}.power": power})
    assert (got.status.word, got.limit) == (status, 100)
    if power == "1 kW":
        assert got.value == pytest.approx(105.82, abs=0.005) and "24 V" in got.remedy


def test_that_twice_the_voltage_carries_twice_the_current_at_the_same_loss() -> None:
    changes = {"bank.voltage": "25.6 V", "bank.lowest_voltage": "21 V", f"{INVERTER}.power": "2 kW"}
    got = finding("system-voltage", "bank", changes)
    assert (got.status, got.limit) == (Status.MEETS, 200)
    assert finding("system-voltage", "bank", {f"{INVERTER}.efficiency": ""}).status is Status.UNKNOWN


@pytest.mark.parametrize(("growth", "status"), [("10 %", "meets"), ("0 %", "marginal"), ("", "marginal")])
def test_that_no_allowance_for_growth_is_told(growth: str, status: str) -> None:
    assert finding("load-growth", "bank", {"bank.growth": growth}).status.word == status


@pytest.mark.parametrize("rules", ["nec-2017", "nec-2020", "nec-2023", "iec"])
@pytest.mark.parametrize(("shared", "status"), [("no", "meets"), ("yes", "fails"), ("", "unknown")])
def test_that_one_phase_of_120_v_never_feeds_a_shared_neutral(rules: str, shared: str, status: str) -> None:
    got = finding("multiwire-neutral", INVERTER, {"rules": rules, f"{INVERTER}.multiwire": shared})
    assert got.status.word == status
    assert got.signal is (Signal.NONE if status == "meets" else Signal.DANGER)


@pytest.mark.parametrize("voltage", ["230 V", "240 V"])
def test_that_other_outputs_are_not_asked_about_neutrals(voltage: str) -> None:
    rules = {each.rule for each in judged({f"{INVERTER}.ac_voltage": voltage}).findings}
    assert "multiwire-neutral" not in rules
