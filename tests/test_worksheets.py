"""Every worksheet against its contract, and through the text boundary as a person would type it."""

from __future__ import annotations

import importlib
import inspect
import json
import math
import pkgutil
from typing import Any, get_type_hints

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from worksheet_contract import LINES, WORDS, example

from app.places import demo_sites
from app.views.worksheet_form import run_typed, texts_of
from engine import evaluate, load, physics
from engine.physics.worksheets import BY_ID, WORKSHEETS
from engine.problems import Problem, Problems
from engine.sources import HOWS
from engine.steps import as_json
from engine.units import KINDS
from engine.worksheet import Input, Worked, Worksheet
from engine.worksheet_text import input_text, input_unit, read, run, value_json

every_sheet = pytest.mark.parametrize("sheet", WORKSHEETS, ids=lambda sheet: sheet.id)


def problems(sheet: Worksheet, given: dict[str, Any]) -> tuple[Problem, ...]:
    with pytest.raises(Problems) as caught:
        run(sheet, given)
    return caught.value.problems


# The contract


@pytest.mark.parametrize(("id", "inputs", "outputs"), LINES, ids=lambda part: part.strip().partition(",")[0])
def test_that_a_promised_worksheet_has_its_inputs_outputs_and_defaults(
    id: str, inputs: str, outputs: str
) -> None:
    sheet = BY_ID[id.strip()]
    pairs = [part.strip().partition("=") for part in inputs.split(",")]
    named = [name for name, _, _ in pairs]
    assert set(named) <= {item.name for item in sheet.inputs}
    assert {name.strip() for name in outputs.split(",")} <= {item.name for item in sheet.outputs}
    more = [item for item in sheet.inputs if item.name not in named and item.required]
    assert not more, "an input that was not promised must be optional"
    for name, equals, default in pairs:
        if equals:
            without = {key: text for key, text in example(sheet).items() if key != name}
            assert read(sheet, {**without, name: default})[name] == read(sheet, without)[name], name


def test_that_every_word_that_was_promised_is_taken() -> None:
    for (id, name), words in WORDS.items():
        assert set(words.split()) <= set(BY_ID[id].input(name).words), id


# The description


def test_that_no_two_worksheets_share_an_id_and_subjects_stand_together() -> None:
    assert len(BY_ID) == len(WORKSHEETS)
    subjects = [sheet.subject for sheet in WORKSHEETS]
    runs = [subject for place, subject in enumerate(subjects) if place == 0 or subjects[place - 1] != subject]
    assert len(runs) == len(set(runs))


@every_sheet
def test_that_a_description_agrees_with_its_formula(sheet: Worksheet) -> None:
    parameters = inspect.signature(sheet.function).parameters
    assert set(parameters) == {item.name for item in sheet.inputs}
    for item in sheet.inputs:
        default = parameters[item.name].default
        if item.kind == "family":
            assert default is inspect.Parameter.empty
        elif item.required:
            assert default is inspect.Parameter.empty, item.name
        else:
            assert default == item.default and type(default) is type(item.default), item.name
    assert get_type_hints(sheet.function)["return"]._fields == tuple(item.name for item in sheet.outputs)


@every_sheet
def test_that_a_description_is_complete(sheet: Worksheet) -> None:
    assert sheet.title and sheet.subject and sheet.expression
    assert sheet.source.title and sheet.source.how in HOWS
    for item in (*sheet.inputs, *sheet.outputs):
        assert item.title
        assert item.unit == "" or item.unit in KINDS, f"{item.name}: {item.unit}"
    for item in sheet.inputs:
        assert item.example, item.name
        assert not item.of or sheet.input(item.of).required, item.of
    for group in sheet.one_of:
        assert all(sheet.input(name).default is None for name in group)


@every_sheet
def test_that_a_formula_uses_no_output_before_it_is_worked_out(sheet: Worksheet) -> None:
    lefts = [line.partition(" = ")[0] for line in sheet.expression]
    for place, line in enumerate(sheet.expression):
        words = "".join(c if c.isalnum() or c == "_" else " " for c in line.partition(" = ")[2]).split()
        late = {
            name for name in lefts[place:] if name in words and name not in {i.name for i in sheet.inputs}
        }
        implicit = {"pv-one-diode": {"I"}, "rotor-coefficient": {"x"}, "wire-for-circuit": {"size"}}
        assert late <= implicit.get(sheet.id, set()), f"{line}: {late} comes later, or is a word of the prose"


# The text boundary


@every_sheet
def test_that_the_example_runs(sheet: Worksheet) -> None:
    worked = run(sheet, example(sheet))
    assert set(worked.outputs) == {item.name for item in sheet.outputs}


