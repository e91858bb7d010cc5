"""The bank: its fields in groups at the left; how its blocks are joined, and what holds it, at the right."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QSplitter

from app import load_words
from app.bind import Form
from app.look import Look
from app.pane import Pane, sheet
from app.session import Session
from app.views.bank_bars import ChainBars, GaugeRows
from app.views.bank_drawing import BankDrawing, joined
from app.views.bank_gauges import chain, gauges
from app.views.caution import CautionPanel
from engine import units
from engine.design import Bank
from engine.sections.chemistry import TAKEN, taken
from engine.sections.storage import BankResult
from engine.sections.system_voltage import choices

SHOCK = 60.0  # V dc, above which a hand must not reach live parts (IEC 60364-4-41, 414)
GROUPS = {
    "Bank": (
        "label",
        "chemistry",
        "voltage",
        "lowest_voltage",
        "highest_voltage",
        "autonomy",
        "depth",
        "end_of_life",
        "lowest_temperature",
        "highest_temperature",
    ),
    "Blocks": (
        "block_voltage",
        "block_capacity",
        "capacity_hours",
        "peukert",
        "series",
        "strings",
        "cells",
        "takeoff",
        "string_device",
        "beside",
        "block_resistance",
        "block_resistance_aged",
        "charge_efficiency",
        "energy_efficiency",
    ),
    "What guards it": (
        "charge_current",
        "discharge_current",
        "discharge_surge",
        "own_protection",
        "cutout_signal",
        "cold_charge",
        "overcharge_stop",
        "cut_off",
        "cut_off_feeds",
        "cut_off_current",
        "system_earthing",
        "covered",
    ),
    "Where it stands": (
        "place",
        "ventilation",
        "vent_opening",
        "vent_airflow",
        "vent_proven",
        "room_volume",
        "spark_distance",
        "devices_inside",
        "block_mass",
        "block_length",
        "block_width",
        "tiers",
        "floor_limit",
    ),
}
GROUPED = {name for names in GROUPS.values() for name in names} | {"block_price"}
CHARGING = tuple(name for name in Bank.specs() if name not in GROUPED)


class StoragePane(Pane):
    """The one bank of the design."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self._session = session
        self._title, self._about = QLabel(), QLabel()
        self._title.setObjectName("title")
        self._about.setObjectName("soft")
        for at, text in enumerate((self._title, self._about)):
            text.setWordWrap(True)
            self.form_column.insertWidget(at, text)
        self._forms = {heading: Form(session, folded=False) for heading in GROUPS}
        self._charging, self._block_price, self._prices = (Form(session, folded=False) for _ in range(3))
        self._cautions = {name: CautionPanel(name) for name in CAUTIONS}
        self._voltages = QLabel()
        self._voltages.setObjectName("note")
        self._voltages.setWordWrap(True)
        for heading, form in self._forms.items():
            self.fields.addWidget(form)
            if heading == "Bank":
                self.fields.addWidget(self._voltages)
            for name in PLACED.get(heading, ()):
                self.fields.addWidget(self._cautions[name])
        for form in (self._charging, self._block_price, self._prices):
            self.fields.addWidget(form)
        self.fields.addStretch(1)
        self._build_pictures()

    def _build_pictures(self) -> None:
        self._drawing, self._chain, self._gauges = BankDrawing(), ChainBars(), GaugeRows()
        split = QSplitter(Qt.Orientation.Vertical)
        split.setChildrenCollapsible(False)
        frame, column = sheet()
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self._drawing)
        split.addWidget(frame)
        frame, column = sheet()
        column.setContentsMargins(0, 4, 0, 4)
        both = QSplitter(Qt.Orientation.Horizontal)
        both.setChildrenCollapsible(False)
        both.addWidget(self._chain)
        both.addWidget(self._gauges)
        both.setSizes([300, 350])
        column.addWidget(both)
        split.addWidget(frame)
        split.setSizes([230, 290])
        self.picture.addWidget(split)

    def forms(self) -> tuple[Form, ...]:
        return (*self._forms.values(), self._charging, self._block_price, self._prices)

    def set_look(self, look: Look) -> None:
        super().set_look(look)
        self._drawing.set_look(look)
        self._chain.set_look(look)
        self._gauges.set_look(look)
        for caution in self._cautions.values():
            caution.set_look(look)

    def refresh(self) -> None:
        """Show the bank with the session's evaluation."""
        session = self._session
        bank, result, habit = session.design.bank, session.evaluation.bank, session.habit
        self._title.setText(bank.label or "Battery bank")
        self._about.setText(bank.chemistry or "Choose its chemistry: currents, gas and cold follow from it.")
        for heading, form in self._forms.items():
            form.set_paths("bank", GROUPS[heading], heading)
        found = session.evaluation
        offered = choices(session.design, found.family, found.demand, found.arrays)
        self._voltages.setText("\n".join(load_words.voltages(offered, habit)))
        self._charging.set_paths("bank", CHARGING, "Charging")
        self._block_price.set_paths("bank", ("block_price",), "Money")
        self._prices.set_paths("prices", ("stored_kwh", "currency"))
        self._forms["Blocks"].take(
            {item.path: (item.text, item.why) for name in TAKEN for item in taken(bank, name)}
        )
        kind = result.chemistry
        self._cautions["acid"].setVisible(kind is not None and kind.name == "flooded")
        self._cautions["lithium"].setVisible(kind is not None and not kind.lead)
        self._cautions["shock"].setVisible(float(bank.highest_voltage or 0.0) > SHOCK)
        told = " · ".join(_told(bank, result, habit))
        block = _shown(bank.block_capacity, "Ah", habit)
        self._drawing.show_bank(joined(bank, block, told))
        self._chain.show_links(chain(result, habit))
        self._gauges.show_gauges(gauges(bank, result, habit, session.design.prices.currency or ""))


CAUTIONS = ("battery", "acid", "lithium", "shock")
PLACED = {"Bank": ("battery", "shock"), "Where it stands": ("acid", "lithium")}
"""The cautions, by the group of fields that each stands under."""


def _told(bank: Bank, result: BankResult, habit: str) -> list[str]:
    """Voltage, capacity, energy, mass and floor load of the bank, and its blocks, as far as known."""
    size, floor = result.capacity, result.body.floor
    block = " ".join(
        filter(None, (_shown(bank.block_voltage, "V", habit), _shown(bank.block_capacity, "Ah", habit)))
    )
    parts = [
        _shown(bank.voltage, "V", habit),
        _shown(size.capacity, "Ah", habit),
        _shown(size.installed, "Wh", habit),
    ]
    if floor is not None:
        parts += [_shown(floor.mass, "kg", habit), f"{_shown(floor.pressure, 'Pa', habit)} on the floor"]
    parts.append(f"blocks of {block}" if block else "")
    return [part for part in parts if part]


def _shown(value: float | None, unit: str, habit: str) -> str:
    return "" if value is None else units.show(value, unit, habit, 3)
