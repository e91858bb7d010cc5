"""Edits by typed text: they take effect whole, or say why not and change nothing."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine import edit, units
from engine.design import KEYED, SINGLE, About, Design
from engine.edit import FieldError, set_field, set_fields
from engine.entry import parse_field
from engine.fields import Record
from engine.nonsense import SENSE
from tests.a_design import designs


@pytest.fixture
def design() -> Design:
    """An array on a controller with one module."""
    start = Design()
    for table, id in (("modules", "m"), ("controllers", "charger"), ("arrays", "south")):
        start, _ = edit.add(start, table, id=id)
    return set_fields(
        start,
        {
            "modules.m.voc": "49.5 V",
            "modules.m.vmp": "41 V",
            "arrays.south.module": "m",
            "arrays.south.controller": "charger",
            "circuits.south-run.length": "12 ft 6 in",
            "circuits.charger-battery.length": "2 m",
        },
    )


def refused(design: Design, path: str, text: str) -> FieldError:
    with pytest.raises(FieldError) as caught:
        set_field(design, path, text)
    assert caught.value.where == path
    return caught.value


def test_that_a_text_becomes_a_value_and_stays_as_typed(design: Design) -> None:
    assert edit.get(design, "circuits.south-run.length") == pytest.approx(3.81)
    assert edit.typed(design, "circuits.south-run.length") == "12 ft 6 in"
    assert edit.typed(design, "circuits.south-string.length") == ""


def test_that_a_field_shows_the_typed_text_in_its_own_habit_and_converts_it_in_the_other(
    design: Design,
) -> None:
    run, battery = "circuits.south-run.length", "circuits.charger-battery.length"
    assert (edit.shown(design, run, "us"), edit.other_habit(design, run, "us")) == ("12 ft 6 in", "3.81 m")
    assert (edit.shown(design, run), edit.other_habit(design, run)) == ("3.81 m", "12 ft 6 in")
    assert (edit.shown(design, battery), edit.other_habit(design, battery)) == ("2 m", "6.562 ft")
    assert edit.shown(design, "modules.m.voc", "us") == edit.shown(design, "modules.m.voc") == "49.5 V"
    assert edit.other_habit(design, "modules.m.voc") == ""
    sheet = set_field(design, "modules.m.beta_voc", "-0.27 %/K")
    assert edit.shown(sheet, "modules.m.beta_voc", "us") == "-0.27 %/K"
    american = set_field(design, "modules.m.beta_voc", "-0.15 %/degF")
    assert edit.shown(american, "modules.m.beta_voc") == "-0.27 %/K"
    assert edit.shown(american, "modules.m.beta_voc", "us") == "-0.15 %/degF"


def test_that_what_a_field_shows_put_back_changes_nothing(design: Design) -> None:
    cold = set_field(design, "site.design_low", "-47 degF")
    assert edit.shown(cold, "site.design_low") == "-43.89 °C"
    assert set_field(cold, "site.design_low", "-43.89 °C", "metric") is cold
    assert edit.get(set_field(cold, "site.design_low", "-43.9 °C"), "site.design_low") == -43.9


def test_that_a_month_changed_in_the_other_habit_leaves_the_other_months_as_typed(design: Design) -> None:
    typed = [f"{10 + n} degF" for n in range(12)]
    months = set_field(design, "site.air_temperature", "; ".join(typed))
    shown = edit.shown(months, "site.air_temperature").split("; ")
    assert shown[0] == "-12.22 °C"
    after = set_field(months, "site.air_temperature", "; ".join(["-9 degC", *shown[1:]]), "metric")
    assert edit.typed(after, "site.air_temperature") == "; ".join(["-9 degC", *typed[1:]])


def test_that_a_default_is_shown_in_the_habit(design: Design) -> None:
    assert edit.shown(design, "site.wind_height", "us") == "32.81 ft"
    assert edit.shown(design, "arrays.south.mounting") == "close roof"
    assert edit.shown(design, "site.latitude") == ""
    assert edit.get(design, "site.wind_height") is None


def test_that_an_empty_text_clears_and_no_change_gives_the_same_design(design: Design) -> None:
    assert edit.get(set_field(design, "modules.m.vmp", "  "), "modules.m.vmp") is None
    assert set_field(design, "modules.m.vmp", "41 V") is design
    assert set_field(design, "circuits.south-string.length", "") is design
    assert set_field(design, "modules.m.vmp", "41.0 V") is not design


def test_that_bad_texts_are_refused_with_what_is_needed(design: Design) -> None:
    assert refused(design, "modules.m.voc", "5 A").need == "a voltage such as 44.5 V"
    assert "m" in refused(design, "arrays.south.module", "x").hint
    assert refused(design, "arrays.south.strings", "0").need == "1 to 200"
    assert refused(design, "circuits.south-run.length", "-4 m").need == "0.1 m to 5000 m"
    us = set_field(design, "units", "us")
    assert refused(us, "circuits.south-run.length", "-4 m").need == "3.937 in to 16404 ft"
    assert "nec-2020" in refused(design, "rules", "nec2020").hint
    assert refused(design, "arrays.south.on_building", "perhaps").need == "yes or no"


def test_that_an_ac_rating_is_not_taken_for_a_dc_rating() -> None:
    design, _ = edit.add(Design(), "devices", id="b")
    assert refused(design, "devices.b.dc_voltage", "150 VAC").need == "a DC voltage"
    assert refused(design, "devices.b.ac_voltage", "150 VDC").need == "an AC voltage"
    assert edit.get(set_field(design, "devices.b.dc_voltage", "150 VDC"), "devices.b.dc_voltage") == 150


def test_that_a_circuit_gets_its_record_on_demand_but_only_where_there_can_be_one(design: Design) -> None:
    assert design.circuit("south-run").length == pytest.approx(3.81)
    with pytest.raises(FieldError) as wrong:
        set_field(design, "circuits.soth-run.length", "3 m")
    assert "south-run" in str(wrong.value)


def test_that_lists_are_typed_as_an_array_or_with_semicolons(design: Design) -> None:
    months = "; ".join(f"{n} kWh/m^2" for n in range(12))
    first = set_field(design, "site.sun", months)
    second = set_field(design, "site.sun", "[" + ", ".join(f'"{n} kWh/m^2"' for n in range(12)) + "]")
    assert first.site.sun == second.site.sun
    assert edit.shown(first, "site.sun") == months
    points = set_field(design, "controllers.charger.current_points", "20 V: 60 A; 40 V: 55 A")
    assert points.controllers[0].current_points == ((20, 60), (40, 55))
    assert edit.shown(points, "controllers.charger.current_points") == "20 V: 60 A; 40 V: 55 A"
    tabbed = set_field(design, "controllers.charger.current_points", "20 V\t60 A\n40 V\t55 A\n")
    assert tabbed == points
    assert "rising" in refused(design, "controllers.charger.current_points", "40 V: 1 A; 20 V: 1 A").need


@pytest.mark.parametrize(
    ("table", "given", "path", "text"),
    [
        ("site", {"design_low": "-10 degC"}, "record_low", "-5 degC"),
        ("site", {"design_low": "10 degC"}, "design_high", "5 degC"),
        ("modules", {"voc": "40 V"}, "vmp", "40 V"),
        ("modules", {"isc": "10 A"}, "imp", "10.1 A"),
        ("modules", {"voc": "40 V"}, "beta_voc", "-2.2 mV/K"),
        ("modules", {"vmp": "40 V", "imp": "10 A"}, "gamma_pmp", "-0.35 W/K"),
        ("controllers", {"standoff_limit": "150 V"}, "operating_limit", "151 V"),
        ("bank", {"highest_voltage": "56 V"}, "lowest_voltage", "56 V"),
        ("inverters", {"lowest_voltage": "44 V"}, "highest_voltage", "40 V"),
        ("hydro", {"pipe_diameter": "50 mm"}, "nozzle_diameter", "60 mm"),
    ],
)
def test_that_nonsense_is_refused_at_the_field(
    table: str, given: dict[str, str], path: str, text: str
) -> None:
    start, owner = Design(), table
    if table in KEYED:
        start, id = edit.add(start, table)
        owner = f"{table}.{id}"
    start = set_fields(start, {f"{owner}.{name}": value for name, value in given.items()})
    error = refused(start, f"{owner}.{path}", text)
    assert all(name in str(error) for name in given)
    both = {f"{owner}.{name}": "" for name in given} | {f"{owner}.{path}": text}
    assert edit.get(set_fields(start, both), f"{owner}.{path}") is not None


def test_that_several_fields_may_pass_through_nonsense_to_sense() -> None:
    start = set_fields(Design(), {"site.design_low": "-10 degC", "site.record_low": "-20 degC"})
    warm = set_fields(start, {"site.record_low": "5 degC", "site.design_low": "8 degC"})
    assert (warm.site.record_low, warm.site.design_low) == (5, 8)


def test_that_every_sense_names_fields_that_there_are() -> None:
    for sense in SENSE:
        specs = (SINGLE.get(sense.table) or KEYED[sense.table]).specs()
        assert set(sense.fields) <= set(specs)
        assert sense.sentence[0].islower() and not sense.sentence.endswith(".")


def test_that_new_ids_are_tidy_and_their_own() -> None:
    design, first = edit.add(Design(), "arrays", "Südhang, Scheune!")
    design, second = edit.add(design, "arrays", "Südhang Scheune")
    design, third = edit.add(design, "controllers", "sudhang scheune")
    design, fourth = edit.add(design, "arrays")
    assert [first, second, third, fourth] == [
        "sudhang-scheune",
        "sudhang-scheune-2",
        "sudhang-scheune-3",
        "array-1",
    ]
    assert design.arrays[0].label == "Südhang, Scheune!"
    with pytest.raises(FieldError, match="array-1"):
        edit.add(design, "controllers", id="ARRAY-1")
    with pytest.raises(FieldError, match="letters"):
        edit.add(design, "arrays", id="a b")


def test_that_removing_a_record_takes_its_circuits_and_clears_what_points_at_it(design: Design) -> None:
    assert edit.goes_along(design, "controllers.charger") == (
        "circuits.charger-battery",
        "arrays.south.controller",
    )
    after = edit.remove(design, "controllers.charger")
    assert after.controllers == ()
    assert after.arrays[0].controller is None
    assert [item.id for item in after.circuits] == ["south-run"]
    assert edit.remove(after, "arrays.south").circuits == ()
    assert edit.remove(design, "site").site == Design().site
    with pytest.raises(KeyError):
        edit.remove(design, "arrays.north")


@given(designs(), st.data())
def test_that_no_reference_is_left_hanging_by_a_removal(design: Design, data: st.DataObject) -> None:
    paths = [f"{table}.{item.id}" for table in KEYED for item in getattr(design, table)]
    if not paths:
        return
    after = edit.remove(design, data.draw(st.sampled_from(paths)))
    assert all(after.find(to, id) is not None for _, to, id in edit.references(after))


def test_that_paths_that_no_design_can_have_are_a_programmers_mistake(design: Design) -> None:
    for path in ("site.nothing", "nothing.a.b", "arrays.south", "arrays.north.tilt", "site.latitude.x"):
        with pytest.raises(KeyError):
            set_field(design, path, "3")
    assert edit.get(design, "arrays.north.tilt") is None


@given(designs(), st.sampled_from(("metric", "us")))
def test_that_every_shown_text_of_an_entered_value_reads_back_as_the_same(design: Design, habit: str) -> None:
    again = design
    for path, record in _entered(design):
        for name in type(record).specs():
            if getattr(record, name) is not None:
                field = f"{path}.{name}" if path else name
                again = set_field(again, field, edit.shown(design, field, habit), habit)
    assert again is design


def _entered(design: Design) -> list[tuple[str, Record]]:
    found: list[tuple[str, Record]] = [("", design.about)]
    found += [(table, getattr(design, table)) for table in SINGLE]
    return found + [(f"{t}.{item.id}", item) for t in KEYED for item in getattr(design, t)]


@pytest.mark.parametrize("kind", [About, *SINGLE.values(), *KEYED.values()])
def test_that_every_default_is_a_value_that_its_field_would_take(kind: type[Record]) -> None:
    for name, spec in kind.specs().items():
        assert name not in ("use", "specs", "is_default")
        if spec.default is None:
            continue
        assert spec.why
        if spec.kind in ("quantity", "word"):
            assert parse_field(spec, units.show(spec.default, spec.unit) if spec.unit else spec.default) == (
                pytest.approx(spec.default) if spec.unit else spec.default
            )
