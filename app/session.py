"""The only holder of state: design, evaluation, file, undo stack, and the conditions of looking.

Every edit, undo, open and recovery ends in one setter, which asks for one evaluation; the pane that is
visible redraws on ``evaluated``. Conditions are not part of the design and not undoable.
"""

from __future__ import annotations

import dataclasses
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from app.commands import ChangeDesign
from app.schedule import Coalescer
from engine import dump, edit, evaluate, load
from engine.design import Design
from engine.evaluation import Evaluation
from engine.sections.results import Conditions


def at_first(design: Design) -> Conditions:
    """The conditions that one looks at first: standard test conditions, the bank at its nominal voltage."""
    voltage = design.bank.voltage
    return Conditions() if voltage is None else Conditions(battery=float(voltage))


class Session(QObject):
    """State and its three signals: ``changed`` (design, file or what is selected), ``evaluated`` (a new
    evaluation stands), ``looked`` (conditions, hold or units habit moved)."""

    changed = Signal()
    evaluated = Signal()
    looked = Signal()

    def __init__(self, design: Design, path: Path | None = None, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.undo_stack = QUndoStack(self)
        self._design = design
        self.path = path
        self.selected = ""
        self.conditions = at_first(design)
        self.held: Conditions | None = None
        self._coalescer = Coalescer(self._evaluate, self)
        self.evaluation: Evaluation = evaluate(design)
        self.undo_stack.cleanChanged.connect(self._clean_changed)

    @property
    def design(self) -> Design:
        return self._design

    @property
    def habit(self) -> str:
        return str(self._design.about.use("units"))

    @property
    def dirty(self) -> bool:
        return not self.undo_stack.isClean()

    def edit(self, path: str, text: str, drag: str = "") -> None:
        """Put a typed text into a field; raises ``FieldError`` and changes nothing where it can't be read."""
        after = edit.set_field(self._design, path, text)
        title = edit.spec_of(path).title
        self._push(after, f"change {title}", drag and f"{drag} {path}")

    def add(self, table: str, label: str = "") -> str:
        """Add a record to a table; its path."""
        after, id = edit.add(self._design, table, label)
        self._push(after, f"add {table} {id}")
        return f"{table}.{id}"

    def remove(self, path: str) -> None:
        """Remove a record and what refers to it."""
        self._push(edit.remove(self._design, path), f"remove {path.partition('.')[2]}")

    def replace(self, design: Design, text: str) -> None:
        """Put a whole edited design in place, as one undoable step."""
        self._push(design, text)

    def open(self, path: Path) -> None:
        """Open a file; raises ``Problems`` and changes nothing where it is refused."""
        self.start(load(path), path)

    def start(self, design: Design, path: Path | None) -> None:
        """Begin anew with a design: nothing to undo, nothing unsaved."""
        self.undo_stack.clear()
        self.path = path
        self.selected = ""
        self.held = None
        self.conditions = at_first(design)
        self._put(design)

    def save(self, path: Path) -> None:
        """Save to a file, atomically; raises ``OSError`` where that can't be done."""
        self._design = dump(self._design, path)
        self.path = path
        self.undo_stack.setClean()
        self.changed.emit()

    def select(self, path: str) -> None:
        """Select a piece of the system."""
        if path != self.selected:
            self.selected = path
            self.changed.emit()

    def look(self, **conditions: float) -> None:
        """Move conditions of looking."""
        self.conditions = dataclasses.replace(self.conditions, **conditions)
        self.looked.emit()

    def hold(self, on: bool) -> None:
        """Keep the present conditions as the ghost to compare with, or drop it."""
        self.held = self.conditions if on else None
        self.looked.emit()

    def settle(self) -> None:
        """Evaluate now if an evaluation is waiting."""
        if self._coalescer.waiting:
            self._coalescer.cancel()
            self._evaluate()

    def _push(self, after: Design, text: str, drag: str = "") -> None:
        if after is not self._design:
            self.undo_stack.push(ChangeDesign(self._put, self._design, after, text, drag))

    def _put(self, design: Design) -> None:
        self._design = design
        self._coalescer.ask()
        self.changed.emit()

    def _clean_changed(self, _clean: bool) -> None:
        self.changed.emit()

    def _evaluate(self) -> None:
        self.evaluation = evaluate(self._design)
        self.evaluated.emit()
