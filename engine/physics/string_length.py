"""How many modules in series a voltage limit and a voltage floor allow."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.physics.pv import (
    COLD_CELL,
    COLD_COEFFICIENT,
    DROP,
    HOT_CELL,
    HOT_GUIDELINE,
    VMP,
    VOC,
    beta_input,
    factor_at,
    table_voltage,
)
from engine.worksheet import CannotCalculate, Input, Output, quantity, word, worksheet

WHOLE = 1e-9  # of a module: what counts as an exact fit


class LongestString(NamedTuple):
    """How many modules stay within a limit, the voltage that they reach, and what is left."""

    modules: int
    voltage: float
    headroom: float
    module_voltage: float
    factor: float


@worksheet(
    id="pv-longest-string",
    subject="PV",
    title="The longest string that stays within a voltage limit in the cold",
    inputs=(
        VOC,
        Input(
            "beta_voc",
            "temperature coefficient of the open-circuit voltage (not needed for the table)",
            "-0.27 %/K",
            "V/K",
            "coefficient",
            default=None,
            low=-0.02,
            high=0.02,
            of="voc",
            symbol="β_Voc",
        ),
        COLD_CELL,
        quantity("limit", "V", "voltage limit of the controller, device or module", "600 V", above=0),
        word("method", "how the cold is reckoned", ("coefficient", "table"), "coefficient"),
    ),
    outputs=(
        Output("modules", "modules in series at most"),
        Output("voltage", "open-circuit voltage of that string", "V", "V"),
        Output("headroom", "what is left to the limit", "V"),
        Output("module_voltage", "open-circuit voltage of a module", "V", "V_module"),
        Output("factor", "correction", "1", "k"),
    ),
    expression=(
        "factor = by coefficient: 1 + beta_voc * (temperature - 25 degC); by table: 690.7(A) at temperature",
        "module_voltage = voc * factor",
        "modules = limit / module_voltage, rounded down",
        "voltage = modules * module_voltage",
        "headroom = limit - voltage",
    ),
    source=COLD_COEFFICIENT,
    validity="as pv-cold-voltage and pv-table-voltage; a string that meets the limit exactly fits",
)
def longest_string(
    voc: float,
    temperature: float,
    limit: float,
    beta_voc: float | None = None,
    method: str = "coefficient",
) -> LongestString:
    """The most modules in series whose cold open-circuit voltage is not above a limit.

    ``n = floor(limit / (Voc factor))``; an exact fit, to 1e-9 of a module, counts. Where not even one
    module fits, ``modules`` and ``voltage`` are 0. ``voc``, ``limit`` [V], ``temperature`` [degC],
    ``beta_voc`` [1/K], ``method`` "coefficient" or "table". Returns [count, V, V, V, 1].

    >>> longest_string(voc=49.5, beta_voc=-0.0027, temperature=-10.0, limit=600.0).modules
    11
    """
    if method == "table":
        factor = table_voltage(voc, temperature).factor
    elif beta_voc is None:
        raise CannotCalculate("beta_voc", "nothing", "the module's coefficient, or method table")
    else:
        factor = factor_at(temperature, beta_voc, "beta_voc")
    module = voc * factor
    modules = math.floor(limit / module + WHOLE)
    return LongestString(modules, modules * module, limit - modules * module, module, factor)


class ShortestString(NamedTuple):
    """How many modules still reach a floor in the heat."""

    modules: int
    module_voltage: float
    voltage: float


@worksheet(
    id="pv-shortest-string",
    subject="PV",
    title="The shortest string that still reaches a voltage floor in the heat",
    inputs=(
        VMP,
        beta_input("beta_vmp", "vmp", "temperature coefficient of the voltage at maximum power", "-0.38 %/K"),
        HOT_CELL,
        quantity("floor", "V", "lowest voltage that the controller can use", "140 V", above=0),
        DROP,
        quantity("margin", "1", "margin over the floor", "10 %", 0.0, low=0, high=1),
    ),
    outputs=(
        Output("modules", "modules in series at least"),
        Output("module_voltage", "running voltage of a module, before the drop", "V", "V_module"),
        Output("voltage", "running voltage of that string after the drop", "V", "V"),
    ),
    expression=(
        "module_voltage = vmp * (1 + beta_vmp * (temperature - 25 degC))",
        "modules = floor * (1 + margin) / (module_voltage * (1 - drop)), rounded up",
        "voltage = modules * module_voltage * (1 - drop)",
    ),
    source=HOT_GUIDELINE,
    validity="cell temperature, not air; the coefficient of Vmp, never that of Voc",
)
def shortest_string(
    vmp: float,
    beta_vmp: float,
    temperature: float,
    floor: float,
    drop: float = 0.0,
    margin: float = 0.0,
) -> ShortestString:
    """The fewest modules in series whose hot running voltage, after the drop, is not below a floor.

    ``n = ceil(floor (1 + margin) / (Vmp (1 + beta (T - 25)) (1 - drop)))``; an exact fit, to 1e-9 of a
    module, counts. ``vmp``, ``floor`` [V], ``beta_vmp`` [1/K], ``temperature`` [degC], ``drop`` and
    ``margin`` fractions. Returns [count, V, V].

    >>> shortest_string(35.4, -0.177 / 35.4, 70.0, floor=140.0, drop=0.03, margin=0.10).modules
    6
    """
    module = vmp * factor_at(temperature, beta_vmp, "beta_vmp")
    after_drop = module * (1 - drop)
    modules = math.ceil(floor * (1 + margin) / after_drop - WHOLE)
    return ShortestString(modules, module, modules * after_drop)
