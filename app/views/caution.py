"""A caution beside the work: the signal word first, in the colours of ANSI Z535.1, then what to do."""

from __future__ import annotations

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QLabel, QVBoxLayout

from app.cautions import cautions
from app.look import LIGHT, Look
from engine.finding import Signal

__all__ = ["CautionPanel", "cautions"]

ALERT = "\N{WARNING SIGN}"  # the safety alert symbol; NOTICE goes without, as nobody is hurt


class CautionPanel(QFrame):
    """One caution; empty until ``show_place`` or ``show_caution``."""

    def __init__(self, place: str = "") -> None:
        super().__init__()
        self._look = LIGHT
        self._signal = Signal.NOTICE
        self._word = QLabel()
        self._text = QLabel()
        self._text.setWordWrap(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self._word)
        column.addWidget(self._text)
        if place:
            self.show_place(place)

    def show_place(self, place: str) -> None:
        """Show the caution of a place of the work."""
        self.show_caution(*cautions()[place])

    def show_caution(self, signal: Signal, text: str) -> None:
        """Show a signal word and its text."""
        self._signal = signal
        alert = "" if signal is Signal.NOTICE else f"{ALERT} "
        self._word.setText(f"{alert}{signal.word}")
        self._text.setText(text)
        self.setAccessibleName(f"{signal.word}: {text}")
        self._wear()

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self._wear()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A caution is never cut short, however tight the pane."""
        super().resizeEvent(event)
        self._make_room()

    def _make_room(self) -> None:
        self._text.ensurePolished()
        self._text.setMinimumHeight(0)  # else the height asked for is never less than at the narrowest so far
        self._text.setMinimumHeight(max(self._text.heightForWidth(self.width()), 0))

    def _wear(self) -> None:
        panel, word = self._look.signal(self._signal)
        size = f"font-size: {self._look.small}px;"
        self._word.setStyleSheet(
            f"background: {panel}; color: {word}; font-weight: bold; padding: 3px 8px; {size}"
            "border-top-left-radius: 4px; border-top-right-radius: 4px;"
        )
        self._text.setStyleSheet(
            f"background: {self._look.field}; padding: 6px 8px; {size}"
            f"border: 1px solid {panel}; border-top: none;"
            "border-bottom-left-radius: 4px; border-bottom-right-radius: 4px;"
        )
        self._make_room()
