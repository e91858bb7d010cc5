"""How a charge controller meets its sources and the battery: starting, surviving, passing on.

The limits are the maker's. Where one follows the battery's voltage, the formulas take the battery voltage at
which it counts: the highest for starting, the lowest for surviving.
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

from engine.sources import COMMON_PRACTICE
from engine.tables import table
from engine.tables.lookup import linear
from engine.worksheet import CannotCalculate, Input, Output, count, quantities, quantity, worksheet

# Common practice: 36 cells of crystalline silicon in series charge a 12 V lead-acid battery.
CLASS_STEP = 12.0  # V
CELLS_OF_CLASS = 36


def _battery(title: str, example: str) -> Input:
    return quantity("battery", "V", title, example, low=0, high=2000, symbol="V_batt")


def _numbers(name: str, unit: str, title: str, example: str) -> Input:
    return Input(name, title, example, unit, "quantities", default=None, low=0)


class Start(NamedTuple):
    """The source voltage at which a controller starts."""

    over_battery: float
    start: float


@worksheet(
    id="controller-start",
    subject="Controller",
    title="Source voltage at which a controller starts",
    inputs=(
        _battery("highest charging voltage of the battery", "29 V"),
        quantity("above_battery", "V", "how far the source must stand above the battery", "5 V", 0.0, low=0),
        quantity("fixed", "V", "fixed start voltage, where the maker gives one", "40 V", None, low=0),
    ),
    outputs=(
        Output("over_battery", "voltage over the fullest battery", "V", "V_over"),
        Output("start", "start voltage", "V", "V_start"),
    ),
    expression=("over_battery = battery + above_battery", "start = larger of over_battery and fixed"),
    source=COMMON_PRACTICE,
    validity="a controller that only steps down; it starts nowhere below the battery",
)
def start_voltage(battery: float, above_battery: float = 0.0, fixed: float | None = None) -> Start:
    """Source voltage that a step-down controller needs to start, whatever the battery's state.

    ``V_start = max(V_battery + above, fixed)``, all [V], ``battery`` at its highest. Returns [V, V].

    >>> start_voltage(battery=29.0, above_battery=5.0).start
    34.0
    """
    over_battery = battery + above_battery
    return Start(over_battery, over_battery if fixed is None else max(over_battery, fixed))


class Standoff(NamedTuple):
    """The source voltage that a controller survives."""

    follows: float | None
    standoff: float


@worksheet(
    id="controller-standoff",
    subject="Controller",
    title="Source voltage that a controller survives",
    inputs=(
        _battery("lowest voltage of the battery; 0 V with its breaker open", "22 V"),
        quantity(
            "above_battery", "V", "limit above the battery, as some makers give it", "80 V", None, above=0
        ),
        quantity("fixed", "V", "fixed limit", "150 V", None, above=0),
    ),
    outputs=(
        Output("follows", "limit that follows the battery", "V", "V_follows"),
        Output("standoff", "standoff limit", "V", "V_standoff"),
    ),
    expression=("follows = battery + above_battery", "standoff = smaller of fixed and follows"),
    source=COMMON_PRACTICE,
    validity="the maker's limits; beyond them the controller is destroyed, working or not",
    one_of=(("fixed", "above_battery"),),
)
def standoff_limit(
    battery: float, above_battery: float | None = None, fixed: float | None = None
) -> Standoff:
    """The standoff limit that counts, the lesser of a fixed one and one that follows the battery.

    ``V_standoff = min(fixed, V_battery + above)``, all [V], of what the maker gives; ``follows`` is ``None``
    where no limit follows. Returns [V, V].

    >>> standoff_limit(battery=22.0, above_battery=80.0, fixed=150.0).standoff
    102.0
    """
    follows = None if above_battery is None else battery + above_battery
    limits = [limit for limit in (fixed, follows) if limit is not None]
    if not limits:
        raise CannotCalculate("fixed", "nothing", "a fixed limit, or one above the battery")
    return Standoff(follows, min(limits))


class CurrentLimit(NamedTuple):
    """What a controller passes at one spread of voltages."""

    current: float


@worksheet(
    id="controller-current-limit",
    subject="Controller",
    title="Output current limit of a controller at a spread of voltages",
    inputs=(
        quantity("spread", "V", "source voltage less battery voltage", "90 V", low=0),
        quantities("spreads", "V", "spreads of the maker's table, rising", '["40 V", "120 V"]', low=0),
        quantities("limits", "A", "output limits there", '["60 A", "50 A"]', low=0),
    ),
    outputs=(Output("current", "output current limit", "A", "I_limit"),),
    expression=("current = limits at spread, on the straight line between two of spreads",),
    source=COMMON_PRACTICE,
    validity="below the first spread its limit holds where limits fall; beyond the last there is no answer",
)
def current_limit(spread: float, spreads: tuple[float, ...], limits: tuple[float, ...]) -> CurrentLimit:
    """Output current limit of a controller whose limit slides with the voltage spread.

    Straight lines between the maker's points. A limit commonly falls with the spread, so that below the first
    point its value is held where the first stretch does not rise, and nothing is held beyond the last.
    ``spread``, ``spreads`` [V], ``limits`` [A]. Returns [A].

    >>> current_limit(80.0, (40.0, 120.0), (60.0, 50.0)).current
    55.0
    """
    if len(spreads) != len(limits) or list(spreads) != sorted(set(spreads)):
        raise CannotCalculate("spreads", f"{len(spreads)} for {len(limits)} limits", "as many, rising")
    if spread > spreads[-1]:
        raise CannotCalculate("spread", f"{spread:.4g} V", f"a point of the maker's table at {spread:.4g} V")
    if spread <= spreads[0]:
        if spread < spreads[0] and len(limits) > 1 and limits[1] > limits[0]:
            raise CannotCalculate(
                "spread", f"{spread:.4g} V", f"a point of the maker's table at {spread:.4g} V"
            )
        return CurrentLimit(limits[0])
    return CurrentLimit(between(spread, spreads, limits))


def between(x: float, xs: tuple[float, ...], ys: tuple[float, ...]) -> float:
    """The straight line between the two points about ``x``, which lies inside ``xs``."""
    for (left, low), (right, high) in pairwise(zip(xs, ys, strict=True)):
        if x <= right:
            return low + (high - low) * (x - left) / (right - left)
    return ys[-1]


class Conversion(NamedTuple):
    """How many times the battery's the source voltage is, and what share of its power arrives."""

    ratio: float
    efficiency: float


