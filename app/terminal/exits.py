"""The exit statuses of every command, and how problems are told."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from typing import Any

from engine.problems import Problem

FINE = 0
FAILS = 1
BAD_INPUT = 2
UNKNOWN = 3
PROGRAM_FAILED = 4


def refuse(problems: Iterable[Problem]) -> int:
    """Tell each problem in one line on standard error; the status for bad input."""
    for problem in problems:
        print(problem, file=sys.stderr)
    return BAD_INPUT


def show_json(data: Any) -> None:
    """Print JSON; NaN and infinity are a programmer's mistake."""
    print(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))


def read_file(path: str, largest: int = 2_000_000) -> str:
    """A text file's content; raises ``Problems`` where it can't be read as text."""
    from pathlib import Path

    from engine.problems import Problems

    try:
        if Path(path).stat().st_size > largest:
            raise Problems((Problem(path, "a file of more than 2 MB", "a smaller one"),))
        return Path(path).read_text("utf-8")
    except OSError as error:
        raise Problems((Problem(path, error.strerror or str(error), "a file that can be read"),)) from error
    except UnicodeDecodeError as error:
        raise Problems((Problem(path, "bytes that are not UTF-8", "a text file"),)) from error
