"""Faults of PV wiring that were published with numbers: each is shown, by its rule and with its number.

"From memory" and "computed" say how the number reached us, as everywhere.
"""

from __future__ import annotations

import pytest
from a_wired_site import SECOND_ARRAY, circuit, found, judged

from engine.finding import Finding, Signal, Status
from engine.physics.ampacity import wire_ampacity
from engine.physics.earthing import earthing_conductor
from engine.physics.wire import voltage_drop
from engine.sizes import parse_size
from engine.tables.family import family

ARRAY, RUN, OUTPUT = "arrays.south", "circuits.south-run", "circuits.c-battery"
BIG = {"controllers.c.standoff_limit": "600 V", "controllers.c.operating_limit": "550 V"}
BATTERY_48_V = {
    "bank.voltage": "48 V",
    "bank.lowest_voltage": "44 V",
    "bank.highest_voltage": "60 V",
}


def module(voc: str, beta: str, vmp: str, low: str, modules: int) -> dict[str, str]:
    """A site of strings of one module, as cold as is said in every year."""
    return {
        "modules.m.voc": voc,
        "modules.m.vmp": vmp,
        "modules.m.beta_voc": beta,
        "arrays.south.modules": str(modules),
        "site.record_low": low,
        "site.design_low": low,
    }


def finding(rule: str, where: str, changes: dict[str, str]) -> Finding:
    return found(judged(changes), rule, where)


def test_that_a_household_breaker_for_45_v_dc_fails_in_a_circuit_of_450_v() -> None:
    """Photographed code violations, an installer's published survey of sites (read)."""
    site = module("45 V", "-0.3 %/K", "37 V", "25 degC", 10)
    breaker = {"devices.run-breaker.dc_voltage": "45 VDC", "devices.run-breaker.supply": "ac and dc"}
    got = finding("device-voltage", RUN, {**site, **BIG, **breaker})
    assert (got.status, got.signal) == (Status.FAILS, Signal.DANGER)
    assert (got.value, got.limit) == (pytest.approx(450), 45)
    ac = finding("device-supply", RUN, {**site, **BIG, "devices.run-breaker.supply": "ac"})
    assert (ac.status, ac.signal) == (Status.FAILS, Signal.DANGER)


def test_that_a_class_chosen_from_the_warm_voltage_fails_in_the_cold() -> None:
    """NFPA 70, 690.7 (from memory): 3 x 46 V, -0.30 %/K, -35 degC: 163 V on a 150 V class, 138 V warm."""
    site = {**module("46 V", "-0.30 %/K", "38 V", "-35 degC", 3), **BIG}
    got = finding("device-voltage", RUN, site)
    assert (got.status, got.value) == (Status.FAILS, pytest.approx(163, abs=0.5))
    warm = finding(
        "device-voltage", RUN, {**site, "site.record_low": "25 degC", "site.design_low": "25 degC"}
    )
    assert (warm.status, warm.value) == (Status.MEETS, pytest.approx(138))


def test_that_an_80_v_class_fails_on_the_array_of_a_48_v_system() -> None:
    """Computed: 2 x 45.5 V, -0.32 %/K, -25 degC: 106 V."""
    site = {**module("45.5 V", "-0.32 %/K", "37 V", "-25 degC", 2), **BATTERY_48_V}
    got = finding("device-voltage", RUN, {**site, "devices.run-breaker.dc_voltage": "80 VDC"})
    assert (got.status, got.value) == (Status.FAILS, pytest.approx(106, abs=0.5))


def test_that_an_80_v_class_stands_a_48_v_bank_that_is_equalized_in_the_cold() -> None:
    """Computed: 24 cells, 2.58 V, 5 mV/K a cell, -20 degC: 67.3 V passes 80 V."""
    changes = {
        **BATTERY_48_V,
        "bank.highest_voltage": "67.32 V",
        "devices.battery-breaker.dc_voltage": "80 VDC",
    }
    assert finding("device-voltage", OUTPUT, changes).status is Status.MEETS
    assert circuit("c-battery", changes).voltage_class == 80.0


