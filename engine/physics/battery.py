"""Battery bank: how much is needed, how blocks make it up, how long it lasts, where it is charged to."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.sources import COMMON_PRACTICE, Source
from engine.worksheet import CannotCalculate, Output, count, quantity, worksheet

REFERENCE_TEMPERATURE = 25.0  # degC, at which the trade states charge set points (common practice)
WHOLE = 1e-6  # how far a ratio of printed nominal voltages may be from a whole number, relative
EXACT = 1e-9  # a need met to within this, relative, is met


class BatteryCapacity(NamedTuple):
    left: float
    energy: float
    capacity: float


@worksheet(
    id="battery-capacity",
    subject="Storage",
    title="Battery capacity for days without sources",
    inputs=(
        quantity("daily_energy", "Wh", "energy taken a day", "2.4 kWh", low=0),
        quantity("autonomy", "h", "time without sources", "3 day", above=0, high=9000),
        quantity("depth", "%", "allowed depth of discharge", "50 %", above=0, high=1),
        quantity("voltage", "V", "nominal battery voltage", "48 V", above=0, high=1500),
        quantity("temperature_multiplier", "1", "multiplier for a cold bank", "1.19", 1.0, low=0.85, high=10),
        quantity("efficiency", "%", "from the battery to the loads", "90 %", 1.0, above=0, high=1),
        quantity("rate_share", "%", "capacity left at the loads' rate", "100 %", 1.0, above=0, high=1),
        quantity("end_of_life", "%", "capacity left at end of life", "80 %", 1.0, above=0, high=1),
    ),
    outputs=(
        Output("left", "share of the rated energy that reaches the loads", "%"),
        Output("energy", "energy that the bank must hold", "Wh"),
        Output("capacity", "rated capacity", "Ah"),
    ),
    expression=(
        "left = depth * efficiency * rate_share * end_of_life",
        "energy = daily_energy * autonomy / 24 h * temperature_multiplier / left",
        "capacity = energy / voltage",
    ),
    source=Source(
        "IEEE 1013, Recommended Practice for Sizing Lead-Acid Batteries for Stand-Alone Photovoltaic Systems",
        "IEEE",
        "2019",
        "sizing",
    ),
    validity="The capacity meant is that at the discharge rate which the loads make, not at a milder one; "
    "rate_share carries it to the rate of the rating.",
)
def battery_capacity(
    *,
    daily_energy: float,
    autonomy: float,
    depth: float,
    voltage: float,
    temperature_multiplier: float = 1.0,
    efficiency: float = 1.0,
    rate_share: float = 1.0,
    end_of_life: float = 1.0,
) -> BatteryCapacity:
    """Capacity that carries the loads through a time without sources (the method of IEEE 1013).

    ``left = depth efficiency rate_share end_of_life``
    ``energy = daily_energy autonomy / 24 h temperature_multiplier / left``

    Args: daily_energy [Wh a day, >= 0]; autonomy [h]; depth [0..1], the allowed depth of discharge; voltage
    [V], nominal; temperature_multiplier [-], what a cold bank needs more; efficiency [0..1], battery to
    loads; rate_share [0..1], what the loads' rate of discharge leaves of the rated capacity; end_of_life
    [0..1], what age leaves of it.
    Returns: left [0..1], energy [Wh] and capacity [Ah] as rated, at the rate of discharge of the loads.
    Arrays of one shape pass too.

    >>> round(battery_capacity(daily_energy=1000, autonomy=60, depth=0.5, voltage=12,
    ...                        temperature_multiplier=1.3).capacity, 1)
    541.7

    Source: IEEE 1013 (from memory). A multiplier below 0.85 is refused: it would shrink the bank.
    """
    left = depth * efficiency * rate_share * end_of_life
    energy = daily_energy * autonomy / 24 * temperature_multiplier / left
    return BatteryCapacity(left, energy, energy / voltage)


class BatteryBank(NamedTuple):
    series: int
    parallel: int
    blocks: int
    installed_capacity: float
    installed_energy: float


@worksheet(
    id="battery-bank",
    subject="Storage",
    title="Blocks in series and parallel",
    inputs=(
        quantity("capacity", "Ah", "capacity needed", "600 Ah", above=0),
        quantity("block_capacity", "Ah", "capacity of a block", "225 Ah", above=0),
        quantity("block_voltage", "V", "nominal voltage of a block", "6 V", above=0),
        quantity("voltage", "V", "nominal battery voltage", "48 V", above=0, high=1500),
    ),
    outputs=(
        Output("series", "blocks in series"),
        Output("parallel", "strings in parallel"),
        Output("blocks", "blocks"),
        Output("installed_capacity", "capacity installed", "Ah"),
        Output("installed_energy", "energy installed", "Wh"),
    ),
    expression=(
        "series = voltage / block_voltage",
        "parallel = capacity / block_capacity, rounded up",
        "blocks = series * parallel",
        "installed_capacity = parallel * block_capacity",
        "installed_energy = installed_capacity * voltage",
    ),
    source=COMMON_PRACTICE,
)
def battery_bank(
    *, capacity: float, block_capacity: float, block_voltage: float, voltage: float
) -> BatteryBank:
    """How many equal blocks make up a bank: series by voltage, parallel strings by capacity, rounded up.

    ``series = voltage / block_voltage; parallel = ceil(capacity / block_capacity)``

    Args: capacity [Ah] needed; block_capacity [Ah]; block_voltage [V] and voltage [V], both nominal.
    Returns: series, parallel, blocks [counts], installed_capacity [Ah], installed_energy [Wh].
    Raises CannotCalculate where the blocks do not make the voltage up in whole numbers.

    >>> battery_bank(capacity=600, block_capacity=225, block_voltage=6, voltage=48)[:3]
    (8, 3, 24)

    Source: common practice.
    """
    ratio = voltage / block_voltage
    series = round(ratio)
    if series < 1 or abs(ratio - series) > WHOLE * ratio:
        raise CannotCalculate(
            "block_voltage",
            f"{block_voltage:g} V blocks for {voltage:g} V",
            "a nominal voltage that goes a whole number of times into the battery's",
        )
    parallel = max(1, math.ceil(capacity / block_capacity * (1 - EXACT)))
    installed = parallel * block_capacity
    return BatteryBank(series, parallel, series * parallel, installed, installed * voltage)


class BatteryRuntime(NamedTuple):
    time: float
    delivered: float
    beyond_rating: bool


@worksheet(
    id="battery-runtime",
    subject="Storage",
    title="Run time at a current",
    inputs=(
        quantity("capacity", "Ah", "rated capacity", "200 Ah", above=0),
        quantity("rated_time", "h", "discharge time of the rating", "20 h", above=0, high=1000),
        quantity("current", "A", "discharge current", "25 A", above=0),
        quantity("exponent", "1", "exponent", "1.2", low=1, high=2),
    ),
    outputs=(
        Output("time", "time until empty", "h"),
        Output("delivered", "capacity delivered", "Ah"),
        Output("beyond_rating", "more than was rated, not to be counted on"),
    ),
    expression=(
        "time = rated_time * (capacity / (current * rated_time))^exponent",
        "delivered = current * time",
    ),
    source=Source(
        "Peukert's law in its rated form",
        "handbooks of batteries, after W. Peukert",
        "1897",
        "t = H (C / I H)^k",
    ),
    validity="Lead-acid at steady current and temperature. Below the rated current it promises more than the "
    "rating; beyond_rating then says yes.",
)
def battery_runtime(*, capacity: float, rated_time: float, current: float, exponent: float) -> BatteryRuntime:
    """Time that a battery runs at a steady current, by Peukert's law in its rated form.

    ``time = rated_time * (capacity / (current * rated_time))^exponent``

    Args: capacity [Ah] at rated_time [h]; current [A]; exponent [1..2].
    Returns: time [h], delivered [Ah], and beyond_rating: whether the law promises more than the rating, which
    it does at any current below the rated one. Nothing is cut off; who sizes a bank must not count on the
    surplus.

    >>> round(battery_runtime(capacity=100, rated_time=20, current=10, exponent=1.2).time, 2)
    8.71

    Source: W. Peukert, 1897, in the rated form of the handbooks (from memory).
    """
    time = rated_time * (capacity / (current * rated_time)) ** exponent
    delivered = current * time
    return BatteryRuntime(time, delivered, delivered > capacity * (1 + EXACT))


class ChargeSetpoint(NamedTuple):
    per_cell: float
    voltage: float
    clamped: bool


@worksheet(
    id="charge-setpoint",
    subject="Storage",
    title="Charge set point at a battery temperature",
    inputs=(
        quantity(
            "per_cell", "V", "set point of a cell at the reference temperature", "2.40 V", above=0, high=5
        ),
        count("cells", "cells in series", "24", high=1000),
        quantity("coefficient", "V/K", "temperature coefficient of a cell", "-5 mV/K", low=-0.02, high=0),
        quantity("temperature", "degC", "battery temperature", "-5 degC", low=-60, high=80),
        quantity(
            "reference", "degC", "reference temperature", "25 degC", REFERENCE_TEMPERATURE, low=0, high=40
        ),
        quantity("minimum", "V", "least set point of a cell", "2.25 V", None, above=0, high=5),
        quantity("maximum", "V", "greatest set point of a cell", "2.60 V", None, above=0, high=5),
    ),
    outputs=(
        Output("per_cell", "set point of a cell", "V"),
        Output("voltage", "set point of the bank", "V"),
        Output("clamped", "held by a clamp"),
    ),
    expression=(
        "voltage = cells * (per_cell + coefficient * (temperature - reference)), kept within the clamps",
        "per_cell = voltage / cells",
    ),
    source=Source(
        "Charging lead acid",
        "a web reference for education on batteries",
        "",
        "temperature compensation; the clamps are common practice",
        "read",
    ),
    validity="Without clamps the compensation goes on for ever: loads may be hurt by the voltage of a cold "
    "bank.",
)
def charge_setpoint(
    *,
    per_cell: float,
    cells: int,
    coefficient: float,
    temperature: float,
    reference: float = REFERENCE_TEMPERATURE,
    minimum: float | None = None,
    maximum: float | None = None,
) -> ChargeSetpoint:
    """A charge set point carried from the reference to the battery's temperature, within its clamps.

    ``per_cell + coefficient * (temperature - reference)``, not below minimum, not above maximum, times cells

    Args: per_cell [V] at the reference; cells in series; coefficient [V/K a cell, <= 0]; temperature and
    reference [degC]; minimum, maximum [V a cell], each only where given.
    Returns: per_cell [V], voltage [V] of the bank, clamped: whether a clamp holds it.
    Raises CannotCalculate where the minimum stands above the maximum.

    >>> round(charge_setpoint(per_cell=2.30, cells=1, coefficient=-0.003, temperature=35).voltage, 3)
    2.27

    Source: common practice; slopes of -3 to -5 mV/K a cell for lead-acid in the tables.
    """
    if minimum is not None and maximum is not None and minimum > maximum:
        raise CannotCalculate(
            "minimum", f"{minimum:g} V a cell", f"no more than the maximum of {maximum:g} V"
        )
    free = per_cell + coefficient * (temperature - reference)
    held = free
    if minimum is not None:
        held = max(held, minimum)
    if maximum is not None:
        held = min(held, maximum)
    return ChargeSetpoint(held, held * cells, held != free)


class TwoWellBattery(NamedTuple):
    lifetime: float
    delivered: float


@worksheet(
    id="two-well-battery",
    subject="Storage",
    title="Two-well battery: time until the available well is empty",
    inputs=(
        quantity("capacity", "Ah", "charge in both wells, full", "200 Ah", above=0),
        quantity("available_share", "%", "share of the available well", "30 %", above=0, high=1),
        quantity("rate", "1/h", "rate constant between the wells", "0.5 1/h", low=0, high=10_000),
        quantity("current", "A", "discharge current", "25 A", above=0),
    ),
    outputs=(
        Output("lifetime", "time until empty", "h"),
        Output("delivered", "capacity delivered", "Ah"),
    ),
    expression=(
        "capacity / current = lifetime + (1 / available_share - 1) * (1 - exp(-rate * lifetime)) / rate",
        "delivered = current * lifetime",
    ),
    source=Source(
        "Lead acid battery storage model for hybrid energy systems",
        "J. F. Manwell and J. G. McGowan, Solar Energy 50(5)",
        "1993",
        "closed form for constant current, from full to an empty available well",
    ),
    validity="Steady current from a full battery; rate is the constant in the exponent, not the conductance.",
)
def two_well_battery(
    *, capacity: float, available_share: float, rate: float, current: float
) -> TwoWellBattery:
    """Life of the two-well (kinetic) battery of Manwell and McGowan at a steady current, from full.

    With both wells full their closed form for the available charge, set to nothing, is
    ``capacity / current = lifetime + (1 - c) / c * (1 - exp(-rate * lifetime)) / rate``, c the available
    share. The right side rises and bends down, so Newton's steps from the left climb to the one root.

    Args: capacity [Ah] of both wells; available_share c [0..1]; rate [1/h], k in the exponent (0: no flow
    between the wells); current [A].
    Returns: lifetime [h] and delivered [Ah], between c times the capacity and all of it.

    >>> life = two_well_battery(capacity=5.5, available_share=0.166, rate=0.122, current=0.25).lifetime
    >>> round(life, 2)  # here in minutes throughout
    4.53

    Source: J. F. Manwell and J. G. McGowan, Solar Energy 50(5), 1993, pp. 399-405 (from memory).
    """
    target = capacity / current
    bound = (1 - available_share) / available_share
    lifetime = available_share * target
    for _ in range(100):
        left = math.exp(-rate * lifetime)
        flowed = -math.expm1(-rate * lifetime) / rate if rate * lifetime > 1e-300 else lifetime
        step = (target - lifetime - bound * flowed) / (1 + bound * left)
        lifetime += step
        if abs(step) <= 1e-14 * target:
            break
    return TwoWellBattery(lifetime, current * lifetime)
