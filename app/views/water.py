"""Where the head of a hydro turbine goes, and what reaches the battery by month."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look
from app.views.lettering import blend, letters, readable_on
from engine import units
from engine.physics.penstock import NetHead
from engine.sections.hydro import HydroResult

SIDE = 12
TIGHT = 13  # times the size of type
INITIALS = "JFMAMJJASOND"
HEAD, MONTHS = "Where the head goes", "Battery, by month"


class WaterView(QWidget):
    """A bar of the gross head, cut into what is left and what is lost, over twelve bars of power."""

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._result: HydroResult | None = None
        self._at: NetHead | None = None
        self._caption = ""
        self._habit = "metric"
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Head and months of a hydro turbine")

    def sizeHint(self) -> QSize:
        return QSize(300, 230)

    def minimumSizeHint(self) -> QSize:
        return QSize(220, 11 * self._look.text)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.update()

    def show_result(self, result: HydroResult, head: NetHead | None, caption: str, habit: str) -> None:
        """Show a turbine's months, and where its head goes at a flow that the caption tells."""
        self._result, self._at, self._caption, self._habit = result, head, caption, habit
        told = [text for _, _, text in self._parts()]
        told += [f"{name} {text}" for name, text in zip(INITIALS, self._texts(), strict=False)]
        self.setAccessibleDescription("; ".join(told) or self._wanted())
        self.update()

    def _parts(self) -> list[tuple[float, str, str]]:
        """The stretches of the head [m], their colour, and what is said of each."""
        head = self._at
        if head is None:
            return []

        def show(value: float) -> str:
            return units.show(value, "m", self._habit, 3)

        return [
            (
                head.net_head,
                "water",
                f"{show(head.net_head)} left, {units.show(head.share, '%', self._habit, 2)}",
            ),
            (head.pipe_loss, "soft", f"pipe {show(head.pipe_loss)}"),
            (head.fitting_loss, "faint", f"fittings {show(head.fitting_loss)}"),
        ]

    def _powers(self) -> Sequence[float]:
        return () if self._result is None else tuple(month.power for month in self._result.months)

    def _texts(self) -> list[str]:
        return [units.show(power, "W", self._habit, 2) for power in self._powers()]

    def _wanted(self) -> str:
        missing = () if self._result is None else self._result.missing
        names = ", ".join(dict.fromkeys(item.title for item in missing))
        return f"Enter: {names}." if names else "Nothing flows."

    @property
    def _tight(self) -> bool:
        """Whether there is no room for the other formula's loss beside the months."""
        return self.height() < TIGHT * self._look.text

    # Painting

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        text = self._look.text
        self._title(painter, 1.2 * text, HEAD, self._caption)
        self._head(painter, 2.4 * text)
        top = (6.6 if self._tight else 8) * text
        self._title(painter, top, MONTHS, self._least())
        self._months(painter, top + 1.4 * text)
        painter.end()

    def _title(self, painter: QPainter, middle: float, title: str, caption: str = "") -> None:
        look = self._look
        bold, soft = letters(look, look.text + 1, bold=True), letters(look, look.small)
        bold.draw(painter, SIDE, middle, bold.fit(title, self.width() - 2 * SIDE), look.ink)
        after = SIDE + bold.width(title) + 12
        soft.draw(painter, after, middle, soft.fit(caption, self.width() - after - SIDE), look.soft)

    def _least(self) -> str:
        """The least and the most of the months."""
        powers = self._powers()
        if not powers:
            return ""
        least, most = (units.show(power, "W", self._habit, 3) for power in (min(powers), max(powers)))
        return least if least == most else f"{least} to {most}"

    def _empty(self, painter: QPainter, top: float) -> None:
        soft = letters(self._look, self._look.small)
        for number, line in enumerate(soft.wrap(self._wanted(), self.width() - 2 * SIDE)[:3]):
            soft.draw(painter, SIDE, top + (0.6 + 1.4 * number) * self._look.text, line, self._look.soft)

    def _head(self, painter: QPainter, top: float) -> None:
        """The bar, and under it what the losses are."""
        look, parts = self._look, self._parts()
        if not parts:
            self._empty(painter, top)
            return
        small = letters(look, look.small)
        left, wide, high = float(SIDE), self.width() - 2.0 * SIDE, 1.5 * look.text
        whole = sum(length for length, _, _ in parts)
        x = left
        painter.setPen(Qt.PenStyle.NoPen)
        for length, colour, _ in parts:
            painter.setBrush(QColor(look.source(colour)))
            painter.drawRect(QRectF(x, top, max(length / whole * wide, 1.0), high))
            x += length / whole * wide
        net, ink = parts[0], readable_on(QColor(look.source("water")))
        small.draw(painter, left + 6, top + high / 2, small.fit(net[2], net[0] / whole * wide - 8), ink)
        losses = " · ".join(text for _, _, text in parts[1:])
        for number, told in enumerate((losses,) if self._tight else (losses, self._beside())):
            text = small.fit(told, wide)
            middle = top + high + (0.9 + 1.4 * number) * look.text
            small.draw(painter, left + wide - small.width(text), middle, text, look.soft)

    def _beside(self) -> str:
        """The pipe's loss by the other formula."""
        head = self._at
        if head is None or head.hazen_loss is None:
            return ""
        return f"pipe by Hazen and Williams {units.show(head.hazen_loss, 'm', self._habit, 3)}"

    def _months(self, painter: QPainter, top: float) -> None:
        """Bars of power, the leanest paler, with their numbers where all have room."""
        look, powers, texts = self._look, self._powers(), self._texts()
        base = self.height() - 1.5 * look.text
        small = letters(look, look.small)
        slot = (self.width() - 2.0 * SIDE) / max(len(powers), 1)
        fits = all(small.width(text) <= slot - 3 for text in texts)
        room = base - top - (1.3 if fits else 0.2) * look.text
        if not powers:
            self._empty(painter, top)
            return
        if room < look.text:
            return
        most = max(*powers, 1e-9)
        for month, power in enumerate(powers):
            bar = power / most * room
            middle = SIDE + (month + 0.5) * slot
            box = QRectF(middle - 0.32 * slot, base - bar, 0.64 * slot, bar)
            lean = power <= min(powers) * (1 + 1e-9) < most
            painter.fillRect(box, blend(look.source("water"), look.sheet, 0.55 if lean else 1.0))
            for text, height, colour in (
                (INITIALS[month], base + 0.8 * look.text, look.soft),
                (texts[month] if fits else "", base - bar - 0.7 * look.text, look.ink),
            ):
                small.draw(painter, middle - small.width(text) / 2, height, text, colour)
        painter.setPen(QPen(QColor(look.hairline), 1))
        painter.drawLine(QPointF(SIDE, base + 0.5), QPointF(self.width() - SIDE, base + 0.5))
