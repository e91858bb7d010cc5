"""``farstead compare``: one site file against another, difference by difference."""

from __future__ import annotations

import argparse
from typing import Any

from app import compare_words
from app.terminal.check import CAUTION, status, wrapped
from app.terminal.exits import FAILS, FINE, PROGRAM_FAILED, UNKNOWN, refuse, show_json
from engine import evaluate, load, units
from engine.compare import Comparison, compare
from engine.evaluation import Evaluation
from engine.finding import Finding
from engine.problems import Problem, Problems

GRAVEST = (PROGRAM_FAILED, FAILS, UNKNOWN, FINE)


def run(arguments: argparse.Namespace) -> int:
    """Print in what the second site differs from the first; the exit status is that of the graver of both."""
    designs, problems = [], list[Problem]()
    for path in (arguments.site, arguments.other):
        try:
            designs.append(load(path))
        except Problems as error:
            problems += error.problems
    if problems:
        return refuse(problems)
    this, that = (evaluate(design) for design in designs)
    habit = str(this.design.about.use("units"))
    found = compare(this, that, habit)
    names = _name(this, arguments.site), _name(that, arguments.other)
    if arguments.json:
        show_json(as_json(found, *names))
    else:
        print(wrapped(f"{names[0]} ({arguments.site}) against {names[1]} ({arguments.other})."))
        print(wrapped(compare_words.summary(found)))
        currency = this.design.prices.currency or that.design.prices.currency or ""
        for line in compare_words.lines(found, habit, currency):
            print(wrapped(line, "", "    ") if line else "")
        print(f"\n{wrapped(CAUTION)}")
    both = {status(this), status(that)}
    return next(each for each in GRAVEST if each in both)


def as_json(found: Comparison, this: str, that: str) -> dict[str, Any]:
    """The differences as JSON; what one design has not is ``null``."""
    return {
        "format": 1,
        "this": this,
        "that": that,
        "same": found.empty,
        "findings": [
            {"rule": item.rule, "where": item.where, "this": _finding(item.this), "that": _finding(item.that)}
            for item in found.turned
        ],
        "circuits": [
            {
                "circuit": item.circuit,
                "what": item.what or None,
                "this": _value(item.this, item.unit),
                "that": _value(item.that, item.unit),
            }
            for item in found.circuits
        ],
        "totals": [
            {
                "group": item.group,
                "name": item.name,
                "this": _value(item.this, item.unit),
                "that": _value(item.that, item.unit),
            }
            for item in found.totals
        ],
        "fields": [
            {
                "path": item.path,
                "record": item.owner,
                "title": item.title or None,
                "this": item.this,
                "that": item.that,
            }
            for item in found.fields
        ],
    }


def _name(evaluation: Evaluation, file: str) -> str:
    return evaluation.design.about.name or file


def _finding(finding: Finding | None) -> dict[str, str] | None:
    return None if finding is None else {"status": finding.status.word, "title": finding.title}


def _value(value: object, unit: str) -> Any:
    """A count as a number, a quantity with its unit, a size or a word as text."""
    if value is None or isinstance(value, str):
        return value
    if not isinstance(value, float | int):
        return str(value)
    if unit in ("1", "money"):
        return value
    return units.as_json(float(value), unit)
