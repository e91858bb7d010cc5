"""Tables of batteries, sun, wind and water, and the defaults of the trade, against formulas and libraries."""

from __future__ import annotations

import math

import fluids.friction
import pytest

from engine.tables import table
from engine.tables.lookup import exact
from tests.table_cells import number, rises


def test_that_blocks_are_six_cells_and_temperatures_agree_in_both_units() -> None:
    for row in table("charge_setpoints_leadacid").rows():
        for end in ("min", "max"):
            assert row[f"v12_{end}"] == pytest.approx(6 * float(str(row[f"v_cell_{end}"])), abs=0.051)
        assert (row["equalize_cell_min"] is None) == str(row["battery"]).startswith("sealed")
    for row in table("leadacid_soc_rest_voltage").rows():
        assert row["v_12v_block"] == pytest.approx(6 * float(str(row["v_cell"])), abs=0.003)
    for name, low, high in (
        ("battery_temperature_multiplier", "temp_F", "temp_C"),
        ("electrolyte_freezing", "freeze_F", "freeze_C"),
    ):
        for row in table(name).rows():
            assert row[high] == pytest.approx((float(str(row[low])) - 32) / 1.8, abs=0.051)


def test_that_lithium_reference_voltages_stand_in_their_order() -> None:
    held = {str(row["quantity"]): float(str(row["value"])) for row in table("lifepo4_reference").rows()}
    names = [
        "low cut-off absolute",
        "low cut-off practical",
        "rest OCV 20 %",
        "rest OCV 50 %",
        "rest OCV 90 %",
    ]
    names += ["float / standby", "absorption (long-life)", "absorption (upper)", "absolute charge limit"]
    assert rises([held[name] for name in names])
    assert (held["minimum charge temperature"], held["temperature compensation"]) == (0, 0)
    assert 0.9 < held["round-trip Wh efficiency"] < 1


def test_that_sun_outside_the_air_follows_the_formula() -> None:
    # Duffie and Beckman, Solar Engineering of Thermal Processes, Wiley, eq. 1.4.1, 1.6.1, 1.10.3; 1367 W/m^2.
    held = table("klein_average_days")
    assert held.column("n") == (17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344)  # Table 1.6.1
    latitudes = {"H0_45S": -45, "H0_30S": -30, "H0_0": 0, "H0_30N": 30, "H0_43N": 43, "H0_60N": 60}
    for row in held.rows():
        day = float(str(row["n"]))
        delta = math.radians(23.45 * math.sin(math.radians(360 * (284 + day) / 365)))
        assert row["declination"] == pytest.approx(math.degrees(delta), abs=0.051)
        for column, latitude in latitudes.items():
            phi = math.radians(latitude)
            sunset = math.acos(-math.tan(phi) * math.tan(delta))
            level = math.cos(phi) * math.cos(delta) * math.sin(sunset) + sunset * math.sin(phi) * math.sin(
                delta
            )
            near = 1 + 0.033 * math.cos(math.radians(360 * day / 365))
            assert row[column] == pytest.approx(86400 / math.pi * 1367e-6 * near * level, abs=0.006)


def test_that_weibull_moments_follow_the_gamma_function() -> None:
    # Manwell, McGowan and Rogers, Wind Energy Explained, Wiley, 2009, eq. 2.60 to 2.62 (from memory).
    for row in table("weibull_energy_pattern").rows():
        k = float(str(row["k"]))
        first, second, third = (math.gamma(1 + n / k) for n in (1, 2, 3))
        assert row["Ke"] == pytest.approx(third / first**3, abs=5.1e-5)
        assert row["sigma_over_mean"] == pytest.approx(math.sqrt(second / first**2 - 1), abs=5.1e-5)
        assert row["c_over_mean"] == pytest.approx(1 / first, abs=5.1e-5)


