"""Overcurrent devices against published values and laws: ratings, what a conductor allows, dc classes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.ampacity import ampacity_sizes
from engine.physics.devices import (
    device_limit,
    device_rating,
    device_voltage_class,
    protecting_rating,
    standard_ratings,
)
from engine.sizes import Size
from engine.sizes import parse_size as at
from engine.tables import OutsideTable
from engine.tables.family import Family, family

NEC = family("nec-2023")
IEC = family("iec")
NEC_SIZES = ampacity_sizes(NEC, "copper", 90, 2, "raceway")
IEC_SIZES = ampacity_sizes(IEC, "copper", 90, 2, "B2")
ambients = st.floats(-20, 60)


def smaller(size: Size, sizes: tuple[Size, ...]) -> Size | None:
    place = sizes.index(size)
    return sizes[place - 1] if place else None


# Ratings


def test_that_the_training_lessons_string_takes_a_20_ampere_device() -> None:
    # "PV System Components, Voltage, and Current Calculations", example 2, 2023 NEC basis (read).
    found = device_rating(current=14.0, continuous=True, rules=NEC)
    assert (found.minimum, found.rating) == (17.5, 20)


@pytest.mark.parametrize(("current", "rating"), [(15.99, 20), (16, 20), (16.01, 25)])
def test_that_a_rating_met_exactly_is_met(current: float, rating: float) -> None:
    # NFPA 70, 240.6(A) (read): 20 and 25 A follow each other; 1.25 times 16 A is 20 A.
    assert device_rating(current=current, rules=NEC).rating == rating


def test_that_a_device_for_full_duty_takes_the_current_itself() -> None:
    assert device_rating(current=20, continuous=False, rules=NEC).rating == 20


def test_that_iec_takes_the_current_itself_and_its_own_series() -> None:
    # IEC 60364-4-43, 433.1; preferred ratings of IEC 60898-1 (from memory).
    found = device_rating(current=14, rules=IEC)
    assert (found.minimum, found.rating) == (14, 16)


def test_that_fuse_only_ratings_are_kept_from_breakers() -> None:
    # NFPA 70, 240.6(A): 1, 3, 6, 10 and 601 A are for fuses only (read).
    breakers, fuses = (standard_ratings("nec-2023", kind) for kind in ("breaker", "fuse"))
    assert set(fuses) - set(breakers) == {1, 3, 6, 10, 601}
    assert breakers[0] == 15 and breakers[-1] == 6000


@pytest.mark.parametrize("rules", [NEC, IEC], ids=lambda rules: rules.name)
def test_that_a_current_above_every_rating_is_refused(rules: Family) -> None:
    with pytest.raises(OutsideTable):
        device_rating(current=6001, rules=rules)


@given(st.floats(0.1, 4000), st.floats(0, 500), st.booleans())
def test_that_more_current_never_takes_a_smaller_device(
    current: float, more: float, continuous: bool
) -> None:
    low = device_rating(current=current, continuous=continuous, rules=NEC)
    high = device_rating(current=current + more, continuous=continuous, rules=NEC)
    assert high.rating >= low.rating >= low.minimum * (1 - 1e-9)


# The largest device on a conductor


def test_that_115_amperes_may_stand_behind_125() -> None:
    # NFPA 70, 240.4(B), 240.6(A), Table 310.16 (read): the next standard rating above 115 A.
    found = device_limit(size=at("2 AWG"), insulation=75, rules=NEC)
    assert (found.ampacity, found.rating, found.at_terminals) == (115, 125, 125)


@pytest.mark.parametrize(
    ("size", "material", "rating"),
    [
        ("14 AWG", "copper", 15),
        ("12 AWG", "copper", 20),
        ("10 AWG", "copper", 30),
        ("12 AWG", "aluminium", 15),
        ("10 AWG", "aluminium", 25),
    ],
)
@pytest.mark.parametrize("insulation", [60.0, 75.0, 90.0])
def test_that_small_conductors_keep_their_ceiling_whatever_their_insulation(
    size: str, material: str, rating: float, insulation: float
) -> None:
    # NFPA 70, 240.4(D) (read).
    found = device_limit(size=at(size), material=material, insulation=insulation, rules=NEC)
    assert found.rating == rating
    assert found.at_terminals == rating


def test_that_the_ceiling_follows_the_derated_ampacity() -> None:
    # 8 AWG copper, 90 degC, 55 A; 50 degC ambient 0.82, eight conductors 0.70 (Tables 310.16, 310.15; read).
    found = device_limit(size=at("8 AWG"), insulation=90, ambient=50, conductors=8, rules=NEC)
    assert found.ampacity == pytest.approx(55 * 0.82 * 0.70)
    assert found.rating == 35


def test_that_the_next_rating_above_a_small_ampacity_is_a_fuses() -> None:
    # 14 AWG, 90 degC, at 85 degC: 25 A times 0.29 is 7.25 A; the next of 240.6(A) is the 10 A fuse (read).
    assert device_limit(size=at("14 AWG"), insulation=90, ambient=85, rules=NEC).rating == 10


@pytest.mark.parametrize(
    ("size", "conductors", "ampacity", "rating"),
    # 500 kcmil copper, 90 degC, 430 A: 450. 1000 kcmil 615 A: 700. Nothing of Table 310.16 is above 800 A.
    [("500 kcmil", 2, 430, 450), ("1000 kcmil", 2, 615, 700), ("1000 kcmil", 4, 492, 500)],
)
def test_that_large_conductors_round_up_to_800_amperes(
    size: str, conductors: int, ampacity: float, rating: float
) -> None:
    found = device_limit(size=at(size), insulation=90, conductors=conductors, rules=NEC)
    assert (found.ampacity, found.rating) == (ampacity, rating)


@pytest.mark.parametrize(
    ("size", "ampacity", "rating"),
    # NFPA 70, 240.4(C), with Table 310.17, 90 degC (from memory): above 800 A the device may not exceed it.
    [("600 kcmil", 780, 800), ("750 kcmil", 885, 800), ("1000 kcmil", 1055, 1000)],
)
def test_that_above_800_amperes_the_device_stays_below(size: str, ampacity: float, rating: float) -> None:
    found = device_limit(size=at(size), insulation=90, method="free-air", rules=NEC)
    assert (found.ampacity, found.rating) == (ampacity, rating)


@pytest.mark.parametrize(
    ("size", "terminal", "rating"),
    # NFPA 70, 110.14(C)(1), with the 60 and 75 degC columns of Table 310.16 (read): 8 AWG 40, 50 A; 3 AWG 85,
    # 100 A; 2 AWG 95, 115 A, whose 125 A device is a circuit above 100 A, where 75 degC counts.
    [("8 AWG", None, 40), ("8 AWG", 75, 50), ("3 AWG", None, 90), ("2 AWG", None, 125), ("2 AWG", 60, 100)],
)
def test_that_terminals_hold_the_device_down(size: str, terminal: float | None, rating: float) -> None:
    found = device_limit(size=at(size), insulation=90, terminal=terminal, rules=NEC)
    assert found.at_terminals == rating
    assert found.rating is not None and found.rating >= rating


def test_that_iec_devices_stay_at_or_below_the_ampacity() -> None:
    # IEC 60364-4-43, 433.1: In not above Iz. Table B.52.3, B2, 4 mm2: 40 A; at 35 degC 0.96 (from memory).
    assert device_limit(size=at("4 mm2"), insulation=90, rules=IEC).rating == 40
    assert device_limit(size=at("4 mm2"), insulation=90, ambient=35, rules=IEC).rating == 32


@pytest.mark.parametrize(
    ("size", "rating"),
    # IEC 60269-1, Table 2 (from memory): a gG fuse surely melts at 1.6 times its rating from 16 A up, at 1.9
    # below and 2.1 to 4 A; 433.1: 1.45 Iz at most. B.52.3, B2: 1.5 mm2 22 A, 4 mm2 40 A, 35 mm2 149 A (from
    # memory). 16 * 1.6 = 25.6 <= 31.9 < 20 * 1.6 = 32; 32 * 1.6 = 51.2 <= 58; 125 * 1.6 = 200 <= 216.05.
    [("1.5 mm2", 16), ("4 mm2", 32), ("35 mm2", 125)],
)
def test_that_an_iec_fuse_must_melt_at_1_45_times_the_ampacity(size: str, rating: float) -> None:
    assert device_limit(size=at(size), insulation=90, device_kind="fuse", rules=IEC).rating == rating
    breaker = device_limit(size=at(size), insulation=90, rules=IEC).rating
    assert breaker is not None and breaker >= rating


@given(st.floats(1, 600))
def test_that_no_iec_fuse_is_let_through_that_would_not_melt(ampacity: float) -> None:
    found = protecting_rating(IEC, ampacity, "fuse")
    above = [rating for rating in standard_ratings("iec", "fuse") if rating > (found or 0)]
    assert (
        found is None
        or found * (1.6 if found >= 16 else 1.9 if found > 4 else 2.1) <= 1.45 * ampacity * 1.000001
    )
    assert not above or above[0] * 2.1 > 1.45 * ampacity


def test_that_a_fuse_has_ratings_of_its_own() -> None:
    # NFPA 70, 240.6(A) (read): 10 A is a fuse's rating only. IEC: 13 A is a breaker's, 15 A a gPV fuse's.
    assert device_rating(current=8, device_kind="fuse", rules=NEC).rating == 10
    assert device_rating(current=8, rules=NEC).rating == 15
    assert device_rating(current=12.5, rules=IEC).rating == 13
    assert device_rating(current=12.5, device_kind="fuse", rules=IEC).rating == 15


@given(st.sampled_from(NEC_SIZES + IEC_SIZES), ambients, st.floats(0, 20))
def test_that_heat_never_raises_the_device_and_a_larger_size_never_lowers_it(
    size: Size, ambient: float, rise: float
) -> None:
    rules, sizes = (NEC, NEC_SIZES) if size in NEC_SIZES else (IEC, IEC_SIZES)
    cool = device_limit(size=size, insulation=90, ambient=ambient, rules=rules)
    hot = device_limit(size=size, insulation=90, ambient=ambient + rise, rules=rules)
    assert (hot.rating or 0) <= (cool.rating or 0)
    assert (hot.at_terminals or 0) <= (cool.at_terminals or 0) <= (cool.rating or 0)
    below = smaller(size, sizes)
    if below is not None:
        less = device_limit(size=below, insulation=90, ambient=ambient, rules=rules)
        assert (less.rating or 0) <= (cool.rating or 0)


# Voltage classes


def test_that_a_charger_on_62_volts_needs_the_65_volt_class() -> None:
    # Common charging practice, 24 cells at 2.58 V.
    assert device_voltage_class(voltage=61.9, rules=NEC).voltage_class == 65


@pytest.mark.parametrize(("voltage", "expected"), [(149.99, 150), (150, 150), (150.01, 170), (1500, 1500)])
def test_that_a_class_met_exactly_is_met(voltage: float, expected: float) -> None:
    assert device_voltage_class(voltage=voltage, rules=IEC).voltage_class == expected


def test_that_no_class_stands_above_1500_volts() -> None:
    with pytest.raises(OutsideTable):
        device_voltage_class(voltage=1500.1, rules=NEC)


@given(st.floats(1, 1400), st.floats(0, 100))
def test_that_more_volts_never_take_a_lower_class(voltage: float, more: float) -> None:
    low = device_voltage_class(voltage=voltage, rules=NEC).voltage_class
    assert (
        device_voltage_class(voltage=voltage + more, rules=NEC).voltage_class >= low >= voltage * (1 - 1e-9)
    )
