"""The demand of a whole design: sums by hand, hours, what is missing, and laws."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.places import demo_sites
from engine import evaluate
from engine.codec import load, loads
from engine.design import Design
from engine.edit import set_fields
from engine.sections.demand import OWN_DRAW, demand

CABIN = """
format = 1
[bank]
voltage = "24 V"
[loads.fridge]
power = "100 W"
hours = "8 h"
surge_factor = 5
critical = true
[loads.tools]
power = "600 W"
hours = "2 h"
starts = "23 h"
days_a_week = 3.5
together = false
surge_factor = 2
[loads.washer]
power = "450 W"
hours = "1 h"
together = false
surge_factor = 3
[loads.radio]
kind = "dc"
current = "0.5 A"
hours = "24 h"
critical = true
[inverters.house]
power = "2 kW"
efficiency = "90 %"
idle = "20 W"
[controllers.sun]
standby = "3 W"
"""


@pytest.fixture
def cabin() -> Design:
    return loads(CABIN)


def test_that_every_part_of_the_day_is_as_by_hand(cabin: Design) -> None:
    found = demand(cabin)
    assert found.missing == ()
    # 100 W x 8 h + 600 W x 2 h x 3.5 / 7 + 450 W x 1 h = 1850 Wh; the radio 0.5 A x 24 V x 24 h = 288 Wh.
    assert (found.ac_wh or ())[0] == pytest.approx(1850)
    assert (found.dc_wh or ())[0] == pytest.approx(288)
    assert (found.idle_wh or ())[0] == pytest.approx(480)
    assert (found.loss_wh or ())[0] == pytest.approx(1850 / 0.9 - 1850)
    assert (found.own_wh or ())[0] == pytest.approx(72)
    assert (found.bank_wh or ())[0] == pytest.approx(1850 / 0.9 + 288 + 480 + 72)
    assert (found.critical_wh or ())[0] == pytest.approx(800 / 0.9 + 288 + 480 + 72)


def test_that_loads_that_take_turns_count_one_at_a_time(cabin: Design) -> None:
    found = demand(cabin)
    # The refrigerator runs; of tools (600 W) and washer (450 W) the greater; the washer's start is the worst:
    # 100 + 450 x 3 = 1450 W over 100 + 600 x 2 = 1300 W and 700 + 100 x 4 = 1100 W.
    assert (found.peak_ac_w, found.peak_dc_w) == (700, 12)
    assert (found.surge_w, found.surge_load) == (1450, "washer")
    together = {"loads.tools.together": "", "loads.washer.together": ""}
    assert demand(set_fields(cabin, together)).peak_ac_w == 1150


def test_that_a_load_that_starts_late_runs_on_after_midnight(cabin: Design) -> None:
    day = demand(cabin).by_hour(0)
    assert day is not None
    spread = 100 * 8 / 24 + 450 / 24
    assert day.ac[0] == day.ac[23] == pytest.approx(spread + 600 / 2)
    assert day.ac[12] == pytest.approx(spread)
    assert sum(day.ac) == pytest.approx(1850)


def test_that_the_hours_of_every_demo_make_up_its_day() -> None:
    for path in demo_sites().glob("*.toml"):
        found = evaluate(load(path)).demand
        assert found.bank_wh is not None and found.growth_wh is not None
        for month in range(12):
            day = found.by_hour(month)
            assert day is not None and day.losses is not None
            whole = sum(sum(part) for part in (day.ac, day.dc, day.standby, day.losses))
            assert whole + found.growth_wh[month] == pytest.approx(found.bank_wh[month])
            rows = sum((row.energy or ())[month] for row in found.rows)
            assert rows == pytest.approx((found.ac_wh or ())[month] + (found.dc_wh or ())[month])


def test_that_growth_is_counted_with_loads_and_conversion(cabin: Design) -> None:
    before, after = demand(cabin), demand(set_fields(cabin, {"bank.growth": "20 %"}))
    grown = (after.bank_wh or ())[0] - (before.bank_wh or ())[0]
    assert grown == pytest.approx(0.2 * (1850 / 0.9 + 288)) == pytest.approx((after.growth_wh or ())[0])


@pytest.mark.parametrize(
    ("path", "lacks"),
    [
        ("loads.fridge.power", "loads.fridge.power"),
        ("loads.fridge.hours", "loads.fridge.hours"),
        ("loads.radio.current", "loads.radio.power"),
        ("bank.voltage", "bank.voltage"),
        ("inverters.house.idle", "inverters.house.idle"),
        ("inverters.house.efficiency", "inverters.house.efficiency"),
        ("inverters.house.power", "inverters.house.power"),
    ],
)
def test_that_what_is_missing_is_named_and_never_counts_as_nothing(
    cabin: Design, path: str, lacks: str
) -> None:
    found = demand(set_fields(cabin, {path: ""}))
    assert lacks in [item.path for item in found.missing]
    assert found.bank_wh is None and found.idle_wh is None


def test_that_ac_loads_want_an_inverter_and_no_loads_are_no_answer() -> None:
    without = demand(loads("format = 1\n[loads.a]\npower = '10 W'\nhours = '1 h'\n"))
    assert [item.path for item in without.missing] == ["inverters"] and without.bank_wh is None
    assert [item.path for item in demand(loads("format = 1\n")).missing] == ["loads"]


def test_that_a_controller_of_which_nothing_is_known_counts_with_a_high_draw(cabin: Design) -> None:
    found = demand(set_fields(cabin, {"controllers.sun.standby": ""}))
    assert (found.own_wh or ())[0] == 24 * OWN_DRAW
    assert [item.path for item in found.assumed] == ["controllers.sun.standby"]


def test_that_a_power_and_a_current_are_refused_together(cabin: Design) -> None:
    with pytest.raises(ValueError, match="a power or a current"):
        set_fields(cabin, {"loads.radio.power": "12 W"})


def test_that_an_edit_elsewhere_gives_the_very_same_demand(cabin: Design) -> None:
    assert demand(set_fields(cabin, {"site.elevation": "100 m"})) is demand(cabin)


@settings(max_examples=40, deadline=None)
@given(st.floats(0, 24), st.floats(0, 24), st.floats(0, 24))
def test_that_more_hours_never_take_less(one: float, other: float, starts: float) -> None:
    def bank(hours: float) -> float:
        texts = {"loads.tools.hours": f"{hours:.6f} h", "loads.tools.starts": f"{starts:.6f} h"}
        return (demand(set_fields(loads(CABIN), texts)).bank_wh or ())[0]

    assert bank(min(one, other)) <= bank(max(one, other)) + 1e-6
