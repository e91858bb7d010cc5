"""The drawn part of the line: boxes, wires and live values; click, arrows and Enter choose a piece."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from PySide6.QtCore import QEvent, QPoint, QPointF, QRectF, Qt, Signal
from PySide6.QtGui import (
    QColor,
    QContextMenuEvent,
    QFocusEvent,
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QPen,
    QPolygonF,
    QResizeEvent,
)
from PySide6.QtWidgets import QAbstractScrollArea, QFrame, QSizePolicy, QToolTip

from app.look import LIGHT, Look
from app.views.lettering import blend, letters, line_colour
from app.views.line_layout import COLUMNS, Piece, Plan, Wire, plan
from app.views.marks import draw_mark, mark_word
from engine import units
from engine.design import Design
from engine.finding import Status

Badge = tuple[float | None, float | None]
SHARES = (1.3, 1.3, 0.9, 1.0, 0.75)  # of the width, for the columns
PITCHES = (4.2, 4.2, 3.1, 2.5)  # a row's height in sizes of text, by how many rows there are
GAP = 32.0
MOST_ROWS = 6
EDGE = 6.0  # how far a piece reaches beyond its box: its pen, and the ring round the selected one
FIRST = "+ Add an array"
LOOSE = "no controller"


class LineCanvas(QAbstractScrollArea):
    """The one-line itself. Up to three rows have two lines of text a piece, more one; past six it scrolls.

    What stands from the bank on keeps its place while sources scroll, as long as it fits itself.
    """

    piece_chosen = Signal(str)
    add_asked = Signal(str)
    menu_asked = Signal(QPoint)

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._design: Design | None = None
        self._habit = "metric"
        self._plan = Plan((), (), (), 1)
        self._boxes: dict[str, QRectF] = {}
        self._still = False
        self._kept: set[str] = set()
        self._statuses: Mapping[str, Status | None] = {}
        self._badges: Mapping[str, Badge] = {}
        self._selected = ""
        self._hover = ""
        self._notes: Callable[[str], Sequence[str]] = lambda _path: ()
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("The line: the system from its sources to its loads")
        self.viewport().setMouseTracking(True)
        self.viewport().setAutoFillBackground(False)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self._place()

    def set_notes(self, ask: Callable[[str], Sequence[str]]) -> None:
        """Ask this for the findings of a piece when its tooltip is wanted."""
        self._notes = ask

    def show_system(
        self,
        design: Design,
        statuses: Mapping[str, Status | None],
        badges: Mapping[str, Badge],
        habit: str,
        selected: str,
    ) -> None:
        """Show a design; places are reckoned anew only where the design or the habit changed."""
        before = self._plan, self._selected, {piece.path: self._worn(piece) for piece in self._plan.pieces}
        self._statuses, self._badges, self._selected = statuses, badges, selected
        if design is not self._design or habit != self._habit:
            self._design, self._habit = design, habit
            self._plan = plan(design, habit)
        if before[0] != self._plan:
            self._place()
        chosen = next((piece for piece in self._plan.pieces if piece.path == selected), None)
        self.setAccessibleDescription(self._told(chosen) if chosen is not None else "nothing selected")
        if before[:2] != (self._plan, selected):
            self.viewport().update()
            return
        for piece in self._plan.pieces:
            worn = before[2][piece.path]
            if worn[2] != self._worn(piece)[2]:
                self.viewport().update()  # a wire begins or ends to carry current
            elif worn != self._worn(piece):
                self.viewport().update(
                    self.box(piece.path).adjusted(-EDGE, -EDGE, EDGE, EDGE).toAlignedRect()
                )

    def _worn(self, piece: Piece) -> tuple[Status | None, str, bool]:
        """What a piece wears: its status, its live text, and whether no current runs."""
        amps = self._badges.get(piece.path, (None, None))[1]
        return self._statuses.get(piece.path), self._live(piece.path), amps == 0

    def wanted_height(self) -> int:
        """The height at which all rows show, six at most."""
        return round(min(self._plan.rows, MOST_ROWS) * self._pitch() + 4)

    # Places

    @property
    def _roomy(self) -> bool:
        return self._plan.rows < len(PITCHES)

    def _pitch(self) -> float:
        return PITCHES[min(self._plan.rows, len(PITCHES)) - 1] * self._look.text

    def _place(self) -> None:
        width, height = float(self.viewport().width()), self.viewport().height()
        look, pitch, rows = self._look, self._pitch(), self._plan.rows
        high = round(pitch - 0.45 * look.text)
        tall = rows * pitch + 4
        gap = GAP if width > 900 else GAP / 2
        share = max(width - 5 - gap * (COLUMNS - 1), 60.0 * COLUMNS) / sum(SHARES)
        starts = [2.0 + sum(SHARES[:n]) * share + n * gap for n in range(COLUMNS)]
        still = max((abs(p.row - rows / 2) for p in self._plan.pieces if p.column >= 2), default=0.0)
        self._still = tall > height and (2 * still + 1) * pitch <= height

        def box(column: int, row: float) -> QRectF:
            middle = height / 2 if self._still and column >= 2 else max(height, tall) / 2
            top = round(middle + (row - rows / 2) * pitch - high / 2)
            return QRectF(round(starts[column]) + 0.5, top + 0.5, round(SHARES[column] * share), high)

        self._boxes = {piece.path: box(piece.column, piece.row) for piece in self._plan.pieces}
        self._kept = {piece.path for piece in self._plan.pieces if self._still and piece.column >= 2}
        if not any(piece.column == 0 for piece in self._plan.pieces):
            self._boxes[""] = box(0, rows / 2)
        bar = self.verticalScrollBar()
        bar.setRange(0, max(0, round(tall - height)))
        bar.setPageStep(max(height, 1))
        bar.setSingleStep(round(pitch))
        self.viewport().update()

    def box(self, path: str) -> QRectF:
        """Where a piece is seen now."""
        shift = 0 if path in self._kept else self.verticalScrollBar().value()
        return self._boxes[path].translated(0, -shift)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place()

    def _at(self, at: QPointF) -> str | None:
        return next((path for path in self._boxes if self.box(path).contains(at)), None)

    # Mouse and keyboard

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        over = self._at(event.position())
        self.viewport().setCursor(
            Qt.CursorShape.ArrowCursor if over is None else Qt.CursorShape.PointingHandCursor
        )
        if over != self._hover:
            self._hover = over or ""
            self.viewport().update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        over = self._at(event.position())
        if over is not None and event.button() == Qt.MouseButton.LeftButton:
            self._choose(over)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        event.accept()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        self.menu_asked.emit(event.globalPos())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = {
            Qt.Key.Key_Left: (-1, 0),
            Qt.Key.Key_Right: (1, 0),
            Qt.Key.Key_Up: (0, -1),
            Qt.Key.Key_Down: (0, 1),
        }
        if event.key() in steps:
            self._choose(self._neighbour(*steps[Qt.Key(event.key())]))
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self._choose(self._selected if self._selected in self._boxes else next(iter(self._boxes), ""))
        else:
            super().keyPressEvent(event)

    def _neighbour(self, across: int, down: int) -> str:
        """The nearest piece to the selected one in a direction; itself where there is none."""
        here = self._boxes.get(self._selected)
        if here is None:
            return next(iter(self._boxes), "")

        def ahead(box: QRectF) -> bool:
            if across:
                return (box.center().x() - here.center().x()) * across > 1
            return box.left() == here.left() and (box.center().y() - here.center().y()) * down > 1

        def far(path: str) -> tuple[float, float]:
            apart = self._boxes[path].center() - here.center()
            return (abs(apart.x()), abs(apart.y())) if across else (abs(apart.y()), 0.0)

        return min((path for path, box in self._boxes.items() if ahead(box)), key=far, default=self._selected)

    def _choose(self, path: str) -> None:
        if path == "":
            if "" in self._boxes:
                self.add_asked.emit("arrays")
            return
        box, bar = self._boxes[path], self.verticalScrollBar()
        bar.setValue(round(min(max(bar.value(), box.bottom() + 4 - self.viewport().height()), box.top() - 4)))
        self.piece_chosen.emit(path)

    def viewportEvent(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Leave:
            self._hover = ""
            self.viewport().update()
        if isinstance(event, QHelpEvent) and event.type() == QEvent.Type.ToolTip:
            over = self._at(QPointF(event.pos()))
            piece = next((piece for piece in self._plan.pieces if piece.path == over), None)
            lines = [self._told(piece), *self._notes(piece.path)] if piece is not None else []
            QToolTip.showText(event.globalPos(), "\n".join(lines), self.viewport())
            return True
        return super().viewportEvent(event)

    # Words

    def _live(self, path: str) -> str:
        """Live volts and amps; empty where neither is known."""
        volts, amps = self._badges.get(path, (None, None))
        parts = [units.show(volts, "V", self._habit, 3)] if volts is not None else []
        parts += [units.show(amps, "A", self._habit, 3)] if amps is not None else []
        return " · ".join(parts)

    def _told(self, piece: Piece) -> str:
        parts = [piece.label, piece.data, self._live(piece.path)]
        if piece in self._plan.loose:
            parts.append(LOOSE)
        status = self._statuses.get(piece.path)
        return ", ".join(part for part in parts if part) + (
            f": {mark_word(status)}" if status is not None else ""
        )

    # Painting

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self.viewport())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for wire in self._plan.wires:
            self._paint_wire(painter, wire)
        for piece in self._plan.loose:
            self._paint_loose(painter, piece)
        view = QRectF(event.rect()).adjusted(-EDGE, -EDGE, EDGE, EDGE)
        for piece in self._plan.pieces:
            if self.box(piece.path).intersects(view):
                self._paint_piece(painter, piece)
        if "" in self._boxes:
            self._paint_first(painter, self.box(""))
        if self.hasFocus() and self._selected not in self._boxes:
            painter.setPen(QPen(QColor(self._look.water), 2))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(QRectF(self.viewport().rect()).adjusted(1, 1, -1, -1), 6, 6)
        painter.end()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.viewport().update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.viewport().update()

    def _paint_wire(self, painter: QPainter, wire: Wire) -> None:
        """An orthogonal wire; in its colour where current is known to run, else faint."""
        start, end = self.box(wire.start.path), self.box(wire.end.path)
        amps = self._badges.get(wire.source, (None, None))[1]
        look = self._look
        colour = look.faint if amps == 0 else line_colour(look, wire.colour)
        painter.setPen(QPen(QColor(colour), (1.5 if amps == 0 else 1.8) * look.stroke))
        a, b = start.center().y(), end.center().y()
        bend = round((start.right() + end.left()) / 2) + 0.5
        corners = [QPointF(start.right(), a), QPointF(bend, a), QPointF(bend, b), QPointF(end.left(), b)]
        painter.drawPolyline(QPolygonF(corners if abs(a - b) > 0.6 else [corners[0], corners[3]]))

    def _paint_loose(self, painter: QPainter, piece: Piece) -> None:
        look, box = self._look, self.box(piece.path)
        pen = QPen(QColor(look.marginal), 1.5 * look.stroke, Qt.PenStyle.DashLine)
        painter.setPen(pen)
        middle, small = box.center().y(), letters(look, look.small)
        painter.drawLine(QPointF(box.right(), middle), QPointF(box.right() + GAP * 0.8, middle))
        small.draw(painter, box.right() + GAP * 0.8 + 6, middle, LOOSE, look.marginal)

    def _paint_first(self, painter: QPainter, box: QRectF) -> None:
        look = self._look
        painter.setPen(QPen(QColor(look.soft), 1.2, Qt.PenStyle.DashLine))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRoundedRect(box, 6, 6)
        letters(look).draw(painter, box.left() + 12, box.center().y(), FIRST, look.ink)

    def _paint_piece(self, painter: QPainter, piece: Piece) -> None:
        look, box = self._look, self.box(piece.path)
        chosen, hovered = piece.path == self._selected, piece.path == self._hover
        colour = look.source(piece.colour)
        if chosen and self.hasFocus():
            painter.setPen(QPen(QColor(look.water), 1.5))
            painter.setBrush(Qt.BrushStyle.NoBrush)
            painter.drawRoundedRect(box.adjusted(-2.5, -2.5, 2.5, 2.5), 8, 8)
        painter.setPen(QPen(line_colour(look, piece.colour), (2.6 if chosen else 1.5) * look.stroke))
        painter.setBrush(blend(colour, look.sheet, 0.14 if chosen else 0.07 if hovered else 0.0))
        painter.drawRoundedRect(box, 6, 6)
        status = self._statuses.get(piece.path)
        mark = look.text + 6.0 if status is not None else 0.0
        pad = 10.0 if self._roomy else 8.0
        left, right = box.left() + pad, box.right() - pad
        bold, small = letters(look, look.text, bold=True), letters(look, look.small)
        live = self._live(piece.path) or piece.data
        if self._roomy:
            upper, lower = box.top() + 0.31 * box.height(), box.top() + 0.7 * box.height()
            bold.draw(painter, left, upper, bold.fit(piece.label, right - left - mark), look.ink)
            small.draw(painter, left, lower, small.fit(live, right - left), look.soft)
            draw_mark(painter, QPointF(right - look.text / 2, upper), status, look, look.text + 1)
            return
        middle = box.center().y()
        draw_mark(painter, QPointF(right - look.text / 2, middle), status, look, look.text)
        room = right - left - mark
        name = bold.fit(piece.label, max(room - small.width(live) - 8, 0.42 * room))
        data = small.fit(live, room - bold.width(name) - 8)
        bold.draw(painter, left, middle, name, look.ink)
        small.draw(painter, right - mark - small.width(data), middle, data, look.soft)