@worksheet(
    id="controller-conversion",
    subject="Controller",
    title="Conversion efficiency of a tracking controller",
    inputs=(
        quantity("source", "V", "source voltage", "83 V", above=0, symbol="V_source"),
        _battery("battery voltage", "24 V"),
        _numbers("ratios", "1", "voltage ratios of the maker's table, rising", "[1.5, 2, 4]"),
        _numbers("efficiencies", "1", "efficiencies there", '["98 %", "97 %", "95 %"]'),
    ),
    outputs=(
        Output("ratio", "source voltage over battery voltage", "1", "r"),
        Output("efficiency", "conversion efficiency", "1", "η"),
    ),
    expression=(
        "ratio = source / battery",
        "efficiency = at ratio, on a straight line between two points of the table",
    ),
    source=COMMON_PRACTICE,
    validity="a step-down controller under load; the built-in table holds where the maker gives none",
)
def conversion(
    source: float,
    battery: float,
    ratios: tuple[float, ...] | None = None,
    efficiencies: tuple[float, ...] | None = None,
) -> Conversion:
    """Efficiency of a step-down controller, which falls with the ratio of source to battery voltage.

    The maker's points count between their ends; beyond them, and without any, the table of common practice,
    and never more than the maker's nearest point. ``source``, ``battery`` [V]. Returns [1, 1]. Raises
    ``CannotCalculate`` below a ratio of 1.

    >>> round(conversion(source=72.0, battery=24.0).efficiency, 4)
    0.965
    """
    if battery <= 0 or source < battery:
        raise CannotCalculate("source", f"{source:.4g} V", "at least the battery's voltage")
    ratio = source / battery
    if not ratios or not efficiencies:
        return Conversion(ratio, _usual(ratio))
    if len(ratios) != len(efficiencies) or list(ratios) != sorted(set(ratios)):
        raise CannotCalculate("ratios", f"{len(ratios)} for {len(efficiencies)}", "as many, rising")
    if ratio < ratios[0]:
        return Conversion(ratio, min(efficiencies[0], _usual(ratio)))
    if ratio > ratios[-1]:
        return Conversion(ratio, min(efficiencies[-1], _usual(ratio)))
    return Conversion(ratio, between(ratio, ratios, efficiencies))


