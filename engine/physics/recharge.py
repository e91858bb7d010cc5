"""Recharge: the days that an array needs to bring a drained battery back, above what the loads take."""

from __future__ import annotations

from typing import NamedTuple

from engine.sources import Source
from engine.worksheet import CannotCalculate, Output, quantity, worksheet


class RechargeTime(NamedTuple):
    harvest: float
    surplus: float
    time: float


@worksheet(
    id="recharge-time",
    subject="Storage",
    title="Days to refill the battery after its autonomy",
    inputs=(
        quantity("power", "W", "array power at standard conditions", "1.6 kW", above=0, high=1e7),
        quantity("sun_hours", "h", "full sun hours a day, in the month looked at", "4.2 h", low=0, high=15),
        quantity("efficiency", "%", "from the array to the loads", "62 %", 0.62, above=0, high=1),
        quantity("daily_load", "Wh", "energy of the loads a day", "3 kWh", low=0, high=1e8),
        quantity("stored", "Wh", "energy to put back", "9 kWh", above=0, high=1e9),
    ),
    outputs=(
        Output("harvest", "what the array gives the loads a day", "Wh"),
        Output("surplus", "left for the battery a day", "Wh"),
        Output("time", "until it is full", "h"),
    ),
    expression=(
        "harvest = power * sun_hours * efficiency",
        "surplus = harvest - daily_load",
        "time = 24 h * stored / surplus",
    ),
    source=Source(
        "IEEE 1562, Guide for Array and Battery Sizing in Stand-Alone Photovoltaic Systems",
        "IEEE",
        "2007",
        "array to load ratio",
    ),
    validity="A whole month of average days, sun alone. 62 % is what a monitored system reached in all.",
)
def recharge_time(
    *, power: float, sun_hours: float, daily_load: float, stored: float, efficiency: float = 0.62
) -> RechargeTime:
    """Time to put ``stored`` back by what an array gives above the loads.

    ``harvest = power sun_hours efficiency; surplus = harvest - daily_load; time = 24 h stored / surplus``

    Args: power [W]; sun_hours [h] a day; efficiency [0..1]; daily_load [Wh]; stored [Wh].
    Returns: harvest [Wh], surplus [Wh], time [h]. Raises CannotCalculate where nothing is left over.

    >>> round(recharge_time(power=1600, sun_hours=4, daily_load=2968, stored=3000).time, 1)
    72.0

    Source: energy balance of IEEE 1562 (from memory); 62 %: Murphy, Blow-by-blow PV System Efficiency,
    2012, a system of 8 modules of 130 W over 2.5 years (read).
    """
    harvest = power * sun_hours * efficiency
    surplus = harvest - daily_load
    if surplus <= 0:
        raise CannotCalculate("daily_load", f"{daily_load:g} Wh", f"less than the harvest, {harvest:g} Wh")
    return RechargeTime(harvest, surplus, 24 * stored / surplus)
