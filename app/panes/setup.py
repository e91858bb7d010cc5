"""The Set-up pane: what every charger is told, and what the bank and all on its bus make of it."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QSplitter

from app.bind import Form
from app.look import Look
from app.pane import Pane, sheet
from app.session import Session
from app.views.bus_lanes import BusLanes
from app.views.caution import CautionPanel
from app.views.charge_plot import ChargePlotView
from app.views.compensation import compensation_plot
from app.views.equalize_calendar import EqualizeCalendar
from app.views.faces import Faces
from app.views.part_switch import SET_UP, PartSwitch
from app.views.stages import stages_plot
from engine import units
from engine.design import Controller, label
from engine.sections.bus_lanes import RULES, bus_lanes
from engine.sections.charge_view import day_of
from engine.sections.charging import Charging, chargers, charging
from engine.sections.equalize import EqualizeYear, equalize_year

POINTS = ("chemistry", "cells", "absorption", "float_voltage", "equalize", "absorption_time", "end_current")
WARMTH = ("compensation", "clamp_low", "clamp_high", "lowest_temperature", "highest_temperature")
CALENDAR = ("equalize_days", "equalize_grace", "equalize_hours")
LIMITS = ("highest_voltage", "charge_current", "shunt")
CHARGER = (
    *("sensor", "leads", "network", "nominal_choice", "battery_limit"),
    *("absorption", "float_voltage", "equalize"),
)


FREE = 16777215  # Qt's own largest height


class SetupPane(Pane):
    """The set points of the one bank, and each charger that follows them."""

    piece_chosen = Signal(str)

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._title, self._about = QLabel("Set-up"), QLabel()
        self._title.setObjectName("title")
        self._about.setObjectName("soft")
        self._about.setWordWrap(True)
        switch = PartSwitch(SET_UP, "Charging")
        switch.asked.connect(lambda _part: self.piece_chosen.emit("relays"))
        for at, widget in enumerate((switch, self._title, self._about)):
            self.form_column.insertWidget(at, widget)
        self._bank = tuple(Form(session, folded=False) for _ in range(4))
        self._chargers: dict[str, Form] = {}
        self._caution = CautionPanel("controller")
        for part in (*self._bank[:3], self._caution, self._bank[3]):
            self.fields.addWidget(part)
        self.fields.addStretch(1)
        self._build_pictures()

    def _build_pictures(self) -> None:
        self._warmth, self._stages = ChargePlotView(), ChargePlotView()
        self._lanes, self._calendar = BusLanes(), EqualizeCalendar()
        self._lanes.piece_chosen.connect(self.piece_chosen)
        both = QSplitter(Qt.Orientation.Horizontal)
        both.setChildrenCollapsible(False)
        both.addWidget(self._warmth)
        both.addWidget(self._stages)
        both.setSizes([320, 320])
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        split.addWidget(both)
        split.addWidget(self._calendar)
        split.setStretchFactor(0, 3)
        split.setStretchFactor(1, 2)
        split.setSizes([300, 200])
        self._faces = Faces()
        for name, titles, face, tip in (
            ("charging", ("Charging", "Charging"), split, "Set points, one charge, the equalize calendar"),
            ("bus", ("On the bus", "On the bus"), self._lanes, "What each piece sees at the extremes"),
        ):
            self._faces.add(name, titles, face, tip)
        frame, column = sheet()
        column.setContentsMargins(0, 0, 0, 8)
        column.addWidget(self._faces)
        self.picture.addWidget(frame)

    def forms(self) -> tuple[Form, ...]:
        return (*self._bank, *self._chargers.values())

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        for part in (self._warmth, self._stages, self._lanes, self._calendar, self._caution, self._faces):
            part.set_look(look)

    def refresh(self) -> None:
        """Show the set points with the session's evaluation."""
        design, evaluation, habit = self._session.design, self._session.evaluation, self._session.habit
        found = charging(design)
        warm = units.show(25.0, "degC", habit)
        headings = (
            f"Set points, a cell at {warm}",
            "Temperature compensation",
            "Equalize",
            "Limits, and the meter",
        )
        taken = {item.path: (item.text, item.why) for item in found.assumed}
        for form, names, heading in zip(
            self._bank, (POINTS, WARMTH, CALENDAR, LIMITS), headings, strict=True
        ):
            form.set_paths("bank", names, heading)
            form.take(taken)
        self._show_chargers()
        self._about.setText(self._told(found, habit))
        self._warmth.show_plot(compensation_plot(found, _plain(design.bank.highest_voltage), habit))
        self._stages.show_plot(stages_plot(found, day_of(design, found, evaluation.controllers), habit))
        statuses = {
            finding.where: finding.status.word for finding in evaluation.findings if finding.rule in RULES
        }
        lanes = bus_lanes(design, found, evaluation.circuits, statuses, habit)
        self._lanes.show_lanes(lanes, "dotted: the lowest and the highest set point", habit)
        year = equalize_year(design, found, evaluation.balance)
        self._calendar.show_year(year, _no_calendar(found, year), habit)
        laid_out = year is not None and bool(year.turns)
        self._calendar.setMaximumHeight(FREE if laid_out else self._calendar.minimumSizeHint().height())

    def _show_chargers(self) -> None:
        """A form for each charger; forms are kept as long as their charger is there."""
        held = {item.id: item for item in chargers(self._session.design)}
        for id in [id for id in self._chargers if id not in held]:
            gone = self._chargers.pop(id)
            self.fields.removeWidget(gone)
            gone.hide()
            gone.deleteLater()
        for id, item in held.items():
            if id not in self._chargers:
                form = self._chargers[id] = Form(self._session, folded=False)
                self.fields.insertWidget(self.fields.count() - 1, form)
            self._chargers[id].set_paths(f"controllers.{id}", CHARGER, _heading(item))

    def _told(self, found: Charging, habit: str) -> str:
        count = len(found.chargers)
        if not count:
            return "No charger yet. Add a source with its charge controller."
        named = f"{count} chargers" if count > 1 else "one charger"
        kind = f"{found.chemistry}, {found.cells} cells" if found.cells else "the bank"
        volts = "" if found.nominal is None else f" · {units.show(found.nominal, 'V', habit)}"
        return f"{kind}{volts} · {named}"


def _heading(item: Controller) -> str:
    return f"Charger: {label(item)}"


def _plain(value: float | None) -> float | None:
    return None if value is None else float(value)


def _no_calendar(found: Charging, year: EqualizeYear | None) -> str:
    """Why no calendar stands there, and what to do."""
    if year is not None:
        names = ", ".join(dict.fromkeys(item.title for item in year.missing))
        return f"Enter: {names}." if names else "No day of this year is planned."
    if found.chemistry is None:
        return "Choose the bank's chemistry: flooded cells are equalized, others never."
    if found.chemistry != "flooded":
        return f"Cells of {found.chemistry} are never equalized."
    return "Enter how many days lie between two equalizations: the year is then laid out here."
