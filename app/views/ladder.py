"""The voltage ladder: every voltage on the way from source to battery, on one axis."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractScrollArea, QFrame, QSizePolicy, QToolTip

from app.glossary import tooltip, words_in
from app.look import LIGHT, Look
from app.views.axis import figure
from app.views.ladder_layout import LIVE, SIDE, Drawing, Label, Row, Tick, lay_out
from app.views.ladder_pins import colour, draw_key, draw_pin
from app.views.lettering import blend, letters, readable_on
from app.views.marks import draw_mark, mark_word, status_of
from engine import units
from engine.finding import Status
from engine.sections.results import Lane

TITLE = "Voltage ladder"
CAPTION = "every voltage on the way from source to battery, one axis"
NOTHING = "Nothing to compare yet. Add a source and its controller: their voltages stand here on one axis."
SPAN_WORDS = {
    "battery": "battery",
    "operating": "operates",
    "standoff": "survives, without operating",
    "running": "running",
    "open": "open circuit",
}


@lru_cache(maxsize=256)
def told(lane: Lane, habit: str) -> str:
    """The exact numbers of a lane in words, a line each."""
    lines = [lane.title]
    for span in lane.spans:
        low, high = (units.show(volts, "V", habit, 5) for volts in (span.low, span.high))
        lines.append(f"{SPAN_WORDS.get(span.kind, span.kind)} {low} to {high}")
    for mark in lane.marks:
        status = status_of(mark.status)
        word = f" ({mark_word(status)})" if status is not None else ""
        lines.append(f"{mark.text or mark.kind}: {units.show(mark.at, 'V', habit, 5)}{word}")
    return "\n".join([*lines, lane.empty] if lane.empty else lines)


class LadderView(QAbstractScrollArea):
    """Lanes on one shared voltage axis.

    ``piece_chosen(path)`` when a lane is clicked or entered; ``axis_moved(volts, left, right)`` when the axis
    got another end or other pixels, so that a plot can stand under it on the same axis.
    """

    piece_chosen = Signal(str)
    axis_moved = Signal(float, float, float)

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._lanes: tuple[Lane, ...] = ()
        self._habit = "metric"
        self._captions = (CAPTION, "DC voltage")
        self._drawing: Drawing | None = None
        self._current = 0
        self._hover: QPointF | None = None
        self._under: Row | None = None
        self._axis = (0.0, 0.0, 0.0)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(TITLE)
        self.viewport().setMouseTracking(True)
        self.viewport().setAutoFillBackground(False)

    def sizeHint(self) -> QSize:
        return QSize(660, 300)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, self._head() + self._foot() + 4 * self._look.text)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self._lay_out()

    def show_lanes(
        self, lanes: Sequence[Lane], habit: str, caption: str = CAPTION, axis: str = "DC voltage"
    ) -> None:
        """Show lanes [V]; texts inside them are already in the habit. ``axis`` is what the axis counts."""
        lanes = tuple(lanes)
        if (lanes, habit, caption, axis) == (self._lanes, self._habit, *self._captions) and self._drawing:
            return
        self._captions = (caption, axis)
        self._lanes, self._habit = lanes, habit
        self._current = min(self._current, max(len(lanes) - 1, 0))
        self.setAccessibleDescription(
            ". ".join(told(lane, habit).replace("\n", ", ") for lane in lanes) or NOTHING
        )
        self._lay_out()

    def _head(self) -> int:
        return round(3.2 * self._look.text)

    def _foot(self) -> int:
        return round(2.4 * self._look.text)

    def _lay_out(self) -> None:
        size = self.viewport().size()
        room = size.height() - self._head() - self._foot()
        self._drawing = lay_out(self._lanes, self._look, size.width(), room)
        bar = self.verticalScrollBar()
        bar.setRange(0, max(0, round(self._drawing.tall - room)))
        bar.setPageStep(max(room, 1))
        bar.setSingleStep(round(self._drawing.pitch))
        axis = self._drawing.axis
        moved = (axis.high, axis.start, axis.stop)
        if moved != self._axis:
            self._axis = moved
            self.axis_moved.emit(*moved)
        self.viewport().update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._lay_out()

    # Mouse and keyboard

    def _lane_at(self, at: QPointF) -> int | None:
        drawing = self._drawing
        if drawing is None or not self._head() <= at.y() < self.viewport().height() - self._foot():
            return None
        row = int((at.y() - self._head() + self.verticalScrollBar().value()) // drawing.pitch)
        return row if row < len(drawing.rows) else None

    def viewportEvent(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Leave:
            self._hover = None
            self.viewport().update()
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            lane = self._lane_at(QPointF(event.pos()))
            text = told(self._lanes[lane], self._habit) if lane is not None else ""
            QToolTip.showText(event.globalPos(), tooltip(text, words_in(text)), self.viewport())
            return True
        return super().viewportEvent(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        self._hover = event.position()
        over = self._lane_at(event.position()) is not None
        self.viewport().setCursor(Qt.CursorShape.PointingHandCursor if over else Qt.CursorShape.ArrowCursor)
        self.viewport().update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        lane = self._lane_at(event.position())
        if lane is not None and event.button() == Qt.MouseButton.LeftButton:
            self._current = lane
            self.viewport().update()
            self.piece_chosen.emit(self._lanes[lane].path)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key, last = event.key(), len(self._lanes) - 1
        moves = {
            Qt.Key.Key_Up: self._current - 1,
            Qt.Key.Key_Down: self._current + 1,
            Qt.Key.Key_Home: 0,
            Qt.Key.Key_End: last,
        }
        if last >= 0 and key in moves:
            self._current = min(max(moves[Qt.Key(key)], 0), last)
            self._reveal(self._current)
        elif last >= 0 and key in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.piece_chosen.emit(self._lanes[self._current].path)
        else:
            super().keyPressEvent(event)

    def _reveal(self, lane: int) -> None:
        assert self._drawing is not None
        bar, pitch = self.verticalScrollBar(), self._drawing.pitch
        room = self.viewport().height() - self._head() - self._foot()
        bar.setValue(round(min(max(bar.value(), (lane + 1) * pitch - room), lane * pitch)))
        self.viewport().update()

    # Painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        drawing, look, size = self._drawing, self._look, self.viewport().size()
        if drawing is None:
            return
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_head(painter, size.width())
        top, bottom = self._head(), size.height() - self._foot()
        if not drawing.rows:
            soft = letters(look)
            soft.draw(painter, SIDE, top + look.text, soft.fit(NOTHING, size.width() - 2 * SIDE), look.soft)
            painter.end()
            return
        end = min(bottom, top + drawing.tall + 4)
        self._paint_axis(painter, drawing, top, end)
        painter.save()
        painter.setClipRect(QRectF(0, top, size.width(), bottom - top))
        shift = top - self.verticalScrollBar().value()
        self._paint_guides(painter, drawing, shift)
        for number, row in enumerate(drawing.rows):
            if top - drawing.pitch < row.middle + shift < bottom + drawing.pitch:
                self._paint_row(painter, row, number, row.middle + shift, drawing.pitch)
        painter.restore()
        self._paint_hover(painter, drawing, top, end)
        painter.end()

    def _paint_head(self, painter: QPainter, width: float) -> None:
        look = self._look
        title, soft = letters(look, look.text + 1, bold=True), letters(look, look.small)
        middle = self._head() / 2
        title.draw(painter, SIDE, middle, TITLE, look.ink)
        after = SIDE + title.width(TITLE) + 16
        end = draw_key(painter, self._lanes, middle, width - SIDE, look)
        soft.draw(painter, after, middle, soft.fit(self._captions[0], end - after), look.soft)

    def _paint_axis(self, painter: QPainter, drawing: Drawing, top: float, end: float) -> None:
        look, axis = self._look, drawing.axis
        small = letters(look, look.small)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, False)
        painter.setPen(QPen(QColor(look.hairline), 1))
        for volts in axis.ticks():
            x = round(axis.at(volts))
            painter.drawLine(QPointF(x, top), QPointF(x, end))
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        under = end + self._foot() / 2
        for volts in axis.ticks():
            text = "0" if volts == 0 else f"{figure(volts, axis.step)} V"
            small.draw(painter, axis.at(volts) - small.width(text) / 2, under, text, look.soft)
        caption = self._captions[1]
        if small.width(caption) + SIDE < axis.start - 12:
            small.draw(painter, SIDE, under, caption, look.soft)

    def _paint_guides(self, painter: QPainter, drawing: Drawing, shift: float) -> None:
        """A dotted line from a source's highest open-circuit voltage down, past what must stand it."""
        bottom = drawing.tall + shift
        for row in drawing.rows:
            ends = [bar.high for bar in row.bars if bar.kind == "open"]
            if ends:
                painter.setPen(QPen(QColor(self._look.source(row.lane.colour)), 1, Qt.PenStyle.DotLine))
                x = round(max(ends)) - 0.5
                painter.drawLine(QPointF(x, row.middle + shift), QPointF(x, bottom))

    def _paint_row(self, painter: QPainter, row: Row, number: int, middle: float, pitch: float) -> None:
        look = self._look
        hovered = self._hover is not None and self._lane_at(self._hover) == number
        self._under = row if hovered else None
        chosen = self.hasFocus() and number == self._current
        if hovered or chosen:
            frame = QRectF(6.5, middle - pitch / 2 + 1.5, self.viewport().width() - 13, pitch - 3)
            painter.setPen(QPen(QColor(look.water), 1.6) if chosen else Qt.PenStyle.NoPen)
            painter.setBrush(blend(look.hairline, look.sheet, 0.35) if hovered else Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(frame, 4, 4)
        letters(look).draw(painter, SIDE, middle, row.title, look.ink)
        thick = min(round(1.35 * look.text), round(pitch) - 7)
        for bar in row.bars:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(self._fill(row, bar.kind))
            painter.drawRoundedRect(QRectF(bar.low, middle - thick / 2, bar.high - bar.low, thick), 2, 2)
        for tick in row.ticks:
            self._paint_tick(painter, row, tick, middle, thick)
        for label in row.labels:
            self._paint_label(painter, row, label, middle)

    def _paint_tick(self, painter: QPainter, row: Row, tick: Tick, middle: float, thick: float) -> None:
        look = self._look
        if tick.kind in LIVE:
            self._paint_live(painter, row, tick, middle, thick)
            return
        colour = look.status(tick.status) if tick.status in (Status.FAILS, Status.MARGINAL) else look.ink
        colour = look.fails if tick.kind == "record" and tick.status is None else colour
        reach = thick / 2 + (3 if tick.kind in ("rating", "limit") else 2)
        wide = 3.0 if tick.kind == "rating" else 2.0
        halo = QRectF(tick.at - wide / 2 - 1, middle - reach, wide + 2, 2 * reach)
        painter.fillRect(halo, QColor(look.sheet))
        painter.fillRect(halo.adjusted(1, 0, -1, 0), QColor(colour))

    def _paint_live(self, painter: QPainter, row: Row, tick: Tick, middle: float, thick: float) -> None:
        """A voltage at the conditions: a pointer over the lane, which no label can hide, and a line in its
        bar."""
        top = middle - thick / 2
        draw_pin(painter, tick.at, top, tick.kind, self._look)
        if any(bar.low <= tick.at <= bar.high for bar in row.bars):
            painter.fillRect(QRectF(tick.at - 1, top, 2, thick), colour(tick.kind, self._look))

    def _paint_label(self, painter: QPainter, row: Row, label: Label, middle: float) -> None:
        look = self._look
        type = letters(look, look.small, bold=label.tone == "status")
        colour = {"soft": QColor(look.soft), "ink": QColor(look.ink)}.get(label.tone)
        if label.tone == "inside":
            colour = readable_on(self._fill(row, label.on))
        elif label.tone == "status":
            colour = QColor(look.status(label.status))
        if label.icon is not None:
            draw_mark(painter, QPointF(label.icon - 1, middle), label.status, look, look.text)
        if label.tone != "inside":
            back = QRectF(label.x - 1, middle - type.height / 2, type.width(label.text) + 2, type.height)
            painter.fillRect(back, self._back(row))
        type.draw(painter, label.x, middle, label.text, colour or QColor(look.ink))

    def _back(self, row: Row) -> QColor:
        """What a row's labels stand on, so that no line of the grid runs through them."""
        return blend(self._look.hairline, self._look.sheet, 0.35 if row is self._under else 0.0)

    def _fill(self, row: Row, kind: str) -> QColor:
        look = self._look
        if kind == "operating":
            return blend(look.soft, look.sheet, 0.45)
        if kind == "standoff":
            return blend(look.fails, look.sheet, 0.32)
        colour = look.battery if kind == "battery" else look.source(row.lane.colour)
        return blend(colour, look.sheet, 0.45) if kind == "open" else QColor(colour)

    def _paint_hover(self, painter: QPainter, drawing: Drawing, top: float, end: float) -> None:
        """The voltage under the pointer, on the axis."""
        axis, look = drawing.axis, self._look
        if self._hover is None or not axis.start <= self._hover.x() <= axis.stop:
            return
        x = round(self._hover.x()) + 0.5
        painter.setPen(QPen(QColor(look.soft), 1))
        painter.drawLine(QPointF(x, top), QPointF(x, end))
        small = letters(look, look.small)
        text = units.show(axis.value(self._hover.x()), "V", self._habit, 3)
        wide = small.width(text) + 12
        box = QRectF(min(x - wide / 2, self.viewport().width() - wide), end + 2, wide, self._foot() - 4)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(look.ink))
        painter.drawRoundedRect(box, 3, 3)
        small.draw(painter, box.left() + 6, box.center().y(), text, look.sheet)
