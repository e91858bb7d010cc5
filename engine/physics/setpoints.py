"""Set points over battery temperature, and how a day's charge goes through its stages."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from engine.physics.battery import REFERENCE_TEMPERATURE

Floats = npt.NDArray[np.float64]
STEPS = 60  # points of a stage of the day


def setpoint_curve(
    per_cell: float,
    cells: int,
    coefficient: float,
    temperatures: Floats,
    minimum: float | None = None,
    maximum: float | None = None,
) -> Floats:
    """``charge-setpoint`` of a bank [V] over temperatures[point] [degC], within its clamps [V a cell].

    ``cells * clip(per_cell + coefficient * (temperature - 25 degC), minimum, maximum)``
    """
    free = per_cell + coefficient * (np.asarray(temperatures, dtype=float) - REFERENCE_TEMPERATURE)
    return cells * np.clip(free, -np.inf if minimum is None else minimum, maximum)


@dataclass(frozen=True, slots=True)
class ChargeDay:
    """A charge from a drained bank: hours[point], volts[point], amps[point], and when each stage begins [h].

    ``ended_by`` says what ends absorption: ``time`` or ``end current``.
    """

    hours: Floats
    volts: Floats
    amps: Floats
    absorption_at: float
    float_at: float
    ended_by: str


def charge_day(
    *,
    capacity: float,
    current: float,
    drained: float,
    begins_at: float,
    rest: Sequence[tuple[float, float]],
    absorption: float,
    floating: float,
    hours: float,
    end_current: float,
) -> ChargeDay:
    """Bulk, absorption and float of one charge at a steady current, on a simple battery.

    In bulk the current is steady, ``volts = rest(charge) + current * r``, with ``r`` such that absorption
    is reached at the charge ``begins_at``. In absorption the current falls as ``current exp(-t / tau)``,
    ``tau = (1 - begins_at) capacity / (current - end_current)``, so that what is lacking is put in by the
    time that the end current is reached; it ends there, or after ``hours``. In float the current goes on
    falling, towards nothing.

    Args: capacity [Ah]; current [A, > end_current]; drained [0..1], share taken out; begins_at [0..1]; rest,
    pairs of charge [0..1] and volts at rest [V], rising; absorption, floating [V of the bank]; hours [h];
    end_current [A].
    Raises ValueError where the current is not above the end current.

    Source: common practice, for a picture; no rating or limit rests on it.
    """
    if current <= end_current:
        raise ValueError(f"{current:g} A is not above the end current of {end_current:g} A")
    charges, at_rest = (np.array(column, dtype=float) for column in zip(*rest, strict=True))
    start = min(max(1 - drained, 0.0), begins_at)
    bulk_hours = (begins_at - start) * capacity / current
    charge = np.linspace(start, begins_at, STEPS)
    below = np.interp(charge, charges, at_rest)
    volts = np.minimum(below + (absorption - float(np.interp(begins_at, charges, at_rest))), absorption)
    tau = (1 - begins_at) * capacity / (current - end_current)
    falls = tau * math.log(current / end_current) if end_current > 0 else math.inf
    held = min(hours, falls)
    in_absorption = np.linspace(0.0, held, STEPS)
    rest_hours = max(2.0, 0.35 * (bulk_hours + held))
    in_float = np.linspace(0.0, rest_hours, STEPS)
    last = current * math.exp(-held / tau)
    settles = 0.12 * rest_hours
    floats = floating + (absorption - floating) * np.exp(-in_float / settles)
    return ChargeDay(
        np.concatenate(
            (np.linspace(0.0, bulk_hours, STEPS), bulk_hours + in_absorption, bulk_hours + held + in_float)
        ),
        np.concatenate((volts, np.full(STEPS, absorption), floats)),
        np.concatenate(
            (
                np.full(STEPS, current),
                current * np.exp(-in_absorption / tau),
                last * np.exp(-in_float / settles),
            )
        ),
        bulk_hours,
        bulk_hours + held,
        "end current" if falls <= hours else "time",
    )
