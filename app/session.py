"""The only holder of state: design, evaluation, file, undo stack, and the conditions of looking.

Every edit, undo, open and recovery ends in one setter, which asks for one evaluation; the pane that is
visible redraws on ``evaluated``. Conditions, the piece looked at and the habit of units are ways of looking:
they stand in no file and are not undone.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QUndoStack

from app.commands import ChangeDesign
from app.schedule import Coalescer
from engine import dump, edit, evaluate, load
from engine.design import SINGLE, Design
from engine.evaluation import Evaluation
from engine.meant import meant
from engine.sections import live
from engine.sections.results import ArrayLook, Conditions
from engine.weather.hours import Weather

BOM = "\ufeff"
Kept = TypeVar("Kept")
OTHER = {"us": "metric", "metric": "us"}


class Session(QObject):
    """State and its signals: ``changed`` (design, file, unsaved or not), ``evaluated`` (a new evaluation
    stands, or another habit shows it), ``looked`` (conditions, what is held or what is selected)."""

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
        self.held_evaluation: Evaluation | None = None
        self._held: Conditions | None = None
        self.weather: Weather | None = None  # hours that were read to look at; in no file of ours
        self._follows = False
        self._habit = ""
        self._evaluated: tuple[Design, str] | None = None
        self._evaluation: Evaluation | None = None
        self._kept: dict[str, tuple[tuple[object, ...], object, Any]] = {}
        self._on_disk = design.origin  # the file's text, as last read or written
        self._coalescer = Coalescer(self.evaluated.emit, self)
        self.undo_stack.indexChanged.connect(self.changed)
        self.undo_stack.cleanChanged.connect(self.changed)

    @property
    def design(self) -> Design:
        return self._design

    @property
    def evaluation(self) -> Evaluation:
        """What the engine says about the design as it stands; never that of an earlier design."""
        now = (self._design, self.habit)
        if self._evaluation is None or self._evaluated is None or not _same(self._evaluated, now):
            looked_at = now[0] if now[1] == str(now[0].about.use("units")) else _in_units(*now)
            self._evaluation, self._evaluated = evaluate(looked_at), now
        return self._evaluation

    def looks(self, *, held: bool = False) -> Mapping[str, ArrayLook]:
        """The arrays live at the conditions, or at those held; empty where none are held."""
        conditions = self.held if held else self.conditions
        now = self.held_evaluation if held else self.evaluation
        if conditions is None or now is None:
            return {}
        at = (conditions.cell, conditions.irradiance, conditions.battery)
        look = partial(live.look_all, now.design, now.arrays, now.controllers, conditions)
        return self.kept("held" if held else "arrays", (now,), at, look)

    def kept(self, name: str, of: tuple[object, ...], at: object, make: Callable[[], Kept]) -> Kept:
        """What ``make`` gives, made anew only for other objects ``of`` which it is, or at another place."""
        before = self._kept.get(name)
        same = before is not None and len(before[0]) == len(of) and before[1] == at
        if before is None or not same or any(a is not b for a, b in zip(before[0], of, strict=True)):
            before = self._kept[name] = (of, at, make())
        found: Kept = before[2]
        return found

    @property
    def habit(self) -> str:
        """The units that a person looks in: the design's own, until swapped."""
        return self._habit or str(self._design.about.use("units"))

    @property
    def dirty(self) -> bool:
        """Whether there is work that no file has."""
        return not self.undo_stack.isClean()

    def edit(self, path: str, text: str, drag: str = "") -> None:
        """Put a typed text into a field; raises ``FieldError`` and changes nothing where it can't be read.

        Edits of one ``drag`` on one field are one step to undo.
        """
        after = edit.set_field(self._design, path, meant(self._design, path, text), self.habit)
        if path == "units":
            self._habit = ""
            self._coalescer.ask()
        self._push(after, f"change {edit.spec_of(path).title}", drag and f"{drag} {path}")

    def add(self, table: str, label: str = "", into: str = "") -> str:
        """Add a record to a table, and point the field ``into`` at it, as one step; its path."""
        after, id = edit.add(self._design, table, label)
        if into:
            after = edit.set_field(after, into, id)
        self._push(after, f"add {label or id}")
        return f"{table}.{id}"

    def remove(self, path: str) -> None:
        """Remove a record, its circuits and what points at it."""
        self._push(edit.remove(self._design, path), f"remove {path.partition('.')[2] or path}")

    def replace(self, design: Design, text: str) -> None:
        """Put a whole edited design in place, as one step to undo."""
        self._push(design, text)

    def open(self, path: Path, *, as_copy: bool = False) -> None:
        """Open a file; raises ``Problems`` and changes nothing where it is bad. A copy has no file yet."""
        self.start(load(path), None if as_copy else path)

    def start(self, design: Design, path: Path | None) -> None:
        """Begin anew with a design: nothing to undo, nothing unsaved, nothing held or selected."""
        self.path = path
        self._on_disk = design.origin
        self.selected = ""
        self._held = self.held_evaluation = self.weather = None
        self._habit = ""
        self.conditions = at_first(design)
        self._put(design)
        self.undo_stack.clear()
        self.changed.emit()
        self.settle()
        self.looked.emit()

    def save(self, path: Path) -> None:
        """Save to a file, atomically; raises ``OSError`` where that can't be done."""
        self._design = dump(self._design, path)
        self.path = path
        self._on_disk = self._design.origin
        self.undo_stack.setClean()
        self.changed.emit()

    def changed_elsewhere(self) -> bool:
        """Whether another program has changed the site's file since it was read or written here."""
        try:
            text = self.path.read_bytes().decode("utf-8", errors="replace") if self.path else self._on_disk
        except OSError:
            return False
        return text.removeprefix(BOM) != self._on_disk.removeprefix(BOM)

    def select(self, path: str) -> None:
        """Look at a piece of the system."""
        if path != self.selected:
            self.selected = path
            self.looked.emit()

    def look(self, **conditions: float) -> None:
        """Move conditions of looking."""
        self.look_at(dataclasses.replace(self.conditions, **conditions))

    def look_at(self, conditions: Conditions) -> None:
        """Look at other conditions, all at once."""
        self.conditions = conditions
        self.looked.emit()

    @property
    def held(self) -> Conditions | None:
        """The conditions of what is held; ``None`` where nothing is."""
        return self.conditions if self._held is not None and self._follows else self._held

    def hold(self, on: bool) -> None:
        """Keep the present design and conditions as the ghost to compare with, or drop it."""
        self._held = self.conditions if on else None
        self.held_evaluation = self.evaluation if on else None
        self._follows = False
        self.looked.emit()

    def hold_design(self, evaluation: Evaluation) -> None:
        """Hold another design, at whatever the conditions are: its ghost follows the sliders."""
        self._held, self.held_evaluation, self._follows = self.conditions, evaluation, True
        self.looked.emit()

    def swap_habit(self) -> None:
        """Look in the other habit's units; the design and its file stay as they are."""
        self._habit = OTHER[self.habit]
        self._coalescer.ask()
        self.settle()

    def befores(self) -> list[tuple[str, Design]]:
        """The designs before the steps that can be undone, the last step first, with what each step did."""
        steps = [self.undo_stack.command(at) for at in range(self.undo_stack.index())]
        return [(step.text(), step.before) for step in reversed(steps) if isinstance(step, ChangeDesign)]

    def in_units(self, design: Design) -> Design:
        """A design in the habit of units that is looked in."""
        return _in_units(design, self.habit)

    @property
    def waiting(self) -> bool:
        """Whether an evaluation waits to be told of."""
        return self._coalescer.waiting

    def settle(self) -> None:
        """Tell of a waiting evaluation now."""
        if self.waiting:
            self._coalescer.cancel()
            self.evaluated.emit()

    def _push(self, after: Design, text: str, drag: str = "") -> None:
        if after is not self._design:
            self.undo_stack.push(ChangeDesign(self._put, self._design, after, text, drag))

    def _put(self, design: Design) -> None:
        """The one setter; the undo stack, which calls it or was cleared, tells of the change."""
        before, self._design = self._design, design
        first, now = at_first(before), at_first(design)
        for name in ("battery", "flow"):
            if getattr(self.conditions, name) == getattr(first, name):
                self.conditions = dataclasses.replace(self.conditions, **{name: getattr(now, name)})
        if self.selected and not _stands(design, self.selected):
            self.selected = ""
        self._coalescer.ask()


def at_first(design: Design) -> Conditions:
    """The conditions that one looks at first: standard test conditions, the bank at its nominal voltage, the
    first hydro turbine at its full flow."""
    usual, voltage = Conditions(), design.bank.voltage
    flows = [float(turbine.flow) for turbine in design.hydro if turbine.flow]
    return dataclasses.replace(
        usual,
        battery=usual.battery if voltage is None else float(voltage),
        flow=flows[0] if flows else usual.flow,
    )


def _same(one: tuple[Design, str], other: tuple[Design, str]) -> bool:
    return one[0] is other[0] and one[1] == other[1]


def _in_units(design: Design, habit: str) -> Design:
    return dataclasses.replace(design, about=dataclasses.replace(design.about, units=habit))


def _stands(design: Design, path: str) -> bool:
    table, _, id = path.partition(".")
    return table in SINGLE or table == "circuits" or not id or design.find(table, id) is not None
