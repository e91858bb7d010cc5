"""The penstock's diameter against its price, on the invented farm's creek and by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from app.places import demo_sites
from app.views.pipe_plot import over_diameter, pipe_told
from engine import evaluate, load
from engine.edit import set_fields
from engine.money.pipe import LIFE, PipeTrade, trade

FARM = load(demo_sites() / "mountain_farm.toml")


def of(**texts: str) -> PipeTrade:
    found = trade(evaluate(set_fields(FARM, {n.replace("__", "."): t for n, t in texts.items()})), "creek")
    assert found is not None
    return found


def test_that_a_wider_pipe_never_gives_less_and_all_of_them_less_than_the_whole_head() -> None:
    found = of()
    assert np.all(np.diff(found.powers) >= 0)
    assert np.all(np.diff(found.years) >= 0)
    water = 1000 * 9.80665 * 0.0032 * 62  # W in the water at 3.2 L/s and 62 m
    assert float(found.powers[-1]) < water


def test_that_the_present_pipe_stands_where_the_evaluation_has_it() -> None:
    found, result = of(), evaluate(FARM).hydro["creek"]
    assert found.now is not None
    assert found.now[0] == pytest.approx(79.2)
    assert found.now[1] == pytest.approx(result.tracked_output)
    assert found.now[2] == pytest.approx(result.year)


def test_that_price_and_money_a_kwh_are_as_by_hand() -> None:
    for choice in of().choices:
        metre = {55.4: 4.1, 66.0: 5.7, 79.2: 8.2, 96.8: 12.2, 110.2: 15.8}[choice.diameter]
        assert choice.price == pytest.approx(480 * metre)
        assert choice.per_kwh == pytest.approx(480 * metre / (LIFE * choice.year / 1000))


def test_that_the_best_pipe_costs_least_with_its_missing_energy_made_good() -> None:
    found = of()
    most = max(choice.year for choice in found.choices)
    totals = [c.price + 1.3 * LIFE * (most - c.year) / 1000 for c in found.choices]
    assert found.best is found.choices[totals.index(min(totals))]
    assert found.by_total
    assert not found.missing


def test_that_dear_pipe_and_cheap_energy_call_for_a_narrower_one() -> None:
    cheap = of(prices__generator_kwh="0.02")
    assert cheap.best is not None
    usual = of().best
    assert usual is not None
    assert cheap.best.diameter < usual.diameter


def test_that_without_prices_the_power_is_still_told_and_prices_are_asked_for() -> None:
    bare = of(prices__pipe_metre="", prices__generator_kwh="")
    assert bare.best is None
    assert [item.path for item in bare.missing] == ["prices.pipe_metre", "prices.generator_kwh"]
    assert bare.powers.size > 10
    assert "Enter: A metre of penstock, A kWh from the generator" in pipe_told(bare, "", "metric")
    some = of(prices__generator_kwh="")
    assert some.best is not None
    assert some.best.per_kwh == min(choice.per_kwh or math.inf for choice in some.choices)


def test_that_without_a_year_nothing_is_compared() -> None:
    none = of(hydro__creek__gross_head="")
    assert none.why
    assert over_diameter(none, "", "metric").empty.startswith("Enter: ")
    assert trade(evaluate(FARM), "brook") is None


def test_that_the_plot_marks_the_present_pipe_and_the_best() -> None:
    plot = over_diameter(of(), "dollars", "us")
    said = [each.text for each in plot.uprights]
    assert any(text.startswith("now ") for text in said)
    assert any(text.startswith("best ") for text in said)
    assert "dollars a kWh" in plot.caption
