"""A turbine at the conditions: its curve, the point that is held, badges and the ladder's lanes."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.places import demo_sites
from engine import evaluate, load
from engine.edit import set_fields
from engine.evaluation import Evaluation
from engine.sections import badges, wind_live
from engine.sections.results import Conditions, Lane
from engine.sections.wind_live import WindLook

LAKE = load(demo_sites() / "lake_cabin.toml")
PLAIN = evaluate(LAKE)


def seen(wind: float, battery: float = 24.0, evaluation: Evaluation = PLAIN) -> WindLook:
    conditions = Conditions(wind=wind, battery=battery)
    result = evaluation.wind["mast"]
    return wind_live.look(evaluation.design, result, evaluation.controllers, conditions, "metric")


def changed(**texts: str) -> Evaluation:
    paths = {name.replace("__", ".") if "__" in name else f"wind.mast.{name}": t for name, t in texts.items()}
    return evaluate(set_fields(LAKE, paths))


def lanes(evaluation: Evaluation, wind: float = 8.0) -> dict[str, Lane]:
    look = seen(wind, evaluation=evaluation)
    parts = (evaluation.wind["mast"], evaluation.controllers, evaluation.circuits)
    return {lane.title: lane for lane in wind_live.lanes(evaluation.design, *parts, look, "metric")}


@given(wind=st.floats(0, 25), battery=st.floats(20, 34))
def test_that_the_held_point_lies_on_the_drawn_curve_and_gives_its_volts_times_amps(
    wind: float, battery: float
) -> None:
    look = seen(wind, battery)
    assert look.power == pytest.approx(look.voltage * look.current)
    if look.power > 1:
        drawn = float(np.interp(look.voltage, look.volts, look.watts))
        assert drawn == pytest.approx(look.power, rel=0.02, abs=1.0)
        assert look.power <= look.watts.max() * 1.001 + 0.5


@pytest.mark.parametrize(
    ("wind", "texts", "state"),
    [
        (0.0, {}, "still"),
        (2.5, {}, "free"),
        (8.0, {}, "tracking"),
        (14.0, {}, "tracking"),
        (8.0, {"controllers__wind-charger__kind": "direct"}, "direct"),
        (8.0, {"controller": ""}, "no controller"),
        (8.0, {"diameter": ""}, "no curve"),
        (11.0, {"controllers__wind-charger__operating_limit": "40 V"}, "lock-out"),
    ],
)
def test_that_the_state_is_told_with_its_reason(wind: float, texts: dict[str, str], state: str) -> None:
    look = seen(wind, evaluation=changed(**texts) if texts else PLAIN)
    assert look.state == state
    assert look.why


def test_that_a_locked_out_turbine_runs_free_and_carries_nothing() -> None:
    evaluation = changed(**{"controllers__wind-charger__operating_limit": "40 V"})
    look = seen(11.0, evaluation=evaluation)
    assert look.current == 0
    assert look.voltage == pytest.approx(look.open_voltage)
    assert look.rotor_speed > seen(11.0).rotor_speed


def test_that_badges_tell_the_turbine_its_run_and_its_controller() -> None:
    look = seen(9.0)
    found = badges.of_turbines("wind", {"mast": look}, Conditions(wind=9.0, battery=24.0), LAKE)
    assert found["wind.mast"] == found["circuits.mast-run"] == (look.voltage, look.current)
    assert found["controllers.wind-charger"] == (24.0, look.output_current)
    assert look.output_current is not None
    assert look.output_current * 24 < look.power


def test_that_a_controller_shared_with_an_array_is_left_to_it() -> None:
    evaluation = changed(controller="sun-charger")
    found = badges.of_turbines(
        "wind", {"mast": seen(9.0, evaluation=evaluation)}, Conditions(), evaluation.design
    )
    assert "controllers.sun-charger" not in found


def test_that_the_runaway_lane_fails_where_the_controller_does_not_survive_it() -> None:
    assert lanes(PLAIN)["Turbine on the point, running free"].marks[-1].status == "meets"
    bad = lanes(changed(open_voltage="160 V"))["Turbine on the point, running free"]
    assert bad.marks[-1].status == "fails"
    assert "10 V over" in bad.marks[-1].text
    asked = lanes(changed(open_voltage=""))["Turbine on the point, running free"]
    assert asked.empty == "Enter: Highest open-circuit voltage"


def test_that_the_ladder_tells_what_the_turbine_stands_at_if_it_is_let_go_in_this_wind() -> None:
    gust, marks = seen(20.0), lanes(PLAIN, 20.0)["Turbine on the point, running free"].marks
    (let_go,) = [mark for mark in marks if mark.kind == "would"]
    assert let_go.at == gust.open_voltage > gust.voltage
    assert "let go" in let_go.text and not let_go.status


def test_that_limiter_and_rectifier_have_their_lanes() -> None:
    found = lanes(changed(rectifier_voltage="100 V"))
    assert (found["Voltage limiter"].spans[0].low, found["Voltage limiter"].spans[0].high) == (85, 100)
    assert found["Rectifier"].marks[0].status == "fails"
    assert lanes(changed(rectifier_voltage=""))["Rectifier"].empty
