"""The voltages at which a controller starts, stops and dies, at the battery voltage where each counts."""

from __future__ import annotations

from dataclasses import dataclass

from engine.design import Bank, Controller
from engine.physics.controller import standoff_limit, start_voltage
from engine.sections.notes import Notes, field


@dataclass(frozen=True, slots=True)
class Limits:
    """Source voltages [V]; ``None`` where a datum is missing, or where no limit follows the battery."""

    start: float | None
    operating: float | None
    standoff: float | None
    standoff_battery_open: float | None


def limits(controller: Controller, bank: Bank, notes: Notes) -> Limits:
    """The limits of a controller; what is missing and the worked steps go into ``notes``.

    Starting counts at the highest battery voltage; a standoff limit that follows the battery at the lowest,
    and at 0 V, which stands there once the battery breaker has been opened first.
    """
    path = f"controllers.{controller.id}"
    notes.ask(path, controller, "operating_limit")
    operating = controller.operating_limit
    return Limits(
        _start(path, controller, bank, notes),
        None if operating is None else float(operating),
        _standoff(path, controller, bank, notes),
        _battery_open(path, controller, notes),
    )


def _start(path: str, controller: Controller, bank: Bank, notes: Notes) -> float | None:
    above, fixed = controller.start_above_battery, controller.start_voltage
    if controller.use("kind") == "diversion":
        return None  # it takes current out of the battery; nothing starts it
    known = notes.ask("bank", bank, "highest_voltage")
    if above is None and fixed is None:
        known = notes.ask(path, controller, "start_above_battery")
    if not known:
        return None
    found = notes.work(
        "start",
        field(path, controller, "start_above_battery"),
        start_voltage,
        battery=bank.highest_voltage,
        above_battery=above or 0.0,
        fixed=fixed,
    )
    return None if found is None else float(found.start)


def _standoff(path: str, controller: Controller, bank: Bank, notes: Notes) -> float | None:
    above, fixed = controller.standoff_above_battery, controller.standoff_limit
    if above is None and fixed is None:
        notes.ask(path, controller, "standoff_limit")
        return None
    if above is not None and not notes.ask("bank", bank, "lowest_voltage"):
        return None
    found = notes.work(
        "standoff",
        field(path, controller, "standoff_limit"),
        standoff_limit,
        battery=bank.lowest_voltage or 0.0,
        above_battery=above,
        fixed=fixed,
    )
    return None if found is None else float(found.standoff)


def _battery_open(path: str, controller: Controller, notes: Notes) -> float | None:
    if controller.standoff_above_battery is None:
        return None
    found = notes.work(
        "standoff_battery_open",
        field(path, controller, "standoff_above_battery"),
        standoff_limit,
        battery=0.0,
        above_battery=controller.standoff_above_battery,
        fixed=controller.standoff_limit,
    )
    return None if found is None else float(found.standoff)
