"""The coarse world grid of sunshine: a default on the safe side, said as one, and none at sea."""

from __future__ import annotations

import warnings
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine import evaluate, load
from engine.edit import remove, set_fields
from engine.physics.sun import extraterrestrial_day
from engine.physics.tilted import average_day
from engine.sections.recharge import Recharge, recharge
from engine.sections.sunshine import sunshine
from engine.tables import OutsideTable, table
from engine.tables.sunshine import MONTHS, default_sun

FARM = Path(__file__).parent.parent / "demo_sites" / "mountain_farm.toml"
DARK = (0, 1, 10, 11)  # November to February, in the north


def test_that_no_cell_has_more_sun_than_stands_above_the_atmosphere() -> None:
    # The sun above by Duffie and Beckman's formula; the grid's cells are means of 3 degrees and five years.
    for row in table("world_sunshine").rows():
        latitude = float(row["lat"] or 0)
        for month, name in enumerate(MONTHS):
            above = extraterrestrial_day(latitude, average_day(month + 1)).energy / 3.6e6
            assert 0 <= float(row[name] or 0) <= above + 0.1


@pytest.mark.parametrize(
    ("file", "latitude", "longitude"), [("723170TYA.CSV", 36.1, -79.95), ("703165TY.csv", 55.317, -160.517)]
)
def test_that_the_default_is_below_a_station_in_the_dark_months_and_over_the_year(
    file: str, latitude: float, longitude: float
) -> None:
    # Typical years of two US stations (NREL, TMY3, 2008), shipped with pvlib.
    import pvlib

    path = Path(pvlib.__file__).parent / "data" / file
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        hours, _ = pvlib.iotools.read_tmy3(path, coerce_year=1990, map_variables=True)
    station = 24 * hours["ghi"].groupby(hours.index.month).mean().to_numpy()
    default = default_sun(latitude, longitude)
    assert all(default[month] < station[month] for month in DARK)
    assert 0.85 < sum(default) / station.sum() < 1
    assert all(default < 1.27 * station)


@given(st.floats(-56, 66), st.floats(-180, 180))
def test_that_the_default_is_never_above_the_cell_that_the_place_lies_in(
    latitude: float, longitude: float
) -> None:
    rows = {(row["lat"], row["lon"]): row for row in table("world_sunshine").rows()}
    # Clear of the middle between two cells, where rounding decides.
    if any(abs((value / 3) % 1 - 0.5) < 1e-6 for value in (latitude, longitude)):
        return
    own = rows.get((3.0 * round(latitude / 3), (3.0 * round(longitude / 3) + 180) % 360 - 180))
    if own is None:
        with pytest.raises(OutsideTable):
            default_sun(latitude, longitude)
    else:
        found = default_sun(latitude, longitude)
        assert all(
            day <= 1000 * float(own[name] or 0) / 1.07 + 1e-9 for day, name in zip(found, MONTHS, strict=True)
        )


def test_that_the_grid_is_round() -> None:
    assert default_sun(66.0, 180.0) == default_sun(66.0, -180.0)


def test_that_the_balance_takes_the_default_and_says_so_with_source_and_error() -> None:
    bare = set_fields(load(FARM), {"site.sun": "", "site.latitude": "47.3 deg", "site.longitude": "11 deg"})
    balance = evaluate(bare).balance
    assert balance.months
    told = [item for item in balance.assumed if item.path == "site.sun"]
    assert len(told) == 1
    for word in ("coarse default", "3 degree", "MERRA-2", "25 %"):
        assert word in told[0].why


def test_that_sun_that_was_entered_is_never_replaced() -> None:
    design = set_fields(load(FARM), {"site.latitude": "47.3 deg", "site.longitude": "11 deg"})
    found = sunshine(design.site)
    assert found is not None and found.assumed is None
    assert found.months == tuple(float(day) for day in design.site.sun or ())


@pytest.mark.parametrize(
    ("latitude", "longitude"), [("30 deg", "-40 deg"), ("-75 deg", "0 deg"), ("80 deg", "20 deg")]
)
def test_that_at_sea_and_beyond_the_grid_the_sun_stays_unknown(latitude: str, longitude: str) -> None:
    place = {"site.latitude": latitude, "site.longitude": longitude}
    balance = evaluate(set_fields(load(FARM), {"site.sun": "", **place})).balance
    assert not balance.months and "site.sun" in [item.path for item in balance.missing]


def test_that_without_a_longitude_the_sun_stays_unknown() -> None:
    bare = set_fields(load(FARM), {"site.sun": "", "site.longitude": ""})
    assert "site.sun" in [item.path for item in evaluate(bare).balance.missing]


def test_that_polar_night_has_no_default_sun() -> None:
    # At 66 north the sun hardly rises in December; no place has more than the clearest sky gives it.
    bare = set_fields(load(FARM), {"site.sun": "", "site.latitude": "67.4 deg", "site.longitude": "27 deg"})
    found = sunshine(bare.site)
    assert found is not None and found.months[11] == 0


def test_that_the_time_to_refill_the_bank_is_reckoned_by_the_default_too() -> None:
    clinic = load(FARM.with_name("tropical_clinic.toml"))
    for generator in clinic.generators:
        clinic = remove(clinic, f"generators.{generator.id}")
    bare = set_fields(clinic, {"site.sun": ""})
    months = sunshine(bare.site)
    assert months is not None and isinstance(recharge(bare), Recharge)
    typed = set_fields(bare, {"site.sun": "; ".join(f"{day} Wh/m^2" for day in months.months)})
    assert recharge(typed) == recharge(bare)
