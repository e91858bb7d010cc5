"""What each turbine brings in a day of each month: wind through its rotor, water from its intake."""

from __future__ import annotations

from functools import partial
from math import pi

import numpy as np

from engine.design import Design, HydroTurbine, WindTurbine, label
from engine.physics.physical import GRAVITY
from engine.physics.wind import weibull_energies, wind_shear
from engine.sections.hydro import HOURS, HydroResult
from engine.sections.notes import Notes
from engine.sections.results import ControllerResult, Floats
from engine.sections.source_yield import Chain, Link, SourceYield, charging
from engine.sections.wind import WINDS, WindResult

DAYS_A_YEAR = 365.0  # of the hours that a Weibull year is reckoned with
WATER = 1000.0  # kg/m^3


def wind_yield(
    design: Design, turbine: WindTurbine, result: WindResult | None, controller: ControllerResult | None
) -> SourceYield:
    """The chain of a wind turbine: mean winds of the months, each spread over its speeds."""
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


def water_yield(
    design: Design, turbine: HydroTurbine, result: HydroResult | None, controller: ControllerResult | None
) -> SourceYield:
    """The chain of a hydro turbine: the flow that it takes in each month."""
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
