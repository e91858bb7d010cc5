"""``farstead new``: write a commented starting file. It never overwrites."""

from __future__ import annotations

import argparse

from app.terminal.exits import FINE, refuse
from engine import starting_file
from engine.problems import Problem


def run(arguments: argparse.Namespace) -> int:
    """Write the file and say what to do next; the exit status of the contract."""
    path = arguments.file
    try:
        with open(path, "x", encoding="utf-8", newline="\n") as file:
            file.write(starting_file.text(arguments.rules))
    except FileExistsError:
        return refuse([Problem(path, "a file that is there already", "a new name: nothing is overwritten")])
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        return refuse([Problem(path, reason, "a place where a file can be written")])
    print(f"{path}: a starting file for {arguments.rules}. Fill it in, then: farstead check {path}")
    return FINE
