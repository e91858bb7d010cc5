"""Penstock: friction in a pipe and the pressure surge of a flow that stops."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.physics.hydro import WATER_DENSITY
from engine.physics.physical import GRAVITY
from engine.sources import Source
from engine.worksheet import CannotCalculate, Input, Output, quantity, worksheet

MM = 1e-3  # m
LAMINAR_ENDS = 2040.0  # Reynolds number below which pipe flow stays laminar (Avila and others, Science, 2011)
TURBULENT_BEGINS = 4000.0  # Reynolds number from which Colebrook's equation is fitted
ROUGHEST = 0.05  # relative roughness up to which Colebrook's equation and Moody's chart reach
WATER_VISCOSITY = 1.31e-3  # Pa*s at 10 degC (tables of water properties, from memory)
WATER_BULK_MODULUS = 2.2e9  # Pa at 20 degC, rounded up, so that the surge is never too mild (from memory)

FLUID_MECHANICS = "Fluid Mechanics: Fundamentals and Applications"
CENGEL = "Y. A. Cengel and J. M. Cimbala, McGraw-Hill"


def _flow() -> Input:
    return quantity("flow", "m^3/s", "flow", "5 L/s", low=0, high=1000)


def _diameter() -> Input:
    return quantity("diameter", "mm", "inside diameter of the pipe", "81.4 mm", above=0, high=20_000)


def _length() -> Input:
    return quantity("length", "m", "length of the pipe", "140 m", above=0, high=50_000)


def pipe_velocity(flow: float, diameter: float) -> float:
    """Mean velocity [m/s] of a flow [m^3/s] in a pipe of a bore [mm]. Arrays pass too."""
    return flow / (math.pi / 4 * (diameter * MM) ** 2)


def friction(reynolds: float, relative_roughness: float) -> float:
    """Darcy friction factor [-]: see ``pipe_friction_factor``."""
    laminar = 64 / reynolds
    if reynolds < LAMINAR_ENDS:
        return laminar
    turbulent = _colebrook(reynolds, relative_roughness)
    return turbulent if reynolds >= TURBULENT_BEGINS else max(laminar, turbulent)


def _colebrook(reynolds: float, relative_roughness: float) -> float:
    """Newton's steps for x = 1/sqrt(f) in ``x = -2 log10(rough/3.7 + 2.51 x/Re)``, from Haaland's formula."""
    rough, smooth = relative_roughness / 3.7, 2.51 / reynolds
    x = -1.8 * math.log10(rough**1.11 + 6.9 / reynolds)
    for _ in range(50):
        inside = rough + smooth * x
        step = (x + 2 * math.log10(inside)) / (1 + 2 * smooth / (math.log(10) * inside))
        x -= step
        if abs(step) <= 1e-13 * x:
            break
    return 1 / x**2


class PipeFrictionFactor(NamedTuple):
    friction_factor: float


@worksheet(
    id="pipe-friction-factor",
    subject="Hydro",
    title="Friction factor of a pipe",
    inputs=(
        quantity("reynolds", "1", "Reynolds number", "60000", above=0, high=1e9),
        quantity("relative_roughness", "1", "roughness over diameter", "0.00002", low=0, high=ROUGHEST),
    ),
    outputs=(Output("friction_factor", "Darcy friction factor", "1"),),
    expression=(
        "friction_factor = 64 / reynolds below 2040, root f of the next line from 4000, between the larger",
        "1 / sqrt(f) = -2 * log10(relative_roughness / 3.7 + 2.51 / (reynolds * sqrt(f)))",
    ),
    source=Source(FLUID_MECHANICS, CENGEL, "2006", "8-5, Colebrook's equation, Moody's chart"),
    validity="Round pipes running full. Between Reynolds 2040 and 4000 the flow may be either: the larger "
    "stands.",
)
def pipe_friction_factor(*, reynolds: float, relative_roughness: float) -> PipeFrictionFactor:
    """Darcy friction factor of a round pipe: laminar by Poiseuille, turbulent by Colebrook and White.

    ``f = 64 / Re`` below Re 2040; ``1 / sqrt(f) = -2 log10(relative / 3.7 + 2.51 / (Re sqrt(f)))`` from 4000;
    between, where the flow may be either, the larger of the two.

    Args: reynolds [> 0]; relative_roughness [0..0.05], roughness over diameter. Scalars only.
    Returns: friction_factor [-], Darcy's (four times Fanning's), solved to the last digits.

    >>> round(pipe_friction_factor(reynolds=134_300, relative_roughness=4e-5).friction_factor, 4)
    0.0172

    Source: C. F. Colebrook, J. Inst. Civil Engineers 11, 1939, as in Cengel and Cimbala, 2006 (from memory);
    the end of laminar flow: K. Avila and others, Science 333, 2011 (from memory).
    """
    return PipeFrictionFactor(friction(reynolds, relative_roughness))


class PipeLoss(NamedTuple):
    velocity: float
    reynolds: float
    friction_factor: float | None
    head_loss: float


@worksheet(
    id="pipe-loss",
    subject="Hydro",
    title="Head lost in a pipe",
    inputs=(
        _flow(),
        _diameter(),
        _length(),
        quantity("roughness", "mm", "roughness of the wall", "0.0015 mm", low=0, high=50),
        quantity("density", "kg/m^3", "density of water", "1000 kg/m^3", WATER_DENSITY, low=500, high=1500),
        quantity(
            "viscosity", "Pa*s", "viscosity of water", "1.31e-3 Pa*s", WATER_VISCOSITY, low=1e-4, high=0.1
        ),
        quantity("fittings", "1", "sum of the fittings' loss coefficients", "2.5", 0.0, low=0, high=1000),
    ),
    outputs=(
        Output("velocity", "velocity", "m/s"),
        Output("reynolds", "Reynolds number", "1"),
        Output("friction_factor", "Darcy friction factor", "1"),
        Output("head_loss", "head lost", "m"),
    ),
    expression=(
        "velocity = flow / (pi / 4 * diameter^2)",
        "reynolds = density * velocity * diameter / viscosity",
        "friction_factor = as pipe-friction-factor for (reynolds, roughness / diameter)",
        "head_loss = (friction_factor * length / diameter + fittings) * velocity^2 / (2 * 9.80665 m/s^2)",
    ),
    source=Source(FLUID_MECHANICS, CENGEL, "2006", "8-5 and 8-6, Darcy and Weisbach"),
    validity="Round pipes running full; roughness up to a twentieth of the diameter. Water at 10 degC "
    "unless given.",
)
def pipe_loss(
    *,
    flow: float,
    diameter: float,
    length: float,
    roughness: float,
    density: float = WATER_DENSITY,
    viscosity: float = WATER_VISCOSITY,
    fittings: float = 0.0,
) -> PipeLoss:
    """Head lost in a pipe and its fittings, by Darcy and Weisbach with Colebrook's friction factor.

    ``head_loss = (f * length / diameter + fittings) * velocity^2 / (2 g)``

    Args: flow [m^3/s, >= 0]; diameter [mm], inside; length [m]; roughness [mm]; density [kg/m^3]; viscosity
    [Pa*s], dynamic; fittings [-], the sum of K. Scalars only.
    Returns: velocity [m/s], reynolds [-], friction_factor [-] (None where nothing flows), head_loss [m].
    Raises CannotCalculate for a roughness above a twentieth of the diameter.

    >>> round(pipe_loss(flow=0.006, diameter=50, length=60, roughness=0.002, density=999,
    ...                 viscosity=1.138e-3).head_loss, 1)
    9.8

    Source: Cengel and Cimbala, Fluid Mechanics, McGraw-Hill, 2006, 8-5, example 8-3 (read).
    """
    relative = roughness / diameter
    if relative > ROUGHEST:
        raise CannotCalculate(
            "roughness",
            f"{roughness:g} mm",
            f"no more than a twentieth of the diameter, {diameter / 20:g} mm",
        )
    if flow == 0:
        return PipeLoss(0.0, 0.0, None, 0.0)
    velocity = pipe_velocity(flow, diameter)
    reynolds = density * velocity * diameter * MM / viscosity
    factor = friction(reynolds, relative)
    head_loss = (factor * length / (diameter * MM) + fittings) * velocity**2 / (2 * GRAVITY)
    return PipeLoss(velocity, reynolds, factor, head_loss)


class PipeLossHazen(NamedTuple):
    velocity: float
    head_loss: float


@worksheet(
    id="pipe-loss-hazen",
    subject="Hydro",
    title="Head lost in a pipe, Hazen and Williams",
    inputs=(
        _flow(),
        _diameter(),
        _length(),
        quantity("c", "1", "roughness coefficient C", "150", low=40, high=160, symbol="C"),
    ),
    outputs=(Output("velocity", "velocity", "m/s"), Output("head_loss", "head lost", "m")),
    expression=(
        "velocity = flow / (pi / 4 * diameter^2)",
        "head_loss = 10.67 * length * flow^1.852 / (c^1.852 * diameter^4.8704), in metres and seconds",
    ),
    source=Source(
        "Hydraulic tables", "G. S. Williams and A. Hazen, Wiley", "1905", "SI form of the handbooks, 4.8704"
    ),
    validity="Cold water, turbulent, pipes over 50 mm, up to 3 m/s. The form in feet and gallons (0.2083 a "
    "hundred, 4.8655) says some 2 % more; pipe-loss says what is right outside these limits.",
)
def pipe_loss_hazen(*, flow: float, diameter: float, length: float, c: float) -> PipeLossHazen:
    """Head lost in a pipe by the empirical formula of Hazen and Williams in its SI form.

    ``head_loss = 10.67 * length * flow^1.852 / (c^1.852 * diameter^4.8704)``, flow in m^3/s, the rest in m

    Args: flow [m^3/s, >= 0]; diameter [mm], inside; length [m]; c [40..160], higher is smoother.
    Returns: velocity [m/s], head_loss [m]. Arrays of flows pass too.

    >>> round(pipe_loss_hazen(flow=0.03155, diameter=203.2, length=30.48, c=150).head_loss, 2)
    0.12

    Source: Hazen and Williams, Hydraulic tables, Wiley, 1905; SI form of the handbooks (from memory).
    """
    head_loss = 10.67 * length * (flow / c) ** 1.852 / (diameter * MM) ** 4.8704
    return PipeLossHazen(pipe_velocity(flow, diameter), head_loss)


class PipeSurge(NamedTuple):
    celerity: float
    pressure: float
    total_pressure: float | None
    critical_time: float | None
    wall_give: float
    sudden_share: float


@worksheet(
    id="pipe-surge",
    subject="Hydro",
    title="Pressure surge of a flow that stops",
    inputs=(
        quantity("velocity_change", "m/s", "velocity that is stopped", "1.0 m/s", low=0, high=50),
        quantity("density", "kg/m^3", "density of water", "1000 kg/m^3", WATER_DENSITY, low=500, high=1500),
        quantity(
            "bulk_modulus", "Pa", "bulk modulus of water", "2.2 GPa", WATER_BULK_MODULUS, low=1e8, high=1e10
        ),
        quantity("diameter", "mm", "inside diameter of the pipe", "81.4 mm", None, above=0, high=20_000),
        quantity("wall", "mm", "wall of the pipe", "4.3 mm", None, above=0, high=500),
        quantity("youngs_modulus", "Pa", "Young's modulus of the wall", "3 GPa", None, low=1e8, high=1e12),
        quantity("length", "m", "length of the pipe", "140 m", None, above=0, high=50_000),
        quantity("closure_time", "s", "time in which the flow stops", "10 s", None, low=0, high=1e5),
        quantity("static_head", "m", "head when nothing flows", "21 m", None, low=0, high=2000),
    ),
    outputs=(
        Output("celerity", "speed of the pressure wave", "m/s"),
        Output("pressure", "rise of the pressure", "Pa"),
        Output("total_pressure", "highest pressure in the pipe", "Pa"),
        Output("critical_time", "a stop within this is sudden", "s"),
        Output("wall_give", "how far the wall gives way, over the water (0: rigid)", "1"),
        Output("sudden_share", "share of a sudden stop's surge", "1"),
    ),
    expression=(
        "wall_give = bulk_modulus * diameter / (youngs_modulus * wall)",
        "celerity = sqrt(bulk_modulus / density / (1 + wall_give))",
        "critical_time = 2 * length / celerity",
        "sudden_share = critical_time / closure_time, no more than 1",
        "pressure = density * celerity * velocity_change * sudden_share",
        "total_pressure = density * 9.80665 m/s^2 * static_head + pressure",
    ),
    source=Source(
        "Fluid Transients in Systems", "E. B. Wylie and V. L. Streeter, Prentice Hall", "1993", "1.2 and 2"
    ),
    validity="A closure time counts only with a length. Slower than critical: Michaud's line, for a flow "
    "that stops evenly; a valve that bites late stops it in less time than its handle takes. No air, no "
    "water column that parts.",
)
def pipe_surge(
    *,
    velocity_change: float,
    density: float = WATER_DENSITY,
    bulk_modulus: float = WATER_BULK_MODULUS,
    diameter: float | None = None,
    wall: float | None = None,
    youngs_modulus: float | None = None,
    length: float | None = None,
    closure_time: float | None = None,
    static_head: float | None = None,
) -> PipeSurge:
    """Pressure rise where a flow is stopped: Joukowsky's for a sudden stop, Michaud's for a slow one.

    ``celerity = sqrt((K / density) / (1 + K D / (E e)))``, rigid without diameter, wall and youngs_modulus;
    ``pressure = density * celerity * velocity_change``; where closure_time passes
    ``critical_time = 2 length / celerity`` only the share critical_time / closure_time of it.

    Args: velocity_change [m/s]; density [kg/m^3]; bulk_modulus K [Pa]; diameter D, wall e [mm],
    youngs_modulus E [Pa], all three or none; length [m]; closure_time [s], which counts only with a length;
    static_head [m].
    Returns: celerity [m/s]; pressure [Pa]; total_pressure [Pa], None without a static head; critical_time
    [s], None without a length; wall_give [-], K D / (E e); sudden_share [0..1].
    Raises CannotCalculate where only some of the three wall inputs are given.

    >>> round(pipe_surge(velocity_change=3, density=998, bulk_modulus=2.2e9).pressure / 1e6, 3)
    4.445

    Source: Wylie and Streeter, Fluid Transients in Systems, Prentice Hall, 1993 (from memory).
    """
    give = _wall_give(bulk_modulus, diameter, wall, youngs_modulus)
    celerity = math.sqrt(bulk_modulus / density / (1 + give))
    critical_time = None if length is None else 2 * length / celerity
    share = 1.0
    if critical_time is not None and closure_time is not None and closure_time > critical_time:
        share = critical_time / closure_time
    pressure = density * celerity * velocity_change * share
    total = None if static_head is None else density * GRAVITY * static_head + pressure
    return PipeSurge(celerity, pressure, total, critical_time, give, share)


def _wall_give(
    bulk_modulus: float, diameter: float | None, wall: float | None, youngs_modulus: float | None
) -> float:
    if diameter is None or wall is None or youngs_modulus is None:
        given = {"diameter": diameter, "wall": wall, "youngs_modulus": youngs_modulus}
        missing = [name for name, value in given.items() if value is None]
        if len(missing) == len(given):
            return 0.0
        raise CannotCalculate(
            missing[0], "nothing", "diameter, wall and youngs_modulus, or none of the three for a rigid pipe"
        )
    return bulk_modulus * diameter / (youngs_modulus * wall)
