"""What reaches the bank past its chargers: a milder answer than the rule's would come from leaving it out."""

from __future__ import annotations

from functools import cache

import pytest
from a_wired_site import found

from app.places import demo_sites
from engine import load
from engine.design import Design
from engine.edit import remove, set_fields
from engine.evaluation import Evaluation, evaluate
from engine.finding import Status
from engine.sections.settings import settings

CABIN, FARM = "lake_cabin", "mountain_farm"
FAILS, MARGINAL, MEETS, UNKNOWN = Status.FAILS, Status.MARGINAL, Status.MEETS, Status.UNKNOWN


@cache
def demo(name: str) -> Design:
    return load(demo_sites() / f"{name}.toml")


def judged(name: str, changes: dict[str, str]) -> Evaluation:
    return evaluate(set_fields(demo(name), changes))


def test_that_what_the_battery_gives_back_is_what_was_entered() -> None:
    """The entered share stands as a link of every chain, and of the generator's hours."""
    usual, poor = judged(CABIN, {}), judged(CABIN, {"bank.energy_efficiency": "50 %"})
    assert all(
        month.factors[-1] == pytest.approx(0.5) for source in poor.balance.sources for month in source.months
    )
    share = 0.5 / usual.balance.sources[0].months[0].factors[-1]
    before, after = usual.balance.months[0], poor.balance.months[0]
    assert after.brought == pytest.approx(share * before.brought)


@pytest.mark.parametrize(
    "changes",
    [
        {"bank.equalize": ""},
        {"bank.equalize": "2.39 V", "controllers.sun-charger.equalize": "31.2 V"},
        {"bank.equalize": "2.39 V", "controllers.wind-charger.absorption": "30 V"},
    ],
)
def test_that_gas_counts_every_set_point_that_goes_beyond_the_table(changes: dict[str, str]) -> None:
    """IEC 62485-2's gas currents end at 2.40 V a cell: a stage left to its usual value, or one that a charger
    is given by itself, drives the cells past it as well."""
    got = judged(CABIN, {"bank.absorption": "2.38 V", **changes}).bank
    design, house = demo(CABIN), got.housing
    assert got.currents.all is not None
    assert house.cell_voltage is not None and house.cell_voltage > 2.40
    assert house.airflow == pytest.approx(0.05 * (design.bank.cells or 0) * got.currents.all)


@pytest.mark.parametrize("controller", ["", "surplus"])
def test_that_a_turbine_straight_on_the_battery_counts_among_what_charges_it(controller: str) -> None:
    """No controller between, or one that diverts: the turbine's current goes in as it comes."""
    design = set_fields(demo(CABIN), {"wind.mast.controller": controller})
    got, turbine, bank = evaluate(design), design.wind[0], design.bank
    assert turbine.rated_power is not None and bank.lowest_voltage is not None
    straight = max(turbine.rated_power / bank.lowest_voltage, float(turbine.rated_current or 0.0))
    before = judged(CABIN, {}).bank.currents.all
    assert before is not None
    assert got.bank.currents.all == pytest.approx(before + straight)
    assert found(got, "charge-current-high", "bank").status is FAILS
    given = [
        row.value
        for row in settings(design)
        if row.name == "Current limit" and row.piece != "controllers.surplus"
    ]
    limits = sum(float(value) for value in given if isinstance(value, float))
    assert limits + straight <= float(bank.charge_current or 0.0)


def test_that_a_turbine_straight_on_the_battery_without_its_power_leaves_the_current_unknown() -> None:
    got = judged(CABIN, {"wind.mast.controller": "surplus", "wind.mast.rated_power": ""})
    assert found(got, "charge-current-high", "bank").status is UNKNOWN


@pytest.mark.parametrize(("volts", "status"), [("31.9 V", MEETS), ("32 V", MEETS), ("32.1 V", FAILS)])
def test_that_a_diversion_load_comes_on_within_the_voltage_of_the_design(volts: str, status: Status) -> None:
    got = judged(CABIN, {"bank.highest_voltage": "32 V", "diversions.heater.diverts_at": volts})
    assert found(got, "diversion-threshold", "diversions.heater").status is status


