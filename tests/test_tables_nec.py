"""The tables of NFPA 70 and of American gauges: cells as published, and the laws that they obey."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from engine.sizes import parse_size
from engine.tables import table
from engine.tables.lookup import exact
from tests.table_cells import rises

NEC_AMPACITY = ("nec_310_16", "nec_310_16_pre2011", "nec_310_17_free_air")


@pytest.mark.parametrize("name", NEC_AMPACITY)
def test_that_nec_ampacity_rises_with_size_and_with_temperature(name: str) -> None:
    held = table(name)
    for metal in ("cu", "al"):
        columns = [f"{metal}_{t}C_A" for t in (60, 75, 90) if f"{metal}_{t}C_A" in held.columns]
        for column in columns:
            assert rises(held.numbers(column))
        for row in held.rows():
            cells = [value for column in columns if isinstance(value := row[column], float)]
            assert cells == sorted(cells)
    for row in held.rows():
        aluminium = [row.get(f"al_{t}C_A") for t in (60, 75, 90)]
        for t, less in zip((60, 75, 90), aluminium, strict=True):
            assert less is None or float(str(less)) < float(str(row[f"cu_{t}C_A"]))


@pytest.mark.parametrize(
    ("name", "size", "copper", "aluminium"),
    [
        # International Residential Code, ICC, 2018, Table E3705.1, p. 742, reprints NFPA 70, 310.16 (read).
        ("nec_310_16", "14 AWG", (15, 20, 25), (None, None, None)),
        ("nec_310_16", "10 AWG", (30, 35, 40), (25, 30, 35)),
        ("nec_310_16", "3 AWG", (85, 100, 115), (65, 75, 85)),
        ("nec_310_16", "4/0 AWG", (195, 230, 260), (150, 180, 205)),
        ("nec_310_16", "500 kcmil", (320, 380, 430), (260, 310, 350)),
        # NFPA 70, Table 400-5(B), in Box, Set Lighting Technician's Handbook, Focal Press, Appendix D (read).
        ("nec_310_17_free_air", "8 AWG", (60, 70, 80), None),
        ("nec_310_17_free_air", "4 AWG", (105, 125, 140), None),
        ("nec_310_17_free_air", "2/0 AWG", (225, 265, 300), None),
        ("nec_310_17_free_air", "4/0 AWG", (300, 360, 405), None),
    ],
)  # fmt: skip
def test_that_nec_ampacities_are_the_printed_ones(
    name: str, size: str, copper: tuple[float, ...], aluminium: tuple[float | None, ...] | None
) -> None:
    row = next(row for row in table(name).rows() if row["size"] == size)
    assert tuple(row[f"cu_{t}C_A"] for t in (60, 75, 90)) == copper
    assert aluminium is None or tuple(row[f"al_{t}C_A"] for t in (60, 75, 90)) == aluminium


def test_that_free_air_carries_more_than_a_raceway() -> None:
    raceway = {row["size"]: row for row in table("nec_310_16").rows()}
    for row in table("nec_310_17_free_air").rows():
        for column in ("cu_60C_A", "cu_75C_A", "cu_90C_A"):
            assert float(str(row[column])) > float(str(raceway[row["size"]][column]))


def test_that_the_old_ampacity_table_differs_in_the_known_cells_only() -> None:
    # The cells that changed with the 2011 edition: comparison of two printings that were read.
    old = {row["size"]: row for row in table("nec_310_16_pre2011").rows()}
    changed = {
        (row["size"], column): (old[row["size"]][column], value)
        for row in table("nec_310_16").rows()
        for column, value in row.items()
        if column.endswith("_A") and value != old[row["size"]][column]
    }
    assert changed == {
        ("14 AWG", "cu_60C_A"): (20, 15),
        ("12 AWG", "cu_60C_A"): (25, 20),
        ("3 AWG", "cu_90C_A"): (110, 115),
        ("1 AWG", "cu_90C_A"): (150, 145),
        ("600 kcmil", "cu_60C_A"): (355, 350),
        ("12 AWG", "al_60C_A"): (20, 15),
        ("8 AWG", "al_60C_A"): (30, 35),
        ("6 AWG", "al_90C_A"): (60, 55),
        ("300 kcmil", "al_60C_A"): (190, 195),
        ("300 kcmil", "al_90C_A"): (255, 260),
        ("700 kcmil", "al_60C_A"): (310, 315),
        ("700 kcmil", "al_90C_A"): (420, 425),
        ("800 kcmil", "al_90C_A"): (450, 445),
    }


@pytest.mark.parametrize(
    ("name", "reference", "key", "columns"),
    [
        (
            "nec_ambient_correction_30C",
            30,
            "ambient_to_C",
            {"factor_60C": 60, "factor_75C": 75, "factor_90C": 90},
        ),
        (
            "nec_ambient_correction_40C",
            40,
            "ambient_to_C",
            {"factor_60C": 60, "factor_75C": 75, "factor_90C": 90},
        ),
        ("iec_ambient_air_B5214", 30, "ambient_C", {"pvc70": 70, "xlpe90": 90}),
        ("iec_ground_temp_B5215", 20, "ground_C", {"pvc70": 70, "xlpe90": 90}),
    ],
)
def test_that_ambient_factors_follow_the_law_of_heat(
    name: str, reference: float, key: str, columns: dict[str, float]
) -> None:
    # F = sqrt((Tc - Ta) / (Tc - T0)) at the warm end of a band (read); every cell, to two digits.
    held = table(name)
    for column, conductor in columns.items():
        assert rises(held.numbers(column)[::-1])
        for ambient, factor in zip(held.column(key), held.column(column), strict=True):
            if isinstance(ambient, float) and isinstance(factor, float):
                assert factor == pytest.approx(
                    math.sqrt((conductor - ambient) / (conductor - reference)), abs=0.00501
                )
            elif isinstance(ambient, float):
                assert ambient > conductor - 10


def test_that_conductor_resistance_falls_with_size_and_rises_with_strands() -> None:
    held = table("nec_ch9_table8")
    for column in ("cu_uncoated_ohm_per_kft_75C", "cu_coated_ohm_per_kft_75C", "al_ohm_per_kft_75C"):
        stranded = [float(str(row[column])) for row in held.rows() if row["strand_qty"] != 1]
        assert rises(stranded[::-1])
        for above, below in pairwise(held.rows()):
            if above["size"] == below["size"]:
                assert float(str(above[column])) < float(str(below[column]))
    for row in held.rows():
        per_mil = float(str(row["area_circular_mils"])) / 1000
        copper, coated, aluminium = (float(str(row[c])) for c in list(held.columns)[6:9])
        assert 12.55 < copper * per_mil < 12.94 and 20.65 < aluminium * per_mil < 21.35
        assert copper < coated < aluminium
        assert row["area_circular_mils"] == pytest.approx(
            parse_size(str(row["size"])).circular_mils, rel=4e-3
        )


def test_that_conductor_properties_are_the_printed_ones() -> None:
    # Single cells of NFPA 70, Chapter 9, Table 8, read in three lessons on voltage drop.
    found = {
        (row["size"], row["strand_qty"]): row["cu_uncoated_ohm_per_kft_75C"]
        for row in table("nec_ch9_table8").rows()
    }
    assert (found["14 AWG", 7], found["16 AWG", 7], found["12 AWG", 1]) == (3.14, 4.99, 1.93)
    for row in table("nec_ch9_table8").rows():
        diameter = float(str(row["overall_diam_in"]))
        assert row["overall_area_in2"] == pytest.approx(math.pi / 4 * diameter**2, abs=0.0011)
        strand = row["strand_diam_in"]
        if isinstance(strand, float):  # printed to a mil, some cut off rather than rounded
            mils, strands = strand * 1000, float(str(row["strand_qty"]))
            area = float(str(row["area_circular_mils"]))
            assert strands * (mils - 0.6) ** 2 < area < strands * (mils + 0.6) ** 2


def test_that_standard_ratings_are_those_of_the_code() -> None:
    # NFPA 70, 240.6(A), 2023; the fuses' own from a code column on the 2017 edition (both read).
    both = [
        15,
        20,
        25,
        30,
        35,
        40,
        45,
        50,
        60,
        70,
        80,
        90,
        100,
        110,
        125,
        150,
        175,
        200,
        225,
        250,
        300,
        350,
        400,
    ]
    both += [450, 500, 600, 700, 800, 1000, 1200, 1600, 2000, 2500, 3000, 4000, 5000, 6000]
    rows = list(table("nec_240_6_A").rows())
    assert [row["rating_A"] for row in rows if row["device"] == "fuse or breaker"] == both
    assert [row["rating_A"] for row in rows if row["device"] == "fuse only"] == [1, 3, 6, 10, 601]


def test_that_small_conductors_are_capped_at_or_below_their_sixty_degree_column() -> None:
    # NFPA 70, 240.4(D): 14, 12, 10 AWG copper 15, 20, 30 A; 12, 10 AWG aluminium 15, 25 A (read).
    held, column = table("nec_240_4_D_small_conductors"), table("nec_310_16")
    assert held.column("copper_max_ocpd_A") == (7, 10, 15, 20, 30)
    assert held.column("aluminium_max_ocpd_A") == (None, None, None, 15, 25)
    for row in list(held.rows())[2:]:
        cap, size = float(str(row["copper_max_ocpd_A"])), str(row["size"])
        assert cap <= exact(column, "size", size, "cu_60C_A")


def test_that_earthing_conductors_grow_with_the_device_and_are_larger_in_aluminium() -> None:
    # NFPA 70, Table 250.122: 15, 60, 100, 200, 400, 1200 A in copper (published newsletters, read).
    held = table("nec_250_122")
    printed = {"15.0": "14 AWG", "60.0": "10 AWG", "100.0": "8 AWG", "200.0": "6 AWG", "400.0": "3 AWG"}
    found = {str(row["ocpd_not_exceeding_A"]): row["copper"] for row in held.rows()}
    assert {key: found[key] for key in printed} == printed and found["1200.0"] == "3/0 AWG"
    for row in held.rows():
        assert parse_size(str(row["copper"])).area_mm2 < parse_size(str(row["aluminium"])).area_mm2


def test_that_electrode_conductors_are_the_printed_ones() -> None:
    # NFPA 70, Table 250.66 (read): 2 AWG and smaller take 8 AWG, over 1100 kcmil 3/0 AWG.
    held = table("nec_250_66")
    assert held.column("cu_to")[:-1] == (
        "2 AWG",
        "1/0 AWG",
        "3/0 AWG",
        "350 kcmil",
        "600 kcmil",
        "1100 kcmil",
    )
    assert held.column("gec_cu") == ("8 AWG", "6 AWG", "4 AWG", "2 AWG", "1/0 AWG", "2/0 AWG", "3/0 AWG")
    for row in held.rows():
        copper, aluminium = (parse_size(str(row[c])).area_mm2 for c in ("gec_cu", "gec_al"))
        assert copper < aluminium
        assert parse_size(str(row["al_to"])).area_mm2 >= parse_size(str(row["cu_to"])).area_mm2


def test_that_gauges_follow_their_formula() -> None:
    # ASTM B258: d = 0.005 in * 92^((36 - n) / 39); No. 36 is 0.005 in, 4/0 is 0.46 in.
    for row in table("awg_formula").rows():
        n, size = float(str(row["n"])), parse_size(str(row["size"]))
        diameter = 0.005 * 92 ** ((36 - n) / 39)
        assert row["diameter_in"] == pytest.approx(diameter, abs=5.1e-6)
        assert row["diameter_mm"] == pytest.approx(diameter * 25.4, abs=5.1e-5)
        assert row["circular_mils"] == pytest.approx((diameter * 1000) ** 2, abs=0.51)
        assert row["area_mm2"] == pytest.approx(math.pi / 4 * (diameter * 25.4) ** 2, abs=5.1e-5)
        assert row["area_mm2"] == pytest.approx(size.area_mm2, rel=1.1e-3)


def test_that_the_old_roof_adders_are_the_printed_ones() -> None:
    # NFPA 70, Table 310.15(B)(3)(c), 2011 and 2014 (read): 33, 22, 17, 14 K.
    held = table("nec_rooftop_adder_2008_2014")
    assert held.column("adder_C") == (33, 22, 17, 14) and held.column("adder_F") == (60, 40, 30, 25)
    assert held.column("height_above_roof_from_in")[1:] == held.column("height_to_in")[:-1]
