"""The conductor of a circuit: every check of one size and the least size, by published tables and laws."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from engine.physics.ampacity import ampacity_sizes, wire_ampacity
from engine.physics.circuit_wire import Check, Duty, wire_checks, wire_for_circuit
from engine.physics.devices import device_limit
from engine.sizes import parse_size as at
from engine.tables import OutsideTable
from engine.tables.family import Family, family
from engine.worksheet import CannotCalculate

NEC = family("nec-2023")
IEC = family("iec")
NEC_SIZES = ampacity_sizes(NEC, "copper", 90, 2, "raceway")
ambients = st.floats(-20, 60)
classes = st.sampled_from([75.0, 90.0])


def named(checks: tuple[Check, ...]) -> dict[str, Check]:
    return {check.name: check for check in checks}


def test_that_the_training_lessons_string_could_be_12_gauge() -> None:
    # The lesson (read) checks 10 AWG: 40 A times 0.87 is 34.8 A. By Table 310.16 12 AWG is the least: 20 A at
    # 60 degC terminals for 17.5 A, 30 A times 0.87 for 14 A, a 20 A device; 14 AWG has 15 A at its terminals.
    found = wire_for_circuit(current=14, ambient=45, rules=NEC)
    assert found.size.text == "12 AWG"
    assert found.ampacity == pytest.approx(26.1)
    assert (found.minimum, found.device, found.terminal_temperature, found.at_terminal) == (17.5, 20, 60, 20)
    checks = named(wire_checks(at("10 AWG"), Duty(14, ambient=45), NEC))
    assert checks["ampacity"].capacity == pytest.approx(34.8)
    assert checks["ampacity"].need == 14, "the second 125 % is for terminals and devices, not after derating"
    assert checks["terminal"].need == 17.5
    assert all(check.ok for check in checks.values())


@pytest.mark.parametrize(
    ("current", "more", "size", "governed"),
    [
        # Table 310.16, 240.4(D), 240.6(A) (read). 40 A needs 50 A: 60 degC terminals, 6 AWG 55 A.
        (40.0, {}, "6 AWG", "terminal"),
        # The same on 75 degC terminals: 8 AWG carries just 50 A.
        (40.0, {"terminal": 75.0}, "8 AWG", "terminal"),
        # 24 A needs 30 A, which 12 AWG has on 90 degC terminals, but not behind a 30 A device.
        (24.0, {"terminal": 90.0}, "10 AWG", "small-conductor"),
        # Nine conductors at 60 degC: 0.70 times 0.71; 20 A asks for 40.2 A: 8 AWG 55 A.
        (20.0, {"ambient": 60.0, "conductors": 9, "terminal": 75.0}, "8 AWG", "ampacity"),
        # 26 A needs a 35 A device: 10 AWG, 45 degC and four conductors, 40 A times 0.87 times 0.80 is 27.8 A,
        # has 35 A on its 75 degC terminals but 30 A at most behind it.
        (26.0, {"ambient": 45.0, "conductors": 4, "terminal": 75.0}, "8 AWG", "small-conductor"),
        # 155 A needs 193.75 A and a 200 A device. 3/0 AWG has 200 A at 75 degC; at 45 degC among six, 225 A
        # times 0.87 times 0.80, 156.6 A, which a device of 175 A may protect at most.
        (155.0, {"ambient": 45.0, "conductors": 6}, "4/0 AWG", "device"),
        # 84 A needs 105 A, above 100 A: 75 degC terminals, 2 AWG 115 A.
        (84.0, {}, "2 AWG", "terminal"),
    ],
)
def test_that_the_binding_check_is_named(
    current: float, more: dict[str, float], size: str, governed: str
) -> None:
    found = wire_for_circuit(current=current, rules=NEC, **more)  # type: ignore[arg-type]
    assert (found.size.text, found.governed_by) == (size, governed)


def test_that_the_least_conductor_says_that_there_is_none_smaller() -> None:
    for rules, least in ((NEC, "14 AWG"), (IEC, "1.5 mm2")):
        found = wire_for_circuit(current=1, rules=rules)
        assert (found.size.text, found.governed_by) == (least, "smallest")


@pytest.mark.parametrize(("current", "expected"), [(15.99, "12 AWG"), (16.0, "12 AWG"), (16.01, "10 AWG")])
def test_that_a_terminal_met_exactly_is_met(current: float, expected: str) -> None:
    # 12 AWG at 60 degC: 20 A (Table 310.16, read); 1.25 times 16 A is 20 A.
    assert wire_for_circuit(current=current, rules=NEC).size.text == expected


@pytest.mark.parametrize(("current", "terminal"), [(80.0, 60.0), (80.01, 75.0)])
def test_that_terminals_run_hotter_only_above_100_amperes(current: float, terminal: float) -> None:
    # NFPA 70, 110.14(C)(1)(a) and (b).
    assert wire_for_circuit(current=current, rules=NEC).terminal_temperature == terminal


def test_that_terminals_never_take_more_than_the_insulations_own_column() -> None:
    found = wire_for_circuit(current=84, insulation=60, rules=NEC)
    assert found.terminal_temperature == 60
    assert found.size.text == "1 AWG"


def test_that_a_device_in_hand_is_held_against_conductor_and_terminals() -> None:
    # 8 AWG copper: 55 A at 90 degC would take 60 A, its 60 degC terminals 40 A (both tables read).
    checks = named(wire_checks(at("8 AWG"), Duty(24, device=40), NEC))
    assert checks["device"].ok
    checks = named(wire_checks(at("8 AWG"), Duty(24, device=45), NEC))
    assert not checks["device"].ok
    assert (checks["device"].capacity, checks["device"].need) == (40, 45)
    checks = named(wire_checks(at("8 AWG"), Duty(24, device=60, terminal=90), NEC))
    assert checks["device"].ok


def test_that_an_unprotected_conductor_is_not_held_against_a_device() -> None:
    assert set(named(wire_checks(at("10 AWG"), Duty(14, protected=False), NEC))) == {"terminal", "ampacity"}


def test_that_parallel_conductors_share_the_current() -> None:
    single = named(wire_checks(at("4/0 AWG"), Duty(300), NEC))
    double = named(wire_checks(at("4/0 AWG"), Duty(300, parallel=2), NEC))
    assert not single["ampacity"].ok and double["ampacity"].ok
    assert double["ampacity"].capacity == 2 * single["ampacity"].capacity


def test_that_iec_takes_the_device_between_current_and_ampacity() -> None:
    # IEC 60364-4-43, 433.1; Table B.52.3, B2, XLPE: 2.5 mm2 30 A, 4 mm2 40 A (from memory). 28 A takes 32 A.
    found = wire_for_circuit(current=28, terminal=90, rules=IEC)
    assert (found.size.text, found.device, found.governed_by) == ("4 mm2", 32, "device")
    # On terminals for 70 degC the PVC column counts: 4 mm2 30 A.
    assert wire_for_circuit(current=31, rules=IEC).governed_by == "terminal"
    assert wire_for_circuit(current=31, rules=IEC).size.text == "6 mm2"


@pytest.mark.parametrize("rules", [NEC, IEC], ids=lambda rules: rules.name)
def test_that_beyond_the_largest_size_parallel_conductors_are_named(rules: Family) -> None:
    with pytest.raises(CannotCalculate) as caught:
        wire_for_circuit(current=900, rules=rules)
    assert caught.value.name == "current"
    assert "parallel" in caught.value.need


@pytest.mark.parametrize(
    ("rules", "more", "name"),
    [
        (NEC, {"method": "B2"}, "method"),
        (NEC, {"insulation": 80.0}, "insulation"),
        (NEC, {"circuits": 2}, "circuits"),
        (NEC, {"method": "free-air", "material": "aluminium"}, "material"),
        (IEC, {"material": "aluminium"}, "material"),
        (IEC, {"conductors": 4}, "conductors"),
        (IEC, {"insulation": 75.0}, "insulation"),
        (NEC, {"terminal": 55.0}, "terminal"),
    ],
)
def test_that_what_has_no_answer_is_refused_by_name(
    rules: Family, more: dict[str, object], name: str
) -> None:
    with pytest.raises(CannotCalculate) as caught:
        wire_for_circuit(**{"current": 20.0, "rules": rules, **more})  # type: ignore[arg-type]
    assert caught.value.name == name


def test_that_an_ambient_beyond_the_table_is_refused() -> None:
    with pytest.raises(OutsideTable):
        wire_for_circuit(current=10, ambient=86, rules=NEC)


@given(
    st.floats(1, 200),
    classes,
    ambients,
    st.integers(1, 30),
    st.booleans(),
    st.sampled_from([None, 60.0, 75.0]),
)
def test_that_the_chosen_conductor_passes_and_the_next_one_down_fails_what_is_named(
    current: float,
    insulation: float,
    ambient: float,
    conductors: int,
    continuous: bool,
    terminal: float | None,
) -> None:
    duty = Duty(current, continuous, terminal, insulation, ambient, conductors)
    try:
        found = wire_for_circuit(
            current=current,
            continuous=continuous,
            terminal=terminal,
            insulation=insulation,
            ambient=ambient,
            conductors=conductors,
            rules=NEC,
        )
    except CannotCalculate as error:
        assert "parallel" in error.need
        return
    assert all(check.ok for check in wire_checks(found.size, duty, NEC))
    place = NEC_SIZES.index(found.size)
    below = NEC_SIZES[place - 1] if place else None
    if below is None:
        assert found.governed_by == "smallest"
    else:
        assert not named(wire_checks(below, duty, NEC))[found.governed_by].ok
    # The rule itself, said again: the device protects what it may, and the conductor carries what it must.
    derated = wire_ampacity(
        size=found.size, insulation=insulation, ambient=ambient, conductors=conductors, rules=NEC
    ).ampacity
    largest = device_limit(
        size=found.size,
        insulation=insulation,
        ambient=ambient,
        conductors=conductors,
        terminal=terminal,
        rules=NEC,
    ).at_terminals
    assert derated >= current * (1 - 1e-9)
    assert largest is not None and largest >= found.device


@given(
    st.sampled_from([NEC, IEC]),
    st.floats(1, 120),
    st.floats(0, 40),
    ambients,
    st.floats(0, 10),
    st.integers(0, 6),
)
def test_that_more_current_heat_or_company_never_give_a_smaller_conductor(
    rules: Family, current: float, more: float, ambient: float, rise: float, company: int
) -> None:
    # NEC 110.14(C) itself steps down just above 100 A, where terminals may run hotter: one terminal is held.
    terminal, hot = 70.0 if rules is IEC else 60.0, ambient + rise
    together = {"circuits": 1 + company} if rules is IEC else {"conductors": 2 + 2 * company}
    try:
        mild = wire_for_circuit(current=current, terminal=terminal, ambient=ambient, rules=rules).size
        hard = wire_for_circuit(
            current=current + more, terminal=terminal, ambient=hot, rules=rules, **together
        ).size
    except CannotCalculate:
        assume(False)
    assert hard >= mild


@given(st.floats(1, 80), st.floats(0, 30))
def test_that_up_to_100_amperes_more_current_never_gives_a_smaller_conductor(
    current: float, more: float
) -> None:
    assume(current + more <= 80)
    low, high = (wire_for_circuit(current=amps, rules=NEC).size for amps in (current, current + more))
    assert high >= low


def test_that_an_iec_fuse_may_ask_for_a_thicker_conductor_than_a_breaker() -> None:
    # B.52.3, B2 (from memory): 1.5 mm2 22 A, 2.5 mm2 30 A. A 20 A breaker stands on 22 A; a 20 A gG fuse
    # needs 32 A to melt (IEC 60269-1, Table 2, from memory), more than 1.45 * 22 A = 31.9 A (60364-4-43,
    # 433.1).
    assert wire_for_circuit(current=19, terminal=90, rules=IEC).size.text == "1.5 mm2"
    fused = wire_for_circuit(current=19, terminal=90, device_kind="fuse", rules=IEC)
    assert (fused.size.text, fused.governed_by, fused.device) == ("2.5 mm2", "device", 20)


@given(st.floats(1, 150), st.floats(10, 55))
def test_that_a_fuse_never_takes_a_smaller_conductor_than_a_breaker_of_its_rating(
    current: float, ambient: float
) -> None:
    duty = {"ambient": ambient, "insulation": 90.0, "rules": IEC}
    fused = wire_for_circuit(current=current, device_kind="fuse", **duty)  # type: ignore[arg-type]
    assert fused.ampacity >= wire_for_circuit(current=current, **duty).ampacity * 0.999999  # type: ignore[arg-type]
