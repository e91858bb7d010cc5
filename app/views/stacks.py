"""Stacked columns on one axis: the hours of a day, or the months of a year, of which one can be chosen."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look
from app.views.axis import Axis, from_zero
from app.views.lettering import blend, letters
from engine import units

SIDE = 12
KEY = 9  # px, a square of the key
STEPS = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of the columns: its name in the key, its colour in a look, its values from left to right.

    A ``pale`` layer is drawn in a weaker tone of its colour.
    """

    name: str
    colour: str
    values: tuple[float, ...]
    pale: bool = False


@dataclass(frozen=True, slots=True)
class Stacks:
    """What is shown: layers from the bottom up in a canonical ``unit``, a label for each column.

    With ``edges`` the columns touch and the labels, one more, stand between them; empty labels are left out.
    ``chosen`` is the column in hand, ``empty`` what stands in place of a picture.
    """

    title: str
    caption: str = ""
    unit: str = "W"
    labels: tuple[str, ...] = ()
    layers: tuple[Layer, ...] = ()
    edges: bool = False
    chosen: int | None = None
    empty: str = ""
    names: tuple[str, ...] = ()

    @property
    def totals(self) -> tuple[float, ...]:
        """The whole of each column."""
        return tuple(map(sum, zip(*(layer.values for layer in self.layers), strict=True)))


class StackView(QWidget):
    """``picked(column)`` when a person chooses one by click, Left or Right; only where ``pickable``."""

    picked = Signal(int)

    def __init__(self, name: str, *, pickable: bool = False) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._stacks = Stacks("")
        self._habit = "metric"
        self._pickable = pickable
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(name)
        if pickable:
            self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)

    def sizeHint(self) -> QSize:
        return QSize(320, 220)

    def minimumSizeHint(self) -> QSize:
        return QSize(240, 13 * self._look.text)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.update()

    def stacks(self) -> Stacks:
        """What is shown."""
        return self._stacks

    def show_stacks(self, stacks: Stacks, habit: str) -> None:
        """Show columns in the user's habit."""
        self._stacks, self._habit = stacks, habit
        names = stacks.names or stacks.labels
        told = [
            f"{name} {self._told(total)}" for name, total in zip(names, stacks.totals, strict=False) if name
        ]
        self.setAccessibleDescription("; ".join(told) or stacks.empty)
        self.update()

    def _told(self, value: float) -> str:
        return units.show(value, self._stacks.unit, self._habit, 3)

    # The hand

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A click chooses the column under it."""
        box, number = self._box(), len(self._stacks.totals)
        x = event.position().x() - box.left()
        if self._pickable and number and 0 <= x < box.width():
            self.picked.emit(int(x / box.width() * number))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Left and Right choose the column beside."""
        step, number = STEPS.get(Qt.Key(event.key())), len(self._stacks.totals)
        if not self._pickable or step is None or not number:
            super().keyPressEvent(event)
            return
        self.picked.emit(((self._stacks.chosen or 0) + step) % number)

    # Painting

    def _axis(self) -> Axis:
        box = self._box()
        most = max(2, int(box.height() / (2.4 * self._look.text)))
        return from_zero(max(self._stacks.totals, default=0.0), most, box.bottom(), box.top())

    def _box(self) -> QRectF:
        """Where the columns stand."""
        text = self._look.text
        left = SIDE + letters(self._look, self._look.small).width("0.00 kWh") + 6
        top = (4.2 if self._stacks.layers else 2.4) * text
        return QRectF(left, top, self.width() - left - SIDE, self.height() - top - 2.0 * text)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look, stacks = self._look, self._stacks
        bold, soft = letters(look, look.text + 1, bold=True), letters(look, look.small)
        room = self.width() - 2.0 * SIDE
        bold.draw(painter, SIDE, 1.2 * look.text, bold.fit(stacks.title, room), look.ink)
        after = SIDE + bold.width(stacks.title) + 12
        caption = soft.fit(stacks.caption, self.width() - after - SIDE)
        soft.draw(painter, after, 1.2 * look.text, caption, look.soft)
        if not stacks.totals:
            for number, line in enumerate(soft.wrap(stacks.empty, room)[:4]):
                soft.draw(painter, SIDE, (3 + 1.4 * number) * look.text, line, look.soft)
        elif self._box().height() > 2 * look.text:
            self._key(painter, 2.9 * look.text)
            axis = self._axis()
            self._grid(painter, axis)
            self._columns(painter, axis)
            self._labels(painter)
        painter.end()

    def _key(self, painter: QPainter, middle: float) -> None:
        """Which colour is what, in the order of the layers; what takes nothing is left out."""
        soft, x = letters(self._look, self._look.small), float(SIDE)
        for layer in self._stacks.layers:
            if not any(layer.values) or x + KEY + soft.width(layer.name) > self.width() - SIDE:
                continue
            painter.fillRect(QRectF(x, middle - KEY / 2, KEY, KEY), self._tone(layer))
            soft.draw(painter, x + KEY + 4, middle, layer.name, self._look.soft)
            x += KEY + 4 + soft.width(layer.name) + 12

    def _tone(self, layer: Layer) -> QColor:
        colour = self._look.source(layer.colour)
        return blend(colour, self._look.sheet, 0.45) if layer.pale else QColor(colour)

    def _grid(self, painter: QPainter, axis: Axis) -> None:
        box, soft = self._box(), letters(self._look, self._look.small)
        for value in axis.ticks():
            y = round(axis.at(value)) + 0.5
            painter.setPen(QPen(QColor(self._look.hairline), 1))
            painter.drawLine(QPointF(box.left(), y), QPointF(box.right(), y))
            text = self._told(value)
            soft.draw(painter, box.left() - 6 - soft.width(text), y, text, self._look.soft)

    def _columns(self, painter: QPainter, axis: Axis) -> None:
        box, stacks, look = self._box(), self._stacks, self._look
        slot = box.width() / len(stacks.totals)
        wide = slot - 1 if stacks.edges else min(0.64 * slot, 36.0)
        small = letters(look, look.small)
        texts = [self._told(total) for total in stacks.totals]
        all_fit = not stacks.edges and all(small.width(text) < slot - 2 for text in texts)
        for at, total in enumerate(stacks.totals):
            middle, below = box.left() + (at + 0.5) * slot, 0.0
            if at == stacks.chosen and self._pickable:
                around = QRectF(box.left() + at * slot, box.top(), slot, box.height() + 1.8 * look.text)
                painter.fillRect(around, blend(look.water, look.sheet, 0.14))
            for layer in stacks.layers:
                value = layer.values[at]
                top, foot = axis.at(below + value), axis.at(below)
                painter.fillRect(QRectF(middle - wide / 2, top, wide, foot - top), self._tone(layer))
                below += value
            if all_fit or (at == stacks.chosen and not stacks.edges):
                half = small.width(texts[at]) / 2
                x = min(max(middle, box.left() + half), box.right() - half)
                small.draw(painter, x - half, axis.at(total) - 0.7 * look.text, texts[at], look.ink)

    def _labels(self, painter: QPainter) -> None:
        box, stacks, soft = self._box(), self._stacks, letters(self._look, self._look.small)
        slot, free = box.width() / len(stacks.totals), 0.0
        for at, text in enumerate(stacks.labels):
            middle = box.left() + (at + (0.0 if stacks.edges else 0.5)) * slot
            x = min(middle - soft.width(text) / 2, self.width() - SIDE / 2 - soft.width(text))
            if not text or x < free:
                continue
            free = x + soft.width(text) + 2
            soft.draw(painter, x, box.bottom() + 1.1 * self._look.text, text, self._look.soft)
