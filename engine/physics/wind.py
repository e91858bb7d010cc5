"""Wind: its power, its growth with height, its mean power over a year."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from engine.sources import Source
from engine.worksheet import CannotCalculate, Input, Output, quantity, worksheet

Floats = npt.NDArray[np.float64]
HOURS_A_YEAR = 8760.0  # h; the trade leaves the leap day out

WIND_ENERGY_EXPLAINED = "Wind Energy Explained"
MANWELL = "J. F. Manwell, J. G. McGowan and A. L. Rogers, Wiley"


def rotor_area(diameter: float) -> float:
    """Area [m^2] that a rotor of a diameter [m] sweeps."""
    return math.pi / 4 * diameter**2


def _density() -> Input:
    return quantity("density", "kg/m^3", "air density", "1.225 kg/m^3", above=0, high=2)


def _diameter() -> Input:
    return quantity("diameter", "m", "rotor diameter", "2.4 m", above=0, high=200)


class WindPower(NamedTuple):
    power: float
    power_density: float


@worksheet(
    id="wind-power",
    subject="Wind",
    title="Power of the wind through a rotor",
    inputs=(
        quantity("speed", "m/s", "wind speed", "8 m/s", low=0, high=100),
        _density(),
        _diameter(),
        quantity("cp", "1", "power coefficient", "0.35", 1.0, low=0, high=1),
    ),
    outputs=(
        Output("power", "power taken by the rotor", "W"),
        Output("power_density", "power of the free wind per area", "W/m^2"),
    ),
    expression=(
        "power_density = density * speed^3 / 2",
        "power = cp * power_density * pi / 4 * diameter^2",
    ),
    source=Source(WIND_ENERGY_EXPLAINED, MANWELL, "2009", "2.2 and 3.2"),
    validity="With cp = 1 the power of the free wind; no rotor in free wind takes more than 16/27 of it.",
)
def wind_power(*, speed: float, density: float, diameter: float, cp: float = 1.0) -> WindPower:
    """Power that a rotor takes from the wind, and the power of the free wind per area.

    ``power = cp * density * speed^3 / 2 * pi / 4 * diameter^2``

    Args: speed [m/s]; density [kg/m^3]; diameter [m]; cp [0..1], 1 for the free wind (Betz: 16/27 at most).
    Returns: power [W], power_density [W/m^2] of the free wind. Arrays of one shape pass too.

    >>> round(wind_power(speed=15, density=1.226, diameter=120, cp=0.35).power / 1000)
    8189

    Source: Manwell, McGowan and Rogers, Wind Energy Explained, Wiley, 2009 (from memory).
    """
    power_density = density * speed**3 / 2
    return WindPower(cp * power_density * rotor_area(diameter), power_density)


class WindShear(NamedTuple):
    speed: float


@worksheet(
    id="wind-shear",
    subject="Wind",
    title="Wind speed at another height",
    inputs=(
        quantity("speed", "m/s", "wind speed measured", "5 m/s", low=0, high=100),
        quantity("height", "m", "height of the measurement", "10 m", above=0, high=500),
        quantity("target", "m", "height asked for", "18 m", above=0, high=500),
        quantity("exponent", "1", "shear exponent", "0.2", None, low=0, high=1),
        quantity("roughness", "m", "roughness length", "0.1 m", None, above=0, high=10),
        quantity("displacement", "m", "height of the closed cover", "0 m", 0.0, low=0, high=100),
    ),
    outputs=(Output("speed", "wind speed there", "m/s"),),
    expression=(
        "speed = speed * (target / height)^exponent",
        "speed = speed * ln((target - displacement) / roughness) / ln((height - displacement) / roughness)",
    ),
    source=Source(
        "Renewable and Efficient Electric Power Systems",
        "G. M. Masters, Wiley",
        "2004",
        "6.4, tables 6.3 and 6.4",
    ),
    validity="Give the exponent or the roughness length. A mean over all weathers; single hours differ, and "
    "neither law holds among trees and houses.",
    one_of=(("exponent", "roughness"),),
)
def wind_shear(
    *,
    speed: float,
    height: float,
    target: float,
    exponent: float | None = None,
    roughness: float | None = None,
    displacement: float = 0.0,
) -> WindShear:
    """Wind speed carried to another height by the power law or by the logarithmic law.

    ``speed * (target / height)^exponent``, or
    ``speed * ln((target - displacement) / roughness) / ln((height - displacement) / roughness)``

    Args: speed [m/s] at height [m]; target [m]; exactly one of exponent [-] and roughness [m]; displacement
    [m], with a roughness only. Returns: speed [m/s]. An array of speeds passes too.
    Raises CannotCalculate for both or neither law, a displacement with an exponent, or a height so low that
    the logarithmic law has no wind there.

    >>> round(wind_shear(speed=5, height=10, target=50, exponent=0.2).speed, 1)
    6.9

    Source: Masters, Renewable and Efficient Electric Power Systems, Wiley, 2004, 6.4 (from memory).
    """
    if exponent is not None and roughness is None:
        if displacement:
            raise CannotCalculate(
                "displacement", f"{displacement:g} m with an exponent", "a roughness length"
            )
        return WindShear(speed * (target / height) ** exponent)
    if roughness is None or exponent is not None:
        got = "nothing" if roughness is None else "an exponent and a roughness"
        raise CannotCalculate("exponent", got, "an exponent or a roughness length, one of the two")
    for name, level in (("height", height), ("target", target)):
        if level - displacement <= roughness:
            raise CannotCalculate(
                name, f"{level:g} m", f"more than displacement and roughness, {displacement + roughness:g} m"
            )
    ratio = math.log((target - displacement) / roughness) / math.log((height - displacement) / roughness)
    return WindShear(speed * ratio)


class WindMeanPower(NamedTuple):
    power_density: float
    pattern_factor: float


@worksheet(
    id="wind-mean-power",
    subject="Wind",
    title="Mean power of a wind of known mean speed",
    inputs=(
        quantity("mean_speed", "m/s", "mean wind speed", "5.2 m/s", low=0, high=40),
        quantity("shape", "1", "Weibull shape", "2", 2.0, low=1, high=10),
        _density(),
    ),
    outputs=(
        Output("power_density", "mean power per area", "W/m^2"),
        Output("pattern_factor", "mean cube over cube of the mean", "1"),
    ),
    expression=(
        "pattern_factor = gamma(1 + 3 / shape) / gamma(1 + 1 / shape)^3",
        "power_density = pattern_factor * density * mean_speed^3 / 2",
    ),
    source=Source(WIND_ENERGY_EXPLAINED, MANWELL, "2009", "2.4, table 2.4"),
    validity="Speeds spread as Weibull; shape 2 is Rayleigh's. The gamma function interpolates the "
    "factorial.",
)
def wind_mean_power(*, mean_speed: float, shape: float = 2.0, density: float) -> WindMeanPower:
    """Mean power of the free wind per area where speeds are spread as Weibull.

    ``pattern_factor = gamma(1 + 3 / shape) / gamma(1 + 1 / shape)^3``;
    ``power_density = pattern_factor * density * mean_speed^3 / 2``

    Args: mean_speed [m/s]; shape [1..10], 2 for Rayleigh; density [kg/m^3].
    Returns: power_density [W/m^2], pattern_factor [-] (6/pi at shape 2). An array of mean speeds passes too.

    >>> round(wind_mean_power(mean_speed=5, density=1.225).pattern_factor, 2)
    1.91

    Source: Manwell, McGowan and Rogers, Wind Energy Explained, Wiley, 2009, 2.4 (from memory).
    """
    pattern = math.gamma(1 + 3 / shape) / math.gamma(1 + 1 / shape) ** 3
    return WindMeanPower(pattern * density * mean_speed**3 / 2, pattern)


class WindAnnualEnergy(NamedTuple):
    energy: float


@worksheet(
    id="wind-annual-energy",
    subject="Wind",
    title="Energy of a year from the mean power of the wind",
    inputs=(
        quantity("power_density", "W/m^2", "mean power of the free wind per area", "160 W/m^2", low=0),
        _diameter(),
        quantity("efficiency", "%", "share that becomes electricity", "20 %", low=0, high=0.593),
    ),
    outputs=(Output("energy", "energy in a year", "Wh"),),
    expression=("energy = power_density * pi / 4 * diameter^2 * efficiency * 8760 h",),
    source=Source(
        "Renewable and Efficient Electric Power Systems", "G. M. Masters, Wiley", "2004", "6.7, example 6.11"
    ),
    validity="A first look with one mean efficiency; the simulated year says more.",
)
def wind_annual_energy(*, power_density: float, diameter: float, efficiency: float) -> WindAnnualEnergy:
    """Energy of a year, from the mean power of the wind and one mean efficiency.

    ``energy = power_density * pi / 4 * diameter^2 * efficiency * 8760 h``

    Args: power_density [W/m^2], mean; diameter [m]; efficiency [0..16/27] from wind to electricity.
    Returns: energy [Wh]. Arrays of one shape pass too.

    >>> round(wind_annual_energy(power_density=504, diameter=48, efficiency=0.3).energy / 1e9, 3)
    2.397

    Source: Masters, Renewable and Efficient Electric Power Systems, Wiley, 2004, example 6.11 (from memory).
    """
    return WindAnnualEnergy(power_density * rotor_area(diameter) * efficiency * HOURS_A_YEAR)


def weibull_scale(mean_speed: float, shape: float) -> float:
    """Scale [m/s] of a Weibull spread of wind speeds: ``mean_speed / gamma(1 + 1 / shape)``.

    Source: Manwell, McGowan and Rogers, Wind Energy Explained, Wiley, 2009, 2.4 (from memory).
    """
    return mean_speed / math.gamma(1 + 1 / shape)


def weibull_shares(edges: Floats, mean_speed: float, shape: float) -> Floats:
    """Share of the year [-] between each two ``edges`` [m/s, rising], for speeds spread as Weibull.

    ``F(v) = 1 - exp(-(v / scale)^shape)``; what blows above the last edge is in no share.
    """
    below = -np.expm1(-((edges / weibull_scale(mean_speed, shape)) ** shape))
    shares: Floats = np.diff(below)
    return shares


def weibull_energy(power: Floats, speeds: Floats, mean_speed: float, shape: float) -> float:
    """Energy of a year [Wh] from straight lines of power [W] over wind ``speeds`` [m/s, rising].

    The power in the middle of each stretch times its share of 8760 h. Wind above the last speed counts with
    the power there, wind below the first with none: give a curve from calm to storm.

    Source: IEC 61400-12-1, 2017, 8.3, annual energy production (from memory).
    """
    return weibull_energies((power,), speeds, mean_speed, shape)[0]


def weibull_energies(
    powers: Sequence[Floats], speeds: Floats, mean_speed: float, shape: float
) -> tuple[float, ...]:
    """``weibull_energy`` of several curves in the same wind, whose spread is then reckoned once."""
    shares = weibull_shares(speeds, mean_speed, shape)
    above = math.exp(-((float(speeds[-1]) / weibull_scale(mean_speed, shape)) ** shape))
    return tuple(
        HOURS_A_YEAR * (float(shares @ ((power[1:] + power[:-1]) / 2)) + above * float(power[-1]))
        for power in powers
    )
