"""The windows that are open: each has a session, an undo stack and a recovery copy of its own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QApplication

from app import preferences
from app.autosave import Autosave
from app.session import Session
from engine.design import Design

if TYPE_CHECKING:
    from app.window import Window

BESIDE = 32  # pixels that a further window stands lower and to the right
_open: dict[Window, Autosave] = {}  # held here: Qt keeps no window that Python lets go


def windows() -> tuple[Window, ...]:
    """The windows that are open, in the order of opening."""
    return tuple(_open)


def seat(window: Window) -> Autosave:
    """Take a window in: it gets its recovery copy, and is let go once it is closed."""
    keeper = _open[window] = Autosave(window.session)
    keeper.failed.connect(lambda why: window.say(f"No recovery copy could be written: {why}."))
    window.closed.connect(lambda: _closed(window))
    return keeper


def keeper_of(window: Window) -> Autosave:
    """What keeps the recovery copy of an open window."""
    return _open[window]


def open_beside(window: Window, design: Design, path: Path | None) -> Window:
    """A further window over a design, a little lower than another and in its look."""
    made = type(window)(Session(design, path), window.look.name)
    seat(made)
    made.resize(window.normalGeometry().size())
    made.move(window.x() + BESIDE, window.y() + BESIDE)
    made.show()
    made.activateWindow()
    return made


def show(window: Window) -> None:
    """Bring a window to the front."""
    if window.isMinimized():
        window.showNormal()
    window.show()
    window.raise_()
    window.activateWindow()


def window_over(path: Path) -> Window | None:
    """The open window whose site is in this file."""
    return next((each for each in _open if _same(each.session.path, path)), None)


def wear(name: str) -> None:
    """Let every window wear a look."""
    for window in _open:
        window.set_look(name)


def copy_after(delay: int) -> None:
    """Let every window write its recovery copy so long after a change, and those to come."""
    preferences.keep_copy_after(delay)
    for keeper in _open.values():
        keeper.set_delay(delay)


def active(otherwise: Window) -> Window:
    """The window that a person works in."""
    found = QApplication.activeWindow()
    if found in _open:
        return next(each for each in _open if each is found)
    return otherwise if otherwise in _open or not _open else next(iter(_open))


def close_all() -> bool:
    """Close every window, each asking for its unsaved work; whether all were closed."""
    return all(window.close() for window in windows())


def settle() -> None:
    """Write what is unsaved in windows that were not closed knowingly."""
    for keeper in _open.values():
        keeper.settle()


def _closed(window: Window) -> None:
    keeper = _open.pop(window, None)
    if keeper is not None:
        keeper.clear()
        window.deleteLater()


def _same(one: Path | None, other: Path) -> bool:
    return one is not None and one.resolve() == other.resolve()
