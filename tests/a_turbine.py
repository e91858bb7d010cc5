"""A wind turbine for tests, invented: a rotor of 2.5 m on an alternator for a battery of 24 V."""

from __future__ import annotations

import dataclasses
from typing import Any

from engine.physics.wind_rotor import Furling, table_rotor
from engine.physics.wind_turbine import Machine, drag_of

CP = [
    *((0, 0), (2, 0.05), (4, 0.21), (5, 0.28), (6.3, 0.32)),
    *((7.5, 0.29), (9, 0.19), (10.5, 0.06), (11.2, 0)),
]
ROTOR = table_rotor(2.5, CP)
TURBINE = Machine(
    ROTOR,
    density=1.2,
    drivetrain=0.95,
    volts_per_speed=0.12,
    winding=0.45,
    cable=0.15,
    drop=1.4,
    drag=drag_of(35, 11, ROTOR),
    furling=Furling(11.5, 0.4),
)


def turbine(**changes: Any) -> Machine:
    """The turbine with some things otherwise."""
    return dataclasses.replace(TURBINE, **changes)
