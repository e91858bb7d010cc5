"""A wind turbine at its site: what is missing is named, and the year agrees with what is outside."""

from __future__ import annotations

import math

import numpy as np
import pytest
from windpowerlib.density import ideal_gas
from windpowerlib.wind_speed import hellman

from app.places import demo_sites
from engine import evaluate, load
from engine.design import Design
from engine.edit import set_fields
from engine.sections.harvest import harvest
from engine.sections.wind import GUST, REFERENCE, WINDS, WindResult
from engine.worksheet import CannotCalculate

LAKE = load(demo_sites() / "lake_cabin.toml")


def result(**texts: str) -> WindResult:
    """The turbine of the lake cabin with some fields otherwise; ``site__x`` for one of the site."""
    paths = {name.replace("__", ".") if "__" in name else f"wind.mast.{name}": t for name, t in texts.items()}
    return evaluate(set_fields(LAKE, paths) if paths else LAKE).wind["mast"]


def missing(found: WindResult) -> set[str]:
    return {item.path for item in found.missing}


def test_that_the_lake_cabins_turbine_lacks_nothing_and_gives_what_its_maker_says() -> None:
    found = result()
    assert not found.missing
    assert found.energy_tracked == pytest.approx(found.energy_maker, rel=0.1)
    assert found.energy_direct < found.energy_battery < found.energy_tracked
    assert found.gain == pytest.approx(found.energy_battery / found.energy_direct)


def test_that_wind_at_the_hub_and_air_are_those_of_a_library() -> None:
    found, site = result(), LAKE.site
    wind = hellman(
        float(site.wind_speed or 0), float(site.use("wind_height")), 66 * 0.3048, hellman_exponent=0.18
    )
    assert found.mean_wind == pytest.approx(float(wind), rel=1e-6)
    kelvin = sum(map(float, site.air_temperature or ())) / 12 + 273.15
    pressure = 101325 * (1 - 0.0065 * float(site.elevation or 0) / 288.15) ** 5.2559
    assert found.machine is not None
    assert found.machine.density == pytest.approx(float(ideal_gas(pressure, 10, 10, kelvin)), rel=1e-3)


def test_that_the_storms_are_those_of_the_least_class_that_the_mean_wind_allows() -> None:
    # IEC 61400-2:2013, table 1 (from memory): class IV 6 m/s, 30 and 42 m/s in storms; S beyond class I.
    found = result()
    assert (found.wind_class, found.reference, found.gust) == ("IV", 30, 42)
    windy = result(site__wind_speed="12 m/s")
    assert windy.wind_class == "S"
    assert windy.mean_wind is not None
    assert windy.gust == pytest.approx(GUST * windy.mean_wind)
    assert windy.reference == pytest.approx(REFERENCE * windy.mean_wind)


@pytest.mark.parametrize(
    ("field", "path"),
    [
        ("diameter", "wind.mast.diameter"),
        ("volts_per_speed", "wind.mast.volts_per_speed"),
        ("resistance", "wind.mast.resistance"),
        ("hub_height", "wind.mast.hub_height"),
        ("short_current", "wind.mast.short_current"),
        ("site__elevation", "site.elevation"),
        ("site__wind_speed", "site.wind_speed"),
        ("bank__voltage", "bank.voltage"),
    ],
)
def test_that_a_missing_datum_is_named(field: str, path: str) -> None:
    assert path in missing(result(**{field: ""}))


def test_that_a_table_which_ends_above_zero_is_asked_for_its_end() -> None:
    found = result(cp_points="2: 5 %; 6: 32 %; 9: 19 %")
    assert found.machine is None
    assert missing(found) == {"wind.mast.cp_points"}


def test_that_without_a_table_the_general_curve_is_taken_and_said() -> None:
    found = result(cp_points="")
    assert found.machine is not None
    assert found.machine.rotor.best == (6.3, 0.32)
    assert any(item.path == "wind.mast.cp_points" for item in found.assumed)


def test_that_more_resistance_gives_less_in_a_year() -> None:
    assert result(resistance="0.9 ohm").energy_tracked < result().energy_tracked


def test_that_shorting_holds_less_where_the_alternator_passes_less() -> None:
    assert result(short_current="40 A").holds < result(short_current="200 A").holds
    found = result()
    assert found.shorted_wind == min(found.holds, found.reference)
    assert found.shorted_line == pytest.approx(found.shorted_current * math.sqrt(2 / 3))


def test_that_a_turbine_with_another_brake_is_not_shorted() -> None:
    assert result(brake="mechanical").holds is None


def test_that_the_load_curve_keeps_nearly_all_and_a_cap_costs_harvest() -> None:
    whole, capped = harvest(result()), harvest(result(), cap=450.0)
    assert whole.followed > 0.99 * whole.uncapped
    assert whole.capped == pytest.approx(whole.uncapped)
    assert capped.capped < 0.99 * capped.uncapped
    assert capped.fastest <= 450 * 1.005
    assert np.all(np.diff(whole.winds) >= 0)
    assert harvest(result(speed_cap="450 rpm")).fastest == pytest.approx(capped.fastest)


def test_that_a_cap_below_the_batterys_voltage_is_refused_with_the_least_speed() -> None:
    with pytest.raises(CannotCalculate, match="211"):  # (24 V + 1.4 V) / 0.12 V/rpm = 211.7 rpm
        harvest(result(), cap=200.0)


def test_that_a_turbine_without_its_data_has_no_load_curve() -> None:
    with pytest.raises(CannotCalculate):
        harvest(result(diameter=""))


def test_that_the_same_turbine_is_not_computed_again() -> None:
    def of(design: Design) -> WindResult:
        return evaluate(design).wind["mast"]

    first = of(LAKE)
    assert of(set_fields(LAKE, {"loads.fridge.power": "80 W"})) is first


def test_that_the_winds_reach_from_calm_to_beyond_any_hour() -> None:
    assert WINDS[0] == 0
    assert WINDS[-1] >= 45 - 1e-9
