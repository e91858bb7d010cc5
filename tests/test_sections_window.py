"""The window section and the controller's formulas against published values, laws and missing data."""

from __future__ import annotations

from itertools import pairwise

import pytest
from a_sun_site import SECOND_ARRAY, array, controller, results
from hypothesis import given
from hypothesis import strategies as st

from engine.edit import empty
from engine.physics.controller import (
    conversion,
    current_limit,
    nominal_step,
    output_current,
    standoff_limit,
    start_voltage,
)
from engine.sections.results import ControllerResult
from engine.tables import table
from engine.worksheet import CannotCalculate

POINTS = "40 V: 80 A; 100 V: 50 A"


def paths(result: ControllerResult) -> set[str]:
    return {item.path for item in result.missing}


# Starting and surviving


def test_that_a_controller_starts_over_the_fullest_battery() -> None:
    assert controller().start == 30 + 5
    assert controller({"controllers.c.start_voltage": "60 V"}).start == 60
    assert controller({"controllers.c.start_voltage": "20 V"}).start == 35


def test_that_a_fixed_start_voltage_alone_is_enough_and_never_under_the_battery() -> None:
    alone = {"controllers.c.start_above_battery": "", "controllers.c.start_voltage": "20 V"}
    assert controller(alone).start == 30


def test_that_a_following_standoff_limit_counts_at_the_lowest_battery_and_at_none() -> None:
    result = controller({"controllers.c.standoff_above_battery": "80 V"})
    assert result.standoff == 22 + 80
    assert result.standoff_battery_open == 80


def test_that_a_fixed_limit_under_the_following_one_counts() -> None:
    result = controller({"controllers.c.standoff_above_battery": "140 V"})
    assert result.standoff == 150
    assert result.standoff_battery_open == 140


def test_that_a_fixed_limit_alone_does_not_fall_with_the_battery_breaker() -> None:
    assert controller().standoff_battery_open is None


@pytest.mark.parametrize(
    ("changes", "wanted", "blank"),
    [
        ({"controllers.c.standoff_limit": ""}, "controllers.c.standoff_limit", "standoff"),
        ({"controllers.c.operating_limit": ""}, "controllers.c.operating_limit", "operating"),
        ({"controllers.c.start_above_battery": ""}, "controllers.c.start_above_battery", "start"),
        ({"controllers.c.current_limit": ""}, "controllers.c.current_limit", "output_current"),
        ({"bank.highest_voltage": ""}, "bank.highest_voltage", "start"),
        ({"bank.voltage": ""}, "bank.voltage", "array_output"),
        ({"modules.m.vmp": ""}, "modules.m.vmp", "array_output"),
        ({"modules.m.isc": ""}, "modules.m.isc", "array_short_circuit"),
        ({"arrays.south.strings": ""}, "arrays.south.strings", "array_short_circuit"),
        (
            {"controllers.c.standoff_above_battery": "80 V", "bank.lowest_voltage": ""},
            "bank.lowest_voltage",
            "standoff",
        ),
    ],
)
def test_that_a_missing_datum_is_named(changes: dict[str, str], wanted: str, blank: str) -> None:
    result = controller(changes)
    assert wanted in paths(result)
    assert getattr(result, blank) is None


def test_that_a_missing_short_circuit_limit_is_asked_for() -> None:
    assert "controllers.c.short_circuit_limit" in paths(controller({"controllers.c.short_circuit_limit": ""}))


@given(lowest=st.floats(10, 28), above=st.floats(20, 200))
def test_that_a_lower_battery_never_raises_the_standoff_limit(lowest: float, above: float) -> None:
    at = standoff_limit(battery=lowest, above_battery=above, fixed=150.0).standoff
    assert standoff_limit(battery=lowest - 5, above_battery=above, fixed=150.0).standoff <= at
    assert at <= 150


@given(battery=st.floats(10, 60), more=st.floats(0, 20))
def test_that_a_higher_battery_never_lowers_the_start(battery: float, more: float) -> None:
    plain = start_voltage(battery=battery, above_battery=5.0, fixed=40.0).start
    assert start_voltage(battery=battery + more, above_battery=5.0, fixed=40.0).start >= plain >= 40


def test_that_a_standoff_without_any_limit_is_refused() -> None:
    with pytest.raises(CannotCalculate):
        standoff_limit(battery=22.0)


# Output limit by spread


def test_that_the_output_limit_slides_on_the_straight_line_between_points() -> None:
    assert current_limit(70.0, (40.0, 100.0), (80.0, 50.0)).current == pytest.approx(65)
    # 83 V running on 24 V is a spread of 59 V: 80 A less 30 A · 19/60.
    assert controller({"controllers.c.current_points": POINTS}).output_current == pytest.approx(80 - 9.5)


def test_that_below_the_first_point_the_limit_is_held_and_above_the_last_it_is_unknown() -> None:
    assert current_limit(10.0, (40.0, 100.0), (80.0, 50.0)).current == 80
    with pytest.raises(CannotCalculate):
        current_limit(100.1, (40.0, 100.0), (80.0, 50.0))
    beyond = controller({"controllers.c.current_points": "10 V: 80 A; 50 V: 60 A"})
    assert beyond.output_current is None and "controllers.c.current_points" in paths(beyond)


def test_that_a_limit_that_rises_with_the_spread_is_not_held_below_its_first_point() -> None:
    with pytest.raises(CannotCalculate):
        current_limit(10.0, (40.0, 100.0), (50.0, 80.0))


