"""Arc faults, ground faults, rapid shutdown, and the voltage on a building: each where its family asks."""

from __future__ import annotations

import pytest
from a_wired_site import found, judged

from engine.finding import Finding, Signal, Status
from engine.tables.family import family

ARRAY = "arrays.south"
FIELD = {  # on the ground, its conductors buried or in metal, into a house of its own
    f"{ARRAY}.on_building": "no",
    f"{ARRAY}.enters": "equipment building",
    "circuits.south-string.metal": "yes",
    "circuits.south-run.place": "buried",
}
NEC = ("nec-2017", "nec-2020", "nec-2023")
FLAT = {  # the voltage is the same at any temperature
    "site.design_low": "25 degC",
    "site.record_low": "25 degC",
    "arrays.south.modules": "1",
}


def finding(rule: str, changes: dict[str, str], where: str = ARRAY) -> Finding:
    return found(judged(changes), rule, where)


def told(rule: str, changes: dict[str, str]) -> tuple[str, str]:
    got = finding(rule, changes)
    return got.status.word, got.signal.word


# Arc faults


@pytest.mark.parametrize("rules", NEC)
@pytest.mark.parametrize(("volts", "status"), [(79.99, "meets"), (80.0, "fails"), (80.01, "fails")])
def test_that_arc_fault_protection_is_asked_for_from_80_v_on(rules: str, volts: float, status: str) -> None:
    """NFPA 70, 690.11 (from memory): 80 V or more between any two conductors."""
    changes = {**FLAT, "rules": rules, "modules.m.voc": f"{volts} V", f"{ARRAY}.arc_fault": "no"}
    got = finding("arc-fault", changes)
    assert (got.status.word, got.value, got.limit) == (status, pytest.approx(volts), 80)
    assert (got.signal is Signal.WARNING) is (status == "fails")


@pytest.mark.parametrize("rules", NEC)
def test_that_arc_fault_protection_nobody_spoke_of_is_unknown(rules: str) -> None:
    got = finding("arc-fault", {"rules": rules, f"{ARRAY}.arc_fault": ""})
    assert (got.status, got.field) == (Status.UNKNOWN, f"{ARRAY}.arc_fault")
    assert told("arc-fault", {"rules": rules, f"{ARRAY}.arc_fault": "yes"})[0] == "meets"


def test_that_arc_fault_protection_without_a_known_voltage_is_unknown() -> None:
    assert told("arc-fault", {"site.design_low": "", f"{ARRAY}.arc_fault": "no"})[0] == "unknown"


@pytest.mark.parametrize(("rules", "status"), [*((each, "fails") for each in NEC[:2]), ("nec-2023", "meets")])
def test_that_the_2023_edition_spares_what_lies_in_the_ground_or_in_metal(rules: str, status: str) -> None:
    """NFPA 70, 690.11, exceptions (from memory): until 2020 for output circuits only, never the strings."""
    assert told("arc-fault", {**FIELD, "rules": rules, f"{ARRAY}.arc_fault": "no"})[0] == status


@pytest.mark.parametrize(
    "spoils",
    [
        {"circuits.south-string.metal": "no"},
        {"circuits.south-string.metal": ""},
        {"circuits.south-run.place": "outdoors"},
        {f"{ARRAY}.enters": "occupied building"},
        {f"{ARRAY}.enters": ""},
        {f"{ARRAY}.on_building": "yes"},
    ],
)
def test_that_one_circuit_in_the_open_or_one_building_ends_the_exception(spoils: dict[str, str]) -> None:
    changes = {**FIELD, "rules": "nec-2023", f"{ARRAY}.arc_fault": "no", **spoils}
    assert told("arc-fault", changes) == ("fails", "WARNING")


def test_that_iec_asks_for_no_arc_fault_protection_and_calls_it_sound_practice() -> None:
    changes = {"rules": "iec", f"{ARRAY}.on_building": "yes", f"{ARRAY}.arc_fault": "no"}
    assert told("arc-fault", changes) == ("marginal", "CAUTION")


# Ground faults


@pytest.mark.parametrize(
    ("kind", "status", "signal"),
    [
        ("", "unknown", "WARNING"),
        ("none", "fails", "WARNING"),
        ("fuse in the bond", "marginal", "WARNING"),
        ("monitor that interrupts", "meets", ""),
    ],
)
@pytest.mark.parametrize("rules", [*NEC, "iec"])
def test_that_a_fault_to_earth_is_found_and_interrupted(
    rules: str, kind: str, status: str, signal: str
) -> None:
    """Resolving Fire Hazards from the Ground-Fault Detection Blind Spot, SolarPro magazine (read): a fuse of
    5 A does not see 0.12 A on the earthed pole."""
    assert told("ground-fault", {"rules": rules, f"{ARRAY}.ground_fault": kind}) == (status, signal)


@pytest.mark.parametrize(
    ("volts", "amps", "later"),
    [
        (30.0, 8.0, "meets"),
        (29.9, 7.9, "meets"),
        (30.01, 8.0, "fails"),
        (30.0, 8.01, "fails"),
    ],
)
def test_that_later_editions_spare_what_passes_neither_30_v_nor_8_a(
    volts: float, amps: float, later: str
) -> None:
    """NFPA 70, 690.41(B) (from memory): 2017 asks every array, 2020 and 2023 above 30 V or 8 A."""
    changes = {
        **FLAT,
        "modules.m.voc": f"{volts} V",
        "modules.m.vmp": "20 V",
        "modules.m.isc": f"{amps / 1.25} A",
        "modules.m.imp": "5 A",
        "arrays.south.strings": "1",
        f"{ARRAY}.ground_fault": "none",
    }
    answers = [told("ground-fault", {**changes, "rules": rules})[0] for rules in NEC]
    assert answers == ["fails", later, later]


