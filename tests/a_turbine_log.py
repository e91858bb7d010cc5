"""Logs of a turbine whose true rotor is known, with the errors of real instruments."""

from __future__ import annotations

import dataclasses

import numpy as np

from engine.physics.load_curve import LoadCurve, followed
from engine.physics.wind_rotor import Rotor
from engine.physics.wind_turbine import Machine
from engine.turbine_log import TurbineLog


def other_rotor(machine: Machine, width: float, height: float) -> Machine:
    """The machine with a rotor whose best ratio and coefficient are so many times those entered."""
    rotor = machine.rotor
    true = Rotor(rotor.diameter, rotor.ratios * width, rotor.coefficients * height)
    return dataclasses.replace(machine, rotor=true)


def logged(true: Machine, curve: LoadCurve, seed: int, rows: int = 6000, reads: float = 1.0) -> TurbineLog:
    """Minutes of the true machine on a curve: gusty hours of a Weibull wind, an anemometer off by 8 % a row.

    ``reads``: what the anemometer shows over the wind that blows.
    """
    draw = np.random.default_rng(seed)
    hours = 5.5 * draw.weibull(2, rows // 60 + 1)
    wind = np.repeat(hours, 60)[:rows] * np.exp(0.1 * draw.standard_normal(rows))
    on = followed(true, wind, curve)

    def noisy(values: np.ndarray, share: float) -> np.ndarray:
        return np.maximum(values * (1 + share * draw.standard_normal(rows)), 0.0)

    return TurbineLog(noisy(reads * wind, 0.08), noisy(on.voltage, 0.003), noisy(on.current, 0.01))
