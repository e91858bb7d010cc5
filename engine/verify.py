"""Run published cases through the worksheets and compare: the shipped ones, or those of a user's file."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from engine import units
from engine.physics.worksheets import BY_ID
from engine.problems import Problem, Problems
from engine.sizes import parse_size
from engine.sources import Source, from_mapping
from engine.units import UnitError
from engine.worksheet import Output, Worksheet
from engine.worksheet_text import run, value_json

KEYS = {"id", "worksheet", "inputs", "expected", "within", "source", "how", "notes"}
BARE = ("", "1", "%")  # units whose values are plain numbers
RELATIVE = 1e-9
ROUNDING = 1e-12  # of a value, so that one on the edge of its tolerance is within


@dataclass(frozen=True, slots=True)
class Case:
    """One published example, written as a worksheet run."""

    id: str
    worksheet: str
    inputs: dict[str, Any]
    expected: dict[str, Any]
    within: dict[str, Any]
    source: Source


@dataclass(frozen=True, slots=True)
class Row:
    """One compared output: what was expected, what came, how far it may be, and whether it is."""

    id: str
    worksheet: str
    output: str
    expected: Any
    got: Any
    within: Any
    ok: bool
    reason: str = ""


def shipped() -> tuple[Case, ...]:
    """The cases that ship with the program, in the order of their files."""
    files = sorted((Path(__file__).parent / "cases").glob("*.toml"))
    return tuple(case for file in files for case in read(file.read_text("utf-8"), file.name))


def read(text: str, name: str) -> tuple[Case, ...]:
    """Read a case file; raises ``Problems`` with everything that is malformed in it."""
    try:
        data = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise Problems((Problem(name, str(error), "a TOML file of [[case]] tables"),)) from error
    rows = data.get("case")
    if not isinstance(rows, list) or not rows or set(data) - {"case"}:
        raise Problems((Problem(name, ", ".join(data) or "no case", "[[case]] tables, nothing else"),))
    problems: list[Problem] = []
    cases: list[Case] = []
    for number, row in enumerate(rows, 1):
        found = _faults(row, f"{name}: case {number}")
        problems += found
        if not found:
            named = row["source"] if isinstance(row["source"], dict) else {"title": row["source"]}
            source = from_mapping({**named, "how": row["how"]})
            cases.append(
                Case(
                    row["id"],
                    row["worksheet"],
                    row["inputs"],
                    row["expected"],
                    row.get("within", {}),
                    source,
                )
            )
    if problems:
        raise Problems(tuple(problems))
    return tuple(cases)


def _faults(row: Any, where: str) -> list[Problem]:
    if not isinstance(row, dict):
        return [Problem(where, str(row), "a [[case]] table")]
    where = f"{where} ({row['id']})" if isinstance(row.get("id"), str) else where
    faults = [
        Problem(f"{where}.{key}", "an unknown key", ", ".join(sorted(KEYS))) for key in row.keys() - KEYS
    ]
    for key in ("id", "worksheet", "how"):
        if not isinstance(row.get(key), str):
            faults.append(Problem(f"{where}.{key}", repr(row.get(key)), "a text"))
    for key in ("inputs", "expected", "within"):
        table = row.get(key, {} if key == "within" else None)
        if not isinstance(table, dict):
            faults.append(Problem(f"{where}.{key}", repr(table), "a table"))
            continue
        faults += [
            Problem(f"{where}.{key}.{name}", str(value), "a text, a finite number, yes or no, or a list")
            for name, value in table.items()
            if not _is_plain(value)
        ]
    source = row.get("source")
    if not isinstance(source.get("title") if isinstance(source, dict) else source, str):
        faults.append(Problem(f"{where}.source", repr(source), "a text, or a table with a title"))
    if not faults and not row["expected"]:
        faults.append(Problem(f"{where}.expected", "nothing", "at least one output"))
    return faults


def _is_plain(value: Any) -> bool:
    """Whether a value of a case is one that a worksheet could take or give; dates, tables and NaN are not."""
    if isinstance(value, list):
        return all(_is_plain(element) for element in value)
    return isinstance(value, str | int) or (isinstance(value, float) and math.isfinite(value))


def verify(cases: tuple[Case, ...]) -> tuple[Row, ...]:
    """Run every case; a worksheet, input or output that is not known is a miss, not an error."""
    return tuple(row for case in cases for row in _compare(case))


def _compare(case: Case) -> list[Row]:
    sheet = BY_ID.get(case.worksheet)
    if sheet is None:
        return _missed(case, f"no worksheet {case.worksheet}")
    try:
        outputs = run(sheet, case.inputs).outputs
    except Problems as error:
        return _missed(case, "; ".join(str(problem) for problem in error.problems))
    return [_row(case, sheet, name, outputs) for name in case.expected]


def _missed(case: Case, reason: str) -> list[Row]:
    return [
        Row(case.id, case.worksheet, name, expected, None, case.within.get(name), False, reason)
        for name, expected in case.expected.items()
    ]


def _row(case: Case, sheet: Worksheet, name: str, outputs: Any) -> Row:
    expected, within = case.expected[name], case.within.get(name)
    if name not in outputs:
        return Row(case.id, sheet.id, name, expected, None, within, False, f"no output {name}")
    output = sheet.output(name)
    got = outputs[name]
    try:
        ok = _agree(output, got, expected, within)
        reason = ""
    except UnitError as error:
        ok, reason = False, str(error)
    return Row(case.id, sheet.id, name, expected, value_json(got, output.unit), within, ok, reason)


def _agree(output: Output, got: Any, expected: Any, within: Any) -> bool:
    if isinstance(expected, list):
        if not isinstance(got, list | tuple) or len(got) != len(expected):
            return False
        spread = within if isinstance(within, list) else [within] * len(expected)
        return len(spread) == len(expected) and all(
            _agree(output, *three) for three in zip(got, expected, spread, strict=True)
        )
    if got is None:
        return bool(expected == "none")
    if isinstance(got, bool) or isinstance(expected, bool):
        return got is expected
    if hasattr(got, "text") and not isinstance(got, float):
        return bool(got == parse_size(str(expected)))
    if isinstance(got, int | float):
        target = _number(output, expected)
        if target is None:
            return False
        most = RELATIVE * abs(target) if within is None else _spread(output, within)
        return bool(abs(got - target) <= most + ROUNDING * abs(target))
    return bool(got == expected)


def _number(output: Output, value: Any) -> float | None:
    if isinstance(value, int | float):
        if output.unit not in BARE:
            raise UnitError(str(value), units.describe(output.unit))
        return float(value)
    return float(units.parse(value, output.unit or "1")) if isinstance(value, str) else None


def _spread(output: Output, within: Any) -> float:
    """A tolerance in the output's unit; for a temperature it is a difference."""
    if isinstance(within, int | float) and output.unit in BARE:
        spread = float(within)
    else:
        spread = float(units.parse(str(within), "K" if output.unit == "degC" else output.unit or "1"))
    if not math.isfinite(spread) or spread < 0:
        raise UnitError(str(within), "a tolerance of 0 or more")
    return spread
