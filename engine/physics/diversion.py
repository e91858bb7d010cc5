"""Loads that hold a source or a battery in check: the diversion load, its resistor, a source's limiter."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.sources import COMMON_PRACTICE, Source
from engine.tables.family import Family
from engine.worksheet import CannotCalculate, Output, family, quantity, worksheet

EXACT = 1e-9  # a limit met to within this, relative, is met


class DiversionLoad(NamedTuple):
    """What the load must be; load_power, resistance_high and possible are None without a source power."""

    load_current_limit: float
    load_power: float | None
    resistance_low: float
    resistance_high: float | None
    conductor_current: float
    possible: bool | None
    source_power_limit: float
    diverting_voltage: float
    load_factor: float
    conductor_factor: float


@worksheet(
    id="diversion-load",
    subject="Storage",
    title="Diversion load, its limits and its circuit",
    inputs=(
        quantity("controller_current", "A", "rating of the diversion controller", "60 A", above=0),
        quantity("highest_voltage", "V", "highest battery voltage", "60 V", above=0, high=1500),
        quantity("source_power", "W", "power of all sources that it diverts", "1.5 kW", None, above=0),
        quantity(
            "regulating_voltage", "V", "lowest voltage at which it diverts", "56 V", None, above=0, high=1500
        ),
        family(),
    ),
    outputs=(
        Output("load_current_limit", "the load may take at most", "A"),
        Output("load_power", "the load must take at least", "W"),
        Output("resistance_low", "least resistance of the load, hot or cold", "ohm"),
        Output("resistance_high", "greatest resistance of the load, hot", "ohm"),
        Output("conductor_current", "least rating of conductor and device", "A"),
        Output("possible", "one load can do both"),
        Output("source_power_limit", "most source power that this controller can divert", "W"),
        Output("diverting_voltage", "voltage at which the load must do it", "V"),
        Output("load_factor", "load power over source power", "1"),
        Output("conductor_factor", "conductor and device over controller", "1"),
    ),
    expression=(
        "load_current_limit = controller_current",
        "resistance_low = highest_voltage / load_current_limit",
        "load_power = load_factor * source_power",
        "diverting_voltage = regulating_voltage",
        "resistance_high = diverting_voltage^2 / load_power",
        "source_power_limit = diverting_voltage^2 / resistance_low / load_factor",
        "possible = yes where resistance_low is not above resistance_high",
        "conductor_current = conductor_factor * controller_current",
    ),
    source=Source(
        "NFPA 70, National Electrical Code",
        "NFPA",
        "2023",
        "706.33 (706.23 in 2017; 690.72(B) in 2014): diversion charge control",
    ),
    validity="The load's own voltage rating must stand above the highest battery voltage, and a second, "
    "independent means must be there. The IEC family has no such rule here: the same factors are used, the "
    "stricter answer.",
)
def diversion_load(
    *,
    controller_current: float,
    highest_voltage: float,
    source_power: float | None = None,
    regulating_voltage: float | None = None,
    rules: Family,
) -> DiversionLoad:
    """Limits of a diversion load and of its circuit, after NEC 706.33.

    ``load current <= controller_current`` at the highest voltage, so ``resistance_low = highest_voltage /
    controller_current``; ``load_power = 1.5 source_power`` at the voltage at which it diverts, so
    ``resistance_high = diverting_voltage^2 / load_power``; conductor and device 1.5 times the controller.

    Args: controller_current [A]; highest_voltage [V], of the battery, at the coldest compensation;
    source_power [W] of all sources together; regulating_voltage [V], the lowest at which the load is driven,
    the highest voltage unless given; rules, whose factors count.
    Returns: see ``DiversionLoad``. ``possible`` is False where no resistance does both; both ends stand.
    Without a source power nothing is guessed: load_power, resistance_high and possible are None.
    Raises CannotCalculate where the regulating voltage stands above the highest.

    Source: NFPA 70, 706.33 (from memory).
    """
    if regulating_voltage is not None and regulating_voltage > highest_voltage:
        raise CannotCalculate(
            "regulating_voltage",
            f"{regulating_voltage:g} V",
            f"no more than the highest voltage of {highest_voltage:g} V",
        )
    load_factor, conductor_factor = rules.diversion_load_factor, rules.diversion_conductor_factor
    diverting = highest_voltage if regulating_voltage is None else regulating_voltage
    low = highest_voltage / controller_current
    power = None if source_power is None else load_factor * source_power
    high = None if power is None else diverting**2 / power
    return DiversionLoad(
        load_current_limit=controller_current,
        load_power=power,
        resistance_low=low,
        resistance_high=high,
        conductor_current=conductor_factor * controller_current,
        possible=None if high is None else low <= high * (1 + EXACT),
        source_power_limit=diverting**2 / low / load_factor,
        diverting_voltage=diverting,
        load_factor=load_factor,
        conductor_factor=conductor_factor,
    )


class ResistorPower(NamedTuple):
    power: float


@worksheet(
    id="resistor-power",
    subject="Storage",
    title="Power of a resistor at another voltage",
    inputs=(
        quantity("rated_power", "W", "rated power", "1000 W", low=0),
        quantity("rated_voltage", "V", "at voltage", "48 V", above=0),
        quantity("voltage", "V", "voltage across it", "58 V", low=0),
    ),
    outputs=(Output("power", "power", "W"),),
    expression=("power = rated_power * (voltage / rated_voltage)^2",),
    source=COMMON_PRACTICE,
    validity="A resistance that does not change with its heat; some elements take more when cold.",
)
def resistor_power(*, rated_power: float, rated_voltage: float, voltage: float) -> ResistorPower:
    """Power of a fixed resistor at another voltage: ``power = rated_power * (voltage / rated_voltage)^2``.

    Args: rated_power [W] at rated_voltage [V]; voltage [V]. Returns: power [W]. Arrays pass too.

    >>> round(resistor_power(rated_power=100, rated_voltage=12, voltage=14.4).power)
    144

    Source: Ohm's law; common practice.
    """
    return ResistorPower(rated_power * (voltage / rated_voltage) ** 2)


class SourceLimiter(NamedTuple):
    """What the limiter does; ``held_voltage`` is an upper bound, so both flags err to the safe side."""

    current: float
    power: float
    latches: bool
    holds: bool
    held_voltage: float
    power_bound: float
    divider_bound: float | None


@worksheet(
    id="source-limiter",
    subject="Hydro",
    title="Resistor that limits a source's voltage",
    inputs=(
        quantity("source_power", "W", "most power that the source can give", "220 W", above=0),
        quantity("turn_on", "V", "connects at", "48 V", above=0, high=5000),
        quantity("turn_off", "V", "lets go below", "40 V", above=0, high=5000),
        quantity("resistance", "ohm", "resistance of the limiter", "6.8 ohm", above=0, high=1e5),
        quantity("source_resistance", "ohm", "resistance of the source", "0.8 ohm", 0.0, low=0, high=1e5),
        quantity("open_voltage", "V", "highest open-circuit voltage", "80 V", None, above=0, high=5000),
    ),
    outputs=(
        Output("current", "current when it connects", "A"),
        Output("power", "power when it connects", "W"),
        Output("latches", "never lets go by itself"),
        Output("holds", "keeps the source at or below where it connects"),
        Output("held_voltage", "highest voltage that can stand with it connected", "V"),
        Output("power_bound", "its bound by the source's power", "V"),
        Output("divider_bound", "its bound by the source's resistance", "V"),
    ),
    expression=(
        "current = turn_on / resistance",
        "power = turn_on^2 / resistance",
        "power_bound = sqrt(source_power * resistance)",
        "divider_bound = open_voltage * resistance / (resistance + source_resistance)",
        "held_voltage = smaller of power_bound and divider_bound",
        "latches = yes where held_voltage stands at turn_off or above, no below it",
        "holds = yes where held_voltage stays at turn_on or below, no above it",
    ),
    source=Source(
        "PCF-CAL-001, sizing calculations for an open-hardware low-head pico-hydro unit",
        "public design repository",
        "2026",
        "over-voltage clamp; the bound is the conservation of energy",
        "read",
    ),
    validity="Once the speed has settled, all other loads off. The source power is the most that it can "
    "give at any speed with the limiter on, at runaway too. Without the highest open-circuit voltage the "
    "source's resistance lowers nothing.",
)
def source_limiter(
    *,
    source_power: float,
    turn_on: float,
    turn_off: float,
    resistance: float,
    source_resistance: float = 0.0,
    open_voltage: float | None = None,
) -> SourceLimiter:
    """A resistor that a voltage switch connects across a source: what it takes, and whether it lets go again.

    When it connects it takes ``current = turn_on / resistance`` and ``power = turn_on^2 / resistance`` (the
    source's own resistance would lower both; it is left out, as the hotter case).

    Whether it lets go is a question of the highest steady voltage with the resistor on. Two bounds hold for
    any source. Energy: the resistor can't take more than the source can give,
    ``voltage <= sqrt(source_power * resistance)``. Thevenin: behind its own resistance the source pushes no
    more than its highest open-circuit voltage,
    ``voltage <= open_voltage * resistance / (resistance + source_resistance)``.
    The lower of the two is ``held_voltage``. Below turn_off the limiter lets go for certain; at it or above
    it may stay on for ever (``latches``). At turn_on or below, it is strong enough (``holds``); any other
    load that comes back takes power away and lowers the voltage further.

    Args: source_power [W]; turn_on, turn_off [V]; resistance [ohm]; source_resistance [ohm]; open_voltage
    [V], without which only the bound by energy counts.
    Returns: see ``SourceLimiter``; voltages [V], current [A], power [W].
    Raises CannotCalculate where turn_off does not stand below turn_on.

    >>> source_limiter(source_power=198, turn_on=48, turn_off=40, resistance=6.8).latches
    False
    >>> source_limiter(source_power=198, turn_on=48, turn_off=40, resistance=8.2).latches
    True

    Source: conservation of energy; the published design PCF-CAL-001, 2026 (read), is the check.
    """
    if turn_off >= turn_on:
        raise CannotCalculate("turn_off", f"{turn_off:g} V", f"less than where it connects, {turn_on:g} V")
    by_power = math.sqrt(source_power * resistance)
    by_divider = (
        None if open_voltage is None else open_voltage * resistance / (resistance + source_resistance)
    )
    held = by_power if by_divider is None else min(by_power, by_divider)
    return SourceLimiter(
        current=turn_on / resistance,
        power=turn_on**2 / resistance,
        latches=held >= turn_off * (1 - EXACT),
        holds=held <= turn_on * (1 + EXACT),
        held_voltage=held,
        power_bound=by_power,
        divider_bound=by_divider,
    )