def test_that_a_load_that_waits_for_a_voltage_never_reached_is_not_counted_at_it() -> None:
    """Its power goes with the square of the voltage: 45 V would double it."""
    changes = {"bank.highest_voltage": "32 V", "relays.divert.diversion": "", "relays.divert.load": "radio"}
    far, near = (
        found(
            judged(CABIN, {**changes, "diversions.heater.diverts_at": volts}),
            "diversion-power",
            "diversions.heater",
        )
        for volts in ("45 V", "32 V")
    )
    assert far.value == pytest.approx(near.value)


def test_that_the_set_points_of_a_diversion_controller_count_in_the_highest_voltage() -> None:
    got = judged(CABIN, {"controllers.surplus.absorption": "33 V"})
    assert found(got, "setpoint-highest", "bank").status is FAILS


def test_that_what_stands_on_the_bus_is_judged_where_only_a_turbine_charges_it() -> None:
    """A turbine straight on the battery with its diversion load is a charger too."""
    changes = {"wind.mast.controller": "surplus", "inverters.house.highest_voltage": "30 V"}
    design = set_fields(demo(CABIN), changes)
    for gone in ("generators.shed", *(f"arrays.{array.id}" for array in design.arrays)):
        design = remove(design, gone)
    got = evaluate(design)
    assert found(got, "inverter-cut-out-high", "inverters.house").status is FAILS


@pytest.mark.parametrize(
    ("watches", "on", "off", "status"),
    [
        ("battery voltage", "22.1 V", "27 V", MEETS),
        ("battery voltage", "22 V", "27 V", MEETS),
        ("battery voltage", "21.9 V", "27 V", FAILS),
        ("state of charge", "51 %", "90 %", MEETS),
        ("state of charge", "50 %", "90 %", MEETS),
        ("state of charge", "49 %", "90 %", FAILS),
    ],
)
def test_that_a_generator_comes_before_the_bank_is_down(
    watches: str, on: str, off: str, status: Status
) -> None:
    changes = {
        "bank.lowest_voltage": "22 V",
        "bank.depth": "50 %",
        "relays.start-shed.watches": watches,
        "relays.start-shed.on_at": on,
        "relays.start-shed.off_at": off,
    }
    assert found(judged(CABIN, changes), "relay-thresholds", "relays.start-shed").status is status


@pytest.mark.parametrize(
    ("fed_from", "thermostat", "status"),
    [("battery", "no", MARGINAL), ("inverter output", "no", FAILS), ("battery", "yes", FAILS)],
)
def test_that_a_bank_that_opens_leaves_a_turbine_to_a_load_that_counts(
    fed_from: str, thermostat: str, status: Status
) -> None:
    """A diversion load that goes with the inverter, or with its own thermostat, holds nothing."""
    changes = {
        "bank.own_protection": "yes",
        "wind.mast.limiter_on": "",
        "diversions.heater.fed_from": fed_from,
        "diversions.heater.own_thermostat": thermostat,
    }
    assert found(judged(CABIN, changes), "cutout-turbine", "wind.mast").status is status


PUMP = "loads.well-pump."


@pytest.mark.parametrize(
    "changes",
    [
        {PUMP + "days_a_week": "1"},
        {PUMP + "months": "[0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1]"},
    ],
)
def test_that_a_seldom_load_weighs_whole_in_the_hour_in_which_it_runs(changes: dict[str, str]) -> None:
    """The bank gives a weekly load its whole current that day, not a seventh of it each day."""
    daily = {PUMP + "hours": "1 h", PUMP + "power": "2 kW", PUMP + "starts": "3 h"}
    before, after = (judged(CABIN, each).bank.capacity for each in (daily, {**daily, **changes}))
    assert before.heaviest is not None
    assert after.heaviest == pytest.approx(before.heaviest)


def test_that_a_load_without_an_hour_counts_in_the_heaviest_one() -> None:
    """It may fall there: leaving out the hour never makes a bank look larger."""
    known = {PUMP + "hours": "2 h", PUMP + "power": "1.5 kW", PUMP + "starts": "3 h"}
    before, after = (judged(CABIN, each).bank.capacity for each in (known, {**known, PUMP + "starts": ""}))
    assert before.heaviest is not None and after.heaviest is not None
    assert before.rate_share is not None and after.rate_share is not None
    assert after.heaviest > before.heaviest
    assert after.rate_share < before.rate_share


