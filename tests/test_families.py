"""Rule families as data: the same questions answered by every one, each with its clause."""

from __future__ import annotations

import pytest

from engine.tables import table
from engine.tables.family import family, names

MATTERS = (
    "pv_voltage pv_voltage_table pv_current pv_overcurrent string_fuse device_rating dc_device "
    "conductor_ampacity ambient grouping roof_heat terminals small_conductor next_rating voltage_drop "
    "equipment_earthing electrode disconnect arc_fault rapid_shutdown ground_fault diversion "
    "inverter_input ventilation storage wind circuit_rating circuit_conductor insulation ac_device breaking "
    "fault_withstand fault_trip battery_device poles system_earthing ac_disconnection residual_type "
    "neutral_bond"
).split()


def test_that_the_four_families_are_there() -> None:
    assert names() == ("iec", "nec-2017", "nec-2020", "nec-2023")


@pytest.mark.parametrize("name", names())
def test_that_a_family_is_read_once_and_carries_its_name(name: str) -> None:
    held = family(name)
    assert held is family(name)
    assert held.name == name
    assert held.title and held.publisher and held.edition


@pytest.mark.parametrize("name", names())
@pytest.mark.parametrize("matter", MATTERS)
def test_that_every_matter_has_a_clause_with_its_title_and_edition(name: str, matter: str) -> None:
    held = family(name)
    source = held.clause(matter)
    assert source.clause
    assert (source.title, source.year) == (held.title, held.edition)
    assert source.how == "from memory"


@pytest.mark.parametrize("name", names())
def test_that_every_table_that_a_family_names_is_there(name: str) -> None:
    held = family(name)
    for of in held.tables.values():
        assert table(of).columns


def test_that_an_unknown_family_is_refused_with_the_names_of_the_known_ones() -> None:
    with pytest.raises(KeyError, match=r"nec-1999.*iec, nec-2017, nec-2020, nec-2023"):
        family("nec-1999")


def test_that_an_unknown_matter_is_a_programmers_mistake() -> None:
    with pytest.raises(KeyError):
        family("iec").clause("magic")


@pytest.mark.parametrize("name", [name for name in names() if name.startswith("nec")])
def test_that_nec_counts_bright_hours_and_continuous_duty_once_each(name: str) -> None:
    # NFPA 70, 690.8(A) and (B): 1.25 and 1.25, 1.56 in all (read in parts; see the map of editions).
    held = family(name)
    assert held.irradiance_factor * held.pv_continuous_factor == pytest.approx(1.5625)
    assert held.string_fuse_minimum == pytest.approx(1.5625)
    assert held.string_fuse_maximum is None
    assert (held.terminal_small, held.terminal_large, held.terminal_limit) == (60, 75, 100)
    assert held.group == "nec" and held.sizes == "awg"


def test_that_iec_counts_bright_hours_and_no_second_factor() -> None:
    # IEC 60364-7-712 and 60364-4-43, 433.1 (from memory); 62548-1: fuses from 1.5 to 2.4 Isc (read).
    held = family("iec")
    assert (held.irradiance_factor, held.pv_continuous_factor, held.continuous_factor) == (1.25, 1.0, 1.0)
    assert (held.string_fuse_minimum, held.string_fuse_maximum) == (1.5, 2.4)
    assert held.group == "iec" and held.sizes == "mm2"


def test_that_editions_differ_only_where_the_numbers_of_clauses_moved() -> None:
    # 310.15(B)(16) became 310.16 in 2020; diversion moved from 706.23 to 706.33 (from memory).
    old, middle, new = (family(f"nec-{year}") for year in (2017, 2020, 2023))
    assert "310.15(B)(16)" in old.clause("conductor_ampacity").clause
    assert "310.16" in middle.clause("conductor_ampacity").clause
    assert "310.16" in new.clause("conductor_ampacity").clause
    assert [each.clause("diversion").clause for each in (old, middle, new)] == ["706.23", "706.33", "706.33"]
    assert dict(old.tables) == dict(middle.tables) == dict(new.tables)


@pytest.mark.parametrize("name", names())
def test_that_a_family_cannot_be_changed(name: str) -> None:
    held = family(name)
    with pytest.raises(AttributeError):
        held.continuous_factor = 1.0  # type: ignore[misc]
    with pytest.raises(TypeError):
        held.tables["ratings"] = ""  # type: ignore[index]


@pytest.mark.parametrize("name", names())
def test_that_the_default_method_is_known_to_its_family(name: str) -> None:
    assert family(name).method in family(name).methods
