"""One line that the window says something with, and what can be done about it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton

Offer = tuple[str, Callable[[], object]]


class NoticeBar(QFrame):
    """Hidden until it has something to say; each offer is a button that also closes it."""

    def __init__(self) -> None:
        super().__init__()
        self.setObjectName("notice")
        self._text = QLabel()
        self._text.setWordWrap(True)
        self._text.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(12, 4, 4, 4)
        self._row.setSpacing(8)
        self._row.addWidget(self._text, 1)
        self._buttons: list[QPushButton] = []
        self.hide()

    @property
    def text(self) -> str:
        """What it says; empty while it is hidden."""
        return self._text.text()

    def say(self, text: str, offers: tuple[Offer, ...] = ()) -> None:
        """Say something, or nothing more where the text is empty."""
        for button in self._buttons:
            self._row.removeWidget(button)
            button.hide()
            button.deleteLater()
        self._buttons = []
        self._text.setText(text)
        self.setAccessibleName(text)
        for title, act in offers or (("Close", _nothing),):
            button = QPushButton(title)
            button.clicked.connect(lambda _checked=False, act=act: self._take(act))
            self._row.addWidget(button, 0, Qt.AlignmentFlag.AlignTop)
            self._buttons.append(button)
        self.setVisible(bool(text))

    def _take(self, act: Callable[[], object]) -> None:
        self.say("")
        act()


def _nothing() -> None:
    """What closing does besides."""
