"""The chain of losses of one source in one month, a bar a link: what is left, what is lost, and why."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QSizePolicy, QWidget

from app.look import LIGHT, Look
from app.views.lettering import blend, letters
from engine import units
from engine.sections.source_yield import Chain, SourceYield

SIDE = 16
TITLE = "What becomes of a source's energy"
Row = tuple[str, float, float, str]


class LossChainView(QWidget):
    """From what a source is given to what counts at the battery; every link by its name and share."""

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._source: SourceYield | None = None
        self._chain: Chain | None = None
        self._month = ""
        self._habit = "metric"
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("Chain of losses of a source")

    def sizeHint(self) -> QSize:
        return QSize(560, 210)

    def minimumSizeHint(self) -> QSize:
        return QSize(320, 12 * self._look.text)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.update()

    def show_chain(self, source: SourceYield | None, month: int, name: str, habit: str) -> None:
        """Show the chain of a source in a month (0 to 11) of that name."""
        self._source, self._month, self._habit = source, name, habit
        self._chain = source.months[month] if source is not None and source.months else None
        self.setAccessibleDescription("; ".join(f"{title} {told}" for title, _, _, told in self._rows()))
        self.update()

    def _rows(self) -> list[Row]:
        """Each row: its title, what is left, what stood before it [Wh], and what is said of it."""
        chain, source = self._chain, self._source
        if chain is None or source is None:
            return []

        def show(energy: float) -> str:
            return units.show(energy, "Wh", self._habit, 3)

        left = chain.given
        rows: list[Row] = [(source.begins, left, left, show(left))]
        for link in chain.links:
            before, left = left, left * link.share
            rows.append(
                (link.name, left, before, f"{units.show(link.share, '%', self._habit, 3)} · {show(left)}")
            )
        share = chain.bank / chain.given if chain.given else 0.0
        counts = f"{units.show(share, '%', self._habit, 3)} of it · {show(chain.bank)}"
        return [*rows, ("counts at the battery", chain.bank, chain.bank, counts)]

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look, rows = self._look, self._rows()
        bold, small = letters(look, look.text + 1, bold=True), letters(look, look.small)
        room = self.width() - 2.0 * SIDE
        title = TITLE if self._source is None else f"{self._source.label}, {self._month}"
        bold.draw(painter, SIDE, 1.3 * look.text, bold.fit(title, room), look.ink)
        after = SIDE + bold.width(title) + 12
        caption = small.fit("a mean day, every loss by its name", self.width() - after - SIDE) if rows else ""
        small.draw(painter, after, 1.3 * look.text, caption, look.soft)
        if not rows:
            for at, line in enumerate(small.wrap(self._wanted(), room)[:4]):
                small.draw(painter, SIDE, (3.2 + 1.5 * at) * look.text, line, look.soft)
        else:
            self._paint_rows(painter, rows, 2.5 * look.text)
        painter.end()

    def _wanted(self) -> str:
        if self._source is None:
            return "Add a source: here is shown what becomes of its energy."
        names = ", ".join(dict.fromkeys(item.title for item in self._source.missing))
        return f"Enter: {names}." if names else ""

    def _paint_rows(self, painter: QPainter, rows: list[Row], top: float) -> None:
        look, source = self._look, self._source
        small, last = letters(look, look.small), letters(look, look.small, bold=True)
        names = max(last.width(title) for title, _, _, _ in rows) + 12
        told = max(last.width(text) for _, _, _, text in rows) + 10
        start = SIDE + names
        wide = max(self.width() - SIDE - told - start, 24.0)
        high = min((self.height() - top - 6) / len(rows), 3 * look.text)
        colour = look.source(source.colour if source is not None else "ink")
        whole = rows[0][1] or 1.0
        for at, (title, left, before, text) in enumerate(rows):
            type = last if at in (0, len(rows) - 1) else small
            middle, bar = top + (at + 0.5) * high, min(0.66 * high, 1.3 * look.text)
            type.draw(painter, SIDE, middle, title, look.ink if type is last else look.soft)
            fill = QColor(look.battery if at == len(rows) - 1 else colour)
            painter.fillRect(QRectF(start, middle - bar / 2, wide * left / whole, bar), fill)
            lost = QRectF(start + wide * left / whole, middle - bar / 2, wide * (before - left) / whole, bar)
            painter.fillRect(lost, blend(colour, look.sheet, 0.25))
            type.draw(painter, start + wide + 10, middle, text, look.ink)
        painter.setPen(QPen(QColor(look.hairline), 1))
        painter.drawLine(QPointF(start - 0.5, top), QPointF(start - 0.5, top + high * len(rows)))
