"""What a rule found is kept exactly as long as everything that it read stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pytest
from a_wired_site import SECOND_ARRAY, wired

from app.bench_site import large_site
from engine import evaluate
from engine import evaluation as module
from engine.design import Bank, Design
from engine.edit import set_fields
from engine.finding import Finding
from engine.rules import watching
from engine.rules.judging import Case, Rule
from engine.sources import COMMON_PRACTICE

EDITS = (
    {"site.design_low": "-19 degC"},
    {"arrays.south.modules": "3"},
    {"circuits.south-run.length": "31 m"},
    {"bank.highest_voltage": "58 V"},
    {"devices.run-breaker.current": "70 A"},
    {"controllers.c.current_limit": "50 A"},
    {"modules.m.voc": "44 V"},
    {"rules": "iec"},
    {"site.record_low": ""},
)


def _said(findings: tuple[Finding, ...]) -> list[tuple[object, ...]]:
    return [(f.rule, f.where, f.status, f.title, f.value, f.limit, f.remedy, f.field) for f in findings]


def test_that_what_is_kept_is_what_would_be_found_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    designs = [wired({}, SECOND_ARRAY)]
    for changes in EDITS:
        designs.append(set_fields(designs[-1], changes))
    designs += reversed(designs)
    kept = [_said(evaluate(design).findings) for design in designs]
    monkeypatch.setattr(watching, "findings", lambda rule, case: tuple(rule(case)))
    assert kept == [_said(evaluate(design).findings) for design in designs]


def _asked_again(
    rule: Rule, monkeypatch: pytest.MonkeyPatch, changes: dict[str, str], asked: list[Case]
) -> bool:
    group = evaluate(wired()).family.group
    monkeypatch.setitem(module.RULES, group, (rule,))
    design: Design = wired()
    evaluate(design)
    before = len(asked)
    evaluate(set_fields(design, changes))
    return len(asked) > before


@pytest.mark.parametrize(
    ("changes", "again"),
    [
        ({"bank.highest_voltage": "58 V"}, True),
        ({"bank.autonomy": "3 d"}, False),
        ({"arrays.south.modules": "3"}, True),
        ({"devices.run-breaker.current": "70 A"}, False),
        ({"circuits.south-run.length": "31 m"}, False),
    ],
)
def test_that_a_rule_is_asked_again_only_where_what_it_read_changed(
    changes: dict[str, str], again: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Case] = []

    def rule(case: Case) -> Iterator[Finding]:
        asked.append(case)
        _ = case.design.bank.highest_voltage, case.arrays.get("south")
        return iter(())

    assert _asked_again(rule, monkeypatch, changes, asked) is again


@pytest.mark.parametrize(
    ("changes", "again"),
    [
        ({"bank.depth": "41 %"}, True),
        ({"bank.block_mass": "31 kg"}, False),
        ({"arrays.south.tilt": "31 deg"}, False),
    ],
)
def test_that_a_part_of_the_banks_result_stands_while_it_is_equal(
    changes: dict[str, str], again: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[Case] = []

    def rule(case: Case) -> Iterator[Finding]:
        asked.append(case)
        _ = case.bank.capacity.usable
        return iter(())

    assert _asked_again(rule, monkeypatch, changes, asked) is again


def test_that_a_record_under_watch_is_as_the_record_itself_and_each_way_to_read_it_is_noted() -> None:
    read: list[tuple[str, object]] = []

    def rule(case: Case) -> Iterator[Finding]:
        bank = case.design.bank
        read.append(("equal", bank == wired().bank and wired().bank == bank))
        read.append(("hash", hash(bank) == hash(wired().bank)))
        read.append(("class", isinstance(bank, Bank) and bank.__class__ is Bank))
        read.append(("replaced", type(replace(bank, autonomy=None)) is Bank))
        read.append(("default", bank.use("beside") == wired().bank.use("beside")))
        return iter(())

    evaluation = evaluate(wired())
    case = Case(wired(), evaluation.family, {}, {}, {})
    watching.findings(rule, case)
    assert len(read) == 5 and all(answer for _, answer in read), read
    watching.findings(rule, replace(case, design=set_fields(wired(), {"bank.block_mass": "31 kg"})))
    assert len(read) == 10


def test_that_what_is_absent_counts_as_read() -> None:
    def rule(case: Case) -> Iterator[Finding]:
        there = case.design.find("arrays", "south") is not None and "south" in case.arrays
        status = module.Status.MEETS if there else module.Status.UNKNOWN
        yield Finding("there", "arrays.south", status, "", COMMON_PRACTICE)

    with_it = wired()
    found = []
    for design in (Design(), with_it, Design()):
        evaluation = evaluate(design)
        case = Case(design, evaluation.family, evaluation.arrays, evaluation.controllers, evaluation.circuits)
        found.append(watching.findings(rule, case)[0].status)
    assert found == [module.Status.UNKNOWN, module.Status.MEETS, module.Status.UNKNOWN]


def test_that_a_rule_that_raised_is_asked_again() -> None:
    asked = []

    def rule(case: Case) -> Iterator[Finding]:
        asked.append(case.design.bank)
        raise KeyError("nothing")

    evaluation = evaluate(Design())
    case = Case(Design(), evaluation.family, {}, {}, {})
    for _ in range(2):
        with pytest.raises(KeyError):
            watching.findings(rule, case)
    assert len(asked) == 2


def test_that_the_large_site_of_the_bench_is_judged_as_a_whole() -> None:
    design = large_site()
    evaluation = evaluate(design)
    assert (len(design.arrays), len(design.wind) + len(design.hydro)) == (12, 6)
    assert len(evaluation.circuits) >= 80 and not evaluation.program_failed
    assert all(evaluation.worst(f"arrays.{item.id}") is not None for item in design.arrays)
