"""Conductor sizes as text, and their geometry."""

from __future__ import annotations

import math

import pytest

from engine.sizes import parse_size
from engine.units import UnitError


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("10 AWG", "10 AWG"),
        ("10AWG", "10 AWG"),
        ("#10 AWG", "10 AWG"),
        ("AWG 10", "10 AWG"),
        ("AWG #10", "10 AWG"),
        (" 10  awg ", "10 AWG"),
        ("1 AWG", "1 AWG"),
        ("0 AWG", "1/0 AWG"),
        ("2/0", "2/0 AWG"),
        ("2/0 AWG", "2/0 AWG"),
        ("#2/0 AWG", "2/0 AWG"),
        ("00 AWG", "2/0 AWG"),
        ("0000 AWG", "4/0 AWG"),
        ("40 AWG", "40 AWG"),
        ("250 kcmil", "250 kcmil"),
        ("250 MCM", "250 kcmil"),
        ("2000 kcmil", "2000 kcmil"),
        ("313.1 kcmil", "313.1 kcmil"),
        ("35 mm2", "35 mm2"),
        ("35 mm²", "35 mm2"),
        ("35 mm^2", "35 mm2"),
        ("35mm2", "35 mm2"),
        ("2.5 mm2", "2.5 mm2"),
        ("35.0 mm2", "35 mm2"),
        ("1000 mm2", "1000 mm2"),
    ],
)
def test_that_a_size_is_read_and_written_one_way(text: str, canonical: str) -> None:
    size = parse_size(text)
    assert size.text == str(size) == canonical
    assert parse_size(canonical) == size


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("10", "10 AWG or 10 mm2"),
        ("#10", "10 AWG or 10 mm2"),
        ("0000", "AWG"),
        ("10 mm", "diameter"),
        ("0.5 in", "diameter"),
        ("9.5 AWG", "whole number"),
        ("-10 AWG", "whole number"),
        ("5/0 AWG", "whole number"),
        ("1/2 AWG", "whole number"),
        ("010 AWG", "whole number"),
        ("41 AWG", "40 AWG to 4/0"),
        ("200 kcmil", "250 to 2000"),
        ("2500 kcmil", "250 to 2000"),
        ("0.25 mm2", "0.5 to 1000"),
        ("1200 mm2", "0.5 to 1000"),
        ("2,5 mm2", "decimal point"),
        ("\u0661\u0660 AWG", "whole number"),
        ("", ""),
        ("copper", ""),
        ("35 mm2 x", ""),
        ("nan mm2", ""),
    ],
)
def test_that_what_is_no_size_is_refused_with_a_hint(text: str, hint: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_size(text)
    assert hint in caught.value.hint
    assert "35 mm2" in caught.value.need and caught.value.got == f'"{text}"'


@pytest.mark.parametrize(
    ("text", "inches"), [("36 AWG", 0.0050), ("4/0 AWG", 0.4600), ("10 AWG", 0.1019), ("1/0 AWG", 0.3249)]
)
def test_that_gauges_have_the_standards_diameters(text: str, inches: float) -> None:
    """AWG Sizes of Solid Round Wires, ASTM International, B258: 36 AWG and 4/0 AWG fix the scale.

    10 and 1/0 AWG: printed to four digits in the standard's table (from memory).
    """
    assert parse_size(text).diameter_mm / 25.4 == pytest.approx(inches, abs=0.00005)


@pytest.mark.parametrize(
    ("text", "circular_mils"),
    [
        ("18 AWG", 1620),
        ("14 AWG", 4110),
        ("12 AWG", 6530),
        ("10 AWG", 10380),
        ("8 AWG", 16510),
        ("6 AWG", 26240),
        ("4 AWG", 41740),
        ("2 AWG", 66360),
        ("1 AWG", 83690),
        ("1/0 AWG", 105600),
        ("2/0 AWG", 133100),
        ("3/0 AWG", 167800),
        ("4/0 AWG", 211600),
        ("250 kcmil", 250000),
        ("2000 kcmil", 2000000),
    ],
)
def test_that_areas_are_those_of_the_conductor_table(text: str, circular_mils: float) -> None:
    """Conductor Properties, National Fire Protection Association, NFPA 70, Chapter 9 Table 8 (read).

    The table rounds to tens below 20,000, and its 1/0 AWG stands 0.06 % above the formula.
    """
    assert parse_size(text).circular_mils == pytest.approx(circular_mils, rel=3e-3)


def test_that_a_circular_mil_is_a_circle_one_thousandth_of_an_inch_across() -> None:
    size = parse_size("250 kcmil")
    assert size.area_mm2 == pytest.approx(250_000 * math.pi / 4 * 0.0254**2, rel=1e-12)
    metric = parse_size("50 mm2")
    assert metric.circular_mils * math.pi / 4 * 0.0254**2 == pytest.approx(50, rel=1e-12)


def test_that_six_gauges_double_the_diameter_nearly_and_39_multiply_it_by_92() -> None:
    assert parse_size("4 AWG").diameter_mm / parse_size("10 AWG").diameter_mm == pytest.approx(92 ** (6 / 39))
    assert parse_size("4/0 AWG").diameter_mm / parse_size("36 AWG").diameter_mm == pytest.approx(92)


def test_that_sizes_are_ordered_by_area_over_both_systems() -> None:
    texts = [
        "40 AWG",
        "18 AWG",
        "1 mm2",
        "10 AWG",
        "6 mm2",
        "1 AWG",
        "1/0 AWG",
        "70 mm2",
        "4/0 AWG",
        "120 mm2",
    ]
    texts += ["250 kcmil", "1000 mm2", "2000 kcmil"]
    sizes = [parse_size(text) for text in texts]
    assert sorted(sizes, reverse=True)[::-1] == sizes
    assert [size.area_mm2 for size in sizes] == sorted(size.area_mm2 for size in sizes)
    for size in sizes:
        assert size.area_mm2 == pytest.approx(math.pi / 4 * size.diameter_mm**2, rel=1e-12)
    assert {parse_size("2.5 mm2").system, parse_size("10 AWG").system, parse_size("250 kcmil").system} == {
        "mm2",
        "awg",
    }
