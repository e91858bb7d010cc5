"""Manning's formula for a full pipe: against a library, by its own law, and beside a rule of thumb."""

from __future__ import annotations

import math

import pytest
from fluids.open_flow import V_Manning

from engine.physics.pipe import pipe_loss
from engine.physics.pipe_manning import pipe_loss_manning
from engine.tables import table
from engine.tables.lookup import exact


@pytest.mark.parametrize(
    ("flow", "diameter", "n"), [(3.0, 900.0, 0.012), (0.05, 200.0, 0.009), (0.4, 500.0, 0.015)]
)
def test_that_the_velocity_is_that_of_a_library_at_the_slope_lost(
    flow: float, diameter: float, n: float
) -> None:
    found = pipe_loss_manning(flow=flow, diameter=diameter, length=100, n=n)
    assert V_Manning(diameter / 1000 / 4, found.head_loss / 100, n) == pytest.approx(found.velocity, rel=1e-9)


def test_that_the_guides_rule_of_thumb_for_four_per_cent_loses_more() -> None:
    # ESHA, Guide on How to Develop a Small Hydropower Plant, 2004, as quoted (read): 3 m^3/s, 85 m, 173 m,
    # n 0.012; D = 2.69 (n^2 Q^2 L / H)^0.1875 = 0.88 m. The formula it is made from loses 5.3 % in it.
    thumb = 2.69 * (0.012**2 * 3**2 * 173 / 85) ** 0.1875
    assert thumb == pytest.approx(0.88, abs=0.005)
    found = pipe_loss_manning(flow=3, diameter=1000 * thumb, length=173, n=0.012, gross_head=85)
    assert found.velocity == pytest.approx(4.893, abs=0.0005)
    assert found.share == pytest.approx(0.0525, abs=0.0005)
    wider = (10.294 * 0.012**2 * 3**2 * 173 / (0.04 * 85)) ** (3 / 16)
    held = pipe_loss_manning(flow=3, diameter=1000 * wider, length=173, n=0.012, gross_head=85)
    assert held.share == pytest.approx(0.04, rel=1e-4)


def test_that_a_rough_pipe_agrees_with_darcy_by_stricklers_roughness() -> None:
    # Strickler (from memory): n = k^(1/6) / 26 with the roughness k in metres; fully rough, to some 10 %.
    rough = 0.003
    darcy = pipe_loss(flow=3, diameter=900, length=173, roughness=1000 * rough).head_loss
    manning = pipe_loss_manning(flow=3, diameter=900, length=173, n=rough ** (1 / 6) / 26).head_loss
    assert manning == pytest.approx(darcy, rel=0.1)


def test_that_loss_grows_with_the_square_of_flow_and_of_roughness() -> None:
    here = pipe_loss_manning(flow=1, diameter=600, length=50, n=0.012).head_loss
    assert pipe_loss_manning(flow=2, diameter=600, length=50, n=0.012).head_loss == pytest.approx(4 * here)
    steel = exact(table("manning_n"), "material", "ductile iron", "n")
    assert pipe_loss_manning(flow=1, diameter=600, length=50, n=steel).head_loss == pytest.approx(
        here * (steel / 0.012) ** 2
    )
    assert math.isclose(pipe_loss_manning(flow=0, diameter=600, length=50, n=0.012).head_loss, 0.0)
