"""Demand: what a load takes a day, what an inverter adds to it, and the greatest start."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from engine.sources import COMMON_PRACTICE, Source
from engine.worksheet import Output, count, quantity, worksheet

Floats = npt.NDArray[np.float64]

SIZING = Source(
    "IEEE 1013, Recommended Practice for Sizing Lead-Acid Batteries for Stand-Alone Photovoltaic Systems",
    "IEEE",
    "2019",
    "load determination",
)


class LoadEnergy(NamedTuple):
    hours_a_day: float
    energy: float


@worksheet(
    id="load-energy",
    subject="Demand",
    title="Energy of a load on the mean day of a month",
    inputs=(
        quantity("power", "W", "power of one piece, running", "75 W", low=0, high=1e6),
        quantity("hours", "h", "hours on a day of use", "9 h", low=0, high=24),
        count("number", "pieces", "2", 1, low=1, high=10_000),
        quantity("days_a_week", "1", "days of use a week", "5", 7.0, low=0, high=7),
        quantity("share", "1", "share of the month", "0.8", 1.0, low=0, high=1),
        quantity("standby", "W", "draw of one piece while it does not run", "2 W", 0.0, low=0, high=1e5),
    ),
    outputs=(
        Output("hours_a_day", "hours on the mean day", "h"),
        Output("energy", "energy a day, all pieces", "Wh"),
    ),
    expression=(
        "hours_a_day = hours * days_a_week / 7 * share",
        "energy = number * (power * hours_a_day + standby * (24 h - hours_a_day))",
    ),
    source=SIZING,
    validity="The mean over a month. Standby counts in every hour without running, in months out of use too.",
)
def load_energy(
    *,
    power: float,
    hours: float,
    number: int = 1,
    days_a_week: float = 7.0,
    share: float = 1.0,
    standby: float = 0.0,
) -> LoadEnergy:
    """Energy a day of one row of the load table (the method of IEEE 1013, with standby).

    ``hours_a_day = hours days_a_week / 7 share``
    ``energy = number (power hours_a_day + standby (24 - hours_a_day))``

    Args: power [W] of one piece; hours [h] on a day of use; number [-]; days_a_week [0..7]; share [0..1] of
    the month; standby [W] of one piece while it does not run.
    Returns: hours_a_day [h], energy [Wh a day].

    >>> load_energy(power=100, hours=7.2).energy
    720.0

    Source: IEEE 1013, load determination (from memory).
    """
    mean = hours * days_a_week / 7 * share
    return LoadEnergy(mean, number * (power * mean + standby * (24 - mean)))


class InverterDay(NamedTuple):
    loss: float
    idle_energy: float
    drawn: float
    overall: float


@worksheet(
    id="inverter-day",
    subject="Demand",
    title="What an inverter draws for a day of ac loads",
    inputs=(
        quantity("ac_energy", "Wh", "energy of the ac loads a day", "2.4 kWh", above=0, high=1e8),
        quantity("efficiency", "%", "conversion at its loads of the day", "90 %", above=0, high=1),
        quantity("idle", "W", "idle draw", "18 W", low=0, high=1e5),
        quantity("hours", "h", "hours a day that it is switched on", "24 h", 24.0, low=0, high=24),
    ),
    outputs=(
        Output("loss", "lost in conversion", "Wh"),
        Output("idle_energy", "idle draw over the day", "Wh"),
        Output("drawn", "drawn from the battery", "Wh"),
        Output("overall", "share of it that reaches the loads", "%"),
    ),
    expression=(
        "loss = ac_energy * (1 / efficiency - 1)",
        "idle_energy = idle * hours",
        "drawn = ac_energy + loss + idle_energy",
        "overall = ac_energy / drawn",
    ),
    source=COMMON_PRACTICE,
    validity="The conversion efficiency is that at part load, without the idle draw, which is counted apart.",
)
def inverter_day(*, ac_energy: float, efficiency: float, idle: float, hours: float = 24.0) -> InverterDay:
    """Energy that an inverter takes from the battery on a day: conversion, and idle draw all day.

    ``drawn = ac_energy / efficiency + idle hours``

    Args: ac_energy [Wh, > 0]; efficiency [0..1] of conversion; idle [W]; hours [h] switched on.
    Returns: loss [Wh], idle_energy [Wh], drawn [Wh], overall [0..1], what of it reaches the loads.

    >>> inverter_day(ac_energy=900, efficiency=0.9, idle=15).drawn
    1360.0

    Source: common practice.
    """
    loss, resting = ac_energy * (1 / efficiency - 1), idle * hours
    drawn = ac_energy + loss + resting
    return InverterDay(loss, resting, drawn, ac_energy / drawn)


class LoadStart(NamedTuple):
    extra: float
    surge: float


@worksheet(
    id="load-start",
    subject="Demand",
    title="Power while a load starts and the others run",
    inputs=(
        quantity("running", "W", "all that runs together, this load too", "1.6 kW", low=0, high=1e8),
        quantity("power", "W", "running power of the load that starts", "900 W", low=0, high=1e8),
        quantity("factor", "1", "its starting power over its running power", "4", low=1, high=20),
    ),
    outputs=(
        Output("extra", "what the start takes beyond running", "W"),
        Output("surge", "power during the start", "W"),
    ),
    expression=("extra = power * (factor - 1)", "surge = running + extra"),
    source=COMMON_PRACTICE,
    validity="All pieces of one row start together, as they do when power comes back; no two rows do.",
)
def load_start(*, running: float, power: float, factor: float) -> LoadStart:
    """Power that an inverter must give while one load starts on top of all that runs.

    ``surge = running + power (factor - 1)``

    Args: running [W] with this load in it; power [W] of the load that starts; factor [>= 1].
    Returns: extra [W], surge [W].

    >>> load_start(running=1000, power=500, factor=3).surge
    2000

    Source: common practice.
    """
    extra = power * (factor - 1)
    return LoadStart(extra, running + extra)


def inverter_loss(
    output: Floats,
    *,
    power: float,
    idle: float,
    efficiency: float | None,
    points: Sequence[tuple[float, float]] = (),
) -> Floats:
    """Loss of an inverter at each output power, its idle draw within [W].

    Without a curve ``loss = output (1 / efficiency - 1) + idle``. A maker's curve, ``points`` of (share of
    rated power, efficiency), holds the idle draw already: ``loss = output (1 / efficiency(share) - 1)``, not
    below ``idle``; under its first point a straight line from ``idle`` at no output; over its last point the
    lesser of that efficiency and the one at full power.

    Args: output [W], any shape; power [W] rated; idle [W]; efficiency [0..1] at full power, ``None`` only
    with a curve. Returns the loss in the shape of ``output``.
    Source: efficiency is output over input, own draw within (IEC 61683, from memory); the line under the
    first point is common practice.
    """
    if not points:
        if efficiency is None:
            raise ValueError("neither an efficiency nor a curve")
        return output * (1 / efficiency - 1) + idle
    shares = [share for share, _ in points]
    values = [value for _, value in points]
    if efficiency is not None and shares[-1] < 1:
        shares.append(1.0)
        values.append(min(values[-1], efficiency))
    watts = np.array(shares) * power
    at = np.interp(output, watts, values)
    loss = output * (1 / at - 1)
    first = watts[0] * (1 / values[0] - 1)
    if watts[0] > 0:
        low = idle + (max(first, idle) - idle) * output / watts[0]
        loss = np.where(output < watts[0], low, loss)
    return np.maximum(loss, idle)
