"""The rules of the bank in three shots: inside the limit, exactly at it, just over; and their laws."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache

import pytest
from a_wired_site import found
from hypothesis import given, settings
from hypothesis import strategies as st

from app.places import demo_sites
from app.terminal.bank_text import as_json
from engine.codec import load
from engine.design import Design
from engine.edit import set_fields
from engine.evaluation import Evaluation, evaluate
from engine.finding import Signal, Status
from engine.physics.bank import battery_floor, battery_freezing
from engine.physics.battery import battery_capacity

CABIN, FARM, CLINIC = "lake_cabin", "mountain_farm", "tropical_clinic"
FAILS, MARGINAL, MEETS, UNKNOWN = Status.FAILS, Status.MARGINAL, Status.MEETS, Status.UNKNOWN


@cache
def demo(name: str) -> Design:
    return load(demo_sites() / f"{name}.toml")


def judged(name: str, changes: dict[str, str]) -> Evaluation:
    return evaluate(set_fields(demo(name), changes))


Value = Callable[[Evaluation], float | None]

LIMITS: tuple[tuple[str, str, str, str, Value, Status, bool, dict[str, str]], ...] = (
    # rule, demo, field of the limit, its unit, the value, what lies beyond, whether it is upper, setup
    ("charge-current-high", CABIN, "charge_current", "A", lambda e: e.bank.currents.all, FAILS, True, {}),
    ("discharge-current", CLINIC, "discharge_current", "A", lambda e: e.bank.currents.drawn, FAILS, True, {}),
    (
        "cut-off-current",
        FARM,
        "cut_off_current",
        "A",
        lambda e: e.bank.currents.cut,
        FAILS,
        True,
        {"loads.fence.surge_factor": "1"},
    ),
    ("floor-load", CLINIC, "floor_limit", "Pa", lambda e: e.bank.body.floor.pressure, FAILS, True, {}),  # type: ignore[union-attr]
    ("bank-capacity", FARM, "autonomy", "h", lambda e: e.bank.capacity.carried, MARGINAL, True, {}),
    ("bank-capacity", FARM, "autonomy", "h", lambda e: e.bank.capacity.carried_new, FAILS, True, {}),
    (
        "battery-ventilation",
        CABIN,
        "vent_airflow",
        "m^3/h",
        lambda e: e.bank.housing.airflow,
        FAILS,
        False,
        {},
    ),
    ("battery-ventilation", FARM, "vent_opening", "cm^2", lambda e: e.bank.housing.opening, FAILS, False, {}),
    ("battery-sparks", CABIN, "spark_distance", "m", lambda e: e.bank.housing.distance, FAILS, False, {}),
    ("bank-depth", FARM, "depth", "1", lambda e: e.bank.chemistry.deepest, MARGINAL, False, {}),  # type: ignore[union-attr]
)


@pytest.mark.parametrize("limit", LIMITS, ids=lambda limit: f"{limit[0]} {limit[5].word}")
def test_that_a_rule_meets_inside_and_at_its_limit_and_turns_just_over_it(
    limit: tuple[str, str, str, str, Value, Status, bool, dict[str, str]],
) -> None:
    rule, name, path, unit, value_of, beyond, upper, setup = limit
    value = value_of(judged(name, setup))
    assert value is not None
    unit = "" if unit == "1" else unit
    own_value = rule == "bank-depth"  # the field is the value here, not the limit: it may rise to the limit
    at = MARGINAL if rule == "bank-capacity" and beyond is FAILS else MEETS
    for share, wanted in ((1.01, at), (1.0, at), (0.999, beyond)):
        entered = value * (1 / share if own_value or not upper else share)
        if not upper and not own_value:
            entered = value * (2 - 1 / share if share < 1 else share)
        got = found(
            judged(name, {**setup, f"bank.{path}": f"{_asked(rule, entered, value)!r} {unit}"}), rule, "bank"
        )
        assert got.status is wanted, (share, got.title)
        assert bool(got.remedy) == (wanted is not MEETS)


def _asked(rule: str, entered: float, value: float) -> float:
    """An autonomy is what must stay below what is carried: the other way round than a limit."""
    return value * value / entered if rule == "bank-capacity" else entered


@pytest.mark.parametrize(
    ("lowest", "cold_charge", "status"),
    [
        ("1 degC", "not blocked", MEETS),
        ("0 degC", "not blocked", MEETS),
        ("-0.1 degC", "not blocked", FAILS),
        ("-0.1 degC", "blocked", MEETS),
        ("-15 degC", "heated", MEETS),
        ("-0.1 degC", "", UNKNOWN),
        ("", "blocked", UNKNOWN),
    ],
)
def test_that_lithium_is_never_charged_below_freezing(lowest: str, cold_charge: str, status: Status) -> None:
    got = found(
        judged(CLINIC, {"bank.lowest_temperature": lowest, "bank.cold_charge": cold_charge}),
        "lithium-cold",
        "bank",
    )
    assert got.status is status
    assert (got.signal is Signal.DANGER) == (status in (FAILS, UNKNOWN))


@pytest.mark.parametrize(
    ("lowest", "status"), [("-26 degC", MEETS), ("-27.2 degC", MEETS), ("-27.3 degC", FAILS)]
)
def test_that_a_half_discharged_lead_battery_freezes_where_the_table_says(
    lowest: str, status: Status
) -> None:
    # At half of its charge the acid weighs 1.200 and freezes at -27.2 degC (tables electrolyte_freezing and
    # leadacid_soc_rest_voltage).
    got = found(judged(CABIN, {"bank.lowest_temperature": lowest}), "battery-freezing", "bank")
    assert (got.status, got.limit) == (status, -27.2)


@pytest.mark.parametrize("name", [CABIN, FARM])
def test_that_lead_acid_in_an_unvented_room_fails_with_danger(name: str) -> None:
    got = found(judged(name, {"bank.ventilation": "none"}), "battery-ventilation", "bank")
    assert (got.status, got.signal) == (FAILS, Signal.DANGER)
    assert got.limit is not None and got.steps
    unsaid = found(judged(name, {"bank.ventilation": ""}), "battery-ventilation", "bank")
    assert unsaid.status is UNKNOWN


def test_that_gas_above_the_table_counts_all_of_the_charging_current() -> None:
    # IEC 62485-2: 0.05 m^3 an ampere-hour and cell; 12 cells and 220 A of chargers while equalizing.
    assert judged(CABIN, {}).bank.housing.airflow == pytest.approx(0.05 * 12 * 220)
    # Valve-regulated cells that stay at 2.40 V and below: 8 mA/Ah of table 1, 48 cells of 500 Ah.
    assert judged(FARM, {}).bank.housing.airflow == pytest.approx(0.05 * 48 * 0.008 * 500)
    assert judged(CLINIC, {}).bank.housing.airflow is None


@pytest.mark.parametrize(("strings", "status"), [("2", MEETS), ("3", MEETS), ("4", MARGINAL)])
def test_that_more_than_three_lead_strings_share_unevenly(strings: str, status: Status) -> None:
    got = found(judged(FARM, {"bank.strings": strings}), "parallel-strings", "bank")
    assert (got.status, got.limit) == (status, 3)


@pytest.mark.parametrize(("series", "status"), [("24", MEETS), ("23", FAILS), ("25", FAILS)])
def test_that_the_blocks_make_up_the_nominal_voltage(series: str, status: Status) -> None:
    assert found(judged(FARM, {"bank.series": series}), "bank-series", "bank").status is status


@pytest.mark.parametrize(
    ("name", "field", "text", "status"),
    [
        (CLINIC, "highest_voltage", "58.4 V", MEETS),
        (CLINIC, "highest_voltage", "58.5 V", FAILS),
        (FARM, "highest_voltage", "60 V", MEETS),
        (FARM, "highest_voltage", "60.1 V", MARGINAL),
        (FARM, "lowest_voltage", "42 V", MEETS),
        (FARM, "lowest_voltage", "41.9 V", MARGINAL),
        (CLINIC, "cells", "", UNKNOWN),
    ],
)
def test_that_cells_stay_within_their_voltages(name: str, field: str, text: str, status: Status) -> None:
    assert found(judged(name, {f"bank.{field}": text}), "cell-window", "bank").status is status


def test_that_too_gentle_charging_is_told_at_a_twentieth_of_the_capacity() -> None:
    brought = judged(FARM, {}).bank.currents.sources
    assert brought is not None
    for share, wanted in ((0.99, MEETS), (1.0, MEETS), (1.001, MARGINAL)):
        block = share * 20 * brought / 2
        got = found(judged(FARM, {"bank.block_capacity": f"{block!r} Ah"}), "charge-current-low", "bank")
        assert got.status is wanted


@pytest.mark.parametrize(
    "field", ["charge_current", "takeoff", "overcharge_stop", "cut_off", "spark_distance"]
)
def test_that_what_nobody_entered_is_unknown_and_asked_for(field: str) -> None:
    asked = [each for each in judged(FARM, {f"bank.{field}": ""}).findings if each.field == f"bank.{field}"]
    assert [each.status for each in asked if each.status is UNKNOWN]


def test_that_without_a_chemistry_one_finding_asks_for_it() -> None:
    evaluation = judged(FARM, {"bank.chemistry": ""})
    assert found(evaluation, "bank-chemistry", "bank").status is UNKNOWN
    assert not [each for each in evaluation.findings if each.rule == "battery-ventilation"]


@pytest.mark.parametrize(
    ("changes", "status"),
    [({}, MEETS), ({"wind.mast.limiter_on": ""}, MARGINAL)],
)
def test_that_a_bank_that_opens_leaves_no_turbine_without_a_hold(
    changes: dict[str, str], status: Status
) -> None:
    got = found(judged(CABIN, {"bank.own_protection": "yes", **changes}), "cutout-turbine", "wind.mast")
    assert got.status is status


# Laws

DEPTHS = st.floats(0.1, 1.0)


@settings(max_examples=60, deadline=None)
@given(st.floats(-6, 40), st.floats(-6, 40), st.floats(1, 200), st.floats(1, 200))
def test_that_colder_and_longer_never_ask_for_a_smaller_bank(
    one: float, other: float, short: float, long: float
) -> None:
    cold, warm, less, more = min(one, other), max(one, other), min(short, long), max(short, long)

    def needed(lowest: float, autonomy: float) -> float:
        changes = {"bank.lowest_temperature": f"{lowest!r} degC", "bank.autonomy": f"{autonomy!r} h"}
        got = judged(FARM, {"bank.highest_temperature": "50 degC", **changes}).bank.capacity.needed
        assert got is not None
        return got

    assert needed(cold, less) >= needed(warm, less) * (1 - 1e-12)
    assert needed(cold, more) >= needed(cold, less) * (1 - 1e-12)


@given(DEPTHS, DEPTHS)
def test_that_a_deeper_discharge_never_freezes_at_a_lower_temperature(one: float, other: float) -> None:
    assert (
        battery_freezing(depth=max(one, other)).freezing >= battery_freezing(depth=min(one, other)).freezing
    )


def test_that_the_chain_is_the_capacity_formula_link_by_link() -> None:
    size, bank = judged(FARM, {}).bank.capacity, demo(FARM).bank
    factors = {stage.name: stage.energy for stage in size.chain}
    assert bank.voltage is not None and bank.depth is not None
    by_hand = battery_capacity(
        daily_energy=factors["days of use"],
        autonomy=24,
        depth=0.5,
        voltage=48,
        temperature_multiplier=factors["cold"] / factors["depth"],
        rate_share=size.rate_share or 0.0,
        end_of_life=0.8,
    )
    assert size.needed == pytest.approx(by_hand.energy) == pytest.approx(size.chain[-1].energy)
    assert (
        battery_capacity(daily_energy=1000, autonomy=24, depth=1, voltage=10, end_of_life=0.8).energy == 1250
    )


def test_that_a_rack_of_two_tiers_presses_twice_as_hard() -> None:
    given_block = {"blocks": 8, "block_mass": 45.0, "block_length": 480.0, "block_width": 420.0}
    assert battery_floor(**given_block, tiers=2).pressure == pytest.approx(  # type: ignore[arg-type]
        2 * battery_floor(**given_block).pressure  # type: ignore[arg-type]
    )


def test_that_the_bank_stands_in_the_verdicts_json() -> None:
    told = json.loads(json.dumps(as_json(judged(CABIN, {}))))
    assert told["needed"]["unit"] == told["installed"]["unit"] == "Wh"
    assert told["installed"]["value"] == 24 * 1100
    assert told["charge_all"] == {"value": 220.0, "unit": "A"}
    assert [link["name"] for link in told["chain"]][:3] == ["a day", "days of use", "autonomy"]
