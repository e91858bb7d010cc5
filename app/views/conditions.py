"""The conditions strip: what the sky, the water and the battery do while one looks at the design."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from PySide6.QtCore import QEvent, QObject, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QGridLayout,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.look import LIGHT, Look
from app.views.lettering import letters
from app.views.source_slider import SourceSlider
from engine import units
from engine.sections.results import Conditions
from engine.units import UnitError


@dataclass(frozen=True, slots=True)
class Kind:
    """One condition: ``source`` is what it belongs to, or empty; ``low`` and ``high`` its usual range in the
    canonical unit; ``steps`` the size of a step in the unit shown, metric and US."""

    title: str
    unit: str
    colour: str
    source: str
    low: float
    high: float
    steps: tuple[float, float]


KINDS = {
    "cell": Kind("Cell temperature", "degC", "sun", "sun", -50.0, 90.0, (1.0, 1.0)),
    "irradiance": Kind("Irradiance", "W/m^2", "sun", "sun", 0.0, 1400.0, (10.0, 10.0)),
    "wind": Kind("Wind speed", "m/s", "wind", "wind", 0.0, 25.0, (0.1, 0.5)),
    "flow": Kind("Water flow", "m^3/s", "water", "water", 0.0, 0.05, (0.1, 1.0)),
    "battery": Kind("Battery voltage", "V", "battery", "", 0.0, 64.0, (0.1, 0.1)),
}
METRIC, US = 0, 1
SMALLEST = 11  # pixels of type
LOW = "QPushButton { padding: 1px 8px; } QPushButton:focus { padding: 0px 7px; }"


@dataclass(frozen=True, slots=True)
class StepButton:
    """A named step as the strip offers it: whether it can be taken, and if the conditions stand there."""

    id: str
    title: str
    tip: str
    on: bool = True
    current: bool = False


class _Cell(QWidget):
    """One condition: its title, its value that can be typed over, and its slider."""

    moved = Signal(str, float)

    def __init__(self, name: str) -> None:
        super().__init__()
        self.name, self.kind = name, KINDS[name]
        self._habit = "metric"
        self._value = 0.0
        self._range = (self.kind.low, self.kind.high)
        self._look: Look = LIGHT
        self._shown: tuple[object, ...] = ()
        self._title = QLabel(self.kind.title)
        self._title.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.value = QLineEdit()
        self.value.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.value.setAccessibleName(f"{self.kind.title}, typed")
        self.value.editingFinished.connect(self._typed)
        self.value.installEventFilter(self)
        self.slider = SourceSlider(self.kind.colour)
        self.slider.setAccessibleName(self.kind.title)
        self.slider.stepped.connect(self._stepped)
        self._title.setBuddy(self.slider)
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(4)
        grid.setVerticalSpacing(0)
        grid.setColumnStretch(0, 1)
        grid.addWidget(self._title, 0, 0)
        grid.addWidget(self.value, 0, 1)
        grid.addWidget(self.slider, 1, 0, 1, 2)

    def set_look(self, look: Look) -> None:
        self.slider.set_look(look)
        self._look = look
        self._title.setStyleSheet(f"font-weight: bold; color: {look.ink};")
        self.value.setFixedWidth(round(8.2 * look.text))

    def set_range(self, low: float, high: float) -> None:
        self._range = (low, high)

    @property
    def _size(self) -> float:
        return self.kind.steps[US if self._habit == "us" else METRIC]

    def _step_of(self, value: float) -> int:
        return round(units.convert(value, self.kind.unit, self._habit) / self._size)

    def show_value(self, value: float, habit: str) -> None:
        """Show a canonical value; a text that is being typed is left alone."""
        if (value, habit, self._range, self._look) == self._shown and not self.value.isModified():
            return
        self._shown = (value, habit, self._range, self._look)
        self._value, self._habit = value, habit
        low, high = (self._step_of(end) for end in self._range)
        self.slider.show_steps(low, high, self._step_of(value))
        text = units.show(value, self.kind.unit, habit)
        self.slider.setAccessibleDescription(text)
        if not self.value.isModified():
            self._write(text)
        other = units.show(value, self.kind.unit, "metric" if habit == "us" else "us")
        same = f"{text} is {other}. " if other != text else ""
        if not self.value.property("bad"):
            self._tip(f"{same}{self._ends()} by the slider. Type any value with its unit.")

    def _write(self, text: str) -> None:
        if self.value.text() != text:
            self.value.setText(text)
        self.value.setModified(False)
        self._mark_bad(False)

    def _tip(self, text: str) -> None:
        for widget in (self.value, self.slider, self._title):
            if widget.toolTip() != text:
                widget.setToolTip(text)

    def _stepped(self, step: int) -> None:
        value = units.unconvert(step * self._size, self.kind.unit, self._habit)
        self.value.setModified(False)
        self.moved.emit(self.name, min(max(value, self._range[0]), self._range[1]))

    def _typed(self) -> None:
        if not self.value.isModified():
            return
        try:
            value = float(units.parse(self.value.text(), self.kind.unit))
        except UnitError as error:
            self._refuse(str(error))
            return
        if not self._range[0] <= value <= self._range[1]:
            self._refuse(f"got {self.value.text().strip()}, need {self._ends()}")
            return
        self._write(units.show(value, self.kind.unit, self._habit))
        self.moved.emit(self.name, value)

    def _ends(self) -> str:
        return " to ".join(units.show(end, self.kind.unit, self._habit) for end in self._range)

    def _refuse(self, why: str) -> None:
        """Say why a typed text was not taken; the old value still holds."""
        self._mark_bad(True)
        self._title.setText(why)
        self._tip(why)

    def _mark_bad(self, on: bool) -> None:
        if bool(self.value.property("bad")) != on:
            self._title.setText(self.kind.title)
            self._title.setStyleSheet(
                f"font-weight: bold; color: {self._look.fails if on else self._look.ink};"
            )
            self.value.setProperty("bad", on)
            self.value.style().unpolish(self.value)
            self.value.style().polish(self.value)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Escape puts the value back; a click into it marks it all, ready to be typed over."""
        if event.type() == QEvent.Type.FocusIn:
            QTimer.singleShot(0, self.value, self.value.selectAll)
        escaped = isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape
        if escaped and event.type() == QEvent.Type.KeyPress:
            self._write(units.show(self._value, self.kind.unit, self._habit))
            return True
        return super().eventFilter(watched, event)


