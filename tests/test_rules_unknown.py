"""What nobody entered is never passed: the finding is unknown and leads to the field."""

from __future__ import annotations

import pytest
from a_wired_site import found, judged

from engine.finding import Status

ARRAY, CONTROLLER, RUN, OUTPUT = "arrays.south", "controllers.c", "circuits.south-run", "circuits.c-battery"


def status(rule: str, where: str, changes: dict[str, str]) -> Status:
    """How a rule answers at a place of the changed site."""
    return found(judged(changes), rule, where).status


@pytest.mark.parametrize(
    ("path", "rule", "where"),
    [
        ("site.record_low", "standoff-limit", ARRAY),
        ("site.design_low", "operating-limit", ARRAY),
        ("site.design_low", "module-system-voltage", ARRAY),
        ("site.design_low", "voltage-class", RUN),
        ("site.design_low", "insulation-voltage", RUN),
        ("site.design_low", "device-voltage", RUN),
        ("site.design_high", "start-voltage", ARRAY),
        ("modules.m.voc", "standoff-limit", ARRAY),
        ("modules.m.gamma_pmp", "start-voltage", ARRAY),
        ("modules.m.system_voltage", "module-system-voltage", ARRAY),
        ("modules.m.series_fuse", "string-fuse", ARRAY),
        ("modules.m.isc", "conductor", RUN),
        (f"{CONTROLLER}.standoff_limit", "standoff-limit", ARRAY),
        (f"{CONTROLLER}.operating_limit", "operating-limit", ARRAY),
        (f"{CONTROLLER}.start_above_battery", "start-voltage", ARRAY),
        (f"{CONTROLLER}.short_circuit_limit", "controller-short-circuit", CONTROLLER),
        (f"{CONTROLLER}.current_limit", "controller-output", CONTROLLER),
        (f"{CONTROLLER}.current_limit", "conductor", OUTPUT),
        (f"{CONTROLLER}.back_feed", "string-fuse", ARRAY),
        (f"{CONTROLLER}.back_feed", "device-breaking", RUN),
        ("bank.highest_voltage", "start-voltage", ARRAY),
        ("bank.highest_voltage", "voltage-class", OUTPUT),
        (f"{RUN}.length", "voltage-drop", RUN),
        ("devices.run-breaker.supply", "device-supply", RUN),
        ("devices.run-breaker.current", "device-current", RUN),
        ("devices.run-breaker.dc_voltage", "device-voltage", RUN),
        ("devices.run-breaker.breaking", "device-breaking", RUN),
        ("devices.run-breaker.polarity", "device-polarity", RUN),
        ("devices.battery-breaker.kind", "device-kind", OUTPUT),
    ],
)
@pytest.mark.parametrize("rules", ["nec-2023", "iec"])
def test_that_a_missing_datum_is_unknown_and_names_its_field(
    path: str, rule: str, where: str, rules: str
) -> None:
    finding = found(judged({"rules": rules, path: ""}), rule, where)
    assert finding.status is Status.UNKNOWN
    assert finding.field == path


def test_that_without_a_coefficient_only_crystalline_silicon_is_judged_in_the_cold() -> None:
    bare = {"modules.m.beta_voc": ""}
    assert status("standoff-limit", ARRAY, bare) is Status.MEETS
    for silicon in ("no", ""):
        assert status("standoff-limit", ARRAY, {**bare, "modules.m.silicon": silicon}) is Status.UNKNOWN
