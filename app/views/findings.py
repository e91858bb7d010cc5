"""The findings, worst first: counts, filters, and cards that open into their worked steps.

The opened card, the card in hand and the place in the list outlive a re-evaluation; cards that did not change
are not drawn again.
"""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, QPoint, Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QBoxLayout,
    QButtonGroup,
    QFrame,
    QHBoxLayout,
    QLabel,
    QListView,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.look import Look
from app.views.faces import LARGE
from app.views.finding_body import FindingBody, plain
from app.views.finding_cards import BATCH, GAP, CardPainter, FindingsModel, Key
from app.views.finding_counts import Counts
from engine.finding import Finding, Status

KEYS = (
    ("Next or previous finding", "Up, Down"),
    ("Open or close the finding", "Enter"),
    ("Go to the field that mends it", "G"),
    ("Copy the finding and its worked steps", "Ctrl+C"),
)


class FindingsView(QWidget):
    """``field_asked(path)`` to mend a finding, ``worksheet_asked(id, inputs)`` to open a step on its own."""

    field_asked = Signal(str)
    worksheet_asked = Signal(str, object)

    def __init__(self) -> None:
        super().__init__()
        self._given: tuple[tuple[Finding, ...], str, str | None, tuple[Finding, ...]] = ((), "", None, ())
        self.counts = Counts()
        self._title = QLabel("Findings")
        self._title.setObjectName("title")
        self._all = _toggle("All", "Show the findings of the whole system")
        self._here = _toggle("This piece", "Show the findings of the piece selected on the line")
        self._open = _toggle("Only open", "Hide what meets")
        group = QButtonGroup(self)
        for button in (self._all, self._here):
            group.addButton(button)
        self._all.setChecked(True)
        for button in (self._all, self._here, self._open):
            button.clicked.connect(self._filter)
        self._empty = QLabel()
        self._empty.setObjectName("soft")
        self._empty.setWordWrap(True)
        self.list = CardList()
        self.list.field_asked.connect(self.field_asked)
        self.list.worksheet_asked.connect(self.worksheet_asked)
        buttons = QHBoxLayout()
        buttons.setSpacing(4)
        for button in (self._all, self._here, self._open):
            buttons.addWidget(button)
        buttons.addStretch(1)
        self._head = head = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        head.setContentsMargins(0, 0, 8, 0)
        head.setSpacing(4)
        head.addWidget(self._title, 1)
        head.addLayout(buttons)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addLayout(head)
        column.addWidget(self.counts)
        column.addWidget(self._empty)
        column.addWidget(self.list, 1)

    def hasHeightForWidth(self) -> bool:
        """No: the list scrolls, so that it yields to the steps above it instead of standing over them."""
        return False

    def show_findings(
        self,
        findings: Sequence[Finding],
        habit: str,
        piece: str | None = None,
        here: Sequence[Finding] = (),
    ) -> None:
        """Show an evaluation's findings, worst first; ``here`` are those of the piece and its circuits."""
        given = (tuple(findings), habit, piece, tuple(here))
        if given == self._given:
            return
        self._given = given
        self._fill()

    def set_look(self, look: Look) -> None:
        """Wear a look; where type is large the buttons stand under the title: the list stays narrow."""
        way = QBoxLayout.Direction
        self._head.setDirection(way.LeftToRight if look.text < LARGE else way.TopToBottom)
        self.counts.set_look(look)
        self.list.set_look(look)

    def _filter(self) -> None:
        self._fill()

    def _fill(self) -> None:
        rows, habit, piece, here = self._given
        self._here.setEnabled(bool(piece))
        if piece and self._here.isChecked():
            places = {piece, *(finding.where for finding in here)}
            rows = tuple(finding for finding in rows if finding.where in places)
        statuses = [finding.status for finding in rows]
        counts = {status: statuses.count(status) for status in Status}
        self.counts.show_counts(counts)
        shown = tuple(f for f in rows if f.status is not Status.MEETS) if self._open.isChecked() else rows
        self.list.show_cards(shown, habit)
        if shown:
            self._empty.hide()
            return
        told = (
            f"Nothing is open: {counts[Status.MEETS]} judged, and all meet."
            if rows
            else ("Nothing is judged here yet. Enter what the piece's data sheet says.")
        )
        self._empty.setText(told)
        self._empty.show()


