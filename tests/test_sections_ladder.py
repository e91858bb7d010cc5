"""The voltage ladder: which lanes, at which volts, saying what."""

from __future__ import annotations

import pytest
from a_sun_site import SECOND_ARRAY, results, site

from engine.sections import ladder, live
from engine.sections.results import CircuitResult, Conditions, Lane, Mark

NOW = Conditions(cell=45.0, irradiance=900.0, battery=26.0)
BREAKER = """
[circuits.south-run]
device = "b"

[devices.b]
label = "Array breaker"
kind = "breaker"
supply = "dc"
current = "40 A"
dc_voltage = "150 V"
poles = 1
"""


def lanes(
    changes: dict[str, str] | None = None,
    more: str = "",
    circuits: dict[str, CircuitResult] | None = None,
    now: Conditions = NOW,
    habit: str | None = None,
) -> tuple[Lane, ...]:
    design = site(changes, more)
    arrays, controllers = results(design)
    looks = live.look_all(design, arrays, controllers, now)
    return ladder.lanes(design, arrays, controllers, circuits or {}, "c", looks, habit)


def run(voltage: float | None, record: float | None = None) -> dict[str, CircuitResult]:
    circuit = CircuitResult(
        "south-run",
        "run",
        "South run",
        "arrays.south",
        "controllers.c",
        array="south",
        controller="c",
        voltage=voltage,
        voltage_record=record,
        voltage_class=250.0,
    )
    return {circuit.id: circuit}


def lane(found: tuple[Lane, ...], path: str, part: str = "") -> Lane:
    return next(item for item in found if item.path == path and part in item.title)


def marks(item: Lane, kind: str) -> list[Mark]:
    return [mark for mark in item.marks if mark.kind == kind]


def test_that_lanes_stand_in_the_order_from_battery_to_devices() -> None:
    found = lanes(more=BREAKER, circuits=run(108.0))
    wanted = ["bank", "controllers.c", "arrays.south", "arrays.south", "circuits.south-run", "modules.m"]
    assert [item.path for item in found] == wanted
    assert [item.colour for item in found] == ["battery", "ink", "sun", "sun", "ink", "ink"]


def test_that_the_battery_and_the_controller_stand_at_their_limits() -> None:
    found = lanes()
    battery, controller = found[0], found[1]
    assert (battery.spans[0].low, battery.spans[0].high) == (22, 30)
    operating, standoff = controller.spans
    assert (operating.low, operating.high, standoff.high) == (35, 145, 150)
    assert "35 V" in operating.text_low and "145 V" in operating.text and "150 V" in standoff.text


def test_that_the_source_stands_from_hot_to_cold_and_from_25_degc_to_the_record_low() -> None:
    found = lanes()
    design = site()
    arrays, _ = results(design)
    south = arrays["south"]
    running, opened = (lane(found, "arrays.south", part).spans[0] for part in ("running", "open"))
    assert (running.low, running.high) == (south.running_hot, south.running_cold)
    assert (opened.low, opened.high) == (south.open_standard, south.open_record)
    assert "design low" in opened.text_low and "record low" in opened.text


def test_that_the_present_is_marked_on_the_lane_where_the_array_stands() -> None:
    by_day = lanes()
    assert marks(lane(by_day, "arrays.south", "running"), "now")
    assert not marks(lane(by_day, "arrays.south", "open"), "now")
    waiting = lanes({"controllers.c.start_voltage": "120 V"})
    assert not marks(lane(waiting, "arrays.south", "running"), "now")
    assert "below start" in marks(lane(waiting, "arrays.south", "open"), "now")[0].text


def test_that_the_open_circuit_at_the_conditions_and_what_is_held_stand_on_their_lanes() -> None:
    design = site()
    arrays, controllers = results(design)
    noon, dawn = (
        live.look_all(design, arrays, controllers, Conditions(cell=cell, irradiance=sun, battery=26.0))
        for cell, sun in ((65.0, 1000.0), (-25.0, 100.0))
    )
    found = ladder.lanes(design, arrays, controllers, {}, "c", dawn, held=noon)
    running, opened = (lane(found, "arrays.south", part) for part in ("running", "open"))
    assert [mark.at for mark in marks(running, "held")] == [noon["south"].voltage]
    assert [mark.at for mark in marks(opened, "held")] == [noon["south"].open_voltage]
    assert [mark.at for mark in marks(opened, "would")] == [dawn["south"].open_voltage]
    assert (
        dawn["south"].open_voltage > noon["south"].open_voltage
    )  # the cold stands higher, in little light too


@pytest.mark.parametrize(
    ("standoff", "status"),
    [("150 V", "meets"), ("111.564 V", "meets"), ("111.5 V", "fails")],
)
def test_that_the_record_low_is_held_against_what_the_controller_survives(standoff: str, status: str) -> None:
    # Two of 49.5 V at -22 degC: 49.5 · (1 + 0.27 % · 47) · 2 = 111.5631 V.
    changes = {"controllers.c.standoff_limit": standoff, "controllers.c.operating_limit": "111 V"}
    record = marks(lane(lanes(changes), "arrays.south", "open"), "record")[0]
    assert record.at == pytest.approx(111.5631, abs=1e-4)
    assert record.status == status


