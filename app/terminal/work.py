"""``farstead work``: list the worksheets, describe one, or run one on typed inputs."""

from __future__ import annotations

import argparse
import difflib
from typing import Any

from app.terminal.exits import FINE, refuse, show_json
from engine import units
from engine.physics.worksheets import BY_ID, WORKSHEETS
from engine.problems import Problem, Problems
from engine.steps import as_json, lines
from engine.worksheet import Input, Worksheet
from engine.worksheet_text import input_unit, near, value_json, value_text
from engine.worksheet_text import run as run_worksheet

LISTED = "farstead work lists them"


def run(arguments: argparse.Namespace) -> int:
    """Do what was asked; the exit status of the contract."""
    if arguments.id is None:
        return _list(arguments.json)
    sheet = BY_ID.get(arguments.id)
    if sheet is None:
        hint = near(arguments.id, list(BY_ID)) if _is_like_an_id(arguments.id) else LISTED
        return refuse([Problem("work", f'"{arguments.id}"', "the id of a worksheet", hint)])
    if arguments.about:
        if arguments.json:
            show_json(_about_json(sheet))
        else:
            print("\n".join(_about(sheet)))
        return FINE
    given, problems = _pairs(sheet.id, arguments.inputs)
    if problems:
        return refuse(problems)
    try:
        worked = run_worksheet(sheet, given)
    except Problems as error:
        return refuse(error.problems)
    if arguments.json:
        show_json(as_json(worked))
    else:
        print("\n".join(lines(worked, arguments.units)))
    return FINE


def _is_like_an_id(text: str) -> bool:
    return bool(difflib.get_close_matches(text, BY_ID, n=1, cutoff=0.5))


def _list(as_data: bool) -> int:
    if as_data:
        show_json([{"worksheet": s.id, "subject": s.subject, "title": s.title} for s in WORKSHEETS])
        return FINE
    width = max(len(sheet.id) for sheet in WORKSHEETS)
    subject = ""
    for sheet in WORKSHEETS:
        if sheet.subject != subject:
            print(f"{sheet.subject}" if not subject else f"\n{sheet.subject}")
            subject = sheet.subject
        print(f"  {sheet.id:<{width}}  {sheet.title}")
    return FINE


def _pairs(id: str, texts: list[str]) -> tuple[dict[str, str], list[Problem]]:
    given: dict[str, str] = {}
    problems = []
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals or not name:
            problems.append(Problem(id, f'"{text}"', 'name=value, such as voc="49.5 V"'))
        elif name in given:
            problems.append(Problem(f"{id}.{name}", "a second value", "one value"))
        else:
            given[name] = value
    return given, problems


def _about(sheet: Worksheet) -> list[str]:
    text = [f"{sheet.id}: {sheet.title}", "", *(f"  {line}" for line in sheet.expression), "", "inputs"]
    text += [f"  {item.name:<20} {_describe(item)}" for item in sheet.inputs]
    text += [f"  give one of {', '.join(group)}" for group in sheet.one_of]
    text += ["outputs"]
    text += [
        f"  {item.name:<20} {item.title}" + (f" [{item.unit}]" if item.unit not in ("", "1") else "")
        for item in sheet.outputs
    ]
    if sheet.validity:
        text += ["", f"valid: {sheet.validity}"]
    return [*text, f"source: {sheet.source}"]


def _about_json(sheet: Worksheet) -> dict[str, Any]:
    return {
        "worksheet": sheet.id,
        "subject": sheet.subject,
        "title": sheet.title,
        "expression": sheet.expression,
        "inputs": [
            {
                "name": item.name,
                "title": item.title,
                "example": item.example,
                "unit": input_unit(item) or None,
                "required": item.required,
                "default": None if item.required else value_json(item.default, input_unit(item)),
                "words": item.words or None,
            }
            for item in sheet.inputs
        ],
        "one_of": sheet.one_of,
        "outputs": [
            {"name": item.name, "title": item.title, "unit": item.unit or None} for item in sheet.outputs
        ],
        "validity": sheet.validity,
        "source": str(sheet.source),
    }


def _describe(item: Input) -> str:
    unit = input_unit(item) or "1"
    parts = [item.title, f"such as {item.example}"]
    if item.words:
        parts.append("one of " + ", ".join(item.words))
    bounds = [("from", item.low), ("above", item.above), ("to", item.high)]
    ends = [f"{name} {units.show(end, unit)}" for name, end in bounds if end is not None]
    if ends:
        parts.append(" ".join(ends))
    if not item.required:
        parts.append(f"default {value_text(item.default, unit, 'metric')}")
    return "; ".join(parts)
