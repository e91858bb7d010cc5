"""Type that is measured once: fonts of a look, widths of texts, and colours that text can be read on."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF, QPainter

from app.look import Look, font

STROKE = 3.0
Note = tuple[QRectF, str]
_notes: list[Note] | None = None  # where labels are noted while someone asks for them


@contextmanager
def noted() -> Iterator[list[Note]]:
    """Note every label that is drawn meanwhile: its box in the picture, and its text."""
    global _notes
    labels: list[Note] = []
    _notes = labels
    try:
        yield labels
    finally:
        _notes = None


class Letters:
    """One size of type of a look, with the widths of the texts it has measured."""

    def __init__(self, look: Look, size: int | None = None, *, bold: bool = False) -> None:
        self.font: QFont = font(look, size, bold=bold)
        self._metrics = QFontMetricsF(self.font)
        self._widths: dict[str, float] = {}
        self.height = self._metrics.height()
        self.rise = (self._metrics.ascent() - self._metrics.descent()) / 2

    def width(self, text: str) -> float:
        """How wide a text runs, in pixels."""
        found = self._widths.get(text)
        if found is None:
            if len(self._widths) > 4000:
                self._widths.clear()
            found = self._widths[text] = self._metrics.horizontalAdvance(text)
        return found

    def fit(self, text: str, room: float) -> str:
        """The text, cut with an ellipsis where the room is too small; empty where not even that fits."""
        if self.width(text) <= room:
            return text
        cut = self._metrics.elidedText(text, Qt.TextElideMode.ElideRight, room)
        return "" if cut in ("…", "") or self.width(cut) > room + 0.5 else cut

    def wrap(self, text: str, room: float) -> list[str]:
        """The text in lines of that width, broken between words; a word that is too wide is cut."""
        lines: list[str] = []
        for word in text.split():
            joined = f"{lines[-1]} {word}" if lines else word
            if lines and self.width(joined) <= room:
                lines[-1] = joined
            else:
                lines.append(self.fit(word, room))
        return lines

    def draw(self, painter: QPainter, x: float, middle: float, text: str, colour: str | QColor) -> None:
        """Draw one line from ``x`` on, centred on the height ``middle``."""
        painter.setFont(self.font)
        painter.setPen(QColor(colour))
        painter.drawText(QPointF(x, round(middle + self.rise)), text)
        if _notes is not None:
            box = QRectF(x, middle - self.height / 2, self.width(text), self.height)
            _notes.append((painter.worldTransform().mapRect(box), text))


@lru_cache
def letters(look: Look, size: int | None = None, bold: bool = False) -> Letters:
    """The type of a look in a size, measured once for all views."""
    return Letters(look, size, bold=bold)


def _parts(colour: QColor) -> tuple[float, float, float]:
    return colour.redF(), colour.greenF(), colour.blueF()


@lru_cache(maxsize=256)
def blend(over: str, under: str, share: float) -> QColor:
    """An opaque colour: ``share`` of the one over the other."""
    pairs = zip(_parts(QColor(over)), _parts(QColor(under)), strict=True)
    red, green, blue = (share * top + (1 - share) * base for top, base in pairs)
    return QColor.fromRgbF(red, green, blue)


def luminance(colour: QColor) -> float:
    """Relative luminance, 0 to 1 (W3C, Web Content Accessibility Guidelines 2.1, "relative luminance")."""
    red, green, blue = (
        part / 12.92 if part <= 0.03928 else float(((part + 0.055) / 1.055) ** 2.4) for part in _parts(colour)
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: QColor, other: QColor) -> float:
    """Contrast ratio, 1 to 21 (W3C, Web Content Accessibility Guidelines 2.1, "contrast ratio")."""
    dark, bright = sorted((luminance(one), luminance(other)))
    return (bright + 0.05) / (dark + 0.05)


@lru_cache(maxsize=256)
def line_colour(look: Look, name: str) -> QColor:
    """The colour of a source for a line: darker than that of its areas where the sheet is too near to it.

    3 to 1 is what must be seen to understand a picture asks (WCAG 2.1, 1.4.11)."""
    colour = look.source(name)
    shades = (blend(colour, "#000000", share / 50) for share in range(50, 0, -1))
    return next(shade for shade in shades if contrast(shade, QColor(look.sheet)) >= STROKE)


def readable_on(colour: QColor) -> QColor:
    """Near-black or white, whichever reads better on a colour."""
    return max(QColor("#14171B"), QColor("#FFFFFF"), key=lambda ink: contrast(ink, colour))
