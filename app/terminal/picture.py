"""``farstead picture``: the whole real window with one pane, as a picture of exact pixels, without a display."""

from __future__ import annotations

import argparse
import os
import re
from pathlib import Path

from app.terminal.exits import FINE, refuse
from engine import load, units
from engine.design import Design
from engine.problems import Problem, Problems
from engine.units import UnitError
from engine.worksheet_text import near

CONDITIONS = {"cell": "degC", "irradiance": "W/m^2", "wind": "m/s", "flow": "m^3/s", "battery": "V"}
SIZE = re.compile(r"([1-9][0-9]{2,4})x([1-9][0-9]{2,4})")
SMALLEST, LARGEST = (800, 600), (7680, 4320)
PIECES = ("arrays", "wind", "hydro", "controllers", "modules")
LIMITS = {"cell": (-90, 120), "irradiance": (0, 2000), "wind": (0, 80), "flow": (0, 10), "battery": (0, 1500)}


def run(arguments: argparse.Namespace) -> int:
    """Draw the window and save the picture."""
    problems: list[Problem] = []
    size = _size(arguments.size, problems)
    conditions = _conditions(arguments.set, problems)
    if not arguments.output.lower().endswith(".png"):
        problems.append(Problem("-o", f'"{arguments.output}"', "a name that ends in .png"))
    try:
        design = load(arguments.site)
    except Problems as error:
        return refuse((*problems, *error.problems))
    if problems:
        return refuse(problems)
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from app.run import make_application
    from app.session import Session
    from app.window import PLACES, Window

    names = [name for name, _ in PLACES]
    if arguments.pane not in names:
        return refuse([Problem("--pane", f'"{arguments.pane}"', "a pane", near(arguments.pane, names))])
    application = make_application()
    session = Session(design, Path(arguments.site))
    piece = _piece(design, arguments.piece)
    if piece is None:
        known = ", ".join(item.id for table in PIECES for item in getattr(design, table))
        return refuse([Problem("--piece", f'"{arguments.piece}"', f"the id of a piece: {known}")])
    window = Window(session, arguments.look)
    window.resize(*size)
    if piece:
        window.choose(piece)
    window.show_place(arguments.pane)
    session.look(**conditions)
    window.show()
    window.setFixedSize(*size)
    application.processEvents()
    application.processEvents()
    saved = window.grab().toImage().scaled(*size).save(arguments.output)
    window.session.undo_stack.setClean()
    window.close()
    if not saved:
        return refuse([Problem("-o", f'"{arguments.output}"', "a file that can be written")])
    return FINE


def _size(text: str, problems: list[Problem]) -> tuple[int, int]:
    match = SIZE.fullmatch(text)
    size = (int(match[1]), int(match[2])) if match else (0, 0)
    fits = SMALLEST[0] <= size[0] <= LARGEST[0] and SMALLEST[1] <= size[1] <= LARGEST[1]
    if not fits:
        problems.append(Problem("--size", f'"{text}"', "a size in pixels from 800x600 to 7680x4320"))
    return size


def _conditions(texts: list[str], problems: list[Problem]) -> dict[str, float]:
    found: dict[str, float] = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if not equals or name not in CONDITIONS:
            known = ", ".join(CONDITIONS)
            problems.append(Problem("--set", f'"{text}"', f"name=value with one of {known}"))
            continue
        try:
            read = float(units.parse(value, CONDITIONS[name]))
            low, high = LIMITS[name]
            if not low <= read <= high:
                need = f"{units.show(low, CONDITIONS[name])} to {units.show(high, CONDITIONS[name])}"
                raise UnitError(f'"{value}"', need)
            found[name] = read
        except UnitError as error:
            problems.append(Problem(f"--set {name}", error.got, error.need, error.hint))
    return found


def _piece(design: Design, id: str | None) -> str | None:
    """The path of a piece by its id; empty for none asked, ``None`` for one that is not there."""
    if id is None:
        return ""
    for table in PIECES:
        if design.find(table, id.rpartition(".")[2]) is not None:
            return f"{table}.{id.rpartition('.')[2]}"
    return None
