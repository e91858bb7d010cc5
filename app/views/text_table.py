"""A table of texts with a status mark before each line: walked by keys, copied, one line in hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QFrame, QHeaderView, QTableView

from app.look import LIGHT, Look
from app.table_text import tsv
from app.views.lettering import blend, letters
from app.views.marks import mark_icon, mark_word
from engine.finding import Status

Index = QModelIndex | QPersistentModelIndex
Role = Qt.ItemDataRole
PAD, MARK, WIDEST = 14, 28, 300
AIR = 8  # pixels over and under a text of several lines, together


@dataclass(frozen=True, slots=True)
class Texts:
    """What a table shows: heads, those of them whose column is numbers, and each line with its status.

    Columns that are ``aside`` stand in no table, only in what is copied and saved. Those that it ``wraps``
    share the room that the others leave, in as many lines of text as they need.
    """

    heads: tuple[str, ...] = ()
    right: tuple[str, ...] = ()
    aside: tuple[str, ...] = ()
    rows: tuple[tuple[Status | None, tuple[str, ...]], ...] = ()
    wraps: tuple[str, ...] = ()

    def exported(self) -> list[tuple[str, ...]]:
        """Heads and lines as cells of text, the word of the status first."""
        lines = [(mark_word(status), *cells) for status, cells in self.rows]
        return [("Status", *self.heads), *lines]


class _Model(QAbstractTableModel):
    def __init__(self) -> None:
        super().__init__()
        self.texts = Texts()
        self.look = LIGHT

    def rowCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.texts.rows)

    def columnCount(self, parent: Index | None = None) -> int:
        return 0 if parent is not None and parent.isValid() else len(self.texts.heads) + 1

    def data(self, index: Index, role: int = Role.DisplayRole) -> Any:
        if not index.isValid():
            return None
        status, cells = self.texts.rows[index.row()]
        place = index.column() - 1
        if place < 0:
            if role == Role.DecorationRole:
                return mark_icon(status, self.look)
            return mark_word(status) if role in (Role.ToolTipRole, Role.AccessibleTextRole) else None
        if role in (Role.DisplayRole, Role.ToolTipRole):
            return cells[place]
        if role == Role.AccessibleTextRole:
            return f"{self.texts.heads[place]}: {cells[place]}"
        return _side(self.texts, place) if role == Role.TextAlignmentRole else None

    def headerData(self, section: int, way: Qt.Orientation, role: int = Role.DisplayRole) -> Any:
        if way is not Qt.Orientation.Horizontal or section == 0:
            return None
        if role == Role.DisplayRole:
            return self.texts.heads[section - 1]
        return _side(self.texts, section - 1) if role == Role.TextAlignmentRole else None

    def put(self, texts: Texts) -> None:
        self.beginResetModel()
        self.texts = texts
        self.endResetModel()


class TextTable(QTableView):
    """``chosen(line)`` when a person takes a line in hand, -1 for none; ``entered(line)`` on Enter."""

    chosen = Signal(int)
    entered = Signal(int)

    def __init__(self, name: str) -> None:
        super().__init__()
        self._model = _Model()
        self._telling = True
        self.setModel(self._model)
        self.setAccessibleName(name)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.setShowGrid(False)
        self.setTabKeyNavigation(False)
        self.verticalHeader().hide()
        self.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        self.horizontalHeader().setHighlightSections(False)
        self.horizontalHeader().setStretchLastSection(True)
        self.selectionModel().currentRowChanged.connect(self._moved)

    def show_texts(self, texts: Texts) -> None:
        """Show these lines; the line in hand stays in hand, the first one where there was none."""
        if texts == self._model.texts:
            return
        held = self.currentIndex().row()
        self._telling = False
        self._model.put(texts)
        self._set_widths()
        if texts.rows:
            self.selectRow(held if 0 <= held < len(texts.rows) else 0)
        self._telling = True

    def take(self, line: int) -> None:
        """Take a line in hand without telling of it."""
        self._telling = False
        self.selectRow(line)
        self._telling = True

    def texts(self) -> Texts:
        """What is shown."""
        return self._model.texts

    def line(self) -> int:
        """The line in hand, -1 for none."""
        return self.currentIndex().row()

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._model.look = look
        self.verticalHeader().setMinimumSectionSize(round(2 * look.text))
        self.verticalHeader().setDefaultSectionSize(round(2 * look.text))
        chosen = blend(look.water, look.sheet, 0.2).name()
        self.setStyleSheet(
            f"QTableView {{ background: transparent; border: none; font-size: {look.small}px;"
            f" selection-background-color: {chosen}; selection-color: {look.ink}; }}"
            f"QTableView::item {{ padding: 0 2px; border-bottom: 1px solid {look.hairline}; }}"
            f"QTableView::item:selected {{ background: {chosen}; }}"
            f"QTableView:focus {{ border: none; }} QAbstractScrollArea::corner {{ background: transparent; }}"
            f"QTableView::item:focus {{ border: 1px solid {look.water}; }}"
            f"QHeaderView, QHeaderView::section {{ background: transparent; font-size: {look.small}px; }}"
        )
        self._set_widths()
        self.viewport().update()

    def copy(self) -> None:
        """Copy the selected lines, or all, as tab-separated values."""
        rows = self._model.texts.exported()
        selected = sorted(index.row() + 1 for index in self.selectionModel().selectedRows())
        QGuiApplication.clipboard().setText(
            tsv([rows[0], *(rows[at] for at in selected)] if selected else rows)
        )

    def copy_all(self) -> None:
        """Copy every line as tab-separated values."""
        QGuiApplication.clipboard().setText(tsv(self._model.texts.exported()))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Ctrl+C copies, Enter goes on with the line in hand; the rest walks the table."""
        if event.matches(QKeySequence.StandardKey.Copy):
            self.copy()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.line() >= 0:
            self.entered.emit(self.line())
        else:
            super().keyPressEvent(event)

    def _moved(self, now: QModelIndex, _before: QModelIndex) -> None:
        if self._telling:
            self.chosen.emit(now.row())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Other room for the columns that wrap."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._set_widths()

    def _set_widths(self) -> None:
        """Each column as wide as its widest text, within reason; those that wrap share what is left."""
        look, texts = self._model.look, self._model.texts
        type = letters(look, look.small)
        self.setColumnWidth(0, MARK)
        widths: dict[str, float] = {}
        for place, head in enumerate(texts.heads):
            wide = max((type.width(cells[place]) for _, cells in texts.rows), default=0.0)
            widths[head] = min(max(wide, type.width(head)) + PAD, WIDEST)
            self.setColumnHidden(place + 1, head in texts.aside)
        shown = [head for head in texts.heads if head not in texts.aside]
        room = self.viewport().width() - MARK - sum(widths[head] for head in shown if head not in texts.wraps)
        sharing = sorted((head for head in texts.wraps if head in widths), key=lambda head: widths[head])
        for left, head in zip(range(len(sharing), 0, -1), sharing, strict=True):
            rest = sum(self._narrowest(other) for other in sharing[len(sharing) - left + 1 :])
            widths[head] = min(widths[head], max(room / left, self._narrowest(head)))
            widths[head] = max(min(widths[head], room - rest), self._narrowest(head))
            room -= widths[head]
        for place, head in enumerate(texts.heads):
            self.setColumnWidth(place + 1, int(widths[head]))
        self._set_heights([head for head in sharing if head in shown])

    def _narrowest(self, head: str) -> float:
        """The least width of a column that wraps: no word of it is broken."""
        texts, type = self._model.texts, letters(self._model.look, self._model.look.small)
        place = texts.heads.index(head)
        words = [word for _, cells in texts.rows for word in cells[place].split()]
        return max(type.width(word) for word in [head, *words]) + PAD

    def _set_heights(self, wraps: list[str]) -> None:
        """Each line as high as its texts are when they wrap."""
        look, texts = self._model.look, self._model.texts
        type, least = letters(look, look.small), round(2 * look.text)
        places = [texts.heads.index(head) for head in wraps]
        for row, (_, cells) in enumerate(texts.rows):
            lines = (len(type.wrap(cells[at], self.columnWidth(at + 1) - PAD + 2)) for at in places)
            self.setRowHeight(row, max(least, round(max(lines, default=1) * type.height) + AIR))


def _side(texts: Texts, place: int) -> Qt.AlignmentFlag:
    right = texts.heads[place] in texts.right
    return Qt.AlignmentFlag.AlignVCenter | (
        Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
    )
