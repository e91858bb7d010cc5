"""Several pictures of one thing in one place, one at a time, each a button away."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QStackedWidget, QToolButton, QVBoxLayout, QWidget

from app.look import Look

LARGE = 16  # pixels of text from which on titles are short


class Faces(QWidget):
    """``turned(name)`` when a person turned to another face."""

    turned = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self._names: list[str] = []
        self._buttons: dict[str, QToolButton] = {}
        self._titles: dict[str, tuple[str, str]] = {}
        self._group = QButtonGroup(self)
        self._stack = QStackedWidget()
        self._row = QHBoxLayout()
        self._row.setContentsMargins(16, 8, 16, 0)
        self._row.setSpacing(4)
        self._row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(self._row)
        column.addWidget(self._stack, 1)

    def add(self, name: str, titles: tuple[str, str], face: QWidget, tip: str) -> None:
        """Add a face with the title of its button, and a short one for large type; the first one shows."""
        title = titles[0]
        button = QToolButton()
        button.setText(title)
        button.setToolTip(tip)
        button.setAccessibleName(title)
        button.setCheckable(True)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.clicked.connect(lambda _checked=False: self._turn(name))
        self._row.insertWidget(len(self._names), button)
        self._group.addButton(button)
        self._names.append(name)
        self._buttons[name], self._titles[name] = button, titles
        self._stack.addWidget(face)
        button.setChecked(len(self._names) == 1)

    def beside(self, *widgets: QWidget) -> None:
        """Put widgets at the right end of the row of buttons."""
        for widget in widgets:
            self._row.addWidget(widget)

    def set_look(self, look: Look) -> None:
        """Short titles where type is large."""
        side = 8 if look.text >= LARGE else 16
        self._row.setContentsMargins(side, 8, side, 0)
        self._row.setSpacing(side // 4)
        for name, button in self._buttons.items():
            button.setText(self._titles[name][look.text >= LARGE])

    @property
    def shown(self) -> str:
        """The name of the face that shows."""
        return self._names[self._stack.currentIndex()]

    def show_face(self, name: str) -> None:
        """Turn to a face, without telling anyone."""
        self._buttons[name].setChecked(True)
        self._stack.setCurrentIndex(self._names.index(name))

    def offer(self, name: str, on: bool, tip: str) -> None:
        """Offer a face or not, and say why; where the one that shows is not offered, the first one shows."""
        self._buttons[name].setEnabled(on)
        self._buttons[name].setToolTip(tip)
        if not on and self.shown == name:
            self.show_face(self._names[0])

    def button(self, name: str) -> QToolButton:
        """The button of a face."""
        return self._buttons[name]

    def _turn(self, name: str) -> None:
        if name != self.shown:
            self.show_face(name)
            self.turned.emit(name)
