"""Earthing conductors against published values and laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.earthing import earthing_conductor, electrode_conductor
from engine.physics.wire import power_sizes
from engine.sizes import Size
from engine.sizes import parse_size as at
from engine.tables import OutsideTable
from engine.tables.family import family
from engine.worksheet import CannotCalculate

NEC = family("nec-2023")
IEC = family("iec")
nec_sizes = st.sampled_from(power_sizes(NEC))


@pytest.mark.parametrize(
    ("device", "copper", "aluminium"),
    # NFPA 70, Table 250.122, through brunsengineering.com (read); the copper also in two newsletters.
    [
        (10, "14 AWG", "12 AWG"),
        (15, "14 AWG", "12 AWG"),
        (15.1, "12 AWG", "10 AWG"),
        (60, "10 AWG", "8 AWG"),
        (61, "8 AWG", "6 AWG"),
        (100, "8 AWG", "6 AWG"),
        (200, "6 AWG", "4 AWG"),
        (400, "3 AWG", "1 AWG"),
        (1200, "3/0 AWG", "250 kcmil"),
        (6000, "800 kcmil", "1250 kcmil"),
    ],
)
def test_that_the_device_chooses_the_row(device: float, copper: str, aluminium: str) -> None:
    assert earthing_conductor(device=device, rules=NEC).size.text == copper
    assert earthing_conductor(device=device, material="aluminium", rules=NEC).size.text == aluminium


def test_that_a_device_beyond_the_table_is_refused() -> None:
    with pytest.raises(OutsideTable):
        earthing_conductor(device=6001, rules=NEC)


def test_that_the_published_enlarged_circuit_takes_2_gauge() -> None:
    # Code Talk, episode 32, notes on an example of the NEC Handbook, 250.122(B) (read): 3 AWG is too small.
    found = earthing_conductor(
        device=300, baseline_size=at("250 kcmil"), circuit_size=at("350 kcmil"), rules=NEC
    )
    assert (found.row and found.row.text, found.size.text) == ("4 AWG", "2 AWG")
    assert found.growth == pytest.approx(1.4)


def test_that_growth_goes_by_the_printed_circular_mils() -> None:
    # Chapter 9, Table 8 (read): 10380 * 105600 / 41740 is 26261, above the 26240 of 6 AWG.
    found = earthing_conductor(device=60, baseline_size=at("4 AWG"), circuit_size=at("1/0 AWG"), rules=NEC)
    assert found.size.text == "4 AWG"


def test_that_a_pv_circuit_enlarged_for_drop_keeps_its_row() -> None:
    # NFPA 70, 690.45.
    found = earthing_conductor(
        device=60, baseline_size=at("6 AWG"), circuit_size=at("2/0 AWG"), kind="pv", rules=NEC
    )
    assert (found.size.text, found.growth) == ("10 AWG", 1)


def test_that_it_is_never_asked_to_be_larger_than_the_circuits_own() -> None:
    # NFPA 70, 250.122(A); but no smaller than the table's least.
    assert earthing_conductor(device=60, circuit_size=at("12 AWG"), rules=NEC).size.text == "12 AWG"
    assert earthing_conductor(device=60, circuit_size=at("18 AWG"), rules=NEC).size.text == "14 AWG"


def test_that_a_circuit_below_its_baseline_does_not_shrink_it() -> None:
    found = earthing_conductor(device=100, baseline_size=at("1 AWG"), circuit_size=at("3 AWG"), rules=NEC)
    assert (found.size.text, found.growth) == ("8 AWG", 1)


@pytest.mark.parametrize(
    ("circuit", "expected"),
    # IEC 60364-5-54, Table 54.2 (from memory): S, 16 mm2, half of S; the next standard size.
    [
        ("1.5 mm2", "1.5 mm2"),
        ("16 mm2", "16 mm2"),
        ("25 mm2", "16 mm2"),
        ("35 mm2", "16 mm2"),
        ("50 mm2", "25 mm2"),
        ("95 mm2", "50 mm2"),
        ("240 mm2", "120 mm2"),
        ("400 mm2", "240 mm2"),
    ],
)
def test_that_iec_goes_by_the_circuits_area(circuit: str, expected: str) -> None:
    assert earthing_conductor(circuit_size=at(circuit), rules=IEC).size.text == expected


@pytest.mark.parametrize(("rules", "name"), [(NEC, "device"), (IEC, "circuit_size")])
def test_that_what_a_family_goes_by_is_asked_for(rules: object, name: str) -> None:
    with pytest.raises(CannotCalculate) as caught:
        earthing_conductor(rules=rules)  # type: ignore[arg-type]
    assert caught.value.name == name


@given(st.floats(1, 1000), st.floats(0, 1000), nec_sizes, nec_sizes, st.sampled_from(["pv", "other"]))
def test_that_a_larger_device_or_growth_never_gives_a_smaller_one(
    device: float, more: float, baseline: Size, circuit: Size, kind: str
) -> None:
    try:
        plain = earthing_conductor(device=device, circuit_size=circuit, kind=kind, rules=NEC).size
        larger = earthing_conductor(device=device + more, circuit_size=circuit, kind=kind, rules=NEC).size
        grown = earthing_conductor(
            device=device, baseline_size=baseline, circuit_size=circuit, kind=kind, rules=NEC
        ).size
    except OutsideTable:
        return
    assert larger >= plain
    assert grown >= plain
    assert grown <= max(circuit, at("14 AWG"))


# The electrode's conductor


def test_that_the_published_service_takes_1_0_to_its_water_pipe() -> None:
    # "Sizing the Grounding Electrode Conductor", 2020 NEC (read): two sets of 250 kcmil together.
    found = electrode_conductor(size=at("500 kcmil"), electrode="water-pipe", system="ac", rules=NEC)
    assert found.size.text == "1/0 AWG"


@pytest.mark.parametrize(
    ("supply", "material", "expected"),
    # NFPA 70, Table 250.66 (read); aluminium up to 1/0 in the first row.
    [
        ("2 AWG", "copper", "8 AWG"),
        ("1 AWG", "copper", "6 AWG"),
        ("1/0 AWG", "copper", "6 AWG"),
        ("3/0 AWG", "copper", "4 AWG"),
        ("4/0 AWG", "copper", "2 AWG"),
        ("600 kcmil", "copper", "1/0 AWG"),
        ("1000 kcmil", "copper", "2/0 AWG"),
        ("1250 kcmil", "copper", "3/0 AWG"),
        ("1/0 AWG", "aluminium", "8 AWG"),
        ("2/0 AWG", "aluminium", "6 AWG"),
        ("300 kcmil", "aluminium", "2 AWG"),
    ],
)
def test_that_the_supply_chooses_the_row_of_250_66(supply: str, material: str, expected: str) -> None:
    found = electrode_conductor(
        size=at(supply), material=material, electrode="structural-steel", system="ac", rules=NEC
    )
    assert found.size.text == expected


@pytest.mark.parametrize("system", ["ac", "dc"])
@pytest.mark.parametrize(
    ("electrode", "cap"),
    [("rod", "6 AWG"), ("pipe", "6 AWG"), ("plate", "6 AWG"), ("concrete-encased", "4 AWG")],
)
def test_that_made_electrodes_cap_their_conductor(system: str, electrode: str, cap: str) -> None:
    # NFPA 70, 250.66(A) and (B), 250.166(C) and (D) (from memory).
    found = electrode_conductor(size=at("500 kcmil"), electrode=electrode, system=system, rules=NEC)
    assert found.size.text == cap
    assert found.uncapped > found.size


@pytest.mark.parametrize(
    ("supply", "expected"),
    [("10 AWG", "8 AWG"), ("8 AWG", "8 AWG"), ("6 AWG", "6 AWG"), ("4/0 AWG", "4/0 AWG")],
)
def test_that_dc_is_no_smaller_than_the_supply_and_8_gauge(supply: str, expected: str) -> None:
    # NFPA 70, 250.166(B) (from memory).
    found = electrode_conductor(size=at(supply), electrode="water-pipe", system="dc", rules=NEC)
    assert found.size.text == expected


@pytest.mark.parametrize(
    ("supply", "expected"),
    [("6 mm2", "16 mm2"), ("35 mm2", "16 mm2"), ("50 mm2", "25 mm2"), ("95 mm2", "50 mm2")],
)
def test_that_iec_keeps_room_for_lightning_and_to_the_supply(supply: str, expected: str) -> None:
    # IEC 60364-5-54, 542.3.1 and Table 54.2 (from memory).
    assert electrode_conductor(size=at(supply), electrode="rod", rules=IEC).size.text == expected


@given(
    nec_sizes,
    nec_sizes,
    st.sampled_from(["rod", "concrete-encased", "water-pipe"]),
    st.sampled_from(["ac", "dc"]),
)
def test_that_a_larger_supply_never_takes_a_smaller_electrode_conductor(
    one: Size, other: Size, electrode: str, system: str
) -> None:
    small, large = sorted((one, other))
    sizes = [
        electrode_conductor(size=size, electrode=electrode, system=system, rules=NEC).size
        for size in (small, large)
    ]
    assert sizes[0] <= sizes[1]


def test_that_conductors_in_parallel_are_earthed_for_all_of_them_together() -> None:
    # IEC 60364-5-54, Table 54.2: twice 35 mm2 are 70 mm2, half of which is 35 mm2.
    assert earthing_conductor(circuit_size=at("35 mm2"), rules=IEC).size.text == "16 mm2"
    assert earthing_conductor(circuit_size=at("35 mm2"), parallel=2, rules=IEC).size.text == "35 mm2"
    # NFPA 70, 250.122: 1200 A asks for 3/0; 250.122(A) and (F) spare what is above the whole pole only.
    held = earthing_conductor(device=1200, circuit_size=at("1/0 AWG"), parallel=8, rules=NEC)
    assert held.size.text == "3/0 AWG"