def test_that_1_2_times_the_warm_voltage_is_not_enough_for_a_disconnect_at_40_below() -> None:
    """Applied Photovoltaics, 2nd edition, Earthscan, 2007, section 6.8 (read): 1.2 Voc; at -40 degC and
    -0.32 %/K the factor is 1.208."""
    site = module("40 V", "-0.32 %/K", "33 V", "-40 degC", 2)
    got = finding("device-voltage", RUN, {**site, "devices.run-breaker.dc_voltage": f"{1.2 * 80} VDC"})
    assert (got.status, got.value) == (Status.FAILS, pytest.approx(1.208 * 80))


@pytest.mark.parametrize(("amps", "status"), [("10 A", Status.FAILS), ("15 A", Status.MEETS)])
def test_that_10_a_for_7_34_a_trips_at_cloud_edges_and_15_a_does_not(amps: str, status: Status) -> None:
    """Installers' mailing list, field reports, 2004 to 2013 (read): 1.56 x 7.34 A = 11.5 A."""
    site = {"modules.m.isc": "7.34 A", "modules.m.imp": "6.9 A", "arrays.south.strings": "1"}
    got = finding("device-current", RUN, {**site, "devices.run-breaker.current": amps})
    assert (got.status, got.limit) == (status, pytest.approx(11.5, abs=0.05))


def test_that_three_strings_of_9_2_a_without_fuses_are_found() -> None:
    """NFPA 70, 690.9(A) (from memory): 23 A into one string against 20 A."""
    site = {"modules.m.isc": "9.2 A", "modules.m.imp": "8.7 A", "arrays.south.strings": "3"}
    got = finding("string-fuse", ARRAY, site)
    assert (got.value, got.limit) == (pytest.approx(23), 20)
    string = circuit("south-string", site)
    assert string.device_needed and string.device == 15.0


def test_that_a_fuse_above_the_modules_series_fuse_fails() -> None:
    """Photovoltaic Power Systems and the National Electrical Code: Suggested Practices, Sandia National
    Laboratories and New Mexico State University (from memory)."""
    site = {
        "arrays.south.strings": "3",
        "circuits.south-string.device": "fuse",
        "devices.fuse.current": "30 A",
    }
    assert finding("device-current", "circuits.south-string", site).status is Status.FAILS


def test_that_two_strings_are_spared_fuses_only_where_the_controller_feeds_nothing_back() -> None:
    """Suggested Practices, as above (from memory): the exemption needs a back-feed of 0 A."""
    for back_feed, status, needed in (
        ("0 A", "meets", False),
        ("", "unknown", True),
        ("2 kA", "meets", True),
    ):
        site = {"controllers.c.back_feed": back_feed, "modules.m.series_fuse": "20 A"}
        assert finding("string-fuse", ARRAY, site).status.word == status
        assert circuit("south-string", site).device_needed is needed


def test_that_a_string_breaker_with_polarity_fails_in_the_fault_it_is_for() -> None:
    """IEC 62548 and 60364-7-712 (from memory): the other strings drive the current backwards."""
    site = {
        "arrays.south.strings": "3",
        "circuits.south-string.device": "fuse",
        "devices.fuse.kind": "breaker",
        "devices.fuse.polarity": "marked",
    }
    got = finding("device-polarity", "circuits.south-string", site)
    assert (got.status, got.signal) == (Status.FAILS, Signal.DANGER)


def test_that_a_32_v_fuse_fails_on_58_4_v() -> None:
    """Suggested Practices, as above (from memory): 1.82 times the class."""
    site = {**BATTERY_48_V, "bank.highest_voltage": "58.4 V", "devices.battery-breaker.dc_voltage": "32 VDC"}
    got = finding("device-voltage", OUTPUT, site)
    assert got.status is Status.FAILS
    assert float(got.value or 0) / float(got.limit or 1) == pytest.approx(1.82, abs=0.01)  # type: ignore[arg-type]


def test_that_the_factor_chain_of_9_2_a_ends_at_14_37_a() -> None:
    """NFPA 70, 690.8(A) and (B) (from memory): 11.50 A, 14.37 A, never 17.97 A."""
    run = circuit(
        "south-run", {"modules.m.isc": "9.2 A", "modules.m.imp": "8.7 A", "arrays.south.strings": "1"}
    )
    assert (run.current, run.design_current) == (pytest.approx(11.5), pytest.approx(14.375))
    assert run.device_least == pytest.approx(14.375)


