"""Why a circuit is as it is: what the panel says of a chosen, fixed or unknown conductor, and its links."""

from __future__ import annotations

import dataclasses
import re

import pytest
from a_wired_site import judged
from PySide6.QtCore import QUrl
from pytestqt.qtbot import QtBot

from app.look import LIGHT
from app.places import demo_sites
from app.views.reasons import Reasons, ReasonsView, as_html
from engine import evaluate, load, units
from engine.evaluation import Evaluation
from engine.money.sizes import with_size

DEMOS = {path.stem: evaluate(load(path)) for path in sorted(demo_sites().glob("*.toml"))}
EVERY = [(name, id) for name, evaluation in DEMOS.items() for id in evaluation.circuits]


def reasons(evaluation: Evaluation, id: str) -> Reasons:
    circuit = evaluation.circuits[id]
    smaller = circuit.smaller
    return Reasons(circuit, () if smaller is None else with_size(evaluation, id, smaller).checks)


def words(html: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html)).strip()


def told(evaluation: Evaluation, id: str, opened: str = "") -> str:
    return words(as_html(reasons(evaluation, id), "metric", LIGHT, opened))


@pytest.mark.parametrize(("name", "id"), EVERY)
def test_that_every_check_of_the_chosen_size_is_told_with_both_numbers(name: str, id: str) -> None:
    text, circuit = told(DEMOS[name], id), DEMOS[name].circuits[id]
    assert circuit.checks
    for check in circuit.checks:
        asked = check.capacity if check.name == "drop" else check.need
        assert units.show(asked, check.unit) in text
        assert units.show_apart(check.capacity, check.need, check.unit)[check.name == "drop"] in text


@pytest.mark.parametrize(("name", "id"), EVERY)
def test_that_the_next_size_down_stands_beside_it_with_what_it_fails(name: str, id: str) -> None:
    circuit, text = DEMOS[name].circuits[id], told(DEMOS[name], id)
    if circuit.smaller is not None and circuit.smaller_fails:
        assert f"because {circuit.smaller.text} fails by" in text
        assert "▲" in text


def test_that_a_fixed_conductor_that_fails_says_by_what_and_what_would_do() -> None:
    evaluation = judged({"circuits.south-run.size": "12 AWG"})
    text = told(evaluation, "south-run")
    least = evaluation.circuits["south-run"].least
    assert least is not None
    assert "12 AWG is fixed; it fails by" in text and f"The least by the rules is {least.text}." in text


def test_that_an_unknown_conductor_says_what_to_enter() -> None:
    evaluation = judged({"circuits.south-run.ambient": "", "site.design_high": ""})
    assert "No conductor yet. Enter: Design high" in told(evaluation, "south-run")


def test_that_a_disconnect_is_not_called_needless_where_no_overcurrent_device_is_needed() -> None:
    (circuit, *_) = [(name, id) for name, id in EVERY if not DEMOS[name].circuits[id].device_needed]
    assert "a disconnect is another question" in told(DEMOS[circuit[0]], circuit[1])


def test_that_each_assumption_is_told_with_its_reason_and_leads_to_its_field(qtbot: QtBot) -> None:
    evaluation = DEMOS["tropical_clinic"]
    view = ReasonsView()
    qtbot.addWidget(view)
    asked: list[str] = []
    view.field_asked.connect(asked.append)
    view.show_reasons(reasons(evaluation, "roof-run"), "metric")
    assumed = evaluation.circuits["roof-run"].assumed
    for item in assumed:
        assert f"{item.title} {item.text}, {item.why}" in view.toPlainText()
        view.anchorClicked.emit(QUrl(f"field:{item.path}"))
    assert assumed and asked == [item.path for item in assumed]


def test_that_a_number_opens_into_its_worked_step_and_closes_again(qtbot: QtBot) -> None:
    evaluation = DEMOS["lake_cabin"]
    view = ReasonsView()
    qtbot.addWidget(view)
    view.show_reasons(reasons(evaluation, "south-run"), "us")
    step = evaluation.circuits["south-run"].steps["drop"]
    source = f"source: {step.sheet.source}"
    assert source not in view.toPlainText()
    view.anchorClicked.emit(QUrl("step:drop"))
    assert source in view.toPlainText()
    opened: list[tuple[str, object]] = []
    view.worksheet_asked.connect(lambda id, inputs: opened.append((id, inputs)))
    view.anchorClicked.emit(QUrl("worksheet:drop"))
    assert opened == [(step.sheet.id, dict(step.inputs))]
    view.anchorClicked.emit(QUrl("step:drop"))
    assert source not in view.toPlainText()


def test_that_an_opened_step_closes_when_another_circuit_is_looked_at(qtbot: QtBot) -> None:
    evaluation = DEMOS["lake_cabin"]
    view = ReasonsView()
    qtbot.addWidget(view)
    view.show_reasons(reasons(evaluation, "south-run"), "us")
    view.anchorClicked.emit(QUrl("step:drop"))
    view.show_reasons(reasons(evaluation, "south-string"), "us")
    assert "source:" not in view.toPlainText()


def test_that_where_an_answer_turns_is_asked_for_and_then_told(qtbot: QtBot) -> None:
    evaluation = DEMOS["lake_cabin"]
    finding = next(
        f for f in evaluation.findings if (f.rule, f.where) == ("voltage-drop", "circuits.south-run")
    )
    given = dataclasses.replace(reasons(evaluation, "south-run"), findings=(finding,))
    view = ReasonsView()
    qtbot.addWidget(view)
    asked: list[str] = []
    view.turn_asked.connect(asked.append)
    view.show_reasons(given, "us")
    view.anchorClicked.emit(QUrl("turn:voltage-drop"))
    assert asked == ["voltage-drop"]
    view.show_reasons(dataclasses.replace(given, turns={"voltage-drop": "right up to 92 ft"}), "us")
    assert "Voltage drop: right up to 92 ft" in view.toPlainText()