class _OneLine(QWidget):
    """A line in bold, cut where the room ends."""

    def __init__(self) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._text, self._colour = "", ""
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)

    def set_look(self, look: Look) -> None:
        self._look = look
        self.updateGeometry()
        self.update()

    def say(self, text: str, colour: str) -> None:
        if (text, colour) != (self._text, self._colour):
            self._text, self._colour = text, colour
            self.update()

    @property
    def text(self) -> str:
        return self._text

    def sizeHint(self) -> QSize:
        return QSize(200, round(1.4 * self._look.text))

    def paintEvent(self, _event: QPaintEvent) -> None:
        painter = QPainter(self)
        bold, room = letters(self._look, bold=True), self.width()
        if bold.width(self._text) > room > 0:  # smaller type rather than fewer words, within reason
            size = max(int(self._look.text * room / bold.width(self._text)), round(self._look.text / 1.5))
            bold = letters(self._look, max(size, SMALLEST), bold=True)
        bold.draw(painter, 0, self.height() / 2, bold.fit(self._text, room), self._colour)
        painter.end()


class ConditionsStrip(QWidget):
    """Sliders for the conditions of looking, their named steps, and what is held against now.

    ``moved(name, value)`` in the canonical unit, ``step_asked(id)`` and ``hold_toggled(on)``, all only when a
    person does it.
    """

    moved = Signal(str, float)
    step_asked = Signal(str)
    hold_toggled = Signal(bool)

    def __init__(self, names: Sequence[str] = ("cell", "irradiance", "battery")) -> None:
        super().__init__()
        self._look: Look = LIGHT
        self._cells = {name: _Cell(name) for name in names}
        self._loud = False
        self._steps: dict[str, QPushButton] = {}
        self._step_row = QHBoxLayout()
        self._step_row.setSpacing(4)
        self._step_row.addStretch(1)
        self._difference = _OneLine()
        self._difference.hide()
        row = QHBoxLayout()
        row.setSpacing(32)
        column = QVBoxLayout(self)
        column.setContentsMargins(4, 2, 4, 0)
        column.setSpacing(2)
        column.addWidget(self._difference)
        column.addLayout(self._step_row)
        column.addLayout(row)
        for cell in self._cells.values():
            cell.moved.connect(self.moved)
            row.addWidget(cell, 1)
        self._hold = QPushButton("Hold")
        self._hold.setCheckable(True)
        self._hold.setStyleSheet(LOW)
        self._hold.setToolTip("Keep the present design and conditions as a ghost to compare with (F4)")
        self._hold.clicked.connect(self.hold_toggled)
        self._step_row.addWidget(self._hold)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName("Conditions of looking")
        self.set_look(LIGHT)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        for cell in self._cells.values():
            cell.set_look(look)
        self._hold.setMinimumWidth(round(6.5 * look.text))
        self._look = look
        self.speak_up(self._loud)

    def speak_up(self, loud: bool) -> None:
        """Say what is held against now in type for the back row, or in that of the look."""
        self._loud = loud
        look = self._look
        self._difference.set_look(replace(look, text=round(1.5 * look.text)) if loud else look)

    def set_ranges(
        self, ranges: Mapping[str, tuple[float, float]], conditions: Conditions, habit: str
    ) -> None:
        """Set the ends of sliders, in canonical units; those not named keep theirs."""
        for name, (low, high) in ranges.items():
            if name in self._cells:
                self._cells[name].set_range(low, high)
        self.show_conditions(conditions, habit)

    def set_sources(self, sources: Collection[str]) -> None:
        """Show only what answers to something in the design: of ``sun``, ``wind`` and ``water``."""
        for cell in self._cells.values():
            cell.setVisible(not cell.kind.source or cell.kind.source in sources)

    def show_conditions(self, conditions: Conditions, habit: str) -> None:
        """Show where the conditions stand."""
        for name, cell in self._cells.items():
            cell.show_value(getattr(conditions, name), habit)

    def show_steps(self, steps: Sequence[StepButton]) -> None:
        """Offer these steps, a button each, and mark the one at which the conditions stand."""
        if list(self._steps) != [step.id for step in steps]:
            for button in self._steps.values():
                self._step_row.removeWidget(button)
                button.deleteLater()
            self._steps = {step.id: self._step_button(at, step) for at, step in enumerate(steps)}
        for step in steps:
            button = self._steps[step.id]
            button.setEnabled(step.on)
            button.setChecked(step.current)
            if button.toolTip() != step.tip:
                button.setToolTip(step.tip)

    def _step_button(self, at: int, step: StepButton) -> QPushButton:
        button = QPushButton(step.title)
        button.setCheckable(True)
        button.setStyleSheet(LOW)
        button.setAccessibleName(f"Conditions: {step.title}")
        button.clicked.connect(lambda _checked=False: self.step_asked.emit(step.id))
        self._step_row.insertWidget(at, button)
        return button

    def show_difference(self, text: str, whole: str, *, worse: bool) -> None:
        """Say what is held against what is now, in one line; ``whole`` as a tooltip, and read aloud.

        Nothing where nothing is held. ``worse``: a verdict is.
        """
        look = self._look
        self._difference.say(text, look.fails if worse else look.ink)
        self._difference.setToolTip(whole)
        self._difference.setAccessibleName(whole)
        self._difference.setVisible(bool(text))

    @property
    def difference(self) -> str:
        """What is said of held against now."""
        return self._difference.text

    def show_held(self, held: bool) -> None:
        """Show whether curves are held."""
        self._hold.setChecked(held)
        self._hold.setText("Held" if held else "Hold")
