"""An alternator wound for other volts: laws of induction and heat, and what a controller allows."""

from __future__ import annotations

import dataclasses

import pytest
from a_turbine_site import turbines_judged
from a_wired_site import found
from hypothesis import given
from hypothesis import strategies as st

from app.places import demo_sites
from engine import evaluate, load
from engine.evaluation import Evaluation
from engine.finding import Status
from engine.money.sizes import losses, run_of
from engine.money.winding import KINDS, winding, wound
from engine.sizes import parse_size

DEMOS = {path.stem: evaluate(load(path)) for path in sorted(demo_sites().glob("*.toml"))}
EVERY = [(name, id) for name, evaluation in DEMOS.items() for id in evaluation.circuits]
WOUND = [(name, id) for name, id in EVERY if DEMOS[name].circuits[id].kind in KINDS]
PRICES = """
[wires.thin]
size = "14 AWG"
price = 0.55

[wires.a]
size = "10 AWG"
price = 1.3

[wires.b]
size = "6 AWG"
price = 3.1

[wires.c]
size = "2 AWG"
price = 7.2
"""


def test_that_the_circuits_of_a_turbine_and_no_others_have_a_winding_to_choose() -> None:
    assert WOUND
    for name, id in EVERY:
        assert (winding(DEMOS[name], id) is not None) is ((name, id) in WOUND)


@given(turns=st.floats(0.1, 10))
def test_that_power_heat_and_the_limiters_work_stay_with_other_turns(turns: float) -> None:
    """The induction law: volts with the turns; the same copper and field, so the same watts."""
    for evaluation in DEMOS.values():
        for one in (*evaluation.design.wind, *evaluation.design.hydro):
            other = wound(one, turns)
            assert other.rated_power == one.rated_power and one.rated_current and other.rated_current
            assert one.resistance and other.resistance and one.open_voltage and other.open_voltage
            heat = [each.rated_current**2 * each.resistance for each in (one, other)]
            assert heat[1] == pytest.approx(heat[0])
            assert other.open_voltage * other.rated_current == pytest.approx(
                one.open_voltage * one.rated_current
            )
            assert one.limiter_on and other.limiter_on and one.limiter_resistance and other.limiter_resistance
            taken = [each.limiter_on**2 / each.limiter_resistance for each in (one, other)]
            assert taken[1] == pytest.approx(taken[0])


@pytest.mark.parametrize(("name", "id"), WOUND)
def test_that_copper_loses_with_the_square_of_the_turns(name: str, id: str) -> None:
    evaluation = DEMOS[name]
    circuit = evaluation.circuits[id]
    run, piece = run_of(evaluation.design, circuit), circuit.piece.split(".")
    turbine = evaluation.design.find(*piece)
    power = getattr(turbine, "rated_power")  # noqa: B009
    result = winding(evaluation, id)
    assert result is not None and run is not None
    for level in result.levels:
        for point in level.points:
            copper, _ = losses(evaluation.family, run, point.size)
            thinned = copper / level.count**2
            lost = thinned + (power - thinned) * (1 - level.efficiency)
            assert point.loss == pytest.approx(lost)


@pytest.mark.parametrize(("name", "id"), WOUND)
def test_that_a_winding_is_allowed_where_the_rules_find_nothing_against_it(name: str, id: str) -> None:
    evaluation, piece = DEMOS[name], DEMOS[name].circuits[id].piece
    table, _, key = piece.partition(".")
    turbine = evaluation.design.find(table, key)
    result = winding(evaluation, id)
    assert result is not None and len(result.levels) > 1
    for level in result.levels:
        held = (wound(turbine, level.count),)  # type: ignore[arg-type]
        other = evaluate(dataclasses.replace(evaluation.design, **{table: held}))  # type: ignore[arg-type]
        rules = ("turbine-standoff", "turbine-operating", "rectifier-voltage")
        against = [
            each.status is Status.FAILS
            for each in other.findings
            if each.where == piece and each.rule in rules
        ]
        assert any(against) is (not level.allowed)
        assert other.circuits[id].voltage == pytest.approx(level.survives)


