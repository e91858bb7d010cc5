"""The first columns of a table, which stay while the rest of it is scrolled sideways."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QModelIndex, QObject, QPersistentModelIndex, QRect, Qt
from PySide6.QtWidgets import QAbstractItemView, QFrame, QHeaderView, QTableView

from app.look import Look


class FrozenTable(QTableView):
    """A table whose first ``count`` columns stay where they are.

    Over them lies a second view of the same model and the same selection; it shows once the table is scrolled
    sideways, and whatever is done to it is done to the table.
    """

    def __init__(self, count: int) -> None:
        super().__init__()
        self._count = count
        self.front = QTableView(self)
        front = self.front
        front.setFrameShape(QFrame.Shape.NoFrame)
        front.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        front.setFocusProxy(self)
        front.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        front.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        front.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        front.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        front.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        front.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        front.setShowGrid(False)
        front.setWordWrap(False)
        front.verticalHeader().hide()
        front.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        head = front.horizontalHeader()
        head.setSectionsClickable(True)
        head.setHighlightSections(False)
        head.sectionClicked.connect(self._sort)
        front.hide()
        self.verticalScrollBar().valueChanged.connect(front.verticalScrollBar().setValue)
        front.verticalScrollBar().valueChanged.connect(self.verticalScrollBar().setValue)
        self.horizontalScrollBar().valueChanged.connect(self._place)
        self.horizontalHeader().sectionResized.connect(self._place)
        self.horizontalHeader().geometriesChanged.connect(self._place)
        self.viewport().installEventFilter(self)

    def freeze(self) -> None:
        """Lay the first columns over the table; once its model is set."""
        self.front.setModel(self.model())
        self.front.setSelectionModel(self.selectionModel())
        for column in range(self._count, self.model().columnCount()):
            self.front.setColumnHidden(column, True)

    def set_look(self, look: Look, sheet: str) -> None:
        """Wear a look: the table's own style sheet, on opaque paper, with a hairline at the right."""
        self.setStyleSheet(sheet)
        paper = f"QTableView {{ background: {look.sheet}; border-right: 1px solid {look.hairline}; }}"
        self.front.setStyleSheet(sheet + paper + f"QHeaderView::section {{ background: {look.sheet}; }}")
        height = self.verticalHeader().defaultSectionSize()
        self.front.verticalHeader().setDefaultSectionSize(height)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Other room for the rows."""
        if watched is self.viewport() and event.type() == QEvent.Type.Resize:
            self._place()
        return super().eventFilter(watched, event)

    def scrollTo(
        self,
        index: QModelIndex | QPersistentModelIndex,
        hint: QAbstractItemView.ScrollHint = QAbstractItemView.ScrollHint.EnsureVisible,
    ) -> None:
        """Scroll to a cell, but never sideways for one that stays, nor to under those that stay."""
        bar = self.horizontalScrollBar()
        before = bar.value()
        super().scrollTo(index, hint)
        if index.column() < self._count:
            bar.setValue(before)
        elif self.columnViewportPosition(index.column()) < self._width():
            bar.setValue(bar.value() - self._width() + self.columnViewportPosition(index.column()))

    def _width(self) -> int:
        return sum(self.columnWidth(column) for column in range(self._count))

    def _place(self, *_: object) -> None:
        """Stand over the first columns, where they are scrolled away."""
        front, view = self.front, self.viewport().geometry()
        for column in range(self._count):
            front.setColumnWidth(column, self.columnWidth(column))
        high = self.horizontalHeader().height()
        front.horizontalHeader().setFixedHeight(high)
        front.setGeometry(QRect(view.left(), view.top() - high, self._width() + 1, view.height() + high))
        front.verticalScrollBar().setValue(self.verticalScrollBar().value())
        front.setVisible(self.horizontalScrollBar().value() > 0)

    def _sort(self, column: int) -> None:
        """As a click on the head below would: up, down, as it was."""
        rising, falling = Qt.SortOrder.AscendingOrder, Qt.SortOrder.DescendingOrder
        head = self.horizontalHeader()
        same = head.sortIndicatorSection() == column
        if same and head.sortIndicatorOrder() is falling:
            self.sortByColumn(-1, rising)
        else:
            self.sortByColumn(column, falling if same else rising)
