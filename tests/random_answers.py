"""What a random user meets: what asks is answered at random, what breaks is heard of."""

from __future__ import annotations

import shutil
import sys
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random
from types import TracebackType
from typing import TypeVar

from PySide6.QtCore import QObject, QPoint, Qt, QTimer, QtMsgType, qInstallMessageHandler
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QDialog, QFileDialog, QLineEdit, QWidget

Kind = TypeVar("Kind", bound=QWidget)
OFFSCREEN = "This plugin does not support"  # what a screenless platform says of windows
ANSWER_MS = 5
MOST_IN_A_DIALOG = 6


def one(random: Random, root: QWidget, kind: type[Kind]) -> Kind | None:
    """One of the widgets of a kind that are seen and can be used."""
    found = [
        each
        for each in root.findChildren(kind)
        if each.isVisible() and each.isEnabled() and not each.visibleRegion().isEmpty()
    ]
    return random.choice(found) if found else None


def point(random: Random, widget: QWidget) -> QPoint:
    """A point anywhere on a widget."""
    return QPoint(
        random.randint(0, max(widget.width() - 1, 0)), random.randint(0, max(widget.height() - 1, 0))
    )


class Answers:
    """Answers to dialogs, menus and questions for files; ``note`` hears of them, ``fault`` of what broke."""

    def __init__(
        self, random: Random, folder: Path, note: Callable[[str], None], fault: Callable[[str], None]
    ) -> None:
        self.random, self.folder, self.note, self.fault = random, folder, note, fault
        self._in_dialog = 0
        self._clock = QObject()

    def _answer(self) -> None:
        """Answer what stands in the way at random; called again and again, from nested loops too."""
        QTimer.singleShot(ANSWER_MS, self._clock, self._answer)
        popup, modal = QApplication.activePopupWidget(), QApplication.activeModalWidget()
        if popup is not None:
            keys = (Qt.Key.Key_Down, Qt.Key.Key_Down, Qt.Key.Key_Up, Qt.Key.Key_Return, Qt.Key.Key_Escape)
            QTest.keyClick(popup, self.random.choice(keys))
        elif isinstance(modal, QDialog):
            self._in_dialog += 1
            button, line = one(self.random, modal, QAbstractButton), one(self.random, modal, QLineEdit)
            if self._in_dialog > MOST_IN_A_DIALOG:
                self._in_dialog = 0
                modal.reject()
            elif line is not None and self.random.random() < 0.5:
                QTest.keyClicks(line, self.random.choice(("solar 300", "zzz", "12 V", "")))
                QTest.keyClick(line, Qt.Key.Key_Tab)
            elif button is not None:
                self.note(f"answer {button.text()}")
                QTest.mouseClick(button, Qt.MouseButton.LeftButton, pos=button.rect().center())
            else:
                modal.reject()
        else:
            self._in_dialog = 0

    def _a_file(self, *_about: object) -> tuple[str, str]:
        """A file to open: a good one, a bad one, or none."""
        here = Path(__file__).resolve().parent
        good = [*(here.parent / "demo_sites").glob("*.toml"), *(here / "data").glob("*.epw")]
        copy = shutil.copy(self.random.choice(good), self.folder)
        bad = self.folder / "bad.toml"
        bad.write_text('format = 1\n[bank]\nvoltage = "12 parsec"\n', encoding="utf-8")
        files = ("", copy, copy, str(bad), str(self.folder), str(self.folder / "missing.toml"))
        return self.random.choice(files), ""

    def _a_place(self, *_about: object) -> tuple[str, str]:
        """A file to save to: new, there already, in no folder, or none."""
        names = (
            f"out-{self.random.randint(1, 5)}",
            "out.toml",
            "out.pdf",
            "out.csv",
            "nowhere/out.toml",
            ".",
        )
        name = self.random.choice((*names, ""))
        return (str(self.folder / name) if name else ""), ""

    @contextmanager
    def given(self) -> Iterator[None]:
        """Hear of every exception and Qt message, and answer what asks."""

        def raised(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
            self.fault("".join(traceback.format_exception(kind, error, trace)))

        def heard(kind: QtMsgType, _context: object, message: str) -> None:
            if not message.startswith(OFFSCREEN) and kind != QtMsgType.QtDebugMsg:
                self.fault(f"Qt: {message}")

        asks = {"getOpenFileName": self._a_file, "getSaveFileName": self._a_place}
        before = {name: getattr(QFileDialog, name) for name in asks}
        hook, handler = sys.excepthook, qInstallMessageHandler(heard)
        sys.excepthook = raised
        for name, answer in asks.items():
            setattr(QFileDialog, name, answer)
        QTimer.singleShot(ANSWER_MS, self._clock, self._answer)
        try:
            yield
        finally:
            sys.excepthook = hook
            qInstallMessageHandler(handler)
            for name, asked in before.items():
                setattr(QFileDialog, name, asked)
