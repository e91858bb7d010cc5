"""Status marks: a triangle fails, a diamond is marginal, a disc meets, an open ring is unknown.

The shape says it without the colour, and a word always stands with it: as text or as a tooltip.
"""

from __future__ import annotations

from functools import lru_cache

from PySide6.QtCore import QPointF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPainterPath, QPen, QPixmap, QPolygonF

from app.look import Look
from engine.finding import Status

WORDS = {status.word: status for status in Status}


def mark_word(status: Status | None) -> str:
    """The word that goes with a mark."""
    return "not judged" if status is None else status.word


def status_of(word: str) -> Status | None:
    """The status that a word names; ``None`` for any other word."""
    return WORDS.get(word)


@lru_cache
def mark_path(status: Status | None) -> QPainterPath:
    """The outline of a mark about the origin, within 1 of it; scale it to the size wanted."""
    path = QPainterPath()
    if status is Status.FAILS:
        corners = [(0.0, -0.96), (1.0, 0.84), (-1.0, 0.84)]
    elif status is Status.MARGINAL:
        corners = [(0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)]
    else:
        radius = 0.84 if status is Status.MEETS else 0.72
        path.addEllipse(QPointF(), radius, radius)
        return path
    path.addPolygon(QPolygonF([QPointF(*corner) for corner in corners]))
    path.closeSubpath()
    return path


def draw_mark(painter: QPainter, at: QPointF, status: Status | None, look: Look, size: float = 12) -> None:
    """Draw a mark ``size`` pixels wide about a point; nothing where nothing was judged."""
    if status is None:
        return
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(at)
    painter.scale(size / 2, size / 2)
    colour = QColor(look.status(status))
    if status is Status.UNKNOWN:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(QPen(colour, 0.36))
    else:
        painter.setBrush(colour)
        painter.setPen(Qt.PenStyle.NoPen)
    painter.drawPath(mark_path(status))
    painter.restore()


def mark_icon(status: Status | None, look: Look, size: int = 16) -> QIcon:
    """A mark as an icon, also for screens of twice the density."""
    icon = QIcon()
    for ratio in (1, 2):
        picture = QPixmap(QSize(size, size) * ratio)
        picture.setDevicePixelRatio(ratio)
        picture.fill(Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        draw_mark(painter, QPointF(size / 2, size / 2), status, look, size - 2)
        painter.end()
        icon.addPixmap(picture)
    return icon