class CardList(QListView):
    """The list of cards."""

    field_asked = Signal(str)
    worksheet_asked = Signal(str, object)

    def __init__(self) -> None:
        super().__init__()
        self._habit = "metric"
        self._model = FindingsModel()
        self._painter = CardPainter(self, self._model)
        self._opened: Key | None = None
        self._body = FindingBody(self.viewport())
        self._body.field_asked.connect(self.field_asked)
        self._body.worksheet_asked.connect(self.worksheet_asked)
        self._body.copy_asked.connect(lambda: self.copy(self._painter.open_row))
        self.setModel(self._model)
        self.setItemDelegate(self._painter)
        self.setAccessibleName("Findings, worst first")
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setStyleSheet("QListView { background: transparent; border: none; }")
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)
        self.setResizeMode(QListView.ResizeMode.Adjust)
        self.setMouseTracking(True)
        self.clicked.connect(self._clicked)

    def show_cards(self, rows: tuple[Finding, ...], habit: str) -> None:
        """Show these findings, and keep hand, opened card and place."""
        bar = self.verticalScrollBar()
        anchor, current = self._anchor(), self._key(self.currentIndex())
        self._habit = habit
        made_anew = self._model.put(rows, self._model.rowCount() if anchor else BATCH)
        for key in (self._opened, current, anchor[0] if anchor else None):
            self._model.reach(self._model.row_of(key))
        self._show_body()
        if made_anew:
            row = self._model.row_of(current)
            if row >= 0:
                self.setCurrentIndex(self._model.index(row))
            place = bar.value()
            if anchor is not None and self._model.row_of(anchor[0]) >= 0:
                top = self.visualRect(self._model.index(self._model.row_of(anchor[0]))).top()
                place = bar.value() + top - anchor[1]
            bar.setValue(place if anchor else 0)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._painter.set_look(look)
        self._body.set_look(look)
        self._show_body()

    def toggle(self, row: int) -> None:
        """Open a card, or close it where it is open."""
        self._model.reach(row)
        key = self._model.keys[row]
        self._opened = None if key == self._opened else key
        self._show_body()
        self.scrollTo(self._model.index(row), QAbstractItemView.ScrollHint.EnsureVisible)
        if self._opened and self.visualRect(self._model.index(row)).height() > self.viewport().height():
            self.scrollTo(self._model.index(row), QAbstractItemView.ScrollHint.PositionAtTop)

    def copy(self, row: int) -> None:
        """Copy a finding as text."""
        finding = self._finding(row)
        if finding is not None:
            QGuiApplication.clipboard().setText(plain(finding, self._habit))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Enter opens and closes, G goes to the field, Ctrl+C copies; the rest walks the list."""
        row = self.currentIndex().row()
        finding = self._finding(row)
        if event.key() == Qt.Key.Key_End:
            self._model.reach(len(self._model.rows) - 1)
        if finding is not None and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.toggle(row)
        elif finding is not None and event.key() == Qt.Key.Key_G and not event.modifiers():
            if finding.field:
                self.field_asked.emit(finding.field)
        elif finding is not None and event.keyCombination().toCombined() == _COPY:
            self.copy(row)
        elif event.key() == Qt.Key.Key_Escape and self._opened is not None:
            self._opened = None
            self._show_body()
        else:
            super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Wrap anew in the new width."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._measure()

    def updateGeometries(self) -> None:
        """Lay the open card's body on its card."""
        super().updateGeometries()
        self._place_body()

    def scrollContentsBy(self, dx: int, dy: int) -> None:
        """Take the body along."""
        super().scrollContentsBy(dx, dy)
        self._place_body()

    def _place_body(self) -> None:
        row = self._painter.open_row
        if 0 <= row < len(self._model.rows):
            rect = self.visualRect(self._model.index(row))
            self._body.setGeometry(rect.adjusted(0, 0, 0, -GAP))

    def _show_body(self) -> None:
        row = self._model.row_of(self._opened)
        self._painter.open_row = row
        finding = self._finding(row)
        if finding is not None:
            self._body.show_finding(finding, self._habit)
        self._measure()
        self._body.setVisible(finding is not None)

    def _measure(self) -> None:
        """Give the open card the height of its body in this width, and lay the cards out."""
        row = self._painter.open_row
        self._painter.wide = self.viewport().width()
        if row >= 0:
            head = self._painter.head_height(row)
            self._body.set_head(head)
            self._painter.body_height = self._body.height_in(self.viewport().width()) - head
        self.doItemsLayout()
        self._place_body()
        self.viewport().update()

    def _clicked(self, index: QModelIndex) -> None:
        self.toggle(index.row())

    def _finding(self, row: int) -> Finding | None:
        return self._model.rows[row] if 0 <= row < len(self._model.rows) else None

    def _key(self, index: QModelIndex) -> Key | None:
        return self._model.keys[index.row()] if index.isValid() else None

    def _anchor(self) -> tuple[Key, int] | None:
        """The card at the top of the view and where its top stands; ``None`` at the head of the list."""
        if self.verticalScrollBar().value() == 0:
            return None
        index = self.indexAt(QPoint(4, GAP))
        key = self._key(index)
        return None if key is None else (key, self.visualRect(index).top())


_COPY = int(Qt.KeyboardModifier.ControlModifier.value) | int(Qt.Key.Key_C)


def _toggle(text: str, tip: str) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    button.setCheckable(True)
    button.setToolTip(tip)
    button.setAccessibleName(text)
    button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    return button
