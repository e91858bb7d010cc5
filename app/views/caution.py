"""A caution beside the work: the signal word first, in the colours of ANSI Z535.1, then what to do."""

from __future__ import annotations

import tomllib
from functools import cache

from PySide6.QtWidgets import QFrame, QLabel, QVBoxLayout

from app.look import LIGHT, Look
from app.places import assets
from engine.finding import Signal


@cache
def cautions() -> dict[str, tuple[Signal, str]]:
    """The cautions by the place they stand at."""
    data = tomllib.loads((assets() / "cautions.toml").read_text("utf-8"))
    return {place: (Signal[item["signal"]], str(item["text"])) for place, item in data.items()}


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
        self._word.setText(signal.word)
        self._text.setText(text)
        self.setAccessibleName(f"{signal.word}: {text}")
        self._wear()

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self._wear()

    def _wear(self) -> None:
        panel, word = self._look.signal(self._signal)
        edge = f"border: 1px solid {panel};"
        self._word.setStyleSheet(
            f"background: {panel}; color: {word}; font-weight: bold; padding: 3px 8px; {edge}"
        )
        self._text.setStyleSheet(f"background: transparent; padding: 6px 8px; {edge} border-top: none;")
