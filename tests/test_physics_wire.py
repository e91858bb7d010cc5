"""Conductors against published values and laws: geometry, resistance, drop and money."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.wire import power_sizes, voltage_drop, wire_for_drop, wire_geometry, wire_resistance
from engine.physics.wire_saving import wire_saving
from engine.sizes import Size, parse_size
from engine.tables import OutsideTable, table
from engine.tables.family import Family, family
from engine.worksheet import CannotCalculate

NEC = family("nec-2023")
IEC = family("iec")
FOOT = 0.3048
KFT = 304.8
families = st.sampled_from([NEC, IEC])


def at(text: str) -> Size:
    return parse_size(text)


# Geometry and resistance


def test_that_ten_gauge_has_the_published_diameter_and_area() -> None:
    # "American Wire Gauge - Formula" (ASTM B258), liquisearch.com (read).
    found = wire_geometry(size=at("10 AWG"))
    assert found.diameter == pytest.approx(2.588, abs=0.001)
    assert found.area == pytest.approx(5.261, abs=0.002)


def test_that_a_metric_size_has_its_own_area() -> None:
    found = wire_geometry(size=at("35 mm2"))
    assert found.area == 35
    assert math.pi / 4 * found.diameter**2 == pytest.approx(35)


@pytest.mark.parametrize(
    ("size", "material", "strand", "ohm_per_kft"),
    [
        # NFPA 70, Chapter 9, Table 8, through "Conductor Properties", sfasoft.com (read); 3.14, 4.99 and 1.93
        # also read elsewhere one by one.
        ("14 AWG", "copper", "stranded", 3.14),
        ("16 AWG", "copper", "stranded", 4.99),
        ("12 AWG", "copper", "solid", 1.93),
        ("4/0 AWG", "copper", "stranded", 0.0608),
        ("2000 kcmil", "copper", "stranded", 0.00643),
        ("250 kcmil", "aluminium", "stranded", 0.0847),
    ],
)
def test_that_table_8_is_read_at_its_own_temperature(
    size: str, material: str, strand: str, ohm_per_kft: float
) -> None:
    found = wire_resistance(size=at(size), material=material, strand=strand, temperature=75, rules=NEC)
    assert found.resistance * KFT == pytest.approx(ohm_per_kft, rel=1e-9)


def test_that_twelve_gauge_at_20_degrees_has_the_resistance_of_the_note_on_table_8() -> None:
    # NFPA 70, Chapter 9, Table 8, note 2 (2011 to 2023): R2 = R1 (1 + 0.00323 (T2 - 75)) (read).
    found = wire_resistance(size=at("12 AWG"), temperature=20, rules=NEC).resistance
    assert found * KFT == pytest.approx(1.628, abs=0.001)


@pytest.mark.parametrize(
    ("size", "material", "strand", "coated", "ohm_per_km"),
    [
        # IEC 60228:2004, classes 2 and 5 (read on three pages that agree).
        ("4 mm2", "copper", "stranded", False, 4.61),
        ("4 mm2", "copper", "fine", False, 4.95),
        ("4 mm2", "copper", "fine", True, 5.09),
        ("400 mm2", "copper", "stranded", False, 0.047),
        ("10 mm2", "aluminium", "stranded", False, 3.08),
    ],
)
def test_that_iec_60228_is_read_at_20_degrees(
    size: str, material: str, strand: str, coated: bool, ohm_per_km: float
) -> None:
    found = wire_resistance(
        size=at(size), material=material, strand=strand, coated=coated, temperature=20, rules=IEC
    )
    assert found.resistance * 1000 == pytest.approx(ohm_per_km, rel=1e-9)


def test_that_two_conductors_at_90_degrees_drop_what_bs_7671_prints() -> None:
    # BS 7671, Table 4E1B, dc, conductors at 90 degC: mV per ampere and metre of circuit (read), two digits.
    printed = table("bs7671_4E1B_mV_per_A_m")
    column = next(name for name in printed.columns if "mV" in name)
    sizes = [str(text) if "mm2" in str(text) else f"{text:g} mm2" for text in printed.column("size")]
    for size, millivolts in zip(sizes, printed.numbers(column), strict=True):
        if size == "1 mm2":
            continue
        drop = 2000 * wire_resistance(size=at(size), temperature=90, rules=IEC).resistance
        assert drop == pytest.approx(millivolts, rel=0.03), size


@pytest.mark.parametrize(
    "given_to",
    [
        {"size": "35 mm2", "rules": NEC},
        {"size": "10 AWG", "rules": IEC},
        {"size": "6 AWG", "strand": "solid", "rules": NEC},
        {"size": "10 AWG", "strand": "fine", "rules": NEC},
        {"size": "10 AWG", "material": "aluminium", "coated": True, "rules": NEC},
        {"size": "4 mm2", "strand": "stranded", "coated": True, "rules": IEC},
        {"size": "6 mm2", "material": "aluminium", "rules": IEC},
        {"size": "20 AWG", "rules": NEC},
    ],
)
def test_that_a_conductor_without_a_row_is_refused(given_to: dict[str, object]) -> None:
    size = at(str(given_to.pop("size")))
    with pytest.raises(OutsideTable):
        wire_resistance(size=size, **given_to)  # type: ignore[arg-type]


@given(
    st.sampled_from(power_sizes(NEC)),
    st.sampled_from(["copper", "aluminium"]),
    st.floats(-40, 120),
    st.floats(0.1, 30),
)
def test_that_a_warmer_conductor_never_has_less_resistance(
    size: Size, material: str, temperature: float, rise: float
) -> None:
    cold = wire_resistance(size=size, material=material, temperature=temperature, rules=NEC).resistance
    warm = wire_resistance(size=size, material=material, temperature=temperature + rise, rules=NEC).resistance
    assert warm > cold > 0


@pytest.mark.parametrize("rules", [NEC, IEC], ids=lambda rules: rules.name)
@pytest.mark.parametrize("material", ["copper", "aluminium"])
def test_that_a_larger_size_always_has_less_resistance(rules: Family, material: str) -> None:
    sizes = power_sizes(rules, material)
    ohms = [wire_resistance(size=size, material=material, rules=rules).resistance for size in sizes]
    assert len(ohms) > 10
    assert all(large < small for small, large in pairwise(ohms))


# Drop and money


def test_that_sixteen_gauge_over_100_feet_drops_a_sixth_of_24_volts() -> None:
    # "Wiring lessons", page 135, electrician2.com, 2005 NEC era (read): 4.0 V, 16.7 %.
    found = voltage_drop(length=100 * FOOT, current=4, voltage=24, size=at("16 AWG"), rules=NEC)
    assert found.drop == pytest.approx(4.0, abs=0.01)
    assert found.fraction == pytest.approx(0.167, abs=0.001)
    assert found.loss == pytest.approx(found.drop * 4)


def test_that_the_long_line_of_a_published_water_turbine_drops_3_percent() -> None:
    # "Wire sizing for microhydro turbine installation", an electricians' forum, thread 238, 2006 (read).
    found = voltage_drop(length=2200 * FOOT, current=2.7, voltage=440, resistance=1.2 / KFT, rules=NEC)
    assert found.fraction == pytest.approx(0.03, abs=0.005)


def test_that_three_phases_drop_by_root_three_and_lose_in_three_conductors() -> None:
    found = voltage_drop(length=50, current=10, voltage=400, resistance=0.002, conductors=3, rules=NEC)
    assert found.drop == pytest.approx(math.sqrt(3) * 50 * 10 * 0.002)
    assert found.loss == pytest.approx(3 * 10**2 * 50 * 0.002)
    # What three phases lose is the drop between lines times the current times root three, once more.
    assert found.loss == pytest.approx(math.sqrt(3) * found.drop * 10)


@pytest.mark.parametrize("more", [{}, {"size": parse_size("6 AWG"), "resistance": 0.001}])
def test_that_a_drop_takes_a_size_or_a_resistance_not_both(more: dict[str, object]) -> None:
    with pytest.raises(CannotCalculate, match=r"size|resistance"):
        voltage_drop(length=10, current=1, voltage=12, rules=NEC, **more)  # type: ignore[arg-type]


def test_that_drops_of_many_hours_come_at_once() -> None:
    amps = np.array([0.0, 5.0, 10.0])
    found = voltage_drop(length=30, current=amps, voltage=48, size=at("6 AWG"), rules=NEC)  # type: ignore[arg-type]
    one = voltage_drop(length=30, current=10, voltage=48, size=at("6 AWG"), rules=NEC)
    assert np.allclose(found.loss, [0, one.loss / 4, one.loss])


@given(families, st.floats(1, 200), st.floats(1, 500), st.floats(12, 600), st.floats(0.005, 0.1))
def test_that_the_least_size_for_a_drop_keeps_it_and_the_next_one_down_does_not(
    rules: Family, current: float, length: float, voltage: float, allowed: float
) -> None:
    try:
        found = wire_for_drop(current=current, length=length, voltage=voltage, allowed=allowed, rules=rules)
    except CannotCalculate as error:
        assert "parallel" in error.need
        return
    assert found.fraction <= allowed * (1 + 1e-9)
    sizes = power_sizes(rules)
    if found.size != sizes[0]:
        smaller = sizes[sizes.index(found.size) - 1]
        less = voltage_drop(length=length, current=current, voltage=voltage, size=smaller, rules=rules)
        assert less.fraction > allowed


@given(families, st.floats(1, 50), st.floats(1, 100), st.floats(0, 50))
def test_that_a_longer_run_never_takes_a_smaller_conductor(
    rules: Family, current: float, length: float, more: float
) -> None:
    short = wire_for_drop(current=current, length=length, voltage=400, allowed=0.05, rules=rules)
    long = wire_for_drop(current=current, length=length + more, voltage=400, allowed=0.05, rules=rules)
    assert long.size >= short.size


@pytest.mark.parametrize(("share", "expected"), [(0.999, "8 AWG"), (1.0, "10 AWG"), (1.001, "10 AWG")])
def test_that_a_drop_met_exactly_is_met(share: float, expected: str) -> None:
    exact = voltage_drop(length=20, current=10, voltage=48, size=at("10 AWG"), rules=NEC).fraction
    found = wire_for_drop(current=10, length=20, voltage=48, allowed=exact * share, rules=NEC)
    assert found.size.text == expected


def test_that_the_published_table_of_copper_against_watts_comes_out() -> None:
    # Posting on conductor economics, a professional mailing list, April 2010 (read): 350 V, 10 A, 500 ft.
    found = wire_saving(
        current=10,
        length=500 * FOOT,
        voltage=350,
        sizes=tuple(map(at, ("12 AWG", "10 AWG", "8 AWG", "6 AWG"))),
        prices=(620, 950, 1540, 2370),
        rules=NEC,
    )
    assert found.price_per_watt == pytest.approx((4.71, 12.83, 29.64), abs=0.8)
    assert found.losses[1:] == pytest.approx((122.5, 77, 49.1), rel=0.015)
    assert found.fractions[0] * 350 * 10 == pytest.approx(found.losses[0])
    assert found.totals is None is found.best


@pytest.mark.parametrize(
    ("watt", "best"), [(1.0, "12 AWG"), (5.0, "10 AWG"), (20.0, "8 AWG"), (40.0, "6 AWG")]
)
def test_that_enlarging_stops_where_the_next_watt_costs_more_than_a_watt_of_array(
    watt: float, best: str
) -> None:
    # The same posting: go on while the next step costs less a watt than more array does.
    found = wire_saving(
        current=10,
        length=500 * FOOT,
        voltage=350,
        sizes=tuple(map(at, ("12 AWG", "10 AWG", "8 AWG", "6 AWG"))),
        prices=(620, 950, 1540, 2370),
        watt=watt,
        rules=NEC,
    )
    assert found.best == at(best)
    taken = [step <= watt for step in found.price_per_watt]
    assert taken.count(True) == ("12 AWG", "10 AWG", "8 AWG", "6 AWG").index(best)


def test_that_three_conductors_lose_half_as_much_again_as_two() -> None:
    lost = [
        wire_saving(
            current=10, length=30, voltage=400, sizes=(at("6 mm2"),), prices=(1.0,), rules=IEC, conductors=n
        ).losses[0]
        for n in (2, 3)
    ]
    assert lost[1] == pytest.approx(1.5 * lost[0])


@pytest.mark.parametrize(
    ("sizes", "prices", "name"),
    [(("12 AWG", "10 AWG"), (620.0,), "prices"), (("10 AWG", "12 AWG"), (620.0, 950.0), "sizes")],
)
def test_that_lists_that_do_not_fit_are_refused(
    sizes: tuple[str, ...], prices: tuple[float, ...], name: str
) -> None:
    with pytest.raises(CannotCalculate) as caught:
        wire_saving(current=10, length=10, voltage=48, sizes=tuple(map(at, sizes)), prices=prices, rules=NEC)
    assert caught.value.name == name
