"""One field of a form: its title, its control, and under it why a text was refused."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QGridLayout, QLabel, QLineEdit, QSizePolicy, QWidget

from engine.fields import Spec

CONTROL_WIDTH = 148
LIT_MS = 1600
NOT_ENTERED = "not entered"


class FieldRow(QWidget):
    """A field's row. ``committed(path, text)`` when a person has entered something; nothing else changes it."""

    committed = Signal(str, str)

    def __init__(self, path: str, spec: Spec, choices: tuple[tuple[str, str], ...] = ()) -> None:
        super().__init__()
        self.path, self.spec = path, spec
        self._shown = ""
        self.title = QLabel(spec.title)
        self.title.setWordWrap(True)
        self.error = QLabel()
        self.error.setObjectName("error")
        self.error.setWordWrap(True)
        self.error.hide()
        self.control = self._combo(choices) if choices else self._line()
        self.control.setAccessibleName(spec.title)
        self.title.setBuddy(self.control)
        layout = QGridLayout(self)
        layout.setContentsMargins(0, 2, 0, 2)
        layout.setHorizontalSpacing(8)
        layout.setVerticalSpacing(2)
        layout.setColumnStretch(0, 1)
        if spec.kind in ("text", "quantities", "points"):
            layout.addWidget(self.title, 0, 0, 1, 2)
            layout.addWidget(self.control, 1, 0, 1, 2)
            self.control.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            self.control.setMinimumWidth(80)
        else:
            layout.addWidget(self.title, 0, 0)
            layout.addWidget(self.control, 0, 1)
            self.control.setFixedWidth(CONTROL_WIDTH)
        layout.addWidget(self.error, 2, 0, 1, 2)

    def _line(self) -> QLineEdit:
        line = QLineEdit()
        if self.spec.kind not in ("text", "quantities", "points"):
            line.setAlignment(Qt.AlignmentFlag.AlignRight)
        line.editingFinished.connect(self._finished)
        line.installEventFilter(self)
        return line

    def _combo(self, choices: tuple[tuple[str, str], ...]) -> QComboBox:
        combo = QComboBox()
        combo.activated.connect(self._activated)
        combo.installEventFilter(self)
        self.set_choices(combo, choices)
        return combo

    def set_choices(self, combo: QComboBox, choices: tuple[tuple[str, str], ...]) -> None:
        """Offer ``(text to enter, text to show)`` pairs."""
        held = [(combo.itemData(n), combo.itemText(n)) for n in range(combo.count())]
        if held != list(choices):
            combo.clear()
            for value, shown in choices:
                combo.addItem(shown, value)

    def show_value(self, text: str, *, default: bool, tip: str) -> None:
        """Show the design's value; a default stands in soft ink."""
        self._shown = text
        control = self.control
        if isinstance(control, QComboBox):
            place = control.findData(text)
            if place < 0:
                control.addItem(text or NOT_ENTERED, text)
                place = control.count() - 1
            control.setCurrentIndex(place)
        elif control.text() != text:
            control.setText(text)
            control.setCursorPosition(0)
        self._mark("default", default)
        self.clear_error()
        control.setToolTip(tip)
        control.setAccessibleDescription(tip)
        self.title.setToolTip(tip)

    def show_error(self, why: str) -> None:
        """Say why the text was refused; the old value stays in the design."""
        self.error.setText(why)
        self.error.show()
        self._mark("bad", True)

    def clear_error(self) -> None:
        """The text that stands here can be read."""
        self._mark("bad", False)
        self.error.hide()

    def light(self) -> None:
        """Take the focus and light up briefly, so that a jump is seen."""
        self.control.setFocus(Qt.FocusReason.OtherFocusReason)
        if isinstance(self.control, QLineEdit):
            self.control.selectAll()
        self._mark("lit", True)
        QTimer.singleShot(LIT_MS, self.control, self._unlit)

    def _unlit(self) -> None:
        self._mark("lit", False)

    def _mark(self, name: str, on: bool) -> None:
        if bool(self.control.property(name)) != on:
            self.control.setProperty(name, on)
            self.control.style().unpolish(self.control)
            self.control.style().polish(self.control)

    def _finished(self) -> None:
        assert isinstance(self.control, QLineEdit)
        text = self.control.text().strip()
        if text != self._shown or self.control.property("bad"):
            self.committed.emit(self.path, text)

    def _activated(self, place: int) -> None:
        assert isinstance(self.control, QComboBox)
        text = str(self.control.itemData(place) or "")
        if text != self._shown:
            self.committed.emit(self.path, text)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Escape puts the old value back; the wheel scrolls the form, never a value."""
        if event.type() == QEvent.Type.Wheel and not self.control.hasFocus():
            event.ignore()
            return True
        if isinstance(event, QKeyEvent) and event.type() == QEvent.Type.KeyPress:
            if event.key() == Qt.Key.Key_Escape and isinstance(self.control, QLineEdit):
                self.control.setText(self._shown)
                self.clear_error()
                return True
        return super().eventFilter(watched, event)
