"""One hydro turbine: its data at the left; its ladder, its power, its head and its months at the right."""

from __future__ import annotations

from app.bind import Form
from app.hydro_words import free_told, gain_told
from app.look import Look
from app.session import Session
from app.source_pane import TurbinePane, side_by_side
from app.views.faces import Faces
from app.views.hydro_plots import over_voltage
from app.views.pipe_plot import over_diameter, pipe_told
from app.views.turbine import TurbineView
from app.views.water import WaterView
from engine import units
from engine.design import HydroTurbine
from engine.money.pipe import trade
from engine.sections import hydro_live

PRICES = ("currency", "generator_kwh", "pipe_metre")
LARGE = 16  # pixels of type: the pictures need the room more than the words do


class HydroPane(TurbinePane):
    """A hydro turbine at a time, chosen in the list or on the line."""

    answers_to = frozenset({"water"})

    def __init__(self, session: Session) -> None:
        self._prices = Form(session)
        super().__init__(session, "hydro", self._prices)
        self._large = False
        self._volts, self._water, self._pipe = TurbineView(), WaterView(), TurbineView()
        both = side_by_side(self._volts, self._water)
        both.setSizes([360, 280])
        self._faces = Faces()
        self._faces.add("power", ("Power and water", "Power"), both, "Power, head and months as it is now.")
        self._faces.add("pipe", ("Pipe and money", "Pipe"), self._pipe, "Other diameters of the penstock.")
        self._faces.turned.connect(lambda _name: self.refresh_look())
        self.build_below(self._faces)

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        self._large = look.text >= LARGE
        for part in (self._volts, self._water, self._pipe, self._faces):
            part.set_look(look)

    def refresh(self) -> None:
        """Show the selected turbine with the session's evaluation and conditions."""
        self._prices.set_paths("prices", PRICES, "Prices of the pipe")
        super().refresh()

    def draw(self, turbine: HydroTurbine) -> None:
        """Draw the ladder, power over voltage with head and months, or the pipe against its price."""
        session = self._session
        evaluation, design, habit = session.evaluation, session.design, session.habit
        result = evaluation.hydro.get(turbine.id)
        if result is None:
            return
        controllers, conditions = evaluation.controllers, session.conditions
        seen = hydro_live.look(design, result, controllers, conditions, habit)
        ghost = None
        then = session.held_evaluation
        if session.held is not None and then is not None and turbine.id in then.hydro:
            known = then.design, then.hydro[turbine.id], then.controllers
            ghost = hydro_live.look(*known, session.held, habit)
        lanes = hydro_live.lanes(design, result, controllers, evaluation.circuits, seen, habit, ghost)
        self._ladder.show_lanes(lanes, habit)
        caption = f"at {units.show(conditions.flow, 'm^3/s', habit, 3)} · {seen.why or seen.state}"
        controller = controllers.get(turbine.controller or "")
        self._volts.show_plot(over_voltage(result, seen, ghost, controller, caption, habit))
        head = hydro_live.head_at(result, conditions)
        self._water.show_result(result, head, f"at {units.show(conditions.flow, 'm^3/s', habit, 3)}", habit)
        whole = " ".join(filter(None, (gain_told(result, habit), free_told(result, habit))))
        text = gain_told(result, habit, short=True) if self._large else whole
        self.note.setToolTip(whole)
        if self._faces.shown == "pipe":
            text = self._draw_pipe(turbine.id)
        self.note.setText(text)
        self.note.setVisible(bool(text))

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
