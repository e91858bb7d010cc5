"""The page of keys: what every key of the window does, from the window's own actions."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.views.circuit_table import KEYS as CIRCUIT_KEYS
from app.views.findings import KEYS as FINDING_KEYS

NATIVE = QKeySequence.SequenceFormat.NativeText
FIELD_KEYS = (
    ("Take what was typed", "Enter or Tab"),
    ("Put the old value back", "Escape"),
)
ORDER_KEYS = (("Paste a list of devices", QKeySequence("Ctrl+V").toString(NATIVE)),)
Rows = list[tuple[str, str]]


def rows_of(actions: Iterable[QAction]) -> Rows:
    """What each action with a shortcut does, and its keys as this platform writes them."""
    return [
        (action.text().replace("&", ""), action.shortcut().toString(NATIVE))
        for action in actions
        if not action.shortcut().isEmpty()
    ]


class KeysDialog(QDialog):
    """A table of keys under headings."""

    def __init__(self, actions: Iterable[QAction], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keys")
        self.table = QTableWidget(0, 2)
        self.table.setAccessibleName("Keys and what they do")
        self.table.horizontalHeader().hide()
        self.table.verticalHeader().hide()
        self.table.setShowGrid(False)
        self.table.verticalHeader().setDefaultSectionSize(24)
        self.table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self.table.setSelectionMode(QTableWidget.SelectionMode.NoSelection)
        self.table.horizontalHeader().setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.table.horizontalHeader().setSectionResizeMode(1, QHeaderView.ResizeMode.ResizeToContents)
        self._add("Anywhere", rows_of(actions))
        self._add("In the findings", list(FINDING_KEYS))
        self._add("In the table of circuits", list(CIRCUIT_KEYS))
        self._add("In the order list", list(ORDER_KEYS))
        self._add("In a field", list(FIELD_KEYS))
        self.table.setCurrentCell(1, 0)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 16, 16, 12)
        column.setSpacing(12)
        column.addWidget(self.table)
        column.addWidget(buttons)
        self.resize(460, 600)

    def _add(self, heading: str, rows: Rows) -> None:
        place = self.table.rowCount()
        self.table.setRowCount(place + 1 + len(rows))
        head = QTableWidgetItem(heading)
        letters = head.font()
        letters.setBold(True)
        head.setFont(letters)
        head.setTextAlignment(Qt.AlignmentFlag.AlignBottom)
        self.table.setItem(place, 0, head)
        self.table.setSpan(place, 0, 1, 2)
        for more, (what, keys) in enumerate(rows, 1):
            self.table.setItem(place + more, 0, QTableWidgetItem(what))
            item = QTableWidgetItem(keys)
            item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            self.table.setItem(place + more, 1, item)
