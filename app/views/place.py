"""The pictures of a place, one at a time: title, what it says in a sentence, and the drawing."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from app import place_words
from app.look import LIGHT, Look
from app.views import place_paint
from app.views.lettering import letters
from engine.sections.place import Place
from engine.units import shown_in

VIEWS = {"sun path": "Sun path", "air": "Air", "wind": "Wind", "dark": "Darkest fortnight"}
TITLES = {
    "sun path": "The sun's way over the sky, in solar hours",
    "air": "Air by month, {degC}",
    "wind": "How often each wind blows, % of hours",
    "dark": "Sun on level ground, kWh/m² a day",
}


class PlaceView(QWidget):
    """One picture of a place; ``show_place`` with a view of ``VIEWS``."""

    def __init__(self) -> None:
        super().__init__()
        self._look, self._place, self._view, self._habit = LIGHT, Place(), "sun path", "metric"
        self._lines: tuple[tuple[str, float], ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumHeight(160)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.update()

    def show_place(self, place: Place, view: str, lines: tuple[tuple[str, float], ...], habit: str) -> None:
        """Show one picture; ``lines`` are the temperatures that decide, by name [degC]."""
        self._place, self._view, self._lines, self._habit = place, view, lines, habit
        self.setAccessibleName(VIEWS[view])
        self.setAccessibleDescription(self.said())
        self.update()

    def said(self) -> str:
        """The sentence of the picture; what to do where there is nothing to show."""
        tell = {
            "sun path": lambda: place_words.sun_path(self._place),
            "air": lambda: place_words.air(self._place, self._habit),
            "wind": lambda: place_words.wind(self._place, self._habit),
            "dark": lambda: place_words.dark(self._place, self._habit),
        }
        return tell[self._view]() or place_words.empty(self._view)

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        look, left, wide = self._look, 24.0, self.width() - 48.0
        bold, small = letters(look, look.large, bold=True), letters(look)
        title = TITLES[self._view].format(degC=shown_in("degC", self._habit))
        bold.draw(painter, left, 26, bold.fit(title, wide), look.ink)
        at = 30 + bold.height
        for line in small.wrap(self.said(), wide):
            small.draw(painter, left, at, line, look.soft)
            at += small.height + 2
        box = QRectF(left, at + 8, wide, self.height() - at - 24)
        if box.height() > 100 and wide > 160:
            draw = {
                "sun path": lambda: place_paint.sun_path(painter, look, box, self._place),
                "air": lambda: place_paint.air(painter, look, box, self._place, self._lines, self._habit),
                "wind": lambda: place_paint.wind(painter, look, box, self._place, self._habit),
                "dark": lambda: place_paint.dark(painter, look, box, self._place),
            }
            draw[self._view]()
        else:
            painter.setPen(QColor(look.faint))
            painter.drawText(box, int(Qt.AlignmentFlag.AlignLeft), "Make room to see the drawing.")
        painter.end()
