"""The ladder of one circuit: what can stand on it against everything on it that has to stand that."""

from __future__ import annotations

import pytest
from a_wired_site import judged

from app.places import demo_sites
from engine import evaluate, load
from engine.evaluation import Evaluation
from engine.sections.circuit_ladder import circuit_lanes
from engine.sections.results import Lane

DEMOS = {path.stem: evaluate(load(path)) for path in sorted(demo_sites().glob("*.toml"))}


def lanes(evaluation: Evaluation, id: str) -> dict[str, Lane]:
    parts = (evaluation.design, evaluation.arrays, evaluation.controllers, evaluation.circuits)
    return {lane.title: lane for lane in circuit_lanes(*parts, id, {}, "metric")}


@pytest.mark.parametrize("name", DEMOS)
def test_that_every_circuit_shows_its_device_and_insulation_and_nothing_fails_in_a_demo(name: str) -> None:
    evaluation = DEMOS[name]
    for circuit in evaluation.circuits.values():
        found = lanes(evaluation, circuit.id)
        assert list(found)[-1] == "Conductor insulation"
        held = evaluation.design.find("devices", evaluation.design.circuit(circuit.id).device)
        assert held is None or getattr(held, "label") in found  # noqa: B009
        assert not any(mark.status == "fails" for lane in found.values() for mark in lane.marks)


def test_that_a_breaker_below_the_cold_voltage_fails_on_its_lane() -> None:
    for rating, status in (("150 V", "meets"), ("100 V", "fails")):
        evaluation = judged({"devices.run-breaker.dc_voltage": rating})
        (mark,) = lanes(evaluation, "south-run")["run-breaker"].marks
        assert (mark.at, mark.status) == (float(rating.removesuffix(" V")), status)


def test_that_insulation_is_held_against_the_circuit_s_own_voltage() -> None:
    evaluation = judged({"circuits.south-run.insulation_voltage": "100 V"})
    (mark,) = lanes(evaluation, "south-run")["Conductor insulation"].marks
    assert mark.status == "fails" and mark.text.startswith("made for 100 V")
    (mark,) = lanes(evaluation, "c-battery")["Conductor insulation"].marks
    assert mark.status == "meets" and mark.text.startswith("taken as 600 V")


def test_that_a_rating_that_is_not_entered_is_asked_for() -> None:
    evaluation = judged({"devices.run-breaker.dc_voltage": ""})
    lane = lanes(evaluation, "south-run")["run-breaker"]
    assert lane.marks == () and lane.empty == "Enter: DC voltage rating"


def test_that_an_ac_circuit_is_held_against_ac_ratings() -> None:
    evaluation = DEMOS["lake_cabin"]
    for circuit in evaluation.circuits.values():
        held = evaluation.design.find("devices", evaluation.design.circuit(circuit.id).device)
        rating = getattr(held, f"{circuit.system}_voltage", None)
        if rating is not None:
            (mark,) = lanes(evaluation, circuit.id)[getattr(held, "label")].marks  # noqa: B009
            assert mark.at == rating and circuit.system.upper() in mark.text


def test_that_a_turbine_s_run_stands_against_what_its_controller_survives() -> None:
    evaluation = DEMOS["mountain_farm"]
    found = lanes(evaluation, "creek-run")
    paths = [lane.path for lane in found.values()]
    assert "controllers.creek-charger" in paths
    (span,) = found["On this circuit"].spans
    assert span.high == evaluation.circuits["creek-run"].voltage


def test_that_a_voltage_that_is_not_known_says_what_to_enter() -> None:
    evaluation = judged({"bank.highest_voltage": ""})
    assert "Highest charging voltage" in lanes(evaluation, "c-battery")["On this circuit"].empty


def test_that_an_unknown_circuit_has_no_lanes() -> None:
    assert lanes(DEMOS["lake_cabin"], "gone-run") == {}
