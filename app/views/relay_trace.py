"""A relay over a day: the battery's voltage between its thresholds, its contact, the current of its load."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF

from app.views.axis import Axis, figure, nice_step
from app.views.lettering import blend, letters
from app.views.pointed import Pointed
from engine import units
from engine.sections.relay_day import RelayDay

SIDE, GAP = 12, 6
EMPTY = RelayDay(np.zeros(0), np.zeros(0), why="Nothing to show yet.")
STEPS = (300, 600, 900, 1800, 3600, 7200, 10800, 14400, 21600)  # s between ticks


@dataclass(frozen=True, eq=False)
class Trace:
    """A stretch of a relay's day, in seconds from midnight, and what stands over it."""

    day: RelayDay = EMPTY
    start: int = 0
    stop: int = 86400
    title: str = ""
    caption: str = ""
    habit: str = "metric"


class RelayTrace(Pointed):
    """Three bands over one axis of time: voltage, contact, current; values stand under the pointer."""

    def __init__(self) -> None:
        super().__init__()
        self._trace = Trace()

    def sizeHint(self) -> QSize:
        return QSize(520, 300)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 15 * self._look.text)

    def show_trace(self, trace: Trace) -> None:
        """Show a stretch of a day."""
        self._trace = trace
        self.setAccessibleName(trace.title or "Relay over a day")
        self.setAccessibleDescription(trace.day.why or trace.caption)
        self.update()

    # Where things stand

    def bands(self) -> tuple[QRectF, QRectF, QRectF]:
        """The rectangles of voltage, contact and current, one over another."""
        text = self._look.text
        left, right = SIDE + 4.4 * text, 7.2 * text
        wide = max(self.width() - left - right, 60.0)
        top, bottom = 2.9 * text, self.height() - 2.0 * text
        room = max(bottom - top, 60.0)
        gap, contact = 0.9 * text, 1.3 * text
        volts = 0.66 * (room - contact - 2 * gap)
        current = room - contact - 2 * gap - volts
        return (
            QRectF(left, top, wide, volts),
            QRectF(left, top + volts + gap, wide, contact),
            QRectF(left, bottom - current, wide, current),
        )

    def _volts_axis(self, box: QRectF) -> Axis:
        day = self._trace.day
        seen = day.volts[self._trace.start : self._trace.stop]
        low = min(float(seen.min()), day.on_at, day.off_at)
        high = max(float(seen.max()), day.on_at, day.off_at)
        step = nice_step(max(high - low, 0.2), max(2, int(box.height() / 34)))
        low, high = step * np.floor(2 * low / step - 0.1) / 2, step * np.ceil(2 * high / step + 0.1) / 2
        return Axis(float(low), float(high), step, box.bottom(), box.top())

    # Painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look, trace = self._look, self._trace
        bold, soft = letters(look, look.text + 1, bold=True), letters(look, look.small)
        middle = 1.2 * look.text
        bold.draw(painter, SIDE, middle, bold.fit(trace.title, self.width() - 2 * SIDE), look.ink)
        after = SIDE + bold.width(trace.title) + 12
        soft.draw(painter, after, middle, soft.fit(trace.caption, self.width() - after - SIDE), look.soft)
        if trace.day.why:
            for number, line in enumerate(soft.wrap(trace.day.why, self.width() - 2 * SIDE)):
                soft.draw(painter, SIDE, middle + (2 + 1.5 * number) * look.text, line, look.soft)
            painter.end()
            return
        volts, contact, current = self.bands()
        self._paint_times(painter, volts, current)
        self._paint_volts(painter, volts)
        self._paint_contact(painter, contact)
        self._paint_current(painter, current)
        if self._hover is not None and volts.left() <= self._hover.x() <= volts.right():
            self._paint_reading(painter, volts, current, self._hover.x())
        painter.end()

    def _columns(self, box: QRectF) -> npt.NDArray[np.int64]:
        """The first second of each column of pixels."""
        trace = self._trace
        count = min(max(int(box.width()), 2), trace.stop - trace.start)
        return np.linspace(trace.start, trace.stop, count, endpoint=False).astype(np.int64)

    def _paint_times(self, painter: QPainter, top: QRectF, bottom: QRectF) -> None:
        look, trace = self._look, self._trace
        small = letters(look, look.small)
        room = small.width("00:00") * 1.8
        span, wide = trace.stop - trace.start, top.width()
        step = next((each for each in STEPS if each / span * wide >= room), STEPS[-1])
        first = -(-trace.start // step) * step
        for second in range(first, trace.stop + 1, step):
            x = round(top.left() + (second - trace.start) / span * wide)
            painter.setPen(QPen(QColor(look.hairline), 1))
            painter.drawLine(QPointF(x + 0.5, top.top()), QPointF(x + 0.5, bottom.bottom()))
            text = f"{second // 3600}:{second % 3600 // 60:02d}"
            place = min(x - small.width(text) / 2, self.width() - small.width(text) - 2)
            small.draw(painter, place, bottom.bottom() + look.text, text, look.soft)

    def _paint_volts(self, painter: QPainter, box: QRectF) -> None:
        look, trace = self._look, self._trace
        axis, small = self._volts_axis(box), letters(look, look.small)
        name = units.shown_in("V", trace.habit)
        for value in axis.ticks():
            y = round(axis.at(value)) + 0.5
            painter.setPen(QPen(QColor(look.hairline), 1))
            painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
            text = f"{figure(value, axis.step)} {name}"
            small.draw(painter, box.left() - GAP - small.width(text), y, text, look.soft)
        seconds = self._columns(box)
        seen = trace.day.volts[: trace.stop]
        lows, highs = np.minimum.reduceat(seen, seconds), np.maximum.reduceat(seen, seconds)
        line = QPolygonF()
        for column, (low, high) in enumerate(zip(lows, highs, strict=True)):
            x = box.left() + (column + 0.5) / len(seconds) * box.width()
            line.append(QPointF(x, axis.at(float(high))))
            if high - low > 1e-9:
                line.append(QPointF(x, axis.at(float(low))))
        painter.setPen(QPen(QColor(look.battery), 1.4 * look.stroke))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(line)
        self._paint_thresholds(painter, box, axis)

    def _paint_thresholds(self, painter: QPainter, box: QRectF, axis: Axis) -> None:
        look, trace = self._look, self._trace
        small = letters(look, look.small)
        pairs = sorted((("on", trace.day.on_at), ("off", trace.day.off_at)), key=lambda each: -each[1])
        high = 1.25 * look.small
        middle = [axis.at(value) for _, value in pairs]
        crowd = max(0.0, high - (middle[1] - middle[0])) / 2
        for (word, value), y, shift in zip(pairs, middle, (-crowd, crowd), strict=True):
            pen = QPen(QColor(look.ink), 1.2 * look.stroke)
            pen.setDashPattern([4.0, 3.0])
            painter.setPen(pen)
            painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
            text = f"{word} {units.show(value, 'V', trace.habit, 4)}"
            small.draw(painter, box.right() + GAP, y + shift, text, look.ink)

    def _bars(self, painter: QPainter, box: QRectF, colour: QColor) -> None:
        """The share of time that the contact is shut, column by column."""
        trace = self._trace
        seconds = self._columns(box)
        counts = np.diff(np.append(seconds, trace.stop))
        shares = np.add.reduceat(trace.day.closed[: trace.stop], seconds) / counts
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(colour)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        start = 0
        for column in range(1, len(shares) + 1):
            if column < len(shares) and shares[column] == shares[start]:
                continue
            left = box.left() + start / len(shares) * box.width()
            right = box.left() + column / len(shares) * box.width()
            high = float(shares[start]) * box.height()
            if high > 0:
                painter.drawRect(QRectF(left, box.bottom() - high, max(right - left, 1.0), high))
            start = column
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)

    def _label(self, painter: QPainter, box: QRectF, text: str) -> None:
        small = letters(self._look, self._look.small)
        painter.setPen(QPen(QColor(self._look.hairline), 1))
        y = round(box.bottom()) + 0.5
        painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
        small.draw(painter, box.left() - GAP - small.width(text), box.center().y(), text, self._look.soft)

    def _paint_contact(self, painter: QPainter, box: QRectF) -> None:
        look, trace = self._look, self._trace
        self._bars(painter, box, QColor(look.ink))
        self._label(painter, box, "contact")
        small = letters(look, look.small)
        share = float(trace.day.closed[trace.start : trace.stop].mean())
        told = f"shut {units.show(share, '%', trace.habit, 2)}"
        small.draw(painter, box.right() + GAP, box.center().y(), told, look.ink)

    def _paint_current(self, painter: QPainter, box: QRectF) -> None:
        look, trace = self._look, self._trace
        colour = look.battery if trace.day.amps < 0 else look.loads
        self._bars(painter, box, blend(colour, look.sheet, 0.75))
        self._label(painter, box, "load" if trace.day.amps >= 0 else "charge")
        small = letters(look, look.small)
        text = units.show(abs(trace.day.amps), "A", trace.habit, 3)
        pen = QPen(QColor(look.soft), 1)
        pen.setDashPattern([2.0, 3.0])
        painter.setPen(pen)
        painter.drawLine(QPointF(box.left(), box.top()), QPointF(box.right(), box.top()))
        small.draw(painter, box.right() + GAP, box.top() + 0.4 * look.small, text, look.ink)

    def _paint_reading(self, painter: QPainter, top: QRectF, bottom: QRectF, x: float) -> None:
        """Time, voltage and contact under the pointer."""
        look, trace = self._look, self._trace
        share = (x - top.left()) / top.width()
        second = min(int(trace.start + share * (trace.stop - trace.start)), trace.stop - 1)
        shut = float(trace.day.closed[second])
        state = "shut" if shut >= 1 else "open" if shut <= 0 else units.show(shut, "%", trace.habit, 2)
        volts = units.show(float(trace.day.volts[second]), "V", trace.habit, 4)
        clock = f"{second // 3600}:{second % 3600 // 60:02d}:{second % 60:02d}"
        small = letters(look, look.small)
        text = f"{clock} · {volts} · contact {state}"
        painter.setPen(QPen(QColor(look.soft), 1))
        painter.drawLine(QPointF(round(x) + 0.5, top.top()), QPointF(round(x) + 0.5, bottom.bottom()))
        wide, high = small.width(text) + 12, 1.7 * look.text
        left = min(max(x - wide / 2, 1.0), self.width() - wide - 1)
        back = QRectF(left, bottom.bottom() + 2, wide, high)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(look.ink))
        painter.drawRoundedRect(back, 3, 3)
        small.draw(painter, left + 6, back.center().y(), text, look.sheet)
