"""Single faults put into the sound demos on the battery and ac sides: each is found by the right rule."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine import evaluate, load
from engine.edit import set_fields
from engine.finding import Status

FOLDER = Path(__file__).parent.parent / "demo_sites"
SOUND = {name: load(FOLDER / f"{name}.toml") for name in ("lake_cabin", "mountain_farm", "tropical_clinic")}
BAD = (Status.FAILS, Status.UNKNOWN)

CABIN = [
    ("device-breaking", "circuits.house-battery", {"devices.inverter-fuse.breaking": "5 kA"}),
    ("device-breaking", "circuits.house-battery", {"devices.inverter-fuse.breaking": ""}),
    ("device-breaking", "circuits.bank-string", {"devices.bank-fuse.breaking": "10 kA"}),
    ("device-breaking", "circuits.radio-branch", {"devices.branch-fuse.breaking": "1 kA"}),
    ("device-voltage", "circuits.bank-string", {"devices.bank-fuse.dc_voltage": "28 V"}),
    ("device-voltage", "circuits.shed-battery", {"bank.highest_voltage": "126 V"}),
    ("device-supply", "circuits.house-battery", {"devices.inverter-fuse.supply": "ac"}),
    ("device-supply", "circuits.house-output", {"devices.house-breaker.supply": "dc"}),
    ("device-current", "circuits.house-battery", {"devices.inverter-fuse.current": "150 A"}),
    ("device-current", "circuits.house-battery", {"devices.inverter-fuse.current": "400 A"}),
    ("device-current", "circuits.panel-battery", {"circuits.panel-battery.size": "14 AWG"}),
    ("device-current", "circuits.heater-load", {"devices.diversion-breaker.current": "60 A"}),
    ("device-polarity", "circuits.shed-battery", {"devices.charger-breaker.polarity": "marked"}),
    ("device-kind", "circuits.radio-branch", {"devices.branch-fuse.kind": "switch"}),
    ("device-poles", "circuits.shed-battery", {"bank.system_earthing": "none"}),
    ("device-poles", "circuits.shed-battery", {"devices.charger-breaker.poles": ""}),
    ("device-poles", "circuits.house-output", {"inverters.house.neutral_bond": "none"}),
    ("conductor", "circuits.house-battery", {"circuits.house-battery.size": "4 AWG"}),
    ("conductor", "circuits.house-output", {"circuits.house-output.size": "14 AWG"}),
    ("terminal-size", "circuits.house-battery", {"inverters.house.largest_wire": "2 AWG"}),
    ("earthing-size", "circuits.house-battery", {"circuits.house-battery.earthing": "12 AWG"}),
    ("insulation-voltage", "circuits.bank-string", {"circuits.bank-string.insulation_voltage": "24 V"}),
    ("battery-device", "bank", {"bank.string_device": "none"}),
    ("battery-fault", "bank", {"bank.block_resistance": ""}),
    ("battery-fault", "bank", {"bank.block_resistance": "0.01 mohm"}),
    ("device-trip", "circuits.house-battery", {"bank.block_resistance_aged": ""}),
    ("device-trip", "circuits.radio-branch", {"circuits.radio-branch.length": "2500 m"}),
    ("neutral-bond", "inverters.house", {"inverters.house.neutral_bond": "none"}),
    ("neutral-bond", "generators.shed", {"generators.shed.neutral_bond": "floating"}),
    ("neutral-bond", "generators.shed", {"generators.shed.feeds": "the inverter's input"}),
    ("diversion-power", "diversions.heater", {"diversions.heater.rated_power": "1.4 kW"}),
    ("diversion-current", "diversions.heater", {"diversions.heater.resistance": "0.5 ohm"}),
    ("diversion-voltage", "diversions.heater", {"diversions.heater.rated_voltage": "24 V"}),
    ("diversion-thermostat", "diversions.heater", {"diversions.heater.own_thermostat": "yes"}),
]
FARM = [
    ("device-breaking", "circuits.farm-battery", {"devices.inverter-fuse.breaking": "10 kA"}),
    ("device-breaking", "circuits.sun-charger-battery", {"devices.charger-breaker.breaking": "10 kA"}),
    ("device-breaking", "circuits.sun-charger-battery", {"bank.block_resistance": "0.05 mohm"}),
    ("device-voltage", "circuits.creek-charger-battery", {"devices.charger-breaker.dc_voltage": "48 V"}),
    ("device-voltage", "circuits.farm-output", {"devices.house-breaker.ac_voltage": "120 V"}),
    ("device-current", "circuits.creek-charger-battery", {"devices.charger-breaker.current": "80 A"}),
    ("device-current", "circuits.bank-string", {"devices.bank-fuse.current": "150 A"}),
    ("device-poles", "circuits.farm-output", {"devices.house-breaker.poles": "1"}),
    ("device-poles", "circuits.boiler-load", {"bank.system_earthing": "none"}),
    ("device-supply", "circuits.panel-battery", {"devices.panel-fuse.supply": ""}),
    ("battery-device", "bank", {"bank.string_device": "one for all"}),
    ("conductor", "circuits.bank-string", {"circuits.bank-string.size": "1/0 AWG"}),
    ("conductor", "circuits.boiler-load", {"circuits.boiler-load.size": "8 AWG"}),
    (
        "conductor",
        "circuits.farm-battery",
        {"inverters.farm.terminal": "60 degC", "circuits.farm-battery.size": "3/0 AWG"},
    ),
    ("fault-withstand", "circuits.standby-battery", {"circuits.standby-battery.size": "8 AWG"}),
    ("device-trip", "circuits.fence-branch", {"circuits.fence-branch.length": "3 km"}),
    ("diversion-power", "diversions.boiler", {"hydro.creek.rated_power": "1.4 kW"}),
    ("diversion-current", "diversions.boiler", {"diversions.boiler.resistance": "0.9 ohm"}),
    ("neutral-bond", "generators.standby", {"generators.standby.neutral_bond": ""}),
    ("neutral-bond", "inverters.farm", {"inverters.farm.neutral_bond": ""}),
    ("terminal-size", "circuits.creek-charger-battery", {"controllers.creek-charger.largest_wire": "4 AWG"}),
]
CLINIC = [
    ("device-breaking", "circuits.clinic-battery", {"devices.inverter-fuse.breaking": "20 kA"}),
    ("device-breaking", "circuits.bank-string", {"bank.strings": "16"}),
    ("device-breaking", "circuits.clinic-output", {"devices.clinic-breaker.breaking": "100 A"}),
    ("device-breaking", "circuits.diesel-charger", {"generators.diesel.fault_current": ""}),
    ("device-voltage", "circuits.bank-string", {"devices.pack-fuse.dc_voltage": "48 V"}),
    ("device-current", "circuits.bank-string", {"devices.pack-fuse.current": "40 A"}),
    ("device-current", "circuits.clinic-output", {"devices.clinic-breaker.current": "63 A"}),
    ("device-supply", "circuits.diesel-charger", {"devices.diesel-breaker.supply": "dc"}),
    ("device-kind", "circuits.link-branch", {"devices.link-fuse.kind": "switch"}),
    ("device-poles", "circuits.clinic-output", {"inverters.clinic.neutral_bond": "none"}),
    ("conductor", "circuits.clinic-battery", {"circuits.clinic-battery.size": "25 mm2"}),
    ("conductor", "circuits.link-branch", {"circuits.link-branch.ambient": "89 degC"}),
    ("battery-device", "bank", {"bank.string_device": "one for all"}),
    ("battery-fault", "bank", {"bank.series": ""}),
    ("ac-disconnection", "circuits.clinic-output", {"inverters.clinic.residual_device": "none"}),
    ("ac-disconnection", "circuits.diesel-charger", {"generators.diesel.residual_device": "none"}),
    ("residual-type", "inverters.clinic", {"inverters.clinic.residual_device": "type AC"}),
    ("neutral-bond", "inverters.clinic", {"inverters.clinic.neutral_bond": "none"}),
    ("neutral-bond", "generators.diesel", {"generators.diesel.feeds": "a transfer switch"}),
    ("earthing-size", "circuits.diesel-battery", {"circuits.diesel-battery.earthing": "4 mm2"}),
    ("terminal-size", "circuits.store-charger-battery", {"controllers.store-charger.largest_wire": "10 mm2"}),
]
FAULTS = [
    (name, *fault)
    for name, faults in (("lake_cabin", CABIN), ("mountain_farm", FARM), ("tropical_clinic", CLINIC))
    for fault in faults
]


@pytest.mark.parametrize("name", SOUND)
def test_that_nothing_fails_in_a_sound_demo(name: str) -> None:
    bad = [(f.rule, f.where, f.title) for f in evaluate(SOUND[name]).findings if f.status in BAD]
    assert bad == []


def test_that_there_are_sixty_faults_and_more() -> None:
    assert len(FAULTS) >= 60 and len({str(fault) for fault in FAULTS}) == len(FAULTS)


@pytest.mark.parametrize(("name", "rule", "where", "changes"), FAULTS)
def test_that_a_single_fault_is_found_by_its_rule(
    name: str, rule: str, where: str, changes: dict[str, str]
) -> None:
    evaluation = evaluate(set_fields(SOUND[name], changes))
    assert not evaluation.program_failed
    found = [f for f in evaluation.findings if (f.rule, f.where) == (rule, where)]
    assert [f.status in BAD for f in found] == [True], [f.title for f in found]
    assert found[0].remedy and found[0].field
