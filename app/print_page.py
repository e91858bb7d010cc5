"""Rich text and pictures on paper: a PDF whose text can be searched, on the paper of the habit."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from pathlib import Path

from PySide6.QtCore import QMarginsF, QObject, QRect, QRectF, QSizeF, Qt
from PySide6.QtGui import (
    QFont,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
    QPyTextObject,
    QTextCharFormat,
    QTextDocument,
    QTextFormat,
)
from PySide6.QtWidgets import QWidget

from app.pictures import draw
from engine.design import Design

DRAWN = QTextFormat.ObjectTypes.UserObject.value + 1
NUMBER = QTextFormat.Property.UserProperty.value + 1
USUAL, NARROW = 20.0, 12.0  # mm of margin
FOOT_CM, CM_PER_INCH = 0.8, 2.54
BODY_PT, BODY_PX = 8, 12  # the same letters on paper and on the screen
PIXELS = re.compile(r"font-size: ?([0-9.]+)px")
ABOVE = re.compile(r"margin: ?([0-9]+)px ")
LED = re.compile(r"<a href=.worksheet:.*?</a>")
TIPPED = re.compile(r"<span title=[^>]*>")
INSIDE = re.compile(r"<body[^>]*>(.*)</body>", re.DOTALL)
OBJECT = "\N{OBJECT REPLACEMENT CHARACTER}"
PAPER = {"us": QPageSize.PageSizeId.Letter, "metric": QPageSize.PageSizeId.A4}


@dataclass(frozen=True)
class Drawing:
    """Pictures in a row, each with its size in pixels, and how much of the paper's height they may take."""

    widgets: tuple[QWidget, ...]
    sizes: tuple[tuple[int, int], ...]
    most: float = 0.9


class _Drawer(QPyTextObject):
    """Paints drawings where the text has their places, all at one scale, so that axes stand under axes."""

    def __init__(self, drawings: Sequence[Drawing], room: QSizeF, parent: QObject) -> None:
        super().__init__(parent)
        self._drawings = drawings
        self._scale = min((_scale(drawing, room) for drawing in drawings), default=1.0)

    def intrinsicSize(self, _document: QTextDocument, _at: int, format: QTextFormat) -> QSizeF:
        return self._size(self._drawings[int(format.property(NUMBER))])

    def drawObject(
        self, painter: QPainter, box: QRectF | QRect, _document: QTextDocument, _at: int, format: QTextFormat
    ) -> None:
        drawing = self._drawings[int(format.property(NUMBER))]
        painter.save()
        painter.translate(box.topLeft())
        painter.scale(self._scale, self._scale)
        for widget, (width, _) in zip(drawing.widgets, drawing.sizes, strict=True):
            draw(widget, painter)
            painter.translate(width, 0)
        painter.restore()

    def _size(self, drawing: Drawing) -> QSizeF:
        width, height = _whole(drawing)
        return QSizeF(width * self._scale, height * self._scale)


def _whole(drawing: Drawing) -> tuple[int, int]:
    return sum(width for width, _ in drawing.sizes), max(height for _, height in drawing.sizes)


def _scale(drawing: Drawing, room: QSizeF) -> float:
    width, height = _whole(drawing)
    return min(room.width() / width, room.height() * drawing.most / height)


def write_page(
    path: Path,
    title: str,
    html: str,
    habit: str,
    way: QPageLayout.Orientation,
    drawings: Sequence[Drawing] = (),
    margin: float = USUAL,
) -> int:
    """Print rich text to a file; heads of tables stand on every page, drawings where they are ``placed``.

    The number of pages. Raises ``OSError`` where the file can't be written.
    """
    with path.open("wb"):
        pass  # says why a file can't be written, which the writer does not
    writer = QPdfWriter(str(path))
    around, in_mm = QMarginsF(margin, margin, margin, margin), QPageLayout.Unit.Millimeter
    writer.setPageLayout(QPageLayout(QPageSize(PAPER[habit]), way, around, in_mm))
    writer.setResolution(300)
    writer.setTitle(title)
    writer.setCreator("Farstead")
    document = QTextDocument()
    letters = QFont("DejaVu Sans", 8)
    letters.setFeature(QFont.Tag("liga"), 0)  # a ligature can't be searched for
    document.setDefaultFont(letters)
    document.setHtml(html)
    drawer = _Drawer(drawings, QSizeF(writer.width(), writer.height()), document)
    document.documentLayout().registerHandler(DRAWN, drawer)
    for number in range(len(drawings)):
        _put(document, number)
    return _paint(document, writer, title)


def _paint(document: QTextDocument, writer: QPdfWriter, title: str) -> int:
    """Paint the pages, the title and their number at the foot of each; how many."""
    foot = FOOT_CM / CM_PER_INCH * writer.logicalDpiY()
    width, height = float(writer.width()), writer.height() - foot
    document.documentLayout().setPaintDevice(writer)
    document.setDocumentMargin(0)
    document.setPageSize(QSizeF(width, height))
    painter = QPainter(writer)
    pages = document.pageCount()
    for number in range(pages):
        if number:
            writer.newPage()
        painter.save()
        painter.translate(0, -number * height)
        document.drawContents(painter, QRectF(0, number * height, width, height))
        painter.restore()
        painter.setFont(document.defaultFont())
        below = QRectF(0, height, width, foot)
        painter.drawText(below, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignBottom, title)
        told = f"page {number + 1} of {pages}"
        painter.drawText(below, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom, told)
    painter.end()
    return pages


def _put(document: QTextDocument, number: int) -> None:
    """Put a drawing in its place."""
    cursor = document.find(_mark(number))
    format = QTextCharFormat()
    format.setObjectType(DRAWN)
    format.setProperty(NUMBER, number)
    cursor.insertText(OBJECT, format)


def placed(number: int) -> str:
    """The place of a drawing."""
    return f"<p style='margin: 6px 0;'>{_mark(number)}</p>"


def _mark(number: int) -> str:
    return f"[[drawing {number}]]"


def as_points(html: str, share: float = 1) -> str:
    """Rich text of the screen for paper: what is inside its body, letters in points, no marks of tooltips, no
    links into worksheets."""
    inside = INSIDE.search(html)
    least = share * BODY_PT / BODY_PX
    sized = PIXELS.sub(
        lambda found: f"font-size: {float(found[1]) * least:.1f}pt", inside[1] if inside else html
    )
    sized = ABOVE.sub(lambda found: f"margin: {float(found[1]) * share**2:.0f}px ", sized)
    return TIPPED.sub("<span>", LED.sub("", sized))


def page(*parts: str) -> str:
    """Parts of a page as one text."""
    return f"<html><body>{''.join(parts)}</body></html>"


def heading(words: str) -> str:
    """The head of a page."""
    return f"<p style='font-size: 14pt; font-weight: bold;'>{escape(words)}</p>"


def line(words: str, *, bold: bool = False) -> str:
    """A line of a page."""
    return f"<p style='margin: 2px 0;{' font-weight: bold;' if bold else ''}'>{escape(words)}</p>"


def decides(caution: str) -> str:
    """Who decides, at the foot."""
    return f"<p style='margin-top: 8px;'><b>NOTICE</b> {escape(caution)}</p>"


def name_of(design: Design) -> str:
    """What a site is called on paper."""
    name = design.about.name or "a site without a name"
    return f"{name} (invented example)" if design.about.invented else name