@pytest.mark.parametrize(("strings", "status"), [("1", "meets"), ("2", "meets"), ("3", "fails")])
@pytest.mark.parametrize("rules", NEC)
def test_that_two_solidly_earthed_strings_away_from_buildings_are_spared(
    rules: str, strings: str, status: str
) -> None:
    """NFPA 70, 690.41, exception (from memory)."""
    changes = {
        **FIELD,
        "rules": rules,
        "arrays.south.strings": strings,
        "bank.system_earthing": "negative",
        f"{ARRAY}.ground_fault": "none",
    }
    assert told("ground-fault", changes)[0] == status
    assert told("ground-fault", {**changes, "bank.system_earthing": "none"})[0] == "fails"
    assert told("ground-fault", {**changes, "bank.system_earthing": ""})[0] == "fails"
    assert told("ground-fault", {**changes, f"{ARRAY}.enters": "occupied building"})[0] == "fails"


# Rapid shutdown


@pytest.mark.parametrize(
    ("reach", "status"),
    [
        ("", "unknown"),
        ("none", "fails"),
        ("outside the array", "fails"),
        ("outside and inside the array", "meets"),
    ],
)
@pytest.mark.parametrize("rules", NEC)
def test_that_an_array_on_a_building_is_shut_down_inside_too(rules: str, reach: str, status: str) -> None:
    """NFPA 70, 690.12 (read in parts): 80 V inside the boundary, 30 V outside, off the grid or not."""
    changes = {"rules": rules, f"{ARRAY}.on_building": "yes", f"{ARRAY}.rapid_shutdown": reach}
    assert told("rapid-shutdown", changes)[0] == status


@pytest.mark.parametrize(
    ("enters", "reach", "status"),
    [
        ("no building", "none", "meets"),
        ("equipment building", "none", "meets"),
        ("equipment building", "", "meets"),
        ("occupied building", "none", "fails"),
        ("", "none", "fails"),
        ("occupied building", "outside the array", "meets"),
    ],
)
def test_that_conductors_into_an_occupied_building_are_shut_down(
    enters: str, reach: str, status: str
) -> None:
    changes = {
        f"{ARRAY}.on_building": "no",
        f"{ARRAY}.enters": enters,
        f"{ARRAY}.rapid_shutdown": reach,
    }
    assert told("rapid-shutdown", changes)[0] == status


def test_that_nobody_is_spared_while_the_building_is_not_known() -> None:
    for reach in ("none", "outside and inside the array", ""):
        got = finding("rapid-shutdown", {f"{ARRAY}.rapid_shutdown": reach, f"{ARRAY}.on_building": ""})
        assert (got.status, got.field) == (Status.UNKNOWN, f"{ARRAY}.on_building")


@pytest.mark.parametrize(("rules", "status"), [*((each, "fails") for each in NEC[:2]), ("nec-2023", "meets")])
def test_that_open_detached_structures_are_spared_from_2023_on(rules: str, status: str) -> None:
    """NFPA 70, 690.12, exception 2 of 2023 (read)."""
    changes = {
        "rules": rules,
        f"{ARRAY}.on_building": "yes",
        f"{ARRAY}.structure": "open detached structure",
        f"{ARRAY}.enters": "equipment building",
        f"{ARRAY}.rapid_shutdown": "none",
    }
    assert told("rapid-shutdown", changes)[0] == status
    assert told("rapid-shutdown", {**changes, f"{ARRAY}.structure": ""})[0] == "fails"


# Voltage on a building


@pytest.mark.parametrize("rules", NEC)
@pytest.mark.parametrize(
    ("building", "on_building", "limit"),
    [
        ("dwelling", "yes", 600),
        ("", "yes", 600),
        ("other building", "yes", 1000),
        ("dwelling", "no", 1500),
    ],
)
@pytest.mark.parametrize(("over", "status"), [(-0.5, "meets"), (0.0, "meets"), (0.5, "fails")])
def test_that_a_building_bounds_the_voltage(
    rules: str, building: str, on_building: str, limit: float, over: float, status: str
) -> None:
    """NFPA 70, 690.7 (read for dwellings, the others from memory)."""
    changes = {
        **FLAT,
        "rules": rules,
        "arrays.south.modules": "10",
        "modules.m.voc": f"{(limit + over) / 10} V",
        "modules.m.system_voltage": "1500 V",
        "site.building": building,
        f"{ARRAY}.on_building": on_building,
        f"{ARRAY}.enters": "no building",
    }
    got = finding("building-voltage", changes)
    assert (got.status.word, got.limit) == (status, limit)
    assert got.value == pytest.approx(limit + over)


def test_that_the_voltage_allowed_is_unknown_without_a_design_low() -> None:
    got = finding("building-voltage", {"site.design_low": ""})
    assert (got.status, got.field) == (Status.UNKNOWN, "site.design_low")


# The families' data


@pytest.mark.parametrize("rules", [*NEC, "iec"])
def test_that_every_family_says_what_it_asks(rules: str) -> None:
    asks = family(rules).protection
    assert asks.dwelling_voltage <= asks.building_voltage <= asks.open_voltage
    assert asks.surge_length_building <= asks.surge_length_open
    assert asks.surge_factor >= 1
