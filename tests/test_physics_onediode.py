"""The one-diode model against arbitrary-precision values, pvlib, and the data sheets that it is fitted to."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.physics.datasheet_fit import Fit, fit
from engine.physics.mpp import bench_points, max_power, one_diode
from engine.physics.onediode import (
    Diode,
    Module,
    curve,
    in_array,
    open_circuit_voltage,
    short_circuit_current,
    translate,
)
from engine.worksheet import CannotCalculate

PLAIN = Module(Diode(9.8, 1e-10, 0.3, 1 / 400, 1.6), alpha=0.005)
# "pvlib-python reference test values, arbitrary-precision single-diode solutions", pvlib contributors,
# tests/data/precise_iv_curves, sets 1 (n 1.01, 72 cells) and 2 (n 1.3, 140 cells), 25 degC, shunt 300 ohm:
# IL, I0, Rs -> Voc, Isc, Pmp, Vmp
PRECISE = [
    (1.01, 72, 1.0, 5e-10, 0.1, 39.74810737986, 0.999666777713, 28.71481604563, 33.93689431545),
    (1.01, 72, 1.0, 3e-08, 1.0, 32.15213133017, 0.996677719789, 22.31233890542, 26.15133850830),
    (1.01, 72, 8.0, 5e-10, 0.1, 43.86435345904, 7.997334221658, 280.6501106943, 37.43440601604),
    (1.01, 72, 8.0, 5e-10, 1.0, 43.86435345904, 7.973421891852, 231.1507547869, 31.60419420275),
    (1.01, 72, 8.0, 3e-08, 1.0, 36.22067749252, 7.973419823429, 176.3300151133, 24.69541080915),
    (1.3, 140, 0.5, 1e-09, 0.1, 89.42203154196, 0.499833388859, 18.44611510749, 68.96382875185),
    (1.3, 140, 2.5, 1e-08, 1.0, 89.82412462672, 2.491694345144, 157.5236517326, 74.18328434374),
]

diodes = st.builds(
    Diode,
    st.floats(0.001, 20),
    st.floats(-14, -6).map(lambda power: 10**power),
    st.floats(0, 2),
    st.floats(0, 0.02),
    st.floats(0.5, 5),
)


@pytest.mark.parametrize(("n", "cells", "il", "i0", "rs", "voc", "isc", "pmp", "vmp"), PRECISE)
def test_that_corner_points_are_the_arbitrary_precision_ones(
    n: float, cells: int, il: float, i0: float, rs: float, voc: float, isc: float, pmp: float, vmp: float
) -> None:
    got = one_diode(il, i0, rs, 300.0, n, cells, 25.0)
    assert got.voc == pytest.approx(voc, abs=2e-5)
    assert got.isc == pytest.approx(isc, abs=1e-6)
    assert got.pmp == pytest.approx(pmp, abs=2e-5)
    assert got.vmp == pytest.approx(vmp, abs=2e-4)


def test_that_a_years_hours_have_a_librarys_maximum_power() -> None:
    from pvlib.singlediode import bishop88_mpp

    il, i0, rs, g, a = points = bench_points()
    reference = bishop88_mpp(il, i0, rs, 1 / np.asarray(g), a, method="newton")
    got = max_power(points)
    assert got.power.shape == (8760,)
    assert np.abs(got.power - reference[2]).max() < 1e-9
    assert np.abs(got.voltage - reference[1]).max() < 1e-4


def test_that_darkness_gives_zeros_and_no_nan() -> None:
    dark = translate(PLAIN, np.array([0.0, 1000.0, 0.0]), np.array([-10.0, 25.0, 60.0]))
    got = max_power(dark)
    assert got.power[[0, 2]].tolist() == [0.0, 0.0]
    assert got.voltage[[0, 2]].tolist() == [0.0, 0.0]
    assert got.power[1] > 300
    assert np.asarray(open_circuit_voltage(dark))[[0, 2]].tolist() == [0.0, 0.0]
    swept = curve(translate(PLAIN, 0.0, 25.0))
    assert not np.any(swept.voltage) and not np.any(swept.current) and not np.any(swept.power)


@given(diode=diodes)
def test_that_a_swept_curve_keeps_the_equation_between_its_ends(diode: Diode) -> None:
    il, i0, rs, g, a = diode
    voltage, current, power = curve(diode)
    inner = voltage + current * rs
    assert current == pytest.approx(il - i0 * np.expm1(inner / a) - inner * g, abs=1e-9 * (1 + il))
    assert voltage[0] == pytest.approx(0, abs=1e-8) and current[-1] == pytest.approx(0, abs=1e-8)
    assert np.all(np.diff(voltage) > 0) and np.all(np.diff(current) <= 1e-12)
    assert power == pytest.approx(voltage * current)


@given(diode=diodes)
def test_that_no_swept_point_beats_the_maximum(diode: Diode) -> None:
    best = float(max_power(diode).power)
    swept = curve(diode, 4000).power.max()
    assert swept <= best * (1 + 1e-9)
    assert swept == pytest.approx(best, rel=1e-4)


def test_that_diodes_out_of_newtons_reach_are_found_all_the_same() -> None:
    hard = [Diode(il, 1e-12, 50.0, 0.0, 0.5) for il in (0.1, 1.0, 10.0)]
    for diode in hard:
        swept = curve(diode, 20_000).power.max()
        assert float(max_power(diode).power) == pytest.approx(swept, rel=1e-6)


@given(irradiance=st.floats(1, 1400), temperature=st.floats(-40, 90))
def test_that_translation_by_the_gap_is_a_librarys(irradiance: float, temperature: float) -> None:
    from pvlib.pvsystem import calcparams_desoto

    il, i0, rs, g, a = PLAIN.diode
    reference = calcparams_desoto(irradiance, temperature, 0.005, a, il, i0, 1 / g, rs)
    got = translate(PLAIN, irradiance, temperature)
    assert got.photocurrent == pytest.approx(reference[0])
    assert got.saturation_current == pytest.approx(reference[1], rel=1e-6)
    assert got.series_resistance == pytest.approx(reference[2])
    assert got.shunt_conductance == pytest.approx(1 / reference[3])
    assert got.modified_ideality == pytest.approx(reference[4])


def test_that_an_array_scales_volts_by_modules_and_amps_by_strings() -> None:
    one, many = PLAIN.diode, in_array(PLAIN.diode, 11, 4)
    assert open_circuit_voltage(many) == pytest.approx(11 * np.asarray(open_circuit_voltage(one)))
    assert short_circuit_current(many) == pytest.approx(4 * np.asarray(short_circuit_current(one)))
    assert max_power(many).voltage == pytest.approx(11 * max_power(one).voltage)
    assert max_power(many).power == pytest.approx(44 * max_power(one).power)


def _sheets() -> list[dict[str, float]]:
    """Every 500th module of pvlib's open table, as data-sheet values."""
    from pvlib.pvsystem import retrieve_sam

    table = retrieve_sam("CECMod").T.iloc[::500]
    sheet = ["V_oc_ref", "I_sc_ref", "V_mp_ref", "I_mp_ref", "beta_oc", "alpha_sc", "N_s"]
    rows = table[sheet].astype(float).to_numpy().tolist()
    return [
        {"voc": voc, "isc": isc, "vmp": vmp, "imp": imp, "beta_voc": beta / voc, "alpha_isc": alpha / isc}
        for voc, isc, vmp, imp, beta, alpha, _ in rows
    ]


