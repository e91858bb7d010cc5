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
        names = 128.0
        start, span = left + names, width - names - 8

        def x(t: float) -> float:
            return start + (t - low) / (high - low) * span

        small = font(look, look.small)
        metrics = QFontMetricsF(small)
        bottom = top + ROW * len(self._marks)
        painter.setFont(small)
        ends = [float(units.convert(end, "degC", self._habit)) for end in (low, high)]
        for shown in Axis(*ends, nice_step(ends[1] - ends[0], 6), 0, 1).ticks():
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
            painter.drawText(QRectF(left, y - 12, names - 8, 24), Qt.AlignmentFlag.AlignVCenter, name)
            painter.setFont(small)
            self._mark(painter, row, y, temperature, decides, x, start, start + span)
        return bottom + 16

    def _mark(
        self,
        painter: QPainter,
        row: int,
        y: float,
        temperature: float | None,
        decides: str,
        x: object,
        start: float,
        end: float,
    ) -> None:
        look = self._look
        metrics = QFontMetricsF(painter.font())
        if temperature is None:
            painter.setPen(QColor(look.soft))
            painter.drawText(QPointF(start, y + 4), f"not entered: {decides}")
            return
        assert callable(x)
        place = x(temperature)
        cold = temperature < 25
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(look.water if cold else look.sun if temperature > 25 else look.ink))
        painter.drawPolygon(
            QPolygonF(
                [QPointF(place, y - 7), QPointF(place + 6, y), QPointF(place, y + 7), QPointF(place - 6, y)]
            )
        )
        text = units.show(temperature, "degC", self._habit)
        wide = f"{text}: {decides}"
        room = end - place - 12
        painter.setPen(QColor(look.ink))
        if metrics.horizontalAdvance(wide) <= room:
            painter.drawText(QPointF(place + 12, y + 4), wide)
        elif metrics.horizontalAdvance(wide) <= place - start - 12:
            painter.drawText(QPointF(place - 12 - metrics.horizontalAdvance(wide), y + 4), wide)
        else:
            painter.drawText(
                QPointF(place + 12, y + 4), metrics.elidedText(wide, Qt.TextElideMode.ElideRight, room)
            )

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
