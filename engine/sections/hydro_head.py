"""The water side of a hydro turbine: net head, what its nozzles pass, its wheel in the jet, its runaway."""

from __future__ import annotations

from dataclasses import dataclass

from engine.design import HydroTurbine
from engine.physics.hydro import hydro_jet
from engine.physics.hydro_turbine import Runaway, WheelSpeed, runaway, wheel_speed
from engine.physics.penstock import NetHead, NozzleFlow, PipeBest, net_head, nozzle_flow, pipe_best
from engine.sections.memory import Memory
from engine.sections.notes import Notes, field
from engine.sections.pipe_material import hazen_of, roughness_of
from engine.sections.results import Assumed, Missing
from engine.units import show
from engine.worksheet import CannotCalculate, Worked

JETS = ("pelton", "turgo")  # wheels in a free jet: the head ends at the nozzle, the ratio to the jet is known
LOW_HEAD = 5.0  # m: below it every fitting counts, and none is taken for granted
USUAL_FITTINGS = 2.0  # sum of K of an entrance, a few bends and an open valve (common practice)
PENSTOCK = ("gross_head", "pipe_length", "pipe_diameter")

_free: Memory[Worked | None] = Memory(256)


@dataclass(frozen=True, slots=True)
class Pipe:
    """A penstock with everything that its loss needs: heads and length [m], diameter and roughness [mm]."""

    gross_head: float
    diameter: float
    length: float
    roughness: float
    fittings: float
    c: float | None

    def given(self) -> dict[str, float]:
        """The inputs that the formulas of the penstock share."""
        names = ("gross_head", "diameter", "length", "roughness", "fittings")
        return {name: getattr(self, name) for name in names}

    def net_head(self, flow: float) -> float | None:
        """The head [m] left at a flow [m^3/s]; ``None`` where the pipe can't pass it."""
        try:
            return net_head(flow=flow, **self.given()).net_head
        except CannotCalculate:
            return None


@dataclass(frozen=True, slots=True)
class Water:
    """A turbine's water; ``None`` where a datum is missing.

    ``flow`` [m^3/s] is what works: the entered flow, or what the nozzles pass wide open if that is less.
    ``head`` is taken there, ``nozzle`` wide open, ``best`` is the most that the pipe can give.
    ``coefficient`` is that of the nozzle, 1 without one.
    """

    pipe: Pipe | None = None
    flow: float | None = None
    entered: float | None = None
    coefficient: float = 1.0
    head: NetHead | None = None
    nozzle: NozzleFlow | None = None
    best: PipeBest | None = None
    jet_velocity: float | None = None
    wheel: WheelSpeed | None = None
    runaway: Runaway | None = None


def free_running(turbine: HydroTurbine, path: str) -> Worked | None:
    """The worked step of a turbine's runaway at the whole gross head; ``None`` where its data are missing,
    the alternator's volts per speed among them."""
    if turbine.volts_per_speed is None:
        return None

    def compute() -> Worked | None:
        notes = Notes()
        water(turbine, path, notes)
        return notes.steps.get("runaway")

    return _free.recall((turbine,), compute)


def has_nozzle(turbine: HydroTurbine) -> bool:
    """Whether the water leaves the pipe by a nozzle, as far as was entered."""
    return turbine.turbine in JETS or turbine.nozzle_diameter is not None


def water(turbine: HydroTurbine, path: str, notes: Notes) -> Water:
    """What the water does: every step is noted, with what is missing and what was taken."""
    pipe = _pipe(turbine, path, notes)
    nozzled = has_nozzle(turbine)
    entered = None if turbine.flow is None else float(turbine.flow)
    coefficient = float(turbine.use("nozzle_coefficient")) if nozzled else 1.0
    if nozzled:
        notes.assume(path, turbine, "nozzle_coefficient")
        notes.ask(path, turbine, "nozzle_diameter")
    nozzle = _nozzle(turbine, path, pipe, coefficient, notes) if nozzled and pipe is not None else None
    flows = [flow for flow in (entered, None if nozzle is None else nozzle.flow) if flow]
    if entered is None:
        notes.ask(path, turbine, "flow")
    flow = min(flows, default=None)
    if pipe is None or flow is None:
        return Water(pipe, flow, entered, coefficient, nozzle=nozzle)
    given = {**pipe.given(), "flow": flow, "c": pipe.c}
    head: NetHead | None = notes.work("net_head", field(path, turbine, "flow"), net_head, **given)
    best: PipeBest | None = notes.work(
        "pipe_best", field(path, turbine, "pipe_length"), pipe_best, **pipe.given()
    )
    if head is None or head.net_head <= 0:
        return Water(pipe, flow, entered, coefficient, nozzle=nozzle, best=best)
    jet = hydro_jet(head=head.net_head, coefficient=coefficient).velocity if nozzled else None
    wheel = _wheel(turbine, path, jet, notes)
    fast = _runaway(turbine, path, pipe, head, wheel, notes)
    return Water(pipe, flow, entered, coefficient, head, nozzle, best, jet, wheel, fast)


