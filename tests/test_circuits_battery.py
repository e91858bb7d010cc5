"""The circuits of the battery and ac sides: which there are, what they carry, what faults they see."""

from __future__ import annotations

import pytest
from a_battery_site import circuit, found, judged

from engine.physics.wire import wire_resistance
from engine.sections.results import CircuitResult
from engine.sizes import parse_size
from engine.tables.family import family

BANK, BUS = "circuits.bank-string", ("house-battery", "set-battery", "panel-battery")
MAINS = {"rules": "iec", "inverters.house.ac_voltage": "230 V", "generators.set.ac_voltage": "230 V"}


def paths(circuit: CircuitResult) -> set[str]:
    """Where something is missing for the fault currents."""
    return {item.path for item in circuit.fault_missing}


# Which circuits there are


def test_that_everything_on_the_bank_has_its_circuit() -> None:
    ends = {id: (item.origin, item.target, item.system) for id, item in judged().circuits.items()}
    assert ends == {
        "set-battery": ("set-charger", "battery", "dc"),
        "bank-string": ("battery-string", "battery", "dc"),
        "house-battery": ("battery", "house", "dc"),
        "panel-battery": ("battery", "dc-panel", "dc"),
        "lamp-branch": ("dc-panel", "lamp", "dc"),
        "radio-branch": ("dc-panel", "radio", "dc"),
        "house-output": ("house", "ac-panel", "ac"),
        "set-charger": ("set", "set-charger", "ac"),
    }


def test_that_without_dc_loads_there_is_no_dc_panel() -> None:
    ac = {"loads.lamp.kind": "ac", "loads.radio.kind": "ac"}
    assert not {"panel-battery", "lamp-branch", "radio-branch"} & set(judged(ac).circuits)


def test_that_each_belongs_to_its_piece() -> None:
    pieces = {id: item.piece for id, item in judged().circuits.items()}
    assert pieces["house-battery"] == pieces["house-output"] == "inverters.house"
    assert pieces["bank-string"] == pieces["panel-battery"] == "bank"
    assert pieces["lamp-branch"] == "loads.lamp"
    assert {f.where for f in judged().at("inverters.house")} >= {"circuits.house-battery", "inverters.house"}


# What they carry


def test_that_the_published_inverter_draws_134_a_and_its_cable_is_made_for_167_a() -> None:
    """2500 W, 85 %, 22 V: Photovoltaic Power Systems and the National Electrical Code: Suggested Practices,
    Sandia National Laboratories and New Mexico State University (read in a syllabus that restates it)."""
    house = circuit("house-battery")
    assert house.current == pytest.approx(134, abs=0.5)
    assert house.design_current == pytest.approx(167, abs=0.5)
    assert house.device == 175 and house.device_least == house.design_current
    assert house.steps["current"].sheet.id == "inverter-dc-current"


def test_that_the_lower_of_bank_and_inverter_cut_out_sets_an_inverters_current() -> None:
    lower = circuit("house-battery", {"inverters.house.lowest_voltage": "20 V"})
    higher = circuit("house-battery", {"inverters.house.lowest_voltage": "23 V"})
    assert lower.current == pytest.approx(2500 / 0.85 / 20)
    assert higher.current == pytest.approx(2500 / 0.85 / 22)


def test_that_the_panel_carries_all_dc_loads_at_the_lowest_voltage() -> None:
    circuits = judged().circuits
    assert circuits["lamp-branch"].current == pytest.approx(110 / 22)
    assert circuits["radio-branch"].current == pytest.approx(2 * 22 / 22)
    assert circuits["panel-battery"].current == pytest.approx(154 / 22)


def test_that_a_battery_string_carries_all_with_one_string_out() -> None:
    drawn = 2500 / 0.85 / 22 + 154 / 22
    assert circuit("bank-string").current == pytest.approx(drawn)
    assert circuit("bank-string", {"bank.strings": "3"}).current == pytest.approx(drawn / 2)
    assert circuit("bank-string", {"bank.strings": "1"}).current == pytest.approx(drawn)
    charged = {"generators.set.charger_current": "400 A"}
    assert circuit("bank-string", charged).current == pytest.approx(400)


def test_that_an_inverters_output_carries_its_power_at_its_voltage() -> None:
    assert circuit("house-output").current == pytest.approx(2500 / 120)
    three = {**MAINS, "inverters.house.ac_voltage": "400 V", "inverters.house.phases": "3"}
    assert circuit("house-output", three).current == pytest.approx(2500 / 400 / 3**0.5)
    assert circuit("house-output", three).poles == 3


