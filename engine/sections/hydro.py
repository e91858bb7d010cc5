"""Each hydro turbine at its site: water, wheel, alternator, how the controller holds it, its year, its pipe.

The cable counts as it was sized, the battery at its nominal voltage. Water and machine are as entered; what
is missing is named, what was taken is noted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import Any

import numpy as np

from engine.design import Controller, Design, HydroTurbine
from engine.physics.hydro_turbine import TurbineLine, turbine_line, wheel_power
from engine.physics.pipe import PipeSurge, pipe_surge
from engine.sections.hydro_head import Water, water
from engine.sections.memory import Memory
from engine.sections.notes import Notes
from engine.sections.notes import field as field_of
from engine.sections.pipe_material import modulus_of
from engine.sections.results import Assumed, CircuitResult, ControllerResult, Missing
from engine.units import show
from engine.worksheet import CannotCalculate, Worked

TWO_DIODES = 1.4  # V, silicon, the two that carry the current (common practice)
HOURS = tuple(24.0 * days for days in (31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31))

_found: Memory[HydroResult] = Memory(256)


@dataclass(frozen=True, slots=True)
class Month:
    """One month: the stream's flow and what the turbine takes of it [m^3/s], power into the battery [W], and
    its energy [Wh]."""

    stream: float | None
    taken: float
    power: float
    energy: float


@dataclass(frozen=True, slots=True)
class Surge:
    """Pressures at the turbine [Pa]: still water, and in all when the valve shuts or a nozzle plugs."""

    still: float
    valve: float
    plug: float
    celerity: float
    critical_time: float | None


@dataclass(frozen=True, slots=True)
class Machine:
    """What turns water into volts: efficiency, runaway speed [rpm] at a net head [m], volts per rpm, ohms,
    and the loss torque as watts a rpm."""

    efficiency: float
    runaway_speed: float
    at_head: float
    volts_per_speed: float
    winding: float
    cable: float
    drag: float

    def line(self, water: Water, flow: float, voltage: Any) -> TurbineLine | None:
        """Amps and watts at a voltage [V, any shape] with a flow [m^3/s]; ``None`` where nothing turns."""
        given = self.given(water, flow)
        if given is None:
            return None
        try:
            return turbine_line(**given, voltage=voltage)
        except CannotCalculate:
            return None

    def given(self, water: Water, flow: float) -> dict[str, float] | None:
        """The inputs of the straight line at a flow: its jet, its runaway speed, its best power."""
        head = None if water.pipe is None else water.pipe.net_head(flow)
        if not head or flow <= 0:
            return None
        runaway = self.runaway_speed * (head / self.at_head) ** 0.5
        best = wheel_power(
            flow=flow,
            net_head=head,
            best_efficiency=self.efficiency,
            speed=runaway / 2,
            runaway_speed=runaway,
            coefficient=water.coefficient,
        )
        return {
            "wheel_power": best.power,
            "runaway_speed": runaway,
            "volts_per_speed": self.volts_per_speed,
            "winding": self.winding,
            "cable": self.cable,
            "drop": TWO_DIODES,
            "loss": self.drag * runaway / 2,
        }


@dataclass(frozen=True, slots=True)
class HydroResult:
    """One hydro turbine; ``None`` where a datum is missing.

    ``line`` is taken at full flow and at the battery's nominal voltage: its ``power`` is that of a turbine
    tied straight to the battery, its ``best_power`` the tracked one. ``tracked_output`` and
    ``direct_output`` are what reaches the battery [W], ``output_current`` [A] the tracked one unlimited.
    ``free_voltage`` is the highest that can stand, entered or computed. ``year`` and ``year_direct`` are
    energies [Wh], ``gain`` what tracking brings over tying it straight.
    """

    turbine: str
    label: str
    controller: str | None = None
    water: Water = Water()
    machine: Machine | None = None
    battery: float | None = None
    line: TurbineLine | None = None
    tracked_output: float | None = None
    direct_output: float | None = None
    output_current: float | None = None
    free_voltage: float | None = None
    months: tuple[Month, ...] = ()
    year: float | None = None
    year_direct: float | None = None
    gain: float | None = None
    surge: Surge | None = None
    missing: tuple[Missing, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)


def turbines(
    design: Design, controllers: Mapping[str, ControllerResult], circuits: Mapping[str, CircuitResult]
) -> dict[str, HydroResult]:
    """Every hydro turbine of the design, by its id."""
    found = {}
    for turbine in design.hydro:
        ends = tuple(circuits.get(f"{turbine.id}-{end}") for end in ("alternator", "run"))
        controller = controllers.get(turbine.controller or "")
        made_from = (design.bank, turbine, controller, *ends)
        found[turbine.id] = _found.recall(made_from, partial(_turbine, design, turbine, controller, ends))
    return found


def _turbine(
    design: Design,
    turbine: HydroTurbine,
    controller: ControllerResult | None,
    ends: tuple[CircuitResult | None, ...],
) -> HydroResult:
    path, notes = f"hydro.{turbine.id}", Notes()
    wet = water(turbine, path, notes)
    notes.ask("bank", design.bank, "voltage")
    battery = None if design.bank.voltage is None else float(design.bank.voltage)
    machine = _machine(turbine, path, wet, ends, notes)
    values: dict[str, Any] = {"water": wet, "machine": machine, "battery": battery}
    values["free_voltage"] = _free_voltage(turbine, wet)
    values["surge"] = _surge(turbine, path, wet, notes)
    record = design.find("controllers", turbine.controller)
    tracks = isinstance(record, Controller) and record.use("kind") == "tracking"
    notes.ask(path, turbine, "controller")
    if machine is not None and battery is not None and wet.flow is not None:
        values |= _held(turbine, path, wet, machine, controller, battery, notes)
        values |= _year(turbine, path, wet, machine, controller if tracks else None, battery, notes)
    return HydroResult(
        turbine=turbine.id,
        label=turbine.label or turbine.id,
        controller=turbine.controller,
        missing=notes.missing,
        assumed=notes.assumed,
        steps=notes.steps,
        **values,
    )


def _machine(
    turbine: HydroTurbine,
    path: str,
    wet: Water,
    ends: tuple[CircuitResult | None, ...],
    notes: Notes,
) -> Machine | None:
    known = notes.ask(path, turbine, "efficiency", "volts_per_speed", "resistance", "rated_speed")
    if not known or wet.runaway is None or wet.head is None or wet.pipe is None:
        return None
    notes.assume(path, turbine, "iron_loss")
    blame = field_of(path, turbine, "resistance")
    notes.suppose(Assumed(blame.path, "Rectifier drop", show(TWO_DIODES, "V"), "two silicon diodes"))
    return Machine(
        efficiency=float(turbine.efficiency or 0.0),
        runaway_speed=wet.runaway.speed,
        at_head=wet.pipe.gross_head,
        volts_per_speed=float(turbine.volts_per_speed or 0.0),
        winding=float(turbine.resistance or 0.0),
        cable=sum(_resistance(turbine, end, notes) for end in ends),
        drag=float(turbine.use("iron_loss")) / float(turbine.rated_speed or 1.0),
    )


def _resistance(turbine: HydroTurbine, end: CircuitResult | None, notes: Notes) -> float:
    """A circuit's resistance as it acts on the dc side [ohm]: its loss over the square of the dc current."""
    if end is None:
        return 0.0
    if end.loss is None or turbine.rated_current is None:
        notes.suppose(Assumed(f"circuits.{end.id}.length", end.title, "0 ohm", "conductor not known"))
        return 0.0
    return float(end.loss) / float(turbine.rated_current) ** 2


