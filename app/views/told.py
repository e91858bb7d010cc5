"""A picture with what it says above it: a verdict in bold, and under that what is lost or what to enter."""

from __future__ import annotations

from collections.abc import Callable
from html import escape
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget

from app.look import LIGHT, Look

SIDE = 16
LARGE = 16  # pixels of text from which on the picture needs the room: what is soft goes to the tooltip


class ToldView(QWidget):
    """The words over ``picture``: ``lines(given, habit, currency, look)``, the verdict first."""

    def __init__(self, name: str, picture: Any, lines: Callable[[Any, str, str, Look], list[str]]) -> None:
        super().__init__()
        self._picture, self._lines = picture, lines
        self._told = QLabel()
        self._told.setWordWrap(True)
        self._told.setTextFormat(Qt.TextFormat.RichText)
        self._told.setContentsMargins(SIDE, 0, SIDE, 0)
        self._told.setTextInteractionFlags(Qt.TextInteractionFlag.TextBrowserInteraction)
        self._told.setAccessibleName(name)
        self.setAccessibleName(name)
        self._told.linkActivated.connect(self.follow)
        self._given: tuple[Any, str, str] = (None, "", "")
        self._look = LIGHT
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self._told)
        column.addWidget(picture, 1)

    def follow(self, link: str) -> None:
        """Go where a link leads."""
        raise NotImplementedError

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self._picture.set_look(look)
        self._tell()

    def show_given(self, given: Any, habit: str, currency: str) -> None:
        """Show something in a habit of units and a currency, unless it shows already."""
        if (given, habit, currency) != self._given:
            self._given = (given, habit, currency)
            self._picture.show_given(given, habit, currency)
            self._tell()

    def _tell(self) -> None:
        lines = [] if self._given[0] is None else self._lines(*self._given, self._look)
        large = self._look.text >= LARGE
        kept = [line for line in lines if not line.startswith("<span")] if large else lines
        self._told.setStyleSheet(f"font-size: {self._look.text}px;")
        self._told.setText("<br>".join(kept))
        self._told.setToolTip("<br>".join(lines) if kept != lines else "")


def verdict_line(words: str) -> list[str]:
    """The verdict, in bold; none where there is none."""
    return [f"<b>{escape(words)}</b>"] if words else []


def soft_line(words: str, look: Look) -> list[str]:
    """What else there is to say."""
    return [f"<span style='color: {look.soft};'>{escape(words)}</span>"] if words else []


def link(target: str, words: str, look: Look) -> str:
    """A link to something to enter."""
    return f"<a href='{escape(target)}' style='color: {look.water};'>{escape(words)}</a>"