def test_that_three_phases_drop_by_the_root_of_three() -> None:
    three = {**MAINS, "inverters.house.ac_voltage": "400 V", "inverters.house.phases": "3"}
    out = circuit("house-output", {**three, "circuits.house-output.size": "2.5 mm2"})
    ohm = wire_resistance(size=parse_size("2.5 mm2"), temperature=75, rules=family("iec")).resistance
    assert out.current is not None
    assert out.drop == pytest.approx(3**0.5 * 10 * out.current * ohm)


# Fault currents


def test_that_the_published_battery_drives_17_5_ka_and_each_string_4_37_ka() -> None:
    """110 cells of 0.5 mohm, 240 V, 4 strings: Calculation of DC distribution system characteristics,
    a low-voltage switchgear application guide, short-circuit current across battery terminals (read)."""
    changes = {
        "bank.voltage": "220 V",
        "bank.highest_voltage": "240 V",
        "bank.lowest_voltage": "200 V",
        "bank.series": "110",
        "bank.strings": "4",
        "generators.set.charger_current": "0.001 A",
    }
    assert circuit("house-battery", changes).fault_most == pytest.approx(17.5e3, abs=50)
    assert circuit("bank-string", changes).fault_most == pytest.approx(3 * 4.37e3, abs=3 * 20)


def test_that_the_bus_sees_all_strings_and_chargers_and_a_string_the_others() -> None:
    circuits = judged({"bank.strings": "3"}).circuits
    of_string = 30 / (12 * 0.5e-3)
    for id in BUS:
        assert circuits[id].fault_most == pytest.approx(3 * of_string + 50)
    assert circuits["bank-string"].fault_most == pytest.approx(2 * of_string + 50)
    alone = circuit("bank-string", {"bank.strings": "1"})
    assert alone.fault_most == pytest.approx(of_string + 50)


def test_that_the_least_fault_passes_aged_blocks_and_hot_conductors_there_and_back() -> None:
    rules = family("nec-2023")
    circuits = judged(
        {"circuits.bank-string.size": "2/0 AWG", "circuits.house-battery.size": "2/0 AWG"}
    ).circuits
    each = wire_resistance(size=parse_size("2/0 AWG"), temperature=90, rules=rules).resistance
    string = 12 * 1e-3 / 2 + 2 * 1 * each / 2
    assert circuits["house-battery"].fault_least == pytest.approx(22 / (string + 2 * 2 * each))
    assert circuits["bank-string"].fault_least == pytest.approx(22 / (12 * 1e-3 + 2 * 1 * each))


def test_that_a_branch_sees_the_fault_behind_its_panels_cable() -> None:
    rules = family("nec-2023")
    circuits = judged({"circuits.panel-battery.size": "6 AWG"}).circuits
    cold = wire_resistance(size=parse_size("6 AWG"), temperature=-40, rules=rules).resistance
    assert circuits["lamp-branch"].fault_most == pytest.approx(30 / (12 * 0.5e-3 / 2 + 2 * 2 * cold) + 50)


@pytest.mark.parametrize(
    ("cleared", "most", "least"),
    [
        ("bank.block_resistance", None, 1.0),
        ("bank.block_resistance_aged", 1.0, None),
        ("bank.highest_voltage", None, 1.0),
        ("bank.lowest_voltage", 1.0, None),
        ("bank.series", None, None),
        ("bank.strings", None, None),
        ("generators.set.charger_current", None, 1.0),
        ("circuits.bank-string.length", 1.0, None),
        ("circuits.panel-battery.length", 1.0, None),
    ],
)
def test_that_a_missing_datum_leaves_its_end_of_the_fault_current_open(
    cleared: str, most: float | None, least: float | None
) -> None:
    panel = circuit("panel-battery", {cleared: ""})
    assert (panel.fault_most is None) == (most is None)
    assert (panel.fault_least is None) == (least is None)
    assert cleared in paths(panel)


def test_that_a_source_that_limits_itself_gives_no_more_than_its_limit() -> None:
    assert circuit("house-output").fault_most == circuit("house-output").fault_least == 60
    charger = circuit("set-charger")
    assert (charger.fault_most, charger.fault_least) == (200, 80)
    far = circuit(
        "set-charger", {"circuits.set-charger.length": "2000 m", "circuits.set-charger.size": "14 AWG"}
    )
    assert far.fault_least is not None and far.fault_least < 80


