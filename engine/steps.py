"""The text of a worked step: the formula, the formula with this run's numbers, and the result.

Generic over all worksheets and made only when someone looks. The numbers in a formula stand in the units that
its constants are made for (m, m/s, degC, Pa, without prefixes), whatever the user's habit, so that a reader
who works it out comes to the same result. Inputs and results are told in the habit, and in both where they
differ.
"""

from __future__ import annotations

import re
from typing import Any

from engine.worksheet import Worked, Worksheet
from engine.worksheet_text import input_unit, value_json, value_text

NAME = re.compile(r"[A-Za-z_][A-Za-z0-9_]*")
PLAIN = re.compile(r"[0-9.]+")
FIGURES = 6  # of a number in a formula: more than of a result, which is rounded from them


def lines(worked: Worked, habit: str) -> list[str]:
    """The worked step, a line each: title, inputs of another habit, formulas, numbers, outputs, source."""
    sheet = worked.sheet
    text = [sheet.title, *_inputs(worked, habit)]
    used = [expression.partition(" = ") for expression in sheet.expression]
    used = [parts for parts in used if not _absent(worked, parts[2])]
    for left, _, right in used:
        text.append(f"{_symbols(sheet, left)} = {_symbols(sheet, right)}")
        numbers = _numbers(worked, right)
        if numbers not in (_symbols(sheet, right), _in_formula(worked, left)):
            text.append(f"  = {numbers}")
        if left in worked.outputs:
            text.append(f"  = {_both(worked.outputs[left], sheet.output(left).unit, habit)}")
    shown = {left for left, _, _ in used}
    for output in sheet.outputs:
        if output.name not in shown:
            text.append(f"{output.title} = {_both(worked.outputs[output.name], output.unit, habit)}")
    text.append(f"source: {sheet.source}")
    return text


def as_json(worked: Worked) -> dict[str, Any]:
    """A worked step as the contract's JSON object."""
    sheet = worked.sheet
    return {
        "worksheet": sheet.id,
        "inputs": {
            name: value_json(value, input_unit(sheet.input(name)))
            for name, value in worked.inputs
            if value is not None
        },
        "outputs": {
            name: value_json(value, sheet.output(name).unit) for name, value in worked.outputs.items()
        },
        "steps": lines(worked, "metric"),
        "source": str(sheet.source),
    }


def _given(worked: Worked) -> dict[str, Any]:
    """What went in, with the defaults of what was left to them."""
    defaults = {item.name: item.default for item in worked.sheet.inputs if not item.required}
    return defaults | dict(worked.inputs)


def _absent(worked: Worked, text: str) -> bool:
    """Whether a formula is another way, or an extra, that this run did not take: a value in it is missing."""
    values = {**worked.outputs, **_given(worked)}
    return any(name in values and values[name] is None for name in NAME.findall(text))


def _inputs(worked: Worked, habit: str) -> list[str]:
    """The inputs that the habit writes otherwise than the formulas do, in both units."""
    told = []
    for name, value in worked.inputs:
        item = worked.sheet.input(name)
        text = _both(value, input_unit(item), habit)
        if value is not None and text != value_text(value, input_unit(item), "metric"):
            symbol = f", {item.symbol}" if item.symbol else ""
            told.append(f"{item.title}{symbol} = {text}")
    return told


def _both(value: Any, unit: str, habit: str) -> str:
    """A value in the user's habit, and in metric units behind it where these differ."""
    text, metric = value_text(value, unit, habit), value_text(value, unit, "metric")
    same = text == metric or (unit.endswith("/K") and text.replace("°C", "K") == metric)
    return text if same else f"{text} ({metric})"


def symbols(sheet: Worksheet) -> dict[str, str]:
    """How each name of a worksheet is written in its formula."""
    named = {item.name: item.symbol for item in sheet.inputs}
    named |= {item.name: item.symbol for item in sheet.outputs}
    return {name: symbol or name.replace("_", " ") for name, symbol in named.items()}


def _symbols(sheet: Worksheet, text: str) -> str:
    known = symbols(sheet)
    return _tidy(NAME.sub(lambda match: known.get(match[0], match[0]), text))


def _numbers(worked: Worked, text: str) -> str:
    def number(match: re.Match[str]) -> str:
        value = _in_formula(worked, match[0])
        if value is None:
            return match[0]
        before, after = text[: match.start()], text[match.end() :].lstrip()
        if before.endswith("(") and after.startswith(")"):
            return value
        return _bracket(value, power=after.startswith("^"), divisor=before.endswith("/ "))

    return _tidy(NAME.sub(number, text))


def _in_formula(worked: Worked, name: str) -> str | None:
    """The value of a name as it stands in a formula; ``None`` for a word that names nothing."""
    given = _given(worked)
    if name in given:
        return value_text(given[name], input_unit(worked.sheet.input(name)), "si", FIGURES)
    if name in worked.outputs:
        return value_text(worked.outputs[name], worked.sheet.output(name).unit, "si", FIGURES)
    return None


def _bracket(text: str, *, power: bool, divisor: bool) -> str:
    """A value that would read wrong in its place stands in brackets: negative, "(56 V)^2", "1 / (5 m/s)"."""
    wrong = text.startswith("-") or (power and not PLAIN.fullmatch(text)) or (divisor and "/" in text)
    return f"({text})" if wrong else text


def _tidy(text: str) -> str:
    return text.replace(" * ", " · ").replace("degC", "°C")
