"""Head lost in a pipe by Manning's formula, by which guides of small hydropower reckon large penstocks."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.physics.pipe import MM, pipe_velocity
from engine.sources import Source
from engine.worksheet import Output, quantity, worksheet

CIRCLE = 4 ** (10 / 3) / math.pi**2  # 10.294: area and hydraulic radius of a full round pipe in its diameter


class PipeLossManning(NamedTuple):
    velocity: float
    head_loss: float
    share: float | None


@worksheet(
    id="pipe-loss-manning",
    subject="Hydro",
    title="Head lost in a pipe, Manning",
    inputs=(
        quantity("flow", "m^3/s", "flow", "3 m^3/s", low=0, high=1000),
        quantity("diameter", "mm", "inside diameter of the pipe", "900 mm", above=0, high=20_000),
        quantity("length", "m", "length of the pipe", "173 m", above=0, high=50_000),
        quantity("n", "1", "Manning roughness, in s/m^(1/3)", "0.012", low=0.005, high=0.05),
        quantity("gross_head", "m", "gross head", "85 m", None, above=0, high=2000),
    ),
    outputs=(
        Output("velocity", "velocity", "m/s"),
        Output("head_loss", "head lost", "m"),
        Output("share", "share of the gross head", "%"),
    ),
    expression=(
        "velocity = flow / (pi / 4 * diameter^2)",
        "head_loss = length * (n * flow)^2 * 4^(10/3) / (pi^2 * diameter^(16/3)), in metres and seconds",
        "share = head_loss / gross_head",
    ),
    source=Source(
        "Guide on How to Develop a Small Hydropower Plant",
        "European Small Hydropower Association",
        "2004",
        "2.2.2, Manning's equation",
    ),
    validity="Rough pipes running full, fully turbulent. In smooth pipes under 300 mm pipe-loss says what is "
    "right. The guide's rule of thumb for a loss of 4 %, 2.69 (n^2 Q^2 L / H)^0.1875, gives a pipe that by "
    "this formula loses 5.3 %.",
)
def pipe_loss_manning(
    *, flow: float, diameter: float, length: float, n: float, gross_head: float | None = None
) -> PipeLossManning:
    """Head lost in a full round pipe by Manning's formula.

    ``head_loss = length * n^2 * velocity^2 / (diameter / 4)^(4/3)``, which in the flow is
    ``10.29 * length * n^2 * flow^2 / diameter^(16/3)``, all in metres and seconds

    Args: flow [m^3/s, >= 0]; diameter [mm], inside; length [m]; n [s/m^(1/3)], table manning_n; gross_head
    [m] for the share. Returns: velocity [m/s], head_loss [m], share [-] of the gross head. Arrays of flows
    pass too.

    >>> round(pipe_loss_manning(flow=3, diameter=900, length=173, n=0.012).head_loss, 2)
    4.05

    Source: R. Manning, Trans. Inst. Civil Engineers of Ireland 20, 1891, as in the ESHA guide, 2004, 2.2.2
    (from memory).
    """
    head_loss = CIRCLE * length * (n * flow) ** 2 / (diameter * MM) ** (16 / 3)
    share = None if gross_head is None else head_loss / gross_head
    return PipeLossManning(pipe_velocity(flow, diameter), head_loss, share)
