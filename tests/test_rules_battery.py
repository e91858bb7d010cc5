"""Rules of the battery side at their limits: breaking, tripping, withstand, poles, strings, diversion."""

from __future__ import annotations

import pytest
from a_battery_site import found, judged

from engine.finding import Signal, Status
from engine.physics.trip import device_trip

HOUSE, STRING, PANEL = "circuits.house-battery", "circuits.bank-string", "circuits.panel-battery"
TURBINE = """
[wind.mast]
rated_power = "1 kW"

[controllers.surplus]
kind = "diversion"
current_limit = "60 A"

[diversions.heater]
controller = "surplus"
rated_power = "1500 W"
rated_voltage = "30 V"
resistance = "0.5 ohm"
diverts_at = "30 V"
own_thermostat = false
"""


@pytest.mark.parametrize(
    ("breaking", "status"),
    [("10.06 kA", "meets"), ("10.05 kA", "meets"), ("10.04 kA", "fails"), ("", "unknown")],
)
def test_that_a_device_must_break_the_most_that_the_battery_drives(breaking: str, status: str) -> None:
    """30 V over 3 mohm is 10 kA, and the charger adds 50 A."""
    finding = found(judged({"devices.fuse.breaking": breaking}), "device-breaking", HOUSE)
    assert finding.status.word == status
    assert (finding.signal is Signal.DANGER) == (status == "fails")
    if status != "unknown":
        assert (finding.value, finding.limit) == (
            pytest.approx(10050),
            pytest.approx(float(breaking.split()[0]) * 1e3),
        )


def test_that_a_battery_without_resistance_leaves_breaking_open_and_says_where_it_stands() -> None:
    evaluation = judged({"bank.block_resistance": ""})
    assert found(evaluation, "device-breaking", HOUSE).status is Status.UNKNOWN
    assert found(evaluation, "fault-withstand", HOUSE).status is Status.UNKNOWN
    bank = found(evaluation, "battery-fault", "bank")
    assert (bank.status, bank.field) == (Status.UNKNOWN, "bank.block_resistance")
    assert "maker's sheet" in bank.remedy and "common practice" in bank.remedy


def test_that_the_banks_fault_names_the_capacity_to_order_and_fails_beyond_every_device() -> None:
    bank = found(judged(), "battery-fault", "bank")
    assert bank.status is Status.MEETS and bank.value == pytest.approx(10050) and "15 kA" in bank.title
    huge = found(judged({"bank.block_resistance": "0.02 mohm"}), "battery-fault", "bank")
    assert (huge.status, huge.signal) == (Status.FAILS, Signal.DANGER)


def test_that_a_device_that_may_never_open_fails_a_late_one_is_marginal() -> None:
    def at(ohms: str) -> tuple[str, float]:
        finding = found(judged({"bank.block_resistance_aged": ohms}), "device-trip", HOUSE)
        assert isinstance(finding.value, float)
        return finding.status.word, finding.value

    answers = [at(f"{value} mohm") for value in (1, 2, 4, 8, 12, 16, 20)]
    assert [word for word, _ in answers] == sorted(
        (word for word, _ in answers), key=["meets", "marginal", "fails"].index
    )
    for word, least in answers:
        time = device_trip(fault_current=least, rating=175, kind="fuse").time
        assert word == ("fails" if time is None else "marginal" if time > 5 else "meets")
    assert {word for word, _ in answers} == {"meets", "marginal", "fails"}


def test_that_without_an_aged_resistance_nobody_knows_whether_it_trips() -> None:
    finding = found(judged({"bank.block_resistance_aged": ""}), "device-trip", HOUSE)
    assert (finding.status, finding.field) == (Status.UNKNOWN, "bank.block_resistance_aged")


def test_that_a_conductor_too_thin_for_the_heat_of_a_fault_fails() -> None:
    """A breaker to 125 A takes 20 ms: 10.05 kA ask for 14.2 mm2 at k 100 (IEC 60364-4-43, Table 43A)."""
    breaker = {f"{PANEL}.device": "fuse", "devices.fuse.kind": "breaker", "devices.fuse.current": "15 A"}
    for size, status in (("6 AWG", "fails"), ("4 AWG", "meets")):
        finding = found(judged({**breaker, f"{PANEL}.size": size}), "fault-withstand", PANEL)
        assert finding.status.word == status
        assert finding.value == pytest.approx(10050 * 0.02**0.5 / 100)


@pytest.mark.parametrize(
    ("earthing", "poles", "status"),
    [
        ("negative", "1", "meets"),
        ("positive", "1", "meets"),
        ("none", "1", "fails"),
        ("none", "2", "meets"),
        ("", "1", "unknown"),
        ("", "2", "meets"),
        ("negative", "", "unknown"),
    ],
)
def test_that_a_device_opens_every_live_conductor(earthing: str, poles: str, status: str) -> None:
    changes = {"devices.fuse.kind": "breaker", "devices.fuse.poles": poles, "bank.system_earthing": earthing}
    assert found(judged(changes), "device-poles", HOUSE).status.word == status


