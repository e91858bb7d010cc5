"""One wind turbine: its data at the left; its ladder, its power over wind and over voltage at the right."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog

from app import load_points
from app.look import Look
from app.session import Session
from app.source_pane import TurbinePane, side_by_side
from app.turbine_words import gain_told
from app.views.load_curve_view import LoadCurveBar, LoadCurveView
from app.views.turbine import TurbineView
from app.views.wind_plots import over_voltage, over_wind, year_told
from engine import units
from engine.design import WindTurbine
from engine.problems import Problems
from engine.sections import wind_live
from engine.sections.harvest import Harvest, in_force
from engine.sections.wind import WindResult
from engine.worksheet import CannotCalculate

LARGE = 16  # pixels of type: the plots need the room more than the words do


class WindPane(TurbinePane):
    """A wind turbine at a time, chosen in the list or on the line."""

    said = Signal(str)
    answers_to = frozenset({"wind"})

    def __init__(self, session: Session) -> None:
        super().__init__(session, "wind")
        self._large = False
        self._load: tuple[WindResult, Harvest | None] | None = None
        self._winds, self._volts = TurbineView(), LoadCurveView()
        self._bar = LoadCurveBar()
        self._bar.entered.connect(self._enter)
        self._bar.computed.connect(lambda: load_points.empty(self._session, self._turbine))
        self._bar.refined.connect(self._ask_log)
        self._volts.point_moved.connect(self._move)
        self.build_below(side_by_side(self._winds, self._volts), self._bar)

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        self._large = look.text >= LARGE
        for part in (self._winds, self._volts, self._bar):
            part.set_look(look)

    def draw(self, turbine: WindTurbine) -> None:
        """Draw the ladder, power over wind, and power over voltage with the load curve."""
        session = self._session
        evaluation, design, habit = session.evaluation, session.design, session.habit
        result = evaluation.wind.get(turbine.id)
        if result is None:
            return
        controllers, conditions = evaluation.controllers, session.conditions
        seen = wind_live.look(design, result, controllers, conditions, habit)
        ghost = None
        then = session.held_evaluation
        if session.held is not None and then is not None and turbine.id in then.wind:
            known = then.design, then.wind[turbine.id], then.controllers
            ghost = wind_live.look(*known, session.held, habit)
        lanes = wind_live.lanes(design, result, controllers, evaluation.circuits, seen, habit, ghost)
        self._ladder.show_lanes(lanes, habit)
        self._winds.show_plot(over_wind(result, turbine, seen, conditions, habit))
        caption = f"in {units.show(conditions.wind, 'm/s', habit, 3)} · {seen.why or seen.state}"
        load = self._load_curve(result)
        controller = controllers.get(turbine.controller or "")
        self._volts.show_plot(over_voltage(result, seen, ghost, load, controller, caption, habit))
        year, gain = year_told(result, load, habit, short=self._large), gain_told(result, habit)
        self.note.setText(year if self._large else f"{year} {gain}".strip())
        self.note.setToolTip(gain)
        self.note.setVisible(bool(year or gain))
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
