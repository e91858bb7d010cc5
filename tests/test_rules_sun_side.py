"""Odd but possible sun sides: where an answer milder than the rule would burn something."""

from __future__ import annotations

import pytest
from a_wired_site import SECOND_ARRAY, circuit, found, judged

from engine.finding import Status

ARRAY, CONTROLLER = "arrays.south", "controllers.c"
# Strings of eight at 24 V need a controller of a higher class; its limits stand out of the way here.
TALL = {
    "arrays.south.modules": "8",
    f"{CONTROLLER}.standoff_limit": "600 V",
    f"{CONTROLLER}.operating_limit": "550 V",
}
FUSED = {"rules": "iec", "arrays.south.strings": "4", "circuits.south-string.device": "fuse"}


def status(rule: str, where: str, changes: dict[str, str], more: str = "") -> Status:
    """How a rule answers at a place of the changed site."""
    return found(judged(changes, more), rule, where).status


def test_that_a_string_over_the_standoff_limit_in_a_usual_year_fails_without_a_record_low() -> None:
    no_record = {"site.record_low": ""}
    assert status("standoff-limit", ARRAY, no_record) is Status.UNKNOWN
    finding = found(judged({**no_record, "arrays.south.modules": "3"}), "standoff-limit", ARRAY)
    assert finding.status is Status.FAILS
    assert finding.value == pytest.approx(3 * 49.5 * (1 + 0.0027 * 35))  # NEC 690.7(A)(1), at -10 degC


@pytest.mark.parametrize("rules", ["nec-2017", "nec-2020", "nec-2023", "iec"])
@pytest.mark.parametrize("strings", ["1", "2", "5"])
def test_that_an_array_on_no_controller_is_never_fine(rules: str, strings: str) -> None:
    alone = {
        "rules": rules,
        f"{ARRAY}.controller": "",
        f"{ARRAY}.strings": strings,
        "circuits.south-run.device": "",
        "circuits.c-battery.device": "",
    }
    finding = found(judged(alone), "standoff-limit", ARRAY)
    assert finding.status is Status.UNKNOWN
    assert finding.field == f"{ARRAY}.controller"


def test_that_on_the_circuits_of_a_short_array_stands_the_voltage_of_a_long_one_beside_it() -> None:
    # NEC 690.7: the highest voltage between any two conductors of the circuit; the arrays are in parallel.
    long, short = (judged(TALL, SECOND_ARRAY).circuits[id] for id in ("south-run", "west-run"))
    assert long.voltage == pytest.approx(8 * 49.5 * (1 + 0.0027 * 35))
    assert (short.voltage, short.voltage_record) == (long.voltage, long.voltage_record)
    assert short.voltage_class == long.voltage_class == 500
    held = {**TALL, "circuits.west-run.device": "run-breaker"}  # 150 V dc
    assert status("device-voltage", "circuits.west-run", held, SECOND_ARRAY) is Status.FAILS


def test_that_an_unknown_voltage_beside_an_array_leaves_its_circuits_unknown() -> None:
    unknown = {f"{ARRAY}.modules": ""}
    for rule in ("voltage-class", "insulation-voltage"):
        finding = found(judged(unknown, SECOND_ARRAY), rule, "circuits.west-run")
        assert finding.status is Status.UNKNOWN
        assert finding.field == f"{ARRAY}.modules"


@pytest.mark.parametrize(("amps", "wanted"), [(28.01, "meets"), (28.0, "meets"), (27.99, "fails")])
def test_that_a_direct_controller_must_carry_the_current_of_bright_hours(amps: float, wanted: str) -> None:
    # It is a switch and limits nothing: 1.25 Isc of two strings, NEC 690.8(A)(1).
    direct = {f"{CONTROLLER}.kind": "direct", f"{CONTROLLER}.current_limit": f"{amps} A"}
    finding = found(judged(direct), "controller-output", CONTROLLER)
    assert (finding.status.word, finding.value) == (wanted, pytest.approx(1.25 * 2 * 11.2))


def test_that_a_tracking_controller_may_leave_what_it_does_not_take() -> None:
    assert status("controller-output", CONTROLLER, {f"{CONTROLLER}.current_limit": "28 A"}) is Status.MARGINAL


def test_that_no_array_belongs_on_a_diversion_controller() -> None:
    finding = found(judged({f"{CONTROLLER}.kind": "diversion"}), "controller-kind", CONTROLLER)
    assert finding.status is Status.FAILS
    assert not [item for item in judged().findings if item.rule == "controller-kind"]


@pytest.mark.parametrize(("amps", "wanted"), [("16.81 A", "meets"), ("16.8 A", "meets"), ("16.7 A", "fails")])
@pytest.mark.parametrize("duty", ["yes", "no", ""])
def test_that_a_string_fuse_is_1_5_isc_under_iec_whatever_its_duty(amps: str, wanted: str, duty: str) -> None:
    held = {**FUSED, "devices.fuse.current": amps, "devices.fuse.continuous": duty}
    finding = found(judged(held), "device-current", "circuits.south-string")
    assert (finding.status.word, finding.limit) == (wanted, pytest.approx(1.5 * 11.2))  # IEC 62548-1


def test_that_a_device_for_full_duty_may_be_as_small_as_the_current_under_nec() -> None:
    held = {"devices.run-breaker.continuous": "yes", "devices.run-breaker.current": "28 A"}
    finding = found(judged(held), "device-current", "circuits.south-run")
    assert (finding.status, finding.limit) == (Status.MEETS, circuit("south-run").current)  # 690.9(B)(2)


def test_that_a_fault_of_an_array_on_no_controller_asks_for_the_controller() -> None:
    finding = found(judged({f"{ARRAY}.controller": ""}), "device-breaking", "circuits.south-run")
    assert (finding.status, finding.field) == (Status.UNKNOWN, f"{ARRAY}.controller")


