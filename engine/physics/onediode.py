"""The one-diode model of a PV module: its curve at any sun and temperature, without solving for each point.

A module is a photocurrent beside a diode and a shunt, behind a series resistance:

    I = IL - I0 (exp(Vd / a) - 1) - Vd G,    V = Vd - I Rs

Written over the diode voltage ``Vd`` both are explicit, so that a curve is swept, not solved (J. W. Bishop,
"Computer simulation of the effects of electrical mismatches in photovoltaic cell interconnection circuits",
Solar Cells 25, 1988). Curves are for pictures and energy; ratings never come from here.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from engine.physics.physical import (
    BOLTZMANN,
    ELEMENTARY_CHARGE,
    STC_IRRADIANCE,
    STC_TEMPERATURE,
    ZERO_CELSIUS,
)
from engine.worksheet import CannotCalculate

Floats = npt.NDArray[np.float64]
Real = float | Floats

STC_KELVIN = STC_TEMPERATURE + ZERO_CELSIUS
# Crystalline silicon: W. De Soto, S. A. Klein and W. A. Beckman, "Improvement and validation of a model for
# photovoltaic array performance", Solar Energy 80, 2006.
GAP = 1.121  # eV at 25 degC
GAP_SLOPE = -0.0002677  # 1/K, of the gap at 25 degC


class Diode(NamedTuple):
    """The five parameters at one condition, or at many: floats or arrays of one shape.

    [A, A, ohm, S, V]; the shunt is kept as a conductance, so that no light means 0 and not infinity.
    """

    photocurrent: Real
    saturation_current: Real
    series_resistance: Real
    shunt_conductance: Real
    modified_ideality: Real


@dataclass(frozen=True, slots=True)
class Module:
    """A module's five parameters at 25 degC and 1000 W/m^2, and how they change with temperature.

    ``alpha`` [A/K]. With ``voc`` [V] and ``beta_voc`` [1/K] the open-circuit voltage at 1000 W/m^2 follows
    the data sheet's line exactly; without them the saturation current follows silicon's gap.
    """

    diode: Diode
    alpha: float
    voc: float | None = None
    beta_voc: float | None = None


class Curve(NamedTuple):
    """Voltage, current and power along one curve, from short circuit to open circuit."""

    voltage: Floats
    current: Floats
    power: Floats


def thermal_voltage(cell_temperature: Real) -> Real:
    """``k T / q`` [V] of a cell at a temperature [degC].

    >>> round(thermal_voltage(25.0), 6)
    0.025693
    """
    return BOLTZMANN / ELEMENTARY_CHARGE * (cell_temperature + ZERO_CELSIUS)


def translate(module: Module, irradiance: Real, cell_temperature: Real) -> Diode:
    """The five parameters at an irradiance [W/m^2] and cell temperature [degC], floats or arrays [any].

    By De Soto, Klein and Beckman: the photocurrent and the shunt's conductance in proportion to the
    irradiance, ``a`` to the absolute temperature, the series resistance constant. The saturation current is
    the one that gives the data sheet's open-circuit voltage ``Voc (1 + beta (T - 25))`` at 1000 W/m^2, or,
    for a module without that line, their function of the gap. Raises ``CannotCalculate`` where the line has
    fallen to zero.
    """
    standard = module.diode
    sun = irradiance / STC_IRRADIANCE
    warmer = cell_temperature - STC_TEMPERATURE
    ratio = (cell_temperature + ZERO_CELSIUS) / STC_KELVIN
    ideality = standard.modified_ideality * ratio
    bright = standard.photocurrent + module.alpha * warmer
    if module.voc is None or module.beta_voc is None:
        gap = GAP * (1 + GAP_SLOPE * warmer)
        exponent = ELEMENTARY_CHARGE / BOLTZMANN / STC_KELVIN * (GAP - gap / ratio)
        saturation = standard.saturation_current * ratio**3 * np.exp(exponent)
    else:
        voc = module.voc * (1 + module.beta_voc * warmer)
        if np.any(voc <= 0):
            got = f"{np.max(cell_temperature):.4g} degC"
            raise CannotCalculate("cell_temperature", got, "less: no voltage is left there")
        saturation = (bright - voc * standard.shunt_conductance) / np.expm1(voc / ideality)
    return Diode(
        bright * sun,
        saturation,
        standard.series_resistance + 0 * sun,
        standard.shunt_conductance * sun,
        ideality,
    )


def in_array(diode: Diode, modules: int, strings: int) -> Diode:
    """The five parameters of an array of equal modules: volts times ``modules``, amps times ``strings``.

    Ideal: no mismatch, no wire, no bypassed module.
    """
    return Diode(
        diode.photocurrent * strings,
        diode.saturation_current * strings,
        diode.series_resistance * modules / strings,
        diode.shunt_conductance * strings / modules,
        diode.modified_ideality * modules,
    )


def current_at(diode: Diode, diode_voltage: Real) -> Real:
    """Terminal current [A] at a diode voltage [V]."""
    il, i0, _, g, a = diode
    return il - i0 * np.expm1(diode_voltage / a) - diode_voltage * g


def open_circuit_voltage(diode: Diode) -> Real:
    """Open-circuit voltage [V], floats or arrays; 0 in the dark.

    Newton's method from ``a ln(1 + IL / I0)``, which is never below the root: the current falls ever steeper
    there, so that every step stays on the same side and converges.
    """
    il, i0, _, g, a = diode
    voltage = a * np.log1p(il / i0)
    for _ in range(60):
        slope = i0 / a * np.exp(voltage / a) + g
        step = current_at(diode, voltage) / slope
        voltage = voltage + step
        if np.all(np.abs(step) <= 1e-12 * a):
            break
    return voltage


def short_circuit_current(diode: Diode) -> Real:
    """Short-circuit current [A], floats or arrays; 0 in the dark.

    Newton's method on the diode voltage, from the lesser of two bounds that are never below the root.
    """
    il, i0, rs, g, a = diode
    inner = np.minimum(rs * il / (1 + rs * g), a * np.log1p(il / i0))
    for _ in range(60):
        excess = inner - rs * current_at(diode, inner)
        step = excess / (1 + rs * (i0 / a * np.exp(inner / a) + g))
        inner = inner - step
        if np.all(np.abs(step) <= 1e-12 * a):
            break
    return current_at(diode, inner)


def curve(diode: Diode, points: int = 400) -> Curve:
    """The curve at one condition from short circuit to open circuit, swept over the diode voltage.

    Exact at each point; only the two ends are solved for. ``diode`` of floats. Returns arrays [point] of
    [V, A, W], voltage rising; all zeros in the dark.
    """
    rs = diode.series_resistance
    first = rs * short_circuit_current(diode)
    inner = np.linspace(first, open_circuit_voltage(diode), points)
    current = np.asarray(current_at(diode, inner))
    voltage = inner - current * rs
    return Curve(voltage, current, voltage * current)
