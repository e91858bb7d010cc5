"""What each piece on the bus sees: lanes on one voltage axis that begins near the lowest, not at zero."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look
from app.views.axis import Axis, figure, nice_step
from app.views.lettering import blend, letters, readable_on
from app.views.marks import draw_mark, mark_word, status_of
from engine import units
from engine.sections.results import Lane

TITLE = "What stands on the bus"
SIDE = 12
NOTHING = "Enter the bank's chemistry, its voltage and its temperatures: what each piece sees stands here."


class BusLanes(QWidget):
    """``piece_chosen(path)`` when a lane is clicked, or entered by the keyboard."""

    piece_chosen = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._lanes: tuple[Lane, ...] = ()
        self._habit = "metric"
        self._caption = ""
        self._current = 0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(TITLE)

    def sizeHint(self) -> QSize:
        return QSize(640, self.minimumSizeHint().height() + 2 * self._look.text)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, round((3.6 + 1.5 * max(len(self._lanes), 2)) * self._look.text))

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.updateGeometry()
        self.update()

    def show_lanes(self, lanes: Sequence[Lane], caption: str, habit: str) -> None:
        """Show lanes, the set points first; texts inside them are already in the habit."""
        self._lanes, self._caption, self._habit = tuple(lanes), caption, habit
        self._current = min(self._current, max(len(lanes) - 1, 0))
        self.setAccessibleDescription(". ".join(map(self._told, lanes)) or NOTHING)
        self.updateGeometry()
        self.update()

    def _told(self, lane: Lane) -> str:
        parts = [mark.text for mark in lane.marks]
        parts += [mark_word(status) for mark in lane.marks if (status := status_of(mark.status)) is not None]
        return f"{lane.title}: {', '.join(parts) or lane.empty}"

    # Where things stand

    def axis(self) -> Axis:
        """From a little under the lowest voltage that matters to a little over the highest near it."""
        small = letters(self._look)
        names = max([small.width(lane.title) for lane in self._lanes], default=0.0)
        start = SIDE + min(names, 0.34 * self.width()) + 12
        spans = [span for lane in self._lanes for span in lane.spans]
        first = spans[0] if spans else None
        top = 1.0 if first is None else first.high
        bottom = 0.0 if first is None else first.low
        lows = [span.low for span in spans if span.low > 0] or [bottom]
        highs = [span.high for span in spans if span.high <= 1.35 * top] or [top]
        low, high = min(*lows, bottom), max(*highs, top)
        room = 0.10 * max(high - low, 0.05 * high)
        stop = max(self.width() - SIDE - 3 * self._look.text, start + 60)
        step = nice_step(high - low + 2 * room, max(2, int((stop - start) / (5 * self._look.text))))
        return Axis(max(low - room, 0.0), high + room, step, start, stop)

    def _top(self) -> float:
        return 2.2 * self._look.text

    def _pitch(self) -> float:
        room = self.height() - self._top() - 1.8 * self._look.text
        return min(2.4 * self._look.text, room / max(len(self._lanes), 1))

    def _lane_at(self, at: QPointF) -> int | None:
        row = int((at.y() - self._top()) // max(self._pitch(), 1.0))
        return row if at.y() >= self._top() and 0 <= row < len(self._lanes) else None

    # Mouse and keyboard

    def mousePressEvent(self, event: QMouseEvent) -> None:
        lane = self._lane_at(event.position())
        if lane is not None and event.button() == Qt.MouseButton.LeftButton:
            self._current = lane
            self.update()
            self.piece_chosen.emit(self._lanes[lane].path)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, last = event.key(), len(self._lanes) - 1
        if last >= 0 and key in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            step = -1 if key == Qt.Key.Key_Up else 1
            self._current = min(max(self._current + step, 0), last)
            self.update()
        elif last >= 0 and key in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.piece_chosen.emit(self._lanes[self._current].path)
        else:
            super().keyPressEvent(event)

    # Painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = self._look
        title, soft = letters(look, look.text + 1, bold=True), letters(look, look.small)
        middle = 1.1 * look.text
        title.draw(painter, SIDE, middle, TITLE, look.ink)
        after = SIDE + title.width(TITLE) + 12
        soft.draw(painter, after, middle, soft.fit(self._caption, self.width() - after - SIDE), look.soft)
        if not self._lanes:
            for number, line in enumerate(soft.wrap(NOTHING, self.width() - 2 * SIDE)):
                soft.draw(painter, SIDE, middle + (1.7 + 1.4 * number) * look.text, line, look.soft)
            painter.end()
            return
        axis, pitch = self.axis(), self._pitch()
        bottom = self._top() + pitch * len(self._lanes)
        self._paint_axis(painter, axis, bottom)
        for number, lane in enumerate(self._lanes):
            self._paint_lane(painter, lane, number, axis, self._top() + (number + 0.5) * pitch)
        painter.end()

    def _paint_axis(self, painter: QPainter, axis: Axis, bottom: float) -> None:
        look = self._look
        small = letters(look, look.small)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(QPen(QColor(look.hairline), 1))
        for volts in axis.ticks():
            x = round(axis.at(volts))
            painter.drawLine(QPointF(x, self._top()), QPointF(x, bottom))
        first = self._lanes[0].spans[0]
        painter.setPen(QPen(QColor(look.battery), look.stroke, Qt.PenStyle.DotLine))
        for volts in (first.low, first.high):
            x = round(axis.at(volts))
            painter.drawLine(QPointF(x, self._top()), QPointF(x, bottom))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for volts in axis.ticks():
            text = f"{figure(volts, axis.step)} V"
            small.draw(
                painter, axis.at(volts) - small.width(text) / 2, bottom + 0.9 * look.text, text, look.soft
            )

    def _paint_lane(self, painter: QPainter, lane: Lane, number: int, axis: Axis, middle: float) -> None:
        look, pitch = self._look, self._pitch()
        if self.hasFocus() and number == self._current:
            painter.setPen(QPen(QColor(look.water), 1.6))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            frame = QRectF(4.5, middle - pitch / 2 + 1, self.width() - 9, pitch - 2)
            painter.drawRoundedRect(frame, 4, 4)
        type, small = letters(look), letters(look, look.small)
        type.draw(painter, SIDE, middle, type.fit(lane.title, axis.start - SIDE - 10), look.ink)
        thick = min(1.2 * look.text, pitch - 5)
        if not lane.spans:
            small.draw(painter, axis.start, middle, small.fit(lane.empty, axis.stop - axis.start), look.soft)
            return
        colour = blend(look.soft, look.sheet, 0.35) if lane.colour != "battery" else QColor(look.battery)
        if lane.colour == "loads":
            colour = blend(look.loads, look.sheet, 0.55)
        span = lane.spans[0]
        left, right = max(axis.at(span.low), axis.start), min(axis.at(span.high), axis.stop)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colour)
        painter.drawRoundedRect(QRectF(left, middle - thick / 2, max(right - left, 2.0), thick), 2, 2)
        if number == 0:
            self._paint_points(painter, lane, axis, middle, thick)
            return
        self._paint_range(painter, lane, (left, right), axis, middle, colour)

    def _paint_points(self, painter: QPainter, lane: Lane, axis: Axis, middle: float, thick: float) -> None:
        """The ends beside the bar, and in it the value of each stage at 25 °C, where all have room."""
        look, span = self._look, lane.spans[0]
        small = letters(look, look.small)
        ink = readable_on(QColor(look.battery))
        low, high = (units.show(volts, "V", self._habit) for volts in (span.low, span.high))
        small.draw(painter, axis.at(span.low) - small.width(low) - 5, middle, low, look.ink)
        small.draw(painter, axis.at(span.high) + 5, middle, high, look.ink)
        places = sorted((axis.at(mark.at), mark.text) for mark in lane.marks)
        ends = [*[x for x, _ in places[1:]], axis.at(span.high)]
        if any(small.width(text) > end - x - 8 for (x, text), end in zip(places, ends, strict=True)):
            return
        for x, text in places:
            painter.fillRect(QRectF(x - 1, middle - thick / 2, 2, thick), ink)
            small.draw(painter, x + 5, middle, text, ink)

    def _paint_range(
        self,
        painter: QPainter,
        lane: Lane,
        ends: tuple[float, float],
        axis: Axis,
        middle: float,
        colour: QColor,
    ) -> None:
        """What it stands: said inside the bar at its ends, with its status."""
        look = self._look
        small = letters(look, look.small)
        rating = lane.marks[0]
        status = status_of(rating.status)
        beyond = rating.at > axis.high
        text = f"{rating.text} →" if beyond else rating.text
        ink = readable_on(colour)
        room = ends[1] - ends[0]
        x = ends[1] - 6 - small.width(text)
        if small.width(text) + 12 > room:
            x, ink = ends[1] + 6, QColor(look.ink)
        small.draw(painter, x, middle, text, ink)
        if status is not None:
            draw_mark(painter, QPointF(axis.stop + 1.6 * look.text, middle), status, look, look.text)
        for mark in lane.marks[1:]:
            if small.width(mark.text) + small.width(text) + 2 * look.text < room:
                small.draw(painter, ends[0] + 6, middle, mark.text, readable_on(colour))
