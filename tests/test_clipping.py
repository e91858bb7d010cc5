"""What an output limit lets through of a month: against hours of typical years, and its laws."""

from __future__ import annotations

import warnings
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.places import demo_sites
from engine import evaluate, load
from engine.edit import set_fields
from engine.physics.sun import extraterrestrial_day
from engine.physics.tilted import average_day
from engine.sections.clipping import share_under_limit

WATTS = st.floats(50, 1500)


@pytest.mark.parametrize("tilt", [0, 30, 60])
@pytest.mark.parametrize("file", ["723170TYA.CSV", "703165TY.csv"])
def test_that_it_counts_no_more_than_the_hours_of_a_typical_year_pass(file: str, tilt: int) -> None:
    """Greensboro and Sand Point (US NREL, TMY3, in pvlib), each month and limit: at most 4 % of its sun."""
    import pandas as pd
    import pvlib

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        year, place = pvlib.iotools.read_tmy3(
            Path(pvlib.__file__).parent / "data" / file, coerce_year=1990, map_variables=True
        )
    latitude = place["latitude"]
    sun = pvlib.solarposition.get_solarposition(
        year.index - pd.Timedelta("30min"), latitude, place["longitude"]
    )
    plane = pvlib.irradiance.get_total_irradiance(
        tilt,
        180,
        sun["apparent_zenith"].to_numpy(),
        sun["azimuth"].to_numpy(),
        *(year[name].to_numpy() for name in ("dni", "ghi", "dhi")),
    )
    hours = np.nan_to_num(np.asarray(plane["poa_global"]))
    for month in range(1, 13):
        here = np.asarray(year.index.month) == month
        days = here.sum() / 24
        above = extraterrestrial_day(latitude, average_day(month)).energy / 3600
        clearness = float(year["ghi"].to_numpy()[here].sum() / days / above)
        for limit in (100, 200, 400, 600, 800):
            passed = np.minimum(hours[here], limit).sum() / hours[here].sum()
            got = share_under_limit(latitude, month, float(hours[here].sum() / days), clearness, limit)
            assert got <= passed + 0.04, (month, limit)


@settings(max_examples=60, deadline=None)
@given(st.floats(-60, 60), st.integers(1, 12), st.floats(300, 7000), st.floats(0.2, 0.8), WATTS, WATTS)
def test_that_a_lower_limit_never_lets_more_through(
    latitude: float, month: int, plane: float, clearness: float, one: float, other: float
) -> None:
    less, more = (
        share_under_limit(latitude, month, plane, clearness, limit) for limit in sorted((one, other))
    )
    assert 0 <= less <= more <= 1 + 1e-12


@pytest.mark.parametrize(("amps", "bound"), [("5 A", True), ("40 A", True), ("100 A", False)])
def test_that_a_balance_counts_no_more_than_the_controller_passes(amps: str, bound: bool) -> None:
    """Array of some 95 A: by day no more than the limit goes in, at nominal voltage, in 24 hours at the very
    most; a limit above it costs nothing."""
    design = load(demo_sites() / "lake_cabin.toml")
    got = evaluate(set_fields(design, {"controllers.sun-charger.current_limit": amps}))
    sun, limit = got.balance.sources[0], float(amps.partition(" ")[0])
    for month in sun.months:
        names = [link.name for link in month.links]
        assert ("controller's limit" in names) == bound
        if bound:
            assert month.bank <= limit * float(design.bank.voltage or 0) * 24
