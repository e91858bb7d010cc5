"""Quantities as text: what is read, what is refused and why."""

from __future__ import annotations

import copy
import json
import math
import pickle
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.units import (
    KINDS,
    Coefficient,
    Quantity,
    UnitError,
    describe,
    fits,
    parse,
    parse_coefficient,
    parse_count,
    parse_flag,
    show,
)

UNITS = tuple(KINDS)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("44.5 V", "V", 44.5),
        ("44.5V", "V", 44.5),
        ("  44.5   V ", "V", 44.5),
        (".5 V", "V", 0.5),
        ("+5 V", "V", 5),
        ("4.45e1 V", "V", 44.5),
        ("4.45E+1V", "V", 44.5),
        ("5e3V", "V", 5000),
        ("1e16", "1", 1e16),
        ("1e-05", "1", 1e-5),
        ("0.0445 kV", "V", 44.5),
        ("1,5 V", "V", 1.5),
        ("0,125 V", "V", 0.125),
        ("\u22125 A", "A", -5),
        ("48 V DC", "V", 48),
        ("5 µA", "A", 5e-6),
        ("5 \u03bcA", "A", 5e-6),
        ("2 kΩ", "ohm", 2000),
        ("2 k\u2126", "ohm", 2000),
        ("0.5 mohm", "ohm", 0.0005),
        ("2.4 kWh", "Wh", 2400),
        ("1 MJ", "Wh", 1e6 / 3600),
        ("3600 A*s", "Ah", 1),
        ("12 ft 6 in", "m", 3.81),
        ("12' 6\"", "m", 3.81),
        ("12'6\"", "m", 3.81),
        ("12\u2032 6\u2033", "m", 3.81),
        ("12 ft 6.5 in", "mm", 3822.7),
        ('6"', "mm", 152.4),
        ("190 feet", "m", 57.912),
        ("2 days", "h", 48),
        ("1 year", "day", 365.25),
        ("5 %", "1", 0.05),
        ("0.05", "1", 0.05),
        ("0.05", "%", 0.05),
        ("5 %", "%", 0.05),
        ("12.50", "money", 12.5),
        ("30°", "deg", 30),
        ("-20 °F", "degC", -260 / 9),
        ("300 K", "degC", 26.85),
        ("25 degC", "degC", 25),
        ("25 degC", "K", 25),
        ("45 degF", "K", 25),
        ("2.2 GPa", "Pa", 2.2e9),
        ("4.6 kWh/m²", "Wh/m^2", 4600),
        ("10 rad/s", "rpm", 300 / math.pi),
        ("120 V/krpm", "V/rpm", 0.12),
        ("1 mA/Ah", "A/Ah", 0.001),
        ("C/10", "1/h", 0.1),
        ("C / 8", "1/h", 0.125),
        ("0.2 C/h", "1/h", 0.2),
        ("10 %/h", "1/h", 0.1),
        ("1.31e-3 Pa * s", "Pa*s", 1.31e-3),
        ("1000 W / m ^ 2", "W/m^2", 1000),
    ],
)
def test_that_a_quantity_is_read_as_a_person_means_it(text: str, unit: str, value: float) -> None:
    assert parse(text, unit) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "hint"),
    [
        ("1,500 W", "W", "write 1500 or 1.500"),
        ("1,234", "1", "write 1234 or 1.234"),
        ("12,345 V", "V", "write 12345 or 12.345"),
        ("1234,567 V", "V", "comma"),
        ("1,234,567 W", "W", "thousands"),
        ("1,234.5 W", "W", "thousands"),
        ("1.234,5 W", "W", "thousands"),
        ("1, V", "V", "one number"),
        (",5 V", "V", "a number comes first"),
        ("1 200 W", "W", "write 1200 W"),
        ("1\u00a0200 W", "W", "write 1200 W"),
        ("1\u202f200 W", "W", "write 1200 W"),
        ("1_200", "1", "write 1200"),
        ("1_200 W", "W", "write 1200 W"),
        ("1'200 W", "W", "write 1200 W"),
        ("12 V 3", "V", "one number and one unit"),
        ("12 3 V", "V", "one number"),
        ("1.5.2 V", "V", "one decimal point"),
        ("5 M", "m", "write m"),
        ("1 C", "degC", "write degC"),
        ("25 C", "degC", "write degC"),
        ("80 F", "degC", "write degF"),
        ("0.2 C", "1/h", "C/5"),
        ("C/0", "1/h", "a number comes first"),
        ("", "V", "nothing"),
        ("   ", "V", "nothing"),
        ("V", "V", "a number comes first"),
        ("nan V", "V", "a number comes first"),
        ("inf V", "V", "a number comes first"),
        ("-inf", "1", "a number comes first"),
        ("1e999 V", "V", "can hold"),
        ("1e308 GPa", "Pa", "larger"),
        ("1e-999 V", "V", "can hold"),
        ("--5 V", "V", "a number comes first"),
        ("\u0663 V", "V", "digits 0 to 9"),
        ("1\u0663 V", "V", "one number"),
        ("5\u00b2 m", "m", "one number"),
        ("9" * 5000 + " V", "V", "too long"),
        ("0x10 V", "V", "no unit"),
        ("12 ft -6 in", "m", "12 ft 6 in"),
        ("-12 ft 6 in", "m", "12 ft 6 in"),
        ("12.5 ft 6 in", "m", "12 ft 6 in"),
        ("12 ft 13 in", "m", "below 12"),
        ("12 1/2 in", "m", "decimal"),
        ("1/2 in", "m", "decimal"),
        ("12", "V", "needs its unit"),
        ("3 kw", "W", "write kW"),
        ("3 KWH", "Wh", "write kWh"),
        ("3 mw", "W", "write mW or MW"),
        ("5 volts", "V", "write V"),
        ("5 Amps", "A", "write A"),
        ("12 wat", "W", "write W"),
        ("25 deg C", "degC", "write degC"),
        ("1 Pa s", "Pa*s", "write Pa*s"),
        ("1 W/m*K", "W/K", "not a unit"),
        ("10 AWG", "m", "conductor size"),
        ("250 kcmil", "mm^2", "conductor size"),
        ("5 xyzzy", "V", "is known here"),
        ("5 deg", "1", "no unit belongs here"),
        ("3 V", "1", "no unit belongs here"),
        ("3000 VA", "W", "power factor"),
        ("3000 W", "VA", "power factor"),
        ("2.4 kWh/day", "Wh", "without a time"),
        ("-0.28 %", "1/K", "%/K"),
        ("0.28", "1/K", "needs its unit"),
        ("-300 degC", "degC", "absolute zero"),
        ("-1 K", "degC", "absolute zero"),
        ("5", "%", "write 5 % or, as a fraction, 0.05"),
        ("$5", "money", "currency"),
        ("5 $", "money", "currency"),
        ("-5", "money", "zero or more"),
        ("5 K*m/m", "degC", "degC"),
    ],
)
def test_that_a_text_which_can_be_misread_is_refused_with_a_hint(text: str, unit: str, hint: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse(text, unit)
    assert hint in caught.value.hint
    assert caught.value.need == describe(unit)
    assert not fits(text, unit)
    assert len(str(caught.value)) < 400 and str(caught.value).isprintable()


@pytest.mark.parametrize(
    ("text", "unit", "message"),
    [
        ("5 A", "V", 'got "5 A" (a current), need a voltage such as 44.5 V'),
        ("5 mA/Ah", "1/h", 'got "5 mA/Ah" (a current per capacity), need a rate such as C/10'),
        ("5 1/h", "A/Ah", 'got "5 1/h" (a rate), need a current per capacity such as 1 mA/Ah'),
        ("30 1/min", "rpm", 'got "30 1/min" (a rate), need a rotor speed such as 320 rpm'),
        ("30 rpm", "1/h", 'got "30 rpm" (a rotor speed), need a rate such as C/10'),
        ("12", "V", 'got "12", need a voltage such as 44.5 V (a number needs its unit)'),
        ("5\tx\n6 V", "V", None),
    ],
)
def test_that_a_refusal_says_what_was_read_and_what_is_needed(
    text: str, unit: str, message: str | None
) -> None:
    with pytest.raises(UnitError) as caught:
        parse(text, unit)
    assert str(caught.value) == message if message else "\n" not in str(caught.value)
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)


