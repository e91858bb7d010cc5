"""What a log says of a load curve, point by point, before and after; accepted, the points are entered."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from app.refine_words import HEADS, rows, summary
from engine.sections.refine import Proposal


class RefineCurve(QDialog):
    """The table of a proposal; its button is dead where nothing is to be gained, and the text says so."""

    def __init__(
        self, proposal: Proposal, entered: tuple[float, float], habit: str, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle("Refine a load curve from a log")
        self.said = QLabel(summary(proposal, entered, habit))
        self.said.setWordWrap(True)
        self.table = QTableWidget(0, len(HEADS))
        self.table.setHorizontalHeaderLabels(HEADS)
        self.table.setAccessibleName("Points of the load curve, before and after")
        self.table.setEditTriggers(QTableWidget.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QTableWidget.SelectionBehavior.SelectRows)
        self.table.verticalHeader().hide()
        self.table.setWordWrap(False)
        lines = rows(proposal)
        self.table.setRowCount(len(lines))
        for place, line in enumerate(lines):
            for column, cell in enumerate(line):
                item = QTableWidgetItem(cell)
                if column < len(HEADS) - 1:
                    item.setTextAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
                self.table.setItem(place, column, item)
        buttons = QDialogButtonBox()
        self.take = buttons.addButton("Enter the new points", QDialogButtonBox.ButtonRole.AcceptRole)
        self.take.setEnabled(proposal.helps)
        buttons.addButton(QDialogButtonBox.StandardButton.Cancel)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column_ = QVBoxLayout(self)
        for widget in (self.said, self.table, buttons):
            column_.addWidget(widget)
        self._make_room()

    def _make_room(self) -> None:
        """As wide as its columns, as high as its rows, at any size of type."""
        self.ensurePolished()
        self.table.ensurePolished()
        self.table.resizeColumnsToContents()
        header = self.table.horizontalHeader()
        header.setStretchLastSection(True)
        letters = self.table.fontMetrics()
        wide = sum(self.table.columnWidth(at) for at in range(len(HEADS))) + 4 * letters.height()
        high = (self.table.rowCount() + 2) * self.table.rowHeight(0)
        self.resize(wide, min(high, 24 * letters.height()) + 12 * letters.height())
