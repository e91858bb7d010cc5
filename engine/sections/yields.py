"""What each source brings in a day of each month, and the chain of losses from it to the battery.

Every loss is a link by its name. All energy counts as if it went through the battery, also what the loads
take by day.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from dataclasses import field as dataclass_field
from functools import lru_cache, partial
from math import pi, prod
from typing import Any

import numpy as np

from engine.design import Array, Design, HydroTurbine, Module, Site, WindTurbine, label
from engine.physics.cell_temperature import cell_rise
from engine.physics.physical import GRAVITY
from engine.physics.pv import factor_at
from engine.physics.tilted import month_cell, tilted_month, toward_equator
from engine.physics.wind import weibull_energies, wind_shear
from engine.sections.chemistry import of_chemistry, taken
from engine.sections.clipping import FULL, limit_over_array, share_under_limit
from engine.sections.datasheet import sheet_of
from engine.sections.hydro import HOURS, HydroResult
from engine.sections.memory import Memory
from engine.sections.notes import Notes, field
from engine.sections.results import ArrayResult, Assumed, CircuitResult, ControllerResult, Floats, Missing
from engine.sections.sunshine import sunshine
from engine.sections.wind import WINDS, WindResult
from engine.tables import table
from engine.units import show
from engine.worksheet import Worked

MONTHS = "January February March April May June July August September October November December".split()
DAYS_A_YEAR = 365.0  # of the hours that a Weibull year is reckoned with
WATER = 1000.0  # kg/m^3

_found: Memory[SourceYield] = Memory(256)


@dataclass(frozen=True, slots=True)
class Link:
    """One link of a chain: what it is and the share of the energy that it passes."""

    name: str
    share: float


@dataclass(frozen=True, slots=True)
class Chain:
    """A day of one month [Wh]: what a source is given, its links, and what counts at the battery."""

    given: float
    links: tuple[Link, ...]

    @property
    def factors(self) -> tuple[float, ...]:
        return tuple(link.share for link in self.links)

    @property
    def bank(self) -> float:
        return self.given * prod(self.factors)


@dataclass(frozen=True, slots=True)
class SourceYield:
    """One source by month; ``months`` is empty where a datum is missing.

    ``begins`` says where its chain begins, ``colour`` is sun, wind or water; ``steps`` are named by the
    number of the month (0 to 11).
    """

    path: str
    label: str
    colour: str
    begins: str
    months: tuple[Chain, ...] = ()
    missing: tuple[Missing, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    steps: Mapping[str, Worked] = dataclass_field(default_factory=dict)

    @property
    def bank(self) -> tuple[float, ...]:
        """What counts at the battery, a day of each month [Wh]."""
        return tuple(month.bank for month in self.months)


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
        held.append(_found.recall(key, partial(_wind, design, turbine, blown, controller)))
    for wheel in design.hydro:
        wet, controller = hydro.get(wheel.id), controllers.get(wheel.controller or "")
        key = (*about, wheel, wet, controller)
        held.append(_found.recall(key, partial(_water, design, wheel, wet, controller)))
    return tuple(held)


@lru_cache(maxsize=1024)
def _one(drops: tuple[float | None, ...]) -> tuple[float | None, ...]:
    """The same object for equal drops, so that the memory knows it."""
    return drops


def charging(design: Design, notes: Notes) -> Link:
    """What the battery gives back of its charge, as entered, else by its chemistry, else the least."""
    bank = design.bank
    known = of_chemistry(bank, "energy_efficiency")
    notes.suppose(*taken(bank, "energy_efficiency"))
    if known is not None:
        return Link("charging", known)
    least = min(table("chemistry").numbers("energy_efficiency"))
    told, why = show(least, "%"), "the least of all chemistries"
    notes.suppose(Assumed("bank.chemistry", "Charging the battery gives back", told, why))
    return Link("charging", least)


# Sun


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


# Wind


def _wind(
    design: Design, turbine: WindTurbine, result: WindResult | None, controller: ControllerResult | None
) -> SourceYield:
    path, notes = f"wind.{turbine.id}", Notes()
    made = partial(SourceYield, path, label(turbine), "wind", "wind through the rotor")
    site, known = design.site, notes.ask("site", design.site, "wind_months")
    known &= notes.ask(path, turbine, "hub_height")
    back = charging(design, notes)
    machine = None if result is None else result.machine
    if result is not None and machine is None:
        notes.lack(*result.missing)
    power = None if result is None or machine is None else _powers(result, controller)
    if power is None:
        notes.ask("bank", design.bank, "voltage")
    if not known or machine is None or power is None or result is None or site.wind_months is None:
        return made((), notes.missing, notes.assumed)
    notes.assume("site", site, "wind_height", "wind_shape", "shear_exponent")
    area = pi / 4 * float(turbine.diameter or 0.0) ** 2
    free: Floats = machine.density / 2 * area * WINDS**3
    shape = float(site.use("wind_shape"))
    months = []
    for wind in site.wind_months:
        hub = wind_shear(
            speed=float(wind),
            height=float(site.use("wind_height")),
            target=float(turbine.hub_height or 0.0),
            exponent=float(site.use("shear_exponent")),
        ).speed
        blown = weibull_energies((free, *power), WINDS, hub, shape) if hub > 0 else (0.0,) * 3
        given, caught, into = (energy / DAYS_A_YEAR for energy in blown)
        links = (
            Link("rotor, alternator, cable", caught / given if given else 0.0),
            Link("controller", into / caught if caught else 0.0),
            back,
        )
        months.append(Chain(given, links))
    return made(tuple(months), notes.missing, notes.assumed)


def _powers(result: WindResult, controller: ControllerResult | None) -> tuple[Floats, Floats] | None:
    """Power at the controller and into the battery over the winds [W]; both are one without tracking."""
    battery, tied = result.battery, result.tied
    best = result.best if result.on_load is None else result.on_load
    if battery is None or tied is None or best is None:
        return None
    if controller is None or controller.efficiency == ((1.0, 1.0),):
        return tied.power, tied.power
    ratios, shares = zip(*controller.efficiency, strict=True)
    into = best.power * np.interp(best.voltage / battery, ratios, shares)
    if controller.largest_output is not None:
        into = np.minimum(into, controller.largest_output * battery)
    return best.power, into


# Water


def _water(
    design: Design, turbine: HydroTurbine, result: HydroResult | None, controller: ControllerResult | None
) -> SourceYield:
    path, notes = f"hydro.{turbine.id}", Notes()
    made = partial(SourceYield, path, label(turbine), "water", "water at the intake")
    known = notes.ask(path, turbine, "flow_months")
    back = charging(design, notes)
    if result is not None and not result.months:
        notes.lack(*result.missing)
    if not known or result is None or not result.months or result.water.pipe is None:
        return made((), notes.missing, notes.assumed)
    pipe, months = result.water.pipe, []
    for month, hours in zip(result.months, HOURS, strict=True):
        given = WATER * GRAVITY * pipe.gross_head * month.taken * 24
        piped = given * (pipe.net_head(month.taken) or 0.0) / pipe.gross_head
        turned = _turned(result, month.taken, controller) * 24
        into = month.energy / hours * 24
        links = (
            Link("penstock", piped / given if given else 0.0),
            Link("wheel, alternator, cable", turned / piped if piped else 0.0),
            Link("controller", into / turned if turned else 0.0),
            back,
        )
        months.append(Chain(given, links))
    return made(tuple(months), notes.missing, notes.assumed)


def _turned(result: HydroResult, taken: float, controller: ControllerResult | None) -> float:
    """Power at the controller [W]: the best where it tracks, else straight on the battery."""
    if result.machine is None or result.battery is None:
        return 0.0
    line = result.machine.line(result.water, taken, result.battery)
    if line is None:
        return 0.0
    tracks = controller is not None and controller.efficiency != ((1.0, 1.0),)
    return float(line.best_power if tracks else line.power)
