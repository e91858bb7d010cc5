"""A real window over a copy of a demo site, and hands to use it with."""

from __future__ import annotations

import shutil
from pathlib import Path

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.fields.controls import Choice, Line
from app.fields.row import FieldRow
from app.places import demo_sites
from app.session import Session
from app.views.line_canvas import LineCanvas
from app.window import Window
from engine import edit, load
from engine.design import Design
from engine.finding import Status

SIZE = (1366, 768)


class Hands:
    """A window, and what a person does to it."""

    def __init__(self, qtbot: QtBot, session: Session, size: tuple[int, int] = SIZE) -> None:
        self.bot, self.session = qtbot, session
        self.window = Window(session)
        qtbot.addWidget(self.window, before_close_func=self._let_go)
        self.window.resize(*size)
        self.window.show()
        self.window.activateWindow()
        qtbot.waitUntil(self.window.isActiveWindow)
        QApplication.processEvents()

    def _let_go(self, _window: Window) -> None:
        """Leave nothing that closing would ask about."""
        self.session.undo_stack.setClean()
        self.window.unread = lambda: ()  # type: ignore[method-assign]

    @property
    def design(self) -> Design:
        return self.session.design

    def entered(self, path: str) -> str:
        """The text of a field as the design has it."""
        return edit.typed(self.design, path)

    def settle(self) -> None:
        """Let the window catch up."""
        QApplication.processEvents()
        self.session.settle()
        QApplication.processEvents()

    def row(self, path: str) -> FieldRow:
        """The row of a field in the pane that is shown."""
        for form in self.window.shown.forms():
            row = form.row(path)
            if row is not None and form.isVisibleTo(self.window):
                return row
        raise AssertionError(f"no field {path} in {type(self.window.shown).__name__}")

    def line(self, path: str) -> Line:
        control = self.row(path).control
        assert isinstance(control, Line)
        return control

    def choice(self, path: str) -> Choice:
        control = self.row(path).control
        assert isinstance(control, Choice)
        return control

    def type_in(self, path: str, text: str, leave: Qt.Key = Qt.Key.Key_Return) -> None:
        """Jump to a field, type over it and leave it."""
        assert self.window.go_to(path), path
        line = self.line(path)
        line.selectAll()
        self.bot.keyClick(line, Qt.Key.Key_Delete)
        self.bot.keyClicks(line, text)
        self.bot.keyClick(line, leave)
        self.settle()

    def press(self, key: Qt.Key, *modifiers: Qt.KeyboardModifier) -> None:
        """Press a key where the focus is."""
        target = QApplication.focusWidget() or self.window
        together = Qt.KeyboardModifier.NoModifier
        for modifier in modifiers:
            together |= modifier
        self.bot.keyClick(target, key, together)
        self.settle()

    def click_piece(self, path: str) -> None:
        """Click a piece on the line."""
        canvas = self.window.line.findChild(LineCanvas)
        assert canvas is not None
        at = canvas.box(path).center().toPoint()
        self.bot.mouseClick(canvas.viewport(), Qt.MouseButton.LeftButton, pos=at)
        self.settle()

    def counts(self) -> dict[Status, int]:
        return self.session.evaluation.counts()


def copy_of(name: str, folder: Path) -> Path:
    """A copy of a demo site that may be written to."""
    return Path(shutil.copy(demo_sites() / f"{name}.toml", folder / f"{name}.toml"))


def over(qtbot: QtBot, path: Path) -> Hands:
    """A window over a site file."""
    return Hands(qtbot, Session(load(path), path))
