"""One field of a form: its title, its control, and under it why a text was refused."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QHelpEvent
from PySide6.QtWidgets import QGridLayout, QLabel, QLineEdit, QPushButton, QSizePolicy, QToolTip, QWidget

from app.fields.cells import Cells
from app.fields.controls import NOT_ENTERED, Block, Choice, Choices, Line
from app.glossary import tooltip, words_of_field
from engine.design import KEYED
from engine.fields import Spec

CONTROL_WIDTH, WIDEST_CONTROL = 148, 240
LIT_MS = 1600
MONTHS = 12


class FieldRow(QWidget):
    """A field's row. ``committed(path, text)`` when a person has entered something; nothing else changes it.

    While ``stepping`` a commit is one of a run of small steps. ``nothing`` stands where nothing was entered.
    A field that points at a record offers a new one where it points at none: ``new_asked(path)``.
    """

    committed = Signal(str, str)
    new_asked = Signal(str)

    def __init__(self, path: str, spec: Spec, choices: Choices = ()) -> None:
        super().__init__()
        self.path, self.spec = path, spec
        self.nothing = NOT_ENTERED
        self.title = QLabel(spec.title)
        self.title.setWordWrap(True)
        self.note = QLabel()
        self.note.setWordWrap(True)
        self.control = _control(spec, choices)
        self.control.setAccessibleName(spec.title)
        self.control.entered.connect(self._entered)
        self.control.dropped.connect(self.clear_error)
        if isinstance(self.control, Cells):
            self.control.waiting.connect(self._wait)
        self.title.setBuddy(self.control)
        layout = self._lay_out()
        self._offer: QPushButton | None = None
        if spec.kind == "ref":
            self._offer = QPushButton(f"New {KEYED[spec.to].__name__.lower()}")
            self._offer.clicked.connect(lambda: self.new_asked.emit(self.path))
            layout.addWidget(self._offer, 1, 1)

    def _lay_out(self) -> QGridLayout:
        layout = QGridLayout(self)
        layout.setContentsMargins(0, 2, 0, 2)
        layout.setHorizontalSpacing(8)
        layout.setVerticalSpacing(2)
        layout.setColumnStretch(0, 1)
        layout.setColumnStretch(1, 1)
        if isinstance(self.control, Cells | Block) or self.spec.kind in ("text", "quantities", "points"):
            layout.addWidget(self.title, 0, 0, 1, 2)
            layout.addWidget(self.control, 1, 0, 1, 2)
            self.control.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            self.control.setMinimumWidth(80)
        else:
            layout.addWidget(self.title, 0, 0)
            layout.addWidget(self.control, 0, 1)
            self.control.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
            self.control.setMinimumWidth(CONTROL_WIDTH)
            self.control.setMaximumWidth(WIDEST_CONTROL)
        layout.addWidget(self.note, 2, 0, 1, 2)
        self.note.hide()
        return layout

    @property
    def stepping(self) -> bool:
        return self.control.stepping

    @property
    def pending(self) -> bool:
        """Whether something stands here that the design does not have."""
        return self.control.now() != self.control.shown

    def show_value(self, text: str, *, default: bool, tip: str) -> None:
        """Show a value; a default stands in soft ink. What is being typed stays, unless the value moved."""
        self.setToolTip(tip)
        self.control.setAccessibleDescription(tip)
        shown = "" if default and not self._has_choice(text) else text
        if isinstance(self.control, Line | Block):
            self.control.setPlaceholderText(f"default: {text}" if default and text else self.nothing)
        self._mark("default", default)
        if self._offer is not None:
            self._offer.setVisible(not text)
        if self.pending and shown == self.control.shown:
            return
        self.control.show_text(shown)
        self.clear_error()

    @property
    def told(self) -> str:
        """What hovering over it says: the tip, and the trade words of its title with their sentences."""
        tip = self.toolTip()
        if isinstance(self.control, Choice) and self.control.is_cut:
            tip = f"{self.control.currentText()}\n{tip}"
        return tooltip(tip, words_of_field(self.spec.title, self.spec.help))

    def event(self, event: QEvent) -> bool:
        """A tooltip is made when it is asked for; the words are read then."""
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            QToolTip.showText(event.globalPos(), self.told, self)
            return True
        return super().event(event)

    def settle(self, text: str, *, default: bool, tip: str) -> None:
        """Show a value after what was typed here has been taken."""
        self.control.show_text(self.control.shown)
        self.show_value(text, default=default, tip=tip)
        self.clear_error()
        if isinstance(self.control, QLineEdit) and self.control.hasFocus():
            self.control.selectAll()

    def say_taken(self, text: str) -> None:
        """Say what is taken where nothing was entered; an empty text for nothing."""
        before, self.nothing = self.nothing, f"default: {text}" if text else NOT_ENTERED
        control = self.control
        if isinstance(control, Line | Block) and control.placeholderText() == before:
            control.setPlaceholderText(self.nothing)
        elif isinstance(control, Choice) and control.itemText(control.findData("")) == before:
            control.setItemText(control.findData(""), self.nothing)

    def drop(self) -> None:
        """Let go of what is being typed and of what was said about it."""
        self.control.show_text("")
        self.clear_error()
        self._unlit()

    def show_error(self, why: str) -> None:
        """Say why the text was refused; the old value stays in the design."""
        self._say(why, "error")
        self._mark("bad", True)

    def clear_error(self) -> None:
        """The text that stands here can be read."""
        self._mark("bad", False)
        self.note.hide()

    def light(self) -> None:
        """Take the focus and light up briefly, so that a jump is seen."""
        self.control.setFocus(Qt.FocusReason.OtherFocusReason)
        if isinstance(self.control, QLineEdit):
            self.control.selectAll()
        self._mark("lit", True)
        QTimer.singleShot(LIT_MS, self.control, self._unlit)

    def _unlit(self) -> None:
        self._mark("lit", False)

    def _entered(self, text: str) -> None:
        self.committed.emit(self.path, text)

    def _wait(self, what: str) -> None:
        self._mark("bad", False)
        self._say(what, "note")

    def _say(self, text: str, name: str) -> None:
        if self.note.objectName() != name:
            self.note.setObjectName(name)
            self.note.style().unpolish(self.note)
            self.note.style().polish(self.note)
        self.note.setText(text)
        self.note.show()

    def _has_choice(self, text: str) -> bool:
        """Whether a default is one of the things to choose, and has no place of its own among them."""
        return isinstance(self.control, Choice) and self.control.findData("") < 0 <= self.control.findData(
            text
        )

    def _mark(self, name: str, on: bool) -> None:
        control = self.control
        if bool(control.property(name)) == on:
            return
        control.setProperty(name, on)
        if isinstance(control, Cells):
            control.mark(name, on)
        control.style().unpolish(control)
        control.style().polish(control)


def _control(spec: Spec, choices: Choices) -> Line | Choice | Block | Cells:
    if choices:
        return Choice(choices)
    if spec.kind == "points":
        return Cells(spec.title, 2)
    if spec.kind == "quantities" and spec.length == MONTHS:
        return Cells(spec.title, 1)
    if spec.kind == "text" and spec.long:
        return Block()
    line = Line(numeric=spec.kind not in ("text", "quantities"))
    line.steps = spec.kind == "count"
    return line