# Devices and conductors


def test_that_the_highest_charging_voltage_sets_the_class_on_the_battery_side() -> None:
    assert {item.voltage for item in judged().circuits.values() if item.system == "dc"} == {30}
    assert circuit("house-battery", {"bank.highest_voltage": "32.1 V"}).voltage_class == 58
    assert circuit("house-output").voltage_class == 120
    assert circuit("house-output", MAINS).voltage_class == 230


@pytest.mark.parametrize(("said", "poles"), [("negative", 1), ("positive", 1), ("none", 2), ("", None)])
def test_that_the_earthed_pole_decides_how_many_a_device_opens(said: str, poles: int | None) -> None:
    assert circuit("house-battery", {"bank.system_earthing": said}).poles == poles


@pytest.mark.parametrize(
    ("changes", "poles"),
    [
        ({}, 1),
        ({"inverters.house.ac_voltage": "240 V"}, 2),
        ({"inverters.house.neutral_bond": "none"}, 2),
        (MAINS, 1),
        ({**MAINS, "inverters.house.neutral_bond": ""}, 2),
    ],
)
def test_that_ac_devices_open_every_line_and_an_unearthed_neutral(
    changes: dict[str, str], poles: int
) -> None:
    assert circuit("house-output", changes).poles == poles


def test_that_a_conductor_grows_until_it_stands_the_fault() -> None:
    slow = {
        "bank.block_resistance": "0.1 mohm",
        "devices.fuse.kind": "breaker",
        "devices.fuse.breaking": "300 kA",
        "circuits.house-battery.length": "0.2 m",
    }
    house = circuit("house-battery", slow)
    assert house.fault_most is not None and house.conductor is not None
    assert house.smaller_fails == "fault"
    # k 100 of thermoplastic 90 degC copper (IEC 60364-4-43, Table 43A), 50 ms
    assert house.conductor.area_mm2 >= house.fault_most * 0.05**0.5 / 100
    assert house.smaller is not None and house.smaller.area_mm2 < house.fault_most * 0.05**0.5 / 100


def test_that_on_a_battery_a_fuse_is_taken_where_no_device_is_in_hand() -> None:
    panel = circuit("panel-battery")
    assert panel.device_kind == "fuse"
    assert any(item.path == "circuits.panel-battery.device" for item in panel.assumed)
    assert circuit("house-output").device_kind == "breaker"


def test_that_a_terminal_marked_colder_sizes_the_conductor() -> None:
    plain, cold = circuit("house-battery"), circuit("house-battery", {"inverters.house.terminal": "60 degC"})
    device = circuit("house-battery", {"devices.fuse.terminal": "60 degC"})
    assert plain.conductor is not None and cold.conductor is not None
    assert cold.conductor > plain.conductor and device.conductor == cold.conductor


def test_that_a_diversion_circuit_is_made_for_150_percent_of_its_controller() -> None:
    """NFPA 70, 706.33 (706.23 in 2017): conductor and device at least 150 % (from memory)."""
    more = """
[controllers.surplus]
kind = "diversion"
current_limit = "60 A"

[diversions.heater]
controller = "surplus"
rated_power = "1500 W"
rated_voltage = "31 V"
resistance = "0.6 ohm"
"""
    circuits = judged({}, more).circuits
    assert next(iter(circuits)) == "surplus-battery"
    for id in ("surplus-battery", "heater-load"):
        assert circuits[id].current == circuits[id].design_current == 90
        assert circuits[id].device == 90
    assert circuits["heater-load"].running_current == pytest.approx(30 / 0.6)


def test_that_a_diversion_load_without_a_controller_asks_for_it_alone() -> None:
    heater = circuit("heater-load", {}, "[diversions.heater]\nresistance = '0.6 ohm'\n")
    assert "None" not in heater.behind and not heater.nearest
    assert heater.fault_least is None
    for lacks in (heater.missing, heater.fault_missing):
        assert "diversions.heater.controller" in {item.path for item in lacks}


def test_that_a_fixed_earthing_conductor_too_thin_fails() -> None:
    where = "circuits.house-battery"
    for size, status in (("6 AWG", "meets"), ("8 AWG", "fails")):
        evaluation = judged({f"{where}.earthing": size})
        assert found(evaluation, "earthing-size", where).status.word == status
