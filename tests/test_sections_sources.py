"""The sources section against published values, laws and missing data."""

from __future__ import annotations

import pytest
from a_sun_site import SECOND_ARRAY, array
from hypothesis import given
from hypothesis import strategies as st

from engine.sections.results import ArrayResult

# "PV System Components, Voltage, and Current Calculations", electrician training lesson on the 2023 NEC, open
# electrical-training curriculum, worked examples 1 and 2 (read): 49.5 V, -0.27 %/K, -10 degC, 11 in series.
ELEVEN = {"arrays.south.modules": "11"}


def paths(result: ArrayResult) -> set[str]:
    return {item.path for item in result.missing}


def test_that_a_published_cold_string_comes_out() -> None:
    assert array(ELEVEN).open_design == pytest.approx(596, abs=1)


def test_that_the_published_longest_string_under_600_v_comes_out() -> None:
    tall = {"controllers.c.operating_limit": "600 V", "controllers.c.standoff_limit": "600 V"}
    assert array(tall).longest_operating == 11


def test_that_the_published_table_factor_stands_in_for_a_missing_coefficient() -> None:
    changes = {"modules.m.beta_voc": "", "arrays.south.modules": "1"}
    result = array(changes)
    assert result.open_design == pytest.approx(56.43, abs=0.005)
    assert any(item.path == "modules.m.beta_voc" for item in result.assumed)


def test_that_published_currents_come_out_with_the_second_factor_once() -> None:
    result = array()
    assert result.string_current == pytest.approx(14.0, abs=0.05)
    assert result.string_design == pytest.approx(17.5, abs=0.05)
    assert result.array_current == pytest.approx(2 * 14.0, abs=0.1)


def test_that_iec_takes_no_second_factor() -> None:
    # IEC 62548-1 (from memory): 1.25 Isc, and no factor for continuous duty.
    result = array({"rules": "iec"})
    assert result.string_design == result.string_current == pytest.approx(1.25 * 11.2)


def test_that_a_published_hot_module_comes_out() -> None:
    # "Calculating Module Voltages", worksheet, Global Sustainable Energy Solutions, 2011, example 1 (read):
    # 35.4 V and -0.16 V/K are 30.6 V at a cell of 55 degC; here 25 degC of air and 30 K of an open rack.
    changes = {
        "modules.m.vmp": "35.4 V",
        "modules.m.beta_vmp": "-0.16 V/K",
        "site.design_high": "25 degC",
        "arrays.south.modules": "1",
    }
    result = array(changes)
    assert result.cell_hot == 55.0
    assert result.running_hot == pytest.approx(30.6, abs=0.005)


def test_that_the_hotter_of_mounting_and_noct_counts() -> None:
    # Ross: a NOCT of 48 degC gives 35 K at 1000 W/m^2, over an open rack's 30 K and under a close roof's.
    assert array({"modules.m.noct": "48 degC"}).cell_hot == pytest.approx(70)
    close = {"modules.m.noct": "48 degC", "arrays.south.mounting": "close roof"}
    assert array(close).cell_hot == pytest.approx(array({"arrays.south.mounting": "close roof"}).cell_hot)


def test_that_the_vmp_coefficient_is_derived_from_the_power_coefficient() -> None:
    # P = V I: the voltage falls by what the power loses and the current gains, 0.35 and 0.05 %/K.
    result = array({"arrays.south.modules": "1"})
    assert result.running_hot == pytest.approx(41.5 * (1 - 0.0040 * (65 - 25)))


def test_that_the_open_circuit_coefficient_never_stands_in_for_the_running_one() -> None:
    result = array({"modules.m.gamma_pmp": ""})
    assert result.running_hot is None and result.running_cold is None and result.shortest is None
    assert "modules.m.gamma_pmp" in paths(result)
    assert result.open_design is not None


def test_that_a_missing_current_coefficient_never_raises_the_hot_voltage() -> None:
    without = array({"modules.m.alpha_isc": ""})
    given_ = array()
    assert without.running_hot is not None and given_.running_hot is not None
    assert without.running_hot < given_.running_hot
    assert any(item.path == "modules.m.alpha_isc" for item in without.assumed)


@pytest.mark.parametrize("silicon", ["no", ""])
def test_that_the_table_serves_only_modules_known_to_be_silicon(silicon: str) -> None:
    result = array({"modules.m.beta_voc": "", "modules.m.silicon": silicon})
    assert result.open_design is None and result.open_record is None and result.longest is None
    assert "modules.m.beta_voc" in paths(result)
    assert ("modules.m.silicon" in paths(result)) is (silicon == "")


