"""What each source brings in a day of each month, and the chain of losses from it to the battery.

Every loss is a link by its name. All energy counts as if it went through the battery, also what the loads
take by day.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache, partial
from typing import Any

from engine.design import Array, Design, Module, Site, label
from engine.physics.cell_temperature import cell_rise
from engine.physics.pv import factor_at
from engine.physics.tilted import month_cell, tilted_month, toward_equator
from engine.sections.clipping import FULL, limit_over_array, share_under_limit
from engine.sections.datasheet import sheet_of
from engine.sections.hydro import HydroResult
from engine.sections.memory import Memory
from engine.sections.notes import Notes, field
from engine.sections.results import ArrayResult, Assumed, CircuitResult, ControllerResult, Missing
from engine.sections.source_yield import Chain, Link, SourceYield, charging
from engine.sections.sunshine import sunshine
from engine.sections.turbine_yields import water_yield, wind_yield
from engine.sections.wind import WindResult
from engine.units import show

_found: Memory[SourceYield] = Memory(256)


def yields(
    design: Design,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
    circuits: Mapping[str, CircuitResult],
    wind: Mapping[str, WindResult],
    hydro: Mapping[str, HydroResult],
) -> tuple[SourceYield, ...]:
    """Every source of the design, in the order of the line: sun, wind, water."""
    held: list[SourceYield] = []
    key: tuple[Any, ...]
    about = (design.site, design.bank)
    for array in design.arrays:
        result, controller = arrays.get(array.id), controllers.get(array.controller or "")
        drops = _one(tuple(_drop(circuits.get(id)) for id in _ends(array)))
        module = design.find("modules", array.module)
        key = (*about, array, module, result, controller, drops)
        held.append(_found.recall(key, partial(_sun, design, array, result, controller, drops)))
    for turbine in design.wind:
        blown, controller = wind.get(turbine.id), controllers.get(turbine.controller or "")
        key = (*about, turbine, blown, controller)
        held.append(_found.recall(key, partial(wind_yield, design, turbine, blown, controller)))
    for wheel in design.hydro:
        wet, controller = hydro.get(wheel.id), controllers.get(wheel.controller or "")
        key = (*about, wheel, wet, controller)
        held.append(_found.recall(key, partial(water_yield, design, wheel, wet, controller)))
    return tuple(held)


@lru_cache(maxsize=1024)
def _one(drops: tuple[float | None, ...]) -> tuple[float | None, ...]:
    """The same object for equal drops, so that the memory knows it."""
    return drops


def _ends(array: Array) -> tuple[str, ...]:
    strings = (f"{array.id}-string",) if (array.strings or 1) > 1 else ()
    battery = (f"{array.controller}-battery",) if array.controller else ()
    return (*strings, f"{array.id}-run", *battery)


def _drop(circuit: CircuitResult | None) -> float | None:
    """The share that a circuit loses at full current: as it was sized, else as it may be."""
    if circuit is None:
        return None
    return circuit.drop_allowed if circuit.drop_fraction is None else circuit.drop_fraction


def _sun(
    design: Design,
    array: Array,
    result: ArrayResult | None,
    controller: ControllerResult | None,
    drops: tuple[float | None, ...],
) -> SourceYield:
    path, notes = f"arrays.{array.id}", Notes()
    made = partial(SourceYield, path, label(array), "sun", "sun on the plane")
    planes = _planes(design, array, notes)
    links = _after(array, result, controller, drops, notes)
    heat = _heat(design, array, planes, notes)
    back = charging(design, notes)
    power = None if result is None else result.power
    if power is None:
        notes.ask(path, array, "module", "modules", "strings")
        notes.lack(*needed(() if result is None else result.missing, "vmp", "imp"))
    months: list[Chain] = []
    site, limit = design.site, limit_over_array(controller)
    if planes and heat and links is not None and power is not None:
        for month, (plane, warm) in enumerate(zip(planes, heat, strict=True)):
            snow = () if array.snow is None else (Link("snow", 1 - float(array.snow[month])),)
            dirt = Link("dirt and mismatch", 1 - float(array.use("losses")))
            passed = (
                () if limit is None else (_passed(site, month, plane, notes, limit / (dirt.share * warm)),)
            )
            chain = (dirt, *snow, Link("heat", warm), *links, *passed, back)
            months.append(Chain(power * plane / 1000, chain))
    notes.assume(path, array, "losses", "mounting")
    return made(tuple(months), notes.missing, notes.assumed, notes.steps)


def _passed(site: Site, month: int, plane: float, notes: Notes, limit: float) -> Link:
    """What the controller's output limit, over the array's rating less its losses, lets through."""
    clearness = float(notes.steps[str(month)].result.clearness)
    share = share_under_limit(float(site.latitude or 0.0), month + 1, plane, clearness, FULL * limit)
    return Link("controller's limit", share)


def _planes(design: Design, array: Array, notes: Notes) -> list[float]:
    """Sun on the plane, a day of each month [Wh/m^2]; a step for each month."""
    site, path = design.site, f"arrays.{array.id}"
    known = notes.ask("site", site, "latitude")
    sun = sunshine(site)
    if sun is None:
        known &= notes.ask("site", site, "sun")
    known &= notes.ask(path, array, "tilt")
    if array.tilt is None or array.tilt > 0:
        known &= notes.ask(path, array, "azimuth")
    if not known or sun is None or site.latitude is None:
        return []
    if sun.assumed is not None:
        notes.suppose(sun.assumed)
    latitude = float(site.latitude)
    facing = toward_equator(float(array.azimuth or 0.0), latitude)
    found = []
    for month, level in enumerate(sun.months):
        blame = field("site", site, "sun")
        given = {"latitude": latitude, "month": month + 1, "level": level}
        tilt = float(array.tilt or 0.0)
        got = notes.work(str(month), blame, tilted_month, **given, tilt=tilt, azimuth=facing)
        if got is None:
            return []
        found.append(float(got.plane))
    return found


def _heat(design: Design, array: Array, planes: list[float], notes: Notes) -> list[float]:
    """What warm cells leave, by month; cold ones are not counted for more than their rating."""
    site, module = design.site, design.find("modules", array.module)
    if not isinstance(module, Module) or not planes:
        return []
    sheet = sheet_of(module)
    gamma = sheet.beta_vmp if sheet.gamma is None else sheet.gamma  # the voltage falls faster than the power
    if gamma is None or gamma > 0:
        notes.lack(sheet.field("gamma_pmp"))
        return []
    air = site.air_temperature
    if air is None and not notes.ask("site", site, "design_high"):
        return []
    if air is None:
        blame = field("site", site, "air_temperature")
        text = show(site.design_high, "degC") if site.design_high is not None else ""
        notes.suppose(Assumed(blame.path, blame.title, text, "the design high in every month"))
    rise = cell_rise(str(array.use("mounting")))
    found = []
    for month in range(len(planes)):
        ambient = float(site.design_high or 0.0) if air is None else float(air[month])
        clearness = notes.steps[str(month)].result.clearness
        cell = month_cell(ambient, min(clearness, 1.0), rise).temperature
        found.append(min(factor_at(cell, gamma, "gamma"), 1.0))
    return found


def _after(
    array: Array,
    result: ArrayResult | None,
    controller: ControllerResult | None,
    drops: tuple[float | None, ...],
    notes: Notes,
) -> tuple[Link, ...] | None:
    """The links from the array's terminals into the battery."""
    for id, drop in zip(_ends(array), drops, strict=True):
        if drop is None:
            notes.lack(Missing(f"circuits.{id}.length", f"One-way length, {id}"))
    if controller is None:
        notes.ask(f"arrays.{array.id}", array, "controller")
        return None
    if any(drop is None for drop in drops):
        return None
    wiring = Link("wiring", max(1 - sum(drop or 0.0 for drop in drops), 0.0))
    if controller.conversion_efficiency is not None:
        return wiring, Link("controller", controller.conversion_efficiency)
    running = None if result is None else result.running_standard
    if controller.efficiency == ((1.0, 1.0),) and controller.battery_nominal and running:
        return wiring, Link("held at battery voltage", min(controller.battery_nominal / running, 1.0))
    for item in (controller, result):
        notes.lack(
            *needed(() if item is None else item.missing, "voltage", "vmp", "imp", "modules", "strings")
        )
    return None


def needed(missing: tuple[Missing, ...], *names: str) -> tuple[Missing, ...]:
    """The missing data whose field has one of these names."""
    return tuple(item for item in missing if item.path.rpartition(".")[2] in names)
