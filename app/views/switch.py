"""A row of buttons of which one is down: what to look at."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QToolButton, QWidget

from app.look import Look
from app.views.faces import LARGE


class Switch(QWidget):
    """Choices ``name: text``, the first is down at first; ``chosen(name)`` when a person takes another.

    ``short`` has the texts, by name, that stand there where type is large."""

    chosen = Signal(str)

    def __init__(
        self, choices: Mapping[str, str], title: str, short: Mapping[str, str] | None = None
    ) -> None:
        super().__init__()
        self._texts, self._short = dict(choices), dict(short or {})
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

    def set_look(self, look: Look) -> None:
        """Short texts where type is large."""
        for at, (name, text) in enumerate(self._texts.items()):
            self._group.button(at).setText(self._short.get(name, text) if look.text >= LARGE else text)

    @property
    def now(self) -> str:
        """The name of the button that is down."""
        return self._names[max(self._group.checkedId(), 0)]

    def press(self, name: str) -> None:
        """Put a button down, as a person does."""
        self._group.button(self._names.index(name)).click()
