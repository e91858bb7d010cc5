"""How the pictures of a place are drawn: the sky as a map, and plots over months, winds and days."""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, hypot, radians, sin

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF

from app.look import Look
from app.views.axis import Axis, figure, from_zero, nice_step
from app.views.lettering import blend, letters
from engine.physics.sun_path import SkyPoint
from engine.sections.place import Arc, Place
from engine.units import convert, show, shown_in

MONTHS = "JFMAMJJASOND"
WIDEST = 920.0


def sun_path(painter: QPainter, look: Look, box: QRectF, place: Place) -> None:
    """The dome of the sky as a map: the rim is the horizon, the middle the zenith; and its numbers beside."""
    if not place.arcs:
        return
    type_ = letters(look, look.small)
    side = min(box.height(), box.width() * 0.6) - 2 * type_.height
    radius, edge = side / 2, side / 2 + 1.4 * type_.height
    middle = QPointF(box.left() + edge, box.top() + edge)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for altitude in (0, 30, 60):
        painter.setPen(QPen(QColor(look.soft if altitude == 0 else look.hairline), 1))
        reach = radius * (90 - altitude) / 90
        painter.drawEllipse(middle, reach, reach)
    for bearing, name in ((0, "N"), (90, "E"), (180, "S"), (270, "W")):
        toward = QPointF(sin(radians(bearing)), -cos(radians(bearing)))
        painter.setPen(QPen(QColor(look.hairline), 1))
        painter.drawLine(middle, middle + toward * radius)
        at = middle + toward * (radius + type_.height * 0.7)
        type_.draw(painter, at.x() - type_.width(name) / 2, at.y(), name, look.soft)
    poleward = -1 if place.arcs[0].daylight >= place.arcs[2].daylight else 1  # where no arc runs
    for altitude in (30, 60):
        at = middle + QPointF(0.4, 0.92 * poleward) * (radius * (90 - altitude) / 90)
        type_.draw(painter, at.x() + 3, at.y() + poleward * 0.4 * type_.height, f"{altitude}°", look.soft)
    colours = _arc_colours(look)
    for arc, colour in zip(place.arcs, colours, strict=True):
        painter.setPen(QPen(QColor(colour), look.stroke + 1.2))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(QPolygonF([_on_dome(point, middle, radius) for point in arc.path]))
        for point in arc.hours:
            at = _on_dome(point, middle, radius)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(colour))
            painter.drawEllipse(at, 3, 3)
    for point in place.arcs[0].hours or place.arcs[2].hours:
        _hour(painter, look, point, middle, radius)
    _arc_table(
        painter, look, QRectF(middle.x() + radius + 3 * type_.height, box.top(), box.right(), 0), place.arcs
    )


def _arc_colours(look: Look) -> tuple[str, str, str]:
    return look.sun, look.battery, look.water


def _on_dome(point: SkyPoint, middle: QPointF, radius: float) -> QPointF:
    reach = radius * (90 - max(point.altitude, 0.0)) / 90
    return middle + QPointF(sin(radians(point.bearing)), -cos(radians(point.bearing))) * reach


def _hour(painter: QPainter, look: Look, point: SkyPoint, middle: QPointF, radius: float) -> None:
    """The hour beside its dot, toward the zenith, where no other arc runs."""
    type_, at = letters(look, look.small), _on_dome(point, middle, radius)
    text, inward = f"{point.hour:.0f}", middle - at
    length = hypot(inward.x(), inward.y())
    step = QPointF(0, -1) if length < 1 else inward / length
    spot = at + step * type_.height
    type_.draw(painter, spot.x() - type_.width(text) / 2, spot.y(), text, look.ink)


def _arc_table(painter: QPainter, look: Look, box: QRectF, arcs: Sequence[Arc]) -> None:
    """Each arc's name in its colour, its altitude at noon and its length."""
    bold, plain = letters(look, bold=True), letters(look)
    top = box.top() + plain.height
    for arc, colour in zip(arcs, _arc_colours(look), strict=True):
        painter.setPen(QPen(QColor(colour), look.stroke + 2.2))
        painter.drawLine(QPointF(box.left(), top), QPointF(box.left() + 20, top))
        bold.draw(painter, box.left() + 28, top, arc.name, look.ink)
        noon = f"noon {arc.noon:.0f}° high" if arc.noon > 0 else "no sun at noon"
        for row, text in enumerate((noon, f"up {show(arc.daylight, 'h', digits=3)}"), 1):
            plain.draw(painter, box.left() + 28, top + row * (plain.height + 2), text, look.soft)
        top += 3 * (plain.height + 2) + 12


