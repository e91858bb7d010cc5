"""A switch between the parts of a place, each a pane of its own."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

SET_UP = ("Charging", "Relays")


class PartSwitch(QWidget):
    """A row of buttons, one of them down: the part that is shown."""

    asked = Signal(str)

    def __init__(self, parts: tuple[str, ...], shown: str) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 8, 4)
        row.setSpacing(4)
        self._buttons: dict[str, QPushButton] = {}
        for part in parts:
            button = QPushButton(part)
            button.setCheckable(True)
            button.setChecked(part == shown)
            button.setAccessibleName(f"{part}{', shown' if part == shown else ''}")
            button.clicked.connect(lambda _checked=False, part=part: self._press(part, shown))
            row.addWidget(button)
            self._buttons[part] = button
        row.addStretch(1)

    def _press(self, part: str, shown: str) -> None:
        for name, button in self._buttons.items():
            button.setChecked(name == shown)
        if part != shown:
            self.asked.emit(part)