def test_that_loads_that_take_turns_weigh_no_more_than_the_largest_of_them() -> None:
    """Two loads of 1 kW in the same hour, one at a time, draw 1 kW."""
    changes = {PUMP + "hours": "1 h", PUMP + "power": "1 kW", PUMP + "starts": "10 h"}
    changes |= {"loads.washer.power": "1 kW"}
    both = judged(CABIN, changes).bank.capacity
    turns = judged(CABIN, {**changes, PUMP + "together": "no", "loads.washer.together": "no"}).bank.capacity
    assert both.heaviest is not None and turns.heaviest is not None
    inverter, bank = demo(CABIN).inverters[0], demo(CABIN).bank
    if not inverter.efficiency_points:
        less = (
            1000
            / float(inverter.efficiency or 1)
            * (1 + float(bank.growth or 0.0))
            / float(bank.voltage or 1)
        )
        assert both.heaviest - turns.heaviest == pytest.approx(less)
    assert turns.heaviest < both.heaviest


def test_that_a_bank_of_unknown_blocks_is_not_told_to_be_large_enough() -> None:
    """Without the voltage of a block nobody knows whether the series makes up the bank's."""
    got = judged(CABIN, {"bank.block_voltage": ""})
    assert found(got, "bank-capacity", "bank").status is UNKNOWN


@pytest.mark.parametrize(
    ("name", "cells", "status"),
    [
        (CABIN, "11", FAILS),
        (CABIN, "12", MEETS),
        (CABIN, "13", FAILS),
        ("tropical_clinic", "14", FAILS),
        ("tropical_clinic", "15", MEETS),
        ("tropical_clinic", "16", MEETS),
        ("tropical_clinic", "17", FAILS),
    ],
)
def test_that_as_many_cells_are_in_series_as_make_the_nominal_voltage(
    name: str, cells: str, status: Status
) -> None:
    """Of lead 2 V each; fifteen and sixteen lithium cells of 3.2 V are both called 48 V."""
    changes = {"bank.cells": cells} | ({"bank.voltage": "48 V"} if name == "tropical_clinic" else {})
    assert found(judged(name, changes), "bank-cells", "bank").status is status


@pytest.mark.parametrize(
    ("chemistry", "hottest", "status"),
    [
        ("agm", "34 degC", MARGINAL),
        ("agm", "35 degC", FAILS),
        ("gel", "40 degC", FAILS),
        ("flooded", "40 degC", MARGINAL),
    ],
)
def test_that_one_charger_without_a_sensor_is_enough_to_run_a_hot_sealed_bank_away(
    chemistry: str, hottest: str, status: Status
) -> None:
    """The other chargers' sensors do not hold back the one that has none."""
    changes = {
        "bank.chemistry": chemistry,
        "bank.highest_temperature": hottest,
        "controllers.sun-charger.sensor": "none",
        "controllers.sun-charger.network": "no",
    }
    got = found(judged(CABIN, changes), "temperature-sensor", "controllers.sun-charger")
    assert got.status is status


def test_that_a_diversion_load_on_a_relay_alone_draws_on_the_bank_too() -> None:
    """No controller bounds it: it draws what its rating makes of the highest voltage."""
    driven = judged(CABIN, {}).bank.currents.drawn
    alone = set_fields(demo(CABIN), {"diversions.heater.controller": "", "diversions.heater.resistance": ""})
    got, heater, bank = evaluate(alone).bank.currents.drawn, alone.diversions[0], alone.bank
    assert driven is not None and got is not None and heater.rated_power is not None
    draws = heater.rated_power / (heater.rated_voltage or 1) ** 2 * (bank.highest_voltage or 0)
    assert got == pytest.approx(driven + draws)
    bare = set_fields(alone, {"diversions.heater.rated_power": ""})
    assert evaluate(bare).bank.currents.drawn is None