def _free_voltage(turbine: HydroTurbine, wet: Water) -> float | None:
    """The highest voltage that can stand [V]: the entered one, or what running free makes if that is more."""
    made = None if wet.runaway is None else wet.runaway.voltage
    known = [float(volts) for volts in (turbine.open_voltage, made) if volts is not None]
    return max(known, default=None)


def _held(
    turbine: HydroTurbine,
    path: str,
    wet: Water,
    machine: Machine,
    controller: ControllerResult | None,
    battery: float,
    notes: Notes,
) -> dict[str, Any]:
    """Full flow: the straight line, and what either way of holding it puts into the battery."""
    given = machine.given(wet, wet.flow or 0.0)
    if given is None:
        return {}
    line: TurbineLine | None = notes.work(
        "line", field_of(path, turbine, "volts_per_speed"), turbine_line, **given, voltage=battery
    )
    if line is None:
        return {}
    into = into_battery(line, controller, battery)
    return {
        "line": line,
        "tracked_output": into,
        "direct_output": float(line.power),
        "output_current": None if into is None else into / battery,
    }


def into_battery(line: TurbineLine, controller: ControllerResult | None, battery: float) -> float | None:
    """What a tracking controller makes of a turbine's best [W]; ``None`` where no efficiency is known.

    A turbine whose best voltage stands below the battery's is held at the battery's voltage.
    """
    if controller is None or not controller.efficiency:
        return None
    ratios, shares = zip(*controller.efficiency, strict=True)
    if line.best_voltage < battery:
        return float(line.power) * float(np.interp(1.0, ratios, shares))
    return line.best_power * float(np.interp(line.best_voltage / battery, ratios, shares))


