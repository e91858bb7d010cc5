"""The circuits of the sun side: which there are, what they carry, their conductors, devices and earthing."""

from __future__ import annotations

import pytest
from a_wired_site import SECOND_ARRAY, circuit, judged

from engine.physics.wire import wire_resistance
from engine.sections.results import Check, CircuitResult
from engine.sizes import parse_size
from engine.tables.family import family

FAMILIES = ("nec-2017", "nec-2020", "nec-2023", "iec")
SINGLE = {"arrays.south.strings": "1", "circuits.south-run.device": ""}


def check_of(circuit: CircuitResult, name: str) -> Check:
    """One check of a conductor by its name."""
    return next(check for check in circuit.checks if check.name == name)


def area(circuit: CircuitResult) -> float:
    """Metal area of the conductor [mm²]; a circuit that no size carries counts as endless."""
    return circuit.conductor.area_mm2 if circuit.conductor is not None else float("inf")


def paths(circuit: CircuitResult) -> list[str]:
    """Where something is missing."""
    return [item.path for item in circuit.missing]


def assumed(circuit: CircuitResult, name: str) -> str:
    """What was taken for a field that nobody entered."""
    return next(item.text for item in circuit.assumed if item.path == f"circuits.{circuit.id}.{name}")


# Which circuits there are


def test_that_strings_in_parallel_meet_in_a_combiner() -> None:
    circuits = judged().circuits
    assert list(circuits) == ["south-string", "south-run", "c-battery", "bank-string"]
    ends = [(item.origin, item.target) for item in circuits.values()][:3]
    assert ends == [("south", "south-combiner"), ("south-combiner", "c"), ("c", "battery")]


def test_that_a_single_string_runs_straight_to_its_controller() -> None:
    circuits = judged(SINGLE).circuits
    assert list(circuits) == ["south-run", "c-battery", "bank-string"]
    assert circuits["south-run"].origin == "south"


def test_that_a_controller_without_arrays_has_no_circuit_here() -> None:
    assert "c-battery" not in judged({"arrays.south.controller": ""}).circuits


# Currents and devices


def test_that_a_string_of_11_2_a_takes_14_a_17_5_a_and_a_20_a_device() -> None:
    """PV System Components, Voltage, and Current Calculations (electrician training lesson, 2023 NEC), open
    electrical-training curriculum, worked example 2: 11.2 A, 45 degC, 10 AWG with 90 degC insulation."""
    run = circuit("south-run", {**SINGLE, "circuits.south-run.size": "10 AWG"})
    assert run.current == pytest.approx(14.0, abs=0.05)
    assert run.design_current == pytest.approx(17.5, abs=0.05)
    assert run.device == 20.0
    assert check_of(run, "ampacity").capacity == pytest.approx(34.8, abs=0.05)
    assert all(check.ok for check in run.checks)


def test_that_the_battery_side_takes_the_controllers_limit_and_no_factor_for_bright_hours() -> None:
    """NEC 690.8(A): the rated output of a converting controller, 1.25 for continuous duty (from memory)."""
    output = circuit("c-battery")
    assert (output.current, output.design_current, output.device) == (80.0, 100.0, 100.0)
    iec = circuit("c-battery", {"rules": "iec"})
    assert (iec.current, iec.design_current, iec.device) == (80.0, 80.0, 80.0)


def test_that_a_sliding_output_limit_counts_where_it_is_highest() -> None:
    assert circuit("c-battery", {"controllers.c.current_points": "20 V: 90 A; 80 V: 70 A"}).current == 90.0


def test_that_bifacial_gain_raises_every_current_of_the_source_side() -> None:
    plain, more = judged().circuits, judged({"arrays.south.current_gain": "10 %"}).circuits
    for id in ("south-string", "south-run"):
        assert more[id].current == pytest.approx(1.1 * plain[id].current)  # type: ignore[operator]


