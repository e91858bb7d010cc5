"""A turbine's three-wire cable: line current and loss by theory, not those of two dc wires."""

from __future__ import annotations

import math

import numpy as np
import pytest

from app.places import demo_sites
from engine.codec import load
from engine.evaluation import evaluate


def test_that_a_line_of_a_bridge_carries_the_square_root_of_two_thirds_of_its_dc() -> None:
    """Each line conducts a third of the cycle each way: rms of that block, and 0.82 in the program."""
    angle = np.arange(0, 360, 0.5)
    block = np.where((angle >= 30) & (angle < 150), 1.0, np.where((angle >= 210) & (angle < 330), -1.0, 0.0))
    rms = float(np.sqrt(np.mean(block**2)))
    assert rms == pytest.approx(math.sqrt(2 / 3), rel=1e-6)
    circuits = evaluate(load(demo_sites() / "lake_cabin.toml")).circuits
    line, dc = circuits["mast-alternator"], circuits["mast-run"]
    assert line.current == pytest.approx(rms * (dc.current or 0.0), rel=0.005)


def test_that_three_wires_lose_three_times_one_which_is_twice_the_dc_current_in_one() -> None:
    """Loss = 3 I_line^2 R = 2 I_dc^2 R."""
    circuits = evaluate(load(demo_sites() / "lake_cabin.toml")).circuits
    line, dc = circuits["mast-alternator"], circuits["mast-run"]
    step = dict(line.steps["drop"].inputs)
    resistance = line.steps["drop"].result.drop / (math.sqrt(3) * step["current"])
    assert line.loss == pytest.approx(3 * (line.running_current or 0.0) ** 2 * resistance)
    assert line.loss == pytest.approx(2 * (dc.running_current or 0.0) ** 2 * resistance, rel=0.01)
