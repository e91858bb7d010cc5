"""A load curve that was entered: what it gives up, whether it stalls the rotor, how fast that runs on it."""

from __future__ import annotations

import numpy as np
import pytest

from app.places import demo_sites
from engine import evaluate, load
from engine.edit import FieldError, set_fields
from engine.evaluation import Evaluation
from engine.finding import Finding, Status
from engine.physics.load_curve import LoadCurve, above_battery, moved
from engine.physics.wind import weibull_energy
from engine.sections import wind_live
from engine.sections.harvest import harvest, in_force
from engine.sections.results import Conditions
from engine.sections.wind import WINDS

LAKE = load(demo_sites() / "lake_cabin.toml")
BEST = harvest(evaluate(LAKE).wind["mast"])
STEEP = "24 V: 0 W; 30 V: 900 W; 55 V: 1036 W"  # asks for more at 30 V than light wind gives: it stalls


def points(heavier: float = 1.0) -> str:
    """The computed curve as typed text, asking for so many times its power."""
    pairs = zip(BEST.curve.volts, BEST.curve.watts, strict=True)
    return "; ".join(f"{volts:.3f} V: {heavier * watts:.3f} W" for volts, watts in pairs)


def judged(curve: str, **texts: str) -> Evaluation:
    fields = {f"wind.mast.{name}": text for name, text in ({"load_points": curve} | texts).items()}
    return evaluate(set_fields(LAKE, fields))


def found(rule: str, curve: str, **texts: str) -> Finding:
    (one,) = [finding for finding in judged(curve, **texts).findings if finding.rule == rule]
    return one


@pytest.mark.parametrize(
    ("rule", "curve", "texts", "status", "signal"),
    [
        ("load-curve-loss", points(), {}, "meets", ""),
        ("load-curve-loss", points(0.8), {}, "meets", ""),
        ("load-curve-loss", points(0.5), {}, "marginal", ""),
        ("load-curve-loss", points(), {"diameter": ""}, "unknown", ""),
        ("load-curve-stall", points(1.1), {}, "meets", ""),
        ("load-curve-stall", points(), {}, "meets", ""),
        ("load-curve-stall", STEEP, {}, "marginal", "WARNING"),
        ("load-curve-stall", points(), {"controller": ""}, "unknown", "WARNING"),
        ("load-curve-speed", points(), {}, "meets", ""),
        ("load-curve-speed", points(0.8), {"speed_cap": "700 rpm"}, "marginal", "WARNING"),
        ("load-curve-speed", points(0.8), {"largest_speed": "700 rpm"}, "fails", "DANGER"),
        ("load-curve-speed", points(), {"largest_speed": ""}, "unknown", "DANGER"),
    ],
)
def test_that_a_rule_judges_the_curve(
    rule: str, curve: str, texts: dict[str, str], status: str, signal: str
) -> None:
    one = found(rule, curve, **texts)
    assert (one.status.word, one.signal.word) == (status, signal)
    assert (one.remedy == "") == (status == "meets")


def test_that_the_speed_meets_exactly_at_what_the_rotor_stands() -> None:
    fastest = float(found("load-curve-speed", points(0.8)).value)
    assert found("load-curve-speed", points(0.8), largest_speed=f"{fastest!r} rpm").status is Status.MEETS


def test_that_without_an_entered_curve_none_is_judged() -> None:
    assert not [f for f in evaluate(LAKE).findings if f.rule.startswith("load-curve")]


def test_that_the_computed_curve_entered_gives_what_it_gave_computed() -> None:
    entered = in_force(judged(points()).wind["mast"])
    assert entered.followed == pytest.approx(BEST.followed, rel=1e-4)
    assert entered.curve.error == pytest.approx(BEST.curve.error, rel=0.05)


def test_that_the_year_and_the_live_point_are_those_of_the_entered_curve() -> None:
    result = judged(points(0.5)).wind["mast"]
    assert result.on_load is not None
    energy = weibull_energy(result.on_load.power, WINDS, result.mean_wind or 0, result.shape or 0)
    assert result.energy_load == pytest.approx(energy)
    assert result.energy_battery is not None
    assert result.energy_battery < result.energy_load < (result.energy_tracked or 0)
    evaluation = judged(points(0.5))
    conditions = Conditions(wind=9.0, battery=24.0)
    seen = wind_live.look(evaluation.design, result, evaluation.controllers, conditions, "metric")
    assert seen.power == pytest.approx(float(np.interp(9.0, WINDS, result.on_load.power)), rel=1e-3)
    assert seen.power == pytest.approx(float(result.load.power(np.array(seen.voltage))), rel=1e-6)


def test_that_nothing_is_credited_below_the_batterys_voltage() -> None:
    on_load = judged("10 V: 0 W; 15 V: 200 W; 55 V: 1036 W").wind["mast"].on_load
    assert on_load is not None
    assert float(on_load.voltage[on_load.power > 0].min()) >= 24.0
    whole = LoadCurve(np.array([10.0, 20.0]), np.array([0.0, 100.0]), 0.0, False)
    cut = above_battery(whole, 24.0)
    assert cut.volts[0] == 24.0
    assert list(cut.watts) == [100.0, 100.0]
    assert above_battery(whole, 9.0) is whole


@pytest.mark.parametrize(
    "text",
    ["25 V: 100 W; 30 V: 50 W", "25 V: -5 W; 30 V: 50 W", "0 V: 0 W; 30 V: 50 W", "25 V: 0 W; 30 V: 0 W"],
)
def test_that_a_curve_which_falls_or_begins_below_nothing_is_refused(text: str) -> None:
    with pytest.raises(FieldError, match="no less power"):
        set_fields(LAKE, {"wind.mast.load_points": text})


def test_that_a_point_is_moved_only_as_far_as_its_neighbours_allow() -> None:
    curve = LoadCurve(np.array([24.0, 30.0, 40.0]), np.array([0.0, 100.0, 300.0]), 0.0, False)
    free = moved(curve, 1, 33.0, 200.0)
    assert (free.volts[1], free.watts[1]) == (33.0, 200.0)
    far = moved(curve, 1, 90.0, 900.0)
    assert 30.0 < far.volts[1] < 40.0
    assert far.watts[1] == 300.0
    low = moved(curve, 0, -5.0, -20.0)
    assert low.volts[0] > 0
    assert low.watts[0] == 0.0
    assert list(moved(curve, 2, 10.0, 0.0).watts) == [0.0, 100.0, 100.0]


def test_that_the_months_count_what_the_entered_curve_gives() -> None:
    def wind_month(evaluation: Evaluation) -> float:
        (chain,) = [each for each in evaluation.balance.sources if each.path == "wind.mast"]
        return sum(chain.bank)

    assert wind_month(judged(points(0.5))) < 0.95 * wind_month(evaluate(LAKE))
    assert wind_month(judged(points())) == pytest.approx(wind_month(evaluate(LAKE)), rel=0.01)
