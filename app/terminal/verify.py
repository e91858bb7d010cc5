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
    rows = verify.verify(cases)
    missed = {row.id for row in rows if not row.ok}
    if arguments.json:
        show_json({"cases": [_row(row) for row in rows]})
    else:
        for row in rows:
            mark = "within" if row.ok else "MISSED"
            reason = f" ({row.reason})" if row.reason else ""
            print(f"{mark}  {row.id}  {row.output}: expected {row.expected}, got {_got(row.got)}{reason}")
        print(f"{len(cases) - len(missed)} of {len(cases)} cases within")
    return FAILS if missed else FINE


def _row(row: verify.Row) -> dict[str, Any]:
    fields = ("id", "worksheet", "output", "expected", "got", "within", "ok")
    return {name: getattr(row, name) for name in fields}


def _got(value: Any) -> str:
    if isinstance(value, dict):
        return f"{value['value']:.6g} {value['unit']}"
    if isinstance(value, list):
        return "[" + ", ".join(_got(item) for item in value) + "]"
    return f"{value:.6g}" if isinstance(value, float) else str(value)
