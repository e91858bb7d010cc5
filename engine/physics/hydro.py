"""Hydro: the power of falling water, the jet of a nozzle, the best use of a pipe."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.physics.physical import GRAVITY
from engine.sources import Source
from engine.worksheet import Output, count, quantity, worksheet

WATER_DENSITY = 1000.0  # kg/m^3, at 4 degC, the trade's round number


class HydroPower(NamedTuple):
    power: float


@worksheet(
    id="hydro-power",
    subject="Hydro",
    title="Power of falling water",
    inputs=(
        quantity("head", "m", "net head", "16.5 m", low=0, high=2000),
        quantity("flow", "m^3/s", "flow", "5 L/s", low=0, high=1000),
        quantity("efficiency", "%", "from the net head to the power asked for", "55 %", low=0, high=1),
        quantity("density", "kg/m^3", "density of water", "1000 kg/m^3", WATER_DENSITY, low=500, high=1500),
    ),
    outputs=(Output("power", "power", "W"),),
    expression=("power = efficiency * density * 9.80665 m/s^2 * flow * head",),
    source=Source(
        "Guide on How to Develop a Small Hydropower Plant",
        "European Small Hydropower Association",
        "2004",
        "chapter 2",
    ),
    validity="The head is what is left at the turbine after the pipe, never the gross head.",
)
def hydro_power(*, head: float, flow: float, efficiency: float, density: float = WATER_DENSITY) -> HydroPower:
    """Power of water falling through a net head: ``power = efficiency * density * g * flow * head``.

    Args: head [m], net; flow [m^3/s]; efficiency [0..1] to the place where the power is asked for;
    density [kg/m^3]. Returns: power [W]. Arrays of one shape pass too.

    >>> round(hydro_power(head=30, flow=0.1, efficiency=0.55, density=996).power)
    16116

    Source: Guide on How to Develop a Small Hydropower Plant, ESHA, 2004 (from memory).
    """
    return HydroPower(efficiency * density * GRAVITY * flow * head)


class HydroJet(NamedTuple):
    velocity: float
    diameter: float | None


@worksheet(
    id="hydro-jet",
    subject="Hydro",
    title="Jet of a nozzle",
    inputs=(
        quantity("head", "m", "net head at the nozzle", "16.5 m", above=0, high=2000),
        quantity("coefficient", "1", "nozzle coefficient", "0.98", 0.98, above=0, high=1),
        quantity("flow", "m^3/s", "flow through all nozzles", "5 L/s", None, above=0, high=1000),
        count("jets", "nozzles", "2", 1, high=12),
    ),
    outputs=(
        Output("velocity", "velocity of the jet", "m/s"),
        Output("diameter", "diameter of each jet", "mm"),
    ),
    expression=(
        "velocity = coefficient * sqrt(2 * 9.80665 m/s^2 * head)",
        "diameter = sqrt(4 * flow / (pi * jets * velocity))",
    ),
    source=Source(
        "Guide on How to Develop a Small Hydropower Plant",
        "European Small Hydropower Association",
        "2004",
        "chapter 6, Pelton turbines",
    ),
    validity="The jet is a little thinner than the bore of its nozzle. The nozzle's loss is in the "
    "coefficient: don't take it from the head as well.",
)
def hydro_jet(
    *, head: float, coefficient: float = 0.98, flow: float | None = None, jets: int = 1
) -> HydroJet:
    """Velocity of a free jet, and its diameter where the flow is known.

    ``velocity = coefficient * sqrt(2 g head); diameter = sqrt(4 flow / (pi jets velocity))``

    Args: head [m], net, at the nozzle; coefficient [0..1]; flow [m^3/s] of all jets together; jets [count].
    Returns: velocity [m/s], diameter [mm] of each jet, None without a flow.

    >>> round(hydro_jet(head=91.5).velocity, 2)
    41.52

    Source: Guide on How to Develop a Small Hydropower Plant, ESHA, 2004 (from memory).
    """
    velocity = coefficient * math.sqrt(2 * GRAVITY * head)
    if flow is None:
        return HydroJet(velocity, None)
    return HydroJet(velocity, 1000 * math.sqrt(4 * flow / (math.pi * jets * velocity)))


class HydroBestFlow(NamedTuple):
    friction_loss: float
    net_head: float


@worksheet(
    id="hydro-best-flow",
    subject="Hydro",
    title="Friction at the flow of most power",
    inputs=(
        quantity("gross_head", "m", "gross head", "21 m", above=0, high=2000),
        quantity("exponent", "1", "friction grows with the flow to the power of", "2", 2.0, low=1, high=2),
    ),
    outputs=(
        Output("friction_loss", "friction loss at most power", "m"),
        Output("net_head", "head left", "m"),
    ),
    expression=(
        "friction_loss = gross_head / (1 + exponent)",
        "net_head = gross_head - friction_loss",
    ),
    source=Source(
        "Renewable and Efficient Electric Power Systems", "G. M. Masters, Wiley", "2004", "4.5, example 4.9"
    ),
    validity="The most that a given pipe can give, where water is plentiful; where it isn't, a wider pipe "
    "pays.",
)
def hydro_best_flow(*, gross_head: float, exponent: float = 2.0) -> HydroBestFlow:
    """Friction loss at the flow that draws the most power from a pipe: a third of the gross head.

    Power goes as ``flow * (gross_head - k flow^exponent)``; its peak has
    ``friction_loss = gross_head / (1 + exponent)``.

    Args: gross_head [m]; exponent, 2 in rough turbulent flow (1.852 in the Hazen-Williams formula: 0.351).
    Returns: friction_loss [m], net_head [m]. Arrays pass too.

    >>> round(hydro_best_flow(gross_head=30).friction_loss, 6)
    10.0

    Source: Masters, Renewable and Efficient Electric Power Systems, Wiley, 2004, example 4.9 (from memory).
    """
    loss = gross_head / (1 + exponent)
    return HydroBestFlow(loss, gross_head - loss)
