"""The picture of a site's climate: the temperatures that decide, on one axis, and the sun by month."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look
from app.views.axis import Axis, nice_step
from app.views.lettering import letters
from engine import units

MONTHS = "JFMAMJJASOND"
ROW = 44
HIGHEST = 420.0
TEMPERATURE_STEPS = (1.0, 2.0, 4.0, 5.0, 10.0)


class ClimateView(QWidget):
    """Marks ``(name, temperature or None, what it decides)`` monthly sun and air, in the user's habit."""

    def __init__(self) -> None:
        super().__init__()
        self._look = LIGHT
        self._marks: tuple[tuple[str, float | None, str], ...] = ()
        self._sun: tuple[float, ...] = ()
        self._air: tuple[float, ...] = ()
        self._habit, self._coarse = "metric", ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Temperatures of the site and what each decides")

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.update()

    def show_climate(
        self,
        marks: Sequence[tuple[str, float | None, str]],
        sun: Sequence[float],
        air: Sequence[float],
        habit: str,
        *,
        coarse: str = "",
    ) -> None:
        """Show temperatures [degC], monthly sun [Wh/m² a day] and monthly air [degC], January first.

        ``coarse`` says what the sun is where it is the default of the world grid; it is drawn pale."""
        self._marks, self._sun, self._air, self._habit = tuple(marks), tuple(sun), tuple(air), habit
        self._coarse = coarse
        told = [f"{name} {units.show(t, 'degC', habit)}" for name, t, _ in self._marks if t is not None]
        self.setAccessibleDescription("; ".join(told))
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = self._look
        left, top, width = 24.0, 20.0, self.width() - 48.0
        title = letters(look, look.large, bold=True)
        title.draw(painter, left, top + 14 - title.rise, "What the climate decides", look.ink)
        bottom = self._temperatures(painter, left, top + 36, width)
        self._months(painter, left, bottom + 40, width)
        painter.end()

    def _temperatures(self, painter: QPainter, left: float, top: float, width: float) -> float:
        look = self._look
        known = [t for _, t, _ in self._marks if t is not None]
        low = min([-10.0, *known]) - 8
        high = max([40.0, *known]) + 8
        small, body = letters(look, look.small), letters(look)
        names = max((small.width(told) for _, _, told in self._marks), default=0.0) + 24
        names = min(names, width * 0.5)
        start, span = left + names, width - names - 8

        def x(t: float) -> float:
            return start + (t - low) / (high - low) * span

        bottom = top + ROW * len(self._marks)
        ends = [float(units.convert(end, "degC", self._habit)) for end in (low, high)]
        widest = small.width(units.show(-40.0, "degC", self._habit)) + 12
        most = max(2, min(6, int(span / widest)))
        for shown in Axis(
            ends[0], ends[1], nice_step(ends[1] - ends[0], most, TEMPERATURE_STEPS), 0, 1
        ).ticks():
            t = float(units.unconvert(shown, "degC", self._habit))
            painter.setPen(QPen(QColor(look.hairline), 1))
            painter.drawLine(QPointF(x(t), top), QPointF(x(t), bottom))
            text = units.show(t, "degC", self._habit)
            small.draw(painter, x(t) - small.width(text) / 2, bottom + 16 - small.rise, text, look.soft)
        for row, (name, temperature, decides) in enumerate(self._marks):
            y = top + ROW * row + ROW / 2
            body.draw(painter, left, y - 2 - body.rise, body.fit(name, names - 12), look.ink)
            small.draw(
                painter, left, y + look.small + 2 - small.rise, small.fit(decides, names - 12), look.soft
            )
            if temperature is None:
                small.draw(painter, start, y, "not entered", look.soft)
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
        text, small = units.show(temperature, "degC", self._habit), letters(look, look.small)
        wide = small.width(text)
        at = place + 12 if place + 12 + wide <= end else place - 12 - wide
        plate = QRectF(at - 2, y - small.height / 2, wide + 4, small.height)
        painter.fillRect(plate, QColor(look.sheet))  # no line of the grid runs through a number
        small.draw(painter, at, y, text, look.ink)

    def _months(self, painter: QPainter, left: float, top: float, width: float) -> None:
        """Sun and air by month: beside each other, else below, else the sun alone."""
        look = self._look
        room = self.height() - top - 24
        if room < 104:
            return
        if len(self._sun) != len(MONTHS) and len(self._air) != len(MONTHS):
            small = letters(look, look.small)
            told = (
                "Sun and air by month are not entered: twelve numbers each, January to December, under More."
            )
            for at, line in enumerate(small.wrap(told, width)):
                small.draw(painter, left, top - 4 + at * small.height, line, look.soft)
            return
        drawn = [
            draw for values, draw in ((self._sun, self._sun_bars), (self._air, self._air_dots)) if values
        ]
        narrow = 12 * 2.4 * look.small
        if len(drawn) == 1 or width < 2 * narrow + 32:
            tall = min(HIGHEST, room / len(drawn) - 8)
            shown = drawn if tall > 112 else drawn[:1]
            tall = min(HIGHEST, room / len(shown) - 8)
            for place, draw in enumerate(shown):
                draw(painter, QRectF(left, top + place * (tall + 16), width, tall))
        else:
            half = (width - 32) / 2
            for place, draw in enumerate(drawn):
                draw(painter, QRectF(left + place * (half + 32), top, half, min(HIGHEST, room)))

    def _sun_bars(self, painter: QPainter, box: QRectF) -> None:
        slots, floor = self._frame(painter, box, "Sun on level ground, kWh/m² a day")
        if self._coarse:
            told = letters(self._look, self._look.small)
            lines = told.wrap(self._coarse[:1].upper() + self._coarse[1:] + ".", box.width())[:3]
            for at, line in enumerate(lines, 1):
                told.draw(painter, box.left(), box.top() + at * told.height, line, self._look.soft)
            box = box.adjusted(0, len(lines) * told.height, 0, 0)
        highest = max(*self._sun, 1.0)
        for middle, energy in zip(slots, self._sun, strict=True):
            tall = energy / highest * (floor - box.top() - 2.6 * self._look.text)
            wide = min(32.0, 0.6 * box.width() / len(MONTHS))
            bar = QRectF(middle - wide / 2, floor - tall, wide, tall)
            painter.fillRect(bar, QColor(self._look.sun if not self._coarse else self._look.hairline))
            self._value(painter, middle, floor - tall - 4, f"{energy / 1000:.1f}")

    def _air_dots(self, painter: QPainter, box: QRectF) -> None:
        unit = units.shown_in("degC", self._habit)
        slots, floor = self._frame(painter, box, f"Air, {unit}")
        low, high = min(self._air), max(self._air)
        span = floor - box.top() - 3.6 * self._look.text
        places = [
            QPointF(middle, floor - 8 - (value - low) / max(high - low, 1.0) * span)
            for middle, value in zip(slots, self._air, strict=True)
        ]
        painter.setPen(QPen(QColor(self._look.soft), self._look.stroke))
        painter.drawPolyline(QPolygonF(places))
        for place, value in zip(places, self._air, strict=True):
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(self._look.ink))
            painter.drawEllipse(place, 3, 3)
            figure = round(float(units.convert(value, "degC", self._habit)))
            self._value(painter, place.x(), place.y() - 8, str(figure))

    def _frame(self, painter: QPainter, box: QRectF, title: str) -> tuple[list[float], float]:
        """Title and months; where the middle of each month stands, and the floor that bars stand on."""
        look = self._look
        strong = letters(look, bold=True)
        strong.draw(painter, box.left(), box.top() - strong.rise, strong.fit(title, box.width()), look.ink)
        slot = min(56.0, box.width() / len(MONTHS))
        floor = box.bottom() - 1.6 * look.text
        slots = [box.left() + (month + 0.5) * slot for month in range(len(MONTHS))]
        for middle, name in zip(slots, MONTHS, strict=True):
            self._centred(painter, middle, floor + 1.4 * look.text, name, look.soft)
        return slots, floor

    def _value(self, painter: QPainter, middle: float, at: float, text: str) -> None:
        self._centred(painter, middle, at, text, self._look.ink)

    def _centred(self, painter: QPainter, middle: float, at: float, text: str, colour: str) -> None:
        small = letters(self._look, self._look.small)
        small.draw(painter, middle - small.width(text) / 2, at - small.rise, text, colour)
