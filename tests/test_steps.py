"""The text of worked steps: what a reader works out from the printed numbers is the printed result."""

from __future__ import annotations

import ast
import math
import re
from typing import Any

import pint
import pytest
from worksheet_contract import example

from engine import units
from engine.physics.worksheets import BY_ID, WORKSHEETS
from engine.steps import lines, symbols
from engine.worksheet import Worked, Worksheet
from engine.worksheet_text import run, value_text

UNITS: pint.UnitRegistry[Any] = pint.UnitRegistry()
# A temperature stands as the number of degrees that the formulas are written in; rotor speeds count turns.
NAMES = {
    "°C": "K",
    "degC": "K",
    "°": "deg",
    "%": "percent",
    "rpm": "1/min",
    "Ah": "A*h",
    "Wh": "W*h",
}
QUANTITY = re.compile(
    r"(?<![\w.])(\d[\d.]*(?:e[-+]?\d+)?) ?((?:[A-Za-z°%]+[²³]?(?:\^\d)?[*·/]?)+|1/[A-Za-z]+)?"
)


def _quantity(number: str, unit: str) -> Any:
    plain = unit.replace("²", "^2").replace("³", "^3").replace("·", "*")
    named = re.sub(r"[A-Za-z°%]+", lambda match: f"({NAMES.get(match[0], match[0])})", plain)
    return UNITS.Quantity(float(number), named)


def _angle(value: Any) -> float:
    return float(value.to("rad").magnitude) if hasattr(value, "to") else float(value)


def _number(value: Any) -> float:
    return float(value.to("").magnitude) if hasattr(value, "to") else float(value)


FUNCTIONS = {
    "pi": math.pi,
    "π": math.pi,
    "sqrt": lambda x: x**0.5,
    "cbrt": lambda x: x ** (1 / 3),
    "exp": lambda x: math.exp(_number(x)),
    "gamma": lambda x: math.gamma(_number(x)),
    "sin": lambda x: math.sin(_angle(x)),
    "cos": lambda x: math.cos(_angle(x)),
    "tan": lambda x: math.tan(_angle(x)),
    "asin": lambda x: UNITS.Quantity(math.degrees(math.asin(_number(x))), "deg"),
    "acos": lambda x: UNITS.Quantity(math.degrees(math.acos(_number(x))), "deg"),
}


def worked_out(text: str, *, bare: bool) -> Any:
    """A line of numbers, evaluated; ``None`` where it is prose. ``bare`` leaves units away."""
    found: list[Any] = []

    def keep(match: re.Match[str]) -> str:
        found.append(float(match[1]) if bare else _quantity(match[1], match[2] or ""))
        return f"__q[{len(found) - 1}]"

    code = QUANTITY.sub(keep, text.replace("J/(kg*K)", "J/kg/K")).replace("·", "*").replace("^", "**")
    try:
        names = {node.id for node in ast.walk(ast.parse(code, mode="eval")) if isinstance(node, ast.Name)}
    except SyntaxError:
        return None
    if names - {*FUNCTIONS, "__q"}:
        return None
    return eval(code, {"__builtins__": {}}, {**FUNCTIONS, "__q": found})  # our own text, few names


def canonical(value: Any, unit: str) -> float:
    """An evaluated quantity as a number in an output's canonical unit."""
    if unit in ("", "1", "%"):
        return _number(value)
    return float(value.to(_quantity("1", NAMES.get(unit, unit)).units).magnitude)


def checked(sheet: Worksheet, worked: Worked) -> int:
    """How many formulas of a run could be worked out again; each must come to its result."""
    count = 0
    shown = lines(worked, "us")
    for left, text, result in zip(shown, shown[1:], shown[2:], strict=False):
        if not (text.startswith("  = ") and result.startswith("  = ")):
            continue
        name = left.partition(" = ")[0]
        output = next((one for one in sheet.outputs if symbols(sheet)[one.name] == name), None)
        if output is None:
            continue
        rest = text.removeprefix("  = ").removesuffix(", in metres and seconds")
        value = worked.outputs[output.name]
        if isinstance(value, tuple):  # a list has a number for each of its rows, not one to come to
            continue
        try:
            got = worked_out(rest, bare=False)
            if got is None:
                continue
            number = canonical(got, output.unit)
        except pint.UndefinedUnitError:  # a word of prose behind a number
            continue
        except pint.DimensionalityError:  # constants that carry units of their own, such as Faiman's
            number = float(worked_out(rest, bare=True))
        rounded = 5e-6 * max(map(float, re.findall(r"\d+\.?\d*", rest))) if " - " in rest else 0.0
        assert math.isclose(number, value, rel_tol=2e-5, abs_tol=rounded), f"{left}\n{text}\n{result}"
        count += 1
    return count


every_sheet = pytest.mark.parametrize("sheet", WORKSHEETS, ids=lambda sheet: sheet.id)


