"""How warm PV cells run, and the power that is left at that temperature."""

from __future__ import annotations

from typing import NamedTuple

from engine.physics.physical import NOCT_AMBIENT, NOCT_IRRADIANCE, STC_IRRADIANCE
from engine.physics.pv import factor_at
from engine.sources import Source
from engine.tables import table
from engine.tables.lookup import exact
from engine.worksheet import Input, Output, coefficient, quantity, word, worksheet

MOUNTINGS = ("open rack", "roof rack", "close roof", "insulated")

_AMBIENT = quantity("ambient", "degC", "air temperature", "30 degC", low=-90, high=60, symbol="T_air")
_IRRADIANCE = quantity(
    "irradiance", "W/m^2", "irradiance in the module's plane", "1000 W/m^2", low=0, high=2000, symbol="G"
)
_CELL = Output("temperature", "cell temperature", "degC", "T_cell")


def _noct(default: float | None = None, *, required: bool = True) -> Input:
    title, example = "nominal operating cell temperature", "45 degC"
    if required:
        return quantity("noct", "degC", title, example, low=NOCT_AMBIENT, high=90, symbol="NOCT")
    return quantity("noct", "degC", title, example, default, low=NOCT_AMBIENT, high=90, symbol="NOCT")


class CellTemperature(NamedTuple):
    """Temperature of the cells."""

    temperature: float


@worksheet(
    id="pv-cell-temperature",
    subject="PV",
    title="Cell temperature from the nominal operating cell temperature",
    inputs=(_AMBIENT, _IRRADIANCE, _noct()),
    outputs=(_CELL,),
    expression=("temperature = ambient + irradiance * (noct - 20 degC) / 800 W/m^2",),
    source=Source(
        "Flat-plate photovoltaic array design optimization",
        "R. G. Ross, 14th IEEE Photovoltaic Specialists Conference",
        "1980",
    ),
    validity="a rack open at the back in wind of about 1 m/s; closer mounting runs hotter",
)
def ross_cell(ambient: float, irradiance: float, noct: float) -> CellTemperature:
    """Cell temperature by Ross's straight line through the nominal operating cell temperature.

    ``T = Tair + G (NOCT - 20) / 800`` with ``ambient`` and ``noct`` [degC], ``irradiance`` [W/m^2].
    Returns [degC]; arrays of one shape pass through.

    >>> ross_cell(ambient=30.0, irradiance=1000.0, noct=50.0).temperature
    67.5
    """
    return CellTemperature(ambient + irradiance * (noct - NOCT_AMBIENT) / NOCT_IRRADIANCE)


@worksheet(
    id="pv-cell-temperature-wind",
    subject="PV",
    title="Cell temperature in wind",
    inputs=(
        _AMBIENT,
        _IRRADIANCE,
        quantity("wind_speed", "m/s", "wind speed at the module", "1 m/s", low=0, high=60, symbol="v"),
        quantity("u0", "1", "constant heat loss, W/(m^2 K)", "25", 25.0, above=0, high=100),
        quantity("u1", "1", "heat loss by wind, W s/(m^3 K)", "6.84", 6.84, low=0, high=50),
    ),
    outputs=(_CELL,),
    expression=("temperature = ambient + irradiance / (u0 + u1 * wind_speed)",),
    source=Source(
        "Assessing the outdoor operating temperature of photovoltaic modules",
        "D. Faiman, Progress in Photovoltaics 16(4), 307-315",
        "2008",
    ),
    validity="a rack open at the back; the wind at the module, not at 10 m",
)
def faiman_cell(
    ambient: float, irradiance: float, wind_speed: float, u0: float = 25.0, u1: float = 6.84
) -> CellTemperature:
    """Cell temperature by Faiman's heat-loss model.

    ``T = Tair + G / (u0 + u1 v)`` with ``ambient`` [degC], ``irradiance`` [W/m^2], ``wind_speed`` [m/s],
    ``u0`` [W/(m^2 K)], ``u1`` [W s/(m^3 K)]. Returns [degC]; arrays of one shape pass through.

    >>> round(faiman_cell(ambient=20.0, irradiance=900.0, wind_speed=5.0).temperature, 3)
    35.203
    """
    return CellTemperature(ambient + irradiance / (u0 + u1 * wind_speed))


