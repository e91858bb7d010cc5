"""Penstock: the head left at the nozzle, what the nozzles pass, and the most that a pipe can give."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

from engine.physics.hydro import WATER_DENSITY
from engine.physics.physical import GRAVITY
from engine.physics.pipe import MM, WATER_VISCOSITY, pipe_loss, pipe_loss_hazen
from engine.sources import Source
from engine.worksheet import CannotCalculate, Input, Output, count, quantity, worksheet

SMALL_HYDRO = Source(
    "Guide on How to Develop a Small Hydropower Plant",
    "European Small Hydropower Association",
    "2004",
    "chapters 2 and 6",
)
MOST_STEPS = 60  # halvings of a search: beyond the last digit
ASIDE = 1e-4  # relative step to either side of a peak


def _pipe_inputs() -> tuple[Input, ...]:
    return (
        quantity("diameter", "mm", "inside diameter of the pipe", "81.4 mm", low=1, high=20_000),
        quantity("length", "m", "length of the pipe", "140 m", low=0.1, high=50_000),
        quantity("roughness", "mm", "roughness of the wall", "0.01 mm", low=0, high=50),
        quantity("fittings", "1", "sum of the fittings' loss coefficients", "2.5", 0.0, low=0, high=1000),
        quantity(
            "viscosity", "Pa*s", "viscosity of water", "1.52e-3 Pa*s", WATER_VISCOSITY, low=1e-4, high=0.1
        ),
    )


def _gross_head() -> Input:
    return quantity("gross_head", "m", "head from the intake to the nozzle", "21 m", low=0.1, high=2000)


class NetHead(NamedTuple):
    """Heads in metres; ``share`` is net over gross, ``hazen_loss`` the pipe's loss by the other formula."""

    velocity: float
    pipe_loss: float
    fitting_loss: float
    net_head: float
    share: float
    hazen_loss: float | None


@worksheet(
    id="hydro-net-head",
    subject="Hydro",
    title="Head left at the nozzle",
    inputs=(
        _gross_head(),
        quantity("flow", "m^3/s", "flow", "5 L/s", low=0, high=1000),
        *_pipe_inputs(),
        quantity("c", "1", "Hazen-Williams coefficient", "150", None, low=40, high=160, symbol="C"),
    ),
    outputs=(
        Output("velocity", "velocity in the pipe", "m/s"),
        Output("pipe_loss", "head lost in the pipe", "m"),
        Output("fitting_loss", "head lost in the fittings", "m"),
        Output("net_head", "head left", "m"),
        Output("share", "share of the gross head", "%"),
        Output("hazen_loss", "loss in the pipe by Hazen and Williams, beside it", "m"),
    ),
    expression=(
        "velocity = flow / (pi / 4 * diameter^2)",
        "pipe_loss = as pipe-loss for (flow, diameter, length, roughness), bends and valves aside",
        "fitting_loss = fittings * velocity^2 / (2 * 9.80665 m/s^2)",
        "net_head = gross_head - pipe_loss - fitting_loss",
        "share = net_head / gross_head",
        "hazen_loss = as pipe-loss-hazen for (flow, diameter, length, c)",
    ),
    source=SMALL_HYDRO,
    validity="The gross head of an impulse wheel ends at its nozzle: what falls below it is lost. The "
    "nozzle's own loss is in its coefficient, and counts once, in the jet.",
)
def net_head(
    *,
    gross_head: float,
    flow: float,
    diameter: float,
    length: float,
    roughness: float,
    fittings: float = 0.0,
    viscosity: float = WATER_VISCOSITY,
    c: float | None = None,
) -> NetHead:
    """Head left at the nozzle: gross head less Darcy's loss in the pipe and what the fittings take.

    ``net_head = gross_head - f length / diameter * v^2 / 2g - fittings * v^2 / 2g``

    Args: gross_head [m], intake to nozzle; flow [m^3/s]; diameter [mm], inside; length [m]; roughness [mm];
    fittings [-], the sum of K; viscosity [Pa*s]; c [-], Hazen and Williams' coefficient for the loss beside.
    Returns: see ``NetHead``. Raises CannotCalculate where the flow asks for more than the gross head.

    >>> round(net_head(gross_head=62, flow=0.0032, diameter=79.2, length=480, roughness=0.01).net_head, 1)
    59.1

    Source: Darcy and Weisbach with Colebrook's factor, as pipe-loss; ESHA guide, 2004 (from memory).
    """
    pipe = pipe_loss(flow=flow, diameter=diameter, length=length, roughness=roughness, viscosity=viscosity)
    in_fittings = fittings * pipe.velocity**2 / (2 * GRAVITY)
    left = gross_head - pipe.head_loss - in_fittings
    if left < 0:
        need = f"a flow that loses no more than the head of {gross_head:g} m"
        raise CannotCalculate("flow", f"{1000 * flow:g} L/s", need)
    hazen = None
    if c is not None:
        hazen = pipe_loss_hazen(flow=flow, diameter=diameter, length=length, c=c).head_loss
    return NetHead(pipe.velocity, pipe.head_loss, in_fittings, left, left / gross_head, hazen)