@pytest.mark.parametrize("unit", UNITS)
def test_that_the_example_of_every_kind_is_accepted(unit: str) -> None:
    assert fits(KINDS[unit].example, unit)
    assert describe(unit).endswith(f"such as {KINDS[unit].example}")


@pytest.mark.parametrize("unit", UNITS)
def test_that_a_unit_is_refused_for_every_other_kind(unit: str) -> None:
    mine = KINDS[unit]
    for other in KINDS.values():
        same = set(mine.dims) & set(other.dims) or {unit, other.unit} <= {"1", "%", "money"}
        if not same and other.unit != "money":
            assert not fits(mine.example, other.unit), (mine.example, other.unit)


def test_that_a_programmer_who_asks_for_an_unknown_unit_is_told_so() -> None:
    for call in (
        lambda: parse("5 V", "furlong"),
        lambda: show(5, "furlong"),
        lambda: show(5, "V", "imperial"),
    ):
        with pytest.raises(KeyError):
            call()


def test_that_a_shifted_decimal_point_costs_no_digit() -> None:
    """-0.28 %/K typed as -0.0028 1/K is the same float, and 57 % is 0.57 (57 * 0.01 is not)."""
    assert parse("-0.28 %/K", "1/K") == parse("-0.0028 1/K", "1/K") == -0.0028
    assert parse("57 %", "1") == 0.57
    assert parse("-170 mV/K", "V/K") == -0.17


