"""The flip point: just inside it the verdict holds, just outside it does not."""

from __future__ import annotations

import pytest

from app.places import demo_sites
from engine import evaluate, load
from engine.design import Design
from engine.edit import set_fields
from engine.finding import Finding, Status
from engine.flip import flip


def _cabin() -> Design:
    return load(demo_sites() / "lake_cabin.toml")


def _finding(design: Design, rule: str, where: str) -> Finding:
    return next(f for f in evaluate(design).findings if (f.rule, f.where) == (rule, where))


CASES = (
    ("voltage-drop", "circuits.south-run", 0.1),
    ("conductor", "circuits.south-run", 0.1),
    ("controller-short-circuit", "controllers.sun-charger", 0.01),
    ("device-current", "circuits.sun-charger-battery", 0.1),
    ("device-voltage", "circuits.mast-run", 0.1),
    ("device-current", "circuits.mast-run", 0.1),
    ("insulation-voltage", "circuits.mast-alternator", 0.1),
    ("surge-voltage", "circuits.mast-run", 0.1),
    ("turbine-standoff", "wind.mast", 0.1),
)


@pytest.mark.parametrize(("rule", "where", "step"), CASES)
def test_that_the_verdict_holds_just_inside_the_flip_point_and_turns_just_outside(
    rule: str, where: str, step: float
) -> None:
    design = _cabin()
    evaluation = evaluate(design)
    found = flip(evaluation, _finding(design, rule, where))
    assert found is not None
    held = evaluation.circuits.get(where.partition(".")[2])
    pinned = {f"{where}.size": held.conductor.text} if held is not None and held.conductor else {}
    inside = set_fields(design, pinned | {found.path: f"{found.value - step:.9f} {found.unit}"})
    outside = set_fields(design, pinned | {found.path: f"{found.value + step:.9f} {found.unit}"})
    assert _finding(inside, rule, where).status is Status.MEETS
    assert _finding(outside, rule, where).status is not Status.MEETS


def test_that_a_colder_record_turns_the_standoff_verdict_and_the_flip_says_right_down_to() -> None:
    owner = "controllers.sun-charger"
    design = set_fields(_cabin(), {f"{owner}.operating_limit": "119 V", f"{owner}.standoff_limit": "120 V"})
    found = flip(evaluate(design), _finding(design, "standoff-limit", "arrays.south"))
    assert found is not None
    assert found.path == "site.record_low"
    assert found.text.startswith("right down to")


def test_that_an_unknown_finding_has_no_flip_point() -> None:
    design = set_fields(_cabin(), {"site.record_low": ""})
    finding = _finding(design, "standoff-limit", "arrays.south")
    assert finding.status is Status.UNKNOWN
    assert flip(evaluate(design), finding) is None
