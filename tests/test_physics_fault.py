"""The heat of a fault against the standards' formula, and the currents of the battery side."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.battery_current import battery_fault_current, inverter_dc_current
from engine.physics.fault import fault_withstand
from engine.sizes import parse_size as at
from engine.tables import table
from engine.tables.family import family
from engine.worksheet import CannotCalculate


@pytest.mark.parametrize(("constant", "beta", "material"), [(226, 234.5, "copper"), (148, 228, "aluminium")])
def test_that_every_k_follows_from_the_standards_formula(constant: float, beta: float, material: str) -> None:
    # IEC 60364-5-54, Annex A (from memory): k = K sqrt(ln(1 + (final - initial) / (B + initial))).
    seen = 0
    for row in table("adiabatic_k").rows():
        if row["material"] != material:
            continue
        seen += 1
        large, insulation = row["area_to_mm2"] != 300, float(str(row["insulation_C"]))
        final = 250 if row["compound"] == "thermosetting" else 140 if large else 160
        initial = 30 if row["role"] == "earthing" else insulation
        k = constant * math.sqrt(math.log(1 + (final - initial) / (beta + initial)))
        assert row["k"] == pytest.approx(k, rel=0.01), row
    assert seen == 10


@pytest.mark.parametrize(
    ("insulation", "compound", "role", "k"),
    [
        (70, None, "live", 115),
        (90, None, "live", 143),
        (90, "thermoplastic", "live", 100),
        (75, None, "live", 100),
        (60, None, "live", 115),
        (70, None, "earthing", 143),
        (90, None, "earthing", 176),
    ],
)
def test_that_insulation_and_role_choose_the_published_k(
    insulation: float, compound: str | None, role: str, k: float
) -> None:
    # IEC 60364-4-43, Table 43A; IEC 60364-5-54, Table A.54.2 (from memory).
    found = fault_withstand(
        size=at("35 mm2"), insulation=insulation, compound=compound, role=role, fault_current=1000, time=1
    )
    assert found.k == k
    assert found.minimum_area == pytest.approx(1000 / k)


@pytest.mark.parametrize(("factor", "stands"), [(0.999, True), (1.0, True), (1.001, False)])
def test_that_a_fault_met_exactly_is_withstood(factor: float, stands: bool) -> None:
    limit = 115 * 35 / math.sqrt(0.4)
    found = fault_withstand(size=at("35 mm2"), insulation=70, fault_current=limit * factor, time=0.4)
    assert found.withstands is stands


def test_that_large_thermoplastic_conductors_stand_less_for_their_area() -> None:
    large = fault_withstand(size=at("400 mm2"), insulation=70, fault_current=1000, time=1)
    assert large.k == 103


def test_that_insulation_hotter_than_the_table_is_refused() -> None:
    with pytest.raises(CannotCalculate) as caught:
        fault_withstand(size=at("35 mm2"), insulation=105, fault_current=1000, time=1)
    assert caught.value.name == "insulation"


def test_that_the_published_inverter_draws_134_amperes_and_is_wired_for_167() -> None:
    # "Wire sizing between inverter and battery in stand-alone PV systems", 2010, after "Photovoltaic Power
    # Systems and the National Electrical Code: Suggested Practices" (read).
    found = inverter_dc_current(power=2500, efficiency=0.85, lowest_voltage=22, rules=family("nec-2023"))
    assert found.current == pytest.approx(134, abs=0.5)
    assert found.design_current == pytest.approx(167, abs=0.5)


def test_that_iec_puts_no_second_factor_on_an_inverters_current() -> None:
    # IEC 60364-4-43, 433.1: Ib not above In (from memory).
    found = inverter_dc_current(power=2500, efficiency=0.85, lowest_voltage=22, rules=family("iec"))
    assert found.design_current == found.current


def test_that_the_published_battery_of_four_strings_gives_17_5_kiloamperes() -> None:
    # "Calculation of DC distribution system characteristics", a switchgear application guide (read).
    found = battery_fault_current(voltage=240, resistance=0.0005, series=110, strings=4)
    assert found.string_current == pytest.approx(4370, abs=20)
    assert found.current == pytest.approx(17500, abs=50)


@given(
    st.floats(10, 800),
    st.floats(1e-5, 0.01),
    st.integers(1, 200),
    st.integers(1, 20),
    st.floats(0, 0.1),
    st.floats(0, 0.1),
)
def test_that_resistance_never_raises_a_fault_and_strings_share_it(
    voltage: float, cell: float, series: int, strings: int, circuit: float, more: float
) -> None:
    near = battery_fault_current(
        voltage=voltage, resistance=cell, series=series, strings=strings, circuit_resistance=circuit
    )
    far = battery_fault_current(
        voltage=voltage, resistance=cell, series=series, strings=strings, circuit_resistance=circuit + more
    )
    one = battery_fault_current(
        voltage=voltage, resistance=cell, series=series, strings=1, circuit_resistance=circuit
    )
    assert far.current <= near.current * (1 + 1e-12)
    assert one.current <= near.current * (1 + 1e-12)
    assert near.string_current * strings == pytest.approx(near.current)
    # Kirchhoff: what the strings' and the circuit's resistance drop together is the voltage.
    assert near.string_current * series * cell + near.current * circuit == pytest.approx(voltage)