def _pipe(turbine: HydroTurbine, path: str, notes: Notes) -> Pipe | None:
    known = notes.ask(path, turbine, *PENSTOCK)
    roughness = None if turbine.pipe_roughness is None else float(turbine.pipe_roughness)
    if roughness is None:
        roughness = roughness_of(turbine.pipe_material)
        blame = field(path, turbine, "pipe_roughness")
        if roughness is None:
            notes.lack(blame)
        else:
            why = f"the roughest of {turbine.pipe_material} in the table"
            notes.suppose(Assumed(blame.path, blame.title, show(roughness, "mm"), why))
    gross = _gross(turbine, path, notes)
    fittings = _fittings(turbine, path, gross, notes)
    if not known or roughness is None or fittings is None or gross is None:
        return None
    return Pipe(
        gross,
        float(turbine.pipe_diameter or 0.0),
        float(turbine.pipe_length or 0.0),
        roughness,
        fittings,
        hazen_of(turbine.pipe_material),
    )


def _gross(turbine: HydroTurbine, path: str, notes: Notes) -> float | None:
    """The head as far as the nozzle [m]; all of it where a draft tube takes the rest."""
    if turbine.gross_head is None:
        return None
    if not has_nozzle(turbine):
        return float(turbine.gross_head)
    left = float(turbine.gross_head) - float(turbine.use("below_nozzle"))
    if left > 0:
        return left
    blame = field(path, turbine, "below_nozzle")
    notes.lack(Missing(blame.path, f"{blame.title} (need less than the gross head)"))
    return None


def _fittings(turbine: HydroTurbine, path: str, gross: float | None, notes: Notes) -> float | None:
    """The sum of K; what is usual stands in for it where the head is high enough to bear it."""
    if turbine.fittings is not None:
        return float(turbine.fittings)
    blame = field(path, turbine, "fittings")
    if gross is None or gross < LOW_HEAD:
        notes.lack(blame)
        return None
    why = "an entrance, bends and an open valve, common practice"
    notes.suppose(Assumed(blame.path, blame.title, f"{USUAL_FITTINGS:g}", why))
    return USUAL_FITTINGS


def _nozzle(
    turbine: HydroTurbine, path: str, pipe: Pipe, coefficient: float, notes: Notes
) -> NozzleFlow | None:
    if turbine.nozzle_diameter is None:
        return None
    count = turbine.nozzles
    if count is None:
        blame = field(path, turbine, "nozzles")
        notes.suppose(Assumed(blame.path, blame.title, "1", "one jet"))
    found: NozzleFlow | None = notes.work(
        "nozzle_flow",
        field(path, turbine, "nozzle_diameter"),
        nozzle_flow,
        **pipe.given(),
        nozzle_diameter=float(turbine.nozzle_diameter),
        nozzles=count or 1,
        coefficient=coefficient,
    )
    return found


def _wheel(turbine: HydroTurbine, path: str, velocity: float | None, notes: Notes) -> WheelSpeed | None:
    if turbine.turbine not in JETS or velocity is None:
        return None
    if not notes.ask(path, turbine, "wheel_diameter", "rated_speed"):
        return None
    found: WheelSpeed | None = notes.work(
        "wheel_speed",
        field(path, turbine, "wheel_diameter"),
        wheel_speed,
        jet_velocity=velocity,
        wheel_diameter=float(turbine.wheel_diameter or 0.0),
        speed=float(turbine.rated_speed or 0.0),
    )
    return found


def _runaway(
    turbine: HydroTurbine,
    path: str,
    pipe: Pipe,
    head: NetHead,
    wheel: WheelSpeed | None,
    notes: Notes,
) -> Runaway | None:
    notes.ask(path, turbine, "volts_per_speed")
    if not notes.ask(path, turbine, "rated_speed", "runaway_factor"):
        return None
    found: Runaway | None = notes.work(
        "runaway",
        field(path, turbine, "runaway_factor"),
        runaway,
        rated_speed=float(turbine.rated_speed or 0.0),
        factor=float(turbine.runaway_factor or 1.0),
        gross_head=pipe.gross_head,
        net_head=head.net_head,
        best_speed=0.0 if wheel is None else wheel.best_speed,
        volts_per_speed=None if turbine.volts_per_speed is None else float(turbine.volts_per_speed),
    )
    return found
