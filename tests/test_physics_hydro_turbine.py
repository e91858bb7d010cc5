"""Penstock, nozzle, wheel and alternator against a published system, libraries and laws."""

from __future__ import annotations

import math
from typing import Any

import fluids
import numpy as np
import pytest
from a_hydro_site import brook
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq, minimize_scalar

from engine.physics.diversion import source_limiter
from engine.physics.hydro import hydro_best_flow, hydro_power
from engine.physics.hydro_turbine import runaway, turbine_line, wheel_power, wheel_speed
from engine.physics.penstock import net_head, nozzle_flow, pipe_best
from engine.physics.pipe import pipe_loss
from engine.worksheet import CannotCalculate

GRAVITY = 9.80665

# PCF-CAL-001 v0.5, sizing calculations of an open-hardware low-head pico-hydro unit, public design
# repository, CERN-OHL-S-2.0, 2026 (read; a paper design): 2.0 m of head, two jets of 34 mm, wheel of 150 mm,
# 0.1 V/rpm.
# Left out, because its nozzle coefficient of 0.97 is counted in the net head and again in the jet's power:
# net head 1.66 m, loss 17 %, jet 5.53 m/s, 168.6 W at the nozzles, jet 158.7 W, shaft 119.0 W, best speed 324
# rpm, 93.4 W of dc, 87.8 W into the battery. What they become when it counts once is computed here from the
# printed inputs, by the formulas that it states.
COEFFICIENT, JETS, JET = 0.97, 2, 34.0
AREA = JETS * math.pi / 4 * (JET / 1000) ** 2
WATER = {"viscosity": 1.14e-3, "roughness": 0.0015}


def low_head() -> tuple[float, float]:
    """Flow [m3/s] and net head [m] of the published site: penstock 0.177 m, branches 0.060 m (as printed)."""
    net = 2.0 - 0.177 - 0.060
    return AREA * COEFFICIENT * math.sqrt(2 * GRAVITY * net), net


def test_that_the_low_head_site_passes_its_published_flow() -> None:
    """10.36 L/s; here with branch losses as a loss coefficient on the penstock's velocity."""
    velocity = 0.01036 / (math.pi / 4 * 0.1176**2)
    branches = 0.060 / (velocity**2 / (2 * GRAVITY))
    found = nozzle_flow(
        gross_head=2.0,
        diameter=117.6,
        length=20.0,
        fittings=0.75 + branches,
        nozzle_diameter=JET,
        nozzles=JETS,
        coefficient=COEFFICIENT,
        **WATER,
    )
    assert 1000 * found.flow == pytest.approx(10.36, abs=0.02)
    assert found.net_head == pytest.approx(1.7625, abs=0.005)
    assert found.jet_velocity == pytest.approx(found.flow / AREA)  # continuity: the coefficient counts once


def test_that_the_low_head_jet_has_the_power_that_was_printed_for_its_nozzles() -> None:
    """168.6 W is printed as power at the nozzles; it is the jet's, the coefficient counted once."""
    flow, net = low_head()
    found = wheel_power(
        flow=flow, net_head=net, coefficient=COEFFICIENT, best_efficiency=0.75, speed=334, runaway_speed=668
    )
    assert found.jet_power == pytest.approx(168.6, abs=0.5)
    assert found.power == pytest.approx(0.75 * 168.477, abs=0.5)
    assert hydro_power(head=net, flow=flow, efficiency=1.0).power == pytest.approx(179.06, abs=0.3)


def test_that_the_low_head_wheel_turns_at_the_speed_of_its_jet() -> None:
    """0.46 v / (pi D): the printed 324 rpm has the coefficient twice, 324 / 0.97 = 334 rpm once."""
    flow, _ = low_head()
    found = wheel_speed(jet_velocity=flow / AREA, wheel_diameter=150, speed=0)
    assert found.best_speed == pytest.approx(324 / 0.97, abs=0.6)