class NozzleFlow(NamedTuple):
    flow: float
    jet_velocity: float
    net_head: float
    area: float


@worksheet(
    id="hydro-nozzle-flow",
    subject="Hydro",
    title="Flow that the nozzles pass",
    inputs=(
        _gross_head(),
        *_pipe_inputs(),
        quantity("nozzle_diameter", "mm", "diameter of each jet", "12.7 mm", low=0.1, high=500),
        count("nozzles", "nozzles", "2", 1, high=12),
        quantity("coefficient", "1", "nozzle coefficient", "0.98", 0.98, low=0.1, high=1),
    ),
    outputs=(
        Output("flow", "flow through all nozzles", "m^3/s"),
        Output("jet_velocity", "velocity of the jets", "m/s"),
        Output("net_head", "head left at the nozzles", "m"),
        Output("area", "area of all jets", "m^2"),
    ),
    expression=(
        "net_head = what the pipe leaves, as hydro-net-head, where pipe and jets agree",
        "area = nozzles * pi / 4 * nozzle_diameter^2",
        "jet_velocity = coefficient * sqrt(2 * 9.80665 m/s^2 * net_head)",
        "flow = area * jet_velocity",
    ),
    source=SMALL_HYDRO,
    validity="Nozzles wide open, the pipe full. Pipe and jet must agree on the flow: there is one at which "
    "they do.",
)
def nozzle_flow(
    *,
    gross_head: float,
    diameter: float,
    length: float,
    roughness: float,
    nozzle_diameter: float,
    nozzles: int = 1,
    coefficient: float = 0.98,
    fittings: float = 0.0,
    viscosity: float = WATER_VISCOSITY,
) -> NozzleFlow:
    """The flow at which what the pipe leaves is what the jets need: ``flow = area * C * sqrt(2 g net_head)``.

    Args: gross_head [m]; diameter [mm], length [m], roughness [mm], fittings [-], viscosity [Pa*s] of the
    pipe; nozzle_diameter [mm] of the jet, nozzles [count], coefficient [0..1], which counts once, here.
    Returns: flow [m^3/s] of all jets, jet_velocity [m/s], net_head [m], area [m^2].

    >>> round(1000 * nozzle_flow(gross_head=62, diameter=79.2, length=480, roughness=0.01, fittings=3.5,
    ...                          nozzle_diameter=7.8, nozzles=2).flow, 2)
    3.2

    Source: continuity and Torricelli's law with a coefficient; ESHA guide, 2004 (from memory).
    """
    area = nozzles * math.pi / 4 * (nozzle_diameter * MM) ** 2
    left = _head_left(gross_head, diameter, length, roughness, fittings, viscosity)

    def spare(flow: float) -> float:
        """How far the pipe leaves more head than the jets need [m]; falls with the flow."""
        return left(flow) - (flow / (area * coefficient)) ** 2 / (2 * GRAVITY)

    flow = _halves(lambda at: spare(at) > 0, area * coefficient * math.sqrt(2 * GRAVITY * gross_head))
    velocity = flow / area
    return NozzleFlow(flow, velocity, (velocity / coefficient) ** 2 / (2 * GRAVITY), area)


