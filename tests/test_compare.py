"""One design against another: what differs, which verdicts turned, and that both ways say the same."""

from __future__ import annotations

from functools import cache

import pytest

from app.places import demo_sites
from engine import edit, evaluate, load
from engine.compare import Comparison, compare, moved, point_at, turned
from engine.design import Design
from engine.evaluation import Evaluation
from engine.finding import Status
from engine.sections.results import Conditions

SITES = ("lake_cabin", "mountain_farm", "tropical_clinic")


@cache
def site(name: str) -> Evaluation:
    return evaluate(load(demo_sites() / f"{name}.toml"))


def other(name: str = "lake_cabin", **texts: str) -> Evaluation:
    """A site after an edit; a path is written with __ for its dots."""
    paths = {path.replace("__", "."): text for path, text in texts.items()}
    return evaluate(edit.set_fields(site(name).design, paths))


@pytest.mark.parametrize("name", SITES)
def test_that_a_design_against_itself_is_empty(name: str) -> None:
    again = evaluate(load(demo_sites() / f"{name}.toml"))
    assert compare(site(name), again).empty


@pytest.mark.parametrize("one", SITES)
@pytest.mark.parametrize("two", SITES)
def test_that_both_ways_say_the_same(one: str, two: str) -> None:
    here, there = compare(site(one), site(two)), compare(site(two), site(one))

    def pairs(found: Comparison, swap: bool) -> list[tuple[object, ...]]:
        keys = {
            "fields": lambda item: item.path,
            "turned": lambda item: (item.rule, item.where),
            "circuits": lambda item: (item.circuit, item.what, item.unit),
            "totals": lambda item: (item.group, item.name, item.unit),
        }
        return [
            (part, key(item), *((item.that, item.this) if swap else (item.this, item.that)))
            for part, key in keys.items()
            for item in getattr(found, part)
        ]

    assert pairs(here, swap=False) == pairs(there, swap=True)


def test_that_an_edit_is_told_by_its_field_in_the_units_asked_for() -> None:
    changed = evaluate(edit.set_field(site("lake_cabin").design, "circuits.south-run.length", "100 m"))
    for habit, text in (("metric", "100 m"), ("us", "328.1 ft")):
        (field,) = compare(site("lake_cabin"), changed, habit).fields
        assert (field.path, field.title, field.that) == (
            "circuits.south-run.length",
            "One-way length",
            text,
        )


def test_that_another_unit_for_the_same_length_is_no_difference() -> None:
    site_ = site("mountain_farm").design
    path = f"circuits.{site_.arrays[0].id}-run.length"
    metres = float(edit.get(site_, path))
    again = evaluate(edit.set_field(site_, path, f"{metres * 1000:.9g} mm"))
    assert compare(site("mountain_farm"), again).fields == ()


def test_that_a_longer_string_turns_its_verdict_and_its_class() -> None:
    longer = other(arrays__south__modules="6")
    found = compare(site("lake_cabin"), longer)
    standoff = next(item for item in found.turned if item.rule == "standoff-limit")
    assert standoff.this is not None and standoff.this.status == Status.MEETS
    assert standoff.that is not None and standoff.that.status == Status.FAILS
    assert standoff.go_to == "arrays.south.modules"
    assert found.turned[0].worst == Status.FAILS
    classes = {item.circuit: item for item in found.circuits if item.what == "voltage class"}
    assert classes["south-run"].this < classes["south-run"].that  # type: ignore[operator]
    fails = next(item for item in found.totals if item.name == "fails")
    assert (fails.this, fails.that) == (0.0, longer.counts()[Status.FAILS])


def test_that_a_record_of_one_design_is_one_line_with_its_circuits_by_name() -> None:
    design = site("lake_cabin").design
    without = evaluate(edit.remove(design, "wind.mast"))
    found = compare(site("lake_cabin"), without)
    lines = {item.path: item for item in found.fields}
    assert lines["wind.mast"].that is None and "there" in str(lines["wind.mast"].this)
    assert lines["circuits.mast-run"].title == "" and lines["circuits.mast-run"].that is None
    assert not [path for path in lines if path.startswith("circuits.mast-run.")]
    asked_once = {item.where for item in found.turned if item.asked_once}
    assert "wind.mast" in asked_once
    gone = {item.circuit for item in found.circuits if item.that is None and not item.what}
    assert "mast-run" in gone


def test_that_totals_are_those_of_the_evaluations() -> None:
    more = other(arrays__south__strings="4")
    found = {(item.group, item.name): item for item in compare(site("lake_cabin"), more).totals}
    arrays = found["System", "arrays, at standard conditions"]
    assert arrays.that == pytest.approx(sum(item.power or 0.0 for item in more.arrays.values()))
    january = found["Energy left over in a day", "January"]
    assert january.this == site("lake_cabin").balance.months[0].surplus
    assert january.that == more.balance.months[0].surplus


def test_that_nothing_is_invented_of_an_empty_design() -> None:
    empty = evaluate(edit.empty())
    found = compare(empty, site("lake_cabin"))
    assert compare(empty, evaluate(Design())).empty
    assert {item.this for item in found.totals if item.group.startswith("Energy")} == {None}


def test_that_a_point_moves_by_the_difference_of_what_the_pictures_show() -> None:
    evaluation = site("lake_cabin")
    cold, hot = (Conditions(cell=cell, battery=26.0) for cell in (-20.0, 60.0))
    then, now = (point_at(evaluation, at, "arrays.south", "metric") for at in (cold, hot))
    assert then is not None and now is not None
    volts, amps, watts = moved(then, now)
    assert volts[2] == now.volts - then.volts < 0  # warm cells stand lower
    assert watts[:2] == (then.volts * then.amps, now.volts * now.amps)
    assert (volts[3], amps[3], watts[3]) == ("V", "A", "W")


@pytest.mark.parametrize("path", ["arrays.nowhere", "bank", "", "wind.nowhere"])
def test_that_what_is_no_source_has_no_point(path: str) -> None:
    assert point_at(site("lake_cabin"), Conditions(), path, "metric") is None


def test_that_only_a_change_of_status_is_a_turn() -> None:
    warmer = other(site__design_high="34 degC")
    found = turned(site("lake_cabin"), warmer)
    assert all(item.asked_once or item.this.status != item.that.status for item in found)  # type: ignore[union-attr]
