"""Plots of a turbine: curves over one axis, a second scale at the right, points that are told in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF

from app.views.axis import Axis, figure, from_zero
from app.views.curves_layout import Line, free_box, line
from app.views.label_room import Spot, Want, place_labels
from app.views.lettering import blend, letters, line_colour
from app.views.pointed import Pointed
from engine import units

Floats = npt.NDArray[np.float64]
SIDE, GAP = 12, 6


@dataclass(frozen=True, eq=False)
class Curve:
    """Values over the plot's axis, both canonical; ``x`` rises. ``right`` puts it on the second scale."""

    name: str
    x: Floats
    y: Floats
    colour: str = "wind"
    wide: float = 1.6
    dashed: bool = False
    filled: bool = False
    right: bool = False
    named_at: float = 0.7  # of its length


@dataclass(frozen=True)
class Dot:
    """A point, with what is said of it; ``hollow`` for one of a table or of what is held."""

    x: float
    y: float
    text: str = ""
    hollow: bool = False
    small: bool = False
    right: bool = False


@dataclass(frozen=True)
class Upright:
    """A line across the plot at a value, told above it."""

    x: float
    text: str
    colour: str = "soft"


@dataclass(frozen=True, eq=False)
class Plot:
    """What one plot shows, in canonical units; ``high`` are ends that stand still: x, left, right.

    ``handles`` are points that can be dragged where the view allows it.
    """

    title: str
    caption: str = ""
    units: tuple[str, str, str] = ("m/s", "W", "")
    high: tuple[float, float, float] = (1.0, 1.0, 1.0)
    curves: Sequence[Curve] = ()
    dots: Sequence[Dot] = ()
    uprights: Sequence[Upright] = ()
    handles: Sequence[tuple[float, float]] = ()
    empty: str = ""
    told: str = ""
    habit: str = field(default="metric")


