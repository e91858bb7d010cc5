"""``farstead picture``: the whole real window with one pane, in exact pixels, without a display."""

from __future__ import annotations

import argparse
import dataclasses
import math
import os
import re
from pathlib import Path
from typing import TYPE_CHECKING

from app.condition_steps import steps
from app.panes import PLACES
from app.terminal.exits import FINE, refuse
from engine import evaluate, load, units
from engine.design import KEYED, SINGLE, Design, circuit_ids
from engine.entry import nearest
from engine.problems import Problem, Problems
from engine.sections.condition_steps import UNITS, stands
from engine.units import UnitError
from engine.worksheet_text import near

if TYPE_CHECKING:
    from PySide6.QtGui import QImage

    from app.window import Window

LIMITS = {"cell": (-90, 120), "irradiance": (0, 2000), "wind": (0, 80), "flow": (0, 10), "battery": (0, 1500)}
SIZE = re.compile(r"([1-9][0-9]{2,4})x([1-9][0-9]{2,4})")
SMALLEST, LARGEST = (200, 150), (7680, 4320)
SCALES = (
    "QT_SCALE_FACTOR",
    "QT_SCREEN_SCALE_FACTORS",
    "QT_FONT_DPI",
    "QT_STYLE_OVERRIDE",
    "QT_USE_PHYSICAL_DPI",
)
ROUNDS = 4  # of events until layouts that ask for layouts have come to rest


def run(arguments: argparse.Namespace) -> int:
    """Draw the window and save the picture."""
    problems: list[Problem] = []
    names = [name for name, _ in PLACES]
    if arguments.pane not in names:
        need = f"the name of a pane: {', '.join(names)}"
        problems.append(Problem("--pane", f'"{arguments.pane}"', need, nearest(arguments.pane, names)))
    size = _size(arguments.size, problems)
    conditions = _conditions(arguments.set, problems)
    if not arguments.output.lower().endswith(".png"):
        problems.append(Problem("-o", f'"{arguments.output}"', "the name of a file that ends in .png"))
    try:
        design = load(arguments.site)
    except Problems as error:
        return refuse((*problems, *error.problems))
    piece = _piece(design, arguments.piece, problems)
    conditions = _step(arguments.set, design, problems) | conditions
    if problems:
        return refuse(problems)
    _without_a_screen()
    from PySide6.QtCore import qInstallMessageHandler

    from app.run import hear

    before = qInstallMessageHandler(lambda kind, _context, message: hear(kind, message))
    try:
        saved = _save(design, piece, conditions, size, arguments)
    finally:
        qInstallMessageHandler(before)
    if not saved:
        return refuse([Problem("-o", f'"{arguments.output}"', "a file that can be written")])
    return FINE


def _save(
    design: Design,
    piece: str,
    conditions: dict[str, float],
    size: tuple[int, int],
    arguments: argparse.Namespace,
) -> bool:
    from PySide6.QtCore import QEvent

    from app.run import make_application
    from app.session import Session
    from app.window import Window

    application = make_application()
    session = Session(design, Path(arguments.site))
    window = Window(session, arguments.look)
    session.select(piece)
    session.look(**conditions)
    window.show_place(arguments.pane)
    image = _draw(window, size)
    saved = (_fewer_colours(image) if arguments.small else image).save(arguments.output)
    window.close()
    window.deleteLater()
    application.sendPostedEvents(window, QEvent.Type.DeferredDelete)
    return saved


def _without_a_screen() -> None:
    """The same pixels on every machine: no screen, no scaling of its own."""
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    for name in SCALES:
        os.environ.pop(name, None)


def _draw(window: Window, size: tuple[int, int]) -> QImage:
    """The window in exactly so many pixels; where it needs more room, drawn larger as a whole and shrunk."""
    from PySide6.QtCore import QSize, Qt
    from PySide6.QtGui import QImage
    from PySide6.QtWidgets import QApplication

    window.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)
    window.resize(*size)
    window.show()
    for _ in range(ROUNDS):
        QApplication.processEvents()
    least = window.minimumSizeHint()
    shrink = max(1.0, least.width() / size[0], least.height() / size[1])
    room = QSize(math.ceil(size[0] * shrink), math.ceil(size[1] * shrink))
    window.setFixedSize(room)
    focused = window.focusWidget()
    if focused is not None:
        focused.clearFocus()
    for _ in range(ROUNDS):
        QApplication.processEvents()
    image = QImage(room, QImage.Format.Format_RGB32)
    window.render(image)
    if room == QSize(*size):
        return image
    smooth = Qt.TransformationMode.SmoothTransformation
    return image.scaled(QSize(*size), Qt.AspectRatioMode.IgnoreAspectRatio, smooth)


