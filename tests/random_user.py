"""A hasty, curious user made of a seed: real clicks, keys and drags on the real window, whatever they hit.

    python -m tests.random_user --minutes 30 --seed 1 demo_sites/lake_cabin.toml

drives a copy of a site, or an empty one where none is named, prints each new fault with the steps that led to
it, and ends with 1 where there was one. The same seed does the same things.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import tempfile
import time
import traceback
from collections import deque
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QDialog,
    QLineEdit,
    QMenu,
    QPlainTextEdit,
    QWidget,
)

from app import desk
from app.look import LOOKS
from app.run import make_application
from app.session import Session
from app.views.line_canvas import LineCanvas
from app.views.source_slider import SourceSlider
from app.window import Window
from engine import load
from engine.design import KEYED, Design
from engine.edit import empty
from engine.writer import dumps
from tests.random_answers import Answers, one, point
from tests.random_texts import NONSENSE, any_text, edited, paths

KEYS = (
    *(Qt.Key.Key_Up, Qt.Key.Key_Down, Qt.Key.Key_Left, Qt.Key.Key_Right, Qt.Key.Key_Return, Qt.Key.Key_Space),
    *(Qt.Key.Key_Escape, Qt.Key.Key_Tab, Qt.Key.Key_Home, Qt.Key.Key_End, Qt.Key.Key_PageDown, Qt.Key.Key_G),
    *(
        Qt.Key.Key_PageUp,
        Qt.Key.Key_Delete,
        Qt.Key.Key_Backspace,
        Qt.Key.Key_Plus,
        Qt.Key.Key_F1,
        Qt.Key.Key_F4,
    ),
)
LEAVES = (Qt.Key.Key_Return, Qt.Key.Key_Tab, Qt.Key.Key_Backtab, Qt.Key.Key_Escape)
SIZES = ((800, 600), (1024, 700), (1366, 768), (1920, 1080), (500, 400))
LEFT_OUT = ("Quit", "Close window")
"""Actions that end the run."""
NO_NUMBER = re.compile(r"\b(nan|NaN|inf|None(?! of )|True|False)\b")
CHECK_EVERY = 50
REMEMBERED = 30


class RandomUser:
    """Hands over one window; ``faults`` are what broke, each with the steps that led to it."""

    def __init__(self, session: Session, seed: int, folder: Path) -> None:
        self.random, self.folder, self.session = Random(seed), folder, session
        self.faults: list[str] = []
        self.step_number = 0
        self.last: deque[str] = deque(maxlen=REMEMBERED)
        self._told: set[str] = set()
        self._first = ""
        self.window = Window(session)
        desk.seat(self.window)
        self.window.resize(1366, 768)
        self.window.show()
        self.window.activateWindow()
        QApplication.processEvents()
        session.changed.connect(self._changed)
        self._changed()
        chances = (
            (10, self._type_in_a_field),
            (6, self._type_where_seen),
            (5, self._choose),
            (5, self._press_a_button),
            (4, self._click_a_piece),
            (3, self._change_place),
            (4, self._drag_a_slider),
            (6, self._poke),
            (5, self._press_keys),
            (4, self._take_an_action),
            (3, self._undo_or_redo),
            (1, self._resize),
            (1, self._wear_a_look),
            (2, self._open_a_finding),
            (1, self._let_time_pass),
            (1, self._edit_much),
        )
        self._does = [does for many, does in chances for _ in range(many)]

    def _changed(self) -> None:
        if self.session.undo_stack.count() == 0:
            self._first = dumps(self.session.design)

    def run(self, until: Callable[[int], bool]) -> None:
        """Step on until told to stop, checking after each step."""
        with Answers(self.random, self.folder, self.note, self.fault).given():
            while not until(self.step_number):
                self.step()
            self.check_undo()

    def step(self) -> None:
        """One thing that a user does, and what must hold after it."""
        self.step_number += 1
        does = self.random.choice(self._does)
        try:
            self.note(does.__name__.strip("_").replace("_", " "))
            does()
            self.settle()
            self._check()
            if self.step_number % CHECK_EVERY == 0:
                self.check_undo()
        except Exception:
            self.fault(traceback.format_exc())

    def settle(self) -> None:
        """Let the window catch up, and close what was opened beside it."""
        QApplication.processEvents()
        if self.window.session.waiting:
            self.window.session.settle()
        for other in desk.windows():
            if other is not self.window:
                other.session.undo_stack.setClean()
                other.close()
        beside = [
            each for each in QApplication.topLevelWidgets() if isinstance(each, QDialog) and each.isVisible()
        ]
        for dialog in beside if self.random.random() < 0.3 else ():
            dialog.close()
        QApplication.processEvents()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)

    def note(self, what: str) -> None:
        """Remember what is done, for the report of a fault."""
        self.last.append(f"{self.step_number}: {what}")

    def fault(self, what: str) -> None:
        """Keep a fault, once of each kind."""
        kind = re.sub(r"0x[0-9a-f]+|[0-9]+(?:\.[0-9]+)?", "#", what)[-300:]
        if kind in self._told:
            return
        self._told.add(kind)
        site = self.folder / f"fault-{len(self._told)}.toml"
        site.write_text(dumps(self.session.design), encoding="utf-8")
        steps = "\n  ".join(self.last)
        self.faults.append(f"{what}\nafter\n  {steps}\nwith {site}")

    # What must hold

    def _check(self) -> None:
        now = self.session.evaluation
        things = [item for table in KEYED for item in getattr(now.design, table)]
        labels = [str(item.label) for item in things if getattr(item, "label", None)]
        for finding in now.findings:
            words = f"{finding.title} {finding.remedy}"
            for label in labels:  # a person may call a thing "NaN"
                words = words.replace(label, "")
            if finding.rule == "program-failed":
                self.fault(finding.title)
            elif NO_NUMBER.search(words) or not finding.title or not finding.where or not str(finding.source):
                self.fault(f"{finding.rule} at {finding.where}: {words}")
        if not self.window.isVisible():
            self.fault("the window is gone")
            self.window.show()

    def check_undo(self) -> None:
        """Undo to the start gives the first text byte for byte, redo the design that stood."""
        stack, now, at = self.session.undo_stack, self.session.design, self.session.undo_stack.index()
        stack.setIndex(0)
        self.settle()
        if (text := dumps(self.session.design)) != self._first:
            (self.folder / "first.toml").write_text(self._first, encoding="utf-8")
            (self.folder / "undone.toml").write_text(text, encoding="utf-8")
            self.fault("undo to the start gives another text")
        stack.setIndex(at)
        self.settle()
        if self.session.design != now:
            self.fault("redo gives another design")

    # What the user does

    def _type_in_a_field(self) -> None:
        design = self.session.design
        path = self.random.choice(paths(design))
        there = self.window.go_to(path)
        self.note(f"go to {path}: {there}")
        focus = QApplication.focusWidget()
        if there and isinstance(focus, QLineEdit | QPlainTextEdit):
            self._type(focus, any_text(self.random, self.session.design, path))
        elif there and isinstance(focus, QComboBox):
            self._turn(focus)

    def _type_where_seen(self) -> None:
        line = one(self.random, self._root(), QLineEdit)
        if line is not None:
            QTest.mouseClick(line, Qt.MouseButton.LeftButton, pos=line.rect().center())
            path = self.random.choice(paths(self.session.design))
            texts = (*NONSENSE, any_text(self.random, self.session.design, path))
            self._type(line, self.random.choice(texts))

    def _type(self, line: QLineEdit | QPlainTextEdit, text: str) -> None:
        leave = self.random.choice(LEAVES)
        self.note(f"type {text[:60]!r} into {line.accessibleName()}, {leave.name}")
        line.selectAll()
        if self.random.random() < 0.8:
            QTest.keyClick(line, Qt.Key.Key_Delete)
        if len(text) > 40 or not text.isascii() or self.random.random() < 0.2:
            QGuiApplication.clipboard().setText(text)
            QTest.keyClick(line, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
        else:
            QTest.keyClicks(line, text)
        if self.random.random() < 0.9:
            QTest.keyClick(line, leave)

    def _choose(self) -> None:
        box = one(self.random, self._root(), QComboBox)
        if box is not None:
            self._turn(box)

    def _turn(self, box: QComboBox) -> None:
        self.note(f"choose in {box.accessibleName()}")
        box.setFocus()
        for _ in range(self.random.randint(1, 4)):
            QTest.keyClick(
                box, self.random.choice((Qt.Key.Key_Down, Qt.Key.Key_Down, Qt.Key.Key_Up, Qt.Key.Key_Home))
            )

    def _press_a_button(self) -> None:
        button = one(self.random, self._root(), QAbstractButton)
        if button is not None:
            self.note(f"press {button.text() or button.accessibleName()}")
            QTest.mouseClick(button, Qt.MouseButton.LeftButton, pos=button.rect().center())

    def _click_a_piece(self) -> None:
        canvas = self.window.line.findChild(LineCanvas)
        design = self.session.design
        seen = [path for path in ("bank", *_pieces(design)) if path in canvas._boxes]
        if seen and canvas.isVisible():
            path = self.random.choice(seen)
            self.note(f"click {path}")
            QTest.mouseClick(
                canvas.viewport(), Qt.MouseButton.LeftButton, pos=canvas.box(path).center().toPoint()
            )
            if self.random.random() < 0.15:
                self._press(Qt.Key.Key_Backspace, Qt.KeyboardModifier.ControlModifier)

    def _change_place(self) -> None:
        number = self.random.randint(1, 9)
        self._press(Qt.Key(Qt.Key.Key_0 + number), Qt.KeyboardModifier.ControlModifier)

    def _drag_a_slider(self) -> None:
        slider = one(self.random, self.window, SourceSlider)
        if slider is not None:
            self._drag(slider)

    def _drag(self, widget: QWidget) -> None:
        self.note(f"drag on {type(widget).__name__} {widget.accessibleName()}")
        QTest.mousePress(widget, Qt.MouseButton.LeftButton, pos=point(self.random, widget))
        for _ in range(self.random.randint(0, 6)):
            QTest.mouseMove(widget, point(self.random, widget))
            QApplication.processEvents()
        QTest.mouseRelease(widget, Qt.MouseButton.LeftButton, pos=point(self.random, widget))

    def _poke(self) -> None:
        """Move, click or drag on any widget that is seen."""
        widget = one(self.random, self._root(), QWidget)
        if widget is None:
            return
        if isinstance(widget, QAbstractItemView):
            widget = widget.viewport()
        self.note(f"poke {type(widget).__name__}")
        what = self.random.choice(("move", "click", "drag", "double", "menu"))
        left, none = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
        if what == "move":
            QTest.mouseMove(widget, point(self.random, widget))
        elif what == "click":
            QTest.mouseClick(widget, left, none, point(self.random, widget))
        elif what == "double":
            QTest.mouseDClick(widget, left, none, point(self.random, widget))
        elif what == "menu":
            QTest.mouseClick(widget, Qt.MouseButton.RightButton, none, point(self.random, widget))
        else:
            self._drag(widget)

    def _press_keys(self) -> None:
        modifiers = (Qt.KeyboardModifier.NoModifier,) * 4 + (Qt.KeyboardModifier.ShiftModifier,)
        for _ in range(self.random.randint(1, 8)):
            self._press(self.random.choice(KEYS), self.random.choice(modifiers))

    def _press(self, key: Qt.Key, modifier: Qt.KeyboardModifier = Qt.KeyboardModifier.NoModifier) -> None:
        focus = QApplication.focusWidget() or self.window
        self.note(f"{modifier.name} {key.name} on {type(focus).__name__}")
        QTest.keyClick(focus, key, modifier)

    def _take_an_action(self) -> None:
        able = [each for each in self.window.actions_made if each.isEnabled() and each.text() not in LEFT_OUT]
        adding = [each for menu in self.window.menuBar().findChildren(QMenu) for each in menu.actions()]
        action = self.random.choice((*able, *(each for each in adding if each in able)))
        self.note(f"menu: {action.text()}")
        action.trigger()

    def _undo_or_redo(self) -> None:
        stack = self.session.undo_stack
        does = self.random.choice((stack.undo, stack.undo, stack.redo))
        for _ in range(self.random.choice((1, 1, 3, 10))):
            does()

    def _resize(self) -> None:
        self.window.resize(*self.random.choice(SIZES))

    def _wear_a_look(self) -> None:
        self.window.set_look(self.random.choice(list(LOOKS)))

    def _open_a_finding(self) -> None:
        cards = self.window.findings.list
        if not cards.isVisible() or not self.session.evaluation.findings:
            return
        for _ in range(self.random.randint(1, 5)):
            QTest.keyClick(cards, Qt.Key.Key_Down)
        QTest.keyClick(cards, self.random.choice((Qt.Key.Key_Return, Qt.Key.Key_G)))
        self.settle()
        button = one(self.random, cards, QAbstractButton)
        if button is not None:
            QTest.mouseClick(button, Qt.MouseButton.LeftButton, pos=button.rect().center())

    def _let_time_pass(self) -> None:
        QTest.qWait(self.random.choice((1, 20, 200)))

    def _edit_much(self) -> None:
        """Many fields at once, as a comparison or a recovered file brings them."""
        self.session.replace(edited(self.random, self.session.design), "edit much")

    # Where

    def _root(self) -> QWidget:
        """The window, or now and then what stands open beside it."""
        seen = [
            each for each in QApplication.topLevelWidgets() if each.isVisible() and each is not self.window
        ]
        return self.random.choice(seen) if seen and self.random.random() < 0.4 else self.window

    def leave(self) -> None:
        """Close without a question."""
        self.session.undo_stack.setClean()
        self.window.unread = lambda: ()  # type: ignore[method-assign]
        self.window.close()
        QApplication.processEvents()


def objects() -> int:
    """How many Qt objects stand under all windows."""
    return sum(len(each.findChildren(QObject)) for each in QApplication.topLevelWidgets())


def megabytes() -> float:
    """The memory that this process has in use [MB]; 0 where the system does not tell in a file."""
    status = Path("/proc/self/status")
    held = re.search(r"VmRSS:\s+(\d+) kB", status.read_text()) if status.exists() else None
    return int(held[1]) / 1e3 if held else 0.0


def _pieces(design: Design) -> Iterator[str]:
    for table in ("arrays", "wind", "hydro", "controllers", "inverters", "generators", "loads", "relays"):
        yield from (f"{table}.{item.id}" for item in getattr(design, table))


def main() -> int:
    """Run for some minutes; 1 where something broke."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("site", metavar="SITE", nargs="?")
    parser.add_argument("--minutes", type=float, default=30.0)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    folder = Path(tempfile.mkdtemp(prefix="random-user-"))
    os.environ["FARSTEAD_STATE"] = str(folder / "state")
    make_application()
    path = Path(shutil.copy(asked.site, folder)) if asked.site else None
    user = RandomUser(Session(load(path) if path else empty(), path), asked.seed, folder)
    ends, told = time.monotonic() + 60 * asked.minutes, 0

    def over(number: int) -> bool:
        nonlocal told
        for fault in user.faults[told:]:
            print(f"\n{fault}", flush=True)
        told = len(user.faults)
        if number % 100 == 0:
            print(f"step {number}: {objects()} objects, {megabytes():.0f} MB", flush=True)
        return time.monotonic() > ends

    user.run(over)
    over(user.step_number)
    user.leave()
    print(f"{user.step_number} steps, {len(user.faults)} kinds of fault")
    return 1 if user.faults else 0


if __name__ == "__main__":
    raise SystemExit(main())
