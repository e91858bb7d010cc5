"""The table of all circuits: sorted by a click on a head, filtered by typing, copied and saved."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QItemSelectionModel, QModelIndex, QObject, Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import (
    QAbstractItemView,
    QFrame,
    QHBoxLayout,
    QHeaderView,
    QLabel,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from app.look import LIGHT, Look
from app.table_text import csv_text, tsv
from app.views.buttons import button
from app.views.circuit_model import CircuitModel, CircuitOrder
from app.views.circuit_rows import COLUMNS, Row, exported
from app.views.frozen import FrozenTable
from app.views.lettering import blend, letters

KEYS = (
    ("Next or previous circuit", "Up, Down"),
    ("Sort by the column in hand, and the other way", "S"),
    ("Copy the selected circuits", "Ctrl+C"),
    ("To the circuit's fields", "Enter"),
    ("Filter the circuits", "Ctrl+F"),
)
EMPTY = "No circuit yet. Circuits come from what is joined: add an array and the controller that it feeds."
TITLE_MOST, LARGE_TITLE, TITLE_LEAST = 224, 240, 120
PAD, ARROW = 12, 10
STATUS_WIDTH = 28
STAYING = 2  # columns: the mark and the name of a circuit
LARGE = 16  # pixels of text from which on buttons say less
SHORT = {"Copy": "Copy", "Save as CSV…": "CSV…", "Print to PDF…": "PDF…"}


class CircuitTable(QWidget):
    """``circuit_chosen(id)`` by hand; ``csv_asked`` and ``print_asked`` for the two buttons; ``entered`` when
    Enter was pressed on a circuit."""

    circuit_chosen = Signal(str)
    csv_asked = Signal()
    print_asked = Signal()
    entered = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._look = LIGHT
        self._chosen = ""
        self._telling = True
        self.model = CircuitModel(self)
        self.order = CircuitOrder(self.model)
        self.filter = QLineEdit()
        self.filter.setPlaceholderText("Filter by any words")
        self.filter.setAccessibleName("Filter the circuits")
        self.filter.setClearButtonEnabled(True)
        self.filter.textChanged.connect(self._filtered)
        self.filter.installEventFilter(self)
        self._count = QLabel()
        self._count.setObjectName("soft")
        self._empty = QLabel(EMPTY)
        self._empty.setObjectName("soft")
        self._empty.setWordWrap(True)
        self._buttons = (
            button("Copy", "Copy every circuit shown, for a spreadsheet", self.copy_shown),
            button("Save as CSV…", "Save every circuit shown as comma-separated values", self.csv_asked.emit),
            button(
                "Print to PDF…", "Print every circuit shown, with what was assumed", self.print_asked.emit
            ),
        )
        self.view = _make_view(self.order)
        self.view.installEventFilter(self)
        self.view.selectionModel().currentChanged.connect(self._moved)
        self._lay_out()

    def _lay_out(self) -> None:
        title = QLabel("Circuits")
        title.setObjectName("title")
        head = QHBoxLayout()
        head.setContentsMargins(0, 0, 8, 0)
        head.setSpacing(8)
        for widget in (title, self._count):
            head.addWidget(widget)
        head.addStretch(1)
        self.filter.setMinimumWidth(120)
        self.filter.setMaximumWidth(220)
        head.addWidget(self.filter, 1)
        for each in self._buttons:
            head.addWidget(each)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addLayout(head)
        column.addWidget(self._empty)
        column.addWidget(self.view, 1)

    def show_rows(self, rows: tuple[Row, ...], habit: str, chosen: str) -> None:
        """Show the circuits, and which one of them is looked at."""
        changed = rows != self.model.rows or habit != self.model.habit
        self._chosen = chosen
        self._telling = False
        self.model.put(rows, habit)
        if changed:
            self._set_widths()
        self._tell_count()
        self._put_hand()
        self._telling = True

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.model.set_look(look)
        for each in self._buttons:
            each.setText(SHORT[each.accessibleName()] if look.text >= LARGE else each.accessibleName())
        self.filter.setMinimumWidth(80 if look.text >= LARGE else 120)
        self.view.verticalHeader().setDefaultSectionSize(round(2 * look.text))
        chosen = blend(look.water, look.sheet, 0.2).name()
        self.view.set_look(
            look,
            f"QTableView {{ background: transparent; border: none; font-size: {look.small}px;"
            f" selection-background-color: {chosen}; selection-color: {look.ink}; }}"
            f"QTableView::item {{ padding: 0 2px; border-bottom: 1px solid {look.hairline}; }}"
            f"QTableView::item:selected {{ background: {chosen}; }}"
            f"QTableView:focus {{ border: none; }} QTableView::corner {{ background: transparent; }}"
            f"QAbstractScrollArea::corner {{ background: transparent; border: none; }}"
            f"QTableView::item:focus {{ border: 1px solid {look.water}; }}"
            f"QHeaderView, QHeaderView::section {{ background: transparent; font-size: {look.small}px; }}",
        )
        self._set_widths()

    def shown(self) -> tuple[Row, ...]:
        """The circuits shown, as filtered and sorted."""
        return tuple(self.order.row(place) for place in range(self.order.rowCount()))

    def selected(self) -> tuple[Row, ...]:
        """The circuits selected, in the order of the table."""
        places = sorted(index.row() for index in self.view.selectionModel().selectedRows())
        return tuple(self.order.row(place) for place in places)

    def copy_shown(self) -> None:
        """Copy what is shown as tab-separated values."""
        self._copy(self.shown())

    def copy_selected(self) -> None:
        """Copy the selected circuits as tab-separated values."""
        self._copy(self.selected() or self.shown())

    def csv(self) -> str:
        """What is shown as comma-separated values."""
        return csv_text(exported(self.shown(), self.model.habit))

    def _copy(self, rows: tuple[Row, ...]) -> None:
        QGuiApplication.clipboard().setText(tsv(exported(rows, self.model.habit)))

    def _set_widths(self) -> None:
        """Each column as wide as its widest text, the circuits' names within reason."""
        type = letters(self._look, self._look.small)
        for place, column in enumerate(COLUMNS):
            if column.key == "status":
                self.view.setColumnWidth(place, STATUS_WIDTH)
                continue
            cells = (self.model.cell(row, place) for row in range(len(self.model.rows)))
            wide = max((type.width(cell) for cell in cells), default=0.0)
            wide = max(wide, type.width(column.title) + ARROW) + PAD
            if column.key == "title":
                wide = min(max(wide, TITLE_LEAST), TITLE_MOST if self._look.text < LARGE else LARGE_TITLE)
            self.view.setColumnWidth(place, round(wide))

    def _tell_count(self) -> None:
        all_rows, some = len(self.model.rows), self.order.rowCount()
        self._count.setText(str(all_rows) if some == all_rows else f"{some} of {all_rows}")
        self._empty.setVisible(not all_rows)
        self.view.setVisible(bool(all_rows))
        for each in self._buttons:
            each.setEnabled(bool(some))

    def _put_hand(self) -> None:
        """Select the row of the circuit that is looked at, without telling anyone."""
        place = self.order.place_of(self._chosen)
        current = self.view.currentIndex()
        if place < 0:
            self.view.clearSelection()
            return
        if current.row() != place or not self.view.selectionModel().isRowSelected(place, QModelIndex()):
            index = self.order.index(place, max(current.column(), 1))
            flags = QItemSelectionModel.SelectionFlag
            self.view.selectionModel().setCurrentIndex(index, flags.ClearAndSelect | flags.Rows)
            self.view.scrollTo(self.order.index(place, 0))

    def _filtered(self, typed: str) -> None:
        self._telling = False
        self.order.set_words(typed)
        self._tell_count()
        self._put_hand()
        self._telling = True

    def _moved(self, now: QModelIndex, _before: QModelIndex) -> None:
        if self._telling and now.isValid():
            circuit = self.order.row(now.row()).circuit.id
            if circuit != self._chosen:
                self._chosen = circuit
                self.circuit_chosen.emit(circuit)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Keys of the table, and from the filter down into it."""
        if event.type() == QEvent.Type.KeyPress and isinstance(event, QKeyEvent):
            if watched is self.filter:
                return self._filter_key(event)
            return self._table_key(event)
        return super().eventFilter(watched, event)

    def _filter_key(self, event: QKeyEvent) -> bool:
        if event.key() == Qt.Key.Key_Escape and self.filter.text():
            self.filter.clear()
            return True
        if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Return) and self.order.rowCount():
            self.view.setFocus(Qt.FocusReason.TabFocusReason)
            if not self.view.currentIndex().isValid() or self.order.place_of(self._chosen) < 0:
                self.view.setCurrentIndex(self.order.index(0, 1))
            return True
        return False

    def _table_key(self, event: QKeyEvent) -> bool:
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy_selected()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.entered.emit()
        elif event.key() == Qt.Key.Key_S and not event.modifiers():
            self._sort_by(max(self.view.currentIndex().column(), 0))
        else:
            return False
        return True

    def _sort_by(self, column: int) -> None:
        rising, falling = Qt.SortOrder.AscendingOrder, Qt.SortOrder.DescendingOrder
        again = self.order.sortColumn() == column and self.order.sortOrder() is rising
        self.view.sortByColumn(column, falling if again else rising)


def _make_view(order: CircuitOrder) -> FrozenTable:
    view = FrozenTable(STAYING)
    view.setModel(order)
    view.freeze()
    view.setAccessibleName("Circuits")
    view.setFrameShape(QFrame.Shape.NoFrame)
    view.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    view.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
    view.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    view.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
    view.setTextElideMode(Qt.TextElideMode.ElideMiddle)  # names differ at both ends
    view.setShowGrid(False)
    view.setWordWrap(False)
    view.setTabKeyNavigation(False)
    view.setSortingEnabled(True)
    view.verticalHeader().hide()
    view.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
    head = view.horizontalHeader()
    head.setSortIndicatorClearable(True)
    head.setSortIndicator(-1, Qt.SortOrder.AscendingOrder)
    head.setSortIndicatorShown(False)  # it would cover the text; the head has an arrow of its own
    head.setHighlightSections(False)
    head.setMinimumSectionSize(STATUS_WIDTH)
    return view
