"""Voltages of PV strings: the coldest and the hottest.

Open-circuit voltage in the cold is a rating matter and comes from the data sheet's coefficient or the rule's
table, never from a fitted curve. Running voltage in the heat takes the coefficient of the voltage at maximum
power, which is larger than that of the open circuit.
"""

from __future__ import annotations

from typing import NamedTuple

from engine.physics.physical import STC_TEMPERATURE
from engine.sources import COMMON_PRACTICE, Source
from engine.tables import table
from engine.tables.lookup import band, exact
from engine.worksheet import CannotCalculate, Input, Output, coefficient, count, quantity, worksheet

COLD_COEFFICIENT = Source(
    "NFPA 70, National Electrical Code, and IEC 62548-1, Photovoltaic arrays",
    "National Fire Protection Association; IEC",
    "2017 to 2023; 2023",
    "690.7(A)(1); maximum voltage of an array",
)
COLD_TABLE = Source(
    "NFPA 70, National Electrical Code (IEC 62548:2016, table 5, has the same factors)",
    "National Fire Protection Association",
    "2017 to 2023",
    "690.7(A)(2), table 690.7(A)",
)
HOT_GUIDELINE = Source(
    "Grid-connected solar PV systems: design guidelines for accredited installers",
    "Clean Energy Council",
    "2013",
    "section 9",
)
TABLE_LAST_COLD = 25.0  # degC: from here up the table corrects nothing

COLD_CELL = quantity("temperature", "degC", "cell temperature", "-10 degC", low=-90, high=120, symbol="T")
HOT_CELL = quantity("temperature", "degC", "cell temperature", "70 degC", low=-90, high=120, symbol="T")
VOC = quantity("voc", "V", "open-circuit voltage of a module at 25 degC", "49.5 V", above=0, symbol="Voc")
VMP = quantity("vmp", "V", "module voltage at maximum power, 25 degC", "41.5 V", above=0, symbol="Vmp")
_MODULES = count("modules", "modules in series", "11", 1, high=1000)
DROP = quantity("drop", "1", "voltage drop on the way, of the string's voltage", "3 %", 0.0, low=0, high=0.5)


def beta_input(name: str, of: str, title: str, example: str) -> Input:
    return coefficient(name, of, "V/K", title, example, symbol=f"β_{of.capitalize()}")


def factor_at(temperature: float, beta: float, name: str) -> float:
    """What a rating at 25 degC is multiplied by at a cell temperature [degC]: ``1 + beta (T - 25)``.

    ``beta`` [1/K] is at most zero: every module's voltage and power fall with heat, so that a positive
    number is a lost minus sign, and it would make the cold look harmless. ``name`` is the input to blame.

    >>> round(factor_at(-10.0, -0.0027, "beta_voc"), 6)
    1.0945
    """
    if beta > 0:
        raise CannotCalculate(name, f"{100 * beta:+.3g} %/K", "zero or a negative coefficient")
    factor = 1 + beta * (temperature - STC_TEMPERATURE)
    if factor <= 0:
        raise CannotCalculate(
            "temperature", f"{temperature:.4g} degC", f"less: nothing is left there at {100 * beta:.3g} %/K"
        )
    return factor


class ColdVoltage(NamedTuple):
    """Open-circuit voltage of one module and of the string."""

    module_voltage: float
    voltage: float
    factor: float


@worksheet(
    id="pv-cold-voltage",
    subject="PV",
    title="Open-circuit voltage of a string in the cold, by the module's coefficient",
    inputs=(
        VOC,
        beta_input("beta_voc", "voc", "temperature coefficient of the open-circuit voltage", "-0.27 %/K"),
        COLD_CELL,
        _MODULES,
    ),
    outputs=(
        Output("module_voltage", "open-circuit voltage of a module", "V", "V_module"),
        Output("voltage", "open-circuit voltage of the string", "V", "V"),
        Output("factor", "correction", "1", "k"),
    ),
    expression=(
        "factor = 1 + beta_voc * (temperature - 25 degC)",
        "module_voltage = voc * factor",
        "voltage = modules * module_voltage",
    ),
    source=COLD_COEFFICIENT,
    validity="straight line from 25 degC; before sunrise a cell is as cold as the air, or a little colder",
)
def cold_voltage(voc: float, beta_voc: float, temperature: float, modules: int = 1) -> ColdVoltage:
    """Open-circuit voltage at a temperature by the data sheet's coefficient.

    ``V = n Voc (1 + beta (T - 25))`` with ``voc`` [V], ``beta_voc`` [1/K], at most 0, ``temperature`` of
    the cell [degC], ``modules`` in series. Returns [V, V, 1].

    >>> round(cold_voltage(voc=49.5, beta_voc=-0.0027, temperature=-10.0, modules=11).voltage, 2)
    595.96
    """
    factor = factor_at(temperature, beta_voc, "beta_voc")
    return ColdVoltage(voc * factor, modules * voc * factor, factor)


class TableVoltage(NamedTuple):
    """Open-circuit voltage of one module and of the string by the rule's table."""

    factor: float
    module_voltage: float
    voltage: float


