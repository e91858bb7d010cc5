"""Two designs side by side, difference by difference; a row leads to its field or piece."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QBrush, QColor
from PySide6.QtWidgets import QHeaderView, QLabel, QTreeWidget, QTreeWidgetItem, QVBoxLayout, QWidget

from app.compare_words import Group, Row
from app.look import LIGHT, Look
from app.views.marks import mark_icon

WHAT, THIS, THAT = range(3)
GO_TO, MORE = Qt.ItemDataRole.UserRole, Qt.ItemDataRole.UserRole + 1
HINT = "Choose a row to read it whole; a double click or Enter goes to its field."


class CompareView(QWidget):
    """Groups of differences; ``asked(path)`` where a person goes to a row's field, piece or place."""

    asked = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._shown: tuple[Sequence[Group], str, str] = ((), "", "")
        self.tree = QTreeWidget()
        self.tree.setColumnCount(3)
        self.tree.setAccessibleName("What differs between the two designs")
        self.tree.setUniformRowHeights(True)
        self.tree.setRootIsDecorated(True)
        self.tree.setExpandsOnDoubleClick(False)
        self.tree.setStyleSheet("QTreeWidget::item { padding: 2px 0; }")
        self.tree.header().setStretchLastSection(False)
        self.tree.header().setSectionResizeMode(WHAT, QHeaderView.ResizeMode.Stretch)
        self.tree.itemActivated.connect(self._activated)
        self.tree.currentItemChanged.connect(self._tell)
        self.told = QLabel(HINT)
        self.told.setObjectName("soft")
        self.told.setWordWrap(True)
        self.told.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.told.setAlignment(Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.tree, 1)
        column.addWidget(self.told)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        for column in (THIS, THAT):
            self.tree.header().resizeSection(column, 14 * look.text)
        self.told.setMinimumHeight(3 * round(1.5 * look.text))
        self.show_groups(*self._shown)

    def show_groups(self, groups: Sequence[Group], this: str, that: str) -> None:
        """Show the differences under the two designs' names; what was folded stays folded."""
        self._shown = (groups, this, that)
        folded = {item.text(WHAT).rpartition(" (")[0] for item in self._headings() if not item.isExpanded()}
        self.tree.clear()
        self.told.setText(HINT)
        self.tree.setHeaderLabels(["What differs", this, that])
        for group in groups:
            heading = QTreeWidgetItem(self.tree, [f"{group.heading} ({len(group.rows)})", "", ""])
            letters = heading.font(WHAT)
            letters.setBold(True)
            heading.setFont(WHAT, letters)
            heading.addChildren([self._row(row) for row in group.rows])
            heading.setExpanded(group.heading not in folded)

    def _headings(self) -> list[QTreeWidgetItem]:
        found = (self.tree.topLevelItem(at) for at in range(self.tree.topLevelItemCount()))
        return [item for item in found if item is not None]

    def _row(self, row: Row) -> QTreeWidgetItem:
        item = QTreeWidgetItem([row.what, row.this, row.that])
        for column in range(3):
            item.setToolTip(column, "\n".join(filter(None, (item.text(column), row.more))))
        item.setData(WHAT, GO_TO, row.go_to)
        item.setData(WHAT, MORE, "\n".join(filter(None, (f"{row.what}: {row.this} → {row.that}", row.more))))
        for column, status in zip((THIS, THAT), row.statuses or (), strict=False):
            if status is not None:
                item.setIcon(column, mark_icon(status, self._look, self._look.text))
                item.setForeground(column, QBrush(QColor(self._look.status(status))))
        return item

    def _tell(self, item: QTreeWidgetItem | None) -> None:
        text = item.data(WHAT, MORE) if item is not None else None
        self.told.setText(text or HINT)

    def _activated(self, item: QTreeWidgetItem) -> None:
        path = item.data(WHAT, GO_TO)
        if path:
            self.asked.emit(path)
        elif item.childCount():
            item.setExpanded(not item.isExpanded())
