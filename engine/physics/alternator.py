"""Alternator and rectifier: open-circuit voltage, and what stands on the ac side of a dc current."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.sources import Source
from engine.worksheet import Output, quantity, worksheet

DC_PER_LINE_VOLTAGE = 3 * math.sqrt(2) / math.pi  # 1.35, ideal six-pulse bridge
LINE_PER_DC_CURRENT = math.sqrt(2 / 3)  # 0.816, smooth dc current


class ThreePhaseRectifier(NamedTuple):
    line_voltage: float
    line_current: float


@worksheet(
    id="three-phase-rectifier",
    subject="Hydro",
    title="Three-phase side of a rectifier",
    inputs=(
        quantity("dc_voltage", "V", "dc voltage", "56 V", low=0, high=5000),
        quantity("dc_current", "A", "dc current", "20 A", low=0, high=5000),
        quantity("drop", "V", "drop of the two diodes in the path", "1.6 V", 0.0, low=0, high=10),
    ),
    outputs=(
        Output("line_voltage", "line to line, rms", "V"),
        Output("line_current", "line current, rms", "A"),
    ),
    expression=(
        "line_voltage = (dc_voltage + drop) * pi / (3 * sqrt(2))",
        "line_current = dc_current * sqrt(2 / 3)",
    ),
    source=Source(
        "Power Electronics: Converters, Applications, and Design",
        "N. Mohan, T. M. Undeland and W. P. Robbins, Wiley",
        "2003",
        "5-6, three-phase full-bridge rectifiers",
    ),
    validity="Six-pulse bridge with smooth dc current and no commutation; winding inductance lowers the dc "
    "voltage.",
)
def three_phase_rectifier(*, dc_voltage: float, dc_current: float, drop: float = 0.0) -> ThreePhaseRectifier:
    """Line voltage and current, rms, on the three-phase side of a six-pulse diode bridge.

    ``line_voltage = (dc_voltage + drop) * pi / (3 sqrt(2))`` (dc is 1.35 of line);
    ``line_current = dc_current * sqrt(2 / 3)`` (0.82 of dc)

    Args: dc_voltage [V]; dc_current [A], smooth; drop [V] of the two diodes that carry it, 0 for an ideal
    bridge.
    Returns: line_voltage [V rms], line_current [A rms]. Arrays pass too.

    >>> round(three_phase_rectifier(dc_voltage=56, dc_current=20).line_current, 1)
    16.3

    Source: Mohan, Undeland and Robbins, Power Electronics, Wiley, 2003, 5-6 (from memory).
    """
    return ThreePhaseRectifier((dc_voltage + drop) / DC_PER_LINE_VOLTAGE, dc_current * LINE_PER_DC_CURRENT)


class AlternatorVoltage(NamedTuple):
    voltage: float


@worksheet(
    id="alternator-voltage",
    subject="Hydro",
    title="Open-circuit voltage of an alternator",
    inputs=(
        quantity("rotor_speed", "rpm", "rotor speed", "420 rpm", low=0, high=20_000),
        quantity("volts_per_speed", "V/rpm", "open-circuit volts per speed", "0.12 V/rpm", above=0, high=100),
        quantity("factor", "1", "speed over that speed, such as at runaway", "1.8", 1.0, above=0, high=10),
    ),
    outputs=(Output("voltage", "open-circuit voltage", "V"),),
    expression=("voltage = volts_per_speed * rotor_speed * factor",),
    source=Source(
        "Power Electronics: Converters, Applications, and Design",
        "N. Mohan, T. M. Undeland and W. P. Robbins, Wiley",
        "2003",
        "permanent-magnet synchronous machines",
    ),
    validity="Permanent magnets, no load. Cold magnets give a few per cent more than warm ones.",
)
def alternator_voltage(
    *, rotor_speed: float, volts_per_speed: float, factor: float = 1.0
) -> AlternatorVoltage:
    """Open-circuit voltage of a permanent-magnet alternator: ``volts_per_speed * rotor_speed * factor``.

    Args: rotor_speed [rpm]; volts_per_speed [V/rpm], on the side (ac or dc) that is asked for; factor [-],
    how much faster than that it may run, such as runaway over rated speed. Returns: voltage [V]. Arrays pass
    too.

    >>> round(alternator_voltage(rotor_speed=398, volts_per_speed=0.1, factor=2).voltage, 1)
    79.6

    Source: the induction law with a constant field (Mohan, Undeland and Robbins, 2003; from memory).
    """
    return AlternatorVoltage(volts_per_speed * rotor_speed * factor)
