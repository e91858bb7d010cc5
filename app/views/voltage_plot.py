"""The plot of a long run's voltages: a curve a voltage, its points the sizes of conductor."""

from __future__ import annotations

import math
from itertools import pairwise

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QHelpEvent, QPainter, QPaintEvent, QPen, QPolygonF, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app.look import LIGHT, Look
from app.views.axis import Axis, figure, from_zero, nice_step
from app.views.lettering import letters
from app.views.money import amount
from engine import units
from engine.money.voltage import Level, Point, Trade

SIDE = 16
REACH = 12.0  # pixels from the pointer to a point that it is at
SAMPLES = 12  # points of a stretch of curve that a label is kept off
WOUND = {0.25: "quarter turns", 0.5: "half the turns", 1.0: "as wound", 2.0: "twice the turns"}
FAR = 0.6  # what a place further off counts against a hidden point


class VoltagePlot(QWidget):
    """Loss over the price of the conductors, or over their metal where prices are missing."""

    def __init__(self) -> None:
        super().__init__()
        self._look = LIGHT
        self._trade: Trade | None = None
        self._habit, self._currency = "metric", ""
        self._laid_out: tuple[QRectF, Axis, Axis] | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Loss over price, a curve a voltage")

    def minimumSizeHint(self) -> QSize:
        """Room for a few ticks."""
        return QSize(320, 9 * self._look.text)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self._lay_out_anew()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Other pixels for the same numbers."""
        super().resizeEvent(event)
        self._lay_out_anew()

    def _lay_out_anew(self) -> None:
        self._laid_out = None
        self.update()

    def show_given(self, trade: Trade | None, habit: str, currency: str) -> None:
        """Show the levels."""
        self._trade, self._habit, self._currency = trade, habit, currency
        levels = trade.levels if trade is not None else ()
        told = (
            f"{name_of(level, habit)}: {', '.join(self._said(level, point) for point in level.points)}"
            for level in levels
        )
        self.setAccessibleDescription(". ".join(told))
        self._lay_out_anew()

    # What is drawn

    def _cost(self, point: Point) -> float:
        assert self._trade is not None
        return (point.price or 0.0) if self._trade.priced else point.mass

    def _lost(self, point: Point) -> float:
        return point.loss if point.yearly is None else point.yearly / 1000

    def _unit(self) -> str:
        known = self._trade is not None and self._trade.hours is not None
        at = "rated power" if self._trade is not None and self._trade.carried else "full sun"
        return "kWh a year" if known else f"W at {at}"

    def _said(self, level: Level, point: Point) -> str:
        price = "" if point.price is None else f" for {amount(point.price, self._currency)}"
        lost = units.show(point.loss, "W", self._habit, 3)
        most = (
            ""
            if point.yearly is None
            else f", at most {units.show(point.yearly, 'Wh', self._habit, 3)} a year"
        )
        total = "" if point.total is None else f"; in all {amount(point.total, self._currency)}"
        return f"{point.size.text}{price}: {lost} lost{most}{total}"

    def box(self) -> QRectF:
        """The plot's own rectangle."""
        return self._layout()[0]

    def axes(self) -> tuple[Axis, Axis]:
        """The axes of cost and of loss."""
        return self._layout()[1:]

    def at(self, point: Point) -> QPointF:
        """The pixel of a point."""
        across, up = self.axes()
        return QPointF(across.at(self._cost(point)), up.at(self._lost(point)))

    def _layout(self) -> tuple[QRectF, Axis, Axis]:
        if self._laid_out is None:
            box = self._box()
            self._laid_out = (box, *self._axes(box))
        return self._laid_out

    def _box(self) -> QRectF:
        look, trade = self._look, self._trade
        small = letters(look, look.small)
        names = [short(level, self._habit) for level in trade.levels] if trade is not None else []
        right = max((small.width(name) for name in names), default=0.0) + 20
        left = SIDE + 4.4 * look.text
        top, bottom = 1.9 * look.text, self.height() - 2.4 * look.text
        return QRectF(left, top, max(self.width() - left - right - SIDE, 40.0), max(bottom - top, 30.0))

    def _axes(self, box: QRectF) -> tuple[Axis, Axis]:
        assert self._trade is not None
        points = [point for level in self._trade.levels for point in level.points]
        across = from_zero(
            max(map(self._cost, points)), max(2, int(box.width() / 80)), box.left(), box.right()
        )
        low, high = min(map(self._lost, points)), max(map(self._lost, points))
        step = nice_step(max(high - low, 0.2 * high), max(2, int(box.height() / 34)))
        first = max(0.0, math.floor((low - 0.1 * (high - low)) / step) * step)
        last = math.ceil((high + 0.1 * (high - low)) / step) * step
        return across, Axis(first, last, step, box.bottom(), box.top())

    def event(self, event: QEvent) -> bool:
        """The numbers of the point under the pointer, in words."""
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip and self._trade is not None:
            near = [
                ((self.at(point) - QPointF(event.pos())).manhattanLength(), at, level, point)
                for at, level in enumerate(self._trade.levels)
                for point in level.points
            ]
            closest = min(near, key=lambda item: item[:2], default=None)
            told = ""
            if closest is not None and closest[0] <= REACH:
                told = f"{name_of(closest[2], self._habit)}\n{self._said(closest[2], closest[3])}"
            QToolTip.showText(event.globalPos(), told, self)
            return True
        return super().event(event)

    # Painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        trade = self._trade
        if trade is None or not trade.levels:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_axes(painter)
        for level in trade.levels:
            self._paint_curve(painter, level, trade)
        self._paint_names(painter, trade)
        self._paint_marks(painter, trade)
        painter.end()

    def _paint_axes(self, painter: QPainter) -> None:
        look, box = self._look, self.box()
        across, up = self.axes()
        small = letters(look, look.small)
        painter.setPen(QPen(QColor(look.hairline), 1))
        for value in up.ticks():
            y = round(up.at(value))
            painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
        for value in across.ticks():
            x = round(across.at(value))
            painter.drawLine(QPointF(x, box.bottom()), QPointF(x, box.bottom() + 4))
        for value in up.ticks():
            text = figure(value, up.step)
            small.draw(painter, box.left() - 8 - small.width(text), up.at(value), text, look.soft)
        under = box.bottom() + 1.1 * look.text
        for value in across.ticks():
            text = figure(value, across.step)
            small.draw(painter, across.at(value) - small.width(text) / 2, under, text, look.soft)
        small.draw(painter, SIDE, 0.8 * look.text, f"Loss, {self._unit()}", look.soft)
        priced = self._trade is not None and self._trade.priced
        caption = f"Price of the conductors{', ' + self._currency if self._currency else ''}"
        caption = caption if priced else "Metal, kg"
        beside = box.right() + max(12.0, small.width(figure(across.high, across.step)) / 2 + 8)
        for row, words in enumerate(small.wrap(caption, self.width() - beside - 4)[:2]):
            small.draw(painter, beside, under + (row - 0.5) * 1.15 * look.small, words, look.soft)

    def _colour(self, level: Level, trade: Trade) -> QColor:
        if trade.now is not None and level.count == trade.now[0]:
            return QColor(self._look.sun)
        return QColor(self._look.ink if level.allowed else self._look.soft)

    def _paint_curve(self, painter: QPainter, level: Level, trade: Trade) -> None:
        now = trade.now is not None and level.count == trade.now[0]
        pen = QPen(self._colour(level, trade), 2.4 if now else 1.4)
        if not level.allowed:
            pen.setStyle(Qt.PenStyle.DashLine)
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        spots = [self.at(point) for point in level.points]
        painter.drawPolyline(QPolygonF(spots))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._colour(level, trade))
        for spot in spots:
            painter.drawEllipse(spot, 2.6, 2.6)

    def _paint_names(self, painter: QPainter, trade: Trade) -> None:
        """Each curve's name at its right end, moved apart where two would touch."""
        look, box = self._look, self.box()
        small = letters(look, look.small)
        ends = sorted((self.at(level.points[-1]).y(), at) for at, level in enumerate(trade.levels))
        places: list[float] = []
        for y, _ in ends:
            places.append(max(y, places[-1] + small.height) if places else y)
        over = max(0.0, places[-1] - box.bottom() + 0.8 * look.text)
        for (_, at), y in zip(ends, places, strict=True):
            level = trade.levels[at]
            name = short(level, self._habit)
            ink = look.ink if level.allowed else look.soft
            small.draw(
                painter, box.right() + 12, y - over, small.fit(name, self.width() - box.right() - 14), ink
            )

    def _paint_marks(self, painter: QPainter, trade: Trade) -> None:
        """The chosen point, the least in all, and where curves cross."""
        look = self._look
        across, up = self.axes()
        caption = letters(look, look.small).width(f"Loss, {self._unit()}")
        taken = [QRectF(SIDE, 0, caption, 1.6 * look.text)]
        least = "least for this loss" if trade.carried else "least in all"
        wanted = [("chosen", trade.now, 4.6), (least, trade.best, 8.0)]
        same = trade.now == trade.best
        for told, key, radius in wanted:
            point = _point(trade, key)
            if point is None:
                continue
            spot = self.at(point)
            painter.setPen(QPen(QColor(look.ink), 1.8))
            painter.setBrush(QColor(look.ink) if told == "chosen" else Qt.BrushStyle.NoBrush)
            painter.drawEllipse(spot, radius, radius)
            texts: tuple[str, ...] = (f"{told}, {point.size.text}",)
            if same:
                texts = (f"chosen, and {least}, {point.size.text}", f"chosen, {point.size.text}")
                if told == "chosen":
                    continue
            self._label(painter, spot, texts, taken, bold=True)
        for crossing in trade.crossings:
            lost = crossing.loss if trade.hours is None else crossing.loss * trade.hours / 1000
            spot = QPointF(across.at(crossing.cost), up.at(lost))
            painter.setPen(QPen(QColor(look.ink), 1.4))
            painter.setBrush(QColor(look.sheet))
            corners = [QPointF(0, -6), QPointF(6, 0), QPointF(0, 6), QPointF(-6, 0)]
            painter.drawPolygon(QPolygonF([spot + corner for corner in corners]))
            self._label(painter, spot, (f"{called(trade, crossing.higher)} wins up to here",), taken)

    def _label(
        self,
        painter: QPainter,
        spot: QPointF,
        texts: tuple[str, ...],
        taken: list[QRectF],
        *,
        bold: bool = False,
    ) -> None:
        """A label by a mark, off other labels and least over curves; of the texts, the first with room."""
        look = self._look
        type = letters(look, look.small, bold=bold)
        for text in texts:
            place = self._free(spot, type.width(text), type.height, taken)
            if place is not None:
                taken.append(place)
                painter.fillRect(place.adjusted(-2, 0, 2, 0), QColor(look.sheet))
                type.draw(painter, place.left(), place.center().y(), text, look.ink)
                return

    def _free(self, spot: QPointF, wide: float, high: float, taken: list[QRectF]) -> QRectF | None:
        """Where a label would stand by a mark; ``None`` where it has no room."""
        box = self.box()
        room = QRectF(box.left(), 0, box.width(), box.bottom())
        places = [
            QRectF(x, y, wide, high)
            for down in (-12 - high, 10, -18 - 2 * high, 16 + high, -24 - 3 * high)
            for x, y in (
                (spot.x() + 10, spot.y() + down),
                (spot.x() - wide - 10, spot.y() + down),
                (max(min(spot.x() - wide / 2, box.right() - wide), box.left()), spot.y() + down),
            )
        ]
        free = [
            place
            for place in places
            if room.contains(place) and not any(place.intersects(other) for other in taken)
        ]
        return min(free, key=lambda each: self._hidden(each) + FAR * places.index(each), default=None)

    def _hidden(self, place: QRectF) -> int:
        """How many samples of the curves a label would hide."""
        assert self._trade is not None
        near, hidden = place.adjusted(-4, -2, 4, 2), 0
        for level in self._trade.levels:
            spots = [self.at(point) for point in level.points]
            for start, end in pairwise(spots):
                hidden += sum(
                    near.contains(start + (end - start) * (step / SAMPLES)) for step in range(SAMPLES + 1)
                )
        return hidden