def test_that_two_strings_without_back_feed_need_no_string_fuse() -> None:
    """Why Series Fusing?, Home Power magazine, questions and answers: one or two strings need none."""
    string = circuit("south-string")
    assert (string.device_needed, string.device) == (False, None)
    assert check_of(string, "reverse current").need == pytest.approx(14.0)


def test_that_three_strings_get_fuses_between_their_current_and_the_modules_limit() -> None:
    string = circuit("south-string", {"arrays.south.strings": "3"})
    assert string.device_needed
    assert string.device_least == pytest.approx(1.5625 * 11.2)
    assert string.device == string.device_largest == 20.0


def test_that_no_fuse_is_offered_above_what_the_module_stands() -> None:
    string = circuit("south-string", {"arrays.south.strings": "3", "modules.m.series_fuse": "15 A"})
    assert string.device_needed and string.device is None
    assert paths(string) == []


def test_that_an_unknown_back_feed_leaves_the_string_fuse_open() -> None:
    string = circuit("south-string", {"controllers.c.back_feed": ""})
    assert string.device_needed and string.device is None
    assert "controllers.c.back_feed" in paths(string)


def test_that_the_device_of_a_single_string_guards_it_against_the_other_array() -> None:
    changes = {**SINGLE, "arrays.west.strings": "2", "modules.m.series_fuse": "20 A"}
    run = circuit("south-run", changes, SECOND_ARRAY)
    assert run.device_needed  # 2 x 14 A from the west array, the modules stand 20 A
    assert run.device == run.device_largest == 20.0


def test_that_a_run_needs_a_device_only_where_more_flows_back_than_its_conductor_carries() -> None:
    """NEC 690.9(A), exception: no current from any source above the conductor's ampacity (from memory)."""
    assert not circuit("south-run").device_needed
    assert circuit("south-run", {"controllers.c.back_feed": "200 A"}).device_needed
    assert circuit("south-run", {"controllers.c.back_feed": ""}).device_needed


# Voltages


def test_that_the_class_follows_the_design_low_and_the_record_low_stands_beside_it() -> None:
    run = circuit("south-run")
    assert run.voltage == pytest.approx(99 * (1 + 0.0027 * 35))
    assert run.voltage_record == pytest.approx(99 * (1 + 0.0027 * 47))
    assert run.voltage_class == 125.0


def test_that_the_battery_side_stands_at_the_highest_charging_voltage() -> None:
    output = circuit("c-battery", {"bank.highest_voltage": "31.8 V"})
    assert (output.voltage, output.voltage_record, output.voltage_class) == (31.8, None, 32.0)


# Conductors


def test_that_drop_and_loss_follow_ohms_law_on_the_running_current() -> None:
    run = circuit("south-run", {"circuits.south-run.size": "8 AWG"})
    each = wire_resistance(size=parse_size("8 AWG"), rules=family("nec-2023"), temperature=75.0).resistance
    volts = 2 * 15 * 21.2 * each
    assert run.drop == pytest.approx(volts)
    assert run.drop_fraction == pytest.approx(volts / 83.0)
    assert run.loss == pytest.approx(volts * 21.2)


def test_that_parallel_conductors_share_the_current() -> None:
    pinned = {"circuits.c-battery.size": "1/0 AWG"}
    one = circuit("c-battery", pinned)
    two = circuit("c-battery", {**pinned, "circuits.c-battery.parallel": "2"})
    assert two.drop == pytest.approx(one.drop / 2)  # type: ignore[operator]
    assert two.loss == pytest.approx(one.loss / 2)  # type: ignore[operator]
    assert check_of(two, "terminal").capacity == pytest.approx(2 * check_of(one, "terminal").capacity)


def test_that_conductors_below_1_0_awg_are_not_put_in_parallel() -> None:
    """NEC 310.10(G), before 2020 310.10(H) (from memory)."""
    two = {"circuits.c-battery.parallel": "2"}
    assert area(circuit("c-battery", two)) >= parse_size("1/0 AWG").area_mm2
    small = circuit("c-battery", {**two, "circuits.c-battery.size": "2 AWG"})
    assert not check_of(small, "parallel").ok