def air(
    painter: QPainter, look: Look, box: QRectF, place: Place, lines: Sequence[tuple[str, float]], habit: str
) -> None:
    """The air of the months: all hours as a thin line, usual days as a band, the mean as a dot."""
    known = [month for month in place.air if month is not None]
    if not known and not place.air_months:
        return
    values = [temperature for _, temperature in lines]
    values += [each for month in known for each in (month.lowest, month.highest)] or list(place.air_months)
    plot = _Plot(painter, look, box, "degC", habit, min(values), max(values))
    plot.months()
    for name, temperature in lines:
        plot.across(temperature, f"{name} {show(temperature, 'degC', habit)}")
    wide = min(20.0, plot.slot * 0.4)
    for at, month in enumerate(place.air):
        if month is None:
            continue
        x, colour = plot.middle(at), QColor(look.sun)
        painter.setPen(QPen(QColor(look.soft), look.stroke))
        painter.drawLine(QPointF(x, plot.y(month.lowest)), QPointF(x, plot.y(month.highest)))
        top, bottom = plot.y(month.day_high), plot.y(month.day_low)
        painter.fillRect(QRectF(x - wide / 2, top, wide, bottom - top), colour)
        plot.dot(x, month.mean)
    for at, mean in enumerate(() if known else place.air_months):
        plot.dot(plot.middle(at), mean)
    plot.tell("line: all hours · band: usual night to usual day · dot: mean" if known else "dot: mean")


def wind(painter: QPainter, look: Look, box: QRectF, place: Place, habit: str) -> None:
    """Bars of the hours in each step of 1 m/s, and the line that is reckoned with."""
    winds = place.winds
    if winds is None:
        return
    type_ = letters(look, look.small)
    top = 100 * max(float(winds.line.max()), float(winds.shares.max(initial=0.0)))
    room = QRectF(box.left(), box.top() + type_.height, min(box.width(), WIDEST), box.height() - type_.height)
    axis = from_zero(top, 5, room.bottom() - 2.6 * type_.height, room.top())
    margin = type_.width("100 %") + 10
    end = float(convert(float(winds.speeds[-1]), "m/s", habit))
    across = Axis(
        0.0, end, nice_step(end, max(3, int(room.width() / 90))), room.left() + margin, room.right()
    )
    scale = (across.stop - across.start) / float(winds.speeds[-1])
    for tick in axis.ticks():
        painter.setPen(QPen(QColor(look.hairline), 1))
        painter.drawLine(QPointF(across.start, axis.at(tick)), QPointF(across.stop, axis.at(tick)))
        text = f"{figure(tick, axis.step)} %"
        type_.draw(painter, across.start - type_.width(text) - 6, axis.at(tick), text, look.soft)
    for tick in across.ticks():
        text = figure(tick, across.step)
        at = across.at(tick) - type_.width(text) / 2
        type_.draw(painter, at, axis.start + 0.8 * type_.height, text, look.soft)
    unit = f"wind, {shown_in('m/s', habit)}"
    type_.draw(painter, across.stop - type_.width(unit), axis.start + 1.9 * type_.height, unit, look.soft)
    for step, share in enumerate(winds.shares):
        high = axis.at(100 * float(share))
        painter.fillRect(
            QRectF(across.start + step * scale + 1, high, scale - 2, axis.start - high),
            blend(look.wind, look.sheet, 0.55),
        )
    painter.setPen(QPen(QColor(look.water), look.stroke + 1))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    points = zip(winds.speeds, winds.line, strict=True)
    painter.drawPolyline(
        QPolygonF([QPointF(across.start + float(v) * scale, axis.at(100 * float(s))) for v, s in points])
    )
    mean = across.start + winds.mean * scale
    painter.setPen(QPen(QColor(look.ink), look.stroke, Qt.PenStyle.DashLine))
    painter.drawLine(QPointF(mean, axis.start), QPointF(mean, axis.stop - 4))
    text = f"mean {show(winds.mean, 'm/s', habit, 3)}"
    type_.draw(painter, min(mean + 6, across.stop - type_.width(text)), axis.stop - 2, text, look.ink)


def dark(painter: QPainter, look: Look, box: QRectF, place: Place) -> None:
    """Each day's sun, the mean of fourteen days, the darkest of them; else the sun of the months."""
    days = place.days
    if days is None:
        _dark_months(painter, look, box, place)
        return
    highest = float(np.nanmax(days.sun))
    plot = _Plot(painter, look, box, "Wh/m^2", "metric", 0.0, highest, per=1000.0)
    count = len(days.sun)
    day = (plot.right - plot.left) / count
    found, type_ = days.darkest, letters(look, look.small)
    if found is not None:
        for start in (found.start, found.start - count):  # the second where it runs over the year's end
            left, right = max(start, 0), min(start + 14, count)
            if left < right:
                area = QRectF(plot.left + left * day, plot.top, (right - left) * day, plot.floor - plot.top)
                painter.fillRect(area, blend(look.water, look.sheet, 0.35))
    painter.setPen(QPen(QColor(look.sun), max(0.6, 0.6 * day)))
    painter.drawLines(
        [
            line
            for at, energy in enumerate(days.sun)
            if energy == energy
            for x in (plot.left + (at + 0.5) * day,)
            for line in (QPointF(x, plot.floor), QPointF(x, plot.y(float(energy))))
        ]
    )
    painter.setPen(QPen(QColor(look.ink), look.stroke + 1))
    line = [
        QPointF(plot.left + (at + 7) * day, plot.y(float(mean)))
        for at, mean in enumerate(days.running)
        if mean == mean and at + 7 < count
    ]
    painter.drawPolyline(QPolygonF(line))
    ends = [*(at for at, _ in days.ticks[1:]), count]
    for (at, name), until in zip(days.ticks, ends, strict=True):
        middle = plot.left + (at + until) / 2 * day
        if type_.width(name) < (until - at) * day:
            type_.draw(
                painter, middle - type_.width(name) / 2, plot.floor + 0.9 * type_.height, name, look.soft
            )
    told = "line: mean of fourteen days · shaded: the darkest" if found else "line: mean of fourteen days"
    plot.tell(told)


