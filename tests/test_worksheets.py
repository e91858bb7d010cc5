"""Every worksheet against its contract, and through the text boundary as a person would type it."""

from __future__ import annotations

import inspect
import json
import math
from typing import Any, get_type_hints

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.physics.worksheets import BY_ID, WORKSHEETS
from engine.problems import Problem, Problems
from engine.sources import HOWS
from engine.steps import as_json
from engine.units import KINDS
from engine.worksheet import Input, Worked, Worksheet
from engine.worksheet_text import input_text, input_unit, read, run, value_json

# What callers count on: id | inputs, the default behind "=" | outputs. More may be added, none renamed.
PROMISED = """
pv-cold-voltage | voc, beta_voc, temperature, modules=1 | module_voltage, voltage, factor
pv-table-voltage | voc, temperature, modules=1 | factor, module_voltage, voltage
pv-hot-voltage | vmp, beta_vmp, temperature, modules=1, drop=0 % | module_voltage, voltage
pv-longest-string | voc, beta_voc, temperature, limit, method=coefficient | modules, voltage, headroom
pv-shortest-string | vmp, beta_vmp, temperature, floor, drop=0 %, margin=0 % | modules, module_voltage
pv-cell-temperature | ambient, irradiance, noct | temperature
pv-cell-temperature-wind | ambient, irradiance, wind_speed, u0=25, u1=6.84 | temperature
pv-power-at-temperature | power, gamma, temperature | power
pv-circuit-current | isc, strings=1, gain=0 %, rules=nec-2023 | maximum_current, design_current
pv-string-fuse | isc, module_fuse, strings, back_feed=0 A, irradiance_factor, rules=nec-2023 \
| reverse_current, required, minimum, maximum, rating
pv-one-diode | photocurrent, saturation_current, series_resistance, shunt_resistance, ideality, cells, \
cell_temperature | isc, voc, imp, vmp, pmp
sun-declination | day | declination
sun-incidence | latitude, day, hour_angle, tilt, azimuth | incidence
sun-extraterrestrial | latitude, day, solar_constant=1367 W/m^2 | energy, daylight
sun-hour-share | latitude, day, hour_angle | share
wire-geometry | size | diameter, area
wire-resistance | size, material=copper, strand=stranded, temperature=75 degC, rules=nec-2023 | resistance
voltage-drop | length, current, voltage, size, material=copper, temperature=75 degC, rules=nec-2023, \
resistance, conductors=2 | drop, fraction, loss
wire-ampacity | size, insulation, material=copper, ambient=30 degC, conductors=2, circuits=1, method, \
rules=nec-2023 | base, ambient_factor, bundling_factor, ampacity
wire-for-circuit | current, continuous=true, terminal, insulation=90 degC, ambient, conductors, material, \
rules=nec-2023, method | size, ampacity, governed_by
wire-for-drop | current, length, voltage, allowed, material, temperature, rules=nec-2023 | size, fraction
fault-withstand | size, material, insulation, fault_current, time, role=live | withstands, minimum_area
wire-saving | current, length, voltage, sizes, prices, temperature, rules=nec-2023 | losses, price_per_watt
device-rating | current, continuous=true, rules=nec-2023 | minimum, rating
device-limit | size, insulation, material, ambient=30 degC, conductors=2, rules=nec-2023 | rating
device-voltage-class | voltage, rules=nec-2023 | voltage_class
earthing-conductor | device, material, baseline_size, circuit_size, kind, rules=nec-2023 | size
electrode-conductor | size, material, electrode, system, rules=nec-2023 | size
inverter-dc-current | power, efficiency, lowest_voltage | current, design_current
battery-fault-current | voltage, resistance, series, strings, circuit_resistance=0 ohm \
| string_current, current
battery-capacity | daily_energy, autonomy, depth, voltage, temperature_multiplier=1, efficiency=100 % \
| energy, capacity
battery-bank | capacity, block_capacity, block_voltage, voltage \
| series, parallel, blocks, installed_capacity, installed_energy
battery-runtime | capacity, rated_time, current, exponent | time, delivered
charge-setpoint | per_cell, cells, coefficient, temperature, reference=25 degC, minimum, maximum \
| per_cell, voltage, clamped
battery-ventilation | cells, capacity, gas_current, charge_current, vents=1 | airflow, opening, distance
hydrogen-rate | cells, current | airflow
two-well-battery | capacity, available_share, rate, current | lifetime, delivered
cycle-count | history | ranges, counts
diversion-load | controller_current, highest_voltage, source_power, rules=nec-2023 \
| load_current_limit, load_power, resistance_low, resistance_high, conductor_current
resistor-power | rated_power, rated_voltage, voltage | power
air-density | temperature, pressure, elevation | density, pressure
wind-power | speed, density, diameter, cp=1 | power, power_density
wind-shear | speed, height, target, exponent, roughness, displacement=0 m | speed
wind-mean-power | mean_speed, shape=2, density | power_density, pattern_factor
wind-annual-energy | power_density, diameter, efficiency | energy
tip-speed-ratio | rotor_speed, diameter, wind_speed | ratio
rotor-speed | ratio, diameter, wind_speed | rotor_speed
rotor-coefficient | ratio, pitch=0 deg | cp
hydro-power | head, flow, efficiency, density=1000 kg/m^3 | power
hydro-jet | head, coefficient=0.98, flow, jets=1 | velocity, diameter
hydro-best-flow | gross_head | friction_loss
pipe-loss | flow, diameter, length, roughness, density=1000 kg/m^3, viscosity=1.31e-3 Pa*s \
| velocity, reynolds, friction_factor, head_loss
pipe-loss-hazen | flow, diameter, length, c | velocity, head_loss
pipe-friction-factor | reynolds, relative_roughness | friction_factor
pipe-surge | velocity_change, density, bulk_modulus, diameter, wall, youngs_modulus, length, closure_time, \
static_head | celerity, pressure, total_pressure, critical_time
three-phase-rectifier | dc_voltage, dc_current | line_voltage, line_current
source-limiter | source_power, turn_on, turn_off, resistance, source_resistance | current, power, latches
alternator-voltage | rotor_speed, volts_per_speed, factor=1 | voltage
"""
LINES = [line.split("|") for line in PROMISED.strip().splitlines()]
# Words that may be typed for an input, among others.
WORDS = {
    ("pv-longest-string", "method"): "coefficient table",
    ("wire-resistance", "rules"): "nec-2023 nec-2020 nec-2017 iec",
    ("wire-ampacity", "method"): "A1 A2 B1 B2 C D1 E F G raceway free-air",
    ("fault-withstand", "role"): "live earthing",
    ("earthing-conductor", "kind"): "pv other",
    ("electrode-conductor", "electrode"): "rod concrete-encased water-pipe",
    ("electrode-conductor", "system"): "dc ac",
}

every_sheet = pytest.mark.parametrize("sheet", WORKSHEETS, ids=lambda sheet: sheet.id)


def example(sheet: Worksheet) -> dict[str, str]:
    """The examples of a sheet's own inputs; of inputs that stand for each other the first."""
    others = {name for group in sheet.one_of for name in group[1:]}
    return {item.name: item.example for item in sheet.inputs if item.name not in others}


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
                }
                metric["coated"] = "no"
                metric["sizes"] = '["4 mm2", "6 mm2", "10 mm2", "16 mm2"]'
                given_texts |= {name: text for name, text in metric.items() if name in given_texts}
            check_json(sheet, run(sheet, given_texts))