def test_that_the_published_route_reproduces_its_dc_figures() -> None:
    """At 324 rpm: 28.2 V, 3.32 A, 93.4 W; E I - 0.8 ohm I^2 - 1.6 V I with 12 W of fixed loss at 340 rpm."""
    speed, shaft = 324.0, 119.0
    runaway_speed = 2 * speed
    line = turbine_line(
        wheel_power=shaft,
        runaway_speed=runaway_speed,
        volts_per_speed=0.1,
        winding=0.8,
        drop=1.6,
        loss=12 * speed / 340,
        voltage=28.15,
    )
    assert line.current == pytest.approx(3.32, abs=0.03)
    assert line.power == pytest.approx(93.4, abs=0.5)
    assert line.speed == pytest.approx(speed, abs=0.5)
    into = 0.94 * line.power
    assert into == pytest.approx(87.8, abs=0.6)
    assert into / 13.6 == pytest.approx(6.46, abs=0.05)
    assert 24 * into / 1000 == pytest.approx(2.11, abs=0.02)
    assert into / 203.2 == pytest.approx(0.432, abs=0.003)


def test_that_the_published_runaway_stands_as_high() -> None:
    """3.0 m of head, 398 rpm, twice that: 79.5 V."""
    found = runaway(rated_speed=397.5, factor=2.0, gross_head=3.0, net_head=3.0, volts_per_speed=0.1)
    assert found.voltage == pytest.approx(79.5, abs=0.1)


@pytest.mark.parametrize(("resistance", "volts", "latches"), [(6.8, 36.7, False), (8.2, 40.1, True)])
def test_that_wheel_and_clamp_settle_near_the_published_voltage(
    resistance: float, volts: float, latches: bool
) -> None:
    """36.7 V, 426 rpm, 198 W on 6.8 ohm; 40.1 V on 8.2 ohm, which never lets go below 40 V. The wheel's power
    at 3.0 m is not printed: from flow, head and 0.75 here, which is why 2 % are allowed."""
    flow = 1.17 * math.pi / 4 * 0.1176**2
    jet = flow / AREA
    best = wheel_speed(jet_velocity=jet, wheel_diameter=150, speed=0).best_speed
    shaft = 0.75 * 1000 * flow * jet**2 / 2
    line = {
        "wheel_power": shaft,
        "runaway_speed": 2 * best,
        "volts_per_speed": 0.1,
        "winding": 0.8,
        "drop": 1.6,
    }
    ends = turbine_line(**line, voltage=0.0)
    settled = ends.open_voltage * resistance / (resistance + ends.resistance)
    at = turbine_line(**line, voltage=settled)
    assert settled == pytest.approx(volts, rel=0.02)
    assert at.power == pytest.approx(settled**2 / resistance)
    if resistance == 6.8:
        assert at.speed == pytest.approx(426, rel=0.02)
        assert at.power == pytest.approx(198, rel=0.02)
    bound = source_limiter(source_power=shaft, turn_on=48, turn_off=40, resistance=resistance)
    assert bound.held_voltage >= settled  # the bound by energy is the safe side of what settles
    assert bound.latches or not latches


# The penstock, against the fluids library and by search


PIPES = {
    "gross_head": st.floats(2, 300),
    "diameter": st.floats(30, 400),
    "length": st.floats(5, 2000),
    "roughness": st.floats(0.0015, 0.5),
    "fittings": st.floats(0, 20),
}


@settings(max_examples=60)
@given(st.fixed_dictionaries(PIPES), st.floats(0.05, 0.99))
def test_that_the_net_head_is_that_of_the_fluids_library(pipe: dict[str, float], share: float) -> None:
    flow = share * pipe_best(**pipe).flow
    found = net_head(**pipe, flow=flow)
    bore, velocity = pipe["diameter"] / 1000, flow / (math.pi / 4 * (pipe["diameter"] / 1000) ** 2)
    reynolds = fluids.Reynolds(V=velocity, D=bore, rho=1000.0, mu=1.31e-3)
    if reynolds < 4000:
        return
    factor = fluids.friction_factor(reynolds, eD=pipe["roughness"] / pipe["diameter"], Method="Colebrook")
    losses = fluids.K_from_f(factor, pipe["length"], bore) + pipe["fittings"]
    assert found.net_head == pytest.approx(
        pipe["gross_head"] - fluids.head_from_K(losses, velocity, g=GRAVITY)
    )
    assert found.pipe_loss + found.fitting_loss + found.net_head == pytest.approx(pipe["gross_head"])