def test_that_power_coefficients_follow_the_formula() -> None:
    # S. Heier, Grid Integration of Wind Energy Conversion Systems, Wiley, 1998 (coefficients read).
    sets = {"cp_set_a": (0.5176, 116, 0.4, 5, 21, 0.0068), "cp_set_b": (0.22, 116, 0.4, 5, 12.5, 0)}
    for row in table("heier_cp_lambda").rows():
        speed, pitch = float(str(row["lambda"])), float(str(row["beta_deg"]))
        inverse = 1 / (speed + 0.08 * pitch) - 0.035 / (pitch**3 + 1)
        for column, (c1, c2, c3, c4, c5, c6) in sets.items():
            cp = c1 * (c2 * inverse - c3 * pitch - c4) * math.exp(-c5 * inverse) + c6 * speed
            assert row[column] == pytest.approx(cp, abs=5.1e-5)


def test_that_pipe_roughness_is_that_of_the_fluids_library() -> None:
    known = fluids.friction._roughness
    read = {
        str(r["material"]): r["roughness_mm"]
        for r in table("pipe_roughness").rows()
        if "read" in str(r["how"])
    }
    assert read.keys() == known.keys()
    for material, roughness in known.items():
        assert read[material] == pytest.approx(roughness * 1000, rel=1e-9)
    memory = [r["roughness_mm"] for r in table("pipe_roughness").rows() if "memory" in str(r["how"])]
    # ESHA, Guide on how to develop a small hydropower plant, 2004, Table 2.1 (from memory).
    assert memory == [0.003, 0.0015, 0.003, 0.025, 0.25, 0.25, 0.6, 0.05, 0.18, 0.025, 0.6]


def test_that_smooth_pipes_have_their_published_coefficients() -> None:
    # CRC Press textbook companion (read) and ESHA, 2004, Tables 2.2 and 2.3 (from memory).
    hazen = dict(
        zip(table("hazen_williams_C").column("material"), table("hazen_williams_C").column("C"), strict=True)
    )
    assert (hazen["PVC"], hazen["polyethylene"], hazen["concrete"], hazen["steel"]) == (150, 140, 120, 100)
    assert hazen["cast iron new"] == 130 and hazen["cast iron 10 y"] == 110
    manning = dict(zip(table("manning_n").column("material"), table("manning_n").column("n"), strict=True))
    assert (manning["PVC"], manning["welded steel"], manning["ductile iron"]) == (0.009, 0.012, 0.015)
    assert min(manning.values()) == manning["PVC"] and max(hazen.values()) == hazen["PVC"]  # type: ignore[type-var]


def test_that_runaway_keeps_its_published_order() -> None:
    # ESHA, 2004, chapter 6 (from memory).
    for row in table("runaway_speed_ratio").rows():
        assert 1 < float(str(row["min"])) < float(str(row["max"]))
    assert number(table("runaway_speed_ratio"), "turbine", "Pelton", "max") == 1.9


def test_that_mounting_rises_cover_the_report_they_come_from() -> None:
    # SAND2004-3535: rise = E (exp(a + b v) + dT / 1000), at 1000 W/m^2 and 1 m/s, rounded up.
    coefficients = {
        "open rack": (-3.56, -0.075, 3),
        "close roof": (-2.98, -0.0471, 1),
        "insulated": (-2.81, -0.0455, 0),
    }
    for mounting, (a, b, rise) in coefficients.items():
        assert exact(table("mounting_rise"), "mounting", mounting, "rise") == math.ceil(
            1000 * math.exp(a + b) + rise
        )


def test_that_a_warm_place_is_never_cooler_than_the_air() -> None:
    held = table("place_ambient")
    # Ampacities are printed for 30 degC: no place is taken cooler, so that none lifts an ampacity.
    assert min(held.numbers("rise")) == 0 and min(held.numbers("floor")) == 30
    assert exact(held, "place", "on the roof", "rise") == 33  # NFPA 70, 310.15(B)(2), since 2017
    assert sum(table("allowed_drop").numbers("share")[:2]) == pytest.approx(0.03)  # 210.19(A), informational


def test_that_conversion_only_loses_more_as_the_ratio_grows() -> None:
    # Its ends are the best and worst means of a published laboratory comparison (98.2 % and 92.0 %, read).
    efficiencies = table("conversion_efficiency").numbers("efficiency")
    assert list(efficiencies) == sorted(efficiencies, reverse=True)
    assert (efficiencies[0], efficiencies[-1]) == (0.982, 0.92)