@pytest.mark.parametrize(("terminal", "capacity"), [("60 degC", 40), ("75 degC", 50), ("90 degC", 55)])
def test_that_a_cooler_terminal_lets_8_awg_carry_less(terminal: str, capacity: float) -> None:
    """The Conductors: Getting Solar Energy to the Inverter for 40-50 Years, IAEI magazine, 2012 (from
    memory); NEC Table 310.16."""
    changes = {"circuits.south-run.size": "8 AWG", "circuits.south-run.terminal": terminal}
    assert check_of(circuit("south-run", changes), "terminal").capacity == capacity


def test_that_a_cold_controller_terminal_counts_and_a_hot_one_relaxes_nothing() -> None:
    plain = circuit("c-battery", {"circuits.c-battery.terminal": ""})
    assert circuit("c-battery", {"controllers.c.terminal": "90 degC"}).conductor == plain.conductor
    big = {"controllers.c.current_limit": "100 A"}
    cool = circuit("c-battery", {**big, "controllers.c.terminal": "60 degC"})
    assert (
        check_of(cool, "terminal").capacity < check_of(circuit("c-battery", big), "terminal").capacity * 1.2
    )
    assert area(cool) > area(circuit("c-battery", big))


@pytest.mark.parametrize("rules", FAMILIES)
def test_that_the_next_size_down_fails_the_check_that_is_named(rules: str) -> None:
    for id, chosen in judged({"rules": rules}).circuits.items():
        assert chosen.smaller is not None and chosen.smaller_fails == chosen.governed_by
        pinned = circuit(id, {"rules": rules, f"circuits.{id}.size": chosen.smaller.text})
        assert not check_of(pinned, chosen.smaller_fails).ok
        assert pinned.pinned and pinned.conductor == chosen.smaller


@pytest.mark.parametrize("rules", FAMILIES)
def test_that_a_chosen_conductor_passes_its_checks_and_its_device_protects_it(rules: str) -> None:
    for chosen in judged({"rules": rules, "arrays.south.strings": "3"}).circuits.values():
        assert all(check.ok for check in chosen.checks)
        assert chosen.device is not None and chosen.device_largest is not None
        assert chosen.device_least is not None
        assert chosen.device_least <= chosen.device <= chosen.device_largest


def test_that_iec_keeps_current_device_and_ampacity_in_order() -> None:
    """IEC 60364-4-43, 433.1: Ib not above In, In not above Iz."""
    for chosen in judged({"rules": "iec"}).circuits.values():
        assert chosen.current is not None
        carried = check_of(chosen, "ampacity").capacity
        assert chosen.current <= (chosen.device or chosen.current) <= carried


def test_that_a_drop_that_no_size_keeps_gets_the_largest_and_says_so() -> None:
    run = circuit(
        "south-run", {"circuits.south-run.length": "3 km", "circuits.south-run.allowed_drop": "0.1 %"}
    )
    assert run.conductor is not None and run.conductor.text == "1000 kcmil"
    assert run.governed_by == "drop" and not check_of(run, "drop").ok


def test_that_a_current_that_no_size_carries_has_no_conductor() -> None:
    output = circuit("c-battery", {"controllers.c.current_limit": "2 kA", "circuits.c-battery.device": ""})
    assert output.conductor is None and paths(output) == []


def test_that_a_size_of_the_other_family_is_refused_with_what_it_must_be() -> None:
    run = circuit("south-run", {"circuits.south-run.size": "16 mm2"})
    assert run.checks == () and paths(run) == ["circuits.south-run.size"]
    assert "14 AWG" in run.missing[0].title


def test_that_insulation_without_a_table_is_refused() -> None:
    assert paths(circuit("south-run", {"circuits.south-run.insulation": "80 degC"})) == [
        "circuits.south-run.insulation"
    ]