def _year(
    turbine: HydroTurbine,
    path: str,
    wet: Water,
    machine: Machine,
    controller: ControllerResult | None,
    battery: float,
    notes: Notes,
) -> dict[str, Any]:
    """Twelve months of flow, less what stays in the stream, as power and energy into the battery.

    Without a controller that tracks the turbine is tied straight to the battery.
    """
    full = wet.flow or 0.0
    streams: list[float | None]
    if turbine.flow_months is None:
        blame = field_of(path, turbine, "flow_months")
        notes.suppose(Assumed(blame.path, blame.title, "enough in every month", "none entered"))
        streams = [None] * len(HOURS)
    else:
        streams = [float(flow) for flow in turbine.flow_months]
        if not notes.ask(path, turbine, "residual_flow"):
            return {}
    stays = float(turbine.residual_flow or 0.0)
    months, direct = [], 0.0
    for stream, hours in zip(streams, HOURS, strict=True):
        taken = full if stream is None else min(full, max(stream - stays, 0.0))
        line = machine.line(wet, taken, battery)
        tied = 0.0 if line is None else float(line.power)
        power = tied if controller is None or line is None else _limited(line, controller, battery)
        direct += tied * hours
        months.append(Month(stream, taken, power, power * hours))
    year = sum(month.energy for month in months)
    gain = year / direct if controller is not None and direct > 0 else None
    return {"months": tuple(months), "year": year, "year_direct": direct, "gain": gain}


def _limited(line: TurbineLine, controller: ControllerResult, battery: float) -> float:
    """Tracked power into the battery as far as the controller's output lets it [W]."""
    power, limit = into_battery(line, controller, battery) or 0.0, controller.largest_output
    return power if limit is None else min(power, limit * battery)


def _surge(turbine: HydroTurbine, path: str, wet: Water, notes: Notes) -> Surge | None:
    """Still water and the two ways in which the flow can stop: the valve, and a stone in one nozzle.

    The flow is the most that can stand in the pipe: what was entered, or what the nozzles pass.
    """
    pipe = wet.pipe
    flows = [flow for flow in (wet.entered, wet.nozzle and wet.nozzle.flow) if flow]
    if pipe is None or not flows:
        return None
    velocity = max(flows) / (np.pi / 4 * (pipe.diameter / 1000) ** 2)
    given: dict[str, Any] = {"length": pipe.length, "static_head": pipe.gross_head} | _wall(
        turbine, path, notes
    )
    blame = field_of(path, turbine, "closure_time")
    if turbine.closure_time is None:
        notes.suppose(Assumed(blame.path, blame.title, "0 s", "a sudden stop, the strictest"))
    closes = float(turbine.closure_time or 0.0)
    valve: PipeSurge | None = notes.work(
        "valve_surge", blame, pipe_surge, velocity_change=float(velocity), closure_time=closes, **given
    )
    of_one = float(velocity) / (turbine.nozzles or 1)
    plug: PipeSurge | None = notes.work("plug_surge", blame, pipe_surge, velocity_change=of_one, **given)
    if valve is None or plug is None or valve.total_pressure is None or plug.total_pressure is None:
        return None
    still = valve.total_pressure - valve.pressure
    plugged = plug.total_pressure if wet.nozzle is not None else still
    return Surge(still, valve.total_pressure, plugged, valve.celerity, valve.critical_time)


def _wall(turbine: HydroTurbine, path: str, notes: Notes) -> dict[str, float]:
    """What the wall gives way: nothing where its thickness or material is not known, the strictest."""
    modulus, wall = modulus_of(turbine.pipe_material), turbine.pipe_wall
    if modulus is None or wall is None or turbine.pipe_diameter is None:
        blame = field_of(path, turbine, "pipe_wall" if modulus is not None else "pipe_material")
        notes.suppose(Assumed(blame.path, "Stiffness of the pipe", "rigid", "not known; the strictest"))
        return {}
    blame = field_of(path, turbine, "pipe_material")
    notes.suppose(
        Assumed(blame.path, "Young's modulus", show(modulus, "Pa"), f"{turbine.pipe_material}, the stiffest")
    )
    return {"diameter": float(turbine.pipe_diameter), "wall": float(wall), "youngs_modulus": modulus}