def test_that_the_table_is_not_carried_beyond_its_last_row() -> None:
    cold = {"modules.m.beta_voc": "", "site.design_low": "-38 degC", "site.record_low": "-46 degC"}
    result = array(cold)
    assert result.open_design is not None and result.open_record is None
    assert "modules.m.beta_voc" in paths(result)


def test_that_a_warm_design_low_lowers_no_rating() -> None:
    hot = {"site.record_low": "26 degC", "site.design_low": "30 degC"}
    result = array(hot)
    assert result.open_design == result.open_record == result.open_standard == 2 * 49.5


@pytest.mark.parametrize(
    ("field", "blank", "lost"),
    [
        ("site.design_low", "open_design", "open_record"),
        ("site.record_low", "open_record", "open_design"),
        ("site.design_high", "running_hot", "running_cold"),
        ("modules.m.voc", "open_standard", "running_hot"),
        ("modules.m.vmp", "running_hot", "open_design"),
        ("modules.m.isc", "string_current", "open_design"),
        ("modules.m.series_fuse", "fuse", "string_current"),
        ("arrays.south.modules", "open_design", "longest"),
        ("arrays.south.strings", "array_current", "string_current"),
    ],
)
def test_that_a_missing_datum_is_named_and_costs_only_what_it_feeds(
    field: str, blank: str, lost: str
) -> None:
    result = array({field: ""})
    assert field in paths(result)
    assert getattr(result, blank) is None
    assert getattr(result, lost) is not None


def test_that_an_array_without_a_module_asks_for_one() -> None:
    result = array({"arrays.south.module": ""})
    assert "arrays.south.module" in paths(result)
    assert result.open_design is None and result.fuse is None


def test_that_the_mounting_taken_is_said_where_none_was_entered() -> None:
    result = array({"arrays.south.mounting": ""})
    assert any(item.path == "arrays.south.mounting" for item in result.assumed)
    assert result.cell_hot is not None and result.cell_hot > (array().cell_hot or 0)


# String fuses


def test_that_two_strings_whose_current_the_module_stands_need_no_fuse() -> None:
    # "Why Series Fusing?", questions and answers of a solar magazine (read): two strings of 10 A on 15 A.
    fuse = array({"modules.m.isc": "10 A", "modules.m.imp": "9.5 A", "modules.m.series_fuse": "15 A"}).fuse
    assert fuse is not None and not fuse.required and fuse.limit == 15


def test_that_three_strings_need_fuses_between_isc_and_the_modules_limit() -> None:
    fuse = array({"arrays.south.strings": "3"}).fuse
    assert fuse is not None and fuse.required
    assert fuse.reverse_current == pytest.approx(2 * 1.25 * 11.2)
    assert fuse.minimum == pytest.approx(1.5625 * 11.2) and fuse.rating == 20


def test_that_reverse_current_exactly_at_the_modules_limit_needs_no_fuse_and_a_little_more_does() -> None:
    at = array({"modules.m.series_fuse": "14 A"}).fuse
    under = array({"modules.m.series_fuse": "13.99 A"}).fuse
    assert at is not None and not at.required
    assert under is not None and under.required and under.rating is None


def test_that_a_design_under_iec_counts_bright_hours_too() -> None:
    fuse = array({"rules": "iec"}).fuse
    assert fuse is not None and fuse.reverse_current == pytest.approx(1.25 * 11.2)


def test_that_the_other_array_on_a_controller_pushes_back_too() -> None:
    alone = array().fuse
    shared = array(more=SECOND_ARRAY)
    assert alone is not None and shared.fuse is not None
    assert shared.fuse.reverse_current == pytest.approx(alone.reverse_current + 1.25 * 11.2)
    assert shared.fuse.required and shared.back_feed == pytest.approx(14)
    single = array(more=SECOND_ARRAY, id="west")
    assert single.fuse is not None and single.fuse.reverse_current == pytest.approx(2 * 14)


def test_that_unknown_back_feed_leaves_the_question_open() -> None:
    result = array({"controllers.c.back_feed": ""})
    assert result.fuse is None and result.back_feed is None
    assert "controllers.c.back_feed" in paths(result)
    assert "fuse" not in result.steps


def test_that_unknown_back_feed_matters_to_a_single_string_too() -> None:
    result = array({"controllers.c.back_feed": "", "arrays.south.strings": "1"})
    assert result.fuse is None and "controllers.c.back_feed" in paths(result)


