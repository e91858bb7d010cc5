"""``farstead modules``: find rows of the open module table."""

from __future__ import annotations

import argparse

from app.terminal.exits import FINE, refuse, show_json
from engine import units
from engine.module_table import Row, find
from engine.problems import Problem, Problems

_MOST = 60
_COLUMNS = (
    ("power", "W"),
    ("voc", "V"),
    ("isc", "A"),
    ("vmp", "V"),
    ("imp", "A"),
    ("beta_voc", "V/K"),
    ("alpha_isc", "A/K"),
    ("gamma_pmp", "1/K"),
)
_NOTE = "The maker's sheet decides; largest series fuse and system voltage have to be entered from it."


def run(arguments: argparse.Namespace) -> int:
    """Print the rows that hold every word; the exit status of the contract."""
    words = [word for text in arguments.words for word in text.split()]
    if not words:
        return refuse([Problem("modules", "no words", "words such as mono 72 or a power such as 400")])
    try:
        rows = find(words)
    except Problems as error:
        return refuse(error.problems)
    if not rows:
        hint = "fewer or shorter words find more"
        return refuse(
            [Problem("modules", f'"{" ".join(words)}"', "words of a module's name or technology", hint)]
        )
    if arguments.json:
        show_json({"format": 1, "count": len(rows), "modules": [_json(row) for row in rows]})
        return FINE
    print("\n".join(_table(rows[:_MOST])))
    print(f"\n{min(len(rows), _MOST)} of {len(rows)} rows. {_NOTE}")
    return FINE


def _value(row: Row, name: str) -> float:
    """A column in its canonical unit; the table counts the power coefficient in per cent."""
    value: float = getattr(row, name)
    return value / 100 if name == "gamma_pmp" else value


def _json(row: Row) -> dict[str, object]:
    return {
        "name": row.name,
        "technology": row.technology,
        **{name: units.as_json(_value(row, name), unit) for name, unit in _COLUMNS},
        "cells": row.cells,
        "noct": units.as_json(row.noct, "degC"),
    }


def _table(rows: tuple[Row, ...]) -> list[str]:
    cells = [["module", "technology", *(name for name, _ in _COLUMNS), "cells", "noct"]]
    for row in rows:
        values = [units.show(_value(row, name), unit) for name, unit in _COLUMNS]
        cells.append([row.name, row.technology, *values, str(row.cells), units.show(row.noct, "degC")])
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    return [
        "  ".join(
            text.ljust(width) if at < 2 else text.rjust(width)
            for at, (text, width) in enumerate(zip(line, widths, strict=True))
        )
        for line in cells
    ]