@pytest.fixture(scope="module")
def sheets() -> list[dict[str, float]]:
    return _sheets()


def _module(found: Fit) -> Module:
    assert found.module is not None, found.reason
    return found.module


def test_that_fitted_curves_pass_through_their_data_sheets(sheets: list[dict[str, float]]) -> None:
    found = [(sheet, fit(**sheet)) for sheet in sheets]
    physical = [(sheet, _module(one)) for sheet, one in found if one.physical]
    assert len(sheets) > 40 and len(physical) >= 0.98 * len(sheets)
    for sheet, module in physical:
        best = max_power(module.diode)
        assert best.voltage == pytest.approx(sheet["vmp"], rel=1e-6)
        assert best.current == pytest.approx(sheet["imp"], rel=1e-6)
        assert open_circuit_voltage(module.diode) == pytest.approx(sheet["voc"], rel=1e-6)
        assert short_circuit_current(module.diode) == pytest.approx(sheet["isc"], rel=1e-6)
        assert min(module.diode) >= 0


def test_that_fitted_voltage_follows_the_data_sheets_coefficient(sheets: list[dict[str, float]]) -> None:
    cells = np.array([-40.0, -20.0, 0.0, 24.0, 45.0, 70.0])
    for sheet in sheets:
        module = _module(fit(**sheet))
        voltage = np.asarray(open_circuit_voltage(translate(module, np.full(6, 1000.0), cells)))
        slope = (voltage / sheet["voc"] - 1) / (cells - 25)
        assert np.abs(slope - sheet["beta_voc"]).max() < 1e-8


