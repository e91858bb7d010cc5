"""One hydro turbine: its data at the left; its ladder, its power, its head and its months at the right."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QLabel, QPushButton, QSplitter

from app.bind import Form
from app.hydro_words import free_told, gain_told
from app.look import Look
from app.pane import Pane, sheet
from app.selection import hydro_of
from app.session import Session
from app.views.caution import CautionPanel
from app.views.faces import Faces
from app.views.hydro_plots import over_voltage
from app.views.ladder import LadderView
from app.views.pipe_plot import over_diameter, pipe_told
from app.views.turbine import TurbineView
from app.views.water import WaterView
from engine import units
from engine.design import Circuit, Controller, Design, HydroTurbine, label
from engine.money.pipe import trade
from engine.sections import hydro_live

BATTERY_FIELDS = ("voltage", "lowest_voltage", "highest_voltage")
PRICES = ("currency", "generator_kwh", "pipe_metre")
LARGE = 16  # pixels of type: the pictures need the room more than the words do
ENDS = ("alternator", "run", "limiter")


class HydroPane(Pane):
    """A hydro turbine at a time, chosen in the list or on the line."""

    piece_chosen = Signal(str)
    add_asked = Signal(str)
    answers_to = frozenset({"water"})

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._turbine, self._large = "", False
        self._title, self._about = QLabel(), QLabel()
        self._title.setObjectName("title")
        self._about.setObjectName("soft")
        for text in (self._title, self._about):
            text.setWordWrap(True)
        self._list = QComboBox()
        self._list.setAccessibleName("Hydro turbine")
        self._list.activated.connect(lambda at: self.piece_chosen.emit(str(self._list.itemData(at))))
        for at, widget in enumerate((self._title, self._about, self._list)):
            self.form_column.insertWidget(at, widget)
        self._first, self._controller, self._battery, self._prices = (Form(session) for _ in range(4))
        self._circuits = tuple(Form(session) for _ in ENDS)
        self._caution = CautionPanel("hydro")
        self._add = QPushButton("Add another hydro turbine")
        self._add.clicked.connect(lambda: self.add_asked.emit("hydro"))
        parts = (self._first, self._caution, self._controller, self._battery, *self._circuits, self._prices)
        for part in (*parts, self._add):
            self.fields.addWidget(part)
        self.fields.addStretch(1)
        self._build_pictures()

    def _build_pictures(self) -> None:
        self._ladder, self._volts, self._water = LadderView(), TurbineView(), WaterView()
        self._ladder.piece_chosen.connect(self.piece_chosen)
        self._split = QSplitter(Qt.Orientation.Vertical)
        self._split.setChildrenCollapsible(False)
        frame, column = sheet()
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._ladder)
        self._split.addWidget(frame)
        below, column = sheet()
        column.setContentsMargins(0, 4, 0, 8)
        both = QSplitter(Qt.Orientation.Horizontal)
        both.setChildrenCollapsible(False)
        both.addWidget(self._volts)
        both.addWidget(self._water)
        both.setSizes([360, 280])
        self._pipe = TurbineView()
        self._faces = Faces()
        self._faces.add("power", ("Power and water", "Power"), both, "Power, head and months as it is now.")
        self._faces.add("pipe", ("Pipe and money", "Pipe"), self._pipe, "Other diameters of the penstock.")
        self._faces.turned.connect(lambda _name: self.refresh_look())
        column.addWidget(self._faces, 1)
        self._told = QLabel()
        self._told.setObjectName("note")
        self._told.setWordWrap(True)
        self._told.setContentsMargins(12, 0, 8, 0)
        column.addWidget(self._told)
        self._split.addWidget(below)
        self._split.setSizes([250, 290])
        self.picture.addWidget(self._split)

    def forms(self) -> tuple[Form, ...]:
        return (self._first, self._controller, self._battery, *self._circuits, self._prices)

    @property
    def live(self) -> bool:
        return True

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        self._large = look.text >= LARGE
        for part in (self._ladder, self._volts, self._water, self._pipe, self._faces, self._caution):
            part.set_look(look)

    def refresh(self) -> None:
        """Show the selected turbine with the session's evaluation and conditions."""
        design = self._session.design
        self._turbine = hydro_of(design, self._session.selected)
        turbine = design.find("hydro", self._turbine)
        self._show_list(design)
        if not isinstance(turbine, HydroTurbine):
            return
        self._title.setText(label(turbine))
        controller = design.find("controllers", turbine.controller)
        named = f" · on {label(controller)}" if controller is not None else " · no controller"
        self._about.setText(f"water{named}")
        self._first.set_paths(f"hydro.{turbine.id}", HydroTurbine.specs())
        self._controller.setVisible(isinstance(controller, Controller))
        if isinstance(controller, Controller):
            heading = f"Controller: {label(controller)}"
            self._controller.set_paths(f"controllers.{controller.id}", Controller.specs(), heading)
        self._battery.set_paths("bank", BATTERY_FIELDS, "Battery voltages")
        self._prices.set_paths("prices", PRICES, "Prices of the pipe")
        for form, end in zip(self._circuits, ENDS, strict=True):
            circuit = self._session.evaluation.circuits.get(f"{turbine.id}-{end}")
            form.setVisible(circuit is not None)
            if circuit is not None:
                form.set_paths(f"circuits.{circuit.id}", Circuit.specs(), circuit.title)
        self._draw(turbine)

    def refresh_look(self) -> None:
        """Only the conditions moved: redraw the pictures, leave the forms."""
        turbine = self._session.design.find("hydro", self._turbine)
        if isinstance(turbine, HydroTurbine):
            self._draw(turbine)

    def _show_list(self, design: Design) -> None:
        offered = [(label(item), f"hydro.{item.id}") for item in design.hydro]
        held = [(self._list.itemText(at), str(self._list.itemData(at))) for at in range(self._list.count())]
        if held != offered:
            self._list.clear()
            for name, path in offered:
                self._list.addItem(name, path)
        self._list.setCurrentIndex(self._list.findData(f"hydro.{self._turbine}"))
        self._list.setVisible(len(offered) > 1)

    def _draw(self, turbine: HydroTurbine) -> None:
        session = self._session
        evaluation, design, habit = session.evaluation, session.design, session.habit
        result = evaluation.hydro.get(turbine.id)
        if result is None:
            return
        controllers, conditions = evaluation.controllers, session.conditions
        seen = hydro_live.look(design, result, controllers, conditions, habit)
        ghost = None
        if session.held is not None:
            ghost = hydro_live.look(design, result, controllers, session.held, habit)
        lanes = hydro_live.lanes(design, result, controllers, evaluation.circuits, seen, habit)
        self._ladder.show_lanes(lanes, habit)
        caption = f"at {units.show(conditions.flow, 'm^3/s', habit, 3)} · {seen.why or seen.state}"
        controller = controllers.get(turbine.controller or "")
        self._volts.show_plot(over_voltage(result, seen, ghost, controller, caption, habit))
        head = hydro_live.head_at(result, conditions)
        self._water.show_result(result, head, f"at {units.show(conditions.flow, 'm^3/s', habit, 3)}", habit)
        whole = " ".join(filter(None, (gain_told(result, habit), free_told(result, habit))))
        text = gain_told(result, habit, short=True) if self._large else whole
        self._told.setToolTip(whole)
        if self._faces.shown == "pipe":
            text = self._draw_pipe(turbine.id)
        self._told.setText(text)
        self._told.setVisible(bool(text))

    def _draw_pipe(self, id: str) -> str:
        """Show what other diameters would give and cost, and say which is best."""
        session = self._session
        evaluation, prices = session.evaluation, session.design.prices
        result = evaluation.hydro[id]
        found = session.kept("pipe", (result, prices), None, lambda: trade(evaluation, id))
        if found is None:
            return ""
        self._pipe.show_plot(over_diameter(found, prices.currency or "", session.habit))
        return pipe_told(found, prices.currency or "", session.habit)