def test_that_a_missing_length_leaves_only_the_drop_open() -> None:
    run = circuit("south-run", {"circuits.south-run.length": ""})
    assert run.conductor is not None and run.device == 35.0
    assert run.drop_fraction is None and paths(run) == ["circuits.south-run.length"]


# What nobody entered


def test_that_the_ambient_is_the_design_high_and_more_by_the_place() -> None:
    bare = {"circuits.south-run.ambient": ""}
    hot = {"outdoors": 35.0, "indoors": 35.0, "battery room": 40.0, "attic": 60.0, "buried": 35.0}
    for place, degrees in hot.items():
        run = circuit("south-run", {**bare, "circuits.south-run.place": place})
        assert assumed(run, "ambient") == f"{degrees:g} °C"


def test_that_a_cool_place_is_not_taken_to_be_cooler_than_the_tables_own_30_degc() -> None:
    changes = {"circuits.south-run.ambient": "", "site.design_high": "20 degC"}
    assert assumed(circuit("south-run", changes), "ambient") == "30 °C"


def test_that_a_raceway_on_the_roof_is_33_k_hotter_unless_it_stands_off() -> None:
    """NEC 310.15(B)(2), 2017 310.15(B)(3)(c): 33 K where closer than 7/8 in."""
    roof = {"circuits.south-run.ambient": "", "circuits.south-run.place": "roof"}
    assert assumed(circuit("south-run", roof), "ambient") == "68 °C"
    for height, degrees in (("22 mm", "68 °C"), ("1 in", "35 °C")):
        run = circuit("south-run", {**roof, "circuits.south-run.above_roof": height})
        assert assumed(run, "ambient") == degrees
    entered = {**roof, "circuits.south-run.ambient": "40 degC", "circuits.south-run.above_roof": "10 mm"}
    assert assumed(circuit("south-run", entered), "ambient") == "73 °C"
    unsaid = {**entered, "circuits.south-run.above_roof": ""}
    assert assumed(circuit("south-run", unsaid), "ambient") == "73 °C"  # an unknown height is the stricter


def test_that_without_any_temperature_nothing_is_sized() -> None:
    run = circuit("south-run", {"circuits.south-run.ambient": "", "site.design_high": ""})
    assert run.conductor is None and "site.design_high" in paths(run)


def test_that_all_strings_are_taken_to_share_one_raceway() -> None:
    assert assumed(circuit("south-string", {"arrays.south.strings": "4"}), "conductors") == "8"
    assert assumed(circuit("south-run"), "conductors") == "2"


def test_that_a_method_of_the_other_family_gives_way_to_the_stricter_one() -> None:
    nec = circuit("south-run", {"circuits.south-run.method": "C"})
    iec = circuit("south-run", {"rules": "iec", "circuits.south-run.method": "free air"})
    assert (assumed(nec, "method"), assumed(iec, "method")) == ("raceway", "B2")


# Earthing conductors


@pytest.mark.parametrize(
    ("amps", "size"), [("35 A", "10 AWG"), ("60 A", "10 AWG"), ("100 A", "8 AWG"), ("200 A", "6 AWG")]
)
def test_that_the_earthing_conductor_follows_a_larger_device_in_hand(amps: str, size: str) -> None:
    """NEC Table 250.122, copper."""
    changes = {"circuits.south-run.size": "1/0 AWG", "devices.run-breaker.current": amps}
    assert circuit("south-run", changes).earthing == parse_size(size)


def test_that_a_larger_conductor_on_the_battery_side_takes_its_earthing_conductor_along() -> None:
    """NEC 250.122(B): in proportion of the conductor's area; 690.45 spares PV circuits enlarged for drop."""
    near, far = circuit("c-battery"), circuit("c-battery", {"circuits.c-battery.length": "8 m"})
    assert far.governed_by == "drop"
    assert near.earthing is not None and far.earthing is not None
    assert far.earthing.area_mm2 >= near.earthing.area_mm2 * area(far) / area(near) * 0.999
    run = {"circuits.south-run.length": "60 m"}
    assert circuit("south-run", run).earthing == circuit("south-run").earthing