class PipeBest(NamedTuple):
    flow: float
    head_loss: float
    net_head: float
    share: float
    power: float


@worksheet(
    id="hydro-pipe-best",
    subject="Hydro",
    title="Most power that a pipe can give",
    inputs=(_gross_head(), *_pipe_inputs()),
    outputs=(
        Output("flow", "flow at most power", "m^3/s"),
        Output("head_loss", "head lost there", "m"),
        Output("net_head", "head left there", "m"),
        Output("share", "share of the gross head that is lost", "%"),
        Output("power", "power of the water at the nozzle", "W"),
    ),
    expression=(
        "flow = where more water begins to give less",
        "net_head = as hydro-net-head there",
        "head_loss = gross_head - net_head",
        "share = head_loss / gross_head",
        "power = 1000 kg/m^3 * 9.80665 m/s^2 * flow * net_head",
    ),
    source=Source(
        "Renewable and Efficient Electric Power Systems", "G. M. Masters, Wiley", "2004", "4.5, example 4.9"
    ),
    validity="Beyond that flow more water gives less power. About a third of the gross head is lost there; a "
    "wider pipe wastes less.",
)
def pipe_best(
    *,
    gross_head: float,
    diameter: float,
    length: float,
    roughness: float,
    fittings: float = 0.0,
    viscosity: float = WATER_VISCOSITY,
) -> PipeBest:
    """The flow that draws the most power from a pipe, with Colebrook's friction, not a fixed power law.

    Args: gross_head [m]; diameter [mm], length [m], roughness [mm], fittings [-], viscosity [Pa*s].
    Returns: flow [m^3/s]; head_loss, net_head [m]; share [-], head lost over gross head; power [W].

    >>> round(pipe_best(gross_head=62, diameter=79.2, length=480, roughness=0.01, fittings=3.5).share, 2)
    0.35

    Source: Masters, Renewable and Efficient Electric Power Systems, Wiley, 2004, 4.5 (from memory).
    """
    left = _head_left(gross_head, diameter, length, roughness, fittings, viscosity)

    def rises(flow: float) -> bool:
        """Whether more flow gives more power."""
        more, less = flow * (1 + ASIDE), flow * (1 - ASIDE)
        return more * left(more) > less * left(less)

    flow = _halves(rises, _most_flow(left, diameter))
    net = left(flow)
    lost = gross_head - net
    return PipeBest(flow, lost, net, lost / gross_head, WATER_DENSITY * GRAVITY * flow * net)


def _head_left(
    gross_head: float, diameter: float, length: float, roughness: float, fittings: float, viscosity: float
) -> Callable[[float], float]:
    """The head left [m] at a flow [m^3/s]; negative where the pipe can't pass it."""

    def left(flow: float) -> float:
        return (
            gross_head
            - pipe_loss(
                flow=flow,
                diameter=diameter,
                length=length,
                roughness=roughness,
                fittings=fittings,
                viscosity=viscosity,
            ).head_loss
        )

    return left


def _most_flow(left: Callable[[float], float], diameter: float) -> float:
    """A flow [m^3/s] at which the pipe leaves nothing."""
    flow = math.pi / 4 * (diameter * MM) ** 2
    for _ in range(MOST_STEPS):
        if left(flow) <= 0:
            return flow
        flow *= 2
    raise CannotCalculate(
        "length", "a pipe that loses next to nothing", "a length, or fittings, to lose head in"
    )


def _halves(rises: Callable[[float], bool], high: float) -> float:
    """The flow between 0 and ``high`` up to which ``rises`` holds."""
    low = 0.0
    for _ in range(MOST_STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if rises(middle) else (low, middle)
    return (low + high) / 2
