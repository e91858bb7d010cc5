"""The maximum power point of one-diode curves, thousands at once."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from engine.physics.onediode import (
    Diode,
    Floats,
    Module,
    open_circuit_voltage,
    short_circuit_current,
    thermal_voltage,
    translate,
)
from engine.sources import Source
from engine.worksheet import Output, count, quantity, worksheet

NEWTON_STEPS = 30
BISECTIONS = 80


class MaximumPower(NamedTuple):
    """Power, voltage and current at maximum power [W, V, A], arrays of the parameters' shape."""

    power: Floats
    voltage: Floats
    current: Floats


def max_power(diode: Diode) -> MaximumPower:
    """Maximum power of every curve in a set of parameters, floats or arrays of one shape [any].

    Newton's method on the diode voltage for ``dP/dVd = 0``, all curves at once; the few that it does not
    settle are bisected. Error below 1e-9 W. Zeros in the dark.
    """
    il, i0, rs, g, a = np.broadcast_arrays(*(np.asarray(item, dtype=np.float64) for item in diode))
    curves = Diode(il, i0, rs, g, a)
    top = a * np.log1p(il / i0)
    inner = top - a * np.log1p(top / a)
    twice = 2 * rs
    tolerance = 1e-6 * a
    step = np.full_like(inner, np.inf)
    with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
        for _ in range(NEWTON_STEPS):
            rise = i0 * np.exp(inner / a)
            current = il + i0 - rise - g * inner
            rise /= a
            slope = -(rise + g)
            reach = inner - twice * current
            step = (current + slope * reach) / (slope * (2 - twice * slope) - rise / a * reach)
            inner = inner - step
            if np.all(np.abs(step) <= tolerance):
                break
        lost = ~((np.abs(step) <= tolerance) & (inner >= 0) & (inner <= top))
    if np.any(lost):
        inner = np.where(lost, _bisected(curves, top), inner)
    current = il - i0 * np.expm1(inner / a) - g * inner
    voltage = inner - rs * current
    return MaximumPower(voltage * current, voltage, current)


def _bisected(diode: Diode, top: Floats) -> Floats:
    """The diode voltage at maximum power between 0 and ``top`` by bisection of ``dP/dV``.

    Power over terminal voltage is concave, so that its slope changes its sign once.
    """
    il, i0, rs, g, a = diode
    low, high = np.zeros_like(top), top.copy()
    for _ in range(BISECTIONS):
        middle = (low + high) / 2
        current = il - i0 * np.expm1(middle / a) - g * middle
        slope = i0 / a * np.exp(middle / a) + g
        rising = current * (1 + rs * slope) > (middle - rs * current) * slope
        low, high = np.where(rising, middle, low), np.where(rising, high, middle)
    return (low + high) / 2


class OneDiode(NamedTuple):
    """The corner points of a one-diode curve."""

    isc: float
    voc: float
    imp: float
    vmp: float
    pmp: float
    modified_ideality: float


@worksheet(
    id="pv-one-diode",
    subject="PV",
    title="Corner points of a module's curve by the one-diode model",
    inputs=(
        quantity("photocurrent", "A", "photocurrent", "8 A", above=0, high=1000, symbol="IL"),
        quantity(
            "saturation_current",
            "A",
            "saturation current of the diode",
            "5e-10 A",
            above=0,
            high=1,
            symbol="I0",
        ),
        quantity("series_resistance", "ohm", "series resistance", "0.1 ohm", low=0, high=1000, symbol="Rs"),
        quantity("shunt_resistance", "ohm", "shunt resistance", "300 ohm", above=0, symbol="Rsh"),
        quantity("ideality", "1", "ideality factor of a cell's diode", "1.01", low=0.1, high=5, symbol="n"),
        count("cells", "cells in series", "72", high=5000),
        quantity("cell_temperature", "degC", "cell temperature", "25 degC", low=-90, high=150, symbol="T"),
    ),
    outputs=(
        Output("isc", "short-circuit current", "A", "Isc"),
        Output("voc", "open-circuit voltage", "V", "Voc"),
        Output("imp", "current at maximum power", "A", "Imp"),
        Output("vmp", "voltage at maximum power", "V", "Vmp"),
        Output("pmp", "maximum power", "W", "Pmp"),
        Output("modified_ideality", "a: thermal voltage of all cells times ideality", "V", "a"),
    ),
    expression=(
        "modified_ideality = ideality * cells * 8.617333e-5 V/K * (cell_temperature + 273.15 K)",
        (
            "I = photocurrent - saturation_current"
            " * (exp((V + I * series_resistance) / modified_ideality) - 1)"
            " - (V + I * series_resistance) / shunt_resistance"
        ),
        "isc = I where V = 0",
        "voc = V where I = 0",
        "vmp = V where V * I is largest",
        "imp = I where V * I is largest",
        "pmp = vmp * imp",
    ),
    source=Source(
        "Improvement and validation of a model for photovoltaic array performance",
        "W. De Soto, S. A. Klein and W. A. Beckman, Solar Energy 80, 78-88",
        "2006",
        "equation 1",
    ),
    validity="equal cells, evenly lit, no bypass diode conducting",
)
def one_diode(
    photocurrent: float,
    saturation_current: float,
    series_resistance: float,
    shunt_resistance: float,
    ideality: float,
    cells: int,
    cell_temperature: float,
) -> OneDiode:
    """Corner points of a one-diode curve.

    [A, A, ohm, ohm, 1, count, degC]; ``a = n N k T / q``. Returns [A, V, A, V, W, V].

    >>> round(one_diode(8.0, 5e-10, 0.1, 300.0, 1.01, 72, 25.0).pmp, 6)
    280.650111
    """
    a = ideality * cells * float(thermal_voltage(cell_temperature))
    diode = Diode(photocurrent, saturation_current, series_resistance, 1 / shunt_resistance, a)
    best = max_power(diode)
    return OneDiode(
        float(short_circuit_current(diode)),
        float(open_circuit_voltage(diode)),
        float(best.current),
        float(best.voltage),
        float(best.power),
        a,
    )


def bench_points() -> Diode:
    """Parameters of 8760 curves [hour], the same every time: a module over sun 1 to 1100 W/m^2 and cells of
    -30 to 75 degC, spread evenly by two irrational strides (Weyl's sequence)."""
    hour = np.arange(8760, dtype=np.float64)
    irradiance: Floats = 1 + 1099 * (hour * 0.6180339887498949 % 1)
    temperature: Floats = -30 + 105 * (hour * 0.4142135623730951 % 1)
    module = Module(Diode(9.8, 1e-10, 0.3, 1 / 400, 1.05 * 60 * float(thermal_voltage(25.0))), alpha=0.005)
    return translate(module, irradiance, temperature)
