"""The pointers on the ladder's lanes that move with the conditions, and the key that tells them apart."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.look import Look
from app.views.lettering import letters
from engine.sections.results import Lane

WORDS = {"now": "now", "would": "if opened now", "held": "held"}
APART = 14.0  # pixels between the parts of the key


def colour(kind: str, look: Look) -> QColor:
    """Soft for what is held, else ink."""
    return QColor(look.soft if kind == "held" else look.ink)


def draw_pin(painter: QPainter, at: float, top: float, kind: str, look: Look) -> None:
    """A pointer whose tip stands on ``top``: hollow for where a source would stand."""
    size = 0.36 * look.text
    painter.setPen(QPen(colour(kind, look), 1.4))
    painter.setBrush(QColor(look.sheet) if kind == "would" else colour(kind, look))
    corners = [QPointF(at - size, top - size), QPointF(at + size, top - size), QPointF(at, top + 1)]
    painter.drawPolygon(QPolygonF(corners))


def draw_key(painter: QPainter, lanes: Sequence[Lane], middle: float, right: float, look: Look) -> float:
    """The key of the pointers that stand on the lanes, up to ``right``; where it begins."""
    small, pin = letters(look, look.small), look.text
    there = {mark.kind for lane in lanes for mark in lane.marks}
    x = right
    for kind in [kind for kind in reversed(WORDS) if kind in there]:
        x -= small.width(WORDS[kind])
        small.draw(painter, x, middle, WORDS[kind], look.soft)
        draw_pin(painter, x - 0.7 * pin, middle + 0.18 * look.text, kind, look)
        x -= 1.2 * pin + APART
    return x
