"""One wind turbine: its data at the left; its ladder, its power over wind and over voltage at the right."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QComboBox, QFileDialog, QLabel, QPushButton, QSplitter

from app import load_points
from app.bind import Form
from app.look import Look
from app.pane import Pane, sheet
from app.selection import wind_of
from app.session import Session
from app.turbine_words import gain_told
from app.views.caution import CautionPanel
from app.views.ladder import LadderView
from app.views.load_curve_view import LoadCurveBar, LoadCurveView
from app.views.turbine import TurbineView
from app.views.wind_plots import over_voltage, over_wind, year_told
from engine import units
from engine.design import Circuit, Controller, Design, WindTurbine, label
from engine.problems import Problems
from engine.sections import wind_live
from engine.sections.harvest import Harvest, in_force
from engine.sections.wind import WindResult
from engine.worksheet import CannotCalculate

BATTERY_FIELDS = ("voltage", "lowest_voltage", "highest_voltage")
LARGE = 16  # pixels of type: the plots need the room more than the words do
ENDS = ("alternator", "brake", "run", "limiter")


class WindPane(Pane):
    """A wind turbine at a time, chosen in the list or on the line."""

    piece_chosen = Signal(str)
    add_asked = Signal(str)
    said = Signal(str)
    answers_to = frozenset({"wind"})

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._turbine, self._large = "", False
        self._load: tuple[WindResult, Harvest | None] | None = None
        self._title, self._about = QLabel(), QLabel()
        self._title.setObjectName("title")
        self._about.setObjectName("soft")
        for text in (self._title, self._about):
            text.setWordWrap(True)
        self._list = QComboBox()
        self._list.setAccessibleName("Wind turbine")
        self._list.activated.connect(lambda at: self.piece_chosen.emit(str(self._list.itemData(at))))
        for at, widget in enumerate((self._title, self._about, self._list)):
            self.form_column.insertWidget(at, widget)
        self._first, self._controller, self._battery = (Form(session) for _ in range(3))
        self._circuits = tuple(Form(session) for _ in ENDS)
        self._caution = CautionPanel("wind")
        self._add = QPushButton("Add another wind turbine")
        self._add.clicked.connect(lambda: self.add_asked.emit("wind"))
        for part in (self._first, self._caution, self._controller, self._battery, *self._circuits, self._add):
            self.fields.addWidget(part)
        self.fields.addStretch(1)
        self._build_pictures()

    def _build_pictures(self) -> None:
        self._ladder, self._winds, self._volts = LadderView(), TurbineView(), LoadCurveView()
        self._bar = LoadCurveBar()
        self._bar.entered.connect(self._enter)
        self._bar.computed.connect(lambda: load_points.empty(self._session, self._turbine))
        self._bar.refined.connect(self._ask_log)
        self._volts.point_moved.connect(self._move)
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
        both.addWidget(self._winds)
        both.addWidget(self._volts)
        column.addWidget(both, 1)
        column.addWidget(self._bar)
        self._year = QLabel()
        self._year.setObjectName("note")
        self._year.setWordWrap(True)
        self._year.setContentsMargins(12, 0, 8, 0)
        column.addWidget(self._year)
        self._split.addWidget(below)
        self._split.setSizes([250, 290])
        self.picture.addWidget(self._split)

    def forms(self) -> tuple[Form, ...]:
        return (self._first, self._controller, self._battery, *self._circuits)

    @property
    def live(self) -> bool:
        return True

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        self._large = look.text >= LARGE
        for part in (self._ladder, self._winds, self._volts, self._caution, self._bar):
            part.set_look(look)

    def refresh(self) -> None:
        """Show the selected turbine with the session's evaluation and conditions."""
        design = self._session.design
        self._turbine = wind_of(design, self._session.selected)
        turbine = design.find("wind", self._turbine)
        self._show_list(design)
        if not isinstance(turbine, WindTurbine):
            return
        self._title.setText(label(turbine))
        controller = design.find("controllers", turbine.controller)
        named = f" · on {label(controller)}" if controller is not None else " · no controller"
        self._about.setText(f"wind{named}")
        self._first.set_paths(f"wind.{turbine.id}", WindTurbine.specs())
        self._controller.setVisible(isinstance(controller, Controller))
        if isinstance(controller, Controller):
            heading = f"Controller: {label(controller)}"
            self._controller.set_paths(f"controllers.{controller.id}", Controller.specs(), heading)
        self._battery.set_paths("bank", BATTERY_FIELDS, "Battery voltages")
        for form, end in zip(self._circuits, ENDS, strict=True):
            circuit = self._session.evaluation.circuits.get(f"{turbine.id}-{end}")
            form.setVisible(circuit is not None)
            if circuit is not None:
                form.set_paths(f"circuits.{circuit.id}", Circuit.specs(), circuit.title)
        self._draw(turbine)

    def refresh_look(self) -> None:
        """Only the conditions moved: redraw the pictures, leave the forms."""
        turbine = self._session.design.find("wind", self._turbine)
        if isinstance(turbine, WindTurbine):
            self._draw(turbine)

    def _show_list(self, design: Design) -> None:
        offered = [(label(item), f"wind.{item.id}") for item in design.wind]
        held = [(self._list.itemText(at), str(self._list.itemData(at))) for at in range(self._list.count())]
        if held != offered:
            self._list.clear()
            for name, path in offered:
                self._list.addItem(name, path)
        self._list.setCurrentIndex(self._list.findData(f"wind.{self._turbine}"))
        self._list.setVisible(len(offered) > 1)

    def _draw(self, turbine: WindTurbine) -> None:
        session = self._session
        evaluation, design, habit = session.evaluation, session.design, session.habit
        result = evaluation.wind.get(turbine.id)
        if result is None:
            return
        controllers, conditions = evaluation.controllers, session.conditions
        seen = wind_live.look(design, result, controllers, conditions, habit)
        ghost = None
        if session.held is not None:
            ghost = wind_live.look(design, result, controllers, session.held, habit)
        lanes = wind_live.lanes(design, result, controllers, evaluation.circuits, seen, habit)
        self._ladder.show_lanes(lanes, habit)
        self._winds.show_plot(over_wind(result, turbine, seen, conditions, habit))
        caption = f"in {units.show(conditions.wind, 'm/s', habit, 3)} · {seen.why or seen.state}"
        load = self._load_curve(result)
        controller = controllers.get(turbine.controller or "")
        self._volts.show_plot(over_voltage(result, seen, ghost, load, controller, caption, habit))
        year, gain = year_told(result, load, habit, short=self._large), gain_told(result, habit)
        self._year.setText(year if self._large else f"{year} {gain}".strip())
        self._year.setToolTip(gain)
        self._year.setVisible(bool(year or gain))
        self._bar.show_curve(entered=turbine.load_points is not None, known=load is not None)

    def _load_curve(self, result: WindResult) -> Harvest | None:
        """The load curve, found once for a turbine as it stands."""
        if self._load is None or self._load[0] is not result:
            try:
                self._load = (result, in_force(result))
            except CannotCalculate:
                self._load = (result, None)
        return self._load[1]

    def _enter(self) -> None:
        if self._load is not None and self._load[1] is not None:
            load_points.enter(self._session, self._turbine, self._load[1].curve)

    def _move(self, point: int, volts: float, watts: float, drag: str) -> None:
        if self._load is not None and self._load[1] is not None:
            load_points.move(self._session, self._turbine, self._load[1].curve, point, volts, watts, drag)
            self._session.settle()  # so that the next step begins from this curve

    def _ask_log(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, "Log of the turbine", "", "Logs (*.csv)")
        if name:
            self.read_log(Path(name))

    def read_log(self, path: Path) -> None:
        """Show what a log proposes for the load curve, and enter it where that is accepted."""
        from app.dialogs.refine_curve import RefineCurve
        from engine import turbine_log
        from engine.sections.refine import propose

        result = self._session.evaluation.wind[self._turbine]
        try:
            proposal = propose(result, turbine_log.read(path))
        except (Problems, CannotCalculate) as error:
            self.said.emit(f"Not refined: {error}.")
            return
        assert result.machine is not None  # propose has used it
        dialog = RefineCurve(proposal, result.machine.rotor.best, self._session.habit, self)
        if dialog.exec():
            load_points.enter(self._session, self._turbine, proposal.refined.curve)
