"""Battery room: the gas that charging makes and the air that it needs."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.physics.physical import (
    BOLTZMANN,
    ELEMENTARY_CHARGE,
    STANDARD_PRESSURE,
    ZERO_CELSIUS,
)
from engine.sources import Source
from engine.worksheet import CannotCalculate, Output, count, quantity, worksheet

# IEC 62485-2, Safety requirements for secondary batteries, part 2, stationary batteries: 7.2 to 7.4 and the
# close-vicinity clause (formulas read, 28.8 from memory and met by its worked distance of 0.78 m).
AIR_PER_CHARGE = (
    0.05  # m^3/(A h) a cell: 0.42 L of hydrogen an ampere-hour, diluted 24 times, safety factor 5
)
OPENING_PER_AIRFLOW = 28.0  # cm^2 h/m^3
DISTANCE = 0.0288  # m, for a gas current in mA/Ah
ROOM_TEMPERATURE = 25.0  # degC, at which hydrogen volumes are stated
TABLE_ENDS = 2.40  # V a lead-acid cell: the gas currents of table 1 hold up to here

IEC_62485_2 = Source(
    "IEC 62485-2 (EN 50272-2), Safety requirements for secondary batteries, stationary batteries",
    "IEC",
    "2010",
    "7.2 airflow, 7.3 openings, close vicinity",
)


class BatteryVentilation(NamedTuple):
    airflow: float
    opening: float
    distance: float
    deciding_gas_current: float


@worksheet(
    id="battery-ventilation",
    subject="Storage",
    title="Air that a battery room needs",
    inputs=(
        count("cells", "cells in series, times strings", "24", high=10_000),
        quantity("capacity", "Ah", "rated capacity of a string", "600 Ah", above=0),
        quantity("gas_current", "A/Ah", "gas current of the table, a rated Ah", "20 mA/Ah", above=0, high=1),
        count("vents", "vent openings a cell", "1", 1, high=100),
        quantity("cell_voltage", "V", "highest charging voltage of a cell", "2.40 V", None, above=0, high=5),
        quantity("charge_current", "A", "largest current of the chargers", "60 A", None, above=0),
    ),
    outputs=(
        Output("airflow", "air needed", "m^3/h"),
        Output("opening", "free area of each opening, in and out", "cm^2"),
        Output("distance", "no spark within", "m"),
        Output("deciding_gas_current", "gas current that decides", "A/Ah"),
    ),
    expression=(
        "deciding_gas_current = larger of gas_current and (above 2.40 V a cell) charge_current / capacity",
        "airflow = 0.05 m^3/Ah * cells * deciding_gas_current * capacity",
        "opening = airflow * 28 cm^2*h/m^3",
        "distance = 28.8 mm * cbrt(vents) * cbrt(deciding_gas_current / 1 mA/Ah) * cbrt(capacity / 1 Ah)",
    ),
    source=IEC_62485_2,
    validity="The openings stand for 0.1 m/s of natural draught. The gas currents of the table end at 2.40 "
    "V a lead-acid cell; above, such as when equalizing, all of the charging current may make gas. A charge "
    "current that is given counts, unless the cell voltage is known to stay at 2.40 V or less.",
)
def battery_ventilation(
    *,
    cells: int,
    capacity: float,
    gas_current: float,
    vents: int = 1,
    cell_voltage: float | None = None,
    charge_current: float | None = None,
) -> BatteryVentilation:
    """Airflow, openings and spark distance of a battery room, after IEC 62485-2.

    ``airflow = 0.05 * cells * gas_current * capacity; opening = 28 * airflow``;
    ``distance = 28.8 mm * cbrt(vents) * cbrt(gas current in mA/Ah) * cbrt(capacity in Ah)``

    Args: cells in all; capacity [Ah] of one string; gas_current [A/Ah] of the standard's table 1; vents a
    cell; cell_voltage [V], the highest that charging drives a cell to; charge_current [A] into one string.
    Returns: airflow [m^3/h], opening [cm^2], distance [m], deciding_gas_current [A/Ah].
    Raises CannotCalculate above 2.40 V a cell without a charge current: the table does not reach there.

    A charge current that is given counts, unless the cell voltage is known to stay at 2.40 V or less.

    >>> round(battery_ventilation(cells=24, capacity=1000, gas_current=0.020).distance, 2)
    0.78

    Source: IEC 62485-2 / EN 50272-2 (formulas read, constants of the distance from memory).
    """
    beyond_table = cell_voltage is None or cell_voltage > TABLE_ENDS
    if cell_voltage is not None and beyond_table and charge_current is None:
        raise CannotCalculate(
            "charge_current",
            f"nothing at {cell_voltage:g} V a cell",
            "the chargers' largest current: above 2.40 V a cell the gas current of the table no longer holds",
        )
    deciding = gas_current
    if beyond_table and charge_current is not None:
        deciding = max(gas_current, charge_current / capacity)
    airflow = AIR_PER_CHARGE * cells * deciding * capacity
    distance = DISTANCE * math.cbrt(vents) * math.cbrt(deciding * 1000) * math.cbrt(capacity)
    return BatteryVentilation(airflow, OPENING_PER_AIRFLOW * airflow, distance, deciding)


class HydrogenRate(NamedTuple):
    airflow: float
    hydrogen: float


@worksheet(
    id="hydrogen-rate",
    subject="Storage",
    title="Hydrogen when all of the current makes gas",
    inputs=(
        count("cells", "cells in series, times strings", "24", high=10_000),
        quantity("current", "A", "charging current through each cell", "10 A", low=0),
    ),
    outputs=(
        Output("airflow", "air needed", "m^3/h"),
        Output("hydrogen", "hydrogen set free, undiluted", "m^3/h"),
    ),
    expression=(
        "hydrogen = cells * current * 3600 s / (2 * 1.60218e-19 C) * 1.38065e-23 J/K * 298.15 K / 101325 Pa",
        "airflow = 0.05 m^3/Ah * cells * current",
    ),
    source=IEC_62485_2,
    validity="A full battery that is still charged. Hydrogen by Faraday's law at 25 degC and sea level.",
)
def hydrogen_rate(*, cells: int, current: float) -> HydrogenRate:
    """Hydrogen that a full battery sets free, and the air that it needs, where all of the current makes gas.

    ``hydrogen = cells * current * k T / (2 e p)``, by Faraday's law, two electrons a molecule, ideal gas at
    25 degC and 101 325 Pa; ``airflow = 0.05 * cells * current``, as in IEC 62485-2.

    Args: cells in all; current [A] through each. Returns: airflow [m^3/h] needed, hydrogen [m^3/h] set free.
    Arrays of currents pass too. Holds above 2.40 V a lead-acid cell and as the worst case below.

    >>> round(hydrogen_rate(cells=1, current=1).hydrogen / 3600 * 1e7, 2)  # 1e-7 m^3/s
    1.27

    Source: IEC 62485-2; 1.27e-7 m^3/s an ampere and cell: IEEE 1635 (from memory).
    """
    molecules = current * 3600 / (2 * ELEMENTARY_CHARGE)
    each = BOLTZMANN * (ROOM_TEMPERATURE + ZERO_CELSIUS) / STANDARD_PRESSURE
    return HydrogenRate(AIR_PER_CHARGE * cells * current, cells * molecules * each)
