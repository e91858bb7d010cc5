"""The year of a system: bars of what the sources bring, the loads as a line of steps, gaps hatched."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QBrush, QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look
from app.views.axis import Axis, from_zero
from app.views.lettering import Letters, blend, letters
from engine import units
from engine.sections.balance import Balance
from engine.sections.source_yield import MONTHS

SIDE = 16
TITLE = "What the sources bring, what the loads take"
SHADES = (1.0, 0.62, 0.82, 0.45)  # of one colour, for several sources of a kind


class BalanceView(QWidget):
    """Twelve bars at the battery; ``chosen(month, source)`` when a person takes a bar in hand."""

    chosen = Signal(int, int)

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._balance = Balance()
        self._month, self._source = 0, 0
        self._habit = "metric"
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName("Balance of the months at the battery")

    def sizeHint(self) -> QSize:
        return QSize(560, 300)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 14 * self._look.text)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.update()

    def show_balance(self, balance: Balance, month: int, source: int, habit: str) -> None:
        """Show a balance, with one month and one of its sources in hand."""
        self._balance, self._month, self._source, self._habit = balance, month, source, habit
        told = [
            f"{each.name} {self._tick(each.brought)} of {self._tick(each.demand)}" for each in balance.months
        ]
        self.setAccessibleDescription("; ".join(told) or self._wanted())
        self.update()

    def _wanted(self) -> str:
        names = ", ".join(dict.fromkeys(item.title for item in self._balance.missing))
        if names:
            return f"Enter: {names}."
        return "Add a source and the loads: then each month is balanced here."

    # A hand on it

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Left and right walk the months, up and down the sources."""
        month = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()), 0)
        source = {Qt.Key.Key_Down: -1, Qt.Key.Key_Up: 1}.get(Qt.Key(event.key()), 0)
        count = len(self._balance.sources)
        if not self._balance.months or not (month or source):
            super().keyPressEvent(event)
            return
        self.chosen.emit((self._month + month) % len(MONTHS), (self._source + source) % count)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Take the month under the hand, and the source whose part of the bar is there."""
        if not self._balance.months:
            return
        place, axis = event.position(), self._axis()
        month = int((place.x() - self._left()) // self._slot())
        if not 0 <= month < len(MONTHS):
            return
        height, top, source = axis.value(place.y()), 0.0, self._source
        for at, brought in enumerate(self._balance.months[month].sources):
            if top <= height < top + brought:
                source = at
            top += brought
        self.chosen.emit(month, source)

    # Places

    def _small(self) -> Letters:
        return letters(self._look, self._look.small)

    def _highest(self) -> float:
        months = self._balance.months
        return max((max(each.brought, each.demand) for each in months), default=1.0)

    def _left(self) -> float:
        return SIDE + self._small().width(self._tick(self._highest())) + 10

    def _tick(self, value: float) -> str:
        return units.show(value, "Wh", self._habit, 3)

    def _slot(self) -> float:
        return (self.width() - self._left() - SIDE) / len(MONTHS)

    def _axis(self) -> Axis:
        text = self._look.text
        floor, top = self.height() - 2.7 * text, (6.2 if self._runs() else 4.8) * text
        most = max(2, int((floor - top) / (2.6 * text)))
        return from_zero(1.02 * self._highest(), most, floor, top)

    def _runs(self) -> bool:
        return any(month.generator for month in self._balance.months)

    # Painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look = self._look
        bold, small = letters(look, look.text + 1, bold=True), self._small()
        room = self.width() - 2.0 * SIDE
        bold.draw(painter, SIDE, 1.3 * look.text, bold.fit(TITLE, room), look.ink)
        after = SIDE + bold.width(TITLE) + 12
        caption = small.fit("mean day of each month, at the battery", self.width() - after - SIDE)
        small.draw(painter, after, 1.3 * look.text, caption, look.soft)
        if not self._balance.months:
            for at, line in enumerate(small.wrap(self._wanted(), room)[:6]):
                small.draw(painter, SIDE, (3.2 + 1.5 * at) * look.text, line, look.soft)
        else:
            self._names(painter, 2.9 * look.text)
            self._bars(painter)
        painter.end()

    def _colour(self, source: int) -> QColor:
        """The colour of a source, a paler one for each further source of its kind."""
        sources = self._balance.sources
        kind = sources[source].colour
        before = sum(each.colour == kind for each in sources[:source])
        return blend(self._look.source(kind), self._look.sheet, SHADES[before % len(SHADES)])

    def _names(self, painter: QPainter, middle: float) -> None:
        """What each colour is; the source in hand is bold."""
        look, x, size = self._look, float(SIDE), 0.8 * self._look.text
        names = [(source.label, self._colour(at), at) for at, source in enumerate(self._balance.sources)]
        names.append(("loads", QColor(look.loads), -1))
        room = (self.width() - 2.0 * SIDE) / len(names)
        for name, colour, at in names:
            type = letters(look, look.small, bold=at == self._source)
            if at < 0:
                painter.fillRect(QRectF(x, middle - 1.5, size, 3), colour)
            else:
                painter.fillRect(QRectF(x, middle - size / 2, size, size), colour)
            text = type.fit(name, max(room - size - 22, 3 * look.text))
            type.draw(painter, x + size + 6, middle, text, look.ink)
            x += size + type.width(text) + 22

    def _bars(self, painter: QPainter) -> None:
        look, axis, left, slot = self._look, self._axis(), self._left(), self._slot()
        small, floor, right = self._small(), axis.start, self._left() + 12 * self._slot()
        hand = QRectF(left + self._month * slot, axis.stop - 4, slot, self.height() - axis.stop)
        painter.fillRect(hand, blend(look.ink, look.sheet, 0.07))
        for value in axis.ticks():
            y = round(axis.at(value)) + 0.5
            painter.setPen(QPen(QColor(look.hairline), 1))
            painter.drawLine(QPointF(left, y), QPointF(right, y))
            text = self._tick(value)
            small.draw(painter, left - 8 - small.width(text), y, text, look.soft)
        for at, month in enumerate(self._balance.months):
            x, wide, top = left + at * slot + 0.17 * slot, 0.66 * slot, floor
            for source, brought in enumerate(month.sources):
                up = axis.at(0) - axis.at(brought)
                painter.fillRect(QRectF(x, top - up, wide, max(up - 1, 0.5)), self._colour(source))
                top -= up
            if month.surplus < 0:
                self._gap(painter, QRectF(x, axis.at(month.demand), wide, top - axis.at(month.demand)))
            self._foot(painter, at, left + (at + 0.5) * slot, floor + 0.9 * look.text)
            if month.generator:
                run = small.fit(units.show(month.generator, "h", self._habit, 2).removesuffix(" h"), slot)
                middle = left + (at + 0.5) * slot - small.width(run) / 2
                small.draw(painter, middle, axis.stop - 0.7 * look.text, run, look.ink)
        if self._runs():
            told = small.fit("hours of generator a day:", right - left)
            small.draw(painter, left, axis.stop - 1.9 * look.text, told, look.soft)
        self._steps(painter, axis, left, slot)

    def _gap(self, painter: QPainter, box: QRectF) -> None:
        """What the sources lack, hatched."""
        colour = QColor(self._look.fails)
        painter.fillRect(box, QBrush(colour, Qt.BrushStyle.BDiagPattern))
        painter.setPen(QPen(colour, 1))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(box)

    def _foot(self, painter: QPainter, at: int, middle: float, height: float) -> None:
        look = self._look
        worst = at == self._balance.worst
        type = letters(look, look.small, bold=worst)
        whole = self._slot() > letters(look, look.small, bold=True).width("Mar") + 4
        name = MONTHS[at][:3] if whole else MONTHS[at][0]
        type.draw(painter, middle - type.width(name) / 2, height, name, look.ink if worst else look.soft)
        if worst:
            small = self._small()
            x = min(middle - small.width("worst") / 2, self.width() - SIDE - small.width("worst"))
            small.draw(painter, x, height + look.text, "worst", look.soft)

    def _steps(self, painter: QPainter, axis: Axis, left: float, slot: float) -> None:
        """The loads, a step a month, under a thin edge of the sheet so that it reads on every colour."""
        look, points = self._look, []
        for at, month in enumerate(self._balance.months):
            y = axis.at(month.demand)
            points += [QPointF(left + at * slot, y), QPointF(left + (at + 1) * slot, y)]
        for colour, width in ((look.sheet, 3.0 * look.stroke + 2), (look.loads, 1.5 * look.stroke + 1)):
            painter.setPen(QPen(QColor(colour), width))
            painter.drawPolyline(points)