def alike(a: Any, b: Any) -> bool:
    if isinstance(a, tuple):
        return len(a) == len(b) and all(alike(*pair) for pair in zip(a, b, strict=True))
    if isinstance(a, float) and b is not None:
        return math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-12)
    return bool(a == b)


@every_sheet
@pytest.mark.parametrize("habit", ["metric", "us"])
def test_that_inputs_typed_again_in_a_habit_give_the_same_outputs(sheet: Worksheet, habit: str) -> None:
    first = run(sheet, example(sheet))
    typed = {
        name: input_text(sheet.input(name), value, habit) for name, value in first.inputs if value is not None
    }
    second = run(sheet, typed)
    for name, value in first.outputs.items():
        assert alike(value, second.outputs[name]), f"{name}: {value} and {second.outputs[name]} by {typed}"


def wrong_texts(item: Input) -> tuple[str, ...]:
    other = "12 V" if item.unit in ("rpm", "1", "%") else "12 rpm"
    return {
        "quantity": (other, "twelve", "", "1,200.5 V", "nan", "inf"),
        "coefficient": ("5 m", "-0.3", "nan %/K"),
        "count": ("1.5", "-1", "many", "3 V"),
        "flag": ("maybe", "1"),
        "word": ("sideways", ""),
        "family": ("nec-1999", "NEC"),
        "size": ("12", "12 mm", "nothing"),
        "quantities": ("12 V", "[]", f'["{other}"]', "[", "[[[["),
        "sizes": ("12 AWG", "[]", '["12"]', '[["12 AWG"]]'),
    }[item.kind]


@every_sheet
def test_that_a_wrong_input_is_refused_by_its_name(sheet: Worksheet) -> None:
    for item in sheet.inputs:
        for wrong in wrong_texts(item):
            found = problems(sheet, {**example(sheet), item.name: wrong})
            assert [problem.where for problem in found] == [f"{sheet.id}.{item.name}"], f"{item.name}={wrong}"
            assert found[0].need and found[0].got


@every_sheet
def test_that_every_wrong_input_is_told_at_once(sheet: Worksheet) -> None:
    wrong = {item.name: wrong_texts(item)[0] for item in sheet.inputs}
    found = problems(sheet, {**wrong, "colour": "red"})
    assert {problem.where for problem in found} == {f"{sheet.id}.{name}" for name in (*wrong, "colour")}


@every_sheet
def test_that_a_missing_input_is_asked_for(sheet: Worksheet) -> None:
    needed = {item.name for item in sheet.inputs if item.required} | {group[0] for group in sheet.one_of}
    found = {problem.where for problem in problems(sheet, {})}
    assert found == {
        f"{sheet.id}.{name}" for name in needed or {"device"}
    }  # under nec an earthing conductor's


@every_sheet
def test_that_an_unknown_input_is_refused_with_the_nearest_name(sheet: Worksheet) -> None:
    longest = max((item.name for item in sheet.inputs), key=len)
    (found,) = problems(sheet, {**example(sheet), longest + "x": "1"})
    assert found.where == f"{sheet.id}.{longest}x"
    assert found.hint == f"did you mean {longest}?"
    assert longest in found.need


def beyond(item: Input) -> list[float]:
    """Values just outside an input's range."""
    outside = [] if item.above is None else [item.above, item.above - 1]
    if item.low is not None:
        outside.append(item.low - (1 if item.kind == "count" else max(1e-3, 1e-3 * abs(item.low))))
    if item.high is not None:
        outside.append(item.high + (1 if item.kind == "count" else max(1e-3, 1e-3 * abs(item.high))))
    return [value for value in outside if value >= 0] if item.kind == "count" else outside


def typed(item: Input, value: float) -> str:
    whole = int(value) if item.kind == "count" else value
    return input_text(item, (whole,) if item.kind == "quantities" else whole, "metric")


@every_sheet
def test_that_a_value_outside_the_range_is_refused_and_the_ends_are_taken(sheet: Worksheet) -> None:
    for item in sheet.inputs:
        for value in beyond(item):
            found = problems(sheet, {**example(sheet), item.name: typed(item, value)})
            assert [problem.where for problem in found] == [f"{sheet.id}.{item.name}"], f"{item.name}={value}"
            assert any(word in found[0].need for word in ("or more", "or less", "more than"))
        for value in (item.low, item.high):
            if value is not None:
                read(sheet, {**example(sheet), item.name: typed(item, value)})


