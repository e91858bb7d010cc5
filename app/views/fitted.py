"""A label of one line that ends in an ellipsis where its room is too small; hovering then tells it whole."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QHelpEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QLabel, QToolTip

LEAST = 5  # letters of it that are seen at least


class FittedLabel(QLabel):
    """Plain text of one line."""

    def __init__(self) -> None:
        super().__init__()
        self.setTextFormat(Qt.TextFormat.PlainText)

    @property
    def seen(self) -> str:
        """The text as far as there is room for it."""
        room = self.contentsRect().width()
        return self.fontMetrics().elidedText(self.text(), Qt.TextElideMode.ElideRight, room)

    def minimumSizeHint(self) -> QSize:
        whole = super().minimumSizeHint()
        return QSize(min(whole.width(), LEAST * self.fontMetrics().averageCharWidth()), whole.height())

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setPen(self.palette().color(self.foregroundRole()))
        painter.drawText(self.contentsRect(), self.alignment(), self.seen)
        painter.end()

    def event(self, event: QEvent) -> bool:
        """What is cut is told whole."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent) and self.seen != self.text():
            QToolTip.showText(event.globalPos(), self.text(), self)
            return True
        return super().event(event)
