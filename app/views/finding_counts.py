"""How many findings there are of each status."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRect, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look, font
from app.views.marks import draw_mark
from engine.finding import Status


class Counts(QWidget):
    """How many fail, are unknown, are marginal and meet: marks and words, which also explain the marks."""

    def __init__(self) -> None:
        super().__init__()
        self._look = LIGHT
        self._parts: list[tuple[Status, str]] = []
        self.text = ""
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)

    def show_counts(self, counts: dict[Status, int]) -> None:
        """Show the counts that are not nought."""
        verbs = {
            Status.FAILS: ("fails", "fail"),
            Status.UNKNOWN: ("unknown", "unknown"),
            Status.MARGINAL: ("marginal", "marginal"),
            Status.MEETS: ("meets", "meet"),
        }
        self._parts = [(s, f"{n} {verbs[s][n != 1]}") for s, n in counts.items() if n]
        self.text = " · ".join(text for _, text in self._parts)
        self.setAccessibleName(self.text or "no findings")
        self.setVisible(bool(self._parts))
        self.updateGeometry()
        self.update()

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.updateGeometry()

    def sizeHint(self) -> QSize:
        """One line high."""
        return QSize(200, self.heightForWidth(max(self.width(), 200)))

    def heightForWidth(self, width: int) -> int:
        """As many lines as the counts need."""
        boxes = self._boxes(width)
        return boxes[-1].bottom() + 1 if boxes else 0

    def _boxes(self, width: int) -> list[QRect]:
        metrics = QFontMetrics(font(self._look))
        height, left, top, boxes = metrics.height() + 2, 0, 0, []
        for _, text in self._parts:
            wide = 16 + metrics.horizontalAdvance(text)
            if left and left + wide > width:
                left, top = 0, top + height
            boxes.append(QRect(left, top, wide, height))
            left += wide + 12
        return boxes

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw marks and words."""
        painter = QPainter(self)
        painter.setFont(font(self._look))
        for (status, text), box in zip(self._parts, self._boxes(self.width()), strict=True):
            draw_mark(painter, QPointF(box.left() + 6, box.center().y() + 0.5), status, self._look, 10)
            painter.setPen(QColor(self._look.ink if status is not Status.MEETS else self._look.soft))
            painter.drawText(box.adjusted(16, 0, 0, 0), int(Qt.AlignmentFlag.AlignVCenter), text)
