"""A slider in the colour of its source: click or drag anywhere on it, arrows and pages by the keyboard."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen, QWheelEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look

PAGE = 10


class SourceSlider(QWidget):
    """Whole steps from ``low`` to ``high``. ``stepped(step)`` only when a person moves it."""

    stepped = Signal(int)

    def __init__(self, colour: str) -> None:
        super().__init__()
        self._colour = colour
        self._look: Look = LIGHT
        self._low, self._high, self._step = 0, 100, 0
        self._turned = 0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def sizeHint(self) -> QSize:
        return QSize(160, round(1.9 * self._look.text))

    def minimumSizeHint(self) -> QSize:
        return QSize(80, round(1.9 * self._look.text))

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.updateGeometry()
        self.update()

    def show_steps(self, low: int, high: int, step: int) -> None:
        """Show a step between the ends; one outside them stands at the nearer end."""
        shown = (low, max(high, low + 1), min(max(step, low), high))
        if shown != (self._low, self._high, self._step):
            self._low, self._high, self._step = shown
            self.update()

    @property
    def step(self) -> int:
        """Where it stands."""
        return self._step

    def _ends(self) -> tuple[float, float]:
        pad = 0.8 * self._look.text
        return pad, max(self.width() - pad, pad + 1)

    def pixel(self, step: int) -> float:
        """Where a step stands across the slider."""
        left, right = self._ends()
        return left + (step - self._low) / (self._high - self._low) * (right - left)

    def _go(self, step: int) -> None:
        step = min(max(step, self._low), self._high)
        if step != self._step:
            self._step = step
            self.update()
            self.stepped.emit(step)

    def _go_to_pixel(self, x: float) -> None:
        left, right = self._ends()
        self._go(round(self._low + (x - left) / (right - left) * (self._high - self._low)))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.setFocus(Qt.FocusReason.MouseFocusReason)
            self._go_to_pixel(event.position().x())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._go_to_pixel(event.position().x())

    def wheelEvent(self, event: QWheelEvent) -> None:
        self._turned += event.angleDelta().y()
        steps, self._turned = int(self._turned / 120), self._turned - 120 * int(self._turned / 120)
        self._go(self._step + steps)
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        moves = {
            Qt.Key.Key_Left: self._step - 1,
            Qt.Key.Key_Down: self._step - 1,
            Qt.Key.Key_Right: self._step + 1,
            Qt.Key.Key_Up: self._step + 1,
            Qt.Key.Key_PageDown: self._step - PAGE,
            Qt.Key.Key_PageUp: self._step + PAGE,
            Qt.Key.Key_Home: self._low,
            Qt.Key.Key_End: self._high,
        }
        if event.key() in moves:
            self._go(moves[Qt.Key(event.key())])
        else:
            super().keyPressEvent(event)

    def paintEvent(self, _event: QPaintEvent) -> None:
        look = self._look
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        left, right = self._ends()
        at, middle, thick = self.pixel(self._step), self.height() / 2, look.text / 3
        colour = QColor(look.source(self._colour))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(look.hairline))
        painter.drawRoundedRect(QRectF(left, middle - thick / 2, right - left, thick), thick / 2, thick / 2)
        painter.setBrush(colour)
        painter.drawRoundedRect(QRectF(left, middle - thick / 2, at - left, thick), thick / 2, thick / 2)
        radius = 0.56 * look.text
        if self.hasFocus():
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.setPen(QPen(QColor(look.water), 2))
            painter.drawEllipse(QPointF(at, middle), radius + 3, radius + 3)
        painter.setPen(QPen(colour, 2.4))
        painter.setBrush(QColor(look.sheet))
        painter.drawEllipse(QPointF(at, middle), radius, radius)
        painter.end()
