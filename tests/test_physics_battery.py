"""Storage formulas against published values, libraries and laws."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
import rainflow as rainflow_library
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from engine.physics.battery import (
    battery_bank,
    battery_capacity,
    battery_runtime,
    charge_setpoint,
    two_well_battery,
)
from engine.physics.cycles import cycle_count, turning_points
from engine.physics.diversion import diversion_load, resistor_power
from engine.physics.ventilation import battery_ventilation, hydrogen_rate
from engine.tables import table
from engine.tables.family import family
from engine.worksheet import CannotCalculate

positive = st.floats(0.1, 1000)


def test_that_a_published_bank_with_a_cold_multiplier_comes_out() -> None:
    # An IEEE-style sizing walk-through on an independent educational page (read): 6500 Wh, 541.7 Ah.
    bank = battery_capacity(daily_energy=1000, autonomy=60, depth=0.5, voltage=12, temperature_multiplier=1.3)
    assert bank.energy == pytest.approx(6500, abs=0.5)
    assert bank.capacity == pytest.approx(541.7, abs=0.05)


@pytest.mark.parametrize(
    ("daily_energy", "depth_and_losses", "energy", "capacity"),
    [(1700, 0.9, 4722, 393.5), (1800, 0.9, 5000, 417)],
)
def test_that_a_courseware_house_needs_its_published_bank(
    daily_energy: float, depth_and_losses: float, energy: float, capacity: float
) -> None:
    # "Energy System Design, Project, and the Viva", open B.Sc. courseware, 2026 (read): two days, 80 %, 90 %.
    bank = battery_capacity(
        daily_energy=daily_energy, autonomy=48, depth=0.8, voltage=12, efficiency=depth_and_losses
    )
    assert bank.energy == pytest.approx(energy, abs=0.5)
    assert bank.capacity == pytest.approx(capacity, abs=0.5)


@given(multiplier=st.floats(1, 2), depth=st.floats(0.1, 0.9))
def test_that_cold_and_shallow_never_shrink_a_bank(multiplier: float, depth: float) -> None:
    plain = battery_capacity(daily_energy=2000, autonomy=72, depth=0.95, voltage=24).capacity
    careful = battery_capacity(
        daily_energy=2000, autonomy=72, depth=depth, voltage=24, temperature_multiplier=multiplier
    ).capacity
    assert careful > plain


def test_that_sixteen_lithium_cells_make_the_published_pack() -> None:
    # "Energy Storage: Batteries, Pumped Hydro and Hydrogen", example 1, open B.Sc. courseware, 2026 (read).
    pack = battery_bank(capacity=100, block_capacity=100, block_voltage=3.2, voltage=51.2)
    assert (pack.series, pack.parallel, pack.blocks) == (16, 1, 16)
    assert pack.installed_energy == pytest.approx(5120, abs=5)
    usable = battery_runtime(capacity=80, rated_time=1, current=2500 / 51.2, exponent=1)
    assert usable.time == pytest.approx(1.64, abs=0.005)


@pytest.mark.parametrize(("capacity", "parallel"), [(449.9, 2), (450.0, 2), (450.1, 3)])
def test_that_parallel_strings_round_up_and_an_exact_fit_is_a_fit(capacity: float, parallel: int) -> None:
    bank = battery_bank(capacity=capacity, block_capacity=225, block_voltage=6, voltage=48)
    assert bank.parallel == parallel
    assert bank.installed_capacity >= capacity


@given(capacity=positive, block=positive)
def test_that_a_bank_is_never_less_than_asked_and_never_a_string_too_many(
    capacity: float, block: float
) -> None:
    bank = battery_bank(capacity=capacity, block_capacity=block, block_voltage=12, voltage=24)
    assert bank.installed_capacity >= capacity * (1 - 1e-9)
    assert bank.installed_capacity - block < capacity


def test_that_blocks_which_do_not_make_the_voltage_are_refused() -> None:
    with pytest.raises(CannotCalculate, match="block_voltage"):
        battery_bank(capacity=100, block_capacity=100, block_voltage=12.8, voltage=48)


def test_that_a_block_above_the_battery_voltage_is_refused() -> None:
    with pytest.raises(CannotCalculate, match="block_voltage"):
        battery_bank(capacity=100, block_capacity=100, block_voltage=48, voltage=12)


def test_that_peukerts_law_gives_the_handbook_run_time() -> None:
    # t = H (C / (I H))^k with 100 Ah at 20 h, 10 A and k = 1.2 (from memory): 8.71 h.
    run = battery_runtime(capacity=100, rated_time=20, current=10, exponent=1.2)
    assert run.time == pytest.approx(8.71, abs=0.005)
    assert run.delivered == pytest.approx(87, abs=0.5)
    assert not run.beyond_rating


def test_that_the_rated_current_gives_the_rated_time() -> None:
    run = battery_runtime(capacity=100, rated_time=20, current=5, exponent=1.3)
    assert run.time == pytest.approx(20)
    assert not run.beyond_rating


def test_that_a_promise_beyond_the_rating_is_flagged() -> None:
    assert battery_runtime(capacity=100, rated_time=20, current=4.9, exponent=1.2).beyond_rating


@given(current=st.floats(5.1, 500), exponent=st.floats(1.01, 1.6))
def test_that_a_hard_discharge_delivers_less(current: float, exponent: float) -> None:
    assert battery_runtime(capacity=100, rated_time=20, current=current, exponent=exponent).delivered < 100


def test_that_a_warm_float_set_point_falls_as_published() -> None:
    # "Charging lead acid", a web reference for education on batteries (read): 2.30 V less 3 mV/K is 2.27 V at
    # 35.
    point = charge_setpoint(per_cell=2.30, cells=1, coefficient=-0.003, temperature=35)
    assert point.voltage == pytest.approx(2.27, abs=1e-9)
    assert not point.clamped


@given(colder=st.floats(-40, 24), warmer=st.floats(25, 50))
def test_that_a_colder_battery_is_charged_higher(colder: float, warmer: float) -> None:
    def volts(temperature: float) -> float:
        return charge_setpoint(per_cell=2.4, cells=24, coefficient=-0.005, temperature=temperature).voltage

    assert volts(colder) > volts(warmer)


@pytest.mark.parametrize(
    ("temperature", "per_cell", "clamped"),
    [(-5, 2.55, False), (-15, 2.60, False), (-16, 2.60, True), (60, 2.3, True)],
)
def test_that_a_clamp_holds_only_what_passes_it(temperature: float, per_cell: float, clamped: bool) -> None:
    point = charge_setpoint(
        per_cell=2.4, cells=24, coefficient=-0.005, temperature=temperature, minimum=2.3, maximum=2.6
    )
    assert point.per_cell == pytest.approx(per_cell)
    assert point.voltage == pytest.approx(24 * per_cell)
    assert point.clamped is clamped


def test_that_clamps_in_the_wrong_order_are_refused() -> None:
    with pytest.raises(CannotCalculate, match="minimum"):
        charge_setpoint(per_cell=2.4, cells=6, coefficient=-0.005, temperature=20, minimum=2.6, maximum=2.3)


def test_that_a_battery_room_gets_its_published_air_and_distance() -> None:
    # IEC 62485-2 / EN 50272-2: Q = 0.05 n Igas C / 1000, A = 28 Q (read); 0.78 m for 1000 Ah at 20 mA/Ah.
    room = battery_ventilation(cells=24, capacity=1000, gas_current=0.020)
    assert room.airflow == pytest.approx(24, abs=0.005)
    assert room.opening == pytest.approx(672, abs=0.5)
    assert room.distance == pytest.approx(0.78, abs=0.005)


def test_that_the_gas_currents_of_the_standard_go_from_sealed_float_to_nickel_boost() -> None:
    # IEC 62485-2, table 1 (from memory): vented lead-acid 5 and 20, sealed 1 and 8 mA/Ah.
    printed = table("iec62485_gassing_current")
    kinds = zip(printed.column("type"), printed.column("igas_mA_per_Ah"), strict=True)
    assert {("vented lead-acid", 20), ("sealed lead-acid", 8)} <= set(kinds)


@pytest.mark.parametrize(("cell_voltage", "deciding"), [(2.40, 0.02), (2.41, 0.06), (None, 0.06)])
def test_that_above_the_tables_voltage_the_chargers_current_counts(
    cell_voltage: float | None, deciding: float
) -> None:
    room = battery_ventilation(
        cells=24, capacity=1000, gas_current=0.02, cell_voltage=cell_voltage, charge_current=60
    )
    assert room.deciding_gas_current == pytest.approx(deciding)
    assert room.airflow == pytest.approx(0.05 * 24 * deciding * 1000)


def test_that_a_small_charger_does_not_lower_the_tables_gas_current() -> None:
    room = battery_ventilation(cells=24, capacity=1000, gas_current=0.02, cell_voltage=2.6, charge_current=5)
    assert room.deciding_gas_current == 0.02


def test_that_equalizing_without_a_known_charge_current_is_refused() -> None:
    with pytest.raises(CannotCalculate, match="charge_current"):
        battery_ventilation(cells=24, capacity=1000, gas_current=0.02, cell_voltage=2.5)


@given(more=st.floats(1, 50))
def test_that_more_gas_needs_more_air_and_more_distance(more: float) -> None:
    little = battery_ventilation(cells=12, capacity=500, gas_current=0.001)
    much = battery_ventilation(cells=12, capacity=500, gas_current=0.001 * more)
    assert much.airflow == pytest.approx(more * little.airflow)
    assert much.distance == pytest.approx(math.cbrt(more) * little.distance)


def test_that_hydrogen_follows_faraday_and_the_published_rate() -> None:
    # IEEE 1635: 1.27e-7 m^3/s an ampere and cell at 25 degC (from memory); 0.42 L an Ah at 0 degC (IEC
    # 62485-2).
    rate = hydrogen_rate(cells=1, current=1)
    assert rate.hydrogen / 3600 == pytest.approx(1.27e-7, abs=0.005e-7)
    assert rate.hydrogen * 273.15 / 298.15 == pytest.approx(0.42e-3, abs=0.005e-3)


def test_that_the_air_keeps_the_hydrogen_below_one_per_cent() -> None:
    rate = hydrogen_rate(cells=24, current=30)
    assert rate.hydrogen / rate.airflow < 0.01
    all_gas = battery_ventilation(
        cells=24, capacity=600, gas_current=0.02, cell_voltage=2.5, charge_current=30
    )
    assert rate.airflow == pytest.approx(all_gas.airflow)


@pytest.mark.parametrize(("current", "minutes"), [(0.250, 4.53), (0.500, 2.02)])
def test_that_the_two_well_battery_lives_as_long_as_published(current: float, minutes: float) -> None:
    # M. R. Jongerden and B. R. Haverkort, "Which battery model to use?", IET Software 3(6), 2009, battery B1
    # of 5.5 A min, c = 0.166, k' = 0.122 a minute: 4.53 and 2.02 min at constant current (from memory).
    battery = two_well_battery(capacity=5.5 / 60, available_share=0.166, rate=0.122 * 60, current=current)
    assert battery.lifetime * 60 == pytest.approx(minutes, abs=0.005)


@pytest.mark.parametrize(
    ("share", "rate", "current"), [(0.3, 0.5, 25.0), (0.6, 2.0, 90.0), (0.15, 0.05, 5.0)]
)
def test_that_the_closed_form_agrees_with_the_wells_integrated(
    share: float, rate: float, current: float
) -> None:
    conductance = rate * share * (1 - share)

    def wells(_: float, charge: np.ndarray) -> list[float]:
        between = conductance * (charge[1] / (1 - share) - charge[0] / share)
        return [between - current, -between]

    def empty(_: float, charge: np.ndarray) -> float:
        return float(charge[0])

    empty.terminal = True  # type: ignore[attr-defined]
    full = [200 * share, 200 * (1 - share)]
    run = solve_ivp(wells, (0, 200 / current + 1), full, events=empty, rtol=1e-10, atol=1e-10)
    battery = two_well_battery(capacity=200, available_share=share, rate=rate, current=current)
    assert battery.lifetime == pytest.approx(run.t_events[0][0], rel=1e-7)


@given(share=st.floats(0.01, 1), rate=st.floats(0, 100), current=st.floats(0.01, 1000))
def test_that_the_two_wells_deliver_between_the_share_and_all(
    share: float, rate: float, current: float
) -> None:
    battery = two_well_battery(capacity=200, available_share=share, rate=rate, current=current)
    assert 200 * share * (1 - 1e-9) <= battery.delivered <= 200 * (1 + 1e-9)
    harder = two_well_battery(capacity=200, available_share=share, rate=rate, current=2 * current)
    assert harder.delivered <= battery.delivered * (1 + 1e-9)


def test_that_wells_without_a_connection_give_only_the_available_one() -> None:
    assert two_well_battery(capacity=200, available_share=0.3, rate=0, current=20).lifetime == pytest.approx(
        3
    )


def test_that_the_rainflow_example_of_the_standard_is_met() -> None:
    # ASTM E1049-85, 5.4.4 and figure 6 (read).
    count = cycle_count(history=(-2, 1, -3, 5, -1, 3, -4, 4, -2))
    assert count.ranges == (3, 4, 6, 8, 9)
    assert count.counts == (0.5, 1.5, 0.5, 1.0, 0.5)


@given(st.lists(st.integers(-9, 9), min_size=3, max_size=60))
def test_that_cycles_agree_with_the_rainflow_library(history: list[int]) -> None:
    expected = [(size, cycles) for size, cycles in rainflow_library.count_cycles(history) if size]
    if len(turning_points(history)) < 3:
        return  # the library leaves out a history with a single swing
    count = cycle_count(history=history)
    assert list(zip(count.ranges, count.counts, strict=True)) == expected


@given(st.lists(st.integers(-9, 9), min_size=2, max_size=60))
def test_that_the_swings_of_a_history_are_all_counted(history: list[int]) -> None:
    travelled = sum(abs(b - a) for a, b in pairwise(history))
    count = cycle_count(history=history)
    assert sum(2 * size * n for size, n in zip(*count, strict=True)) == travelled


def test_that_a_single_swing_is_a_half_cycle_and_rest_is_none() -> None:
    assert cycle_count(history=(0.9, 0.4)).counts == (0.5,)
    assert cycle_count(history=(0.5, 0.5, 0.5)) == ((), ())


def test_that_one_value_is_no_history() -> None:
    with pytest.raises(CannotCalculate, match="history"):
        cycle_count(history=(0.5,))


def test_that_the_diversion_circuit_is_rated_at_one_and_a_half_times_the_controller() -> None:
    # NFPA 70, 690.72(B)(2) of 2014, 706.33 of 2023 (from memory).
    for name in ("nec-2017", "nec-2020", "nec-2023", "iec"):
        load = diversion_load(controller_current=60, highest_voltage=60, rules=family(name))
        assert load.conductor_current == pytest.approx(90)
        assert load.load_current_limit == 60
        assert load.resistance_low == pytest.approx(1.0)


def test_that_an_unknown_source_power_leaves_the_loads_power_unknown() -> None:
    load = diversion_load(controller_current=60, highest_voltage=60, rules=family("nec-2023"))
    assert load.load_power is None
    assert load.resistance_high is None
    assert load.possible is None


@pytest.mark.parametrize(("source_power", "possible"), [(2399, True), (2400, True), (2401, False)])
def test_that_a_diversion_load_is_possible_up_to_the_controllers_limit(
    source_power: float, possible: bool
) -> None:
    load = diversion_load(
        controller_current=60, highest_voltage=60, source_power=source_power, rules=family("nec-2023")
    )
    assert load.source_power_limit == pytest.approx(2400)
    assert load.load_power == pytest.approx(1.5 * source_power)
    assert load.possible is possible
    assert load.resistance_high is not None
    assert (load.resistance_low <= load.resistance_high * (1 + 1e-9)) is possible


def test_that_a_load_within_its_window_carries_the_power_and_spares_the_controller() -> None:
    load = diversion_load(
        controller_current=60,
        highest_voltage=62,
        source_power=1500,
        regulating_voltage=56,
        rules=family("nec-2023"),
    )
    assert load.resistance_high is not None
    assert 56**2 / load.resistance_high == pytest.approx(1.5 * 1500)
    assert 62 / load.resistance_low == pytest.approx(60)


def test_that_a_lower_regulating_voltage_asks_for_a_lower_resistance() -> None:
    def high(regulating_voltage: float | None) -> float:
        load = diversion_load(
            controller_current=60,
            highest_voltage=62,
            source_power=1500,
            regulating_voltage=regulating_voltage,
            rules=family("nec-2023"),
        )
        assert load.resistance_high is not None
        return load.resistance_high

    assert high(56) < high(None)


def test_that_the_published_dump_load_is_large_enough() -> None:
    # PCF-CAL-001, open-hardware low-head pico-hydro, 2026 (read): 300 W against 183.1 W is a margin of 1.64.
    load = diversion_load(
        controller_current=30, highest_voltage=14.6, source_power=183.1, rules=family("nec-2023")
    )
    assert load.load_power is not None
    assert 300 / load.load_power == pytest.approx(1.64 / 1.5, abs=0.005)


def test_that_diverting_above_the_highest_voltage_is_refused() -> None:
    with pytest.raises(CannotCalculate, match="regulating_voltage"):
        diversion_load(controller_current=60, highest_voltage=60, regulating_voltage=61, rules=family("iec"))


def test_that_a_resistor_follows_the_square_of_the_voltage() -> None:
    # An element rated at 12 V on 14.4 V takes 1.44 times its power (Ohm's law).
    assert resistor_power(rated_power=100, rated_voltage=12, voltage=14.4).power == pytest.approx(144)


def test_that_arrays_pass_where_it_is_said() -> None:
    volts = np.array([0.0, 12.0, 24.0])
    power = resistor_power(rated_power=100, rated_voltage=12, voltage=volts).power  # type: ignore[arg-type]
    assert np.allclose(power, [0, 100, 400])