@worksheet(
    id="pv-table-voltage",
    subject="PV",
    title="Open-circuit voltage of a string in the cold, by the table for crystalline silicon",
    inputs=(VOC, COLD_CELL, _MODULES),
    outputs=(
        Output("factor", "correction", "1", "k"),
        Output("module_voltage", "open-circuit voltage of a module", "V", "V_module"),
        Output("voltage", "open-circuit voltage of the string", "V", "V"),
    ),
    expression=(
        "factor = table 690.7(A) at temperature, the colder row between two; 1 from 25 degC up",
        "module_voltage = voc * factor",
        "voltage = modules * module_voltage",
    ),
    source=COLD_TABLE,
    validity="crystalline and multicrystalline silicon without a coefficient, -40 degC and warmer",
)
def table_voltage(voc: float, temperature: float, modules: int = 1) -> TableVoltage:
    """Open-circuit voltage at a temperature by table 690.7(A).

    The table's rows are whole degrees; a temperature between two rows takes the colder one, and 25 degC
    and warmer is left uncorrected. Not where the maker gives a coefficient (since the 2008 edition).
    ``voc`` [V], ``temperature`` [degC]. Returns [1, V, V]. Raises ``OutsideTable`` below -40 degC.

    >>> round(table_voltage(voc=49.5, temperature=-10.0).module_voltage, 2)
    56.43
    """
    factor = 1.0
    if temperature < TABLE_LAST_COLD:
        cold = table("nec_690_7_A")
        factor = band(cold, "ambient_to_C", "ambient_from_C", temperature, "factor", stricter="down")
    return TableVoltage(factor, voc * factor, modules * voc * factor)


class HotVoltage(NamedTuple):
    """Running voltage of one module and of the string after the drop."""

    module_voltage: float
    voltage: float


@worksheet(
    id="pv-hot-voltage",
    subject="PV",
    title="Running voltage of a string in the heat",
    inputs=(
        VMP,
        beta_input("beta_vmp", "vmp", "temperature coefficient of the voltage at maximum power", "-0.38 %/K"),
        HOT_CELL,
        _MODULES,
        DROP,
    ),
    outputs=(
        Output("module_voltage", "running voltage of a module", "V", "V_module"),
        Output("voltage", "running voltage of the string after the drop", "V", "V"),
    ),
    expression=(
        "module_voltage = vmp * (1 + beta_vmp * (temperature - 25 degC))",
        "voltage = modules * module_voltage * (1 - drop)",
    ),
    source=HOT_GUIDELINE,
    validity="cell temperature, not air; the coefficient of Vmp, never that of Voc",
)
def hot_voltage(
    vmp: float, beta_vmp: float, temperature: float, modules: int = 1, drop: float = 0.0
) -> HotVoltage:
    """Voltage at maximum power at a cell temperature, at the module and at the far end of the wire.

    ``V = n Vmp (1 + beta (T - 25)) (1 - drop)`` with ``vmp`` [V], ``beta_vmp`` [1/K], at most 0,
    ``temperature`` of the cell [degC], ``drop`` a fraction 0 to 0.5. Returns [V, V].

    >>> round(hot_voltage(vmp=35.4, beta_vmp=-0.16 / 35.4, temperature=55.0).module_voltage, 3)
    30.6
    """
    module = vmp * factor_at(temperature, beta_vmp, "beta_vmp")
    return HotVoltage(module, modules * module * (1 - drop))


class VmpCoefficient(NamedTuple):
    """The coefficient of the voltage at maximum power, and the current's coefficient that gave it."""

    beta_vmp: float
    alpha: float


@worksheet(
    id="pv-vmp-coefficient",
    subject="PV",
    title="Temperature coefficient of the voltage at maximum power, from that of the power",
    inputs=(
        quantity("gamma_pmp", "1/K", "temperature coefficient of the power", "-0.35 %/K", low=-0.02, high=0),
        quantity(
            "alpha_isc",
            "1/K",
            "temperature coefficient of the short-circuit current",
            "0.05 %/K",
            None,
            low=-0.01,
            high=0.01,
        ),
    ),
    outputs=(
        Output("beta_vmp", "temperature coefficient of the voltage at maximum power", "1/K", "β_Vmp"),
        Output("alpha", "temperature coefficient of the current, as taken", "1/K", "α"),
    ),
    expression=("beta_vmp = gamma_pmp - alpha",),
    source=COMMON_PRACTICE,
    validity="where the data sheet has none; never the coefficient of Voc in its place",
)
def vmp_coefficient(gamma_pmp: float, alpha_isc: float | None = None) -> VmpCoefficient:
    """The coefficient of the voltage at maximum power where the data sheet has only the power's.

    ``P = V I`` gives ``beta_vmp = gamma_pmp - alpha_imp``, all [1/K]. The current's coefficient at maximum
    power is hardly ever printed; the short-circuit one stands in, which is commonly the larger and so gives
    the larger fall of voltage with heat: a hot string is taken too low and a cold one too high, both on the
    safe side. A missing or negative ``alpha_isc`` is taken as 0.14 %/K or 0 for the same reason.

    >>> round(vmp_coefficient(gamma_pmp=-0.0035, alpha_isc=0.0005).beta_vmp, 6)
    -0.004
    """
    missing = exact(table("isc_coefficient"), "share_percent", 99.0, "alpha_per_K")
    alpha = missing if alpha_isc is None else max(alpha_isc, 0.0)
    return VmpCoefficient(gamma_pmp - alpha, alpha)
