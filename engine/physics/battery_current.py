"""Currents of the battery side: what an inverter draws, and what a short circuit lets flow."""

from __future__ import annotations

from typing import NamedTuple

from engine.sources import COMMON_PRACTICE, Source
from engine.tables.family import Family
from engine.worksheet import Output, count, quantity, worksheet
from engine.worksheet import family as family_input


class InverterCurrent(NamedTuple):
    """Dc current of an inverter and the current that cable and device are made for [A]."""

    current: float
    design_current: float
    factor: float


@worksheet(
    id="inverter-dc-current",
    subject="Devices and earthing",
    title="Dc current of an inverter at full power and the lowest battery voltage",
    inputs=(
        quantity("power", "W", "rated power", "2500 W", above=0, symbol="P"),
        quantity("efficiency", "%", "efficiency at that power", "85 %", above=0, high=1, symbol="η"),
        quantity("lowest_voltage", "V", "lowest battery voltage", "22 V", above=0, symbol="U_low"),
        family_input(),
    ),
    outputs=(
        Output("current", "current", "A", "I"),
        Output("design_current", "for cable and device", "A"),
        Output("factor", "factor for continuous duty", "1", "k"),
    ),
    expression=("current = power / efficiency / lowest_voltage", "design_current = factor * current"),
    source=Source(
        "Photovoltaic Power Systems and the National Electrical Code: Suggested Practices",
        "Sandia National Laboratories and New Mexico State University",
        "",
        "inverter input circuit; NEC 690.8(A), 215.2",
    ),
    validity="surge does not size the cable; ripple current of a single-phase inverter heats it further",
)
def inverter_dc_current(
    *, power: float, efficiency: float, lowest_voltage: float, rules: Family
) -> InverterCurrent:
    """Battery current of an inverter ``I = P / (eta U_low)``, and the family's continuous factor on top.

    ``power`` [W], ``efficiency`` a fraction, ``lowest_voltage`` [V]. Returns [A, A, 1].

    >>> from engine.tables.family import family
    >>> i = inverter_dc_current(power=2500, efficiency=0.85, lowest_voltage=22, rules=family("nec-2023"))
    >>> round(i.current, 1), round(i.design_current, 1)
    (133.7, 167.1)
    """
    current = power / efficiency / lowest_voltage
    return InverterCurrent(current, rules.continuous_factor * current, rules.continuous_factor)


class BatteryFault(NamedTuple):
    """Fault current of one battery string and of all together [A]."""

    string_current: float
    current: float
    string_resistance: float


@worksheet(
    id="battery-fault-current",
    subject="Devices and earthing",
    title="Prospective fault current of a battery",
    inputs=(
        quantity("voltage", "V", "voltage of a string", "240 V", above=0, symbol="U"),
        quantity("resistance", "ohm", "resistance of one cell or block", "0.5 mohm", above=0, symbol="r"),
        count("series", "cells or blocks in series", "110", low=1),
        count("strings", "strings in parallel", "4", low=1),
        quantity("circuit_resistance", "ohm", "resistance to the fault", "0 ohm", 0.0, low=0, symbol="R"),
    ),
    outputs=(
        Output("string_current", "of each string", "A", "I_string"),
        Output("current", "of all strings", "A", "I"),
        Output("string_resistance", "resistance of a string", "ohm", "R_string"),
    ),
    expression=(
        "string_resistance = resistance * series",
        "current = voltage / (string_resistance / strings + circuit_resistance)",
        "string_current = current / strings",
    ),
    source=COMMON_PRACTICE,
    validity="low resistance (new, warm, full) for breaking capacity; high (cold, aged) for tripping",
)
def battery_fault_current(
    *, voltage: float, resistance: float, series: int, strings: int, circuit_resistance: float = 0.0
) -> BatteryFault:
    """Ohm's law on equal strings in parallel: ``I = U / (n r / m + R)``, of which each gives its m-th part.

    ``voltage`` of a string [V], ``resistance`` r of one cell or block [ohm], ``series`` n, ``strings`` m,
    ``circuit_resistance`` R of the way there and back, which all share [ohm]. Returns [A, A, ohm].

    >>> fault = battery_fault_current(voltage=240, resistance=0.0005, series=110, strings=4)
    >>> round(fault.string_current), round(fault.current)
    (4364, 17455)
    """
    of_string = resistance * series
    current = voltage / (of_string / strings + circuit_resistance)
    return BatteryFault(current / strings, current, of_string)
