"""The Sources pane: one array with its module, controller, battery voltages, circuits and their devices."""

from __future__ import annotations

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QPushButton, QWidget

from app.bind import Form
from app.look import Look
from app.pane import reveal, sheet
from app.selection import array_of
from app.session import Session
from app.source_pane import BATTERY_FIELDS, SourcePane
from app.views.caution import CautionPanel
from app.views.curves import CurvesView
from app.views.needs import NeedsView
from engine import units
from engine.design import Array, Circuit, Controller, Design, Device, Module, label
from engine.needs import needs
from engine.sections import ladder
from engine.sections.results import ArrayResult

MOST_CIRCUITS = 3


class SourcesPane(SourcePane):
    """One array at a time, chosen in the list or on the line. What is selected is scrolled to."""

    module_asked = Signal(str)
    need_asked = Signal(str)

    def __init__(self, session: Session) -> None:
        super().__init__(session, "arrays")
        self._array = ""
        self._seen = ""
        self._empty = QPushButton("Add an array")
        self._empty.clicked.connect(lambda: self.add_asked.emit("arrays"))
        self._find = QPushButton("Find a module…")
        self._find.setToolTip("Data from an open module table; the maker's sheet decides.")
        self._find.clicked.connect(lambda: self.module_asked.emit(f"arrays.{self._array}"))
        self._first, self._module, self._controller, self._battery = (Form(session) for _ in range(4))
        self._circuits = tuple((Form(session), Form(session)) for _ in range(MOST_CIRCUITS))
        self._source_caution, self._battery_caution = CautionPanel("array"), CautionPanel("controller")
        self.fields.addWidget(self._empty)
        self._parts: tuple[QWidget, ...] = (
            self._first,
            self._source_caution,
            self._module,
            self._find,
            self._controller,
            self._battery_caution,
            self._battery,
            *(form for pair in self._circuits for form in pair),
        )
        for part in self._parts:
            self.fields.addWidget(part)
        self.fields.addStretch(1)
        self._build_pictures()

    def _build_pictures(self) -> None:
        self._curves = CurvesView()
        self._ladder.axis_moved.connect(self._curves.set_axis)
        self.sheet_of(self._curves)
        self._split.setSizes([300, 240])
        self._steps_sheet, column = sheet()
        self._steps = NeedsView("What to do next, in the order of the job", most=12)
        self._steps.asked.connect(self.need_asked)
        column.addWidget(self._steps)
        column.addStretch(1)
        self.picture.addWidget(self._steps_sheet)

    def forms(self) -> tuple[Form, ...]:
        circuits = tuple(form for pair in self._circuits for form in pair)
        return (self._first, self._module, self._controller, self._battery, *circuits)

    @property
    def live(self) -> bool:
        return bool(self._session.design.arrays)

    @property
    def source(self) -> str:
        return f"arrays.{self._array}"

    @property
    def tells_needs(self) -> bool:
        return not self._session.design.arrays

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        for part in (self._curves, self._source_caution, self._battery_caution):
            part.set_look(look)

    def refresh(self) -> None:
        """Show the selected array with the session's evaluation and conditions."""
        design, selected = self._session.design, self._session.selected
        self._array = array_of(design, selected) or next((item.id for item in design.arrays), "")
        array = design.find("arrays", self._array)
        self.show_list(design, self._array)
        for part in self._parts:
            part.setVisible(array is not None)
        self._empty.setVisible(array is None)
        self._split.setVisible(array is not None)
        self._steps_sheet.setVisible(array is None)
        if isinstance(array, Array):
            self._show_array(design, array)
            if selected != self._seen:
                QTimer.singleShot(0, self, self._reveal)
        else:
            self._title.setText("Sources")
            self._about.setText("No array yet. It needs a module, a controller and the battery's voltage.")
            self._steps.show_needs(needs(design))
        self._seen = selected

    def refresh_look(self) -> None:
        """Only the conditions moved: redraw the pictures, leave the forms."""
        array = self._session.design.find("arrays", self._array)
        if isinstance(array, Array):
            self._draw(array)

    def _show_array(self, design: Design, array: Array) -> None:
        module = design.find("modules", array.module)
        controller = design.find("controllers", array.controller)
        self._title.setText(label(array))
        self._about.setText(_told(array, controller))
        self._first.set_paths(f"arrays.{array.id}", Array.specs())
        self._module.setVisible(module is not None)
        if isinstance(module, Module):
            self._module.set_paths(f"modules.{module.id}", Module.specs(), f"Module: {label(module)}")
        self._controller.setVisible(controller is not None)
        self._battery_caution.setVisible(controller is not None)
        if isinstance(controller, Controller):
            heading = f"Controller: {label(controller)}"
            self._controller.set_paths(f"controllers.{controller.id}", Controller.specs(), heading)
        self._battery.set_paths("bank", BATTERY_FIELDS, "Battery voltages")
        self._show_circuits(design, array)
        self._draw(array)

    def _show_circuits(self, design: Design, array: Array) -> None:
        mine = [
            circuit
            for circuit in self._session.evaluation.circuits.values()
            if circuit.array == array.id
            or (circuit.kind == "output" and circuit.controller == array.controller)
        ]
        for (form, device_form), circuit in zip(self._circuits, mine, strict=False):
            form.set_paths(f"circuits.{circuit.id}", Circuit.specs(), circuit.title)
            device = design.find("devices", design.circuit(circuit.id).device)
            device_form.setVisible(isinstance(device, Device))
            if isinstance(device, Device):
                device_form.set_paths(f"devices.{device.id}", Device.specs(), f"Device: {label(device)}")
        for form, device_form in self._circuits[len(mine) :]:
            form.hide()
            device_form.hide()

    def _draw(self, array: Array) -> None:
        session = self._session
        evaluation, design, habit = session.evaluation, session.design, session.habit
        controller = evaluation.controllers.get(array.controller or "")
        looks, held = session.looks(), session.looks(held=True)
        lanes = ladder.lanes(
            design,
            evaluation.arrays,
            evaluation.controllers,
            evaluation.circuits,
            array.controller or "",
            looks,
            habit,
            held,
        )
        self._ladder.show_lanes(lanes, habit)
        self._curves.show_look(
            looks.get(array.id),
            held.get(array.id),
            controller.operating if controller else None,
            controller.start if controller else None,
            habit,
            self._caption(),
            full=_full(evaluation.arrays.get(array.id)),
        )

    def _caption(self) -> str:
        conditions, habit = self._session.conditions, self._session.habit
        cell = units.show(conditions.cell, "degC", habit)
        return f"{cell} cell · {units.show(conditions.irradiance, 'W/m^2', habit)}"

    def _reveal(self) -> None:
        """Scroll to the form of what was selected: a click on the ladder or the line goes there."""
        for form in self.forms():
            if form.isVisibleTo(self) and form.owner == self._seen:
                reveal(form, at_top=True)


def _full(result: ArrayResult | None) -> tuple[float, float]:
    """The amps and watts that an array's curves are scaled to: they stand still while the sun moves."""
    if result is None or result.array_current is None or result.power is None:
        return (0.0, 0.0)
    return (result.array_current, result.power)


def _told(array: Array, controller: object) -> str:
    parts = ["sun"]
    if array.strings and array.modules:
        strings = "one string" if array.strings == 1 else f"{array.strings} strings"
        parts.append(f"{strings} of {array.modules}")
    if isinstance(controller, Controller):
        parts.append(f"on {label(controller)}")
    return " · ".join(parts)