def _fewer_colours(image: QImage) -> QImage:
    """The picture in 256 of its colours, any other as the nearest of them: a third of the bytes.

    The commonest are kept; far from grey a colour counts more, so that a thin red line stays red.
    """
    import numpy as np
    from PySide6.QtCore import Qt
    from PySide6.QtGui import QImage

    image = image.convertToFormat(QImage.Format.Format_RGB32)
    colours, counts = np.unique(np.frombuffer(image.constBits(), np.uint32), return_counts=True)
    channels = colours.view(np.uint8).reshape(-1, 4)[:, :3].astype(np.int64)
    weights = counts * (8 + np.ptp(channels, axis=1))
    kept = [int(colour) for colour in colours[np.argsort(-weights, kind="stable")][:256]]
    plain = Qt.ImageConversionFlag.ThresholdDither | Qt.ImageConversionFlag.AvoidDither
    return image.convertToFormat(QImage.Format.Format_Indexed8, kept, plain)


def _size(text: str, problems: list[Problem]) -> tuple[int, int]:
    match = SIZE.fullmatch(text)
    size = (int(match[1]), int(match[2])) if match else (0, 0)
    if not all(low <= side <= high for low, side, high in zip(SMALLEST, size, LARGEST, strict=True)):
        low, high = (f"{wide}x{tall}" for wide, tall in (SMALLEST, LARGEST))
        problems.append(
            Problem("--size", f'"{text}"', f"a size in pixels, {low} to {high}, such as 1366x768")
        )
    return size


def _conditions(texts: list[str], problems: list[Problem]) -> dict[str, float]:
    found: dict[str, float] = {}
    for text in texts:
        name, equals, value = text.partition("=")
        if name == "step" and equals:
            continue
        if not equals or name not in UNITS:
            need = f"name=value with one of {', '.join(UNITS)} or step"
            problems.append(Problem("--set", f'"{text}"', need, nearest(name, [*UNITS, "step"])))
            continue
        try:
            read = float(units.parse(value, UNITS[name]))
            low, high = LIMITS[name]
            if not low <= read <= high:
                need = f"{units.show(low, UNITS[name])} to {units.show(high, UNITS[name])}"
                raise UnitError(f'"{value}"', need)
            found[name] = read
        except UnitError as error:
            problems.append(Problem(f"--set {name}", error.got, error.need, error.hint))
    return found


def _step(texts: list[str], design: Design, problems: list[Problem]) -> dict[str, float]:
    """The conditions of the last named step asked for; single conditions then change them."""
    from app.session import at_first

    asked = [text.partition("=")[2] for text in texts if text.startswith("step=")]
    if not asked:
        return {}
    known = stands(design, evaluate(design).arrays, at_first(design), steps())
    names = [stand.step.id for stand in known]
    stand = next((stand for stand in known if stand.step.id == asked[-1]), None)
    if stand is None:
        need = f"a step of this design: {', '.join(names) or 'it has none yet'}"
        problems.append(Problem("--set step", f'"{asked[-1]}"', need, nearest(asked[-1], names)))
        return {}
    if stand.conditions is None:
        lacking = ", ".join(item.path for item in stand.missing)
        problems.append(Problem("--set step", f'"{asked[-1]}"', f"{lacking} entered in the site file"))
        return {}
    return dataclasses.asdict(stand.conditions)


def _piece(design: Design, asked: str | None, problems: list[Problem]) -> str:
    """The path of a piece, circuit or device by its id or path; empty where none is asked for."""
    if not asked:
        return ""
    paths = [
        f"{table}.{item.id}" for table in KEYED for item in getattr(design, table) if table != "circuits"
    ]
    paths += [f"circuits.{id}" for id in circuit_ids(design)]
    paths += [*SINGLE, "loads"]
    found = next((path for path in paths if asked in (path, path.partition(".")[2])), "")
    if not found:
        known = [path.partition(".")[2] or path for path in paths]
        problems.append(Problem("--piece", f'"{asked}"', "the id of a piece", near(asked, known)))
    return found
