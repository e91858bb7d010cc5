"""What the job needs next, in its order: the empty state of the window. A click goes there."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from app.look import Look
from engine.needs import Need

MOST = 4


class NeedsView(QWidget):
    """The next steps; ``field_asked(path)`` for a field, ``add_asked(table)`` for a piece that is not there yet."""

    field_asked = Signal(str)
    add_asked = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._shown: tuple[Need, ...] = ()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 8, 4)
        self._column.setSpacing(4)
        title = QLabel("Next")
        title.setObjectName("title")
        self._column.addWidget(title)
        self._steps: list[QPushButton] = []
        self._rest = QLabel()
        self._rest.setObjectName("note")
        self._column.addWidget(self._rest)

    def set_look(self, look: Look) -> None:
        """The style sheet does it all; the rest line follows the size."""
        self._rest.setContentsMargins(0, 0, 0, look.text // 3)

    def show_needs(self, needs: Sequence[Need]) -> None:
        """Show the first few needs as steps to click."""
        if tuple(needs) == self._shown:
            return
        self._shown = tuple(needs)
        for step in self._steps:
            self._column.removeWidget(step)
            step.setParent(None)
            step.deleteLater()
        self._steps = []
        for place, need in enumerate(self._shown[:MOST]):
            step = QPushButton(f"{place + 1}.  {need.sentence}")
            step.setStyleSheet("text-align: left;")
            step.setToolTip(need.sentence)
            step.setAccessibleName(need.sentence)
            step.clicked.connect(lambda _checked=False, path=need.path: self._asked(path))
            self._column.insertWidget(place + 1, step)
            self._steps.append(step)
        more = len(self._shown) - MOST
        self._rest.setText(f"and {more} more after these" if more > 0 else "")
        self._rest.setVisible(more > 0)

    def _asked(self, path: str) -> None:
        if "." in path or path in ("rules", "name", "units"):
            self.field_asked.emit(path)
        else:
            self.add_asked.emit(path)