def extremes(item: Input) -> list[str]:
    """Texts of an input that a careless or a hostile person could type and that its range lets through."""
    if item.kind in ("word", "family"):
        return list(item.words)
    if item.kind == "flag":
        return ["yes", "no"]
    if item.kind == "size":
        return ["40 AWG", "14 AWG", "4/0 AWG", "2000 kcmil", "0.5 mm2", "35 mm2", "1000 mm2"]
    if item.kind in ("sizes", "quantities"):
        return [item.example]
    values = [value for value in (item.low, item.high) if value is not None]
    if item.kind == "count":
        return [item.example, *(str(int(value)) for value in values)]
    low = item.low if item.low is not None else item.above
    near = [] if item.above is None else [item.above + 1e-9, item.above + 1e-300]
    far = [value for value in (-1e30, -5.0, 0.0, 5.0, 1e6, 1e30, 1e300) if low is None or value > low]
    far = [value for value in far if item.high is None or value < item.high]
    unit = input_unit(item)
    far = [value for value in far if unit != "degC" or value >= -273]
    shown = unit if unit not in ("1", "%") else ""
    return [item.example, *(f"{value!r} {shown}".strip() for value in (*values, *near, *far))]


@every_sheet
def test_that_no_input_in_range_breaks_a_worksheet_or_gives_no_number(sheet: Worksheet) -> None:
    choices = {item.name: st.sampled_from(extremes(item)) for item in sheet.inputs}
    required = {item.name for item in sheet.inputs if item.required}

    @settings(max_examples=25)
    @given(st.fixed_dictionaries(choices), st.sets(st.sampled_from(sorted(choices))))
    def holds(texts: dict[str, str], left_out: set[str]) -> None:
        given_texts = {name: text for name, text in texts.items() if name in required or name not in left_out}
        try:
            worked = run(sheet, given_texts)
        except Problems as refused:
            assert refused.problems
            return
        told = json.dumps(as_json(worked), allow_nan=False)
        assert "nan" not in told.lower().replace("financ", "")

    holds()


# JSON


def check_json(sheet: Worksheet, worked: Worked) -> None:
    data = json.loads(json.dumps(as_json(worked), allow_nan=False))
    assert list(data) == ["worksheet", "inputs", "outputs", "steps", "source"]
    assert data["worksheet"] == sheet.id
    assert list(data["outputs"]) == [item.name for item in sheet.outputs]
    for item in sheet.outputs:
        value, got = worked.outputs[item.name], data["outputs"][item.name]
        assert got == value_json(value, item.unit)
        if isinstance(value, float) and item.unit not in ("", "1", "%", "money"):
            assert got == {"value": value, "unit": item.unit}
        elif isinstance(value, bool | int | float | str) or value is None:
            assert got == value
    for name, value in worked.inputs:
        assert (name in data["inputs"]) is (value is not None)


@every_sheet
def test_that_json_is_unrounded_with_one_unit_for_each_name(sheet: Worksheet) -> None:
    check_json(sheet, run(sheet, example(sheet)))


@pytest.mark.parametrize("rules", ["nec-2023", "nec-2020", "nec-2017", "iec"])
def test_that_every_worksheet_that_asks_for_rules_answers_or_refuses_under_each_family(rules: str) -> None:
    for sheet in WORKSHEETS:
        if any(item.name == "rules" for item in sheet.inputs):
            given_texts = {**example(sheet), "rules": rules}
            if rules == "iec":
                metric = {
                    "size": "35 mm2",
                    "baseline_size": "35 mm2",
                    "circuit_size": "50 mm2",
                    "method": "B2",
                    "covering": "H07V",
                    "earthing": "10 mm2",
                }
                metric["coated"] = "no"
                metric["sizes"] = '["4 mm2", "6 mm2", "10 mm2", "16 mm2"]'
                given_texts |= {name: text for name, text in metric.items() if name in given_texts}
            check_json(sheet, run(sheet, given_texts))


def test_that_every_described_formula_is_in_the_one_list() -> None:
    names = [each.name for each in pkgutil.iter_modules(physics.__path__)]
    modules = [importlib.import_module(f"{physics.__name__}.{name}") for name in names]
    described = {
        value.__worksheet__.id
        for module in modules
        for value in vars(module).values()
        if hasattr(value, "__worksheet__")
    }
    assert described == BY_ID.keys()


@pytest.mark.parametrize("name", ["lake_cabin", "mountain_farm", "tropical_clinic"])
@pytest.mark.parametrize("habit", ["metric", "us"])
def test_that_every_worked_step_of_a_demo_opens_as_a_worksheet(name: str, habit: str) -> None:
    evaluation = evaluate(load(demo_sites() / f"{name}.toml"))
    results = (*evaluation.arrays.values(), *evaluation.controllers.values(), *evaluation.circuits.values())
    steps = [step for finding in evaluation.findings for step in finding.steps]
    steps += [step for result in results for step in result.steps.values()]
    refused = []
    for step in steps:
        try:
            run_typed(BY_ID[step.sheet.id], texts_of(step.sheet, dict(step.inputs), habit))
        except Problems as error:
            refused.append(f"{step.sheet.id}: {error}")
    assert not set(refused)
