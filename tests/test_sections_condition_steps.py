"""The named steps of looking: each from the site's own data, none where a datum is missing."""

from __future__ import annotations

from functools import cache

import pytest

from app.condition_steps import key_of, steps
from app.places import demo_sites
from engine import edit, evaluate, load
from engine.design import Design
from engine.sections.condition_steps import UNITS, WORDS, Stand, stands, wind_range
from engine.sections.results import Conditions
from engine.units import UnitError, parse

USUAL = Conditions(battery=25.6)


@cache
def cabin() -> Design:
    return load(demo_sites() / "lake_cabin.toml")


def of(design: Design) -> dict[str, Stand]:
    found = stands(design, evaluate(design).arrays, USUAL, steps())
    return {stand.step.id: stand for stand in found}


def at(design: Design, id: str) -> Conditions:
    conditions = of(design)[id].conditions
    assert conditions is not None
    return conditions


def test_that_dawn_stands_at_the_design_low_and_noon_at_the_hottest_cell() -> None:
    assert at(cabin(), "dawn-cold").cell == float(cabin().site.design_low or 0)
    noon = at(cabin(), "clear-noon")
    assert noon.cell == max(result.cell_hot or 0 for result in evaluate(cabin()).arrays.values())
    assert noon.irradiance == 1000.0  # standard test conditions, IEC 60904-3


def test_that_the_sun_beside_a_cloud_is_no_weaker_than_the_code_s_factor() -> None:
    assert at(cabin(), "cloud-edge").irradiance >= 1.25 * 1000.0  # NEC 690.8(A)(1)


def test_that_the_gust_is_the_place_s_at_the_hub_or_else_of_the_class() -> None:
    hub = float(cabin().wind[0].hub_height or 0)
    gust = float(cabin().site.gust or 0) * (hub / 10) ** 0.11  # IEC 61400-1, extreme wind model
    assert at(cabin(), "storm-gust").wind == pytest.approx(gust)
    classed = edit.set_fields(
        cabin(), {"site.gust": "", "wind.mast.wind_class": "III", "wind.mast.survival_wind": ""}
    )
    assert at(classed, "storm-gust").wind == pytest.approx(
        52.5
    )  # IEC 61400-2:2013, table 1, V e50 of class III


def test_that_the_slider_reaches_the_gust_of_the_place() -> None:
    assert wind_range(cabin(), 25.0) == (0.0, at(cabin(), "storm-gust").wind)
    assert wind_range(Design(), 25.0) == (0.0, 25.0)


def test_that_a_full_bank_stands_at_its_equalize_voltage_or_else_its_absorption() -> None:
    bank = cabin().bank
    assert at(cabin(), "full-bank").battery == pytest.approx(
        12 * float(bank.equalize or 0)
    )  # 12 cells of 2 V
    sealed = edit.set_fields(cabin(), {"bank.chemistry": "agm", "bank.equalize": ""})
    assert at(sealed, "full-bank").battery == pytest.approx(12 * float(bank.absorption or 0))


def test_that_a_step_that_names_no_condition_leaves_it_at_its_usual_place() -> None:
    dawn = at(cabin(), "dawn-cold")
    assert (dawn.wind, dawn.flow, dawn.battery) == (USUAL.wind, USUAL.flow, USUAL.battery)


def test_that_only_steps_of_what_the_design_has_are_offered() -> None:
    assert "frozen-intake" not in of(cabin())
    assert of(Design()) == {}
    farm = load(demo_sites() / "mountain_farm.toml")
    assert at(farm, "frozen-intake").flow == 0.0


@pytest.mark.parametrize(
    ("step", "field"), [("dawn-cold", "site.design_low"), ("clear-noon", "site.design_high")]
)
def test_that_a_missing_datum_is_asked_for_and_never_guessed(step: str, field: str) -> None:
    stand = of(edit.set_field(cabin(), field, ""))[step]
    assert stand.conditions is None
    assert [item.path for item in stand.missing] == [field]


def test_that_the_table_names_only_conditions_and_words_that_are_known() -> None:
    for number, step in enumerate(steps(), 1):
        assert step.title and step.why.endswith(".") and key_of(step.id) == f"Alt+{number}"
        for name, text in step.settings.items():
            if text not in WORDS:
                parse(text, UNITS[name])
    with pytest.raises(UnitError):
        parse("design lowest", "degC")