def test_that_fuses_needed_without_it_do_not_wait_for_back_feed() -> None:
    result = array({"controllers.c.back_feed": "", "arrays.south.strings": "3"})
    assert result.fuse is not None and result.fuse.required
    assert "controllers.c.back_feed" not in paths(result)
    assert any(item.path == "controllers.c.back_feed" for item in result.assumed)


def test_that_an_array_without_controller_has_no_answer_on_fuses() -> None:
    result = array({"arrays.south.controller": ""})
    assert result.fuse is None and "arrays.south.controller" in paths(result)


def test_that_unknown_neighbours_leave_the_fuse_question_open() -> None:
    result = array({"arrays.west.strings": ""}, more=SECOND_ARRAY)
    assert result.fuse is None and "arrays.west.strings" in paths(result)


@given(back_feed=st.floats(0, 200), strings=st.integers(1, 8))
def test_that_back_feed_and_more_strings_never_relax_the_fuse(back_feed: float, strings: int) -> None:
    def fuse(push: float, count: int) -> tuple[bool, float]:
        found = array({"controllers.c.back_feed": f"{push:.6f} A", "arrays.south.strings": str(count)}).fuse
        assert found is not None
        return found.required, found.reverse_current

    plain, pushed, wider = fuse(0, strings), fuse(back_feed, strings), fuse(back_feed, strings + 1)
    assert pushed >= plain and wider >= pushed


@given(gain=st.floats(0, 0.5))
def test_that_extra_current_never_lowers_a_current_or_relaxes_a_fuse(gain: float) -> None:
    plain, more = array(), array({"arrays.south.current_gain": f"{100 * gain:.4f} %"})
    assert plain.fuse is not None and more.fuse is not None
    assert (more.array_current or 0) >= (plain.array_current or 0) * (1 - 1e-12)
    assert more.fuse.reverse_current >= plain.fuse.reverse_current * (1 - 1e-12)
    assert more.fuse.minimum >= plain.fuse.minimum * (1 - 1e-12)


# Laws of voltage and length


@given(low=st.integers(-60, 20), colder=st.integers(0, 9), modules=st.integers(1, 20))
def test_that_a_colder_string_stands_higher(low: int, colder: int, modules: int) -> None:
    result = array(
        {
            "site.design_low": f"{low} degC",
            "site.record_low": f"{low - colder} degC",
            "arrays.south.modules": str(modules),
        }
    )
    assert result.open_record is not None and result.open_design is not None
    assert result.open_record >= result.open_design >= (result.open_standard or 0)
    assert result.longest is not None and result.longest_operating is not None


@given(high=st.integers(20, 49), hotter=st.integers(1, 10))
def test_that_a_hotter_place_never_shortens_the_shortest_string(high: int, hotter: int) -> None:
    mild = array({"site.design_high": f"{high} degC"})
    hot = array({"site.design_high": f"{high + hotter} degC"})
    assert (hot.running_hot or 0) < (mild.running_hot or 0)
    assert (hot.shortest or 0) >= (mild.shortest or 0)


@given(low=st.integers(-60, 20))
def test_that_one_module_more_than_the_longest_passes_the_limit(low: int) -> None:
    cold = {"site.design_low": f"{low} degC", "site.record_low": f"{low} degC"}
    longest = array(cold).longest
    assert longest is not None
    over = array(cold | {"arrays.south.modules": str(longest + 1)}).open_record
    assert over is not None and over > 150
    if longest:
        fits = array(cold | {"arrays.south.modules": str(longest)}).open_record
        assert fits is not None and fits <= 150 * (1 + 1e-9)


def test_that_string_lengths_follow_the_controllers_voltages() -> None:
    # -22 degC: 49.5 V · 1.1269 = 55.78 V, two under 150 V; hot 34.86 V at 65 degC, two over 35 V.
    result = array()
    assert (result.shortest, result.longest_operating, result.longest) == (2, 2, 2)


def test_that_every_voltage_and_current_can_be_traced() -> None:
    steps = array({"arrays.south.strings": "3"}).steps
    wanted = (
        *("open_design", "open_record", "cell_hot", "vmp_coefficient", "running_hot", "running_cold"),
        *("string_current", "array_current", "fuse", "longest_operating", "longest", "shortest"),
    )
    assert set(wanted) <= set(steps)
    assert steps["open_design"].outputs["voltage"] == array().open_design
