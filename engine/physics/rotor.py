"""Wind rotor: tip speed ratio and the power coefficient that goes with it."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from engine.sources import Source
from engine.worksheet import Output, quantity, worksheet

SECONDS_A_MINUTE = 60.0

TIP_SPEED = Source(
    "Wind Energy Explained", "J. F. Manwell, J. G. McGowan and A. L. Rogers, Wiley", "2009", "3.4"
)


class TipSpeedRatio(NamedTuple):
    ratio: float


@worksheet(
    id="tip-speed-ratio",
    subject="Wind",
    title="Tip speed ratio",
    inputs=(
        quantity("rotor_speed", "rpm", "rotor speed", "320 rpm", low=0, high=20_000),
        quantity("diameter", "m", "rotor diameter", "2.4 m", above=0, high=200),
        quantity("wind_speed", "m/s", "wind speed", "6 m/s", above=0, high=100),
    ),
    outputs=(Output("ratio", "tip speed ratio", "1"),),
    expression=("ratio = pi * diameter * rotor_speed / (60 s/min) / wind_speed",),
    source=TIP_SPEED,
)
def tip_speed_ratio(*, rotor_speed: float, diameter: float, wind_speed: float) -> TipSpeedRatio:
    """Speed of the blade tip over that of the wind: ``ratio = pi * diameter * rotor_speed / wind_speed``.

    Args: rotor_speed [rpm]; diameter [m]; wind_speed [m/s, > 0]. Returns: ratio [-]. Arrays pass too.

    >>> round(tip_speed_ratio(rotor_speed=20, diameter=26, wind_speed=10).ratio, 2)
    2.72

    Source: Manwell, McGowan and Rogers, Wind Energy Explained, Wiley, 2009, 3.4 (from memory).
    """
    return TipSpeedRatio(math.pi * diameter * rotor_speed / SECONDS_A_MINUTE / wind_speed)


class RotorSpeed(NamedTuple):
    rotor_speed: float


@worksheet(
    id="rotor-speed",
    subject="Wind",
    title="Rotor speed at a tip speed ratio",
    inputs=(
        quantity("ratio", "1", "tip speed ratio", "7", low=0, high=30),
        quantity("diameter", "m", "rotor diameter", "2.4 m", above=0, high=200),
        quantity("wind_speed", "m/s", "wind speed", "6 m/s", low=0, high=100),
    ),
    outputs=(Output("rotor_speed", "rotor speed", "rpm"),),
    expression=("rotor_speed = ratio * wind_speed / (pi * diameter) * 60 s/min",),
    source=TIP_SPEED,
)
def rotor_speed(*, ratio: float, diameter: float, wind_speed: float) -> RotorSpeed:
    """Rotor speed that goes with a tip speed ratio: ``rotor_speed = ratio * wind_speed / (pi * diameter)``.

    Args: ratio [-]; diameter [m]; wind_speed [m/s]. Returns: rotor_speed [rpm]. Arrays pass too.

    >>> round(rotor_speed(ratio=7, diameter=2.4, wind_speed=6).rotor_speed)
    334

    Source: Manwell, McGowan and Rogers, Wind Energy Explained, Wiley, 2009, 3.4 (from memory).
    """
    return RotorSpeed(ratio * wind_speed / (math.pi * diameter) * SECONDS_A_MINUTE)


class RotorCoefficient(NamedTuple):
    cp: float


def heier_cp(ratio: NDArray[np.float64], pitch: float = 0.0) -> NDArray[np.float64]:
    """Heier's power coefficient [-] for tip speed ratios [any shape, > 0] at one pitch [deg, >= 0].

    The set with its peak of 0.48 at a ratio of 8.1: see ``rotor_coefficient``.
    """
    inverse = 1 / (ratio + 0.08 * pitch) - 0.035 / (pitch**3 + 1)
    lift = 116 * inverse - 0.4 * pitch - 5
    coefficient: NDArray[np.float64] = 0.5176 * lift * np.exp(-21 * inverse) + 0.0068 * ratio
    return coefficient


@worksheet(
    id="rotor-coefficient",
    subject="Wind",
    title="Power coefficient of a rotor, a general shape",
    inputs=(
        quantity("ratio", "1", "tip speed ratio", "7", above=0, high=20),
        quantity("pitch", "deg", "blade pitch", "0 deg", 0.0, low=0, high=45),
    ),
    outputs=(Output("cp", "power coefficient", "1"),),
    expression=(
        "cp = 0.5176 * (116 * x - 0.4 * pitch - 5) * exp(-21 * x) + 0.0068 * ratio",
        "x = 1 / (ratio + 0.08 * pitch) - 0.035 / (pitch^3 + 1)",
    ),
    source=Source(
        "Grid Integration of Wind Energy Conversion Systems",
        "S. Heier, Wiley",
        "1998",
        "general power coefficient; the coefficients from a vendor's reference page",
        "read",
    ),
    validity="A general shape of large rotors: scale it to a small rotor's own best coefficient. Below zero "
    "the wind no longer drives the rotor, it brakes; the number is given as it is.",
)
def rotor_coefficient(*, ratio: float, pitch: float = 0.0) -> RotorCoefficient:
    """Power coefficient of a rotor by Heier's analytic curve, the set with its peak of 0.48 at ratio 8.1.

    ``cp = 0.5176 * (116 x - 0.4 pitch - 5) * exp(-21 x) + 0.0068 ratio``,
    ``x = 1 / (ratio + 0.08 pitch) - 0.035 / (pitch^3 + 1)``, pitch in degrees

    Args: ratio [0..20, > 0], the tip speed ratio; pitch [deg, 0..45].
    Returns: cp [-]. A negative number is returned as it is: there the rotor brakes.

    >>> round(rotor_coefficient(ratio=8.1).cp, 2)
    0.48

    Source: S. Heier, Grid Integration of Wind Energy Conversion Systems, Wiley, 1998 (read at second hand).
    """
    return RotorCoefficient(float(heier_cp(np.asarray(ratio, float), pitch)))
