"""Each wind turbine at its site: the machine, its steady states both ways, its year, and its brake.

The cable counts as it was sized, the battery at its nominal voltage. Wind, air and machine are as entered;
what is missing is named, what was taken is noted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from typing import Any

import numpy as np

from engine.design import Design, WindTurbine
from engine.physics.air import air_density
from engine.physics.brake import braked_speed, shorted_alternator
from engine.physics.load_curve import Followed, LoadCurve
from engine.physics.wind import wind_shear
from engine.physics.wind_rotor import FURLED_AT, Furling, Rotor
from engine.physics.wind_turbine import Machine, Steady, direct, drag_of
from engine.sections import wind_class
from engine.sections.memory import Memory
from engine.sections.notes import Notes
from engine.sections.notes import field as field_of
from engine.sections.results import Assumed, CircuitResult, Missing
from engine.sections.wind_states import WINDS as WINDS
from engine.sections.wind_states import both_ways, held_until, rotor_of
from engine.sections.wind_year import year
from engine.units import show
from engine.worksheet import CannotCalculate, Worked

TWO_DIODES = 1.4  # V, silicon, the two that carry the current (common practice)
STANDARD_AIR = 15.0  # degC, U.S. Standard Atmosphere, 1976
UNLOADED = 1e9  # V: no rotor reaches it, so that no current flows
CLASSES = {
    "IV": 6.0,
    "III": 7.5,
    "II": 8.5,
    "I": 10.0,
}  # m/s, mean wind (IEC 61400-2:2013, table 1, from memory)
REFERENCE, GUST = 5.0, 7.0  # times that mean: 10 minutes and 3 seconds in 50 years (the same; 1.4 * 5)
MAKER = ("cp_points", "best_cp", "best_ratio")

_found: Memory[WindResult] = Memory(256)


@dataclass(frozen=True, slots=True)
class WindResult:
    """One turbine; ``None`` where a datum is missing.

    ``kind`` is its controller's, empty without one. ``tied`` and ``best`` are the steady states over
    ``WINDS``, straight on the battery and tracked; ``load`` is the load curve entered for a controller that
    tracks, ``on_load`` the steady states on it. ``mean_wind`` [m/s] at the hub; ``energy_*`` [Wh] a year:
    ``direct``, ``tracked`` (before the controller's loss), ``load`` (on the load curve entered), ``battery``
    (of the latter where there is one, after the controller's loss, where its efficiency is entered) and
    ``maker`` (of the entered power curve). ``gain`` is what the same brings into the battery over tying it
    straight. ``strongest`` [m/s] is the wind of most power: furling, else the rated wind. ``wind_class`` is
    the least of IEC 61400-2 that the mean allows, ``reference`` and ``gust`` its winds [m/s], or those of
    ``site_gust`` where that, entered and carried to the hub, is more. ``holds`` [m/s]: shorting stops and
    holds the rotor up to there; ``shorted_*`` what then flows in the reference wind, or where it breaks
    loose, if that is less. ``free_speed`` [rpm]: how fast the rotor runs without load in ``free_wind``, that
    at which furling begins, or the strongest gust where nothing furls.
    """

    turbine: str
    label: str
    controller: str | None = None
    kind: str = ""
    machine: Machine | None = None
    battery: float | None = None
    cap: float | None = None
    strongest: float | None = None
    tied: Steady | None = None
    best: Steady | None = None
    load: LoadCurve | None = None
    on_load: Followed | None = None
    mean_wind: float | None = None
    shape: float | None = None
    energy_direct: float | None = None
    energy_tracked: float | None = None
    energy_load: float | None = None
    energy_battery: float | None = None
    energy_maker: float | None = None
    gain: float | None = None
    wind_class: str = ""
    reference: float | None = None
    gust: float | None = None
    site_gust: float | None = None
    free_wind: float | None = None
    free_speed: float | None = None
    holds: float | None = None
    brake_resistance: float | None = None
    shorted_wind: float | None = None
    shorted_speed: float | None = None
    shorted_current: float | None = None
    shorted_line: float | None = None
    missing: tuple[Missing, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)


def turbines(design: Design, circuits: Mapping[str, CircuitResult]) -> dict[str, WindResult]:
    """Every wind turbine of the design, by its id."""
    found = {}
    for turbine in design.wind:
        ends = tuple(circuits.get(f"{turbine.id}-{end}") for end in ("alternator", "brake", "run"))
        controller = design.find("controllers", turbine.controller)
        losses = _one(tuple(None if end is None else (end.id, end.loss) for end in ends))
        made_from = (design.site, design.bank, turbine, controller, losses)
        found[turbine.id] = _found.recall(made_from, partial(_turbine, design, turbine, ends))
    return found


@lru_cache(maxsize=1024)
def _one(losses: tuple[Any, ...]) -> tuple[Any, ...]:
    """The same object for equal losses, so that the memory knows it."""
    return losses


def _turbine(design: Design, turbine: WindTurbine, ends: tuple[CircuitResult | None, ...]) -> WindResult:
    path, notes = f"wind.{turbine.id}", Notes()
    values = _climate(design, turbine, path, notes)
    density = values.pop("density")
    machine = _machine(turbine, path, density, ends, notes)
    controller = design.find("controllers", turbine.controller)
    values["kind"] = "" if controller is None else str(controller.use("kind"))
    values |= {"machine": machine, "strongest": _strongest(turbine, path, notes)}
    caps = [float(cap) for cap in (turbine.speed_cap, turbine.largest_speed) if cap is not None]
    values["cap"] = min(caps, default=None)
    notes.ask("bank", design.bank, "voltage")
    battery = design.bank.voltage
    if machine is not None and battery is not None:
        values["battery"] = float(battery)
        values["tied"], values["best"] = both_ways(machine, float(battery), values["cap"])
    values |= year(design, turbine, values)
    free = turbine.furling_wind if turbine.furling_wind is not None else values.get("gust")
    if machine is not None and free is not None:
        state = direct(machine, np.array([float(free)]), UNLOADED)
        values |= {"free_wind": float(free), "free_speed": float(state.rotor_speed[0])}
    if machine is not None and turbine.brake == "short circuit":
        values |= _brake(design, turbine, path, machine, ends[0], values, notes)
    return WindResult(
        turbine=turbine.id,
        label=turbine.label or turbine.id,
        controller=turbine.controller,
        missing=notes.missing,
        assumed=notes.assumed,
        steps=notes.steps,
        **values,
    )


def _climate(design: Design, turbine: WindTurbine, path: str, notes: Notes) -> dict[str, Any]:
    """Density of the air, mean wind at the hub, and the class of the site with its storms."""
    site = design.site
    found: dict[str, Any] = {"density": None, "shape": float(site.use("wind_shape"))}
    if notes.ask("site", site, "elevation"):
        months = site.air_temperature
        temperature = STANDARD_AIR if months is None else sum(map(float, months)) / len(months)
        if months is None:
            missing = field_of("site", site, "air_temperature")
            notes.suppose(Assumed(missing.path, missing.title, show(STANDARD_AIR, "degC"), "standard air"))
        given = {"temperature": temperature, "elevation": site.elevation}
        air = notes.work("density", field_of("site", site, "elevation"), air_density, **given)
        found["density"] = None if air is None else air.density
    notes.assume("site", site, "wind_height", "wind_shape", "shear_exponent")
    known = notes.ask("site", site, "wind_speed")
    if not notes.ask(path, turbine, "hub_height") or not known:
        return found
    hub = notes.work(
        "mean_wind",
        field_of("site", site, "wind_speed"),
        wind_shear,
        speed=site.wind_speed,
        height=site.use("wind_height"),
        target=turbine.hub_height,
        exponent=site.use("shear_exponent"),
    )
    if hub is None:
        return found
    mean = float(hub.speed)
    name, of_class = next(
        ((name, most) for name, most in CLASSES.items() if mean <= most), ("S", max(mean, CLASSES["I"]))
    )
    at_hub = wind_class.gust_at_hub(site, turbine)
    gust = max(GUST * of_class, at_hub or 0.0)
    storms = {"wind_class": name, "reference": gust * REFERENCE / GUST, "gust": gust, "site_gust": at_hub}
    return found | storms | {"mean_wind": mean}


def _strongest(turbine: WindTurbine, path: str, notes: Notes) -> float | None:
    wind = turbine.furling_wind if turbine.furling_wind is not None else turbine.rated_wind
    if wind is None:
        notes.ask(path, turbine, "furling_wind")
    return None if wind is None else float(wind)


def _machine(
    turbine: WindTurbine,
    path: str,
    density: float | None,
    ends: tuple[CircuitResult | None, ...],
    notes: Notes,
) -> Machine | None:
    """The turbine as a machine, the cable as it was sized."""
    known = notes.ask(path, turbine, "diameter", "volts_per_speed", "resistance")
    if turbine.cp_points is None:
        known &= notes.ask(path, turbine, "best_cp", "best_ratio")
    rotor = _rotor(turbine, path, notes) if known else None
    if rotor is None or density is None:
        return None
    notes.assume(path, turbine, "drivetrain")
    blame = field_of(path, turbine, "resistance")
    notes.suppose(Assumed(blame.path, "Rectifier drop", show(TWO_DIODES, "V"), "two silicon diodes"))
    return Machine(
        rotor,
        density=density,
        drivetrain=float(turbine.use("drivetrain")),
        volts_per_speed=float(turbine.volts_per_speed or 0.0),
        winding=float(turbine.resistance or 0.0),
        cable=sum(_resistance(turbine, end, notes) for end in ends),
        drop=TWO_DIODES,
        drag=_drag(turbine, path, rotor, notes),
        furling=_furling(turbine, path, notes),
    )


def _rotor(turbine: WindTurbine, path: str, notes: Notes) -> Rotor | None:
    diameter = float(turbine.diameter or 0.0)
    try:
        if turbine.cp_points is not None:
            return rotor_of(diameter, turbine.cp_points, None, None)
        blame = field_of(path, turbine, "cp_points")
        notes.suppose(Assumed(blame.path, blame.title, "a general curve", "its peak is as entered"))
        return rotor_of(diameter, None, turbine.best_cp, turbine.best_ratio)
    except CannotCalculate as error:
        blame = field_of(path, turbine, error.name if error.name in MAKER else "cp_points")
        notes.lack(Missing(blame.path, f"{blame.title} (need {error.need})"))
        return None


def _resistance(turbine: WindTurbine, end: CircuitResult | None, notes: Notes) -> float:
    """A circuit's resistance as it acts on the dc side [ohm]: its loss over the square of the dc current."""
    if end is None:
        return 0.0
    if end.loss is None or turbine.rated_current is None:
        missing = Missing(f"circuits.{end.id}.length", end.title)
        notes.suppose(Assumed(missing.path, missing.title, "0 ohm", "conductor not known"))
        return 0.0
    return float(end.loss) / float(turbine.rated_current) ** 2


def _drag(turbine: WindTurbine, path: str, rotor: Rotor, notes: Notes) -> float:
    blame = field_of(path, turbine, "iron_loss")
    if turbine.iron_loss is None:
        notes.suppose(Assumed(blame.path, blame.title, "0 W", "none entered"))
        return 0.0
    if not notes.ask(path, turbine, "rated_wind") or turbine.rated_wind is None:
        return 0.0
    return drag_of(float(turbine.iron_loss), float(turbine.rated_wind), rotor)


def _furling(turbine: WindTurbine, path: str, notes: Notes) -> Furling | None:
    begins = turbine.furling_wind
    if begins is None:
        return None
    blame = field_of(path, turbine, "furling_rest")
    if turbine.furling_rest is None:
        notes.suppose(Assumed(blame.path, blame.title, "100 %", "it holds its power, the heavier case"))
    end = show(FURLED_AT * begins, "m/s")
    notes.suppose(Assumed(blame.path, "Furled in full at", end, "common practice"))
    return Furling(float(begins), float(1.0 if turbine.furling_rest is None else turbine.furling_rest))


def _brake(
    design: Design,
    turbine: WindTurbine,
    path: str,
    machine: Machine,
    wires: CircuitResult | None,
    values: Mapping[str, Any],
    notes: Notes,
) -> dict[str, Any]:
    """How far shorting the alternator's wires holds the rotor, in the air of the coldest design day."""
    site = design.site
    notes.ask(path, turbine, "short_current", "largest_speed")
    notes.ask("site", site, "design_low")
    if wires is None or wires.loss is None or turbine.rated_current is None:
        notes.lack(Missing(f"circuits.{turbine.id}-alternator.length", "One-way length, alternator to brake"))
        return {}
    if site.design_low is None or site.elevation is None or turbine.short_current is None:
        return {}
    if turbine.largest_speed is None or values.get("reference") is None:
        return {}
    cold = air_density(temperature=float(site.design_low), elevation=float(site.elevation)).density
    shorted = replace(
        machine,
        density=cold,
        cable=float(wires.loss) / float(turbine.rated_current) ** 2,
        furling=None,
    )
    current = float(turbine.short_current)
    holds = held_until(shorted, current, float(turbine.largest_speed))
    at = min(holds, values["reference"])
    speed = float(braked_speed(shorted, np.array([at]), current)[0])
    flows = notes.work(
        "shorted",
        field_of(path, turbine, "short_current"),
        shorted_alternator,
        rotor_speed=speed,
        volts_per_speed=machine.volts_per_speed,
        resistance=shorted.resistance,
        short_current=current,
    )
    return {
        "holds": holds,
        "brake_resistance": shorted.cable,
        "shorted_wind": at,
        "shorted_speed": speed,
        "shorted_current": flows.current if flows is not None else None,
        "shorted_line": flows.line_current if flows is not None else None,
    }