@pytest.mark.parametrize(("parallel", "wanted"), [("1", "16 mm2"), ("2", "35 mm2")])
def test_that_conductors_in_parallel_are_earthed_together(parallel: str, wanted: str) -> None:
    # IEC 60364-5-54, Table 54.2: up to 35 mm2 of line conductor 16 mm2, above it half.
    pair = {"rules": "iec", "circuits.south-run.size": "35 mm2", "circuits.south-run.parallel": parallel}
    earthing = circuit("south-run", pair).earthing
    assert earthing is not None and earthing.text == wanted


def test_that_the_coldest_marked_terminal_decides_be_it_that_of_the_device() -> None:
    # NEC 110.14(C), Table 310.16: 8 AWG carries 40 A at 60 degC and 50 A at 75 degC.
    run = "circuits.south-run"
    marked = {f"{run}.terminal": "75 degC", f"{run}.size": "8 AWG", "devices.run-breaker.terminal": "60 degC"}
    for changes, capacity in ((marked, 40), ({**marked, "devices.run-breaker.terminal": ""}, 50)):
        (terminal,) = [check for check in circuit("south-run", changes).checks if check.name == "terminal"]
        assert terminal.capacity == capacity


TURBINE = """
[wind.mast]
controller = "c"
open_voltage = "400 V"
"""


def test_that_a_turbine_on_an_arrays_controller_stands_on_the_arrays_circuits() -> None:
    # NEC 690.7 and 694: the highest voltage between any two conductors; the brake may be off.
    both = judged({}, TURBINE)
    assert found(both, "controller-kind", CONTROLLER).status is Status.MARGINAL
    assert both.circuits["south-run"].voltage == 400
    assert found(both, "device-voltage", "circuits.south-run").status is Status.FAILS
    untold = found(judged({"wind.mast.open_voltage": ""}, TURBINE), "device-voltage", "circuits.south-run")
    assert (untold.status, untold.field) == (Status.UNKNOWN, "wind.mast.open_voltage")


@pytest.mark.parametrize(
    ("amps", "wanted"), [("21.3 A", "meets"), ("21.2 A", "meets"), ("21.1 A", "marginal")]
)
def test_that_running_current_over_the_input_limit_is_clipped(amps: str, wanted: str) -> None:
    finding = found(judged({f"{CONTROLLER}.input_current_limit": amps}), "controller-input", CONTROLLER)
    assert (finding.status.word, finding.value) == (wanted, pytest.approx(2 * 10.6))


def test_that_a_place_colder_than_the_codes_table_asks_for_the_coefficient_and_says_why() -> None:
    # NEC table 690.7(A) ends at -40 degC; nothing is extrapolated.
    bare = {"modules.m.beta_voc": "", "site.record_low": "-40.1 degC", "site.design_low": "-30 degC"}
    finding = found(judged(bare), "standoff-limit", ARRAY)
    assert (finding.status, finding.field) == (Status.UNKNOWN, "modules.m.beta_voc")
    assert "-40 to 24, not -40.1" in finding.remedy
    at_the_edge = found(judged({**bare, "site.record_low": "-40 degC"}), "standoff-limit", ARRAY)
    assert at_the_edge.value == pytest.approx(2 * 49.5 * 1.25)  # the last row


def test_that_a_question_that_lacks_no_datum_does_not_ask_for_one() -> None:
    # NEC table 310.15(B)(1)(1) ends at 85 degC: no size carries anything there, and so none has a drop.
    hot = judged({"circuits.south-run.ambient": "90 degC"})
    assert found(hot, "conductor", "circuits.south-run").status is Status.FAILS
    assert "Enter" not in found(hot, "voltage-drop", "circuits.south-run").remedy


def test_that_extra_current_counts_in_the_drop() -> None:
    # Ohm's law: a fifth more current, a fifth more drop on the same conductor.
    fixed = {"circuits.south-run.size": "8 AWG", "circuits.south-string.size": "10 AWG"}
    more = {**fixed, f"{ARRAY}.current_gain": "20 %"}
    for id in ("south-run", "south-string"):
        plain, bright = circuit(id, fixed).drop_fraction, circuit(id, more).drop_fraction
        assert plain is not None and bright == pytest.approx(1.2 * plain)


def test_that_a_voltage_beyond_every_device_class_fails() -> None:
    # Common practice: no dc breaker or fuse above 1500 V is met in low-voltage systems.
    limits = {f"{CONTROLLER}.standoff_limit": "2000 V", f"{CONTROLLER}.operating_limit": "2000 V"}
    tall = {**limits, "modules.m.system_voltage": "2000 V", f"{ARRAY}.modules": "28"}
    assert (
        status("voltage-class", "circuits.south-run", {**tall, f"{ARRAY}.modules": "27"}) is Status.MARGINAL
    )
    finding = found(judged(tall), "voltage-class", "circuits.south-run")
    assert (finding.status, finding.value) == (Status.FAILS, pytest.approx(28 * 49.5 * (1 + 0.0027 * 35)))


@pytest.mark.parametrize(
    ("rule", "where"),
    [
        ("voltage-class", "circuits.south-run"),
        ("device-voltage", "circuits.south-run"),
        ("module-system-voltage", ARRAY),
    ],
)
def test_that_a_voltage_judged_without_the_record_low_says_so(rule: str, where: str) -> None:
    said = "record low is not known"
    assert said in found(judged({"site.record_low": ""}), rule, where).title
    assert said not in found(judged(), rule, where).title
    battery = found(judged({"site.record_low": ""}), "voltage-class", "circuits.c-battery")
    assert said not in battery.title