def name_of(level: Level, habit: str) -> str:
    """What a curve is called: which way, at which voltage, and what it would need."""
    need = lacks(level, habit)
    return f"{short(level, habit)}: needs a controller that {need}" if need else short(level, habit)


def lacks(level: Level, habit: str) -> str:
    """What a controller would have to do that this one does not; empty where it does."""
    if level.takes is not None:
        return f"takes {units.show(level.takes, 'A', habit, 3)}"
    if level.allowed or level.survives is None:
        return ""
    return f"survives {units.show(level.survives, 'V', habit, 3)}"


def way(level: Level) -> str:
    """The way to a voltage: how many modules in series, or how many times the turns."""
    return (
        f"{level.count:g} in series" if level.strings else WOUND.get(level.count, f"{level.count:g} × turns")
    )


def called(trade: Trade, count: float) -> str:
    """The way of the level with that count."""
    return next(way(level) for level in trade.levels if level.count == count)


def short(level: Level, habit: str) -> str:
    """The name of a curve at its end."""
    volts = units.show(level.voltage, "V", habit, 3)
    return f"{way(level)}, {volts}"


def _point(trade: Trade, key: tuple[float, object] | None) -> Point | None:
    if key is None:
        return None
    return next(
        (p for level in trade.levels if level.count == key[0] for p in level.points if p.size == key[1]),
        None,
    )
