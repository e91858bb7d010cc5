"""The bank as its blocks are joined: strings in rows, links, devices, buses, and where the leads leave."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look
from app.views.lettering import blend, letters, readable_on
from engine.design import Bank

SIDE = 12
LEAST_WIDE, LEAST_HIGH = 15.0, 18.0  # px of a block; beyond, some are told by number
WIDEST, HIGHEST = 92.0, 44.0
TALL = 1.6  # a block at most this much taller than wide
FEWEST = 3  # blocks or rows that are drawn, however small the room


@dataclass(frozen=True, slots=True)
class Joined:
    """What is drawn: blocks in series, strings, where the devices are, where the leads leave, and numbers."""

    series: int
    strings: int
    device: str
    takeoff: str
    block: str
    told: str


def joined(bank: Bank, block: str, told: str) -> Joined | None:
    """The bank as it is joined; ``None`` until it is known how many blocks there are."""
    if bank.series is None or bank.strings is None:
        return None
    return Joined(bank.series, bank.strings, str(bank.use("string_device")), bank.takeoff or "", block, told)


class BankDrawing(QWidget):
    """One bank; nothing but the way to begin until its blocks are entered."""

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._bank: Joined | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Blocks of the battery bank")

    def sizeHint(self) -> QSize:
        return QSize(560, 230)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 8 * self._look.text)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.update()

    def show_bank(self, bank: Joined | None) -> None:
        """Show a bank."""
        self._bank = bank
        self.setAccessibleDescription(self._empty() if bank is None else f"{self._title()}; {bank.told}")
        self.update()

    @staticmethod
    def _empty() -> str:
        return "Enter how many blocks stand in series, and how many strings: the bank is drawn from them."

    def _title(self) -> str:
        bank = self._bank
        if bank is None:
            return "The bank"
        strings = f", {bank.strings} strings in parallel" if bank.strings > 1 else ", one string"
        return f"{bank.series} in series{strings}"

    # Painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look, bank = self._look, self._bank
        bold, soft = letters(look, look.text + 1, bold=True), letters(look, look.small)
        wide = self.width() - 2.0 * SIDE
        title = self._title()
        bold.draw(painter, SIDE, 1.2 * look.text, bold.fit(title, wide), look.ink)
        if bank is None:
            for number, line in enumerate(soft.wrap(self._empty(), wide)):
                soft.draw(painter, SIDE, (3 + 1.5 * number) * look.text, line, look.soft)
        else:
            soft.draw(painter, SIDE, 2.7 * look.text, soft.fit(bank.told, wide), look.soft)
            top = 3.7 * look.text
            self._blocks(painter, bank, QRectF(SIDE, top, wide, self.height() - top - 0.7 * look.text))
        painter.end()

    def _blocks(self, painter: QPainter, bank: Joined, room: QRectF) -> None:
        """Rows of blocks between two buses; what has no room is told by number."""
        look = self._look
        lead = 3.0 * look.text  # beside each bus, for the leads and their signs
        device = 2.2 * look.text if bank.device == "each string" else 0.8 * look.text
        wide = room.width() - 2 * lead - device
        columns = _fit(bank.series, wide, LEAST_WIDE)
        rows = _fit(bank.strings, room.height(), LEAST_HIGH)
        step = min(WIDEST, wide / len(columns))
        pitch = min(max(HIGHEST, TALL * step if len(columns) > 2 else 0.0), room.height() / len(rows))
        left = room.left() + lead + max(0.0, (wide - step * len(columns)) / 2)
        top = room.top() + max(0.0, (room.height() - pitch * len(rows)) / 2)
        right = left + step * len(columns) + device
        middles = [top + pitch * (row + 0.5) for row in range(len(rows))]
        painter.setPen(QPen(QColor(look.ink), look.stroke + 1))
        for x in (left - 4, right):
            painter.drawLine(QPointF(x, middles[0]), QPointF(x, middles[-1]))
        for string, middle in zip(rows, middles, strict=True):
            self._string(
                painter, bank, columns, string, QRectF(left, middle - 0.36 * pitch, step, 0.72 * pitch)
            )
        self._leads(painter, bank, left - 4, right, middles, lead)

    def _string(
        self, painter: QPainter, bank: Joined, columns: list[int], string: int, first: QRectF
    ) -> None:
        look, middle, step = self._look, first.center().y(), first.width()
        small = letters(look, look.small)
        end = first.left() + step * len(columns)
        after = end + (2.2 if bank.device == "each string" else 0.8) * look.text
        if string < 0:
            text = small.fit(f"… {-string} more strings", step * len(columns))
            x = first.left() + (step * len(columns) - small.width(text)) / 2
            small.draw(painter, x, middle, text, look.soft)
            return
        painter.setPen(QPen(QColor(look.ink), look.stroke))
        painter.drawLine(QPointF(first.left() - 4, middle), QPointF(after, middle))
        for place, number in enumerate(columns):
            box = first.translated(step * place, 0).adjusted(2, 0, -2, 0)
            if number < 0:
                painter.fillRect(box, QColor(look.sheet))
                text = small.fit(f"…{-number}…", box.width())
                small.draw(painter, box.center().x() - small.width(text) / 2, middle, text, look.soft)
                continue
            self._block(painter, box, bank.block if string == 1 and number == 1 else "")
        if bank.device == "each string":
            self._device(painter, QPointF(end + 1.1 * look.text, middle))

    def _block(self, painter: QPainter, box: QRectF, told: str) -> None:
        """A block with its poles, - at the left and + at the right."""
        look = self._look
        body = blend(look.battery, look.sheet, 0.55)
        painter.setPen(QPen(QColor(look.battery), look.stroke))
        painter.setBrush(body)
        painter.drawRoundedRect(box, 2, 2)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        small, ink = letters(look, look.small), readable_on(body)
        if box.width() > 2.6 * look.text:
            small.draw(painter, box.left() + 3, box.center().y(), "−", ink)
            small.draw(painter, box.right() - 3 - small.width("+"), box.center().y(), "+", ink)
        room = box.width() - 2 * look.text - 6
        text = told if told and small.width(told) <= room else ""
        small.draw(painter, box.center().x() - small.width(text) / 2, box.center().y(), text, ink)

    def _device(self, painter: QPainter, middle: QPointF) -> None:
        """A fuse, as IEC 60617 draws it: a box with the conductor through it."""
        look = self._look
        box = QRectF(0, 0, 1.5 * look.text, 0.6 * look.text)
        box.moveCenter(middle)
        painter.fillRect(box, QColor(look.sheet))
        painter.setPen(QPen(QColor(look.ink), look.stroke))
        painter.drawRect(box)
        painter.drawLine(QPointF(box.left(), middle.y()), QPointF(box.right(), middle.y()))

    def _leads(
        self, painter: QPainter, bank: Joined, left: float, right: float, middles: list[float], lead: float
    ) -> None:
        """The + and - leads: from opposite ends, from one end, or from the middle of a bus."""
        look = self._look
        centre = (middles[0] + middles[-1]) / 2
        plus, minus = {
            "opposite ends": (middles[0], middles[-1]),
            "one end": (middles[0], middles[0]),
        }.get(bank.takeoff, (centre, centre))
        bold = letters(look, look.text + 1, bold=True)
        painter.setPen(QPen(QColor(look.ink), look.stroke + 1))
        painter.drawLine(QPointF(left, minus), QPointF(left - lead + 1.2 * look.text, minus))
        painter.drawLine(QPointF(right, plus), QPointF(right + lead - 1.2 * look.text, plus))
        bold.draw(painter, left - lead + 2, minus, "−", look.ink)
        bold.draw(painter, right + lead - look.text, plus, "+", look.ink)
        if bank.device == "one for all":
            self._device(painter, QPointF(right + 0.9 * look.text, plus))


def _fit(count: int, room: float, least: float) -> list[int]:
    """The numbers that are drawn, from 1; in place of those without room minus how many they are."""
    fits = max(FEWEST, int(room / least))
    if count <= fits:
        return list(range(1, count + 1))
    head = (fits - 1 + 1) // 2
    tail = fits - 1 - head
    return [*range(1, head + 1), -(count - head - tail), *range(count - tail + 1, count + 1)]
