"""Quantities as they are shown and written to JSON, and read back again."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.units import KINDS, as_json, belongs, convert, fits, parse, show, show_apart, shown_in, unconvert

HABITS = ("metric", "us")
UNITS = tuple(KINDS)


@pytest.mark.parametrize(
    ("value", "unit", "metric", "us"),
    [
        (44.5, "V", "44.5 V", "44.5 V"),
        (155.55, "V", "155.6 V", "155.6 V"),
        (1000.0, "V", "1000 V", "1000 V"),
        (0.05, "V", "50 mV", "50 mV"),
        (2320.0, "W", "2.32 kW", "2.32 kW"),
        (-305 / 9, "degC", "-33.89 °C", "-29 °F"),
        (57.912, "m", "57.91 m", "190 ft"),
        (0.0254, "m", "25.4 mm", "1 in"),
        (0.03, "%", "3.0 %", "3.0 %"),
        (0.285, "%", "28.5 %", "28.5 %"),
        (0.0, "%", "0 %", "0 %"),
        (0.03, "1", "0.03", "0.03"),
        (-0.0028, "1/K", "-0.28 %/K", "-0.28 %/°C"),
        (-0.17, "V/K", "-170 mV/K", "-170 mV/°C"),
        (0.014, "ohm", "14 mohm", "14 mohm"),
        (0.001 * 1.24 / 0.3048, "ohm/m", "4.068 ohm/km", "1.24 ohm/kft"),
        (101325.0, "Pa", "101.3 kPa", "14.7 psi"),
        (2.2e9, "Pa", "2.2 GPa", "319083 psi"),
        (35.0, "deg", "35°", "35°"),
        (35.0, "mm^2", "35 mm²", "35 mm²"),
        (1234.5, "money", "1234", "1234"),
        (123456.0, "rpm", "123456 rpm", "123456 rpm"),
        (0.0, "V", "0 V", "0 V"),
        (-0.0, "V", "0 V", "0 V"),
        (25.0, "K", "25 K", "45 °F"),
        (0.001, "A/Ah", "1 mA/Ah", "1 mA/Ah"),
    ],
)
def test_that_a_value_is_shown_in_the_users_habit(value: float, unit: str, metric: str, us: str) -> None:
    assert show(value, unit) == metric
    assert show(value, unit, "us") == us


def test_that_digits_are_significant_where_asked_for() -> None:
    assert show(155.55, "V", digits=2) == "160 V"
    assert show(155.55, "V", digits=5) == "155.55 V"
    assert show(1 / 3, "1", digits=12) == "0.333333333333"


@given(st.floats(min_value=1e-3, max_value=1e5))
def test_that_showing_keeps_four_significant_digits(value: float) -> None:
    for unit in ("V", "A", "W", "m", "Pa", "ohm"):
        for habit in HABITS:
            assert parse(show(value, unit, habit), unit) == pytest.approx(value, rel=5.001e-4)


@pytest.mark.parametrize("unit", UNITS)
@settings(max_examples=25)
@given(
    number=st.floats(min_value=-9e9, max_value=9e9).filter(lambda x: x == 0 or abs(x) > 1e-9),
    habit=st.sampled_from(HABITS),
)
def test_that_what_is_shown_is_read_back(unit: str, habit: str, number: float) -> None:
    value = abs(number) if unit == "money" else max(number, -273.15) if unit == "degC" else number
    text = show(value, unit, habit, digits=12)
    assert parse(text, unit) == pytest.approx(value, rel=1e-9, abs=1e-9 if unit == "degC" else 0)
    again = show(parse(text, unit), unit, habit, digits=12)
    assert parse(again, unit) == pytest.approx(value, rel=1e-9, abs=1e-9 if unit == "degC" else 0)
    assert unconvert(convert(value, unit, habit), unit, habit) == pytest.approx(value, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize("habit", HABITS)
@pytest.mark.parametrize("unit", UNITS)
def test_that_every_unit_shown_is_a_unit_accepted(unit: str, habit: str) -> None:
    scale = KINDS[unit].scale(habit)
    for shown in (scale.main, *(step for step, _ in (*scale.small, *scale.large))):
        assert fits(f"1 {shown}", unit)


def test_that_an_axis_names_the_unit_it_counts_in() -> None:
    assert shown_in("degC", "us") == "°F" and convert(100.0, "degC", "us") == 212
    assert shown_in("m^3/s") == "L/s" and convert(0.005, "m^3/s") == 5
    assert shown_in("1") == "" and unconvert(14.0, "degC", "us") == -10
    speeds = np.array([0.0, 44.704])
    assert convert(speeds, "m/s", "us") == pytest.approx([0, 100])
    assert unconvert(convert(speeds, "m/s", "us"), "m/s", "us") == pytest.approx(speeds)


def test_that_a_value_just_over_its_limit_never_looks_equal_to_it() -> None:
    assert show_apart(150.04, 150, "V") == ("150.04 V", "150 V")
    assert show_apart(150, 150, "V") == ("150 V", "150 V")
    assert show_apart(140, 150, "V") == ("140 V", "150 V")
    near = math.nextafter(150, 200)
    assert len(set(show_apart(near, 150, "V"))) == 2


def test_that_json_is_unrounded_and_never_holds_nan() -> None:
    assert as_json(54.1837, "V") == {"value": 54.1837, "unit": "V"}
    assert as_json(parse("5 %", "1"), "1") == 0.05 and as_json(0.05, "%") == 0.05
    assert as_json(None, "V") is None
    assert json.dumps(as_json(parse("190 ft", "m"), "m")) == '{"value": 57.912, "unit": "m"}'
    for bad in (math.nan, math.inf, -math.inf):
        with pytest.raises(ValueError, match="finite"):
            as_json(bad, "V")
        with pytest.raises(ValueError, match="finite"):
            show(bad, "V")


@pytest.mark.parametrize(
    ("text", "unit", "metric", "us"),
    [
        ("190 ft", "m", False, True),
        ("12' 6\"", "m", False, True),
        ("57.9 m", "m", True, False),
        ("-31 degF", "degC", False, True),
        ("\u221212 °C", "degC", True, False),
        ("285 K", "degC", True, False),
        ("44.5 VDC", "V", True, True),
        ("3.5 kWh/m^2", "Wh/m^2", True, True),
        ("35 mm²", "mm^2", True, True),
        ("-0.28 %/K", "1/K", True, True),
        ("-0.15 %/degF", "1/K", False, True),
        ("90 gallons/min", "m^3/s", False, True),
        ("5 knots", "m/s", True, True),
        ("3.2e-3 m3/s", "m^3/s", True, False),
        ("1.24 ohm/kft", "ohm/m", False, True),
        ("4.5 bar", "Pa", True, False),
    ],
)
def test_that_a_typed_text_stands_as_it_is_only_where_its_units_are_usual(
    text: str, unit: str, metric: bool, us: bool
) -> None:
    assert fits(text, unit)
    assert (belongs(text, unit, "metric"), belongs(text, unit, "us")) == (metric, us)
