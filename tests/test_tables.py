"""The tables: sidecars complete, rows in order, and look-ups that never leave a table."""

from __future__ import annotations

import math
import tomllib

import pytest

from engine.sizes import parse_size
from engine.sources import HOWS
from engine.tables import FOLDER, OutsideTable, names, table
from engine.tables.family import family
from engine.tables.family import names as families
from engine.tables.lookup import at_least, at_most, band, exact, linear
from tests.table_cells import rises

RISING = {
    "ac_voltage_classes": "class_V",
    "battery_temperature_multiplier": "multiplier",
    "breaking_classes": "breaking_A",
    "conversion_efficiency": "ratio",
    "cycle_life_vs_dod": "dod_pct",
    "dc_voltage_classes": "class_V",
    "iec_60269_1_gates": "five_seconds_A",
    "iec_ambient_air_B5214": "ambient_C",
    "iec_ground_temp_B5215": "ground_C",
    "iec_grouping_B5217_bunched": "circuits",
    "klein_average_days": "n",
    "nec_240_6_A": "rating_A",
    "nec_250_122": "ocpd_not_exceeding_A",
    "nec_ambient_correction_30C": "ambient_to_C",
    "nec_ambient_correction_40C": "ambient_to_C",
    "nec_ccc_adjustment": "ccc_from",
    "nec_rooftop_adder_2008_2014": "height_to_in",
    "std_atmosphere": "altitude_m",
    "weibull_energy_pattern": "k",
}
FALLING = {
    "battery_temperature_multiplier": "temp_C",
    "cycle_life_vs_dod": "lead_acid_deep_cycle",
    "electrolyte_freezing": "specific_gravity",
    "iec61400_2_classes": "Vref_m_s",
    "iec_grouping_B5217_bunched": "factor",
    "leadacid_soc_rest_voltage": "v_cell",
    "nec_690_7_A": "ambient_from_C",
    "nec_ccc_adjustment": "percent",
    "nec_rooftop_adder_2008_2014": "adder_C",
}


# Sidecars


@pytest.mark.parametrize("name", names())
def test_that_a_sidecar_says_what_its_table_is_and_where_it_was_found(name: str) -> None:
    held = table(name)
    about = held.sidecar
    assert about["title"] and about["range"] and about["rule"] and about["notes"]
    assert {"publisher", "year", "clause"} <= set(about)
    assert about["how"] in HOWS and held.source.how == about["how"]
    assert list(about["columns"]) == list(held.columns)
    assert all(column["unit"] and column["meaning"] for column in about["columns"].values())
    assert held.source.title == held.title


@pytest.mark.parametrize("name", names())
def test_that_the_key_of_a_table_names_one_row(name: str) -> None:
    held = table(name)
    keys = [tuple(row[key] for key in held.sidecar["keys"]) for row in held.rows()]
    assert keys and len(keys) == len(set(keys))
    assert all(None not in key for key in keys)


@pytest.mark.parametrize("name", names())
def test_that_sizes_are_written_as_the_program_prints_them(name: str) -> None:
    held = table(name)
    for column, about in held.sidecar["columns"].items():
        if about["unit"] == "size":
            sizes = [parse_size(str(cell)) for cell in held.column(column)]
            assert [str(size) for size in sizes] == list(held.column(column))
            if name not in ("nec_ch9_table8", "iec_60364_5_52", "awg_formula"):
                areas = [size.area_mm2 for size in sizes]
                assert areas == sorted(areas)


def test_that_every_sidecar_has_its_table() -> None:
    assert tuple(sorted(path.stem for path in FOLDER.glob("*.toml"))) == names()


@pytest.mark.parametrize(("name", "column"), RISING.items())
def test_that_a_table_rises_down_its_rows(name: str, column: str) -> None:
    assert len(table(name).numbers(column)) == len(table(name).column(column))
    assert rises(table(name).numbers(column))


@pytest.mark.parametrize(("name", "column"), FALLING.items())
def test_that_a_table_falls_down_its_rows(name: str, column: str) -> None:
    assert len(table(name).numbers(column)) == len(table(name).column(column))
    assert rises(table(name).numbers(column)[::-1])


def test_that_tables_kept_as_traps_say_so_and_no_family_names_them() -> None:
    traps = {name for name in names() if str(table(name).sidecar.get("use")).startswith("never for sizing: ")}
    assert traps == {"nec_ambient_correction_40C", "nec_310_16_pre2011", "nec_rooftop_adder_2008_2014"}
    assert all(table(name).sidecar["rule"] == "never" for name in traps)
    assert not traps & {of for name in families() for of in family(name).tables.values()}


def test_that_defaults_which_a_maker_overrides_are_marked_indicative() -> None:
    marked = {name for name in names() if table(name).sidecar.get("indicative")}
    assert {
        "leadacid_soc_rest_voltage",
        "charge_setpoints_leadacid",
        "lifepo4_reference",
        "cycle_life_vs_dod",
        "runaway_speed_ratio",
    } <= marked


def test_that_every_shipped_case_names_its_source() -> None:
    cases = tomllib.loads((FOLDER.parent / "cases" / "published.toml").read_text("utf-8"))["case"]
    assert len({case["id"] for case in cases}) == len(cases) >= 70
    for case in cases:
        assert case["source"]["title"] and case["source"]["publisher"] and case["how"], case["id"]


# Look-ups


def test_that_a_table_is_read_once_and_cannot_be_changed() -> None:
    held = table("nec_310_16")
    assert held is table("nec_310_16")
    with pytest.raises(AttributeError):
        held.title = ""  # type: ignore[misc]
    with pytest.raises(TypeError):
        held.columns["size"] = ()  # type: ignore[index]
    with pytest.raises(TypeError):
        held.sidecar["title"] = ""  # type: ignore[index]
    with pytest.raises(KeyError, match="no table nec_310_18; there are"):
        table("nec_310_18")


