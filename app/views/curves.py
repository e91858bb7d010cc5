"""A source's curves at the conditions: current and power over voltage, and where its controller holds it."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import (
    QColor,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look
from app.views.axis import from_zero
from app.views.curves_layout import scales
from app.views.curves_paint import Shown, paint_plot, paint_reading, point_text
from app.views.ladder_layout import PAD, SIDE, column
from app.views.lettering import letters
from engine import units
from engine.sections.results import ArrayLook

TITLE = "At these conditions"
STATES = {
    "tracking": "Tracking",
    "direct": "On the battery",
    "current limit": "At the current limit",
    "lock-out": "Locked out",
    "below start": "Below start",
    "dark": "Dark",
    "no curve": "No curve",
    "no controller": "Open circuit",
}
CLOSEST = 4.0  # volts across the plot at the closest zoom


class CurvesView(QWidget):
    """Current (left axis) and power (right axis) over voltage.

    The wheel or ``+`` and ``-`` zoom, dragging or the arrows move, a double click or ``0`` shows the whole
    axis again; a zoom outlives every update.
    """

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._shown = Shown()
        self._full = (0.0, 0.0)
        self._seen = ("", 0.0, 0.0)
        self._axis: tuple[float, float, float] | None = None
        self._zoom: tuple[float, float] | None = None
        self._alone = False
        self._hover: QPointF | None = None
        self._grip: QPointF | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Current and power over voltage, at these conditions")

    def sizeHint(self) -> QSize:
        return QSize(660, 240)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 12 * self._look.text)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.update()

    def set_axis(self, volts: float, left: float, right: float) -> None:
        """Stand on the axis of the ladder above: from 0 to ``volts`` on these pixels."""
        self._axis = (volts, left, right)
        self.update()

    def show_look(
        self,
        look: ArrayLook | None,
        held: ArrayLook | None,
        operating_limit: float | None,
        start: float | None,
        habit: str,
        caption: str,
        *,
        full: tuple[float, float] = (0.0, 0.0),
        colour: str = "sun",
    ) -> None:
        """Show a source's curves [V, A, W], the held ones behind them, and the controller's limits [V].

        ``full`` are amps and watts that always fit, so that the scale stands still while the sun changes;
        without them the scale grows as it must and starts anew with another source.
        """
        self._full = full
        high = [item for item in (look, held) if item is not None and item.amps.size]
        amps = max([full[0], *(float(item.amps.max()) for item in high)])
        watts = max([full[1], *(float(item.watts.max()) for item in high)])
        array = look.array if look is not None else ""
        if array == self._seen[0] and full == (0.0, 0.0):
            amps, watts = max(amps, self._seen[1]), max(watts, self._seen[2])
        self._seen = (array, amps, watts)
        self._shown = Shown(look, held, operating_limit, start, habit, caption, colour)
        self.setAccessibleDescription(", ".join(part for part in (*self._state(), self._point(look)) if part))
        self.update()

    def stand_alone(self, on: bool) -> None:
        """Without the ladder above, on pixels of its own; the volts stay."""
        self._alone = on
        self.update()

    @property
    def zoomed(self) -> bool:
        """Whether a part of the axis is shown, so that a double click shows the whole again."""
        return self._zoom is not None

    @property
    def view(self) -> tuple[float, float]:
        """The volts at the left and the right end of the plot."""
        if self._zoom is not None:
            return self._zoom
        if self._axis is not None:
            return (0.0, self._axis[0])
        look, held = self._shown.look, self._shown.held
        ends = [item.open_voltage for item in (look, held) if item is not None]
        ends += [limit for limit in (self._shown.operating, self._shown.start) if limit is not None]
        return (0.0, from_zero(1.08 * max(ends, default=0.0) or 100.0, 8, 0.0, 1.0).high)

    # Zoom

    def wheelEvent(self, event: QWheelEvent) -> None:
        self._zoom_by(0.8 ** (event.angleDelta().y() / 120), event.position().x())
        event.accept()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._grip = event.position() if event.button() == Qt.MouseButton.LeftButton else None

    def mouseReleaseEvent(self, _event: QMouseEvent) -> None:
        self._grip = None

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._grip is not None and event.buttons() & Qt.MouseButton.LeftButton and self._zoom is not None:
            low, high = self._zoom
            shift = (self._grip.x() - event.position().x()) * (high - low) / self._box().width()
            self._grip = event.position()
            self._move(shift)
        self._hover = event.position()
        self.update()

    def mouseDoubleClickEvent(self, _event: QMouseEvent) -> None:
        self._show_all()

    def leaveEvent(self, _event: object) -> None:
        self._hover = None
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        low, high = self.view
        middle = self._box().center().x()
        key = event.key()
        if key in (Qt.Key.Key_Plus, Qt.Key.Key_Equal):
            self._zoom_by(0.8, middle)
        elif key == Qt.Key.Key_Minus:
            self._zoom_by(1.25, middle)
        elif key in (Qt.Key.Key_0, Qt.Key.Key_Home):
            self._show_all()
        elif key in (Qt.Key.Key_Left, Qt.Key.Key_Right) and self._zoom is not None:
            self._move((high - low) * (0.1 if key == Qt.Key.Key_Right else -0.1))
        else:
            super().keyPressEvent(event)

    def _zoom_by(self, factor: float, pixel: float) -> None:
        low, high = self.view
        whole = self._whole()
        span = (high - low) * factor
        if span >= whole:
            self._show_all()
            return
        span = max(span, min(CLOSEST, whole))
        box = self._box()
        share = min(max((pixel - box.left()) / box.width(), 0.0), 1.0)
        anchor = low + share * (high - low)
        self._zoom = (anchor - share * span, anchor + (1 - share) * span)
        self._move(0.0)

    def _move(self, shift: float) -> None:
        assert self._zoom is not None
        low, high = self._zoom
        shift = min(max(shift, -low), self._whole() - high)
        self._zoom = (low + shift, high + shift)
        self.update()

    def _whole(self) -> float:
        zoom, self._zoom = self._zoom, None
        whole = self.view[1]
        self._zoom = zoom
        return whole

    def _show_all(self) -> None:
        self._zoom = None
        self.update()

    # Words

    def _state(self) -> tuple[str, str]:
        """The state in a word or two, and why."""
        look = self._shown.look
        if look is None:
            return "No source", "add an array to see its curves"
        return STATES.get(look.state, look.state), look.why

    def _point(self, look: ArrayLook | None) -> str:
        if look is None or not look.volts.size:
            return ""
        return point_text(look, self._shown.habit)

    # Painting

    def _box(self) -> QRectF:
        """The plot's own rectangle."""
        text = self._look.text
        left = SIDE + column(self._look) + 2 * PAD
        right = self.width() - 4.6 * text
        if self._axis is not None and not self._alone:
            left, right = self._axis[1], min(self._axis[2], right) if self._zoom else self._axis[2]
        top, bottom = 4.6 * text, self.height() - 2.2 * text
        return QRectF(left, top, max(right - left, 40.0), max(bottom - top, 40.0))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box, look = self._box(), self._look
        to = scales(self.view, self._seen[1] or 1.0, self._seen[2] or 1.0, box)
        self._paint_head(painter)
        self._paint_state(painter, box)
        shown = self._shown
        if shown.look is not None and shown.look.volts.size:
            paint_plot(painter, shown, to, box, look)
            if self._hover is not None and self._grip is None:
                paint_reading(painter, shown, to, box, look, self._hover.x())
        if self.hasFocus():
            painter.setPen(QPen(QColor(look.water), 1.6))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.rect()).adjusted(3, 3, -3, -3), 4, 4)
        painter.end()

    def _paint_head(self, painter: QPainter) -> None:
        look = self._look
        title, soft = letters(look, look.text + 1, bold=True), letters(look, look.small)
        middle = 1.6 * look.text
        title.draw(painter, SIDE, middle, TITLE, look.ink)
        after = SIDE + title.width(TITLE) + 16
        caption = soft.fit(self._shown.caption, self.width() - after - SIDE)
        soft.draw(painter, after, middle, caption, look.soft)

    def _paint_state(self, painter: QPainter, box: QRectF) -> None:
        """The state, in the column at the left: what, why, and what reaches the battery."""
        look = self._look
        word, why = self._state()
        bold, small = letters(look, bold=True), letters(look, look.small)
        drawn = self._shown.look is not None and bool(self._shown.look.volts.size)
        room = box.left() - SIDE - (4.2 * look.text if drawn else -box.width())
        bold.draw(painter, SIDE, box.top(), bold.fit(word, room), look.ink)
        lines = small.wrap(why[:1].upper() + why[1:], room)
        source = self._shown.look
        if source is not None and source.output_current > 0 and source.state != "current limit":
            amps = units.show(source.output_current, "A", self._shown.habit, 3)
            lines += small.wrap(f"{amps} into the battery", room)
        for number, text in enumerate(lines):
            middle = box.top() + (1.7 + 1.4 * number) * look.text
            if middle < self.height() - look.text:
                small.draw(painter, SIDE, middle, text, look.soft)
