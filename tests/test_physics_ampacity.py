"""Ampacity and terminals against published values and laws."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.ampacity import METHODS, ampacity_sizes, terminal_base, wire_ampacity
from engine.sizes import Size, parse_size
from engine.tables import OutsideTable
from engine.tables.family import Family, family
from engine.worksheet import CannotCalculate

NEC = family("nec-2023")
IEC = family("iec")
NEC_SIZES = ampacity_sizes(NEC, "copper", 90, 2, "raceway")
IEC_SIZES = ampacity_sizes(IEC, "copper", 90, 2, "B2")


def at(text: str) -> Size:
    return parse_size(text)


def carried(size: str, insulation: float, rules: Family = NEC, **more: object) -> float:
    return wire_ampacity(size=at(size), insulation=insulation, rules=rules, **more).ampacity  # type: ignore[arg-type]


def test_that_the_training_lessons_string_wire_keeps_its_34_8_amperes() -> None:
    # "PV System Components, Voltage, and Current Calculations", example 2, 2023 NEC basis (read).
    found = wire_ampacity(size=at("10 AWG"), insulation=90, ambient=45, rules=NEC)
    assert (found.base, found.ambient_factor) == (40, 0.87)
    assert found.ampacity == pytest.approx(34.8)


@pytest.mark.parametrize(
    ("size", "ambient", "conductors", "ampacity"),
    [
        # Code Q&A, an electricians' magazine, ecmweb.com (read): four 10 AWG THHN, 80 % of 40 A.
        ("10 AWG", 30, 4, 32.0),
        # NEC Tables 310.15(B)(2)(a) and (b), engineerboards.com, thread 27269 (read): 76 % of 30 A.
        ("12 AWG", 55, 2, 22.8),
        # B14-0266 conductor sizing, a town's permit records, 2014 (read), its mixed-up factor put right.
        ("10 AWG", 58, 8, 19.88),
    ],
)
def test_that_published_deratings_come_out(
    size: str, ambient: float, conductors: int, ampacity: float
) -> None:
    assert carried(size, 90, ambient=ambient, conductors=conductors) == pytest.approx(ampacity, abs=0.01)


@pytest.mark.parametrize(
    ("size", "ambient", "factor", "ampacity"), [("25 mm2", 40, 0.87, 70), ("10 mm2", 55, 0.61, 28)]
)
def test_that_a_machine_makers_table_of_method_b2_comes_out(
    size: str, ambient: float, factor: float, ampacity: float
) -> None:
    # Instruction book, electrical cable sizing to IEC 60364-5-52, industrial machinery (read), whole amperes.
    found = wire_ampacity(size=at(size), insulation=70, ambient=ambient, conductors=3, method="B2", rules=IEC)
    assert found.ambient_factor == factor
    assert found.ampacity == pytest.approx(ampacity, abs=0.7)


def test_that_iec_takes_method_b2_unless_told_and_nec_a_raceway() -> None:
    assert carried("10 mm2", 90, IEC) == carried("10 mm2", 90, IEC, method="B2") == 69
    assert carried("10 AWG", 90) == carried("10 AWG", 90, method="raceway") == 40
    assert carried("10 AWG", 90, method="free-air") == 55


@pytest.mark.parametrize(
    ("ambient", "factor"),
    [(30, 1.0), (30.2, 0.96), (35, 0.96), (35.01, 0.91), (-40, 1.15), (10, 1.15), (10.5, 1.12), (85, 0.29)],
)
def test_that_between_two_printed_ambients_the_hotter_counts(ambient: float, factor: float) -> None:
    assert (
        wire_ampacity(size=at("10 AWG"), insulation=90, ambient=ambient, rules=NEC).ambient_factor == factor
    )


@pytest.mark.parametrize(
    ("ambient", "method", "factor"),
    [
        (30, "B2", 1.0),
        (31, "B2", 0.96),
        (-20, "B2", 1.15),
        (80, "B2", 0.41),
        (20, "D1", 1.0),
        (22, "D1", 0.96),
    ],
)
def test_that_iec_takes_the_next_hotter_row_of_air_or_ground(
    ambient: float, method: str, factor: float
) -> None:
    found = wire_ampacity(size=at("10 mm2"), insulation=90, ambient=ambient, method=method, rules=IEC)
    assert found.ambient_factor == factor


@pytest.mark.parametrize(
    ("rules", "insulation", "ambient"),
    [(NEC, 90, 85.5), (NEC, 60, 56), (NEC, 75, 71), (IEC, 70, 60.5), (IEC, 90, 81)],
)
def test_that_an_ambient_beyond_its_column_is_refused(
    rules: Family, insulation: float, ambient: float
) -> None:
    size = NEC_SIZES[5] if rules is NEC else IEC_SIZES[5]
    with pytest.raises(OutsideTable):
        wire_ampacity(size=size, insulation=insulation, ambient=ambient, rules=rules)


@pytest.mark.parametrize(
    ("circuits", "factor"), [(1, 1.0), (2, 0.8), (9, 0.5), (10, 0.45), (13, 0.41), (20, 0.38)]
)
def test_that_bunched_circuits_take_the_next_printed_count(circuits: int, factor: float) -> None:
    found = wire_ampacity(size=at("10 mm2"), insulation=90, circuits=circuits, rules=IEC)
    assert found.bundling_factor == factor


@pytest.mark.parametrize(
    ("rules", "more", "name"),
    [
        (NEC, {"insulation": 80.0}, "insulation"),
        (NEC, {"insulation": 105.0}, "insulation"),
        (IEC, {"insulation": 75.0}, "insulation"),
        (NEC, {"method": "B2"}, "method"),
        (IEC, {"method": "raceway"}, "method"),
        (IEC, {"conductors": 4}, "conductors"),
        (IEC, {"material": "aluminium"}, "material"),
        (NEC, {"circuits": 2}, "circuits"),
        (NEC, {"method": "free-air", "material": "aluminium"}, "material"),
    ],
)
def test_that_what_a_family_does_not_print_is_refused_by_name(
    rules: Family, more: dict[str, object], name: str
) -> None:
    size = at("10 AWG" if rules is NEC else "10 mm2")
    with pytest.raises(CannotCalculate) as caught:
        wire_ampacity(**{"size": size, "insulation": 90.0, "rules": rules, **more})  # type: ignore[arg-type]
    assert caught.value.name == name


@pytest.mark.parametrize(
    ("size", "rules", "method"),
    [
        ("10 mm2", NEC, None),
        ("10 AWG", IEC, None),
        ("16 AWG", NEC, None),
        ("16 mm2", IEC, "F"),
        ("300 mm2", IEC, "C"),
    ],
)
def test_that_a_size_without_a_row_is_refused(size: str, rules: Family, method: str | None) -> None:
    with pytest.raises(OutsideTable):
        wire_ampacity(size=at(size), insulation=90, rules=rules, method=method)


def test_that_spaced_single_cores_are_found_for_two_and_for_three() -> None:
    # IEC 60364-5-52, Tables B.52.10 and B.52.12, method G, vertical, the lower of both ways (from memory).
    two, three = (carried("25 mm2", 90, IEC, method="G", conductors=loaded) for loaded in (2, 3))
    assert two == three == 161


@given(
    st.sampled_from(NEC_SIZES),
    st.sampled_from([60.0, 75.0, 90.0]),
    st.floats(-40, 55),
    st.floats(0, 20),
    st.integers(1, 60),
    st.integers(0, 20),
)
def test_that_heat_and_company_never_raise_an_ampacity(
    size: Size, insulation: float, ambient: float, rise: float, conductors: int, more: int
) -> None:
    hot = min(ambient + rise, 55.0)
    mild = wire_ampacity(size=size, insulation=insulation, ambient=ambient, conductors=conductors, rules=NEC)
    hard = wire_ampacity(
        size=size, insulation=insulation, ambient=hot, conductors=conductors + more, rules=NEC
    )
    assert hard.ampacity <= mild.ampacity
    assert hard.ambient_factor <= mild.ambient_factor
    assert hard.bundling_factor <= mild.bundling_factor


@pytest.mark.parametrize("method", METHODS)
@pytest.mark.parametrize("loaded", [2, 3])
def test_that_a_larger_size_and_a_hotter_insulation_never_carry_less(method: str, loaded: int) -> None:
    rules = NEC if method in NEC.methods else IEC
    classes = (60.0, 75.0, 90.0) if rules is NEC else (70.0, 90.0)
    rows = []
    for insulation in classes:
        sizes = ampacity_sizes(rules, "copper", insulation, loaded, method)
        amps = [
            wire_ampacity(
                size=size, insulation=insulation, conductors=loaded, method=method, rules=rules
            ).base
            for size in sizes
        ]
        assert len(amps) >= 9
        assert all(small < large for small, large in pairwise(amps))
        rows.append(amps)
    assert all(cool < hot for lower, upper in pairwise(rows) for cool, hot in zip(lower, upper, strict=True))


def test_that_a_terminal_takes_the_lower_column_and_never_the_insulations_surplus() -> None:
    # NFPA 70, 110.14(C)(1), with Table 310.16: 8 AWG copper 40, 50, 55 A (read).
    def base(terminal: float, insulation: float) -> float:
        return terminal_base(NEC, at("8 AWG"), terminal, insulation, "copper", "raceway")

    assert [base(terminal, 90) for terminal in (60, 74, 75, 85, 90, 105)] == [40, 40, 50, 50, 55, 55]
    assert base(90, 60) == 40
    with pytest.raises(CannotCalculate, match="60 degC"):
        base(55, 90)


def test_that_a_terminal_counts_by_the_raceway_table_in_free_air_too() -> None:
    # NFPA 70, 110.14(C)(1): ampacities from Table 310.16 (from memory).
    assert terminal_base(NEC, at("8 AWG"), 75, 90, "copper", "free-air") == 50
