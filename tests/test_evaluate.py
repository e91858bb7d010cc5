"""The verdict as a whole: every design has one, the worst stands first, and a fault of ours is a finding."""

from __future__ import annotations

import dataclasses
import math
import subprocess
import sys

import pytest
from a_design import designs
from a_wired_site import SECOND_ARRAY, judged, wired
from hypothesis import given
from hypothesis import strategies as st
from test_sections_robust import numbers, odd

import engine
from engine import evaluation as module
from engine.design import Design
from engine.evaluation import Evaluation, evaluate
from engine.finding import Status
from engine.rules import RULES
from engine.sources import HOWS


@st.composite
def odd_wirings(draw: st.DrawFn) -> Design:
    """The sound wired site gone wrong in several fields at once, contradictions included."""
    sound = wired({"rules": draw(st.sampled_from(("nec-2017", "nec-2023", "iec")))}, SECOND_ARRAY)
    tables = ("modules", "arrays", "controllers", "circuits", "devices")
    return dataclasses.replace(
        sound,
        site=draw(odd(sound.site)),
        bank=draw(odd(sound.bank)),
        **{table: tuple(draw(odd(item)) for item in getattr(sound, table)) for table in tables},
    )


@given(design=odd_wirings() | designs())
def test_that_every_design_has_one_verdict_and_each_rule_speaks_once_at_a_place(design: Design) -> None:
    evaluation = evaluate(design)
    assert not evaluation.program_failed, evaluation.findings[0].title
    for finding in evaluation.findings:
        for value in (finding.value, finding.limit, finding.margin):
            assert not isinstance(value, float) or math.isfinite(value)
        assert finding.title and finding.source.how in HOWS
        assert finding.status is not Status.UNKNOWN or finding.remedy
    for circuit in evaluation.circuits.values():
        assert all(math.isfinite(value) for value in numbers(circuit))
    places = [(finding.rule, finding.where) for finding in evaluation.findings]
    assert len(places) == len(set(places))
    assert [finding.title for finding in evaluate(design).findings] == [f.title for f in evaluation.findings]


def test_that_the_worst_stands_first() -> None:
    evaluation = judged({"devices.run-breaker.supply": "ac", "site.record_low": ""})
    statuses = [finding.status for finding in evaluation.findings]
    assert statuses == sorted(statuses)
    assert statuses[0] is Status.FAILS and statuses[-1] is Status.MEETS


def test_that_a_piece_wears_the_worst_of_itself_and_its_circuits() -> None:
    evaluation = judged({"devices.battery-breaker.supply": "ac"})
    assert evaluation.worst("controllers.c") is evaluation.worst("circuits.c-battery") is Status.FAILS
    assert evaluation.worst("arrays.south") is Status.MEETS
    assert evaluation.worst("wind.mast") is None
    assert {finding.where for finding in evaluation.at("arrays.south")} == {
        "arrays.south",
        "circuits.south-string",
        "circuits.south-run",
    }


def test_that_the_counts_add_up() -> None:
    evaluation = judged({"site.record_low": ""})
    counts = evaluation.counts()
    assert set(counts) == set(Status) and sum(counts.values()) == len(evaluation.findings)
    assert counts[Status.UNKNOWN] > 0


def test_that_an_empty_site_is_unknown_because_nothing_can_be_judged() -> None:
    evaluation = evaluate(Design())
    found = [(finding.rule, finding.status) for finding in evaluation.findings]
    assert (found, dict(evaluation.circuits)) == ([("source-entered", Status.UNKNOWN)], {})


@pytest.mark.parametrize("rules", ["nec-2017", "nec-2020", "nec-2023", "iec"])
def test_that_every_family_answers_the_same_questions(rules: str) -> None:
    assert {rule.__name__ for rule in RULES["nec"]} == {rule.__name__ for rule in RULES["iec"]}
    evaluation = judged({"rules": rules})
    assert evaluation.family.name == rules
    clauses = {f.source.publisher for f in evaluation.findings if f.source.how != "common practice"}
    code = "National Fire Protection Association"
    assert ("IEC" if rules == "iec" else code) in clauses
    assert rules != "iec" or code not in clauses  # batteries are judged by IEC 62485-2 under every family


# A fault of the program


@pytest.mark.parametrize("section", ["source_section.arrays", "window_section.controllers"])
def test_that_a_section_that_raises_leaves_its_pieces_unjudged(
    section: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("by nothing")

    owner, _, name = section.partition(".")
    monkeypatch.setattr(getattr(module, owner), name, broken)
    evaluation = judged()
    assert evaluation.program_failed
    assert evaluation.worst("arrays.south") is evaluation.worst("controllers.c") is Status.UNKNOWN
    failed = [finding for finding in evaluation.findings if finding.rule == "program-failed"]
    assert failed and "ZeroDivisionError" in failed[0].title


def test_that_a_rule_that_raises_silences_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: object) -> None:
        raise KeyError("nothing")

    sound = judged()
    monkeypatch.setitem(module.RULES, "nec", (broken, *RULES["nec"]))
    evaluation = judged()
    assert evaluation.program_failed
    assert len(evaluation.findings) == len(sound.findings) + 1


# The front door


def test_that_the_front_door_opens_whatever_was_imported_before() -> None:
    code = "import engine.evaluation, engine.writer; from engine import dump, evaluate, load; "
    code += "print(*map(callable, (dump, evaluate, load)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["True"] * 3
    assert engine.evaluate is evaluate
    with pytest.raises(AttributeError):
        _ = engine.nothing


def test_that_an_evaluation_is_frozen() -> None:
    evaluation: Evaluation = judged()
    with pytest.raises(dataclasses.FrozenInstanceError):
        evaluation.findings = ()  # type: ignore[misc]