def _usual(ratio: float) -> float:
    return linear(table("conversion_efficiency"), "ratio", ratio, "efficiency")


class OutputCurrent(NamedTuple):
    """What a source's power drives into the battery."""

    current: float


@worksheet(
    id="controller-output",
    subject="Controller",
    title="Current that the sources' power drives into the battery",
    inputs=(
        quantity("power", "W", "power of the sources", "2.61 kW", low=0, symbol="P"),
        quantity("efficiency", "1", "conversion efficiency", "96 %", above=0, high=1, symbol="η"),
        quantity("battery", "V", "battery voltage", "24 V", above=0, symbol="V_batt"),
    ),
    outputs=(Output("current", "current into the battery", "A", "I"),),
    expression=("current = power * efficiency / battery",),
    source=COMMON_PRACTICE,
    validity="a controller that tracks; the current rises as the battery voltage falls",
)
def output_current(power: float, efficiency: float, battery: float) -> OutputCurrent:
    """Current into the battery: ``I = P eta / V_battery``. [W, 1, V]. Returns [A].

    >>> output_current(power=2400.0, efficiency=0.95, battery=24.0).current
    95.0
    """
    return OutputCurrent(power * efficiency / battery)


class Parallel(NamedTuple):
    """Currents that meet at one point."""

    current: float


@worksheet(
    id="currents-in-parallel",
    subject="Controller",
    title="Current of circuits that meet",
    inputs=(quantities("currents", "A", "currents of the circuits", '["28 A", "14 A"]', low=0),),
    outputs=(Output("current", "current where they meet", "A", "I"),),
    expression=("current = sum of currents",),
    source=COMMON_PRACTICE,
    validity="dc circuits of one kind",
)
def in_parallel(currents: tuple[float, ...]) -> Parallel:
    """Sum of currents that meet (Kirchhoff). [A]. Returns [A].

    >>> in_parallel((28.0, 14.0)).current
    42.0
    """
    return Parallel(sum(currents))


class NominalStep(NamedTuple):
    """An array's nominal voltage, the battery's class, and how many times that the array's is."""

    nominal: float
    battery_class: float
    step: float


@worksheet(
    id="array-nominal-step",
    subject="Controller",
    title="Nominal voltage of an array over that of the battery",
    inputs=(
        count("cells", "cells of crystalline silicon in series in a module", "72", high=400),
        count("modules", "modules in series", "2", 1, high=1000),
        quantity("battery", "V", "nominal battery voltage", "24 V", above=0, symbol="V_batt"),
    ),
    outputs=(
        Output("nominal", "nominal voltage of the array", "V", "V_nominal"),
        Output("battery_class", "voltage class of the battery", "V", "V_class"),
        Output("step", "array nominal over the battery's class", "1", "r"),
    ),
    expression=(
        "nominal = 12 V * cells * modules / 36",
        "battery_class = battery, to the nearest multiple of 12 V",
        "step = nominal / battery_class",
    ),
    source=COMMON_PRACTICE,
    validity="12 V for every 36 cells; least conversion loss one step above the battery, as 48 V on 24 V",
)
def nominal_step(cells: int, battery: float, modules: int = 1) -> NominalStep:
    """Nominal voltage of a string, 12 V for every 36 cells in series, over the battery's class.

    ``V = 12 n_cells n_modules / 36`` [V]; ``battery`` [V]: 51.2 V of lithium is of the 48 V class.
    Returns [V, V, 1].

    >>> nominal_step(cells=72, modules=2, battery=24.0).step
    2.0
    """
    nominal = CLASS_STEP * cells * modules / CELLS_OF_CLASS
    battery_class = CLASS_STEP * max(1, round(battery / CLASS_STEP))
    return NominalStep(nominal, battery_class, nominal / battery_class)
