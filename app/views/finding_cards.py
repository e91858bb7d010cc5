"""Findings as a list of cards: painted, so that a hundred cost nothing; one opens into its worked steps."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from PySide6.QtCore import (
    QAbstractListModel,
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QPointF,
    QRect,
    QRectF,
    QSize,
    Qt,
)
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPainterPath, QPen
from PySide6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from app.glossary import tooltip, words_in
from app.look import LIGHT, Look, font
from app.views.marks import draw_mark
from engine.finding import Finding, Signal, Status

Index = QModelIndex | QPersistentModelIndex
Key = tuple[str, str, int]

GAP, PAD, MARK, EDGE = 6, 8, 24, 4
WRAP = int(Qt.TextFlag.TextWordWrap) | int(Qt.AlignmentFlag.AlignTop)


def keys_of(findings: Sequence[Finding]) -> tuple[Key, ...]:
    """What tells a finding from others over re-evaluations: rule, place, and which of several there."""
    seen: dict[tuple[str, str], int] = {}
    keys = []
    for finding in findings:
        pair = (finding.rule, finding.where)
        nth = seen[pair] = seen.get(pair, -1) + 1
        keys.append((*pair, nth))
    return tuple(keys)


def _named_alike(one: Sequence[Finding], other: Sequence[Finding]) -> bool:
    """Whether both have the same keys, as is mostly so after an edit, and found for less than they cost."""
    return len(one) == len(other) and all(
        a is b or (a.rule == b.rule and a.where == b.where) for a, b in zip(one, other, strict=True)
    )


def spoken(finding: Finding) -> str:
    """A finding as one sentence for a screen reader: the words first that the card shows by shape."""
    words = [finding.status.word]
    if finding.signal is not Signal.NONE:
        words.append(finding.signal.word)
    remedy = f" {finding.remedy}" if finding.remedy else ""
    return f"{', '.join(words)}: {finding.title}.{remedy}"


BATCH = 40  # cards that the list takes at a time: more than the tallest window shows


class FindingsModel(QAbstractListModel):
    """The findings shown, worst first; the list takes more of them as it is scrolled down."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: tuple[Finding, ...] = ()
        self.keys: tuple[Key, ...] = ()
        self._taken = BATCH

    def rowCount(self, parent: Index | None = None) -> int:
        """How many findings the list has taken so far."""
        return 0 if parent is not None and parent.isValid() else min(self._taken, len(self.rows))

    def canFetchMore(self, _parent: Index) -> bool:
        """Whether the list has not taken all of them yet."""
        return self._taken < len(self.rows)

    def fetchMore(self, _parent: Index) -> None:
        """Hand on some more."""
        self.reach(self._taken + BATCH - 1)

    def reach(self, row: int) -> None:
        """Hand on at least so many that this row is among them."""
        have, want = self.rowCount(), min(row + 1, len(self.rows))
        if want > have:
            self.beginInsertRows(QModelIndex(), have, want - 1)
            self._taken = want
            self.endInsertRows()

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Title, spoken sentence and tooltip of a finding."""
        if not index.isValid():
            return None
        finding = self.rows[index.row()]
        if role == Qt.ItemDataRole.DisplayRole:
            return finding.title
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return spoken(finding)
        if role == Qt.ItemDataRole.ToolTipRole:
            return tooltip(f"{finding.status.word} · {finding.source}", words_in(finding.title))
        return None

    def put(self, rows: tuple[Finding, ...], least: int = BATCH) -> bool:
        """Show these findings; ``True`` where the list was made anew, ``False`` where cards only changed.

        A list made anew begins with ``least`` of them.
        """
        if not _named_alike(self.rows, rows):
            self.beginResetModel()
            self.rows, self.keys, self._taken = rows, keys_of(rows), least
            self.endResetModel()
            return True
        count = self.rowCount()
        pairs = zip(self.rows[:count], rows[:count], strict=True)
        changed = [row for row, (old, new) in enumerate(pairs) if old is not new and old != new]
        self.rows = rows
        if changed:
            self.dataChanged.emit(self.index(changed[0]), self.index(changed[-1]))
        return False

    def row_of(self, key: Key | None) -> int:
        """The row of a finding, -1 where it is not shown."""
        return self.keys.index(key) if key in self.keys else -1


class CardPainter(QStyledItemDelegate):
    """Paints a finding's card: mark, signal word, title, remedy; an open card keeps room for its body."""

    def __init__(self, view: QListView, model: FindingsModel) -> None:
        super().__init__(view)
        self._view, self._model = view, model
        self._heights: dict[tuple[str, int, str], int] = {}
        self._heads: dict[tuple[object, ...], int] = {}
        self._sizes: dict[int, QSize] = {}
        self.open_row = -1
        self.body_height = 0
        self.wide = 0  # the list's width in pixels, as last measured
        self.set_look(LIGHT)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self.look = look
        self._fonts = {
            "open": font(look, bold=True),
            "calm": font(look),
            "note": font(look, look.small),
            "word": font(look, look.small, bold=True),
        }
        self._heights.clear()
        self._heads.clear()

    def head_height(self, row: int) -> int:
        """The height in pixels of what stands above the body of a card."""
        finding = self._model.rows[row]
        key = (finding.title, finding.remedy, finding.status, finding.signal, row == self.open_row, self.wide)
        height = self._heads.get(key)
        if height is None:
            height = self._heads[key] = self._measured(finding, row, self._text_width())
        return height

    def _measured(self, finding: Finding, row: int, width: int) -> int:
        height = PAD + self._height(finding.title, width, self._title_font(finding, row)) + PAD
        if finding.signal is not Signal.NONE:
            height += self._tag_height() + EDGE
        if self._remedy(finding, row):
            height += EDGE + self._height(finding.remedy, width, "note")
        return height

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        """The size of a card in the list's width."""
        row = index.row()
        height = self.head_height(row) + GAP + (self.body_height if row == self.open_row else 0)
        size = self._sizes.get(height)
        if size is None or size.width() != self.wide:
            size = self._sizes[height] = QSize(self.wide, height)
        return size

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        """Paint one card."""
        row, look = index.row(), self.look
        finding = self._model.rows[row]
        rect: QRect = option.rect.adjusted(0, 0, -1, -GAP)
        state: QStyle.StateFlag = option.state
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        current = index == self._view.currentIndex() and self._view.hasFocus()
        hover = bool(state & QStyle.StateFlag.State_MouseOver)
        edge = look.water if current else look.soft if hover else look.hairline
        painter.setPen(QPen(QColor(edge), 2 if current else 1))
        painter.setBrush(QColor(look.sheet if row == self.open_row else look.field))
        inset = 1.0 if current else 0.5
        painter.drawRoundedRect(QRectF(rect).adjusted(inset, inset, -inset, -inset), 5, 5)
        title = self._title_font(finding, row)
        top = rect.top() + PAD
        left, width = rect.left() + PAD + MARK, self._text_width()
        first = (
            self._tag_height()
            if finding.signal is not Signal.NONE
            else QFontMetrics(self._fonts["open"]).height()
        )
        draw_mark(painter, QPointF(rect.left() + PAD + 8, top + first / 2), finding.status, look, 12)
        if finding.signal is not Signal.NONE:
            self._tag(painter, left, top, finding)
            top += self._tag_height() + EDGE
        top += self._text(painter, finding.title, QRect(left, top, width, 1), title, look.ink)
        if self._remedy(finding, row):
            self._text(painter, finding.remedy, QRect(left, top + EDGE, width, 1), "note", look.soft)
        painter.restore()

    def _title_font(self, finding: Finding, row: int) -> str:
        return "open" if finding.status is not Status.MEETS or row == self.open_row else "calm"

    def _remedy(self, finding: Finding, row: int) -> bool:
        return bool(finding.remedy) and (finding.status is not Status.MEETS or row == self.open_row)

    def _tag(self, painter: QPainter, left: int, top: int, finding: Finding) -> None:
        colour, letters = self.look.signal(finding.signal)
        words = QFontMetrics(self._fonts["word"])
        box = QRectF(left, top, words.horizontalAdvance(finding.signal.word) + 12, self._tag_height())
        path = QPainterPath()
        path.addRoundedRect(box, 2, 2)
        painter.fillPath(path, QColor(colour))
        painter.setFont(self._fonts["word"])
        painter.setPen(QColor(letters))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), finding.signal.word)
        painter.setFont(self._fonts["note"])
        painter.setPen(QColor(self.look.soft))
        beside = QRectF(box.right() + 8, top, 200, box.height())
        painter.drawText(beside, int(Qt.AlignmentFlag.AlignVCenter), finding.status.word)

    def _text(self, painter: QPainter, text: str, box: QRect, letters: str, colour: str) -> int:
        height = self._height(text, box.width(), letters)
        box.setHeight(height)
        painter.setFont(self._fonts[letters])
        painter.setPen(QColor(colour))
        painter.drawText(box, WRAP, text)
        return height

    def _tag_height(self) -> int:
        return self.look.small + 7

    def _text_width(self) -> int:
        return max(80, self.wide - 1 - 2 * PAD - MARK)

    def _height(self, text: str, width: int, letters: str) -> int:
        key = (text, width, letters)
        if key not in self._heights:
            if len(self._heights) > 2000:
                self._heights.clear()
                self._heads.clear()
            metrics = QFontMetrics(self._fonts[letters])
            self._heights[key] = metrics.boundingRect(QRect(0, 0, width, 10_000), WRAP, text).height()
        return self._heights[key]

    def eventFilter(self, watched: Any, event: QEvent) -> bool:
        """An open card's body is no editor: its keys and focus are its own."""
        return False
