"""A picture that wears a look and reads out what stands under the pointer."""

from __future__ import annotations

from PySide6.QtCore import QPointF
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look


class Pointed(QWidget):
    """It fills its room; ``_hover`` is where the pointer stands, ``None`` while it is elsewhere."""

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._hover: QPointF | None = None
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.update()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._hover = event.position()
        self.update()

    def leaveEvent(self, _event: object) -> None:
        self._hover = None
        self.update()
