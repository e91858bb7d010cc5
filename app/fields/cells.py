"""Lists as small grids: twelve months, or pairs that grow by a row as they are filled.

A column has one unit, shown at its head; a bare number takes it. Nothing is entered until the list is whole.
"""

from __future__ import annotations

import re

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from app.fields.controls import Line

MONTHS = tuple(
    "January February March April May June July August September October November December".split()
)
ACROSS = 3
_PARTS = re.compile(r"([-+−]?[0-9][0-9.,]*(?:[eE][-+]?[0-9]+)?)\s*(.*)")


class Cell(Line):
    """One value of a grid; several values pasted into it go on into the cells behind it."""

    pasted = Signal(object)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.matches(QKeySequence.StandardKey.Paste):
            parts = [
                part for part in re.split(r"[;\t\n]", QGuiApplication.clipboard().text()) if part.strip()
            ]
            if len(parts) > 1:
                self.pasted.emit(parts)
                return
        super().keyPressEvent(event)


class Cells(QWidget):
    """A grid of ``columns`` values a row; ``waiting(what)`` while a list is begun and not whole."""

    entered = Signal(str)
    dropped = Signal()
    waiting = Signal(str)

    def __init__(self, name: str, columns: int) -> None:
        super().__init__()
        self.shown = ""
        self.stepping = False
        self._name, self._columns = name, columns
        self._units = [""] * columns
        self._heads = [QLabel() for _ in range(columns)]
        self._cells: list[Cell] = []
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(4)
        for head in self._heads:
            head.setObjectName("note")
        self._lay_heads()
        self._grow(len(MONTHS) if columns == 1 else 2 * columns)
        self.setFocusProxy(self._cells[0])

    def set_units(self, *units: str) -> None:
        """The units of the columns where nothing was typed yet."""
        if not self.shown:
            self._say_units(list(units))

    def show_text(self, text: str) -> None:
        """Show ``a; b; c`` or ``a: b; c: d``."""
        self.shown = text
        values = [
            part.strip() for part in re.split("[;:]" if self._columns > 1 else ";", text) if part.strip()
        ]
        common = [_common(values[at :: self._columns]) for at in range(self._columns)]
        if values:
            self._say_units([unit or "" for unit in common])
        self._grow(len(values) + (self._columns if self._columns > 1 else 0))
        for at, cell in enumerate(self._cells):
            value = values[at] if at < len(values) else ""
            cell.show_text(_number(value) if value and common[at % self._columns] is not None else value)

    def now(self) -> str:
        """The whole list as text; what was shown where nothing was changed."""
        if all(cell.now() == cell.shown for cell in self._cells):
            return self.shown
        rows = [row for row in self._rows() if any(row)]
        return "; ".join(": ".join(row) for row in rows)

    def mark(self, name: str, on: bool) -> None:
        """Mark every cell for the style sheet."""
        for cell in self._cells:
            if bool(cell.property(name)) != on:
                cell.setProperty(name, on)
                cell.style().unpolish(cell)
                cell.style().polish(cell)

    def _rows(self) -> list[list[str]]:
        texts = [self._whole(at, cell.now()) for at, cell in enumerate(self._cells)]
        return [texts[at : at + self._columns] for at in range(0, len(texts), self._columns)]

    def _whole(self, at: int, text: str) -> str:
        unit, match = self._units[at % self._columns], _PARTS.fullmatch(text)
        return f"{text} {unit}" if match and not match[2] and unit else text

    def _changed(self, at: int) -> None:
        column = at % self._columns
        match = _PARTS.fullmatch(self._cells[at].now())
        others = self._cells[column :: self._columns]
        if match and match[2] and sum(bool(cell.now()) for cell in others) == 1:
            units = list(self._units)
            units[column] = match[2]
            self._say_units(units)
        if all(cell.now() == cell.shown for cell in self._cells) and not self.property("bad"):
            return
        rows = [row for row in self._rows() if any(row)]
        if self._columns > 1 and all(cell.now() for cell in self._cells[-self._columns :]):
            self._grow(len(self._cells) + self._columns)
        lacking = sum(not value for row in rows for value in row)
        if self._columns == 1 and rows:
            lacking = len(self._cells) - len(rows)
        if lacking:
            self.waiting.emit(f"{lacking} more {'value is' if lacking == 1 else 'values are'} needed")
        elif self._columns == 1 or len(rows) != 1:
            self.entered.emit("; ".join(": ".join(row) for row in rows))
        else:
            self.waiting.emit("a second pair is needed")

    def _paste(self, at: int, parts: list[str]) -> None:
        parts = [value.strip() for part in parts for value in re.split(":", part)]
        self._grow(at + len(parts) if self._columns > 1 else 0)
        for cell, part in zip(self._cells[at:], parts, strict=False):
            cell.setText(part)
        self._changed(at)

    def _drop(self) -> None:
        self.show_text(self.shown)
        self.dropped.emit()

    def _say_units(self, units: list[str]) -> None:
        self._units = units
        for head, unit in zip(self._heads, units, strict=True):
            head.setText(unit)
            head.setVisible(bool(unit))

    def _lay_heads(self) -> None:
        for column, head in enumerate(self._heads):
            head.setAlignment(Qt.AlignmentFlag.AlignRight)
            if self._columns == 1:
                self._grid.addWidget(head, 0, 0, 1, 2 * ACROSS)
            else:
                self._grid.addWidget(head, 0, column)
            head.hide()

    def _grow(self, number: int) -> None:
        """Have at least that many cells; rows beyond what is shown are taken away where pairs stand."""
        number = -(-number // self._columns) * self._columns
        while self._columns > 1 and len(self._cells) > max(number, 2 * self._columns):
            cell = self._cells.pop()
            cell.editingFinished.disconnect()
            self._grid.removeWidget(cell)
            cell.setParent(None)
            cell.deleteLater()
        while len(self._cells) < number:
            self._add(len(self._cells))
        self.updateGeometry()

    def _add(self, at: int) -> None:
        cell = Cell()
        cell.setMinimumWidth(40)
        cell.editingFinished.disconnect()
        cell.editingFinished.connect(lambda: self._changed(self._cells.index(cell)))
        cell.pasted.connect(lambda parts: self._paste(self._cells.index(cell), parts))
        cell.dropped.connect(self._drop)
        self._cells.append(cell)
        if self._columns == 1:
            month = QLabel(MONTHS[at][0])
            month.setObjectName("note")
            row, column = 1 + at // ACROSS, 2 * (at % ACROSS)
            self._grid.addWidget(month, row, column)
            self._grid.addWidget(cell, row, column + 1)
            cell.setAccessibleName(f"{self._name}, {MONTHS[at]}")
        else:
            self._grid.addWidget(cell, 1 + at // self._columns, at % self._columns)
            side = ("first", "second")[at % self._columns]
            cell.setAccessibleName(f"{self._name}, row {at // self._columns + 1}, {side} value")


def _common(values: list[str]) -> str | None:
    """The unit that all values end with, empty for plain numbers; ``None`` where they differ."""
    units = {match[2] if (match := _PARTS.fullmatch(value)) else None for value in values}
    return units.pop() if len(units) == 1 else None


def _number(value: str) -> str:
    match = _PARTS.fullmatch(value)
    return match[1] if match else value