@given(
    st.decimals(allow_nan=False, allow_infinity=False, min_value=-1_000_000, max_value=1_000_000, places=4)
)
def test_that_digits_are_read_as_python_reads_them(number: Any) -> None:
    assert parse(f"{number} V", "V") == float(number)


@given(st.text(alphabet="0123456789.,-+eE '\"/*^_%°µΩ²³mkMGVAWhCFKftindegs\u00a0\u0663\u2212", max_size=14))
def test_that_any_text_is_either_a_finite_value_or_a_reason(text: str) -> None:
    for unit in ("V", "m", "degC", "1/h", "1", "%", "money", "1/K", "mm^2"):
        try:
            assert math.isfinite(parse(text, unit))
        except UnitError as error:
            assert error.need


def test_that_a_quantity_keeps_its_text_and_its_suffix() -> None:
    assert parse(" 12 ft 6 in ", "m").text == "12 ft 6 in"
    kinds = {
        text: parse(text, unit).kind for text, unit in (("500 VDC", "V"), ("240 VAC", "V"), ("7 kWp", "W"))
    }
    assert kinds == {"500 VDC": "dc", "240 VAC": "ac", "7 kWp": "peak"}
    assert parse("500 V", "V").kind == "" and Quantity(5).text == ""
    assert parse("0.5 kVDC", "V") == 500 and parse("7 kWp", "W") == 7000


def test_that_a_quantity_is_a_plain_float_for_arithmetic_json_and_pickle() -> None:
    volts = parse("44.5 V", "V")
    assert type(volts * 2) is float and type(volts + volts) is float and type(-volts) is float
    assert json.dumps(volts) == "44.5" and f"{volts}" == "44.5" and f"{volts:.2f}" == "44.50"
    assert repr(volts) == "Quantity(44.5, '44.5 V')"
    for twin in (pickle.loads(pickle.dumps(volts)), copy.copy(volts), copy.deepcopy(volts)):
        assert (twin, twin.text, twin.kind) == (44.5, "44.5 V", "")
    with pytest.raises(AttributeError):
        volts.text = "45 V"
    assert hash(volts) == hash(44.5)


@pytest.mark.parametrize(
    ("text", "absolute", "value", "unit"),
    [
        ("-0.28 %/K", "V/K", -0.0028, "1/K"),
        ("-0.28 %/degC", "V/K", -0.0028, "1/K"),
        ("-0.28 %/°C", "V/K", -0.0028, "1/K"),
        ("-0.0028 1/K", "V/K", -0.0028, "1/K"),
        ("-0.15 %/degF", "V/K", -0.0027, "1/K"),
        ("-170 mV/K", "V/K", -0.17, "V/K"),
        ("-170 mV/degC", "V/K", -0.17, "V/K"),
        ("-0.16 V/K", "V/K", -0.16, "V/K"),
        ("5 mA/K", "A/K", 0.005, "A/K"),
        ("-1.4 W/°C", "W/K", -1.4, "W/K"),
    ],
)
def test_that_a_coefficient_is_read_relative_or_absolute(
    text: str, absolute: str, value: float, unit: str
) -> None:
    read = parse_coefficient(text, absolute)
    assert read.value == pytest.approx(value, rel=1e-12)
    assert (read.unit, read.text) == (unit, text)


def test_that_an_absolute_coefficient_becomes_relative_by_its_reference() -> None:
    """-170 mV/K on a module of 50 V is -0.34 %/K; a relative one needs no reference."""
    assert parse_coefficient("-170 mV/K").relative(50) == pytest.approx(-0.0034, rel=1e-12)
    assert Coefficient(-0.0028, "1/K").relative(0) == -0.0028
    for reference in (0.0, -5.0, math.nan, math.inf):
        with pytest.raises(ValueError, match="reference"):
            Coefficient(-0.17, "V/K").relative(reference)


@pytest.mark.parametrize(
    ("text", "hint"),
    [("-0.28", "needs its unit"), ("-0.28 %", "%/K"), ("-0.28 %/C", "degC"), ("5 mA/K", "")],
)
def test_that_a_coefficient_without_its_degree_is_refused(text: str, hint: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse_coefficient(text)
    assert hint in caught.value.hint and "-0.28 %/K" in caught.value.need


def test_that_counts_and_flags_are_strict() -> None:
    assert parse_count(" 12 ") == 12 and parse_count("0") == 0
    assert parse_flag("Yes") and parse_flag("true") and not parse_flag("no") and not parse_flag("FALSE")
    for bad in ("", "-1", "+1", "1.0", "1e3", "1 000", "\u0663", "12 V", "9" * 5000):
        with pytest.raises(UnitError):
            parse_count(bad)
    for bad in ("", "1", "y", "on", "maybe"):
        with pytest.raises(UnitError):
            parse_flag(bad)
