"""What a pane shows at its right, taken apart: pictures that paint themselves, tables, and text.

Paper and clipboard take the parts from here, so that every pane has both without knowing of them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QAbstractItemModel, QMimeData, QPoint, QRect, QSize, Qt
from PySide6.QtGui import QGuiApplication, QImage, QPainter, QRegion, QTextDocument
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QComboBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QTableView,
    QTextEdit,
    QWidget,
)

from app.look import Look
from app.pane import Pane
from app.table_text import tsv
from app.views.caution import CautionPanel
from app.views.marks import mark_word

if TYPE_CHECKING:
    from app.window import Window

SCALE = 2  # pixels of a copied picture for one of the screen
OURS = "app."
TAG = re.compile(r"</?[a-z]+[^<>]*>")
Role = Qt.ItemDataRole


@dataclass(frozen=True, slots=True)
class Table:
    """Heads and lines as text, and which columns are numbers."""

    heads: tuple[str, ...]
    right: tuple[bool, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Words:
    """Rich text, and where it stands on the screen."""

    html: str
    box: QRect


Part = QWidget | Table | Words
Row = tuple[QWidget, ...] | tuple[Words, ...] | Table


def parts(pane: QWidget) -> tuple[Part, ...]:
    """The visible parts of a pane's right side, top to bottom, and the tables beside its form."""
    found = [part for root in _roots(pane) for part in _of(root)]
    if isinstance(pane, Pane):
        beside = pane.fields.parentWidget()
        found += [part for part in _of(beside) if isinstance(part, Table)] if beside is not None else []
    return tuple(found)


def rows(found: tuple[Part, ...]) -> list[Row]:
    """The parts with pictures, and words, that stand side by side taken together."""
    grouped: list[Any] = []
    for part in found:
        before = grouped[-1][-1] if grouped and isinstance(grouped[-1], tuple) else None
        same = isinstance(part, QWidget) == isinstance(before, QWidget)
        if before is not None and same and not isinstance(part, Table) and _beside(before, part):
            grouped[-1] = (*grouped[-1], part)
        else:
            grouped.append(part if isinstance(part, Table) else (part,))
    return grouped


@contextmanager
def worn(pane: Any, look: Look, back: Look) -> Iterator[None]:
    """A pane in another look as long as it is drawn elsewhere; nothing of it is seen on the screen."""
    pane.set_look(look)
    _redraw(pane)
    try:
        yield
    finally:
        pane.set_look(back)
        _redraw(pane)


@contextmanager
def sized(widget: QWidget, width: int) -> Iterator[QSize]:
    """A picture at a width, and as high as it needs to be seen whole; its size then."""
    before = widget.size()
    least = widget.minimumSizeHint()
    area = widget if isinstance(widget, QAbstractScrollArea) else None
    policy = None if area is None else area.verticalScrollBarPolicy()
    if area is not None:
        area.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    widget.resize(max(width, least.width()), max(before.height(), least.height()))
    if area is not None:
        widget.resize(widget.width(), widget.height() + area.verticalScrollBar().maximum())
    try:
        yield widget.size()
    finally:
        if area is not None and policy is not None:
            area.setVerticalScrollBarPolicy(policy)
        widget.resize(before)


def draw(widget: QWidget, painter: QPainter) -> None:
    """Paint a picture by its own code, so that its text stays text; its ground stays clear."""
    widget.render(painter, QPoint(), QRegion(), QWidget.RenderFlag.DrawChildren)


def copy(window: Window) -> None:
    """Put the pane's right side on the clipboard: an image at twice the pixels, and what it says as text."""
    pane = window.shown
    mime = QMimeData()
    mime.setImageData(image(pane, window.look))
    mime.setText(text_of(pane))
    QGuiApplication.clipboard().setMimeData(mime)


def image(pane: QWidget, look: Look) -> QImage:
    """A pane's right side in the look that it wears."""
    area = pane.picture.geometry() if isinstance(pane, Pane) else pane.rect()
    made = QImage(area.size() * SCALE, QImage.Format.Format_RGB32)
    made.setDevicePixelRatio(SCALE)
    made.fill(look.paper)
    painter = QPainter(made)
    pane.render(painter, QPoint(), QRegion(area), QWidget.RenderFlag.DrawChildren)
    painter.end()
    return made