def _dark_months(painter: QPainter, look: Look, box: QRectF, place: Place) -> None:
    if not place.sun:
        return
    plot = _Plot(painter, look, box, "Wh/m^2", "metric", 0.0, max(place.sun), per=1000.0)
    plot.months()
    least, wide, type_ = min(place.sun), min(36.0, plot.slot * 0.6), letters(look, look.small)
    for at, energy in enumerate(place.sun):
        x, top = plot.middle(at), plot.y(energy)
        colour = QColor(look.water if energy == least else look.sun)
        painter.fillRect(QRectF(x - wide / 2, top, wide, plot.floor - top), colour)
        text = f"{energy / 1000:.1f}"
        type_.draw(painter, x - type_.width(text) / 2, top - 0.7 * type_.height, text, look.ink)


class _Plot:
    """Twelve months or a year across, one quantity upward with its grid."""

    def __init__(
        self,
        painter: QPainter,
        look: Look,
        box: QRectF,
        unit: str,
        habit: str,
        low: float,
        high: float,
        per: float = 1.0,
    ) -> None:
        self._painter, self._look, self._unit, self._habit, self._per = painter, look, unit, habit, per
        self._type = letters(look, look.small)
        self.floor, self.top = box.bottom() - 2.6 * self._type.height, box.top() + self._type.height
        ends = [float(convert(value, unit, habit)) if per == 1 else value / per for value in (low, high)]
        most = max(2, min(8, int((self.floor - self.top) / (2.4 * self._type.height))))
        step = nice_step(max(ends[1] - ends[0], 1e-6), most)
        floor, ceiling = np.floor(ends[0] / step + 1e-9) * step, np.ceil(ends[1] / step - 1e-9) * step
        self._axis = Axis(float(floor), float(ceiling), step, self.floor, self.top)
        texts = [figure(tick, step) for tick in self._axis.ticks()]
        self.left = box.left() + max(self._type.width(text) for text in texts) + 8
        self.right = min(box.right(), box.left() + WIDEST)
        self.slot = (self.right - self.left) / len(MONTHS)
        for tick, text in zip(self._axis.ticks(), texts, strict=True):
            y = self._axis.at(tick)
            painter.setPen(QPen(QColor(look.hairline), 1))
            painter.drawLine(QPointF(self.left, y), QPointF(self.right, y))
            self._type.draw(painter, self.left - self._type.width(text) - 6, y, text, look.soft)

    def y(self, value: float) -> float:
        """The height of a canonical value."""
        shown = float(convert(value, self._unit, self._habit)) if self._per == 1 else value / self._per
        return self._axis.at(shown)

    def middle(self, month: int) -> float:
        """The middle of a month, from 0."""
        return self.left + (month + 0.5) * self.slot

    def months(self) -> None:
        """The names of the months under the floor."""
        for at, name in enumerate(MONTHS):
            left = self.middle(at) - self._type.width(name) / 2
            self._type.draw(self._painter, left, self.floor + 0.9 * self._type.height, name, self._look.soft)

    def across(self, value: float, text: str) -> None:
        """A dashed line at a value, told above its left end."""
        y = self.y(value)
        self._painter.setPen(QPen(QColor(self._look.ink), self._look.stroke, Qt.PenStyle.DashLine))
        self._painter.drawLine(QPointF(self.left, y), QPointF(self.right, y))
        self._type.draw(self._painter, self.left + 4, y - 0.6 * self._type.height, text, self._look.ink)

    def tell(self, text: str) -> None:
        """What the marks mean, under the plot."""
        cut = self._type.fit(text, self.right - self.left)
        self._type.draw(self._painter, self.left, self.floor + 2.1 * self._type.height, cut, self._look.soft)

    def dot(self, x: float, value: float) -> None:
        """A point at a value."""
        self._painter.setPen(QPen(QColor(self._look.sheet), 1))
        self._painter.setBrush(QColor(self._look.ink))
        self._painter.drawEllipse(QPointF(x, self.y(value)), 4, 4)
