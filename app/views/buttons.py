"""Buttons with a tip and a name, that the keyboard reaches."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMenu, QToolButton


def button(text: str, tip: str, run: Callable[[], object]) -> QToolButton:
    """A button that runs something."""
    made = _plain(text, tip)
    made.clicked.connect(lambda _checked=False: run())
    return made


def menu_button(text: str, tip: str) -> QToolButton:
    """A button that opens a menu, still empty."""
    made = _plain(text, tip)
    made.setMenu(QMenu(made))
    made.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
    return made


def _plain(text: str, tip: str) -> QToolButton:
    made = QToolButton()
    made.setText(text)
    made.setToolTip(tip)
    made.setAccessibleName(text)
    made.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    return made