def test_that_a_size_without_a_row_is_refused_with_the_range() -> None:
    with pytest.raises(
        OutsideTable, match=r'^nec_310_16: got "9 AWG" for size, need one of 14 AWG \.\.\. 1000 kcmil$'
    ) as caught:
        exact(table("nec_310_16"), "size", "9 AWG", "cu_75C_A")
    raised = caught.value
    assert (raised.table, raised.column, raised.got) == ("nec_310_16", "size", "9 AWG")


def test_that_a_cell_that_is_not_printed_is_refused_by_the_name_of_its_column() -> None:
    assert exact(table("nec_310_16"), "size", "12 AWG", "al_60C_A") == 15
    with pytest.raises(OutsideTable, match="al_60C_A"):
        exact(table("nec_310_16"), "size", "14 AWG", "al_60C_A")
    with pytest.raises(OutsideTable, match="factor_60C"):
        band(table("nec_ambient_correction_30C"), "ambient_from_C", "ambient_to_C", 56, "factor_60C")


def test_that_a_column_which_repeats_a_key_is_no_key() -> None:
    with pytest.raises(ValueError, match="18 AWG more than once"):
        exact(table("nec_ch9_table8"), "size", "14 AWG", "al_ohm_per_kft_75C")


@pytest.mark.parametrize(
    ("ambient", "factor"), [(30, 1.0), (30.4, 0.96), (35, 0.96), (35.1, 0.91), (-40, 1.15)]
)
def test_that_an_ambient_between_two_bands_takes_the_warmer(ambient: float, factor: float) -> None:
    held = table("nec_ambient_correction_30C")
    assert band(held, "ambient_from_C", "ambient_to_C", ambient, "factor_90C") == factor


@pytest.mark.parametrize(
    ("cold", "factor"),
    [(-10, 1.14), (-10.4, 1.16), (-11, 1.16), (24.9, 1.02), (-40, 1.25), (0, 1.10), (-0.2, 1.12)],
)
def test_that_a_cold_between_two_bands_takes_the_colder(cold: float, factor: float) -> None:
    # -10 degC 1.14 and -24 degC 1.20: a training lesson and a question set on NFPA 70, 690.7(A) (read).
    held = table("nec_690_7_A")
    assert band(held, "ambient_from_C", "ambient_to_C", cold, "factor", stricter="down") == factor
    assert band(held, "ambient_from_C", "ambient_to_C", -24, "factor", stricter="down") == 1.20


def test_that_no_gap_stands_open_between_bands() -> None:
    hot, cold = table("nec_ambient_correction_30C"), table("nec_690_7_A")
    factors = [band(hot, "ambient_from_C", "ambient_to_C", t / 10, "factor_90C") for t in range(-300, 851)]
    assert factors == sorted(factors, reverse=True) and len(set(factors)) == 16
    voltages = [
        band(cold, "ambient_from_C", "ambient_to_C", t / 10, "factor", "down") for t in range(-400, 250)
    ]
    assert voltages == sorted(voltages, reverse=True) and len(set(voltages)) == 13
    ducts = [band(table("nec_ccc_adjustment"), "ccc_from", "ccc_to", n, "percent") for n in range(1, 60)]
    assert [ducts[n - 1] for n in (3, 4, 6, 7, 9, 10, 20, 21, 30, 31, 40, 41)] == [
        100,
        80,
        80,
        70,
        70,
        50,
        50,
        45,
        45,
        40,
        40,
        35,
    ]  # NFPA 70, Table 310.15(B)(3)(a), 2014 (read)


@pytest.mark.parametrize("x", [85.1, -101.1, math.nan, math.inf, -math.inf])
def test_that_beyond_the_last_band_there_is_no_factor(x: float) -> None:
    with pytest.raises(OutsideTable, match="need -100 to 85"):
        band(table("nec_ambient_correction_30C"), "ambient_from_C", "ambient_to_C", x, "factor_90C")


def test_that_the_next_value_up_and_down_are_printed_ones() -> None:
    ratings = table("nec_240_6_A")
    assert at_least(ratings, "rating_A", 70) == at_least(ratings, "rating_A", 69.3) == 70
    assert at_least(ratings, "rating_A", 70.001) == 80
    assert at_most(ratings, "rating_A", 79.9) == at_most(ratings, "rating_A", 70) == 70
    for x in (6000.1, math.nan):
        with pytest.raises(OutsideTable, match="need 1 to 6000"):
            at_least(ratings, "rating_A", x)
    for x in (0.9, math.nan):
        with pytest.raises(OutsideTable, match="need 1 to 6000"):
            at_most(ratings, "rating_A", x)


def test_that_a_straight_line_joins_two_rows_and_goes_no_further() -> None:
    held = table("leadacid_soc_rest_voltage")
    assert linear(held, "soc_pct", 100, "v_cell") == 2.11
    assert linear(held, "soc_pct", 0, "v_cell") == 1.983
    assert linear(held, "soc_pct", 87.5, "v_cell") == pytest.approx((2.11 + 2.075) / 2)
    for x in (100.1, -0.1, math.nan):
        with pytest.raises(OutsideTable, match="need 0 to 100"):
            linear(held, "soc_pct", x, "v_cell")
    # A cell that is not printed is no point of the line: lithium cycles start at 20 %.
    with pytest.raises(OutsideTable, match="need 20 to 100"):
        linear(table("cycle_life_vs_dod"), "dod_pct", 10, "lifepo4")
