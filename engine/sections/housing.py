"""The air that a bank's room needs, and how far sparks must stay, after IEC 62485-2."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from engine.design import Design
from engine.physics.ventilation import TABLE_ENDS, battery_ventilation, hydrogen_rate
from engine.sections.charging import FIELDS, charging
from engine.sections.notes import Notes
from engine.sections.notes import field as named
from engine.sections.results import Missing
from engine.tables import table
from engine.worksheet import Worked

BOOST = "boost 2.40 V/cell"
EXPLOSIVE = 0.01  # of hydrogen in air: a quarter of the lower limit of 4 % (NFPA 855 and 1, from memory)


@dataclass(frozen=True, slots=True)
class Housing:
    """``gas``: whether charging makes gas, ``None`` where the chemistry is not known.

    ``airflow`` [m^3/h] and ``opening`` [cm^2], each of two, are needed; within ``distance`` [m] no spark may
    be. ``cell_voltage`` [V] is the highest that charging reaches at 25 degC, ``hours`` [h] until hydrogen
    comes to 1 % in a room that nothing airs.
    """

    gas: bool | None = None
    cell_voltage: float | None = None
    airflow: float | None = None
    opening: float | None = None
    distance: float | None = None
    hours: float | None = None
    missing: tuple[Missing, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)


def housing(
    design: Design, gassing: str | None, current: float | None, lacks: tuple[Missing, ...]
) -> Housing:
    """``gassing``: the rows of the gas currents, empty for none, ``None`` where not known; ``current`` [A]
    of all chargers together, ``lacks`` what that lacks."""
    bank = design.bank
    if gassing is None:
        return Housing()
    if not gassing:
        return Housing(gas=False)
    notes = Notes()
    notes.ask("bank", bank, "cells", "strings", "block_capacity")
    cell = _cell_voltage(design, notes)
    if cell is not None and cell > TABLE_ENDS and current is None:
        notes.lack(*lacks)
    if notes.missing or cell is None or bank.cells is None or bank.strings is None:
        return Housing(gas=True, cell_voltage=cell, missing=notes.missing)
    each = None if current is None else current / bank.strings
    gas = next(
        float(str(row["igas_mA_per_Ah"])) / 1000
        for row in table("iec62485_gassing_current").rows()
        if (row["type"], row["mode"]) == (gassing, BOOST)
    )
    found = notes.work(
        "ventilation",
        named("bank", bank, "absorption"),
        battery_ventilation,
        cells=bank.cells * bank.strings,
        capacity=bank.block_capacity,
        gas_current=gas,
        cell_voltage=cell,
        charge_current=each,
    )
    if found is None:
        return Housing(gas=True, cell_voltage=cell, missing=notes.missing)
    makes_gas = float(found.deciding_gas_current) * float(bank.block_capacity or 0.0)
    hydrogen = notes.keep("hydrogen", hydrogen_rate, cells=bank.cells * bank.strings, current=makes_gas)
    hours = None
    if bank.room_volume is not None and hydrogen is not None and hydrogen.hydrogen > 0:
        hours = EXPLOSIVE * float(bank.room_volume) / float(hydrogen.hydrogen)
    return Housing(
        gas=True,
        cell_voltage=cell,
        airflow=float(found.airflow),
        opening=float(found.opening),
        distance=float(found.distance),
        hours=hours,
        steps=notes.steps,
    )


def _cell_voltage(design: Design, notes: Notes) -> float | None:
    """The highest set point of a cell at 25 degC [V], at which gas currents are stated: of every stage, those
    that nobody entered too, and of each charger that is set by itself. Where no absorption is entered, the
    highest charging voltage counts with them."""
    bank, points = design.bank, [stage.per_cell for stage in charging(design).stages]
    if not notes.ask("bank", bank, "cells") or not bank.cells:
        return None
    own = (getattr(item, name) for item in design.controllers for name in FIELDS.values())
    points += [float(volts) / bank.cells for volts in own if volts is not None]
    if bank.absorption is not None:
        return max([float(bank.absorption), *points])
    if not notes.ask("bank", bank, "highest_voltage") or bank.highest_voltage is None:
        return None
    return max([float(bank.highest_voltage) / bank.cells, *points])
