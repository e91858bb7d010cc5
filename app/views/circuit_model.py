"""The model of the table of circuits, and the proxy that sorts it and filters it by words."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QSortFilterProxyModel,
    Qt,
)

from app.look import LIGHT, Look
from app.views.circuit_rows import COLUMNS, Row, sorted_by, text
from app.views.marks import mark_icon, mark_word

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole
RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter


class CircuitModel(QAbstractTableModel):
    """Rows of circuits in a habit of units."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.rows: tuple[Row, ...] = ()
        self.habit = "metric"
        self._texts: list[tuple[str, ...]] = []
        self._look = LIGHT

    def rowCount(self, parent: Index | None = None) -> int:
        """How many circuits there are."""
        return 0 if parent is not None and parent.isValid() else len(self.rows)

    def columnCount(self, parent: Index | None = None) -> int:
        """How many columns there are."""
        return 0 if parent is not None and parent.isValid() else len(COLUMNS)

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:
        """Text, status mark, alignment, tooltip and spoken text of a cell."""
        if not index.isValid():
            return None
        place, row = index.column(), self.rows[index.row()]
        column, cell = COLUMNS[place], self._texts[index.row()][place]
        if role == Role.DisplayRole:
            return "" if column.key == "status" else cell
        if role == Role.DecorationRole and column.key == "status":
            return mark_icon(row.status, self._look)
        if role == Role.TextAlignmentRole:
            return RIGHT if column.unit else LEFT
        if role == Role.ToolTipRole:
            return mark_word(row.status) if column.key == "status" else cell
        if role == Role.AccessibleTextRole:
            return f"{column.title or column.help}: {cell}"
        return None

    def headerData(self, section: int, way: Qt.Orientation, role: int = Role.DisplayRole) -> Any:
        """A column's title, alignment and meaning."""
        if way is not Qt.Orientation.Horizontal:
            return None
        column = COLUMNS[section]
        if role == Role.DisplayRole:
            return column.title
        if role == Role.TextAlignmentRole:
            return RIGHT if column.unit else LEFT
        if role in (Role.ToolTipRole, Role.AccessibleTextRole):
            return column.help or column.title
        return None

    def put(self, rows: tuple[Row, ...], habit: str) -> bool:
        """Show these rows; ``True`` where the list was made anew, ``False`` where cells only changed."""
        if rows == self.rows and habit == self.habit:
            return False
        anew = [row.circuit.id for row in rows] != [row.circuit.id for row in self.rows]
        kept = {row.circuit.id: told for row, told in zip(self.rows, self._texts, strict=True)}
        same = {row.circuit.id for row, old in zip(rows, self.rows, strict=False) if row == old}
        same = same if habit == self.habit else set()
        texts = [kept[row.circuit.id] if row.circuit.id in same else _texts(row, habit) for row in rows]
        if anew:
            self.beginResetModel()
        changed = [
            place
            for place, (old, new) in enumerate(zip(self._texts, texts, strict=False))
            if old != new or self.rows[place].status != rows[place].status
        ]
        self.rows, self.habit, self._texts = rows, habit, texts
        if anew:
            self.endResetModel()
        elif changed:
            last = self.index(changed[-1], len(COLUMNS) - 1)
            self.dataChanged.emit(self.index(changed[0], 0), last)
        return anew

    def set_look(self, look: Look) -> None:
        """Draw the marks in a look's colours."""
        self._look = look
        if self.rows:
            self.dataChanged.emit(self.index(0, 0), self.index(len(self.rows) - 1, 0))

    def cell(self, row: int, column: int) -> str:
        """The text of a cell, the word of a status included."""
        return self._texts[row][column]


def _texts(row: Row, habit: str) -> tuple[str, ...]:
    return tuple(text(row, column, habit) for column in COLUMNS)


class CircuitOrder(QSortFilterProxyModel):
    """Sorts by what a column is sorted by, unknown last either way; keeps rows that have every word typed."""

    def __init__(self, model: CircuitModel) -> None:
        super().__init__(model)
        self._model = model
        self._words: tuple[str, ...] = ()
        self.setSourceModel(model)

    def set_words(self, typed: str) -> None:
        """Keep the rows in which every one of the words stands, in any column."""
        self._words = tuple(typed.casefold().split())
        self.invalidate()

    def row(self, place: int) -> Row:
        """The row at a place of the table as it is sorted."""
        return self._model.rows[self.mapToSource(self.index(place, 0)).row()]

    def place_of(self, circuit: str) -> int:
        """Where a circuit stands in the table; -1 where the filter hides it."""
        return next((at for at in range(self.rowCount()) if self.row(at).circuit.id == circuit), -1)

    def headerData(self, section: int, way: Qt.Orientation, role: int = Role.DisplayRole) -> Any:
        """The heads, with an arrow on the one that is sorted by."""
        told = super().headerData(section, way, role)
        if role != Role.DisplayRole or section != self.sortColumn():
            return told
        arrow = "▴" if self.sortOrder() is Qt.SortOrder.AscendingOrder else "▾"
        return f"{told} {arrow}".strip()

    def filterAcceptsRow(self, row: int, parent: Index) -> bool:
        """Whether a row has every word."""
        said = "\n".join(self._model.cell(row, at) for at in range(len(COLUMNS))).casefold()
        return all(word in said for word in self._words)

    def lessThan(self, left: Index, right: Index) -> bool:
        """Numbers by size, texts by the alphabet, what is not known last."""
        column = COLUMNS[left.column()]
        one, other = (sorted_by(self._model.rows[index.row()], column) for index in (left, right))
        falling = self.sortOrder() is Qt.SortOrder.DescendingOrder
        if one is None or other is None:
            return (one is None) is falling and one is not other
        if isinstance(one, str) or isinstance(other, str):
            return str(one).casefold() < str(other).casefold()
        return one < other