def test_that_the_battery_side_of_a_3_kw_array_carries_more_than_the_array() -> None:
    """NFPA 70, 690.8(A) (from memory): 3 kW at 150 V: 20 A in, 62.5 A out at 48 V, not 1.56 x 20 A."""
    site = {**BATTERY_48_V, "controllers.c.current_limit": "62.5 A", "arrays.south.strings": "1"}
    output, run = circuit("c-battery", site), circuit("south-run", site)
    assert output.design_current == pytest.approx(1.25 * 62.5)
    assert output.conductor is not None and run.conductor is not None
    assert output.conductor > run.conductor


def test_that_an_earthing_conductor_left_at_table_size_fails() -> None:
    """NFPA 70, 250.122(B) (from memory): 10 AWG enlarged to 4 AWG, area ratio 4.02, 10 AWG becomes 4 AWG."""
    grown = earthing_conductor(
        rules=family("nec-2023"),
        device=30.0,
        baseline_size=parse_size("10 AWG"),
        circuit_size=parse_size("4 AWG"),
    )
    assert grown.size == parse_size("4 AWG")
    site = {f"{OUTPUT}.length": "10 m", f"{OUTPUT}.earthing": "8 AWG"}
    assert finding("earthing-size", OUTPUT, site).status is Status.FAILS


def test_that_15_a_through_20_m_of_6_mm2_drop_14_6_percent_of_12_v() -> None:
    """PMG manual: small wind generator, ITDG, 2001 (read): 2 x 20 m x 0.0175/6 x 15 A = 1.75 V; there and
    back."""
    drop = voltage_drop(length=20.0, current=15.0, voltage=12.0, resistance=0.0175 / 6, rules=family("iec"))
    assert (drop.drop, drop.fraction) == (pytest.approx(1.75), pytest.approx(0.146, abs=0.0005))


def test_that_90_degc_wire_keeps_58_percent_of_its_ampacity_at_70_degc() -> None:
    """Suggested Practices, as above (from memory): sqrt((90 - 70)/(90 - 30)) = 0.58."""
    hot = wire_ampacity(size=parse_size("10 AWG"), insulation=90.0, ambient=70.0, rules=family("nec-2023"))
    assert hot.ambient_factor == pytest.approx(0.58)


def test_that_a_string_inside_the_limit_at_25_degc_destroys_the_controller_at_the_record_low() -> None:
    """NFPA 70, 690.7 (from memory): 3 x 45 V, -0.28 %/K, -30 degC: 156 V on 150 V."""
    got = finding("standoff-limit", ARRAY, module("45 V", "-0.28 %/K", "37 V", "-30 degC", 3))
    assert (got.status, got.value, got.limit) == (Status.FAILS, pytest.approx(156, abs=0.5), 150)


def test_that_a_hot_string_below_the_equalizing_voltage_charges_nothing() -> None:
    """Computed: 2 x 37 V, -0.40 %/K, cell at 70 degC: 60.7 V for 62 V."""
    site = {
        **module("45 V", "-0.30 %/K", "37 V", "-10 degC", 2),
        **BATTERY_48_V,
        "bank.highest_voltage": "62 V",
        "modules.m.beta_vmp": "-0.40 %/K",
        "site.design_high": "40 degC",
    }
    got = finding("start-voltage", ARRAY, site)
    assert (got.status, got.value) == (Status.FAILS, pytest.approx(60.7, abs=0.05))


def test_that_too_many_watts_are_clipped_and_too_many_amps_fail() -> None:
    """Reasoned: clipping costs harvest, more short-circuit current than the input stands the controller."""
    clipped = {"controllers.c.current_limit": "50 A"}
    assert finding("controller-output", "controllers.c", clipped).status is Status.MARGINAL
    weak = {"controllers.c.short_circuit_limit": "27.9 A"}
    assert finding("controller-short-circuit", "controllers.c", weak).status is Status.FAILS


def test_that_strings_of_unequal_voltage_on_one_controller_are_found() -> None:
    """IEC 62548 (from memory): running voltages of parallel strings within 5 %."""
    site = {"arrays.west.modules": "1"}
    got = found(judged(site, SECOND_ARRAY), "mixed-strings", "controllers.c")
    assert (got.status, got.value) == (Status.MARGINAL, pytest.approx(0.5))
    assert found(judged({}, SECOND_ARRAY), "mixed-strings", "controllers.c").status is Status.MEETS