def test_that_the_lesser_of_a_table_and_a_single_limit_counts() -> None:
    result = controller({"controllers.c.current_points": POINTS, "controllers.c.current_limit": "60 A"})
    assert result.output_current is not None and result.output_current <= 60
    assert max(limit for _, limit in result.limits) == 60 == result.largest_output


def test_that_the_largest_output_is_the_tables_best_point() -> None:
    changes = {"controllers.c.current_points": POINTS, "controllers.c.current_limit": ""}
    assert controller(changes).largest_output == 80


@given(spread=st.floats(0, 99), wider=st.floats(0, 1))
def test_that_a_wider_spread_never_raises_a_falling_limit(spread: float, wider: float) -> None:
    spreads, limits = (40.0, 70.0, 100.0), (80.0, 66.0, 50.0)
    assert (
        current_limit(spread + wider, spreads, limits).current
        <= current_limit(spread, spreads, limits).current + 1e-12
    )


# Conversion


def test_that_the_usual_efficiency_falls_within_the_measured_range() -> None:
    # HTW Berlin's energy storage inspection, reported by a trade magazine (read): 98.2 % best, 92.0 % worst
    # mean conversion efficiency while charging.
    rows = table("conversion_efficiency")
    shares = rows.numbers("efficiency")
    assert (max(shares), min(shares)) == (0.982, 0.92)
    assert all(left >= right for left, right in pairwise(shares))
    assert conversion(24.0, 24.0).efficiency == 0.982
    assert conversion(48.0, 24.0).efficiency == 0.975
    assert conversion(600.0, 12.0).efficiency == 0.92


@given(ratio=st.floats(1, 20), more=st.floats(0, 5))
def test_that_more_volts_on_the_same_battery_never_convert_better(ratio: float, more: float) -> None:
    assert conversion(24 * (ratio + more), 24.0).efficiency <= conversion(24 * ratio, 24.0).efficiency + 1e-12


def test_that_the_makers_points_count_between_their_ends_and_never_flatter_beyond() -> None:
    ratios, shares = (2.0, 4.0), (0.97, 0.95)
    assert conversion(72.0, 24.0, ratios, shares).efficiency == pytest.approx(0.96)
    assert conversion(24.0, 24.0, ratios, shares).efficiency == 0.97
    assert conversion(240.0, 24.0, ratios, shares).efficiency == 0.92


def test_that_a_source_below_the_battery_converts_nothing() -> None:
    with pytest.raises(CannotCalculate):
        conversion(20.0, 24.0)
    low = controller({"bank.voltage": "96 V", "bank.highest_voltage": "120 V", "bank.lowest_voltage": "88 V"})
    assert low.array_output == 0 and low.conversion_efficiency is None


def test_that_a_table_taken_for_the_makers_is_said() -> None:
    told = {item.path for item in controller().assumed}
    assert "controllers.c.efficiency_points" in told
    entered = controller({"controllers.c.efficiency_points": "2: 97 %; 4: 95 %"})
    assert "controllers.c.efficiency_points" not in {item.path for item in entered.assumed}


def test_that_power_is_kept_from_source_to_battery() -> None:
    assert output_current(2400.0, 0.95, 24.0).current * 24 == pytest.approx(0.95 * 2400)
    result, first = controller(), array()
    assert result.array_output is not None and first.power is not None
    assert result.array_output * 24 == pytest.approx(first.power * (result.conversion_efficiency or 0))


# Several arrays, other kinds, the nominal step


def test_that_short_circuit_currents_add_as_the_rules_count_them() -> None:
    # 690.8(A) of the NEC (from memory): 1.25 Isc for each string, two and one of 11.2 A.
    assert controller().array_short_circuit == pytest.approx(2 * 14)
    assert controller(more=SECOND_ARRAY).array_short_circuit == pytest.approx(3 * 14)


def test_that_arrays_drive_together() -> None:
    one, both = controller(), controller(more=SECOND_ARRAY)
    assert both.arrays == ("south", "west")
    assert both.array_output == pytest.approx(1.5 * (one.array_output or 0))


def test_that_without_tracking_the_short_circuit_current_passes() -> None:
    direct = controller({"controllers.c.kind": "direct"})
    assert direct.array_output == pytest.approx(2 * 11.2)
    assert direct.efficiency == ((1.0, 1.0),)
    assert direct.nominal_step is None and direct.conversion_efficiency is None


def test_that_48_v_nominal_on_24_v_is_one_step_up() -> None:
    # Common practice: 72 cells in series are a 24 V module; two of them on 24 V are 48 V nominal.
    assert controller().nominal_step == 2
    assert nominal_step(cells=36, battery=12.0).step == 1
    assert nominal_step(cells=72, modules=4, battery=51.2).step == 2


def test_that_cells_are_estimated_from_the_voltage_and_said_so() -> None:
    result = controller({"modules.m.cells": ""})
    assert result.nominal_step == pytest.approx(2, rel=0.15)
    assert "modules.m.cells" in {item.path for item in result.assumed}


def test_that_a_controller_without_arrays_is_still_known() -> None:
    alone = controller({"arrays.south.controller": ""})
    assert alone.arrays == () and alone.array_output is None and alone.array_short_circuit is None
    assert alone.start == 35 and alone.output_current == 80


def test_that_every_number_can_be_traced() -> None:
    result = controller({"controllers.c.standoff_above_battery": "100 V"})
    wanted = {"start", "standoff", "standoff_battery_open", "conversion", "array_output"}
    assert wanted | {"array_short_circuit", "nominal_step"} <= set(result.steps)


def test_that_an_empty_design_has_no_results() -> None:
    assert results(empty()) == ({}, {})
