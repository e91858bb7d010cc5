"""Braking a wind turbine by shorting its alternator: the current, and the speed at which the rotor creeps."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from engine.physics.alternator import LINE_PER_DC_CURRENT
from engine.physics.wind_rotor import Floats
from engine.physics.wind_turbine import Machine
from engine.sources import Source
from engine.worksheet import Output, quantity, worksheet

PLACES = 600  # tip speed ratios among which a balance is looked for
STORM = 90.0  # m/s: more than any class of IEC 61400-2 is made for
PARTS = 18  # of its winds that are looked through one after another


class ShortedAlternator(NamedTuple):
    current: float
    line_current: float
    power: float


@worksheet(
    id="shorted-alternator",
    subject="Wind",
    title="Alternator with its wires shorted",
    inputs=(
        quantity("rotor_speed", "rpm", "rotor speed", "250 rpm", low=0, high=20_000),
        quantity("volts_per_speed", "V/rpm", "open-circuit volts per speed", "0.12 V/rpm", above=0, high=100),
        quantity("resistance", "ohm", "resistance up to the short, dc side", "0.49 ohm", above=0, high=1000),
        quantity("short_current", "A", "current that it never passes, dc side", "120 A", None, above=0),
    ),
    outputs=(
        Output("current", "current, as on the dc side", "A"),
        Output("line_current", "current of each wire, rms", "A"),
        Output("power", "power that brakes the rotor, all of it heat", "W"),
    ),
    expression=(
        "current = 1 / sqrt((resistance / (volts_per_speed * rotor_speed))^2 + (1 / short_current)^2)",
        "line_current = current * sqrt(2 / 3)",
        "power = current^2 * resistance",
    ),
    source=Source(
        "Power Electronics: Converters, Applications, and Design",
        "N. Mohan, T. M. Undeland and W. P. Robbins, Wiley",
        "2003",
        "permanent-magnet synchronous machines",
    ),
    validity="Settled, not the first instant. Reactance grows with speed as the voltage does, so the current "
    "nears one that it never passes; without that current the reactance is left out, and it brakes less than "
    "this says.",
)
def shorted_alternator(
    *, rotor_speed: float, volts_per_speed: float, resistance: float, short_current: float | None = None
) -> ShortedAlternator:
    """Current and braking power of a permanent-magnet alternator whose wires are shorted.

    ``current = E / sqrt(resistance^2 + X^2)`` with ``E = volts_per_speed * rotor_speed`` and a reactance
    ``X = E / short_current``. Args: rotor_speed [rpm]; volts_per_speed [V/rpm]; resistance [ohm] up to the
    short; short_current [A], no bound where it is None. Currents on the dc side, ``line_current`` rms.
    Returns: current [A], line_current [A], power [W]. At rest all are 0.

    >>> round(shorted_alternator(rotor_speed=250, volts_per_speed=0.12, resistance=0.5).current)
    60

    Source: Ohm's law for a synchronous machine (Mohan, Undeland and Robbins, 2003; from memory).
    """
    current = float(_current(np.array(volts_per_speed * rotor_speed), resistance, short_current))
    return ShortedAlternator(current, current * LINE_PER_DC_CURRENT, current**2 * resistance)


def _current(emf: Floats, resistance: float, short_current: float | None) -> Floats:
    reactance = 0.0 if short_current is None else emf / short_current
    found: Floats = emf / np.sqrt(resistance**2 + reactance**2)
    return found


def braked_speed(machine: Machine, wind: Floats, short_current: float | None = None) -> Floats:
    """Rotor speed [rpm] in each wind [m/s] with the alternator shorted at the far end of ``machine.cable``.

    The fastest steady one. Furling is not counted: a stalled rotor feels less thrust and furls later.
    """
    rotor = machine.rotor
    ratios = np.linspace(0, float(rotor.ratios[-1]), PLACES)[1:]
    cp = np.interp(ratios, rotor.ratios, rotor.coefficients)
    wind = np.asarray(wind, float)
    speed = rotor.speed_per_wind * wind[:, None] * ratios
    current = _current(machine.volts_per_speed * speed, machine.resistance, short_current)
    held = machine.drag * speed + machine.resistance * current**2
    spare = machine.shaft_gain * wind[:, None] ** 3 * cp - held
    runs = spare > 0
    last = runs.shape[1] - 1 - np.argmax(runs[:, ::-1], axis=1)
    found: Floats = np.where(runs.any(axis=1), speed[np.arange(wind.size), last], 0.0)
    return found


def holding_wind(machine: Machine, short_current: float | None = None, largest: float | None = None) -> float:
    """The wind [m/s] up to which the shorted rotor only creeps, in stall; ``STORM`` where it always does.

    It has broken loose once its tip speed ratio passes that of the greatest torque, or its speed ``largest``
    [rpm].
    """
    rotor = machine.rotor
    torque = rotor.coefficients[1:] / rotor.ratios[1:]
    peak = float(rotor.ratios[1:][int(np.argmax(torque))])
    for winds in np.split(
        np.arange(0.5, STORM + 0.25, 0.5), PARTS
    ):  # it mostly breaks loose in an early part
        speeds = braked_speed(machine, winds, short_current)
        loose = speeds > peak * rotor.speed_per_wind * winds
        if largest is not None:
            loose |= speeds > largest
        if loose.any():
            return float(winds[int(np.argmax(loose))] - 0.5)
    return STORM
