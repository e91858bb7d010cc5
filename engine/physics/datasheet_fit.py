"""The one-diode parameters of a module from its data sheet.

Four conditions at standard test conditions fix four of five parameters: short-circuit current, open-circuit
voltage, the current at maximum power, and that power is greatest there. The fifth, the ideality, is free: it
takes the usual value of crystalline silicon, or the nearest that gives a physical set. The saturation current
is pinned to the voltage coefficient (``onediode.translate``), so that the curve's open-circuit voltage is the
data sheet's line at every temperature. On the open module table the power then falls with heat 0.04 %/K less
than the table says (median); choosing the ideality by the power coefficient hardly betters that and gives odd
values, so that it is not done.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from engine.physics.onediode import Diode, Floats, Module, thermal_voltage
from engine.physics.physical import STC_TEMPERATURE

# Open-circuit voltage and ideality of a crystalline silicon cell at standard conditions: the medians of the
# open module table that pvlib carries (computed).
CELL_VOLTAGE = 0.63  # V
USUAL_IDEALITY = 1.03
PLAUSIBLE = (0.6, 2.0)  # outside, the number of cells is more likely wrong than the diode strange
EXPONENTS = np.geomspace(6.0, 80.0, 120)  # Voc / a over all that silicon and thin films do, and more
BISECTIONS = 48


@dataclass(frozen=True, slots=True)
class Fit:
    """The fitted module, or why there is none; ``notes`` say what was assumed.

    Where ``physical`` is false no curve may be drawn: ``module`` is ``None`` and ``reason`` a sentence.
    """

    physical: bool
    module: Module | None
    reason: str = ""
    notes: tuple[str, ...] = ()
    ideality: float | None = None


def fit(
    voc: float,
    isc: float,
    vmp: float,
    imp: float,
    beta_voc: float,
    alpha_isc: float | None = None,
    cells: int | None = None,
) -> Fit:
    """Fit a module: [V, A, V, A, 1/K, 1/K, count], coefficients relative and that of Voc negative.

    Missing ``alpha_isc`` is taken as 0, missing ``cells`` from the voltage, and each is said in ``notes``.
    Remembered by its inputs to nine digits. Model: see the head of this file and of ``onediode``.

    >>> from engine.physics.onediode import open_circuit_voltage
    >>> found = fit(voc=49.5, isc=11.2, vmp=41.5, imp=10.6, beta_voc=-0.0027, cells=72)
    >>> found.physical, round(float(open_circuit_voltage(found.module.diode)), 6)
    (True, 49.5)
    """
    alpha = None if alpha_isc is None else _rounded(alpha_isc)
    sheet = (_rounded(voc), _rounded(isc), _rounded(vmp), _rounded(imp), _rounded(beta_voc))
    return _fit(*sheet, alpha, cells)


def _rounded(value: float) -> float:
    return float(f"{value:.9g}")


@lru_cache(maxsize=256)
def _fit(
    voc: float,
    isc: float,
    vmp: float,
    imp: float,
    beta_voc: float,
    alpha_isc: float | None,
    cells: int | None,
) -> Fit:
    impossible = _impossible(voc, isc, vmp, imp, beta_voc)
    if impossible:
        return Fit(False, None, impossible)
    notes = []
    if cells is None:
        cells = max(1, round(voc / CELL_VOLTAGE))
        notes.append(f"cells in series not given: {cells} taken, from {CELL_VOLTAGE} V a cell")
    if alpha_isc is None:
        alpha_isc = 0.0
        notes.append("current coefficient not given: 0 taken")
    cell_ideality = cells * float(thermal_voltage(STC_TEMPERATURE))
    usual = USUAL_IDEALITY * cell_ideality
    a = np.append(voc / EXPONENTS, usual)
    sets = _standard_sets(voc, isc, vmp, imp, a)
    if not sets.physical.any():
        return Fit(False, None, "no one-diode curve passes through these four values", tuple(notes))
    chosen = int(np.argmin(np.where(sets.physical, np.abs(np.log(a / usual)), np.inf)))
    diode = Diode(*(float(np.asarray(item)[chosen]) for item in sets.diode))
    ideality = float(a[chosen]) / cell_ideality
    if not PLAUSIBLE[0] <= ideality <= PLAUSIBLE[1]:
        notes.append(f"ideality {ideality:.2f} is unusual: check the number of cells, {cells}")
    return Fit(True, Module(diode, alpha_isc * isc, voc, beta_voc), "", tuple(notes), ideality)


def _impossible(voc: float, isc: float, vmp: float, imp: float, beta_voc: float) -> str:
    if not 0 < vmp < voc:
        return "the voltage at maximum power must lie between 0 and the open-circuit voltage"
    if not 0 < imp < isc:
        return "the current at maximum power must lie between 0 and the short-circuit current"
    if 2 * vmp <= voc or 2 * imp <= isc:
        return "maximum power this far from the corner needs more than one diode"
    if not -0.02 < beta_voc < 0:
        return "the voltage coefficient must be negative"
    return ""


class _Sets(NamedTuple):
    diode: Diode
    physical: npt.NDArray[np.bool_]


def _standard_sets(voc: float, isc: float, vmp: float, imp: float, a: Floats) -> _Sets:
    """For each ``a`` [V] the set that meets the four conditions, and whether it is physical.

    With ``a`` and ``Rs`` chosen three conditions are linear in ``IL``, ``I0`` and ``G``; the fourth, that
    power is greatest at ``vmp``, is bisected over ``Rs`` from 0 to ``(voc - vmp) / imp``, all ``a`` at once.
    """
    low, high = np.zeros_like(a), np.full_like(a, (voc - vmp) / imp * (1 - 1e-9))
    first = _slope_excess(low, voc, isc, vmp, imp, a)[0]
    last = _slope_excess(high, voc, isc, vmp, imp, a)[0]
    for _ in range(BISECTIONS):
        middle = (low + high) / 2
        above = _slope_excess(middle, voc, isc, vmp, imp, a)[0] > 0
        low, high = np.where(above, low, middle), np.where(above, middle, high)
    rs = (low + high) / 2
    _, at_voc, g = _slope_excess(rs, voc, isc, vmp, imp, a)
    saturation = at_voc * np.exp(-voc / a)
    light = -at_voc * np.expm1(-voc / a) + g * voc
    physical = (first <= 0) & (last > 0) & (saturation > 0) & (g >= 0) & (light >= isc)
    return _Sets(Diode(light, saturation, rs, g, a), physical)


def _slope_excess(
    rs: Floats, voc: float, isc: float, vmp: float, imp: float, a: Floats
) -> tuple[Floats, Floats, Floats]:
    """How much steeper the curve is at ``vmp`` than greatest power there needs [S]; ``I0 exp(Voc/a)``; ``G``.

    Exponentials are taken relative to ``exp(voc / a)``, which may be out of a float's range.
    """
    knee = np.exp((vmp + imp * rs - voc) / a)
    sc_diode, sc_shunt = 1 - np.exp((isc * rs - voc) / a), voc - isc * rs
    mp_diode, mp_shunt = 1 - knee, voc - vmp - imp * rs
    determinant = sc_diode * mp_shunt - sc_shunt * mp_diode
    at_voc = (isc * mp_shunt - imp * sc_shunt) / determinant
    g = (sc_diode * imp - mp_diode * isc) / determinant
    return at_voc / a * knee + g - imp / (vmp - imp * rs), at_voc, g
