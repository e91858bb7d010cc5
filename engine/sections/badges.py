"""Live volts and amps of pieces and circuits at the conditions of looking, by path; ``None``: not known."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, Protocol

from engine.design import Design, HydroTurbine, WindTurbine
from engine.sections.results import ArrayLook, Conditions

Badges = dict[str, tuple[float | None, float | None]]


class Charging(Protocol):
    """A source at the conditions: its voltage [V], its current and what it brings into the battery [A]."""

    @property
    def state(self) -> str: ...
    @property
    def voltage(self) -> float: ...
    @property
    def current(self) -> float: ...
    @property
    def output_current(self) -> float | None: ...


def of_sun(looks: Mapping[str, ArrayLook], conditions: Conditions, design: Design) -> Badges:
    """Those of the arrays, their strings and runs, of every controller, and of the bank."""
    found: Badges = {}
    charging: dict[str, float | None] = {item.id: 0.0 for item in design.controllers}
    for array in design.arrays:
        volts, amps, more = _flowing(looks.get(array.id))
        found[f"arrays.{array.id}"] = found[f"circuits.{array.id}-run"] = (volts, amps)
        each = amps / array.strings if amps is not None and array.strings else None
        found[f"circuits.{array.id}-string"] = (volts, each)
        if array.controller in charging:
            charging[array.controller] = _sum(charging[array.controller], more)
    driven = {item.controller for item in design.arrays}
    others = {item.controller for item in design.wind} | {item.controller for item in design.hydro}
    battery = None if design.bank.voltage is None else conditions.battery
    for id, current in charging.items():
        sun_alone = id in driven and id not in others
        pair = (battery, current if sun_alone else None)
        found[f"controllers.{id}"] = found[f"circuits.{id}-battery"] = pair
    return found | {"bank": (battery, None)}


def of_turbines(
    table: Literal["wind", "hydro"], looks: Mapping[str, Charging], conditions: Conditions, design: Design
) -> Badges:
    """Those of the turbines of one table, of their runs, and of the controllers that only they drive."""
    found: Badges = {}
    driven: dict[str, float | None] = {}
    wind, hydro = design.wind, design.hydro
    turbines: tuple[WindTurbine | HydroTurbine, ...] = wind if table == "wind" else hydro
    others: tuple[WindTurbine | HydroTurbine, ...] = hydro if table == "wind" else wind
    for turbine in turbines:
        volts, amps, more = _flowing(looks.get(turbine.id))
        found[f"{table}.{turbine.id}"] = found[f"circuits.{turbine.id}-run"] = (volts, amps)
        if turbine.controller:
            driven[turbine.controller] = _sum(driven.get(turbine.controller, 0.0), more)
    shared = {item.controller for item in design.arrays} | {item.controller for item in others}
    for id, current in driven.items():
        if id not in shared:
            found[f"controllers.{id}"] = found[f"circuits.{id}-battery"] = (conditions.battery, current)
    return found


def _flowing(seen: Charging | None) -> tuple[float | None, float | None, float | None]:
    """Voltage and current of a source, and its current into the battery; nothing is known without a curve."""
    if seen is None or seen.state == "no curve":
        return None, None, None
    return seen.voltage, seen.current, seen.output_current


def _sum(sofar: float | None, more: float | None) -> float | None:
    return None if sofar is None or more is None else sofar + more
