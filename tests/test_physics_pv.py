"""PV voltages, currents and temperatures against published examples and against what must hold."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.cell_temperature import (
    MOUNTINGS,
    cell_rise,
    faiman_cell,
    hot_cell,
    power_at_temperature,
    ross_cell,
)
from engine.physics.pv import (
    cold_voltage,
    hot_voltage,
    table_voltage,
    vmp_coefficient,
)
from engine.physics.pv_current import circuit_current, string_fuse
from engine.physics.string_length import longest_string, shortest_string
from engine.tables import OutsideTable
from engine.tables.family import family
from engine.worksheet import CannotCalculate

NEC = ("nec-2017", "nec-2020", "nec-2023")
voltages = st.floats(1, 400)
betas = st.floats(-0.006, -0.0005)
cells = st.floats(-40, 85)
limits = st.floats(10, 1500)


# Published: "PV System Components, Voltage, and Current Calculations", open electrical-training curriculum on
# the 2023 code, worked example 1, and "NABCEP Review 4", jeopardylabs.com, row on maximum voltage.
def test_that_a_cold_string_by_coefficient_is_the_training_lessons() -> None:
    got = cold_voltage(49.5, -0.0027, -10.0, 11)
    assert got.module_voltage == pytest.approx(54.18, abs=0.01)
    assert got.voltage == pytest.approx(596, abs=1)
    assert cold_voltage(49.0, -0.0024, -7.2).module_voltage == pytest.approx(52.79, abs=0.01)


def test_that_the_table_gives_the_training_lessons_module() -> None:
    got = table_voltage(49.5, -10.0)
    assert got.factor == pytest.approx(1.14)
    assert got.module_voltage == pytest.approx(56.43, abs=0.01)


def test_that_the_longest_strings_are_the_published_ones() -> None:
    assert longest_string(49.5, -10.0, 600.0, -0.0027).modules == 11
    # "String sizing step by step", amozeshbargh.ir, worked example (its cold part).
    assert longest_string(49.5, -5.0, 1000.0, -0.0028).modules == 18


def test_that_the_table_costs_the_lessons_string_one_module() -> None:
    assert longest_string(49.5, -10.0, 600.0, method="table").modules == 10


def test_that_a_hot_module_is_the_published_worksheets() -> None:
    # "Calculating Module Voltages", Global Sustainable Energy Solutions, 2011, example 1.
    assert hot_voltage(35.4, -0.16 / 35.4, 55.0).module_voltage == pytest.approx(30.6, abs=0.005)


def test_that_the_shortest_string_is_the_guidelines() -> None:
    # "Grid-connected solar PV systems", Clean Energy Council, 2013, section 9 (from memory).
    got = shortest_string(35.4, -0.177 / 35.4, 70.0, 140.0, drop=0.03, margin=0.10)
    assert got.modules == 6
    assert got.module_voltage * 0.97 == pytest.approx(26.6, abs=0.05)


# Published: "pvlib-python reference test values", pvlib contributors, tests/test_temperature.py.
def test_that_cell_temperatures_are_a_librarys() -> None:
    from pvlib.temperature import faiman, ross

    assert ross_cell(30.0, 1000.0, 50.0).temperature == pytest.approx(67.5, abs=0.01)
    assert faiman_cell(20.0, 900.0, 5.0).temperature == pytest.approx(35.203, abs=0.001)
    assert ross_cell(30.0, 700.0, 46.0).temperature == pytest.approx(ross(700.0, 30.0, 46.0))
    assert faiman_cell(-5.0, 700.0, 3.0).temperature == pytest.approx(faiman(700.0, -5.0, 3.0))


def test_that_the_textbooks_hot_power_is_met() -> None:
    assert power_at_temperature(300.0, -2 / 300, 40.0).power == pytest.approx(270, abs=0.1)
    # G. M. Masters, "Renewable and Efficient Electric Power Systems", Wiley, 2004, example 8.5 (from memory).
    assert power_at_temperature(150.0, -0.005, 64.0).power == pytest.approx(121, abs=0.6)


@pytest.mark.parametrize(
    ("mounting", "set_"),
    [
        ("open rack", "open_rack_glass_polymer"),
        ("close roof", "close_mount_glass_glass"),
        ("insulated", "insulated_back_glass_polymer"),
    ],
)
def test_that_the_rise_by_mounting_is_the_laboratorys_rounded_up(mounting: str, set_: str) -> None:
    # D. L. King and others, "Photovoltaic array performance model", Sandia, 2004, at 1000 W/m2 and 1 m/s.
    from pvlib.temperature import TEMPERATURE_MODEL_PARAMETERS, sapm_cell

    published = sapm_cell(1000.0, 0.0, 1.0, **TEMPERATURE_MODEL_PARAMETERS["sapm"][set_])
    assert 0 <= cell_rise(mounting) - published < 1


def test_that_mountings_with_less_air_run_hotter() -> None:
    rises = [cell_rise(mounting) for mounting in MOUNTINGS]
    assert rises == sorted(rises)
    with pytest.raises(OutsideTable):
        cell_rise("kite")


def test_that_a_hot_module_of_its_own_counts_over_a_cool_mounting() -> None:
    assert hot_cell(35.0, "open rack").temperature == 65.0
    assert hot_cell(35.0, "open rack", noct=48.0).temperature == 70.0
    assert hot_cell(35.0, "close roof", noct=48.0).temperature == 35.0 + cell_rise("close roof")


def test_that_the_table_has_no_gap_and_takes_the_colder_row() -> None:
    published = {25: 1.0, 24.5: 1.02, 24: 1.02, 20: 1.02, 19.9: 1.04, 0: 1.10, -0.1: 1.12, -5: 1.12}
    published |= {-10.4: 1.16, -24: 1.20, -25.5: 1.21, -36: 1.25, -40: 1.25, 40: 1.0}
    for temperature, factor in published.items():
        assert table_voltage(50.0, float(temperature)).factor == factor, temperature


def test_that_the_table_ends_at_forty_below() -> None:
    with pytest.raises(OutsideTable, match="690_7"):
        table_voltage(50.0, -40.1)
    with pytest.raises(OutsideTable):
        longest_string(50.0, -45.0, 600.0, method="table")


@given(voc=voltages, beta=betas, temperature=cells, step=st.floats(0.1, 30), modules=st.integers(1, 40))
def test_that_a_colder_string_stands_higher(
    voc: float, beta: float, temperature: float, step: float, modules: int
) -> None:
    warm = cold_voltage(voc, beta, temperature, modules)
    cold = cold_voltage(voc, beta, temperature - step, modules)
    assert cold.voltage > warm.voltage
    assert cold_voltage(voc, beta, temperature, modules + 1).voltage > warm.voltage
    hot = hot_voltage(voc, beta, temperature, modules)
    assert hot_voltage(voc, beta, temperature + step, modules).voltage < hot.voltage
    assert hot_voltage(voc, beta, temperature, modules, drop=0.02).voltage < hot.voltage


@given(voc=voltages, temperature=st.floats(-39, 40), step=st.floats(0, 1))
def test_that_the_table_never_falls_with_cold(voc: float, temperature: float, step: float) -> None:
    assert table_voltage(voc, temperature - step).voltage >= table_voltage(voc, temperature).voltage


@given(voc=voltages, beta=betas, temperature=cells, limit=limits)
def test_that_the_longest_string_fits_and_one_more_does_not(
    voc: float, beta: float, temperature: float, limit: float
) -> None:
    got = longest_string(voc, temperature, limit, beta)
    assert got.voltage <= limit * (1 + 1e-9)
    assert (got.modules + 1) * got.module_voltage > limit
    assert got.headroom == pytest.approx(limit - got.voltage)


@given(
    vmp=voltages,
    beta=betas,
    temperature=cells,
    floor=limits,
    drop=st.floats(0, 0.2),
    margin=st.floats(0, 0.3),
)
def test_that_the_shortest_string_reaches_the_floor_and_one_less_does_not(
    vmp: float, beta: float, temperature: float, floor: float, drop: float, margin: float
) -> None:
    got = shortest_string(vmp, beta, temperature, floor, drop, margin)
    assert got.voltage >= floor * (1 + margin) * (1 - 1e-9)
    assert (got.modules - 1) * got.voltage / got.modules < floor * (1 + margin)
    assert shortest_string(vmp, beta, temperature + 5, floor, drop, margin).modules >= got.modules


def test_that_a_string_exactly_at_its_limit_fits() -> None:
    cold = cold_voltage(49.7, -0.0027, -13.0)
    for modules in range(1, 40):
        assert longest_string(49.7, -13.0, cold.voltage * modules, -0.0027).modules == modules
        assert (
            longest_string(49.7, -13.0, cold.voltage * modules * (1 - 1e-7), -0.0027).modules == modules - 1
        )
        assert shortest_string(49.7, -0.0027, -13.0, cold.voltage * modules).modules == modules


def test_that_a_module_above_the_limit_gives_no_string() -> None:
    got = longest_string(49.5, -10.0, 50.0, -0.0027)
    assert (got.modules, got.voltage, got.headroom) == (0, 0.0, 50.0)


@pytest.mark.parametrize("beta", [0.0027, 1e-9])
def test_that_a_lost_minus_sign_is_refused_and_not_taken_as_harmless(beta: float) -> None:
    with pytest.raises(CannotCalculate, match="beta_voc"):
        cold_voltage(49.5, beta, -10.0)
    with pytest.raises(CannotCalculate, match="beta_voc"):
        longest_string(49.5, -10.0, 600.0, beta)
    with pytest.raises(CannotCalculate, match="beta_vmp"):
        hot_voltage(41.5, beta, 70.0)
    with pytest.raises(CannotCalculate, match="beta_vmp"):
        shortest_string(41.5, beta, 70.0, 100.0)
    with pytest.raises(CannotCalculate, match="gamma"):
        power_at_temperature(300.0, beta, 70.0)


def test_that_heat_that_leaves_no_voltage_has_no_shortest_string() -> None:
    with pytest.raises(CannotCalculate, match="temperature"):
        shortest_string(41.5, -0.02, 75.0, 100.0)


def test_that_the_coefficient_method_asks_for_its_coefficient() -> None:
    with pytest.raises(CannotCalculate, match="beta_voc"):
        longest_string(49.5, -10.0, 600.0)


def test_that_the_coefficient_of_vmp_comes_from_power_less_current() -> None:
    assert vmp_coefficient(-0.0035, 0.0005).beta_vmp == pytest.approx(-0.0040)


@given(gamma=st.floats(-0.006, -0.002), alpha=st.floats(-0.001, 0.0014))
def test_that_a_missing_current_coefficient_never_makes_a_hot_string_look_better(
    gamma: float, alpha: float
) -> None:
    missing, given_ = vmp_coefficient(gamma), vmp_coefficient(gamma, alpha)
    assert missing.beta_vmp <= given_.beta_vmp <= gamma


def test_that_most_of_the_open_module_table_lies_under_the_assumed_current_coefficient() -> None:
    from pvlib.pvsystem import retrieve_sam

    modules = retrieve_sam("CECMod").T
    alpha = modules["alpha_sc"].astype(float) / modules["I_sc_ref"].astype(float)
    assert alpha.quantile(0.99) <= vmp_coefficient(-0.004).alpha


# Published: the training lesson above, worked example 2.
@pytest.mark.parametrize("name", NEC)
def test_that_currents_are_the_training_lessons_in_every_edition(name: str) -> None:
    got = circuit_current(11.2, family(name))
    assert got.maximum_current == pytest.approx(14.0, abs=0.05)
    assert got.design_current == pytest.approx(17.5, abs=0.05)


def test_that_iec_counts_the_bright_hour_once_and_no_continuous_duty() -> None:
    got = circuit_current(11.2, family("iec"))
    assert got.maximum_current == got.design_current == pytest.approx(14.0)


@given(isc=st.floats(0.1, 30), strings=st.integers(1, 30), gain=st.floats(0, 0.5))
def test_that_the_whole_chain_is_1_56_of_the_strings_current_and_gain(
    isc: float, strings: int, gain: float
) -> None:
    got = circuit_current(isc, family("nec-2023"), strings, gain)
    assert got.design_current == pytest.approx(1.5625 * isc * strings * (1 + gain))


def test_that_two_strings_within_the_modules_limit_need_no_fuse() -> None:
    # "Why Series Fusing?", Home Power magazine.
    got = string_fuse(10.0, 15.0, 2, family("nec-2023"))
    assert (got.reverse_current, got.required) == (12.5, False)


def test_that_two_strings_under_iec_as_published_need_no_fuse() -> None:
    # "Selection and sizing of solar DC fuses for rooftop projects", solarsaarthi.com, example 1.
    got = string_fuse(12.28, 20.0, 2, family("iec"))
    assert got.reverse_current == pytest.approx(12.28, abs=0.01)
    assert not got.required


def test_that_a_fuse_is_needed_only_above_the_modules_limit() -> None:
    rules = family("nec-2023")
    for module_fuse, required in [(25.1, False), (25.0, False), (24.9, True)]:
        assert string_fuse(10.0, module_fuse, 3, rules).required is required
    assert string_fuse(10.0, 12.0, 2, rules).required
    assert string_fuse(10.0, 15.0, 1, rules, back_feed=40.0).required
    assert string_fuse(10.0, 30.0, 3, rules, conductor_ampacity=24.0).required


def test_that_a_string_fuse_is_the_next_standard_rating_under_the_modules_limit() -> None:
    rules = family("nec-2023")
    got = string_fuse(11.0, 20.0, 4, rules)
    assert got.minimum == pytest.approx(1.5625 * 11.0)
    assert (got.maximum, got.rating) == (20.0, 20.0)
    assert string_fuse(9.6, 15.0, 4, rules).rating == 15.0
    assert string_fuse(9.61, 15.0, 4, rules).rating is None
    assert string_fuse(13.0, 20.0, 4, rules).rating is None


def test_that_an_iec_fuse_lies_between_1_5_and_2_4_and_under_the_modules_limit() -> None:
    got = string_fuse(10.0, 30.0, 4, family("iec"))
    assert (got.minimum, got.maximum, got.rating) == (15.0, 24.0, 15.0)
    assert string_fuse(10.2, 30.0, 4, family("iec")).rating == 16.0
    assert string_fuse(10.2, 15.0, 4, family("iec")).rating is None


@given(
    isc=st.floats(0.5, 20),
    module_fuse=st.floats(5, 35),
    strings=st.integers(1, 20),
    back_feed=st.floats(0, 60),
    name=st.sampled_from(["nec-2023", "iec"]),
)
def test_that_more_strings_and_more_back_feed_never_spare_a_fuse(
    isc: float, module_fuse: float, strings: int, back_feed: float, name: str
) -> None:
    rules = family(name)
    got = string_fuse(isc, module_fuse, strings, rules, back_feed)
    if got.required:
        assert string_fuse(isc, module_fuse, strings + 1, rules, back_feed).required
        assert string_fuse(isc, module_fuse, strings, rules, back_feed + 1).required
    if got.rating is not None:
        assert got.minimum <= got.rating <= got.maximum <= module_fuse
    assert not math.isnan(got.reverse_current)