@every_sheet
def test_that_the_printed_numbers_come_to_the_printed_result(sheet: Worksheet) -> None:
    checked(sheet, run(sheet, example(sheet)))


def test_that_most_formulas_can_be_worked_out_again() -> None:
    assert sum(checked(sheet, run(sheet, example(sheet))) for sheet in WORKSHEETS) >= 95
    for id in ("pv-cell-temperature-wind", "pipe-loss-hazen", "voltage-drop", "hydro-jet", "tip-speed-ratio"):
        assert checked(BY_ID[id], run(BY_ID[id], example(BY_ID[id]))) > 0, id


@every_sheet
@pytest.mark.parametrize("habit", ["metric", "us"])
def test_that_steps_are_words_symbols_and_numbers(sheet: Worksheet, habit: str) -> None:
    text = lines(run(sheet, example(sheet)), habit)
    body = "\n".join(text[:-1])
    assert text[0] == sheet.title
    assert text[-1] == f"source: {sheet.source}"
    assert not re.search(r"\bnan\b|\binf\b|None|True|False|[{}\[\]]", body)
    symbolic = {symbol for symbol in symbols(sheet).values() if "_" in symbol}
    for word in re.findall(r"\w+_\w+", body):
        assert word in symbolic, f"{word} looks like code"
    for name, symbol in symbols(sheet).items():
        if symbol != name and len(name) > 3 and "_" in name:
            assert name not in body, name


@every_sheet
def test_that_formulas_stand_in_the_same_units_in_both_habits(sheet: Worksheet) -> None:
    worked = run(sheet, example(sheet))
    metric, us = lines(worked, "metric"), lines(worked, "us")
    kept = [line for line in us if line.startswith("  = ") and line in metric]
    substituted = [
        line
        for line, after in zip(metric, [*metric[1:], ""], strict=True)
        if line.startswith("  = ") and after.startswith("  = ")
    ]
    assert set(substituted) <= set(kept)


def test_that_us_inputs_and_results_are_told_in_both_units() -> None:
    sheet = BY_ID["pv-cell-temperature-wind"]
    worked = run(sheet, {"ambient": "86 degF", "irradiance": "900 W/m^2", "wind_speed": "10 mph"})
    text = lines(worked, "us")
    assert "wind speed at the module, v = 10 mph (4.47 m/s)" in text
    assert "  = 30 °C + 900 W/m² / (25 + 6.84 · 4.4704 m/s)" in text
    hot = 30 + 900 / (25 + 6.84 * 4.4704)
    assert f"  = {hot * 1.8 + 32:.1f} °F ({hot:.2f} °C)" in text


def test_that_volts_and_amps_are_told_once() -> None:
    text = lines(run(BY_ID["inverter-dc-current"], example(BY_ID["inverter-dc-current"])), "us")
    assert "  = 2500 W / 85 % / 22 V" in text
    assert "  = 133.7 A" in text


def test_that_a_small_current_is_no_power_of_ten_of_a_milliamp() -> None:
    sheet = BY_ID["pv-one-diode"]
    text = "\n".join(lines(run(sheet, {**example(sheet), "saturation_current": "0.5e-9 A"}), "metric"))
    assert "5e-10 A" in text
    assert "e-07 mA" not in text


def test_that_a_sum_whose_parts_are_the_result_is_told_once() -> None:
    text = lines(run(BY_ID["diversion-load"], example(BY_ID["diversion-load"])), "metric")
    place = text.index("load current limit = controller current")
    assert text[place + 1] == "  = 60 A" and not text[place + 2].startswith("  = ")


def test_that_a_way_that_was_not_taken_is_not_told() -> None:
    given = {"length": "10 m", "current": "5 A", "voltage": "24 V", "resistance": "5 mohm/m"}
    text = "\n".join(lines(run(BY_ID["voltage-drop"], given), "metric"))
    assert "none" not in text


def test_that_every_quantity_in_a_formula_reads_back() -> None:
    for unit in units.KINDS:
        text = value_text(0.0123456789, unit, "si", 6)
        if unit != "money":
            assert float(units.parse(text, unit)) == pytest.approx(0.0123456789, rel=1e-5), unit


LINKS = set(
    "of from above below than and at over to where is in up as or under once by for with no less that".split()
)
"""Words of a sentence that a number may follow: "from 70 A up"; after others the name is a word in prose."""


@pytest.mark.parametrize("sheet", WORKSHEETS, ids=lambda sheet: sheet.id)
def test_that_no_word_of_prose_is_taken_for_a_number(sheet: Worksheet) -> None:
    """ "A trade size, "the first trade size" must not read "the first trade 4 AWG"."""
    names = {item.name for item in (*sheet.inputs, *sheet.outputs)}
    for expression in sheet.expression:
        for before, word in re.findall(r"([A-Za-z]+) (?=([a-z_]+))", expression.partition(" = ")[2]):
            assert word not in names or before in LINKS | names, f"{before} {word}"
