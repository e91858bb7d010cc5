"""The Sources pane: one source with its controller, battery voltages and circuits; ladder and curves."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QLabel, QPushButton, QSplitter, QVBoxLayout, QWidget

from app.bind import Form
from app.look import Look
from app.pane import Pane, sheet
from app.session import Session
from app.views.caution import CautionPanel
from app.views.curves import CurvesView
from app.views.ladder import LadderView
from engine import units
from engine.design import Array, Circuit, Controller, Design, HydroTurbine, Module, WindTurbine, label
from engine.sections import ladder, live
from engine.sections.results import ArrayLook, ArrayResult

BATTERY_FIELDS = ("voltage", "lowest_voltage", "highest_voltage")
CIRCUIT_FIELDS = tuple(name for name in Circuit.specs())
KINDS = {"arrays": "sun", "wind": "wind", "hydro": "water"}


class SourcesPane(Pane):
    """One source at a time, chosen in the list or on the line."""

    piece_chosen = Signal(str)
    add_asked = Signal(str)
    module_asked = Signal(str)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._title = QLabel()
        self._title.setObjectName("title")
        self._about = QLabel()
        self._about.setObjectName("soft")
        self._about.setWordWrap(True)
        self._list = QComboBox()
        self._list.setAccessibleName("Source")
        self._list.activated.connect(self._listed)
        self._empty = QPushButton("Add an array")
        self._empty.clicked.connect(lambda: self.add_asked.emit("arrays"))
        self._find = QPushButton("Find a module…")
        self._find.setToolTip("Data from an open module table; the maker's sheet decides.")
        self._find.clicked.connect(lambda: self.module_asked.emit(self._source))
        self._source = ""
        self._first = Form(session)
        self._module = Form(session, "Module")
        self._controller = Form(session, "Controller")
        self._battery = Form(session, "Battery voltages")
        self._circuits = tuple(Form(session, "Circuit") for _ in range(3))
        self._source_caution = CautionPanel("array")
        self._battery_caution = CautionPanel("controller")
        for at, widget in enumerate((self._title, self._about, self._list)):
            self.form_column.insertWidget(at, widget)
        for part in (
            self._empty,
            self._first,
            self._source_caution,
            self._module,
            self._find,
            self._controller,
            self._battery_caution,
            self._battery,
            *self._circuits,
        ):
            self.fields.addWidget(part)
        self.fields.addStretch(1)
        self._build_pictures()

    def _build_pictures(self) -> None:
        self._ladder, self._curves = LadderView(), CurvesView()
        self._ladder.piece_chosen.connect(self.piece_chosen)
        self._ladder.axis_moved.connect(self._curves.set_axis)
        self._split = QSplitter(Qt.Orientation.Vertical)
        self._split.setChildrenCollapsible(False)
        for view in (self._ladder, self._curves):
            frame, column = sheet()
            column.setContentsMargins(0, 0, 0, 0)
            column.addWidget(view)
            self._split.addWidget(frame)
        self._split.setSizes([300, 240])
        self._only_data, column = sheet()
        self._only_text = QLabel()
        self._only_text.setWordWrap(True)
        self._only_text.setObjectName("soft")
        self._only_caution = CautionPanel("wind")
        column.addWidget(self._only_caution)
        column.addWidget(self._only_text)
        column.addStretch(1)
        right = QWidget()
        stack = QVBoxLayout(right)
        stack.setContentsMargins(0, 0, 0, 0)
        stack.addWidget(self._split)
        stack.addWidget(self._only_data)
        self.picture.addWidget(right)

    def forms(self) -> tuple[Form, ...]:
        return (self._first, self._module, self._controller, self._battery, *self._circuits)

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        for part in (
            self._ladder,
            self._curves,
            self._source_caution,
            self._battery_caution,
            self._only_caution,
        ):
            part.set_look(look)

    def refresh(self) -> None:
        """Show the selected source with the session's evaluation and conditions."""
        design = self._session.design
        self._source = source_of(design, self._session.selected) or first_source(design)
        self._show_list(design)
        table, _, id = self._source.partition(".")
        record = design.find(table, id) if self._source else None
        is_array = isinstance(record, Array)
        for widget in (self._module, self._find, self._controller, self._battery_caution, self._battery):
            widget.setVisible(is_array)
        for form in self._circuits:
            form.setVisible(False)
        self._empty.setVisible(record is None)
        self._first.setVisible(record is not None)
        self._source_caution.setVisible(is_array)
        self._split.setVisible(is_array or record is None)
        self._only_data.setVisible(isinstance(record, WindTurbine | HydroTurbine))
        if isinstance(record, Array):
            self._show_array(design, record)
        elif record is not None:
            self._show_turbine(record, table)
        else:
            self._title.setText("Sources")
            self._about.setText(
                "No source yet. An array needs a module, a controller and the battery's voltage."
            )
            self._ladder.show_lanes((), self._session.habit)
            self._curves.show_look(None, None, None, None, self._session.habit, "")

    def refresh_look(self) -> None:
        """Only the conditions moved: redraw the pictures, leave the forms."""
        design = self._session.design
        table, _, id = self._source.partition(".")
        record = design.find(table, id) if self._source else None
        if isinstance(record, Array):
            self._draw(record)

    def _show_list(self, design: Design) -> None:
        pieces = [f"{table}.{item.id}" for table in KINDS for item in getattr(design, table)]
        held = [self._list.itemData(n) for n in range(self._list.count())]
        names = [label(item) for table in KINDS for item in getattr(design, table)]
        if held != pieces or names != [self._list.itemText(n) for n in range(self._list.count())]:
            self._list.clear()
            for path, name in zip(pieces, names, strict=True):
                self._list.addItem(name, path)
        self._list.setCurrentIndex(self._list.findData(self._source))
        self._list.setVisible(len(pieces) > 1)

    def _show_array(self, design: Design, array: Array) -> None:
        self._title.setText(label(array))
        self._first.set_paths(f"arrays.{array.id}", Array.specs())
        module = design.find("modules", array.module)
        controller = design.find("controllers", array.controller)
        self._about.setText(_told(design, array, controller))
        self._module.setVisible(module is not None)
        self._find.setVisible(True)
        if module is not None:
            self._module.set_paths(f"modules.{array.module}", Module.specs(), f"Module: {label(module)}")
        self._controller.setVisible(controller is not None)
        if isinstance(controller, Controller):
            heading = f"Controller: {label(controller)}"
            self._controller.set_paths(f"controllers.{controller.id}", Controller.specs(), heading)
        self._battery.set_paths("bank", BATTERY_FIELDS)
        circuits = [
            circuit
            for circuit in self._session.evaluation.circuits.values()
            if circuit.array == array.id
            or (circuit.kind == "output" and circuit.controller == array.controller)
        ]
        for form, circuit in zip(self._circuits, circuits, strict=False):
            form.setVisible(True)
            form.set_paths(f"circuits.{circuit.id}", CIRCUIT_FIELDS, circuit.title)
        self._draw(array)

    def _draw(self, array: Array) -> None:
        session = self._session
        evaluation, design, habit = session.evaluation, session.design, session.habit
        looks = live.look_all(design, evaluation.arrays, evaluation.controllers, session.conditions)
        lanes = ladder.lanes(
            design,
            evaluation.arrays,
            evaluation.controllers,
            evaluation.circuits,
            array.controller or "",
            looks,
            habit,
        )
        self._ladder.show_lanes(lanes, habit)
        controller = evaluation.controllers.get(array.controller or "")
        self._curves.show_look(
            looks.get(array.id),
            self._held(array.id),
            controller.operating if controller else None,
            controller.start if controller else None,
            habit,
            self._caption(),
            full=_full(evaluation.arrays.get(array.id)),
        )

    def _held(self, id: str) -> ArrayLook | None:
        session = self._session
        if session.held is None:
            return None
        evaluation = session.evaluation
        return live.look_all(session.design, evaluation.arrays, evaluation.controllers, session.held).get(id)

    def _caption(self) -> str:
        conditions, habit = self._session.conditions, self._session.habit
        cell = units.show(conditions.cell, "degC", habit)
        return f"{cell} cell · {units.show(conditions.irradiance, 'W/m^2', habit)}"

    def _show_turbine(self, record: object, table: str) -> None:
        assert isinstance(record, WindTurbine | HydroTurbine)
        self._title.setText(label(record))
        self._about.setText("wind turbine" if table == "wind" else "hydro turbine")
        self._first.set_paths(f"{table}.{record.id}", type(record).specs())
        self._only_caution.show_place(table)
        self._only_text.setText(
            "What is entered here is kept in the site file. This edition judges the sun side; it says nothing yet "
            "about a turbine's voltages, brake or limiter, and no finding about it means no more than that."
        )

    def _listed(self, place: int) -> None:
        self.piece_chosen.emit(str(self._list.itemData(place)))


