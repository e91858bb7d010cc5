"""Bars of a bank: the chain from a day's energy to the bank that is needed, and the windows it is held in."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look
from app.views.bank_gauges import Gauge, Link
from app.views.lettering import Letters, blend, letters

SIDE = 12
LEAST_BAR = 20.0  # pixels of the longest bar at least
MOST_LINES = 2
EMPTY = "Enter the loads, the autonomy and the allowed depth: what the bank needs is worked out link by link."


class _Bars(QWidget):
    """What both views share: a look, a title over their rows, and what they say to a screen reader."""

    title, rows_tall = "", 8

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(self.title)

    def sizeHint(self) -> QSize:
        return QSize(300, self.minimumSizeHint().height() + 30)

    def minimumSizeHint(self) -> QSize:
        return QSize(250, int((2.4 + 1.7 * self.rows_tall) * self._look.text))

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.updateGeometry()
        self.update()

    def _say(self, parts: list[str]) -> None:
        self.setAccessibleDescription("; ".join(parts))
        self.update()

    def _begin(self) -> QPainter:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        bold = letters(self._look, self._look.text + 1, bold=True)
        title = bold.fit(self.title, self.width() - 2 * SIDE)
        bold.draw(painter, SIDE, 1.2 * self._look.text, title, self._look.ink)
        return painter


class ChainBars(_Bars):
    """From the energy of a day to the bank that is needed, and under it what is installed."""

    title = "Needed and installed"

    def __init__(self) -> None:
        super().__init__()
        self._links: tuple[Link, ...] = ()

    def show_links(self, links: tuple[Link, ...]) -> None:
        """Show a chain."""
        self._links = links
        self._say([f"{each.name} {each.text}" for each in links] or [EMPTY])

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, look = self._begin(), self._look
        small = letters(look, look.small)
        if not any(link.kind == "needed" for link in self._links):
            lines = small.wrap(EMPTY, self.width() - 2 * SIDE)[:3]
            for number, line in enumerate(lines):
                small.draw(painter, SIDE, (2.8 + 1.4 * number) * look.text, line, look.soft)
            top = (2.6 + 1.4 * len(lines)) * look.text
        else:
            top = 2.2 * look.text
        if self._links:
            self._draw(painter, top)
        painter.end()

    def _draw(self, painter: QPainter, top: float) -> None:
        look = self._look
        small, strong = letters(look, look.small), letters(look, look.small, bold=True)
        pitch = min(2.8 * look.text, (self.height() - top - 0.4 * look.text) / len(self._links))
        names = max(strong.width(link.name) for link in self._links) + 10
        texts = max(strong.width(link.text) for link in self._links) + 8
        names = min(names, self.width() - 2 * SIDE - texts - LEAST_BAR)
        left, most = SIDE + names, max(link.energy for link in self._links) or 1.0
        wide = max(LEAST_BAR, self.width() - left - texts - SIDE)
        needed = next((link.energy for link in self._links if link.kind == "needed"), None)
        for row, link in enumerate(self._links):
            middle = top + pitch * (row + 0.5)
            bold = link.kind != "so far"
            kind = strong if bold else small
            kind.draw(painter, SIDE, middle, kind.fit(link.name, names - 6), look.ink)
            length = link.energy / most * wide
            box = QRectF(left, middle - 0.32 * pitch, max(length, 1.0), 0.64 * pitch)
            share = {"so far": 0.35, "needed": 0.8, "has": 1.0}[link.kind]
            colour = look.battery if link.kind == "has" else look.loads
            painter.fillRect(box, blend(colour, look.sheet, share))
            kind.draw(painter, left + length + 6, middle, link.text, look.ink)
        if needed is not None:
            x = left + needed / most * wide
            last = next(row for row, link in enumerate(self._links) if link.kind == "needed")
            below = next((link for link in self._links[last + 1 :]), None)
            told = 0.0 if below is None else left + below.energy / most * wide + 6
            meets_text = below is not None and told - 2 < x < told + strong.width(below.text) + 2
            painter.setPen(QPen(QColor(look.ink), 1, Qt.PenStyle.DashLine))
            end = last + (1.15 if meets_text else 2)  # short of a text that stands in its way
            painter.drawLine(QPointF(x, top + pitch * last), QPointF(x, top + pitch * end))


class GaugeRows(_Bars):
    """Windows that the bank is held in, one under the other: the good stretch green, values as marks."""

    title, rows_tall = "Limits", 12

    def __init__(self) -> None:
        super().__init__()
        self._gauges: tuple[Gauge, ...] = ()

    def show_gauges(self, gauges: tuple[Gauge, ...]) -> None:
        """Show gauges."""
        self._gauges = gauges
        self._say([f"{each.title}: {', '.join(_parts(each))}" for each in gauges])

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter, look = self._begin(), self._look
        small = letters(look, look.small)
        names = max((small.width(each.title) for each in self._gauges), default=0.0) + 12
        left, wide = SIDE + names, self.width() - 2.0 * SIDE - names
        told = [_lines(small, each, wide) for each in self._gauges]
        tall = [
            1.35 * len(lines) + (1.5 if each.ticks else 0.45)
            for each, lines in zip(self._gauges, told, strict=True)
        ]
        top = 2.2 * look.text
        pitch = min(1.35 * look.text, (self.height() - top) / max(sum(tall), 1e-9))
        for gauge, lines, height in zip(self._gauges, told, tall, strict=True):
            self._gauge(painter, gauge, lines, QRectF(left, top, wide, height * pitch), pitch)
            top += height * pitch
        painter.end()

    def _gauge(self, painter: QPainter, gauge: Gauge, lines: list[str], room: QRectF, pitch: float) -> None:
        """A title, the window with its marks where there are any, and under it what they are."""
        look = self._look
        small = letters(look, look.small)
        first = room.top() + 0.8 * pitch
        small.draw(painter, SIDE, first, gauge.title, look.ink)
        if gauge.ticks:
            self._window(painter, gauge, QRectF(room.left(), first - 0.45 * pitch, room.width(), 0.9 * pitch))
            first += 1.35 * pitch
        for number, line in enumerate(lines):
            small.draw(painter, room.left(), first + 1.35 * pitch * number, line, look.soft)

    def _window(self, painter: QPainter, gauge: Gauge, bar: QRectF) -> None:
        look = self._look
        most = 1.08 * max(tick.at for tick in gauge.ticks) or 1.0

        def x(value: float) -> float:
            return bar.left() + min(value / most, 1.0) * bar.width()

        painter.fillRect(bar, QColor(look.field))
        low, high = x(gauge.low or 0.0), bar.right() if gauge.high is None else x(gauge.high)
        if high > low:
            good = blend(look.battery, look.sheet, 0.35)
            painter.fillRect(QRectF(low, bar.top(), high - low, bar.height()), good)
        for tick in gauge.ticks:
            wide = 1 if tick.limit else look.stroke + 2
            style = Qt.PenStyle.DashLine if tick.limit else Qt.PenStyle.SolidLine
            painter.setPen(QPen(QColor(look.ink), wide, style))
            painter.drawLine(QPointF(x(tick.at), bar.top() - 2), QPointF(x(tick.at), bar.bottom() + 2))


def _parts(gauge: Gauge) -> tuple[str, ...]:
    return gauge.told or tuple(tick.text for tick in gauge.ticks)


def _lines(small: Letters, gauge: Gauge, wide: float) -> list[str]:
    """What a gauge says, broken between its parts where they don't fit beside each other."""
    lines: list[str] = []
    for part in _parts(gauge):
        joined = f"{lines[-1]} · {part}" if lines else part
        if lines and small.width(joined) <= wide:
            lines[-1] = joined
        else:
            lines.append(small.fit(part, wide))
    return lines[:MOST_LINES]