@pytest.mark.parametrize(("said", "status"), [("negative", "meets"), ("none", "meets"), ("", "unknown")])
def test_that_a_battery_whose_earthing_nobody_entered_leaves_poles_open(said: str, status: str) -> None:
    assert found(judged({"bank.system_earthing": said}), "system-earthing", "bank").status.word == status


@pytest.mark.parametrize(
    ("strings", "said", "status"),
    [
        ("2", "each string", "meets"),
        ("2", "", "meets"),
        ("2", "one for all", "fails"),
        ("1", "one for all", "meets"),
        ("1", "none", "fails"),
        ("2", "none", "fails"),
    ],
)
def test_that_each_battery_string_has_its_device(strings: str, said: str, status: str) -> None:
    changes = {"bank.strings": strings, "bank.string_device": said}
    assert found(judged(changes), "battery-device", "bank").status.word == status


@pytest.mark.parametrize(
    ("length", "status"), [("1.49 m", "meets"), ("1.5 m", "meets"), ("1.51 m", "marginal")]
)
def test_that_a_long_unprotected_length_is_said(length: str, status: str) -> None:
    finding = found(judged({f"{STRING}.unprotected": length}), "battery-unprotected", STRING)
    assert (finding.status.word, finding.limit) == (status, 1.5)


@pytest.mark.parametrize(("volts", "status"), [("30 V", "meets"), ("29.9 V", "fails"), ("", "unknown")])
def test_that_a_device_is_rated_for_the_highest_charging_voltage(volts: str, status: str) -> None:
    assert found(judged({"devices.fuse.dc_voltage": volts}), "device-voltage", HOUSE).status.word == status


@pytest.mark.parametrize(
    ("amps", "status"), [("167.1 A", "fails"), ("167.2 A", "meets"), ("175 A", "meets"), ("200 A", "fails")]
)
def test_that_an_inverters_fuse_stands_between_its_load_and_its_conductor(amps: str, status: str) -> None:
    """2500 W, 85 %, 22 V and 125 % are 167.1 A; 2/0 AWG carries 175 A at 75 degC (NEC Table 310.16)."""
    changes = {"devices.fuse.current": amps, f"{HOUSE}.size": "2/0 AWG"}
    assert found(judged(changes), "device-current", HOUSE).status.word == status


def test_that_a_device_for_100_percent_duty_may_be_smaller() -> None:
    changes = {"devices.fuse.current": "134 A", f"{HOUSE}.size": "2/0 AWG"}
    assert found(judged(changes), "device-current", HOUSE).status is Status.FAILS
    full = {**changes, "devices.fuse.continuous": "yes"}
    assert found(judged(full), "device-current", HOUSE).status is Status.MEETS


def test_that_a_polarised_device_fails_where_a_charger_and_a_fault_turn_the_current() -> None:
    changes = {"devices.fuse.polarity": "marked"}
    assert found(judged(changes), "device-polarity", HOUSE).status is Status.FAILS
    branch = {**changes, "circuits.lamp-branch.device": "fuse"}
    assert found(judged(branch), "device-polarity", "circuits.lamp-branch").status is Status.MEETS


@pytest.mark.parametrize(("size", "status"), [("2/0 AWG", "meets"), ("1/0 AWG", "fails")])
def test_that_a_conductor_must_go_into_inverter_and_device(size: str, status: str) -> None:
    changes = {f"{HOUSE}.size": "2/0 AWG", "inverters.house.largest_wire": size}
    assert found(judged(changes), "terminal-size", HOUSE).status.word == status
    device = {f"{HOUSE}.size": "2/0 AWG", "devices.fuse.largest_wire": size}
    assert found(judged(device), "terminal-size", HOUSE).status.word == status


# Diversion loads (NFPA 70, 706.33; from memory)


@pytest.mark.parametrize(
    ("rule", "field", "text", "status"),
    [
        ("diversion-power", "rated_power", "1500 W", "meets"),
        ("diversion-power", "rated_power", "1499 W", "fails"),
        ("diversion-power", "rated_power", "", "unknown"),
        ("diversion-current", "resistance", "0.5 ohm", "meets"),
        ("diversion-current", "resistance", "0.499 ohm", "fails"),
        ("diversion-current", "resistance", "", "meets"),  # 1500 W at 30 V draws 50 A
        ("diversion-voltage", "rated_voltage", "30 V", "meets"),
        ("diversion-voltage", "rated_voltage", "29.9 V", "fails"),
        ("diversion-voltage", "rated_voltage", "", "unknown"),
        ("diversion-thermostat", "own_thermostat", "no", "meets"),
        ("diversion-thermostat", "own_thermostat", "yes", "fails"),
        ("diversion-thermostat", "own_thermostat", "", "unknown"),
    ],
)
def test_that_a_diversion_load_is_held_at_its_limits(rule: str, field: str, text: str, status: str) -> None:
    evaluation = judged({f"diversions.heater.{field}": text}, TURBINE)
    assert found(evaluation, rule, "diversions.heater").status.word == status


def test_that_a_turbine_without_a_rated_power_leaves_the_load_open() -> None:
    finding = found(judged({"wind.mast.rated_power": ""}, TURBINE), "diversion-power", "diversions.heater")
    assert (finding.status, finding.field) == (Status.UNKNOWN, "wind.mast.rated_power")