@settings(max_examples=40)
@given(st.fixed_dictionaries(PIPES), st.floats(3, 30), st.integers(1, 6))
def test_that_pipe_and_jets_agree_on_the_flow(pipe: dict[str, float], jet: float, jets: int) -> None:
    found = nozzle_flow(**pipe, nozzle_diameter=jet, nozzles=jets, coefficient=0.97)
    area = jets * math.pi / 4 * (jet / 1000) ** 2

    def spare(flow: float) -> float:
        return net_head(**pipe, flow=flow).net_head - (flow / (0.97 * area)) ** 2 / (2 * GRAVITY)

    most = pipe_best(**pipe).flow
    if spare(most) < 0:
        assert found.flow == pytest.approx(brentq(spare, 1e-12, most), rel=1e-6)
    assert found.flow == pytest.approx(area * found.jet_velocity)
    assert found.net_head < pipe["gross_head"]


@settings(max_examples=25)
@given(st.fixed_dictionaries(PIPES))
def test_that_no_other_flow_gets_more_out_of_a_pipe(pipe: dict[str, float]) -> None:
    best = pipe_best(**pipe)
    peak = minimize_scalar(
        lambda flow: -flow * (pipe["gross_head"] - pipe_loss(flow=flow, **without(pipe)).head_loss),
        bounds=(0, 2 * best.flow),
        method="bounded",
        options={"xatol": 1e-9 * best.flow},
    )
    turbulent = min(best.flow, peak.x) / (math.pi / 4 * pipe["diameter"] / 1000) * 1000 / 1.31e-3 > 8000
    if not turbulent:  # friction jumps where the flow may be either
        return
    assert best.power == pytest.approx(-1000 * GRAVITY * peak.fun, rel=1e-6)
    rough = hydro_best_flow(gross_head=1.0).friction_loss  # a third, where friction goes as the square
    smooth = hydro_best_flow(gross_head=1.0, exponent=1.7).friction_loss
    assert rough - 1e-6 <= best.share <= smooth


def without(pipe: dict[str, float]) -> dict[str, float]:
    return {name: value for name, value in pipe.items() if name != "gross_head"}


@settings(max_examples=40)
@given(st.fixed_dictionaries(PIPES), st.floats(1.01, 3))
def test_that_more_friction_never_gives_more_power(pipe: dict[str, float], more: float) -> None:
    worse = [
        {**pipe, "length": pipe["length"] * more},
        {**pipe, "fittings": pipe["fittings"] + more},
        {**pipe, "roughness": pipe["roughness"] * more},
        {**pipe, "diameter": pipe["diameter"] / more},
    ]
    best = pipe_best(**pipe).power
    for other in worse:
        if other["roughness"] / other["diameter"] < 0.05:
            assert pipe_best(**other).power <= best * (1 + 1e-9)


def test_that_a_flow_that_eats_the_head_is_refused() -> None:
    with pytest.raises(CannotCalculate, match="flow"):
        net_head(gross_head=1.0, flow=0.05, diameter=80, length=200, roughness=0.01)


# Wheel and alternator

LINES = {
    "wheel_power": st.floats(50, 5000),
    "runaway_speed": st.floats(500, 4000),
    "volts_per_speed": st.floats(0.02, 0.3),
    "winding": st.floats(0, 5),
    "cable": st.floats(0, 2),
}


def steady(line: dict[str, float], voltage: float) -> float:
    """The current at a voltage by brute force: the speed at which wheel and alternator agree on the power."""
    resistance = line["winding"] + line["cable"]

    def spare(speed: float) -> float:
        share = speed / line["runaway_speed"]
        wheel = 4 * line["wheel_power"] * share * (1 - share)
        emf = line["volts_per_speed"] * speed
        current = max((emf - voltage) / resistance, 0.0)
        return wheel - emf * current

    low = voltage / line["volts_per_speed"]
    speed = brentq(spare, low * (1 + 1e-12) + 1e-9, line["runaway_speed"])
    return (line["volts_per_speed"] * speed - voltage) / resistance


