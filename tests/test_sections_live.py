"""The live look: curves against the data sheet, and where a controller holds its arrays."""

from __future__ import annotations

import numpy as np
import pytest
from a_sun_site import SECOND_ARRAY, results, site
from hypothesis import given
from hypothesis import strategies as st

from engine.sections import badges, live
from engine.sections.results import ArrayLook, Conditions

STANDARD = Conditions(cell=25.0, irradiance=1000.0, battery=26.0)


def look(
    conditions: Conditions = STANDARD, changes: dict[str, str] | None = None, more: str = ""
) -> ArrayLook:
    design = site(changes, more)
    arrays, controllers = results(design)
    return live.look(design, arrays, controllers, conditions, "south")


def looks(
    conditions: Conditions = STANDARD, changes: dict[str, str] | None = None, more: str = ""
) -> dict[str, ArrayLook]:
    design = site(changes, more)
    arrays, controllers = results(design)
    return live.look_all(design, arrays, controllers, conditions)


WIDE = {"controllers.c.current_limit": "500 A"}


def test_that_at_standard_conditions_the_data_sheet_comes_out() -> None:
    # The law of the fit: the curve passes the module's own corner points, times modules and strings.
    seen = look(changes=WIDE)
    assert seen.open_voltage == pytest.approx(2 * 49.5, rel=1e-6)
    assert seen.best_voltage == pytest.approx(2 * 41.5, rel=1e-6)
    assert seen.best_current == pytest.approx(2 * 10.6, rel=1e-6)
    assert seen.amps[0] == pytest.approx(2 * 11.2, rel=1e-6)
    assert seen.state == "tracking" and seen.voltage == seen.best_voltage


def test_that_the_open_voltage_follows_the_data_sheets_coefficient_in_the_cold() -> None:
    seen = look(Conditions(cell=-20.0, irradiance=1000.0, battery=26.0))
    assert seen.open_voltage == pytest.approx(2 * 49.5 * (1 + 0.0027 * 45), rel=1e-6)


def test_that_a_clear_noon_gives_about_2600_w_from_a_3_kw_array() -> None:
    # Common practice: a clear noon (1000 W/m^2, cells at 52 degC) gives 85 to 90 % of an array's rated power.
    three_kw = {"arrays.south.strings": "3", "modules.m.vmp": "42 V", "modules.m.imp": "11.9 A"}
    three_kw |= {"modules.m.isc": "12.6 A", **WIDE}
    seen = look(Conditions(cell=52.0, irradiance=1000.0, battery=27.0), three_kw)
    rated = 3 * 2 * 42 * 11.9
    assert rated == pytest.approx(3000, rel=0.01)
    assert seen.output_current * 27.0 == pytest.approx(2600, rel=0.04)


def test_that_power_into_the_battery_is_power_from_the_array_less_conversion() -> None:
    seen = look(changes=WIDE | {"controllers.c.efficiency_points": "1: 95 %; 10: 95 %"})
    assert seen.output_current * 26.0 == pytest.approx(0.95 * seen.power)
    assert seen.power == pytest.approx(seen.voltage * seen.current)


def test_that_nothing_comes_in_the_dark_and_nothing_breaks() -> None:
    seen = look(Conditions(cell=5.0, irradiance=0.0, battery=26.0))
    assert seen.state == "dark"
    assert (seen.open_voltage, seen.best_power, seen.current, seen.output_current) == (0, 0, 0, 0)
    assert np.all(seen.watts == 0) and np.all(np.isfinite(seen.volts))


# Current limit


def test_that_a_current_limit_moves_the_point_up_the_curve() -> None:
    seen = look(changes={"controllers.c.current_limit": "40 A"})
    assert seen.state == "current limit"
    assert seen.best_voltage < seen.voltage < seen.open_voltage
    assert seen.output_current == pytest.approx(40, rel=1e-3)
    assert seen.current == pytest.approx(np.interp(seen.voltage, seen.volts, seen.amps), rel=1e-3)


def test_that_a_limit_that_slides_is_met_at_the_spread_where_the_array_stands() -> None:
    points = "20 V: 60 A; 120 V: 40 A"
    seen = look(changes={"controllers.c.current_points": points, "controllers.c.current_limit": ""})
    assert seen.state == "current limit"
    assert seen.output_current == pytest.approx(60 - 20 * (seen.voltage - 26 - 20) / 100, rel=1e-3)


def test_that_an_input_limit_holds_the_source_current() -> None:
    seen = look(changes=WIDE | {"controllers.c.input_current_limit": "15 A"})
    assert seen.state == "current limit" and seen.current == pytest.approx(15, rel=1e-3)


@given(limit=st.floats(1, 90), sun=st.floats(50, 1200), cell=st.floats(-30, 75), battery=st.floats(20, 32))
def test_that_no_look_passes_the_output_limit_or_the_suns_power(
    limit: float, sun: float, cell: float, battery: float
) -> None:
    conditions = Conditions(cell=cell, irradiance=sun, battery=battery)
    seen = look(conditions, {"controllers.c.current_limit": f"{limit:.6f} A"})
    assert seen.output_current <= limit * 1.001
    assert seen.output_current * battery <= seen.power * (1 + 1e-9) <= seen.best_power * (1 + 1e-6)


# Lock-out, start and other states


def test_that_a_string_over_the_operating_limit_is_locked_out() -> None:
    seen = look(Conditions(cell=-25.0, irradiance=800.0, battery=26.0), {"arrays.south.modules": "3"})
    assert seen.state == "lock-out"
    assert seen.voltage == seen.open_voltage > 145 and seen.current == seen.output_current == 0
    assert "145 V" in seen.why


