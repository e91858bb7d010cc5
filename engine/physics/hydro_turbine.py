"""Hydro turbine: the wheel in its jet, its runaway, and the straight line that wheel and alternator draw.

A jet pushes a wheel with a torque that falls in a straight line from standstill to runaway; its power is a
parabola between the two. Behind a permanent-magnet alternator, whose volts follow the speed and whose amps
follow the torque, that makes a straight line of amps over volts: an ideal voltage behind a resistance.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

from engine.physics.physical import GRAVITY
from engine.sources import Source
from engine.worksheet import CannotCalculate, Output, quantity, worksheet

MM = 1e-3  # m
SECONDS_A_MINUTE = 60.0
BEST_RATIO = 0.46  # bucket over jet speed at best work of an impulse wheel (common practice: 0.45 to 0.48)

IMPULSE = Source(
    "Guide on How to Develop a Small Hydropower Plant",
    "European Small Hydropower Association",
    "2004",
    "chapter 6, impulse turbines",
)


class WheelSpeed(NamedTuple):
    bucket_velocity: float
    ratio: float
    best_speed: float


@worksheet(
    id="hydro-wheel-speed",
    subject="Hydro",
    title="Speed of an impulse wheel in its jet",
    inputs=(
        quantity("jet_velocity", "m/s", "velocity of the jet", "17.6 m/s", above=0, high=200),
        quantity("wheel_diameter", "mm", "pitch diameter of the wheel", "150 mm", above=0, high=5000),
        quantity("speed", "rpm", "speed of the wheel", "1030 rpm", low=0, high=20_000),
        quantity(
            "best_ratio", "1", "bucket over jet speed at best work", "0.46", BEST_RATIO, above=0, high=1
        ),
    ),
    outputs=(
        Output("bucket_velocity", "speed of the buckets", "m/s"),
        Output("ratio", "bucket over jet speed", "1"),
        Output("best_speed", "speed of the wheel at best work", "rpm"),
    ),
    expression=(
        "bucket_velocity = pi * wheel_diameter * speed / (60 s/min)",
        "ratio = bucket_velocity / jet_velocity",
        "best_speed = best_ratio * jet_velocity / (pi * wheel_diameter) * 60 s/min",
    ),
    source=IMPULSE,
    validity="Wheels that a free jet drives: Pelton and turgo.",
)
def wheel_speed(
    *, jet_velocity: float, wheel_diameter: float, speed: float, best_ratio: float = BEST_RATIO
) -> WheelSpeed:
    """Bucket speed over jet speed: ``ratio = pi * wheel_diameter * speed / jet_velocity``.

    Args: jet_velocity [m/s]; wheel_diameter [mm], of the pitch circle; speed [rpm]; best_ratio [-].
    Returns: bucket_velocity [m/s]; ratio [-]; best_speed [rpm].

    >>> round(wheel_speed(jet_velocity=5.70, wheel_diameter=150, speed=334).ratio, 2)
    0.46

    Source: ESHA guide, 2004, chapter 6 (from memory); the best ratio of common practice.
    """
    bucket = math.pi * wheel_diameter * MM * speed / SECONDS_A_MINUTE
    best = best_ratio * jet_velocity / (math.pi * wheel_diameter * MM) * SECONDS_A_MINUTE
    return WheelSpeed(bucket, bucket / jet_velocity, best)


class Runaway(NamedTuple):
    working_speed: float
    head_factor: float
    speed: float
    voltage: float | None


@worksheet(
    id="hydro-runaway",
    subject="Hydro",
    title="Runaway speed and voltage of a hydro turbine",
    inputs=(
        quantity("rated_speed", "rpm", "rated speed", "1030 rpm", above=0, high=20_000),
        quantity("factor", "1", "runaway over rated speed", "1.8", low=1, high=4),
        quantity("gross_head", "m", "gross head", "21 m", above=0, high=2000),
        quantity("net_head", "m", "net head at the rated speed", "16.5 m", above=0, high=2000),
        quantity("best_speed", "rpm", "speed of the wheel at best work", "1035 rpm", 0.0, low=0, high=20_000),
        quantity(
            "volts_per_speed", "V/rpm", "open-circuit volts per speed", "0.12 V/rpm", None, above=0, high=100
        ),
    ),
    outputs=(
        Output("working_speed", "speed that the factor counts from", "rpm"),
        Output("head_factor", "faster by the head that friction leaves when little flows", "1"),
        Output("speed", "runaway speed", "rpm"),
        Output("voltage", "open-circuit voltage there", "V"),
    ),
    expression=(
        "working_speed = larger of rated_speed and best_speed",
        "head_factor = sqrt(gross_head / net_head)",
        "speed = factor * working_speed * head_factor",
        "voltage = volts_per_speed * speed",
    ),
    source=IMPULSE,
    validity="The worst case: with a nozzle half shut friction leaves nearly the whole head, and the jet is "
    "faster than at full flow. Friction of the drive is not counted. A wheel that is held below its best "
    "speed runs away no slower.",
)
def runaway(
    *,
    rated_speed: float,
    factor: float,
    gross_head: float,
    net_head: float,
    best_speed: float = 0.0,
    volts_per_speed: float | None = None,
) -> Runaway:
    """Runaway of an unloaded turbine at the whole gross head, and the open-circuit voltage that goes with it.

    ``speed = factor * max(rated_speed, best_speed) * sqrt(gross_head / net_head)``

    Args: rated_speed, best_speed [rpm] at the net head; factor [1..4]; gross_head, net_head [m];
    volts_per_speed [V/rpm], on the side (ac or dc) that is asked for.
    Returns: working_speed, speed [rpm]; head_factor [-]; voltage [V], None without volts per speed.
    Raises CannotCalculate for a net head above the gross head.

    >>> round(runaway(rated_speed=1500, factor=1.8, gross_head=62, net_head=59).speed)
    2768

    Source: ESHA guide, 2004, chapter 6, table of runaway ratios; jet speed by Torricelli (from memory).
    """
    if net_head > gross_head:
        raise CannotCalculate("net_head", f"{net_head:g} m", f"no more than the gross head, {gross_head:g} m")
    working, faster = max(rated_speed, best_speed), math.sqrt(gross_head / net_head)
    speed = factor * working * faster
    return Runaway(working, faster, speed, None if volts_per_speed is None else volts_per_speed * speed)


class WheelPower(NamedTuple):
    jet_power: float
    efficiency: float
    power: float


@worksheet(
    id="hydro-wheel-power",
    subject="Hydro",
    title="Power of a wheel at a speed",
    inputs=(
        quantity("flow", "m^3/s", "flow", "5 L/s", low=0, high=1000),
        quantity("net_head", "m", "head left at the nozzle", "16.5 m", low=0, high=2000),
        quantity("coefficient", "1", "nozzle coefficient", "0.98", 1.0, above=0, high=1),
        quantity("best_efficiency", "%", "best efficiency of wheel and drive", "70 %", above=0, high=1),
        quantity("speed", "rpm", "speed of the wheel", "1030 rpm", low=0, high=20_000),
        quantity("runaway_speed", "rpm", "speed at which the water drives it no more", "1900 rpm", above=0),
        quantity("density", "kg/m^3", "density of water", "1000 kg/m^3", 1000.0, low=500, high=1500),
    ),
    outputs=(
        Output("jet_power", "power of the jet", "W"),
        Output("efficiency", "efficiency at this speed", "%"),
        Output("power", "power of the wheel", "W"),
    ),
    expression=(
        "jet_power = density * 9.80665 m/s^2 * flow * net_head * coefficient^2",
        "efficiency = 4 * best_efficiency * speed / runaway_speed * (1 - speed / runaway_speed)",
        "power = efficiency * jet_power",
    ),
    source=Source(
        "Fluid Mechanics: Fundamentals and Applications",
        "Y. A. Cengel and J. M. Cimbala, McGraw-Hill",
        "2006",
        "14-4, impulse turbines: torque falls evenly with speed",
    ),
    validity="A parabola through zero at standstill and at runaway, its peak at half the runaway speed. "
    "Without a nozzle the coefficient is 1. Beyond runaway the wheel brakes: the power is negative.",
)
def wheel_power(
    *,
    flow: float,
    net_head: float,
    best_efficiency: float,
    speed: float,
    runaway_speed: float,
    coefficient: float = 1.0,
    density: float = 1000.0,
) -> WheelPower:
    """Power of a wheel whose torque falls evenly from standstill to runaway.

    ``power = density g flow net_head C^2 * 4 best_efficiency * s (1 - s)``, s the speed over runaway speed

    Args: flow [m^3/s]; net_head [m]; coefficient C [0..1] of the nozzle, whose loss counts here and nowhere
    else; best_efficiency [0..1], jet to shaft; speed, runaway_speed [rpm]; density [kg/m^3].
    Returns: jet_power [W], efficiency [-], power [W]. Arrays of one shape pass too.

    >>> round(wheel_power(flow=0.01036, net_head=1.7625, coefficient=0.97, best_efficiency=0.75, speed=334,
    ...                   runaway_speed=668).power)
    126

    Source: Cengel and Cimbala, Fluid Mechanics, McGraw-Hill, 2006, 14-4 (from memory).
    """
    share = speed / runaway_speed
    jet = density * GRAVITY * flow * net_head * coefficient**2
    efficiency = 4 * best_efficiency * share * (1 - share)
    return WheelPower(jet, efficiency, efficiency * jet)


class TurbineLine(NamedTuple):
    """Volts and amps of wheel and alternator on the dc side, as far as the controller: a straight line.

    ``current`` and ``power`` are those at the voltage that was asked for; ``stalled_current`` the one at no
    volts, ``best_voltage`` and ``best_power`` where the power peaks, ``speed`` that of the wheel.
    """

    open_voltage: float
    resistance: float
    current: float
    power: float
    speed: float
    stalled_current: float
    best_voltage: float
    best_power: float


@worksheet(
    id="hydro-power-voltage",
    subject="Hydro",
    title="Power of a hydro turbine over its dc voltage",
    inputs=(
        quantity("wheel_power", "W", "power of the wheel at half its runaway speed", "560 W", above=0),
        quantity("runaway_speed", "rpm", "runaway speed", "1900 rpm", above=0, high=80_000),
        quantity("volts_per_speed", "V/rpm", "open-circuit volts per speed", "0.12 V/rpm", above=0, high=100),
        quantity("winding", "ohm", "resistance of the alternator, dc side", "3.5 ohm", low=0, high=1000),
        quantity(
            "cable", "ohm", "resistance of the cable, both conductors", "0.8 ohm", 0.0, low=0, high=1000
        ),
        quantity("drop", "V", "drop of the rectifier", "1.6 V", 0.0, low=0, high=10),
        quantity("loss", "W", "iron and friction loss at half the runaway speed", "20 W", 0.0, low=0),
        quantity("voltage", "V", "dc voltage at the controller", "110 V", low=0, high=5000),
    ),
    outputs=(
        Output("open_voltage", "voltage without load", "V"),
        Output("resistance", "resistance that it acts as if it had", "ohm"),
        Output("current", "current at the voltage", "A"),
        Output("power", "power at the voltage", "W"),
        Output("speed", "speed of the wheel", "rpm"),
        Output("stalled_current", "current at no volts", "A"),
        Output("best_voltage", "voltage of most power", "V"),
        Output("best_power", "most power", "W"),
    ),
    expression=(
        "resistance = (volts_per_speed * runaway_speed)^2 / (4 * wheel_power) + winding + cable",
        "open_voltage = volts_per_speed * runaway_speed * (1 - loss / (2 * wheel_power)) - drop",
        "current = (open_voltage - voltage) / resistance, none above open_voltage",
        "power = voltage * current",
        "speed = (voltage + drop + current * (winding + cable)) / volts_per_speed",
        "stalled_current = open_voltage / resistance",
        "best_voltage = open_voltage / 2",
        "best_power = open_voltage^2 / (4 * resistance)",
    ),
    source=Source(
        "PCF-CAL-001, sizing calculations for an open-hardware low-head pico-hydro unit",
        "public design repository",
        "2026",
        "turbine line against alternator and resistor",
        "read",
    ),
    validity="Steady state, smooth dc current. The drive's own loss is a constant torque. No rating is taken "
    "from it: hydro-runaway says how high the voltage stands.",
)
def turbine_line(
    *,
    wheel_power: float,
    runaway_speed: float,
    volts_per_speed: float,
    winding: float,
    voltage: Any,
    cable: float = 0.0,
    drop: float = 0.0,
    loss: float = 0.0,
) -> TurbineLine:
    """Wheel, alternator, rectifier and cable as one straight line of current over voltage.

    The wheel's torque falls evenly to zero at runaway, so with ``E = volts_per_speed * runaway_speed``
    ``current = 4 wheel_power / E * (1 - speed / runaway_speed) - 2 loss / E`` and
    ``voltage = volts_per_speed * speed - current * (winding + cable) - drop``; the speed goes out of the two.

    Args: wheel_power [W], the wheel's best, at half the runaway speed; runaway_speed [rpm]; volts_per_speed
    [V/rpm], dc; winding, cable [ohm]; drop [V]; loss [W], at half the runaway speed; voltage [V, any shape].
    Returns: see ``TurbineLine``; volts, amps, watts, ohms, rpm; arrays where the voltage is one.
    Raises CannotCalculate where loss and drop leave no voltage.

    >>> line = turbine_line(wheel_power=126.4, runaway_speed=668, volts_per_speed=0.1, winding=0.8,
    ...                     voltage=28.7, drop=1.6)
    >>> round(line.best_power, 1)
    110.4

    Source: PCF-CAL-001, 2026 (read); the algebra is this program's.
    """
    emf = volts_per_speed * runaway_speed
    resistance = emf**2 / (4 * wheel_power) + winding + cable
    open_voltage = emf * (1 - loss / (2 * wheel_power)) - drop
    if open_voltage <= 0:
        raise CannotCalculate("loss", f"{loss:g} W", "a loss and a rectifier drop that leave a voltage")
    current = _positive((open_voltage - voltage) / resistance)
    speed = (_least(voltage, open_voltage) + drop + current * (winding + cable)) / volts_per_speed
    return TurbineLine(
        open_voltage=open_voltage,
        resistance=resistance,
        current=current,
        power=voltage * current,
        speed=speed,
        stalled_current=open_voltage / resistance,
        best_voltage=open_voltage / 2,
        best_power=open_voltage**2 / (4 * resistance),
    )


def _positive(value: Any) -> Any:
    """No current flows back through a rectifier."""
    return (abs(value) + value) / 2


def _least(value: Any, most: float) -> Any:
    return (value + most - abs(value - most)) / 2