class HotCell(NamedTuple):
    """How far the cells rise over the air in full sun, and where that ends."""

    rise: float
    temperature: float
    mounting_rise: float
    noct_rise: float | None


@worksheet(
    id="pv-hot-cell",
    subject="PV",
    title="Cell temperature in full sun on a hot day, by mounting",
    inputs=(_AMBIENT, word("mounting", "how the modules are mounted", MOUNTINGS), _noct(required=False)),
    outputs=(
        Output("rise", "rise over the air", "K", "ΔT"),
        _CELL,
        Output("mounting_rise", "rise of this mounting", "K", "ΔT_mounting"),
        Output("noct_rise", "rise by the module's own datum", "K", "ΔT_NOCT"),
    ),
    expression=(
        "mounting_rise = table of mountings, mounting",
        "noct_rise = (noct - 20 degC) * 1000 / 800",
        "rise = the larger of mounting_rise and noct_rise",
        "temperature = ambient + rise",
    ),
    source=Source(
        "Photovoltaic array performance model",
        "D. L. King, W. E. Boyson and J. A. Kratochvil, Sandia National Laboratories, SAND2004-3535",
        "2004",
        "table of thermal coefficients, at 1000 W/m^2 and 1 m/s",
    ),
    validity="1000 W/m^2 and hardly any wind: for the lowest running voltage, not for energy",
)
def hot_cell(ambient: float, mounting: str, noct: float | None = None) -> HotCell:
    """Cell temperature in full sun on the hottest day, for the lowest running voltage.

    ``T = Tair + rise``; the rise is that of the mounting, or that of the module's own nominal operating
    cell temperature carried to 1000 W/m^2 if larger. ``ambient``, ``noct`` [degC]. Returns [K, degC, K, K].

    >>> hot_cell(ambient=35.0, mounting="open rack").temperature
    65.0
    """
    mounted = cell_rise(mounting)
    own = None if noct is None else ross_cell(0.0, STC_IRRADIANCE, noct).temperature
    rise = mounted if own is None else max(mounted, own)
    return HotCell(rise, ambient + rise, mounted, own)


def cell_rise(mounting: str) -> float:
    """Rise of the cells over the air [K] in full sun and hardly any wind, by mounting.

    Raises ``OutsideTable`` for a mounting that the table does not have.
    """
    return exact(table("mounting_rise"), "mounting", mounting, "rise")


class Power(NamedTuple):
    """Power at a cell temperature."""

    power: float


@worksheet(
    id="pv-power-at-temperature",
    subject="PV",
    title="Power of a module at a cell temperature",
    inputs=(
        quantity("power", "W", "power at 25 degC", "300 W", above=0, symbol="P"),
        coefficient("gamma", "power", "W/K", "temperature coefficient of the power", "-0.35 %/K", symbol="γ"),
        quantity("temperature", "degC", "cell temperature", "64 degC", low=-90, high=120, symbol="T"),
    ),
    outputs=(Output("power", "power at the cell temperature", "W", "P"),),
    expression=("power = power at 25 degC * (1 + gamma * (temperature - 25 degC))",),
    source=Source(
        "Renewable and Efficient Electric Power Systems", "G. M. Masters, Wiley", "2004", "section 8.6"
    ),
    validity="straight line from 25 degC, at one irradiance",
)
def power_at_temperature(power: float, gamma: float, temperature: float) -> Power:
    """Power at a cell temperature: ``P (1 + gamma (T - 25))``.

    ``power`` at 25 degC [W], ``gamma`` [1/K], at most 0, ``temperature`` [degC]. Returns [W].

    >>> round(power_at_temperature(power=300.0, gamma=-2 / 300, temperature=40.0).power, 6)
    270.0
    """
    return Power(power * factor_at(temperature, gamma, "gamma"))