class TurbineView(Pointed):
    """One plot; the values of its curves stand under the pointer."""

    def __init__(self) -> None:
        super().__init__()
        self._plot = Plot("")

    def sizeHint(self) -> QSize:
        return QSize(330, 230)

    def minimumSizeHint(self) -> QSize:
        return QSize(260, 11 * self._look.text)

    def show_plot(self, plot: Plot) -> None:
        """Show a plot."""
        self._plot = plot
        self.setAccessibleName(plot.title)
        said = [plot.caption, plot.told, *(dot.text for dot in plot.dots), plot.empty]
        self.setAccessibleDescription(". ".join(text for text in said if text))
        self.update()

    # Where things stand

    def box(self) -> QRectF:
        """The plot's own rectangle."""
        text = self._look.text
        right = 5.8 * text if self._plot.units[2] else 2 * text
        left = SIDE + 4.2 * text
        top, bottom = 3.6 * text, self.height() - 2.2 * text
        return QRectF(left, top, max(self.width() - left - right, 40.0), max(bottom - top, 40.0))

    def axes(self) -> tuple[Axis, Axis, Axis]:
        """Across, up at the left and up at the right, in the habit's units; both ups on the same ticks."""
        box, plot = self.box(), self._plot
        high = [
            float(units.convert(value, unit or "1", plot.habit))
            for value, unit in zip(plot.high, plot.units, strict=True)
        ]
        across = from_zero(high[0], max(2, int(box.width() / 62)), box.left(), box.right())
        up = from_zero(1.04 * high[1], max(2, min(6, int(box.height() / 30))), box.bottom(), box.top())
        ticks = up.high / up.step
        rough = from_zero(1.3 * high[2], max(1, math.floor(ticks)), 0, 1).step
        return across, up, Axis(0.0, rough * ticks, rough, box.bottom(), box.top())

    def _line(self, curve: Curve, axes: tuple[Axis, Axis, Axis]) -> Line:
        unit = self._plot.units
        habit = self._plot.habit
        x = units.convert(curve.x, unit[0], habit)
        y = units.convert(curve.y, unit[2 if curve.right else 1], habit)
        return line(x, y, axes[0], axes[2 if curve.right else 1])

    def at(self, x: float, y: float, right: bool = False) -> QPointF:
        """The pixel of a point in canonical units."""
        axes, plot = self.axes(), self._plot
        across = float(units.convert(x, plot.units[0], plot.habit))
        up = float(units.convert(y, plot.units[2 if right else 1], plot.habit))
        return QPointF(axes[0].at(across), axes[2 if right else 1].at(up))

    # Painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look, plot, box = self._look, self._plot, self.box()
        title, soft = letters(look, look.text + 1, bold=True), letters(look, look.small)
        middle = 1.2 * look.text
        title.draw(painter, SIDE, middle, title.fit(plot.title, self.width() - 2 * SIDE), look.ink)
        after = SIDE + title.width(plot.title) + 12
        soft.draw(painter, after, middle, soft.fit(plot.caption, self.width() - after - SIDE), look.soft)
        if plot.empty:
            for number, text in enumerate(soft.wrap(plot.empty, self.width() - 2 * SIDE)):
                soft.draw(painter, SIDE, middle + (2 + 1.5 * number) * look.text, text, look.soft)
            painter.end()
            return
        axes = self.axes()
        self._paint_grid(painter, axes, box)
        lines = [(curve, self._line(curve, axes)) for curve in plot.curves if curve.x.size > 1]
        painter.save()
        painter.setClipRect(box.adjusted(-1, -6, 1, 1))
        for curve, drawn in lines:
            self._paint_curve(painter, curve, drawn, box)
        painter.restore()
        self._paint_uprights(painter, axes, box)
        self._paint_dots(painter)
        self._paint_labels(painter, lines, box)
        if self._hover is not None and box.contains(self._hover):
            self._paint_reading(painter, axes, box, self._hover.x())
        painter.end()

    def _paint_grid(self, painter: QPainter, axes: tuple[Axis, Axis, Axis], box: QRectF) -> None:
        look, (across, up, right), plot = self._look, axes, self._plot
        small = letters(look, look.small)
        names = [units.shown_in(unit, plot.habit) if unit else "" for unit in plot.units]
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(QPen(QColor(look.hairline), 1))
        for value in across.ticks():
            x = round(across.at(value))
            painter.drawLine(QPointF(x, box.top()), QPointF(x, box.bottom()))
        for value in up.ticks():
            y = round(up.at(value))
            painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for value in across.ticks():
            last = value + across.step > across.high * (1 + 1e-9)
            text = f"{figure(value, across.step)} {names[0]}" if last else figure(value, across.step)
            place = across.at(value) - (small.width(figure(value, across.step)) / 2)
            place = min(place, self.width() - small.width(text) - 2)
            small.draw(painter, place, box.bottom() + look.text, text, look.soft)
        for value in up.ticks()[1:]:
            text = f"{figure(value, up.step)} {names[1]}"
            small.draw(painter, box.left() - GAP - small.width(text), up.at(value), text, look.soft)
        for value in right.ticks()[1:] if plot.units[2] else ():
            text = f"{figure(value, right.step)} {names[2]}"
            small.draw(painter, box.right() + GAP, right.at(value), text, look.soft)

    def _colour(self, name: str) -> QColor:
        return QColor(self._look.source(name))

    def _paint_curve(self, painter: QPainter, curve: Curve, drawn: Line, box: QRectF) -> None:
        if curve.filled:
            area = QPolygonF(drawn.polygon)
            area.append(QPointF(drawn.x[-1], box.bottom()))
            area.append(QPointF(drawn.x[0], box.bottom()))
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(blend(self._colour(curve.colour).name(), self._look.sheet, 0.16))
            painter.drawPolygon(area)
        pen = QPen(line_colour(self._look, curve.colour), curve.wide * self._look.stroke)
        if curve.dashed:
            pen.setDashPattern([4.0, 3.0])
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(drawn.polygon)

    def _paint_uprights(self, painter: QPainter, axes: tuple[Axis, Axis, Axis], box: QRectF) -> None:
        look, plot = self._look, self._plot
        small, room = letters(look, look.small), (box.left(), float(self.width() - 4))
        wants, shown = [], []
        for number, each in enumerate(plot.uprights, 1):
            x = axes[0].at(float(units.convert(each.x, plot.units[0], plot.habit)))
            if box.left() <= x <= box.right():
                painter.setPen(QPen(self._colour(each.colour), 1.2 * look.stroke, Qt.PenStyle.DashLine))
                painter.drawLine(QPointF(x, box.top()), QPointF(x, box.bottom()))
                right, left = Spot(x - 2, False, room), Spot(x + 2, True, room)
                spots = (right, left) if number == len(plot.uprights) else (left, right)
                wants.append(Want(small.width(each.text), small.width(each.text[:6]), spots))
                shown.append(each)
        for each, place in zip(shown, place_labels(wants, [], []), strict=True):
            if place is not None:
                text = small.fit(each.text, place.high - place.low + 0.5)
                small.draw(painter, place.low, box.top() - 0.75 * look.text, text, look.source(each.colour))

    def _paint_dots(self, painter: QPainter) -> None:
        look = self._look
        for dot in self._plot.dots:
            radius = (2.6 if dot.small else 4.0) * look.text / 12
            painter.setPen(QPen(QColor(look.soft if dot.hollow else look.ink), 1.4))
            painter.setBrush(QColor(look.sheet if dot.hollow else look.ink))
            painter.drawEllipse(self.at(dot.x, dot.y, dot.right), radius, radius)

    def _paint_labels(self, painter: QPainter, lines: list[tuple[Curve, Line]], box: QRectF) -> None:
        """What is said of points, then the curves' names, where nothing else is."""
        look = self._look
        bold, small = letters(look, look.small, bold=True), letters(look, look.small)
        taken = [
            QRectF(at.x() - 4, at.y() - 4, 8, 8)
            for at in (self.at(dot.x, dot.y, dot.right) for dot in self._plot.dots)
        ]
        weighed = [(drawn, 2.0) for _, drawn in lines]
        wanted = [
            (self.at(dot.x, dot.y, dot.right), dot.text, small if dot.hollow else bold, look.ink)
            for dot in self._plot.dots
            if dot.text
        ]
        for curve, drawn in lines:
            if curve.name:
                at = min(int(curve.named_at * len(drawn.x)), len(drawn.x) - 1)
                wanted.append((QPointF(drawn.x[at], drawn.y[at]), curve.name, small, look.soft))
        for point, text, type, colour in wanted:
            found = free_box(point, (type.width(text), type.height), box, taken, weighed)
            if found is not None:
                taken.append(found[1])
                type.draw(painter, found[1].left(), found[1].center().y(), text, colour)

    def _paint_reading(self, painter: QPainter, axes: tuple[Axis, Axis, Axis], box: QRectF, x: float) -> None:
        """The curves' values under the pointer."""
        look, plot = self._look, self._plot
        value = float(units.unconvert(axes[0].value(x), plot.units[0], plot.habit))
        parts = [units.show(value, plot.units[0], plot.habit, 3)]
        for curve in plot.curves:
            if curve.name and curve.x.size > 1 and curve.x[0] <= value <= curve.x[-1]:
                unit = plot.units[2 if curve.right else 1]
                read = float(np.interp(value, curve.x, curve.y))
                parts.append(f"{curve.name} {units.show(read, unit, plot.habit, 3)}")
        small = letters(look, look.small)
        text = small.fit(" · ".join(parts), self.width() - 14)
        painter.setPen(QPen(QColor(look.soft), 1))
        painter.drawLine(QPointF(round(x) + 0.5, box.top()), QPointF(round(x) + 0.5, box.bottom()))
        wide, high = small.width(text) + 12, 1.7 * look.text
        left = min(max(x - wide / 2, 1.0), self.width() - wide - 1)
        back = QRectF(left, box.bottom() + 3, wide, high)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(look.ink))
        painter.drawRoundedRect(back, 3, 3)
        small.draw(painter, left + 6, back.center().y(), text, look.sheet)