@settings(max_examples=60)
@given(st.fixed_dictionaries({**LINES, "winding": st.floats(0.2, 5)}), st.floats(0.05, 0.95))
def test_that_the_straight_line_is_where_wheel_and_alternator_agree(
    line: dict[str, float], share: float
) -> None:
    voltage = share * line["volts_per_speed"] * line["runaway_speed"]
    found = turbine_line(**line, voltage=voltage)
    assert found.current == pytest.approx(steady(line, voltage), rel=1e-6)
    wheel = wheel_power(
        flow=1.0,
        net_head=line["wheel_power"] / (1000 * GRAVITY),
        best_efficiency=1.0,
        speed=found.speed,
        runaway_speed=line["runaway_speed"],
    ).power
    heat = found.current**2 * (line["winding"] + line["cable"])
    assert wheel == pytest.approx(found.power + heat, rel=1e-9)


@settings(max_examples=60)
@given(st.fixed_dictionaries(LINES), st.floats(0, 1.2))
def test_that_tracking_never_gives_less_than_any_fixed_voltage(line: dict[str, float], share: float) -> None:
    voltage = share * line["volts_per_speed"] * line["runaway_speed"]
    found = turbine_line(**line, voltage=voltage)
    assert found.power <= found.best_power * (1 + 1e-12)
    assert found.best_power <= line["wheel_power"] * (1 + 1e-12)
    more = turbine_line(**{**line, "cable": line["cable"] + 0.5}, voltage=voltage)
    assert more.best_power < found.best_power


@settings(max_examples=60)
@given(
    rated=st.floats(100, 3000),
    factor=st.floats(1, 4),
    gross=st.floats(1, 500),
    share=st.floats(0.3, 1),
    best=st.floats(0, 4000),
)
def test_that_runaway_is_never_below_the_rated_speed(
    rated: float, factor: float, gross: float, share: float, best: float
) -> None:
    found = runaway(
        rated_speed=rated, factor=factor, gross_head=gross, net_head=share * gross, best_speed=best
    )
    assert found.speed >= factor * rated >= rated
    assert found.voltage is None
    with pytest.raises(CannotCalculate, match="net_head"):
        runaway(rated_speed=rated, factor=factor, gross_head=gross, net_head=1.01 * gross)


def test_that_volts_may_be_a_whole_axis() -> None:
    line: dict[str, Any] = {"wheel_power": 500, "runaway_speed": 1500, "volts_per_speed": 0.1, "winding": 1.0}
    volts = np.linspace(0, 200, 401)
    whole: Any = turbine_line(**line, voltage=volts)
    assert whole.current[0] == whole.stalled_current
    assert (whole.current[volts >= whole.open_voltage] == 0).all()
    assert whole.power.max() == pytest.approx(whole.best_power, rel=1e-4)
    assert whole.speed[-1] == pytest.approx(1500)


# A turbine at its site


def test_that_the_runaway_voltage_stands_over_any_voltage_that_it_works_at() -> None:
    result = brook()
    assert result.free_voltage is not None and result.line is not None
    assert result.line.open_voltage < result.free_voltage


@pytest.mark.parametrize(
    "worse",
    [{"pipe_roughness": "1 mm"}, {"fittings": "20"}, {"pipe_length": "900 m"}, {"pipe_diameter": "70 mm"}],
)
def test_that_more_friction_at_a_site_never_gives_a_larger_year(worse: dict[str, str]) -> None:
    better, poorer = brook(), brook(worse)
    assert better.year is not None and poorer.year is not None
    assert poorer.year < better.year


def test_that_a_year_tracked_is_more_than_one_straight_on_the_battery() -> None:
    tracked, tied = brook(), brook({"controllers.h.kind": "direct"})
    assert tracked.year is not None and tied.year is not None and tied.year_direct == tied.year
    assert tracked.year_direct == pytest.approx(tied.year)
    assert tracked.gain == pytest.approx(tracked.year / tied.year)
    assert tracked.gain is not None and tracked.gain > 1.5
