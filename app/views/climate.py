"""The picture of a site's climate: the temperatures that decide, on one axis, and the sun by month."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look, font
from app.views.axis import Axis, nice_step
from engine import units

MONTHS = "JFMAMJJASOND"
ROW = 44
TEMPERATURE_STEPS = (1.0, 2.0, 4.0, 5.0, 10.0)


class ClimateView(QWidget):
    """Marks ``(name, temperature or None, what it decides)`` and monthly sun, in the user's habit."""

    def __init__(self) -> None:
        super().__init__()
        self._look = LIGHT
        self._marks: tuple[tuple[str, float | None, str], ...] = ()
        self._sun: tuple[float, ...] = ()
        self._habit = "metric"
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Temperatures of the site and what each decides")

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.update()

    def show_climate(
        self, marks: Sequence[tuple[str, float | None, str]], sun: Sequence[float], habit: str
    ) -> None:
        """Show temperatures [degC] and monthly sun [Wh/m² a day], January first."""
        self._marks, self._sun, self._habit = tuple(marks), tuple(sun), habit
        told = [f"{name} {units.show(t, 'degC', habit)}" for name, t, _ in self._marks if t is not None]
        self.setAccessibleDescription("; ".join(told))
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = self._look
        left, top, width = 24.0, 20.0, self.width() - 48.0
        painter.setFont(font(look, look.large, bold=True))
        painter.setPen(QColor(look.ink))
        painter.drawText(QPointF(left, top + 14), "What the climate decides")
        bottom = self._temperatures(painter, left, top + 36, width)
        self._months(painter, left, bottom + 40, width)
        painter.end()

    def _temperatures(self, painter: QPainter, left: float, top: float, width: float) -> float:
        look = self._look
        known = [t for _, t, _ in self._marks if t is not None]
        low = min([-10.0, *known]) - 8
        high = max([40.0, *known]) + 8
        small = font(look, look.small)
        metrics = QFontMetricsF(small)
        names = max((metrics.horizontalAdvance(told) for _, _, told in self._marks), default=0.0) + 24
        names = min(names, width * 0.5)
        start, span = left + names, width - names - 8

        def x(t: float) -> float:
            return start + (t - low) / (high - low) * span

        bottom = top + ROW * len(self._marks)
        painter.setFont(small)
        ends = [float(units.convert(end, "degC", self._habit)) for end in (low, high)]
        widest = metrics.horizontalAdvance(units.show(-40.0, "degC", self._habit)) + 12
        most = max(2, min(6, int(span / widest)))
        for shown in Axis(
            ends[0], ends[1], nice_step(ends[1] - ends[0], most, TEMPERATURE_STEPS), 0, 1
        ).ticks():
            t = float(units.unconvert(shown, "degC", self._habit))
            painter.setPen(QPen(QColor(look.hairline), 1))
            painter.drawLine(QPointF(x(t), top), QPointF(x(t), bottom))
            painter.setPen(QColor(look.soft))
            text = units.show(t, "degC", self._habit)
            painter.drawText(QPointF(x(t) - metrics.horizontalAdvance(text) / 2, bottom + 16), text)
        for row, (name, temperature, decides) in enumerate(self._marks):
            y = top + ROW * row + ROW / 2
            painter.setFont(font(look))
            painter.setPen(QColor(look.ink))
            painter.drawText(QPointF(left, y - 2), name)
            painter.setFont(small)
            painter.setPen(QColor(look.soft))
            told = metrics.elidedText(decides, Qt.TextElideMode.ElideRight, names - 12)
            painter.drawText(QPointF(left, y + look.small + 2), told)
            if temperature is None:
                painter.drawText(QPointF(start, y + 4), "not entered")
            else:
                self._mark(painter, y, temperature, x(temperature), start + span)
        return bottom + 16

    def _mark(self, painter: QPainter, y: float, temperature: float, place: float, end: float) -> None:
        look = self._look
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(
            QColor(look.water if temperature < 25 else look.sun if temperature > 25 else look.ink)
        )
        corners = ((0, -7), (6, 0), (0, 7), (-6, 0))
        painter.drawPolygon(QPolygonF([QPointF(place + dx, y + dy) for dx, dy in corners]))
        text = units.show(temperature, "degC", self._habit)
        wide = QFontMetricsF(painter.font()).horizontalAdvance(text)
        painter.setPen(QColor(look.ink))
        painter.drawText(QPointF(place + 12 if place + 12 + wide <= end else place - 12 - wide, y + 4), text)

    def _months(self, painter: QPainter, left: float, top: float, width: float) -> None:
        look = self._look
        height = min(160.0, self.height() - top - 44)
        if height < 60:
            return
        painter.setFont(font(look, bold=True))
        painter.setPen(QColor(look.ink))
        painter.drawText(QPointF(left, top), "Sun on level ground, kWh/m² a day")
        painter.setFont(font(look, look.small))
        if len(self._sun) != len(MONTHS):
            painter.setPen(QColor(look.soft))
            painter.drawText(
                QPointF(left, top + 24), "Not entered: twelve numbers, January to December, under More."
            )
            return
        metrics = QFontMetricsF(painter.font())
        highest = max(*self._sun, 1.0)
        slot = min(56.0, width / len(MONTHS))
        base = top + 28 + height - 20
        for month, energy in enumerate(self._sun):
            bar = energy / highest * (height - 44)
            box = QRectF(left + month * slot + slot * 0.2, base - bar, slot * 0.6, bar)
            painter.fillRect(box, QColor(look.sun))
            painter.setPen(QColor(look.ink))
            text = f"{energy / 1000:.1f}"
            middle = box.center().x()
            painter.drawText(QPointF(middle - metrics.horizontalAdvance(text) / 2, base - bar - 4), text)
            painter.setPen(QColor(look.soft))
            name = MONTHS[month]
            painter.drawText(QPointF(middle - metrics.horizontalAdvance(name) / 2, base + 16), name)
