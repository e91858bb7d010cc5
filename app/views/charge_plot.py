"""A plot of lines between two ends of each axis, tags at their points, stretches of the axis named."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen, QPolygonF

from app.views.axis import Axis, figure, nice_step
from app.views.lettering import blend, letters
from app.views.pointed import Pointed
from engine import units

Floats = npt.NDArray[np.float64]
SAMPLES = 9  # places under a text where a line could run through it
SIDE, GAP = 12, 6


@dataclass(frozen=True, eq=False)
class Track:
    """One line in canonical units; ``right`` puts it on the second scale, ``filled`` shades under it."""

    name: str
    x: Floats
    y: Floats
    colour: str = "battery"
    wide: float = 1.8
    dashed: bool = False
    right: bool = False
    filled: bool = False


@dataclass(frozen=True)
class Tag:
    """A dot on a line, with what is said above it to its right, or to its left where ``leftward``."""

    x: float
    y: float
    text: str
    leftward: bool = False


@dataclass(frozen=True)
class Stretch:
    """A part of the axis across, told at its top; shaded or not."""

    low: float
    high: float
    text: str
    shaded: bool = True


@dataclass(frozen=True)
class Level:
    """A line across at a value of the left scale, told on it."""

    y: float
    text: str
    colour: str = "fails"


@dataclass(frozen=True, eq=False)
class ChargePlot:
    """What one plot shows; ``across``, ``up`` and ``second`` are the ends of the axes in canonical units."""

    title: str
    caption: str = ""
    units: tuple[str, str, str] = ("degC", "V", "")
    across: tuple[float, float] = (0.0, 1.0)
    up: tuple[float, float] = (0.0, 1.0)
    second: tuple[float, float] = (0.0, 1.0)
    tracks: Sequence[Track] = ()
    tags: Sequence[Tag] = ()
    stretches: Sequence[Stretch] = ()
    levels: Sequence[Level] = ()
    empty: str = ""
    habit: str = "metric"


class ChargePlotView(Pointed):
    """One plot; the values of its lines stand under the pointer."""

    def __init__(self) -> None:
        super().__init__()
        self._plot = ChargePlot("")

    def sizeHint(self) -> QSize:
        return QSize(320, 210)

    def minimumSizeHint(self) -> QSize:
        return QSize(230, 9 * self._look.text)

    def show_plot(self, plot: ChargePlot) -> None:
        """Show a plot."""
        self._plot = plot
        self.setAccessibleName(plot.title)
        texts = [each.text for each in plot.stretches]
        texts += [each.text for each in plot.tags] + [each.text for each in plot.levels]
        said = [plot.caption, *texts, plot.empty]
        self.setAccessibleDescription(". ".join(text for text in said if text))
        self.update()

    # Where things stand

    def box(self) -> QRectF:
        """The plot's own rectangle."""
        text = self._look.text
        left, right = SIDE + 3.8 * text, (4.2 * text if self._plot.units[2] else 1.2 * text)
        top, bottom = (3.4 if self._plot.stretches else 2.4) * text, self.height() - 2.0 * text
        return QRectF(left, top, max(self.width() - left - right, 40.0), max(bottom - top, 30.0))

    def axes(self) -> tuple[Axis, Axis, Axis]:
        """Across, up at the left and up at the right, in the habit's units."""
        box, plot = self.box(), self._plot
        made = []
        for ends, unit, span, least in (
            (plot.across, plot.units[0], (box.left(), box.right()), 58),
            (plot.up, plot.units[1], (box.bottom(), box.top()), 30),
            (plot.second, plot.units[2] or "1", (box.bottom(), box.top()), 30),
        ):
            low, high = (float(units.convert(end, unit, plot.habit)) for end in ends)
            high = high if high > low else low + 1.0
            step = nice_step(high - low, max(2, int(abs(span[1] - span[0]) / least)))
            made.append(Axis(low, high, step, *span))
        return made[0], made[1], made[2]

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
        middle = 1.1 * look.text
        title.draw(painter, SIDE, middle, title.fit(plot.title, self.width() - 2 * SIDE), look.ink)
        after = SIDE + title.width(plot.title) + 12
        soft.draw(painter, after, middle, soft.fit(plot.caption, self.width() - after - 4), look.soft)
        if plot.empty:
            for number, text in enumerate(soft.wrap(plot.empty, self.width() - 2 * SIDE)):
                soft.draw(painter, SIDE, middle + (1.8 + 1.5 * number) * look.text, text, look.soft)
            painter.end()
            return
        axes = self.axes()
        self._paint_stretches(painter, axes[0], box)
        self._paint_grid(painter, axes, box)
        painter.save()
        painter.setClipRect(box.adjusted(0, -2, 0, 2))
        for track in plot.tracks:
            self._paint_track(painter, track, axes, box)
        painter.restore()
        self._paint_levels(painter, axes[1], box, self._paint_tags(painter, box))
        if self._hover is not None and box.contains(self._hover):
            self._paint_reading(painter, axes[0], box, self._hover.x())
        painter.end()

    def _paint_stretches(self, painter: QPainter, across: Axis, box: QRectF) -> None:
        look, plot = self._look, self._plot
        small = letters(look, look.small)
        for each in plot.stretches:
            ends = [float(units.convert(end, plot.units[0], plot.habit)) for end in (each.low, each.high)]
            low, high = (min(max(across.at(end), box.left()), box.right()) for end in ends)
            if each.shaded:
                shade = blend(look.battery, look.sheet, 0.10)
                painter.fillRect(QRectF(low, box.top(), high - low, box.height()), shade)
            elif high < box.right() - 1:
                painter.setPen(QPen(QColor(look.soft), 1, Qt.PenStyle.DashLine))
                painter.drawLine(QPointF(round(high), box.top()), QPointF(round(high), box.bottom()))
            room = box.width() if each.shaded else high - low
            text = small.fit(each.text, room - 4)
            if text != each.text:
                continue
            place = (low + high - small.width(text)) / 2
            place = min(max(place, box.left()), box.right() - small.width(text))
            small.draw(painter, place, box.top() - 0.7 * look.text, text, look.soft)

    def _paint_grid(self, painter: QPainter, axes: tuple[Axis, Axis, Axis], box: QRectF) -> None:
        look, plot, (across, up, right) = self._look, self._plot, axes
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
            place = across.at(value) - small.width(figure(value, across.step)) / 2
            place = min(place, self.width() - small.width(text) - 2)
            small.draw(painter, place, box.bottom() + look.text, text, look.soft)
        for value in up.ticks():
            text = f"{figure(value, up.step)} {names[1]}"
            small.draw(painter, box.left() - GAP - small.width(text), up.at(value), text, look.soft)
        for value in right.ticks() if names[2] else ():
            text = f"{figure(value, right.step)} {names[2]}"
            small.draw(painter, box.right() + GAP, right.at(value), text, look.soft)

    def _points(self, track: Track, axes: tuple[Axis, Axis, Axis]) -> list[QPointF]:
        plot, up = self._plot, axes[2 if track.right else 1]
        xs = units.convert(track.x, plot.units[0], plot.habit)
        ys = units.convert(track.y, plot.units[2 if track.right else 1], plot.habit)
        return [QPointF(axes[0].at(float(x)), up.at(float(y))) for x, y in zip(xs, ys, strict=True)]

    def _paint_track(
        self, painter: QPainter, track: Track, axes: tuple[Axis, Axis, Axis], box: QRectF
    ) -> None:
        look, points = self._look, self._points(track, axes)
        if not points:
            return
        colour = look.source(track.colour)
        if track.filled:
            ends = [QPointF(points[-1].x(), box.bottom()), QPointF(points[0].x(), box.bottom())]
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(blend(colour, look.sheet, 0.14))
            painter.drawPolygon(QPolygonF([*points, *ends]))
        pen = QPen(QColor(colour), track.wide * look.stroke)
        if track.dashed:
            pen.setDashPattern([5.0, 3.0])
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(QPolygonF(points))

    def _paint_levels(self, painter: QPainter, up: Axis, box: QRectF, taken: list[QRectF]) -> None:
        """Lines across; what is said of one stands on it at the right, where no tag does."""
        look, plot = self._look, self._plot
        small = letters(look, look.small)
        for level in plot.levels:
            y = up.at(float(units.convert(level.y, plot.units[1], plot.habit)))
            if not box.top() - 1 <= y <= box.bottom() + 1:
                continue
            colour = look.source(level.colour)
            painter.setPen(QPen(QColor(colour), 1.2 * look.stroke, Qt.PenStyle.DotLine))
            painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
            text = small.fit(level.text, box.width())
            place = box.right() - small.width(text) - 2
            room = QRectF(place, y - 1.3 * look.text, small.width(text), 1.2 * look.text)
            if not any(room.intersects(each) for each in taken):
                small.draw(painter, place, y - 0.7 * look.text, text, colour)

    def _paint_tags(self, painter: QPainter, box: QRectF) -> list[QRectF]:
        """Dots, and what is said of each above or under it; what finds no room is left to the pointer.

        Returns where texts stand.
        """
        look = self._look
        small, taken = letters(look, look.small), list[QRectF]()
        axes = self.axes()
        lines = [
            np.array([(at.x(), at.y()) for at in self._points(track, axes)]) for track in self._plot.tracks
        ]
        high = 1.1 * look.small
        end = box.right() if self._plot.units[2] else self.width() - 2
        for tag in self._plot.tags:
            at, wide = self.at(tag.x, tag.y), small.width(tag.text)
            painter.setPen(QPen(QColor(look.sheet), 1.2))
            painter.setBrush(QColor(look.ink))
            painter.drawEllipse(at, 3.2, 3.2)
            over, under = at.y() - 0.85 * look.text - high / 2, at.y() + 0.85 * look.text - high / 2
            spots = [(at.x() + 1, over), (at.x() - wide - 1, under), (at.x() - wide - 1, over)]
            spots = [*(spots[::-1] if tag.leftward else spots), (at.x() + 1, under)]
            free = [
                room
                for room in (QRectF(x, y, wide, high) for x, y in spots)
                if box.left() <= room.left() and room.right() <= end
                if box.top() - 6 <= room.top() <= box.bottom() - high
                if not any(room.intersects(each) for each in taken)
            ]
            if free:
                room = min(free, key=lambda room: sum(_crosses(line, room) for line in lines))
                taken.append(room)
                small.draw(painter, room.left(), room.center().y(), tag.text, look.ink)
        return taken

    def _paint_reading(self, painter: QPainter, across: Axis, box: QRectF, x: float) -> None:
        """The lines' values under the pointer."""
        look, plot = self._look, self._plot
        value = float(units.unconvert(across.value(x), plot.units[0], plot.habit))
        parts = [units.show(value, plot.units[0], plot.habit, 3)]
        for track in plot.tracks:
            if track.x.size and track.x[0] <= value <= track.x[-1]:
                unit = plot.units[2 if track.right else 1]
                read = float(np.interp(value, track.x, track.y))
                parts.append(f"{track.name} {units.show(read, unit, plot.habit)}")
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


def _crosses(line: Floats, room: QRectF) -> bool:
    """Whether a line ``(x, y)[point]``, x rising, runs through a room."""
    if line.size == 0:
        return False
    across = np.linspace(room.left(), room.right(), SAMPLES)
    up = np.interp(across, line[:, 0], line[:, 1], left=-1.0, right=-1.0)
    return bool(np.any((up > room.top()) & (up < room.bottom())))