@pytest.mark.parametrize(("name", "id"), WOUND)
def test_that_no_level_is_thinner_than_the_rules_allow(name: str, id: str) -> None:
    evaluation, result = DEMOS[name], winding(DEMOS[name], id)
    table, _, key = evaluation.circuits[id].piece.partition(".")
    turbine = evaluation.design.find(table, key)
    assert result is not None
    for level in result.levels:
        held = (wound(turbine, level.count),)  # type: ignore[arg-type]
        other = evaluate(dataclasses.replace(evaluation.design, **{table: held}))  # type: ignore[arg-type]
        least = other.circuits[id].least
        assert least is not None and level.points[0].size >= least


@pytest.mark.parametrize(("name", "id"), WOUND)
def test_that_the_best_is_the_cheapest_that_loses_no_more_than_now(name: str, id: str) -> None:
    result = winding(DEMOS[name], id)
    assert result is not None and result.priced and result.best is not None and result.now is not None
    points = {(level.count, point.size): point for level in result.levels for point in level.points}
    now, best = points[result.now], points[result.best]
    assert best.loss <= now.loss * (1 + 1e-9)
    allowed = {level.count for level in result.levels if level.allowed}
    assert result.best[0] in allowed
    for (count, _), point in points.items():
        if count in allowed and point.loss <= now.loss:
            assert (point.price or 0) >= (best.price or 0)


@pytest.mark.parametrize(("name", "id"), WOUND)
def test_that_three_wires_of_ac_lose_what_two_of_dc_do_with_half_as_much_metal_again(
    name: str, id: str
) -> None:
    """Line current of a three-phase bridge: sqrt(2/3) = 0.816 of the dc current (Mohan, Undeland and Robbins,
    Power Electronics, Wiley, 2003, from memory): 3 x 0.816^2 = 2."""
    result = winding(DEMOS[name], id)
    assert result is not None
    dc, ac = result.carried
    assert (dc.conductors, ac.conductors) == (2, 3)
    assert ac.current / dc.current == pytest.approx((2 / 3) ** 0.5, rel=1e-3)
    assert ac.loss == pytest.approx(dc.loss, rel=1e-3)
    assert ac.mass == pytest.approx(1.5 * dc.mass)


def long_run(changes: dict[str, str]) -> Evaluation:
    """The creek of the tests, its run 400 m long."""
    return turbines_judged({"circuits.creek-run.length": "400 m", **changes}, PRICES)


def test_that_a_thinner_wire_is_told_where_the_controller_has_room_for_more_volts() -> None:
    room = {
        "controllers.h.standoff_limit": "1000 V",
        "controllers.h.operating_limit": "950 V",
        "circuits.creek-run.size": "10 AWG",
    }
    result = winding(long_run(room), "creek-run")
    assert result is not None and result.now is not None and result.best is not None
    assert result.best[0] == 2 and result.best[1] < result.now[1]


def test_that_more_amps_than_the_controller_takes_are_not_allowed() -> None:
    result = winding(long_run({"controllers.h.input_current_limit": "7 A"}), "creek-run")
    assert result is not None
    half = next(level for level in result.levels if level.count == 0.5)
    assert half.takes == pytest.approx(12) and not half.allowed
    assert next(level for level in result.levels if level.count == 1).takes is None


@pytest.mark.parametrize("limit", ["standoff_limit", "operating_limit"])
def test_that_a_limit_that_is_not_known_allows_nothing(limit: str) -> None:
    result = winding(long_run({f"controllers.h.{limit}": ""}), "creek-run")
    assert result is not None and (limit == "operating_limit" or not any(x.allowed for x in result.levels))


def test_that_a_direct_controller_leaves_no_winding_to_choose() -> None:
    result = winding(long_run({"controllers.h.kind": "direct"}), "creek-run")
    assert result is not None and result.levels == () and "track" in result.why


@pytest.mark.parametrize("path", ["hydro.creek.controller", "hydro.creek.rated_current", "bank.voltage"])
def test_that_what_is_missing_is_asked_for(path: str) -> None:
    result = winding(long_run({path: ""}), "creek-run")
    assert result is not None and result.levels == () and path in {item.path for item in result.missing}


def test_that_without_prices_metal_is_held_against_loss() -> None:
    result = winding(turbines_judged({"circuits.creek-run.length": "400 m"}), "creek-run")
    assert result is not None and not result.priced and result.best is not None
    assert {item.path for item in result.missing} == {"wires"}
    assert parse_size("14 AWG") <= result.best[1]


def test_that_a_winding_asks_for_no_finding_of_its_own() -> None:
    evaluation = long_run({})
    assert found(evaluation, "turbine-standoff", "hydro.creek").status is Status.MEETS