def source_of(design: Design, path: str) -> str:
    """The source that a selected piece belongs to: itself, or the first array of a controller or a module."""
    table, _, id = path.partition(".")
    if table in KINDS and design.find(table, id) is not None:
        return path
    for array in design.arrays:
        own = (("controllers", array.controller), ("modules", array.module))
        if (table, id) in own or (table == "circuits" and id.startswith(f"{array.id}-")):
            return f"arrays.{array.id}"
    for array in design.arrays:
        if table == "circuits" and id == f"{array.controller}-battery":
            return f"arrays.{array.id}"
    for other in ("wind", "hydro"):
        for item in getattr(design, other):
            if table == "controllers" and item.controller == id:
                return f"{other}.{item.id}"
    return ""


def _full(result: ArrayResult | None) -> tuple[float, float]:
    """The amps and watts that an array's curves are scaled to: they stand still while the sun moves."""
    if result is None or result.array_current is None or result.power is None:
        return (0.0, 0.0)
    return (result.array_current, result.power)


def first_source(design: Design) -> str:
    """The first source of the design."""
    return next((f"{table}.{item.id}" for table in KINDS for item in getattr(design, table)), "")


def _told(design: Design, array: Array, controller: object) -> str:
    parts = ["sun"]
    if array.strings and array.modules:
        strings = "one string" if array.strings == 1 else f"{array.strings} strings"
        parts.append(f"{strings} of {array.modules}")
    if isinstance(controller, Controller):
        parts.append(f"on {label(controller)}")
    return " · ".join(parts)
