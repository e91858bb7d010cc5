"""The small form for what is printed on a device: any unit as it stands there, and why a text was refused."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QToolButton, QWidget

from app.fields.controls import Choice, Choices, Line
from engine.problems import Problem

UNSAID = ("", "not said")
COLUMNS = 4  # a label and a control, twice


@dataclass(frozen=True, slots=True)
class _Place:
    """A field of the form: its key, its label, an example or choices, and whether it takes a whole row."""

    key: str
    label: str
    tip: str
    example: str = ""
    choices: Choices = ()
    wide: bool = False


PLACES = (
    _Place("volts", "Voltage", "~ or ac, = or dc: as it is marked.", "250 V=, 400 V ~", wide=True),
    _Place("amps", "Current", "C63 is read as curve C, 63 A.", "63 A"),
    _Place("breaking", "Breaks", "Breaking capacity at that voltage; a fuse's interrupting rating.", "10 kA"),
    _Place(
        "supply",
        "Marked",
        "For which kind of current.",
        choices=(UNSAID, ("dc", "dc"), ("ac", "ac"), ("both", "dc and ac")),
    ),
    _Place(
        "sort",
        "Kind",
        "",
        choices=(UNSAID, ("breaker", "breaker"), ("fuse", "fuse"), ("switch", "switch")),
    ),
    _Place("poles", "Poles", "", choices=(UNSAID, *((str(count), str(count)) for count in range(1, 5)))),
    _Place(
        "polarity",
        "Polarity",
        "Whether + and - stand at its terminals.",
        choices=(UNSAID, ("none", "none"), ("marked", "+ and -")),
    ),
    _Place("class", "Class", "Class of a fuse, curve of a breaker.", "T, gPV, C"),
    _Place(
        "continuous",
        "Duty",
        "Printed where it may carry its whole rating for hours.",
        choices=(UNSAID, ("yes", "100 %"), ("no", "80 %")),
    ),
)
JOINED = {"supply": "kind", "sort": "kind"}


class PrintedForm(QWidget):
    """``entered(texts)`` when a person has typed or chosen something; keys as the reader of them wants."""

    entered = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self._controls: dict[str, Line | Choice] = {}
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 8, 0)
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(1, 1)
        self._grid.setColumnStretch(3, 1)
        row, column = 0, 0
        for place in PLACES:
            self._add(place, row, column)
            column += COLUMNS if place.wide else 2
            if column >= COLUMNS:
                row, column = row + 1, 0
        self.clear_button = QToolButton()
        self.clear_button.setText("Empty")
        self.clear_button.setToolTip("Take the next device in hand")
        self.clear_button.setAccessibleName("Empty the form")
        self.clear_button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.clear_button.clicked.connect(self.clear)
        self._grid.addWidget(self.clear_button, row, 3, alignment=Qt.AlignmentFlag.AlignRight)
        self.error = QLabel()
        self.error.setObjectName("error")
        self.error.setWordWrap(True)
        self.error.hide()
        self._grid.addWidget(self.error, row + 1, 0, 1, COLUMNS)

    def _add(self, place: _Place, row: int, column: int) -> None:
        control: Line | Choice = Choice(place.choices) if place.choices else Line(numeric=False)
        if isinstance(control, Line):
            control.setPlaceholderText(place.example)
        else:
            control.show_text("")
        control.setAccessibleName(f"{place.label} printed on the device")
        control.setToolTip(place.tip)
        control.setAccessibleDescription(place.tip)
        control.setMinimumWidth(40)
        control.entered.connect(lambda text, key=place.key: self._entered(key, text))
        title = QLabel(place.label)
        title.setBuddy(control)
        title.setToolTip(place.tip)
        self._controls[place.key] = control
        self._grid.addWidget(title, row, column)
        self._grid.addWidget(control, row, column + 1, 1, 3 if place.wide else 1)

    def control(self, key: str) -> Line | Choice:
        """The control of a key: volts, amps, breaking, supply, sort, poles, polarity, class or continuous."""
        return self._controls[key]

    def texts(self) -> dict[str, str]:
        """What is printed, by the reader's keys; empty where nothing is typed."""
        texts: dict[str, str] = {}
        for key, control in self._controls.items():
            if control.shown:
                name = JOINED.get(key, key)
                texts[name] = f"{texts[name]} {control.shown}" if name in texts else control.shown
        return texts

    def show_texts(self, texts: Mapping[str, str]) -> None:
        """Put texts into the form, by the form's keys; the others are emptied."""
        for key, control in self._controls.items():
            control.show_text(texts.get(key, ""))

    def show_problems(self, problems: Iterable[Problem]) -> None:
        """Say why texts were refused, beside the controls that they stand in; none takes it all away."""
        held = {problem.where: problem for problem in problems}
        for key, control in self._controls.items():
            _mark(control, key in held or (key == "supply" and "kind" in held))
        told = [
            f"{self._name(problem.where)}: got {problem.got}, need {problem.need}"
            + (f" ({problem.hint})" if problem.hint else "")
            for problem in held.values()
        ]
        self.error.setText("\n".join(told))
        self.error.setVisible(bool(told))

    def clear(self) -> None:
        """Empty the form for the next device."""
        self.show_texts({})
        self.entered.emit(self.texts())
        self._controls["volts"].setFocus(Qt.FocusReason.OtherFocusReason)

    def _entered(self, key: str, text: str) -> None:
        self._controls[key].show_text(text)
        self.entered.emit(self.texts())

    def _name(self, where: str) -> str:
        return next((place.label for place in PLACES if JOINED.get(place.key, place.key) == where), where)


def _mark(control: Line | Choice, bad: bool) -> None:
    if bool(control.property("bad")) != bad:
        control.setProperty("bad", bad)
        control.style().unpolish(control)
        control.style().polish(control)