def text_of(pane: QWidget) -> str:
    """What a pane's right side says: pictures by their descriptions, tables with tabs, text."""
    told = []
    for part in parts(pane):
        if isinstance(part, Table):
            told.append(tsv((part.heads, *part.rows)).rstrip("\n"))
        elif isinstance(part, QWidget):
            said = (part.accessibleName(), part.accessibleDescription())
            told.append("\n".join(filter(None, said)))
        else:
            told.append(plain(part.html))
    return "\n\n".join(filter(None, told))


def plain(html: str) -> str:
    """Rich text without its letters."""
    document = QTextDocument()
    document.setHtml(html)
    return document.toPlainText().strip()


def _roots(pane: QWidget) -> list[QWidget]:
    if not isinstance(pane, Pane):
        return [pane]
    items = (pane.picture.itemAt(at) for at in range(pane.picture.count()))
    found = (item.widget() for item in items if item is not None)
    return [widget for widget in found if widget is not None and widget.isVisibleTo(pane)]


def _of(widget: QWidget) -> Iterator[Part]:
    if isinstance(widget, QTableView):
        yield _table(widget)
    elif isinstance(widget, QLabel):
        words = _words(widget)
        if words:
            yield Words(words, _box(widget))
    elif isinstance(widget, QTextEdit):
        if widget.toPlainText().strip():
            yield Words(widget.toHtml(), _box(widget))
    elif isinstance(widget, QLineEdit | QComboBox):
        text = widget.text() if isinstance(widget, QLineEdit) else widget.currentText()
        if text:
            yield Words(escape(f"{widget.accessibleName()}: {text}"), _box(widget))
    elif isinstance(widget, QAbstractButton | QHeaderView | CautionPanel):
        return
    elif _paints_itself(widget):
        yield widget
    else:
        inside = [child for child in widget.children() if isinstance(child, QWidget)]
        for child in sorted(inside, key=lambda child: (child.y(), child.x())):
            if child.isVisibleTo(widget):
                yield from _of(child)


def _paints_itself(widget: QWidget) -> bool:
    return any(
        "paintEvent" in vars(kind) for kind in type(widget).__mro__ if kind.__module__.startswith(OURS)
    )


def _words(label: QLabel) -> str:
    text = label.text().strip()
    if not text or label.buddy() is not None:
        return ""
    rich = label.textFormat() == Qt.TextFormat.RichText or TAG.search(text) is not None
    if label.textFormat() != Qt.TextFormat.PlainText and rich:
        return text
    html = escape(text).replace("\n", "<br>")
    return f"<b>{html}</b>" if label.objectName() in ("title", "heading") else html


def _table(view: QTableView) -> Table:
    model = view.model()
    shown = [column for column in range(model.columnCount()) if not view.isColumnHidden(column)]
    lines = [row for row in range(model.rowCount()) if not view.isRowHidden(row)]
    unjudged = mark_word(None)

    def cell(row: int, column: int) -> str:
        index = model.index(row, column)
        found = (index.data(role) for role in (Role.DisplayRole, Role.AccessibleTextRole, Role.ToolTipRole))
        text = next((str(text) for text in found if text), "")
        return text.removeprefix(f"{_head(model, column)}:").strip()

    def is_right(column: int) -> bool:
        side = model.index(0, column).data(Role.TextAlignmentRole) if lines else None
        return side is not None and bool(Qt.AlignmentFlag(side) & Qt.AlignmentFlag.AlignRight)

    shown = [column for column in shown if any(cell(row, column) != unjudged for row in lines)]
    return Table(
        tuple(_head(model, column) for column in shown),
        tuple(is_right(column) for column in shown),
        tuple(tuple(cell(row, column) for column in shown) for row in lines),
    )


def _head(model: QAbstractItemModel, column: int) -> str:
    """What stands over a column; the one of the marks has only its mark."""
    return str(model.headerData(column, Qt.Orientation.Horizontal) or "Status")


def _box(part: QWidget | Words) -> QRect:
    return part.box if isinstance(part, Words) else QRect(part.mapToGlobal(QPoint(0, 0)), part.size())


def _beside(one: QWidget | Words, other: QWidget | Words) -> bool:
    first, second = _box(one), _box(other)
    apart = abs(first.center().y() - second.center().y())
    return first.right() <= second.left() + 1 and apart < min(first.height(), second.height()) / 2


def _redraw(pane: Any) -> None:
    if isinstance(pane, Pane):
        pane.refresh()
