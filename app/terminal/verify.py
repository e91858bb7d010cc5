"""``farstead verify``: run published cases through the worksheets and say which are within."""

from __future__ import annotations

import argparse
from typing import Any

from app.terminal.exits import FAILS, FINE, read_file, refuse, show_json
from engine import verify
from engine.problems import Problems


def run(arguments: argparse.Namespace) -> int:
    """Compare and tell; 1 where a case is missed."""
    try:
        if arguments.file is None:
            cases = verify.shipped()
        else:
            cases = verify.read(read_file(arguments.file), arguments.file)
    except Problems as error:
        return refuse(error.problems)
    compared = [verify.verify((case,)) for case in cases]
    rows = [row for of_case in compared for row in of_case]
    within = sum(all(row.ok for row in of_case) for of_case in compared)
    if arguments.json:
        show_json({"cases": [_row(row) for row in rows]})
    else:
        for row in rows:
            mark = "within" if row.ok else "MISSED"
            reason = f" ({row.reason})" if row.reason else ""
            expected, got = _text(row.expected), _text(row.got)
            print(f"{mark}  {row.id}  {row.output}: expected {expected}, got {got}{reason}")
        print(f"{within} of {len(cases)} cases within")
    return FINE if within == len(cases) else FAILS


def _row(row: verify.Row) -> dict[str, Any]:
    fields = ("id", "worksheet", "output", "expected", "got", "within", "ok")
    return {name: getattr(row, name) for name in fields}


def _text(value: Any) -> str:
    if isinstance(value, dict):
        return f"{value['value']:.6g} {value['unit']}"
    if isinstance(value, list):
        return "[" + ", ".join(_text(item) for item in value) + "]"
    if isinstance(value, bool) or value is None:
        return {True: "yes", False: "no", None: "nothing"}[value]
    return f"{value:.6g}" if isinstance(value, float) else str(value)
