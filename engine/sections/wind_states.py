"""The steady states of a wind turbine over all winds, kept while machine, battery and load curve are equal.

They are most of what a turbine costs, and a hub, a cold day or a cable's device changes none of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from engine.physics.brake import holding_wind
from engine.physics.load_curve import Followed, above_battery, entered_curve, followed
from engine.physics.wind_rotor import Rotor, heier_rotor, table_rotor
from engine.physics.wind_turbine import Machine, Steady, direct, tracked
from engine.sections.results import Floats

WINDS: Floats = np.arange(0, 45.01, 0.1)  # m/s: calm to beyond any hour of a year
WINDS.flags.writeable = False


@lru_cache(maxsize=64)
def rotor_of(
    diameter: float,
    points: Sequence[tuple[float, float]] | None,
    best_cp: float | None,
    best_ratio: float | None,
) -> Rotor:
    """The rotor of entered points [ratio, coefficient], else the general curve of that peak; the same object
    for equal data. Raises CannotCalculate as they do."""
    if points is not None:
        return table_rotor(diameter, points)
    return heier_rotor(diameter, float(best_cp or 0.0), float(best_ratio or 0.0))


@lru_cache(maxsize=64)
def both_ways(machine: Machine, battery: float, cap: float | None) -> tuple[Steady, Steady]:
    """The states over ``WINDS`` straight on the battery [V], and tracked; ``cap`` [rpm] of the speed."""
    return direct(machine, WINDS, battery, cap), tracked(machine, WINDS, battery, cap)


@lru_cache(maxsize=64)
def on_curve(machine: Machine, points: Sequence[tuple[float, float]], battery: float) -> Followed:
    """The states over ``WINDS`` on an entered load curve [V, W], from the battery's voltage up."""
    return followed(machine, WINDS, above_battery(entered_curve(points), battery))


@lru_cache(maxsize=64)
def held_until(shorted: Machine, current: float, speed: float) -> float:
    """The wind [m/s] up to which shorting holds the rotor; current [A] and speed [rpm] as entered."""
    return holding_wind(shorted, current, speed)
