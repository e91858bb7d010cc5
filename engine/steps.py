"""The text of a worked step: the formula, the formula with this run's numbers, and the result.

Generic over all worksheets and made only when someone looks. Temperatures inside a formula stay in degrees
Celsius, because the formulas are written in them; the result also shows the user's habit.
"""

from __future__ import annotations

import re
from typing import Any

from engine.worksheet import Worked, Worksheet
from engine.worksheet_text import value_json, value_text

NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")


def lines(worked: Worked, habit: str) -> list[str]:
    """The worked step, a line each: title, formulas, substituted formulas, outputs, source."""
    sheet = worked.sheet
    text = [sheet.title]
    used = [expression.partition(" = ") for expression in sheet.expression]
    used = [parts for parts in used if not _absent(worked, parts[2])]
    for left, _, right in used:
        text.append(f"{_symbols(sheet, left)} = {_symbols(sheet, right)}")
        numbers = _numbers(worked, right, habit)
        if numbers != _symbols(sheet, right):
            text.append(f"  = {numbers}")
        if left in worked.outputs:
            text.append(f"  = {_result(worked, left, habit)}")
    shown = {left for left, _, _ in used}
    for output in sheet.outputs:
        if output.name not in shown:
            text.append(f"{output.title} = {_result(worked, output.name, habit)}")
    text.append(f"source: {sheet.source}")
    return text


def as_json(worked: Worked) -> dict[str, Any]:
    """A worked step as the contract's JSON object."""
    sheet = worked.sheet
    return {
        "worksheet": sheet.id,
        "inputs": {
            name: value_json(value, _input_unit(sheet, name))
            for name, value in worked.inputs
            if value is not None
        },
        "outputs": {
            name: value_json(value, sheet.output(name).unit) for name, value in worked.outputs.items()
        },
        "steps": lines(worked, "metric"),
        "source": str(sheet.source),
    }


def _input_unit(sheet: Worksheet, name: str) -> str:
    item = sheet.input(name)
    return "1/K" if item.kind == "coefficient" else item.unit


def _given(worked: Worked) -> dict[str, Any]:
    """What went in, with the defaults of what was left to them."""
    defaults = {item.name: item.default for item in worked.sheet.inputs if not item.required}
    return defaults | dict(worked.inputs)


def _absent(worked: Worked, text: str) -> bool:
    """Whether a formula is another way, or an extra, that this run did not take: a value in it is missing."""
    values = {**worked.outputs, **_given(worked)}
    return any(name in values and values[name] is None for name in NAME.findall(text))


def _result(worked: Worked, name: str, habit: str) -> str:
    unit = worked.sheet.output(name).unit
    value = worked.outputs[name]
    text = value_text(value, unit, habit)
    if unit == "degC" and habit == "us":
        return f"{text} ({value_text(value, unit, 'metric')})"
    return text


def symbols(sheet: Worksheet) -> dict[str, str]:
    """How each name of a worksheet is written in its formula."""
    named = {item.name: item.symbol or item.name for item in sheet.inputs}
    return named | {item.name: item.symbol or item.name for item in sheet.outputs}


def _symbols(sheet: Worksheet, text: str) -> str:
    known = symbols(sheet)
    return _tidy(NAME.sub(lambda match: known.get(match[0], match[0]), text))


def _numbers(worked: Worked, text: str, habit: str) -> str:
    sheet = worked.sheet
    given = _given(worked)
    outputs = worked.outputs

    def number(match: re.Match[str]) -> str:
        name = match[0]
        if name in given:
            item = sheet.input(name)
            unit = "1/K" if item.kind == "coefficient" else item.unit
            value = _value(given[name], unit, habit)
        elif name in outputs:
            value = _value(outputs[name], sheet.output(name).unit, habit)
        else:
            return name
        return _bracket(
            value, power=text[match.end() :].startswith("^"), divisor=text[: match.start()].endswith("/ ")
        )

    return _tidy(NAME.sub(number, text))


def _value(value: object, unit: str, habit: str) -> str:
    return value_text(value, unit, "metric" if unit == "degC" else habit)


def _bracket(text: str, *, power: bool, divisor: bool) -> str:
    """A value that would read wrong in its place stands in brackets: negative, "(56 V)^2", "1 / (5 m/s)"."""
    plain = text.replace(".", "", 1).isdecimal()
    wrong = text.startswith("-") or (power and not plain) or (divisor and "/" in text)
    return f"({text})" if wrong else text


def _tidy(text: str) -> str:
    return text.replace(" * ", " · ").replace("degC", "°C")