def test_that_lock_out_in_the_cold_is_marginal() -> None:
    record = marks(lane(lanes({"controllers.c.operating_limit": "105 V"}), "arrays.south", "open"), "record")
    assert record[0].status == "marginal" and "105 V" in record[0].text


@pytest.mark.parametrize(
    ("voltage", "record", "status"),
    [
        (149.9, 149.9, "meets"),
        (150.0, 150.0, "meets"),
        (149.9, 150.1, "marginal"),
        (156.0, 158.0, "fails"),
        (None, None, "unknown"),
    ],
)
def test_that_a_device_in_hand_is_held_against_the_circuits_voltage(
    voltage: float | None, record: float | None, status: str
) -> None:
    rating = lane(lanes(more=BREAKER, circuits=run(voltage, record)), "circuits.south-run").marks[0]
    assert rating.at == 150 and rating.kind == "rating" and rating.status == status
    if status == "fails":
        assert "6 V too low" in rating.text


def test_that_without_a_device_the_class_that_it_needs_is_shown() -> None:
    rating = lane(lanes(circuits=run(210.0)), "circuits.south-run").marks[0]
    assert rating.at == 250 and "250 V" in rating.text and rating.status == ""


def test_that_circuits_of_other_controllers_stay_out() -> None:
    other = run(100.0)["south-run"]
    foreign = CircuitResult("x-run", "run", "Other", "", "", array="x", controller="y", voltage_class=250.0)
    found = lanes(circuits={"south-run": other, "x-run": foreign})
    assert [item.path for item in found if item.path.startswith("circuits.")] == ["circuits.south-run"]


@pytest.mark.parametrize(
    ("changes", "path", "part", "wanted"),
    [
        ({"bank.highest_voltage": ""}, "bank", "", "Highest charging voltage"),
        ({"controllers.c.standoff_limit": ""}, "controllers.c", "", "Standoff limit"),
        ({"site.design_high": ""}, "arrays.south", "running", "Design high"),
        ({"site.record_low": ""}, "arrays.south", "open", "Record low"),
        ({"modules.m.system_voltage": ""}, "modules.m", "", "Largest system voltage"),
        ({"devices.b.dc_voltage": ""}, "circuits.south-run", "", "DC voltage rating"),
    ],
)
def test_that_a_lane_without_its_data_says_what_to_enter(
    changes: dict[str, str], path: str, part: str, wanted: str
) -> None:
    found = lanes(changes, BREAKER, run(100.0))
    assert wanted in lane(found, path, part).empty


def test_that_a_complete_site_asks_for_nothing() -> None:
    assert not any(item.empty for item in lanes(more=BREAKER, circuits=run(100.0)))


def test_that_a_hot_string_short_of_starting_is_told_by_how_much() -> None:
    late = lane(lanes({"controllers.c.start_voltage": "75 V"}), "arrays.south", "running")
    short = next(mark for mark in late.marks if mark.status)
    # 41.5 V · (1 - 0.40 % · 40) · 2 = 69.72 V: 5.28 V short of 75 V, and over the battery's 30 V.
    assert short.status == "marginal" and "5.28 V" in short.text
    assert short.at == pytest.approx(69.72)


def test_that_a_standoff_limit_that_follows_the_battery_shows_the_breaker_opened_first() -> None:
    changes = {"controllers.c.standoff_above_battery": "110 V", "controllers.c.standoff_limit": ""}
    controller = lane(lanes(changes), "controllers.c")
    assert controller.spans[0].high == 22 + 110
    opened = next(mark for mark in controller.marks if mark.at == 110)
    assert "battery breaker open" in opened.text


def test_that_two_arrays_have_their_lanes_and_one_for_their_module() -> None:
    found = lanes(more=SECOND_ARRAY)
    assert [item.path for item in found].count("arrays.west") == 2
    assert [item.path for item in found].count("modules.m") == 1


def test_that_the_tallest_string_is_held_against_the_modules() -> None:
    changes = {"arrays.west.modules": "3", "modules.m.system_voltage": "150 V"}
    mark = lane(lanes(changes, SECOND_ARRAY), "modules.m").marks[0]
    assert mark.status == "fails"  # three at -10 degC stand at 162.5 V


def test_that_temperatures_are_told_in_the_habit() -> None:
    us, metric = lanes(habit="us"), lanes(habit="metric")
    assert "77 °F" in lane(us, "arrays.south", "open").spans[0].text_low
    assert "25 °C" in lane(metric, "arrays.south", "open").spans[0].text_low


def test_that_an_unknown_controller_has_no_lanes() -> None:
    assert ladder.lanes(site(), {}, {}, {}, "nobody", {}) == ()
