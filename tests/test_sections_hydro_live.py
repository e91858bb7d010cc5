"""A hydro turbine at the conditions of looking: where it is held, what runs by, and its voltage ladder."""

from __future__ import annotations

import numpy as np
import pytest
from a_hydro_site import BROOK, hydro_site

from engine.evaluation import Evaluation, evaluate
from engine.sections import badges, hydro_live
from engine.sections.results import ArrayLook, Conditions, Lane


def seen(
    changes: dict[str, str] | None = None, flow: float = 0.004, battery: float = 50.0
) -> tuple[ArrayLook, Evaluation]:
    evaluation = evaluate(hydro_site(changes))
    conditions = Conditions(flow=flow, battery=battery)
    result = evaluation.hydro["brook"]
    return (
        hydro_live.look(evaluation.design, result, evaluation.controllers, conditions, "metric"),
        evaluation,
    )


def ladder(changes: dict[str, str] | None = None) -> dict[str, Lane]:
    look, evaluation = seen(changes)
    result = evaluation.hydro["brook"]
    lanes = hydro_live.lanes(
        evaluation.design, result, evaluation.controllers, evaluation.circuits, look, "metric"
    )
    return {lane.title: lane for lane in lanes}


def test_that_it_is_held_at_its_most_power() -> None:
    look, _ = seen()
    assert look.state == "tracking"
    assert look.power == pytest.approx(look.watts.max(), rel=1e-3) == look.best_power
    assert look.voltage == look.best_voltage == pytest.approx(look.open_voltage / 2)
    assert np.allclose(look.watts, look.volts * look.amps)
    assert look.output_current == pytest.approx(look.power * 0.965 / 50, rel=0.03)


def test_that_a_direct_controller_holds_it_at_the_battery() -> None:
    look, _ = seen({"controllers.h.kind": "direct"})
    assert (look.state, look.voltage, look.output_current) == ("direct", 50.0, look.current)
    assert look.power < look.best_power


def test_that_more_flow_gives_more_until_the_nozzles_pass_no_more() -> None:
    powers = [seen(flow=flow)[0].power for flow in (0.001, 0.003, 0.006, 0.0062, 0.02)]
    assert powers[0] < powers[1] < powers[2] < powers[3] == powers[4]
    assert "run by" in seen(flow=0.02)[0].why
    assert "run by" not in seen(flow=0.0062)[0].why


@pytest.mark.parametrize(
    ("changes", "flow", "state"),
    [
        ({}, 0.0, "dry"),
        ({"efficiency": ""}, 0.004, "no curve"),
        ({"controller": ""}, 0.004, "no controller"),
        ({"controllers.h.operating_limit": "200 V"}, 0.004, "lock-out"),
        ({"controllers.h.operating_limit": "200 V", "limiter_on": "190 V"}, 0.004, "tracking"),
        ({"controllers.h.start_voltage": "350 V"}, 0.004, "below start"),
        ({"controllers.h.current_limit": "5 A"}, 0.006, "current limit"),
        ({"nozzle_diameter": "", "turbine": "francis", "nozzles": ""}, 3.0, "dry"),
    ],
)
def test_that_it_runs_free_where_nothing_holds_it(changes: dict[str, str], flow: float, state: str) -> None:
    look, _ = seen(changes, flow)
    assert look.state == state
    if state in ("no controller", "lock-out", "below start"):
        assert (look.current, look.power, look.voltage) == (0.0, 0.0, look.open_voltage)
    if state == "current limit":
        assert look.output_current == pytest.approx(5.0, rel=1e-3)
        assert look.voltage > look.best_voltage


def test_that_the_heads_of_a_flow_add_up_and_none_stand_where_nothing_flows() -> None:
    result = seen()[1].hydro["brook"]
    head = hydro_live.head_at(result, Conditions(flow=0.003))
    assert head is not None
    assert head.net_head + head.pipe_loss + head.fitting_loss == pytest.approx(40.0)
    assert head.hazen_loss is not None
    assert hydro_live.head_at(result, Conditions(flow=0.0)) is None
    least, most = hydro_live.flow_range({"brook": result})
    assert least == 0.0 and most > 0.006115


def test_that_the_badges_carry_the_volts_and_amps_that_flow() -> None:
    look, evaluation = seen()
    found = badges.of_turbines("hydro", {"brook": look}, Conditions(battery=50.0), evaluation.design)
    assert found[BROOK] == found["circuits.brook-run"] == (look.voltage, look.current)
    assert found["controllers.h"] == (50.0, look.output_current)
    unknown = badges.of_turbines("hydro", {}, Conditions(battery=50.0), evaluation.design)
    assert unknown[BROOK] == (None, None)


def test_that_the_ladder_shows_running_and_runaway_against_the_controller() -> None:
    lanes = ladder()
    assert set(lanes) >= {"Battery", "h", "Brook, running", "Brook, running free"}
    free = lanes["Brook, running free"]
    assert free.colour == "water" and free.path == BROOK
    assert free.spans[0].high == 300.0
    (record,) = [mark for mark in free.marks if mark.kind == "record"]
    assert (record.at, record.status) == (300.0, "meets")
    assert any(mark.kind == "now" for mark in lanes["Brook, running"].marks)


@pytest.mark.parametrize(
    "changes",
    [{"controllers.h.operating_limit": "200 V"}, {"open_voltage": "410 V", "volts_per_speed": "0.1 V/rpm"}],
)
def test_that_a_runaway_beyond_the_controller_fails_on_the_ladder(changes: dict[str, str]) -> None:
    (record,) = [mark for mark in ladder(changes)["Brook, running free"].marks if mark.kind == "record"]
    assert record.status == "fails" and record.text


def test_that_a_lane_without_data_says_what_to_enter() -> None:
    lanes = ladder({"open_voltage": "", "volts_per_speed": ""})
    assert "Highest open-circuit voltage" in lanes["Brook, running free"].empty
    assert lanes["Brook, running"].empty.startswith("Enter: ")


def test_that_a_limiter_has_its_lane() -> None:
    lane = ladder({"limiter_on": "250 V", "limiter_off": "220 V"})["Brook, limiter"]
    assert (lane.spans[0].low, lane.spans[0].high) == (220.0, 250.0)
