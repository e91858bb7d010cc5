"""A row of buttons of which one is down: what to look at."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QToolButton, QWidget


class Switch(QWidget):
    """Choices ``name: text``, the first is down at first; ``chosen(name)`` when a person takes another."""

    chosen = Signal(str)

    def __init__(self, choices: Mapping[str, str], title: str) -> None:
        super().__init__()
        self.setAccessibleName(title)
        self._group = QButtonGroup(self)
        self._names = tuple(choices)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        for at, text in enumerate(choices.values()):
            button = QToolButton()
            button.setText(text)
            button.setCheckable(True)
            button.setChecked(at == 0)
            button.setAccessibleName(f"{title}: {text}")
            self._group.addButton(button, at)
            row.addWidget(button)
        row.addStretch(1)
        self._group.idClicked.connect(lambda at: self.chosen.emit(self._names[at]))

    @property
    def now(self) -> str:
        """The name of the button that is down."""
        return self._names[max(self._group.checkedId(), 0)]

    def press(self, name: str) -> None:
        """Put a button down, as a person does."""
        self._group.button(self._names.index(name)).click()
