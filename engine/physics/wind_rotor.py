"""A rotor as data: its power coefficient by tip speed ratio, and how much wind it meets once it furls."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from engine.physics.rotor import heier_cp
from engine.physics.wind import rotor_area
from engine.worksheet import CannotCalculate

Floats = npt.NDArray[np.float64]

BETZ = 16 / 27
HEIER_KNOTS = 40  # denser where it bends: lines stay within 0.0006 of the curve whose peak is 0.48
HEIER_ENDS = (0.5, 16.0)  # tip speed ratios that hold the peak and the fall through zero
FURLED_AT = 1.6  # times the wind at which furling begins: all of it done (common practice)


@dataclass(frozen=True, slots=True, eq=False)
class Rotor:
    """Power coefficient as straight lines between knots, from rest to the ratio at which it runs free.

    Equal only to itself, so that what was computed of a rotor is found again.

    ``ratios`` rise from 0, ``coefficients`` [-] are 0 at both ends. ``diameter`` [m].
    """

    diameter: float
    ratios: Floats
    coefficients: Floats

    @property
    def area(self) -> float:
        """Swept area [m^2]."""
        return rotor_area(self.diameter)

    @property
    def best(self) -> tuple[float, float]:
        """The ratio of the greatest coefficient, and that coefficient."""
        at = int(np.argmax(self.coefficients))
        return float(self.ratios[at]), float(self.coefficients[at])

    @property
    def speed_per_wind(self) -> float:
        """Rotor speed [rpm] at a tip speed ratio of 1 in 1 m/s."""
        return 60 / (math.pi * self.diameter)


def table_rotor(diameter: float, points: Sequence[tuple[float, float]]) -> Rotor:
    """A rotor from measured points (tip speed ratio, power coefficient), straight lines between them.

    At rest it gives no power, so (0, 0) is put before the first point. Raises CannotCalculate for points that
    don't rise in ratio, a coefficient above 16/27 (Betz) or below 0, or a table that does not end at 0: the
    ratio of a rotor that runs free is in no other datum.
    """
    ratios = [float(ratio) for ratio, _ in points]
    coefficients = [float(cp) for _, cp in points]
    if ratios and ratios[0] > 0:
        ratios, coefficients = [0.0, *ratios], [0.0, *coefficients]
    if len(ratios) < 3 or any(b <= a for a, b in pairwise(ratios)):
        raise CannotCalculate("cp_points", f"{len(points)} points", "two or more of rising tip speed ratio")
    if ratios[0] < 0 or coefficients[0] != 0:
        raise CannotCalculate("cp_points", f"{coefficients[0]:g} at ratio {ratios[0]:g}", "none at rest")
    if not 0 < max(coefficients) <= BETZ or min(coefficients) < 0:
        low, high = min(coefficients), max(coefficients)
        raise CannotCalculate("cp_points", f"{low:g} to {high:g}", "coefficients from 0 to 0.593")
    if coefficients[-1] != 0:
        need = "a last point of 0, at the ratio at which it runs free"
        raise CannotCalculate("cp_points", f"{coefficients[-1]:g} at the last", need)
    return Rotor(diameter, np.array(ratios), np.array(coefficients))


def heier_rotor(diameter: float, best_cp: float, best_ratio: float) -> Rotor:
    """Heier's general curve, scaled so that its peak is ``best_cp`` at ``best_ratio``.

    Read at some ``HEIER_KNOTS`` knots; it ends where it falls through zero. Raises CannotCalculate above
    Betz.

    >>> heier_rotor(2.4, 0.35, 7.0).best
    (7.0, 0.35)
    """
    if not 0 < best_cp <= BETZ:
        raise CannotCalculate("best_cp", f"{best_cp:g}", "more than 0, no more than 0.593")
    fine = np.linspace(*HEIER_ENDS, 20_001)
    shape = heier_cp(fine)
    top = int(np.argmax(shape))
    zero = top + int(np.argmax(shape[top:] <= 0))
    bend = np.sqrt(np.abs(np.gradient(np.gradient(shape[: zero + 1], fine[: zero + 1]), fine[: zero + 1])))
    turned = np.cumsum(bend)
    places = np.searchsorted(turned, np.linspace(0, turned[-1], HEIER_KNOTS))
    kept = np.unique([*places, 0, top, zero])
    ratios = np.concatenate([[0.0], fine[kept] * (best_ratio / fine[top])])
    coefficients = np.concatenate([[0.0], shape[kept] * (best_cp / shape[top])])
    at = 1 + int(np.flatnonzero(kept == top)[0])
    ratios[at], coefficients[at], coefficients[-1] = best_ratio, best_cp, 0.0
    return Rotor(diameter, ratios, coefficients)


@dataclass(frozen=True, slots=True)
class Furling:
    """Turning out of the wind from ``begins`` [m/s] on, down to ``rest`` [0..1] of the power there."""

    begins: float
    rest: float

    def met(self, wind: Floats) -> Floats:
        """The wind [m/s] that the rotor still meets; below ``begins`` all of it.

        The power that it meets falls in a straight line from that at ``begins`` to ``rest`` of it at
        ``FURLED_AT`` times that wind, and stays there (common practice; a tail's weight decides the slope).
        """
        done = np.clip((wind / self.begins - 1) / (FURLED_AT - 1), 0.0, 1.0)
        share = 1 - (1 - self.rest) * done
        met: Floats = np.where(wind > self.begins, self.begins * np.cbrt(share), wind)
        return met
