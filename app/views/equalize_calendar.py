"""The calendar of equalization: a strip of twelve months with what was planned, done, late and missed."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QHelpEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from app.look import LIGHT, Look
from app.views.lettering import blend, letters, readable_on
from app.views.marks import draw_mark
from engine import units
from engine.finding import Status
from engine.physics.equalize import MONTH_DAYS, YEAR, Turn, month_of
from engine.sections.equalize import EqualizeYear

TITLE = "Equalize calendar"
NAMES = "January February March April May June July August September October November December".split()
SIDE = 12
LEGEND = (("planned", "planned"), ("done", "done"), ("late", "in grace"), ("missed", "missed"))


def day_told(day: int) -> str:
    """A day of the year from 0 as people say it.

    >>> day_told(59)
    'March 1'
    """
    month = month_of(day)
    return f"{NAMES[month]} {day - sum(MONTH_DAYS[:month]) + 1}"


def turn_told(turn: Turn) -> str:
    """One planned equalization in words."""
    planned = day_told(turn.planned)
    if turn.done is None:
        days = len(turn.tried) - 1
        grace = f" and {days} of grace" if days else ""
        return f"{planned}: missed, the sources did not suffice on that day{grace}"
    if turn.late:
        return f"{planned}: done on {day_told(turn.done)}, in grace"
    return f"{planned}: done"


class EqualizeCalendar(QWidget):
    """A year of planned equalizations over what the sources give and what the days take."""

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._year: EqualizeYear | None = None
        self._empty = ""
        self._habit = "metric"
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(TITLE)

    def sizeHint(self) -> QSize:
        return QSize(640, 12 * self._look.text)

    def minimumSizeHint(self) -> QSize:
        return QSize(
            320, round((6.4 if self._year is not None and self._year.turns else 4) * self._look.text)
        )

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.update()

    def show_year(self, year: EqualizeYear | None, empty: str, habit: str) -> None:
        """Show a year, or say why there is none."""
        self._year, self._empty, self._habit = year, empty, habit
        turns = () if year is None else year.turns
        self.setAccessibleDescription(". ".join(map(turn_told, turns)) or empty)
        self.updateGeometry()
        self.update()

    def caption(self) -> str:
        """How often, how long grace lasts, and what came of it."""
        year = self._year
        if year is None or not year.turns:
            return ""
        missed = len(year.missed)
        told = f"every {year.every} days, {year.grace} of grace: {len(year.turns) - missed} done"
        return f"{told}, {missed} missed" if missed else told

    # Where things stand

    def _strip(self) -> QRectF:
        text = self._look.text
        return QRectF(SIDE, 2.6 * text, self.width() - 2.0 * SIDE, 2.2 * text)

    def _x(self, day: float) -> float:
        strip = self._strip()
        return strip.left() + (day + 0.5) / YEAR * strip.width()

    def event(self, event: QEvent) -> bool:
        if isinstance(event, QHelpEvent):
            turns = () if self._year is None else self._year.turns
            near = [turn for turn in turns if abs(self._x(turn.planned) - event.pos().x()) < 14]
            QToolTip.showText(event.globalPos(), turn_told(near[0]) if near else "", self)
            return True
        return super().event(event)

    # Painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look, year = self._look, self._year
        title, soft = letters(look, look.text + 1, bold=True), letters(look, look.small)
        middle = 1.1 * look.text
        title.draw(painter, SIDE, middle, TITLE, look.ink)
        after = SIDE + title.width(TITLE) + 12
        if year is None or not year.turns:
            for number, line in enumerate(soft.wrap(self._empty, self.width() - 2 * SIDE)[:3]):
                soft.draw(painter, SIDE, middle + (1.7 + 1.4 * number) * look.text, line, look.soft)
            painter.end()
            return
        room = self.width() - after - SIDE - self._legend(painter, middle)
        soft.draw(painter, after, middle, soft.fit(self.caption(), room), look.soft)
        self._paint_months(painter)
        for turn in year.turns:
            self._paint_turn(painter, turn)
        self._paint_energy(painter, year)
        painter.end()

    def _legend(self, painter: QPainter, middle: float) -> float:
        """What the shapes mean, at the right; the width that it takes, nothing where there is no room."""
        look = self._look
        small = letters(look, look.small)
        year = self._year
        used = {"late": bool(year and year.late), "missed": bool(year and year.missed)}
        shown = [(kind, text) for kind, text in LEGEND if used.get(kind, True)]
        wide = sum(small.width(text) + 2.4 * look.text for _, text in shown)
        if wide > 0.5 * self.width():
            return 0.0
        x = self.width() - SIDE - wide
        for kind, text in shown:
            self._mark(painter, QPointF(x + 0.6 * look.text, middle), kind)
            small.draw(painter, x + 1.4 * look.text, middle, text, look.soft)
            x += small.width(text) + 2.4 * look.text
        return wide + 8

    def _mark(self, painter: QPainter, at: QPointF, kind: str) -> None:
        look = self._look
        size = 0.85 * look.text
        if kind == "planned":
            painter.setPen(QPen(QColor(look.ink), 1.3))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawEllipse(at, size / 2, size / 2)
            return
        status = {"done": Status.MEETS, "late": Status.MARGINAL, "missed": Status.FAILS}[kind]
        draw_mark(painter, at, status, look, size + 2)

    def _paint_months(self, painter: QPainter) -> None:
        look, strip = self._look, self._strip()
        small, at = letters(look, look.small), 0
        for month, length in enumerate(MONTH_DAYS):
            left, right = self._x(at - 0.5), self._x(at + length - 0.5)
            shade = blend(look.hairline, look.sheet, 0.45 if month % 2 == 0 else 0.18)
            painter.fillRect(QRectF(left, strip.top(), right - left, strip.height()), shade)
            name = NAMES[month][:3]
            place = (left + right - small.width(name)) / 2
            small.draw(painter, place, strip.bottom() + 0.8 * look.text, name, look.soft)
            at += length

    def _paint_turn(self, painter: QPainter, turn: Turn) -> None:
        look, middle = self._look, self._strip().center().y()
        first, last = self._x(turn.planned), self._x(turn.tried[-1])
        if len(turn.tried) > 1:
            colour = look.fails if turn.done is None else look.marginal
            painter.setPen(QPen(QColor(colour), 2))
            painter.drawLine(QPointF(first, middle), QPointF(last, middle))
        if turn.done is None:
            self._mark(painter, QPointF(first, middle), "missed")
        elif turn.late:
            self._mark(painter, QPointF(first, middle), "planned")
            at = min(max(last, first + 0.95 * look.text), self._strip().right() - 0.5 * look.text)
            self._mark(painter, QPointF(at, middle), "late")
        else:
            self._mark(painter, QPointF(first, middle), "done")

    def _paint_energy(self, painter: QPainter, year: EqualizeYear) -> None:
        """Bars of the sources' mean day by month; lines for the demand, and for it with equalizing."""
        look, strip = self._look, self._strip()
        small = letters(look, look.small)
        top, base = strip.bottom() + 3.2 * look.text, self.height() - 0.5 * look.text
        if base - top < 2.0 * look.text or year.need is None:
            return
        usual = units.show(sum(year.demand) / 12, "Wh", self._habit, 2)
        told = (
            f"a day from the sources; line: a day of the loads, {usual}; dashed: one that equalizes as well"
        )
        text = small.fit(told, strip.width())
        small.draw(painter, strip.left(), strip.bottom() + 2.2 * look.text, text, look.soft)
        wanted = [demand + year.need for demand in year.demand]
        most = max(*year.source, *wanted, 1.0)
        at = 0
        for month, length in enumerate(MONTH_DAYS):
            left, right = self._x(at - 0.5) + 3, self._x(at + length - 0.5) - 3
            at += length
            high = year.source[month] / most * (base - top)
            lean = year.source[month] < wanted[month]
            shade = blend(look.battery, look.sheet, 0.35 if lean else 0.7)
            ink = readable_on(shade)
            painter.fillRect(QRectF(left, base - high, right - left, high), shade)
            for value, style, colour in (
                (year.demand[month], Qt.PenStyle.SolidLine, look.loads),
                (wanted[month], Qt.PenStyle.DashLine, look.ink),
            ):
                y = base - value / most * (base - top)
                painter.setPen(QPen(QColor(colour), 1.6, style))
                painter.drawLine(QPointF(left - 3, y), QPointF(right + 3, y))
            text = units.show(year.source[month], "Wh", self._habit, 2)
            if small.width(text) <= right - left and high > 1.4 * look.text:
                place = (left + right - small.width(text)) / 2
                above = year.demand[month] / most * (base - top) > 1.15 * look.text
                middle = base - 0.65 * look.text if above else base - high + 0.75 * look.text
                small.draw(painter, place, middle, text, ink)