def test_that_a_string_under_the_start_voltage_waits() -> None:
    seen = look(changes={"arrays.south.modules": "1", "controllers.c.start_voltage": "60 V"})
    assert seen.state == "below start" and seen.output_current == 0
    assert "60 V" in seen.why


def test_that_the_start_follows_the_battery_of_the_moment() -> None:
    single = {"arrays.south.modules": "1", "bank.lowest_voltage": "", "bank.highest_voltage": ""}
    low = look(Conditions(cell=25.0, irradiance=1000.0, battery=40.0), single)
    high = look(Conditions(cell=25.0, irradiance=1000.0, battery=46.0), single)
    assert (low.state, high.state) == ("tracking", "below start")


def test_that_a_best_point_below_the_battery_is_held_at_the_battery() -> None:
    single = {"arrays.south.modules": "1", "controllers.c.start_above_battery": "1 V", **WIDE}
    seen = look(Conditions(cell=25.0, irradiance=1000.0, battery=45.0), single)
    assert seen.state == "tracking" and seen.voltage == 45.0 and seen.power < seen.best_power


def test_that_without_tracking_the_array_stands_at_the_battery() -> None:
    direct = {"controllers.c.kind": "direct", "arrays.south.modules": "1"}
    seen = look(changes=direct)
    assert seen.state == "direct" and seen.voltage == 26.0
    assert seen.output_current == seen.current == pytest.approx(np.interp(26.0, seen.volts, seen.amps))
    held = look(changes=direct | {"controllers.c.current_limit": "10 A"})
    assert held.state == "current limit" and held.output_current == 10


def test_that_an_array_without_controller_shows_its_curve_and_gives_nothing() -> None:
    seen = look(changes={"arrays.south.controller": ""})
    assert seen.state == "no controller" and seen.best_power > 0 and seen.current == 0


@pytest.mark.parametrize("field", ["modules.m.beta_voc", "modules.m.isc", "arrays.south.modules"])
def test_that_a_missing_datum_leaves_no_curve_and_says_what_to_enter(field: str) -> None:
    seen = look(changes={field: ""})
    assert seen.state == "no curve" and seen.why.startswith("enter ")
    assert seen.volts.size == seen.amps.size == seen.watts.size == 0


def test_that_an_unphysical_data_sheet_draws_no_curve() -> None:
    seen = look(changes={"modules.m.vmp": "20 V"})
    assert seen.state == "no curve" and "diode" in seen.why


def test_that_a_wrong_count_of_cells_bends_no_corner_of_the_curve() -> None:
    one, many = look(changes=WIDE | {"modules.m.cells": "1"}), look(changes=WIDE)
    assert one.best_power == pytest.approx(many.best_power, rel=1e-6)


# Several arrays on one controller


def test_that_arrays_on_one_controller_share_its_limit_and_its_voltage() -> None:
    both = looks(changes={"controllers.c.current_limit": "60 A"}, more=SECOND_ARRAY)
    south, west = both["south"], both["west"]
    assert south.state == west.state == "current limit"
    assert south.voltage == west.voltage
    assert south.output_current + west.output_current == pytest.approx(60, rel=1e-3)
    assert south.output_current == pytest.approx(2 * west.output_current)


def test_that_one_look_equals_the_look_at_all() -> None:
    one, both = look(more=SECOND_ARRAY), looks(more=SECOND_ARRAY)["south"]
    assert (one.voltage, one.current, one.output_current) == (both.voltage, both.current, both.output_current)


def test_that_unequal_strings_in_parallel_stand_at_their_common_best() -> None:
    tall = {"controllers.c.operating_limit": "220 V", "controllers.c.standoff_limit": "250 V"}
    both = looks(changes=WIDE | tall | {"arrays.west.modules": "3"}, more=SECOND_ARRAY)
    south, west = both["south"], both["west"]
    assert south.voltage == west.voltage
    grid = np.linspace(0, west.open_voltage, 20_000)
    together = np.interp(grid, south.volts, south.amps, right=0) + np.interp(grid, west.volts, west.amps)
    assert south.power + west.power == pytest.approx(float(np.max(grid * together)), rel=1e-3)


@given(sun=st.floats(100, 1000), brighter=st.floats(1, 1.2))
def test_that_more_sun_never_gives_less(sun: float, brighter: float) -> None:
    plain = look(Conditions(cell=30.0, irradiance=sun, battery=26.0), WIDE)
    more = look(Conditions(cell=30.0, irradiance=sun * brighter, battery=26.0), WIDE)
    assert more.output_current >= plain.output_current * (1 - 1e-9)


# Badges


def test_that_the_pieces_wear_their_volts_and_amps() -> None:
    design = site(more=SECOND_ARRAY)
    arrays, controllers = results(design)
    seen = live.look_all(design, arrays, controllers, STANDARD)
    worn = badges.of_sun(seen, STANDARD, design)
    south, west = seen["south"], seen["west"]
    assert worn["arrays.south"] == worn["circuits.south-run"] == (south.voltage, south.current)
    assert worn["circuits.south-string"] == (south.voltage, south.current / 2)
    assert worn["controllers.c"] == (26.0, pytest.approx(south.output_current + west.output_current))
    assert worn["bank"] == (26.0, None)


def test_that_badges_do_not_guess_what_is_not_known() -> None:
    design = site({"modules.m.isc": ""})
    arrays, controllers = results(design)
    worn = badges.of_sun(live.look_all(design, arrays, controllers, STANDARD), STANDARD, design)
    assert worn["arrays.south"] == (None, None)
    assert worn["controllers.c"] == (26.0, None)
