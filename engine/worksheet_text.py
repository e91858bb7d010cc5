"""The text boundary of the worksheets: a person's words in, canonical values to the formula, words out.

The command line, the Worksheets pane and the published cases all pass through here.
"""

from __future__ import annotations

import difflib
import math
import tomllib
from collections.abc import Mapping
from typing import Any

import numpy as np

from engine import units
from engine.problems import Problem, Problems
from engine.sizes import Size, parse_size
from engine.tables import OutsideTable
from engine.tables.family import family
from engine.units import Coefficient, UnitError
from engine.worksheet import CannotCalculate, Input, Worked, Worksheet


def near(name: str, known: list[str]) -> str:
    """A hint with the nearest known name, or with all of them."""
    close = difflib.get_close_matches(name, known, n=1, cutoff=0.5)
    return f"did you mean {close[0]}?" if close else "known: " + ", ".join(known)


def run(sheet: Worksheet, given: Mapping[str, Any]) -> Worked:
    """Run a worksheet on inputs as typed (text, or TOML numbers, flags and lists).

    Raises ``Problems`` with every bad input at once, or with the one reason why good inputs have no answer.
    """
    values = read(sheet, given)
    try:
        with np.errstate(over="raise", divide="raise", invalid="raise"):
            worked = Worked(sheet, tuple(values.items()), sheet.function(**values))
    except CannotCalculate as error:
        raise Problems((Problem(f"{sheet.id}.{error.name}", error.got, error.need),)) from error
    except OutsideTable as error:
        problem = Problem(f"{sheet.id}: {error.table}", f'"{error.got}"', error.need)
        raise Problems((problem,)) from error
    except ArithmeticError as error:
        raise _beyond(sheet) from error
    if not all(_finite(value) for value in worked.outputs.values()):
        raise _beyond(sheet)
    return worked


def _beyond(sheet: Worksheet) -> Problems:
    got, need = "inputs too large or too small to calculate with", "inputs of an ordinary size"
    return Problems((Problem(sheet.id, got, need),))


def _finite(value: Any) -> bool:
    if isinstance(value, tuple | list):
        return all(_finite(element) for element in value)
    return not isinstance(value, float) or math.isfinite(value)


def read(sheet: Worksheet, given: Mapping[str, Any]) -> dict[str, Any]:
    """Read typed inputs into canonical values for the formula; defaults are filled in.

    Raises ``Problems`` that names each input that is unknown, missing, misread or out of range.
    """
    known = [item.name for item in sheet.inputs]
    problems = [
        Problem(f"{sheet.id}.{name}", "an unknown input", f"one of {', '.join(known)}", near(name, known))
        for name in given
        if name not in known
    ]
    values: dict[str, Any] = {}
    for item in sheet.inputs:
        if item.name in given:
            try:
                values[item.name] = _read_one(item, given[item.name])
            except UnitError as error:
                problems.append(Problem(f"{sheet.id}.{item.name}", error.got, error.need, error.hint))
        elif item.required:
            problems.append(
                Problem(f"{sheet.id}.{item.name}", "nothing", f"{item.title}, such as {item.example}")
            )
        else:
            values[item.name] = family(item.default) if item.kind == "family" else item.default
    for group in sheet.one_of:
        if not any(given.get(name) is not None for name in group):
            problems.append(Problem(f"{sheet.id}.{group[0]}", "nothing", "one of " + ", ".join(group)))
    if problems:
        raise Problems(tuple(problems))
    for item in sheet.inputs:
        value = values[item.name]
        if isinstance(value, Coefficient):
            values[item.name] = value.relative(values[item.of]) if item.of else value.value
            _check_range(sheet, item, values[item.name], given[item.name])
    return values


def _check_range(sheet: Worksheet, item: Input, value: float, typed: Any) -> None:
    try:
        _within(item, value, typed)
    except UnitError as error:
        problem = Problem(f"{sheet.id}.{item.name}", error.got, error.need, error.hint)
        raise Problems((problem,)) from error


def _read_one(item: Input, raw: Any) -> Any:
    if item.kind in ("quantities", "sizes"):
        return tuple(_read_plain(item, element) for element in _as_list(item, raw))
    return _read_plain(item, raw)


def _as_list(item: Input, raw: Any) -> list[Any]:
    if isinstance(raw, str):
        try:
            raw = tomllib.loads(f"list = {raw}")["list"]
        except tomllib.TOMLDecodeError:
            raw = None
    if not isinstance(raw, list) or not raw:
        raise UnitError(f'"{raw}"', f"a list such as {item.example}")
    return raw


def _read_plain(item: Input, raw: Any) -> Any:
    kind = item.kind
    if kind == "flag":
        return raw if isinstance(raw, bool) else units.parse_flag(str(raw))
    if isinstance(raw, bool):
        raise UnitError(str(raw).lower(), item.example)
    if kind in ("size", "sizes"):
        return parse_size(str(raw))
    if kind in ("word", "family"):
        if str(raw) not in item.words:
            raise UnitError(f'"{raw}"', "one of " + ", ".join(item.words), near(str(raw), list(item.words)))
        return family(str(raw)) if kind == "family" else str(raw)
    if kind == "count":
        number = units.parse_count(str(raw))
        _within(item, number, raw)
        return number
    if kind == "coefficient":
        return units.parse_coefficient(str(raw), absolute=item.unit)
    if isinstance(raw, int | float) and item.unit == "1":
        raw = repr(raw)
    value = float(units.parse(str(raw), item.unit))
    _within(item, value, raw)
    return value


def _within(item: Input, value: float, raw: Any) -> None:
    unit = input_unit(item)
    if item.low is not None and value < item.low:
        raise UnitError(f'"{raw}"', f"{units.show(item.low, unit)} or more")
    if item.above is not None and value <= item.above:
        raise UnitError(f'"{raw}"', f"more than {units.show(item.above, unit)}")
    if item.high is not None and value > item.high:
        raise UnitError(f'"{raw}"', f"{units.show(item.high, unit)} or less")


def input_unit(item: Input) -> str:
    """The unit of an input's value in the formula; a coefficient is a relative one there."""
    return "1/K" if item.kind == "coefficient" else item.unit


def value_text(value: Any, unit: str, habit: str, digits: int | None = None) -> str:
    """One input or output as a person reads it."""
    if value is None:
        return "none"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple | list):
        return ", ".join(value_text(element, unit, habit, digits) for element in value)
    if isinstance(value, int) and unit in ("", "1"):
        return str(value)
    if isinstance(value, int | float):
        return units.show(value, unit or "1", habit, digits)
    return getattr(value, "text", None) or getattr(value, "name", None) or str(value)


def value_json(value: Any, unit: str) -> Any:
    """One input or output as JSON: unrounded, with its one unit."""
    if isinstance(value, bool) or value is None or isinstance(value, str):
        return value
    if isinstance(value, tuple | list):
        return [value_json(element, unit) for element in value]
    if isinstance(value, int) and unit in ("", "1"):
        return value
    if isinstance(value, int | float):
        if not math.isfinite(value):
            raise ValueError(f"a result that is not finite: {value}")
        return units.as_json(float(value), unit or "1")
    if isinstance(value, Size):
        return value.text
    return str(value.name)


def input_text(item: Input, value: Any, habit: str) -> str:
    """An input's value as it could be typed again; the inverse of ``read`` for that input."""
    if item.kind in ("quantities", "sizes"):
        return "[" + ", ".join(f'"{value_text(element, item.unit, habit, 12)}"' for element in value) + "]"
    return value_text(value, input_unit(item), habit, 12)