def test_that_a_fitted_module_loses_power_with_heat_nearly_as_its_table_says() -> None:
    from pvlib.pvsystem import retrieve_sam

    table = retrieve_sam("CECMod").T.iloc[::500]
    gammas = table["gamma_r"].astype(float).to_numpy() / 100
    modules = [_module(fit(**sheet)) for sheet in _sheets()]
    warm = [float(max_power(translate(module, 1000.0, 55.0)).power) for module in modules]
    cold = [float(max_power(module.diode).power) for module in modules]
    errors = (np.array(warm) / cold - 1) / 30 - gammas
    assert np.median(np.abs(errors)) < 0.0006


@given(irradiance=st.floats(1, 1200), temperature=st.floats(-40, 80), step=st.floats(1, 20))
def test_that_a_colder_or_brighter_module_gives_more(
    irradiance: float, temperature: float, step: float
) -> None:
    module = _module(fit(49.5, 11.2, 41.5, 10.6, -0.0027, 0.0005, 72))
    here = translate(module, irradiance, temperature)
    colder, brighter = (
        translate(module, irradiance, temperature - step),
        translate(module, irradiance + step, temperature),
    )
    assert open_circuit_voltage(colder) > open_circuit_voltage(here)
    assert max_power(colder).power > max_power(here).power
    assert open_circuit_voltage(brighter) > open_circuit_voltage(here)
    assert max_power(brighter).power > max_power(here).power


def test_that_missing_data_are_named_in_the_notes() -> None:
    notes = " ".join(fit(49.5, 11.2, 41.5, 10.6, -0.0027).notes)
    assert "cells" in notes and "current coefficient" in notes
    assert fit(49.5, 11.2, 41.5, 10.6, -0.0027, 0.0005, 72).notes == ()


def test_that_a_wrong_number_of_cells_is_suspected() -> None:
    found = fit(44.7, 9.52, 36.8, 9.11, -0.00291, 0.00035, 340)
    assert found.physical and "check the number of cells" in " ".join(found.notes)


@pytest.mark.parametrize(
    ("vmp", "imp", "beta", "words"),
    [
        (50.0, 10.6, -0.0027, "voltage at maximum power"),
        (41.5, 11.2, -0.0027, "current at maximum power"),
        (24.0, 10.6, -0.0027, "more than one diode"),
        (41.5, 10.6, 0.0027, "must be negative"),
        (49.4, 11.19, -0.0027, "no one-diode curve"),
    ],
)
def test_that_values_without_a_physical_set_give_no_curve_but_a_reason(
    vmp: float, imp: float, beta: float, words: str
) -> None:
    found = fit(49.5, 11.2, vmp, imp, beta, 0.0005, 72)
    assert not found.physical and found.module is None
    assert words in found.reason


def test_that_a_second_look_at_the_same_sheet_costs_nothing_new() -> None:
    first = fit(49.5, 11.2, 41.5, 10.6, -0.0027, 0.0005, 72)
    assert fit(49.5, 11.2, 41.5, 10.6, -0.0027 * (1 + 1e-13), 0.0005, 72) is first


def test_that_heat_beyond_the_voltage_line_is_refused() -> None:
    module = _module(fit(49.5, 11.2, 41.5, 10.6, -0.0027, 0.0005, 72))
    with pytest.raises(CannotCalculate, match="cell_temperature"):
        translate(module, 1000.0, 500.0)
