"""What a year of hours comes to, against plain sums, scipy's fit and laws; and what is offered to a site."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine import edit
from engine.design import Design
from engine.edit import FieldError
from engine.physics.wind import weibull_energy
from engine.weather import offer, summary
from engine.weather.header import Found
from engine.weather.hours import Weather
from engine.weather.read import Reading, read
from tests.a_weather_file import epw

DATA = Path(__file__).parent / "data"


@pytest.fixture(scope="module")
def reading(tmp_path_factory: pytest.TempPathFactory) -> Reading:
    path = tmp_path_factory.mktemp("weather") / "year.epw"
    path.write_text(epw(), encoding="utf-8")
    return read(path)


@pytest.fixture(scope="module")
def year(reading: Reading) -> Weather:
    assert reading.weather is not None
    return reading.weather


# Months


def test_that_the_sun_of_the_months_adds_up_to_the_year(year: Weather) -> None:
    months = summary.months_of_sun(year)
    days = np.array([np.sum(year.month == month) / 24 for month in range(1, 13)])
    assert np.dot(days, np.array(months, dtype=float)) == pytest.approx(year.level.sum())


def test_that_the_months_are_plain_means(year: Weather) -> None:
    for values in (year.air, year.wind):
        months = summary.months_of(year, values)
        for month, mean in enumerate(months, 1):
            assert mean == pytest.approx(values[year.month == month].mean())
    assert summary.mean_wind(year) == pytest.approx(year.wind.mean())


def test_that_missing_hours_of_day_do_not_lower_the_sun(year: Weather) -> None:
    # The same hour of other days stands for them; nothing else does.
    level = year.level.copy()
    noon = np.flatnonzero((year.month == 1) & (year.hour == 12))
    level[noon[::2]] = np.nan
    gappy = summary.months_of_sun(replace(year, level=level))
    whole = summary.months_of_sun(year)
    assert gappy[0] == pytest.approx(whole[0], rel=0.01)
    assert gappy[1:] == whole[1:]


def test_that_a_month_with_many_gaps_and_a_short_one_give_nothing(year: Weather) -> None:
    level = year.level.copy()
    level[np.flatnonzero(year.month == 3)[:100]] = np.nan
    assert summary.months_of_sun(replace(year, level=level))[2] is None
    two_days = read(DATA / "aurora_two_days.epw").weather
    assert two_days is not None
    assert summary.months_of_sun(two_days) == (None,) * 12
    assert summary.mean_wind(two_days) is None and summary.darkest(two_days) is None


def test_that_the_air_of_a_month_stands_in_order(year: Weather) -> None:
    for month in summary.months_of_air(year):
        assert month is not None
        assert month.lowest <= month.day_low <= month.mean <= month.day_high <= month.highest


# The darkest fortnight


def test_that_no_fourteen_days_in_a_row_have_less_sun(year: Weather) -> None:
    found = summary.darkest(year)
    assert found is not None
    days = np.concatenate([year.level, year.level]).reshape(-1, 24).sum(axis=1)
    each = [days[start : start + 14].mean() for start in range(365)]
    assert found.mean == pytest.approx(min(each))
    assert found.mean == pytest.approx(each[found.start])


def test_that_a_fortnight_over_the_turn_of_the_year_is_found(year: Weather) -> None:
    level = year.level.copy()
    level[:120] = 0.0
    level[-216:] = 0.0
    found = summary.darkest(replace(year, level=level))
    assert found is not None
    assert (found.first, found.last, found.mean) == ((12, 23), (1, 5), 0.0)


# Winds


@pytest.mark.parametrize(("shape", "scale"), [(1.4, 3.0), (2.0, 6.0), (3.5, 9.0)])
def test_that_the_fit_is_scipy_s(shape: float, scale: float) -> None:
    from scipy.stats import weibull_min

    winds = weibull_min.rvs(shape, scale=scale, size=8760, random_state=7)
    ours = summary.weibull(winds)
    theirs, _, their_scale = weibull_min.fit(winds, floc=0)
    assert ours is not None
    assert ours.shape == pytest.approx(theirs, rel=1e-3)
    assert ours.scale == pytest.approx(their_scale, rel=1e-3)
    assert ours.calm == 0


@given(st.floats(0.1, 20))
def test_that_winds_in_another_unit_have_the_same_shape(unit: float) -> None:
    winds = np.array([1.0, 2.0, 2.5, 4.0, 7.0, 3.0])
    one, other = summary.weibull(winds), summary.weibull(winds * unit)
    assert one is not None and other is not None
    assert other.shape == pytest.approx(one.shape, rel=1e-9)
    assert other.scale == pytest.approx(one.scale * unit, rel=1e-9)


def test_that_calm_hours_never_raise_what_the_distribution_holds() -> None:
    # Left out of the fit, counted in the mean: the mean cube of the winds is never overstated by much.
    from scipy.stats import weibull_min

    blowing = weibull_min.rvs(2.0, scale=5.0, size=8000, random_state=3)
    winds = np.concatenate([blowing, np.zeros(760)])
    fit = summary.weibull(winds)
    assert fit is not None and fit.calm == pytest.approx(760 / 8760)
    steps = np.linspace(0, 40, 400)
    told = weibull_energy(steps**3, steps, float(winds.mean()), fit.shape) / 8760
    assert told < np.mean(winds**3)


@pytest.mark.parametrize("winds", [[], [0.0, 0.0], [3.0], [3.0, 3.0], [np.nan, 2.0]])
def test_that_winds_without_a_distribution_give_none(winds: list[float]) -> None:
    assert summary.weibull(np.array(winds)) is None


def test_that_the_histogram_holds_every_hour_once(year: Weather) -> None:
    shares = summary.histogram(year.wind)
    assert shares.sum() == pytest.approx(1)
    assert shares[3] == np.mean((year.wind >= 3) & (year.wind < 4))


# What a file offers


def test_that_what_is_offered_is_never_milder_than_the_hours(reading: Reading, year: Weather) -> None:
    found = {each.name: each for each in offer.offers(reading)}
    assert all(a <= b for a, b in zip(found["sun"].values, summary.months_of_sun(year), strict=True) if b)
    air = summary.months_of(year, year.air)
    assert all(a >= b for a, b in zip(found["air_temperature"].values, air, strict=True) if b is not None)
    assert found["wind_speed"].values[0] <= (summary.mean_wind(year) or 0)
    fit = summary.weibull(year.wind)
    assert fit is not None and found["wind_shape"].values[0] >= fit.shape


def test_that_what_is_taken_stands_in_the_site_with_where_it_is_from(reading: Reading) -> None:
    chosen = [each for each in offer.offers(reading) if each.name in ("sun", "wind_months", "elevation")]
    site = offer.take(Design(), reading, chosen).site
    assert site.elevation == 300 and site.air_temperature is None and site.wind_speed is None
    assert site.sun is not None and len(site.sun) == 12
    assert site.sun_from == "weather file year.epw, means of its hours" == site.wind_from
    assert site.air_temperature_from is None and site.weather_file == "year.epw"


def test_that_nothing_taken_changes_nothing(reading: Reading) -> None:
    design = Design()
    assert offer.take(design, reading, ()) is design


def test_that_an_offer_tells_what_the_site_has_and_whether_it_differs(reading: Reading) -> None:
    elevation = next(each for each in offer.offers(reading) if each.name == "elevation")
    design = edit.set_field(Design(), "site.elevation", "1000 ft")
    assert offer.now(design, elevation, "us") == "1000 ft" and offer.differs(design, elevation)
    high = edit.set_field(Design(), "site.elevation", "2600 m")  # a low station hides what thin air asks for
    assert offer.milder(high, elevation) and not offer.milder(
        edit.set_field(high, "site.elevation", "0 m"), elevation
    )
    after = offer.take(design, reading, [elevation])
    assert not offer.differs(after, elevation) and offer.now(Design(), elevation) == ""


def test_that_a_head_gives_its_design_temperatures_with_their_origin() -> None:
    reading = read(DATA / "aurora_header.epw")
    site = offer.take(edit.empty(), reading, offer.offers(reading)).site
    assert (site.design_low, site.record_low, site.design_high) == (-22.3, -31.9, 36.9)
    assert str(site.record_low_from).endswith("50-year minimum")
    assert (site.latitude, site.weather_file) == (39.72, "aurora_header.epw")


def test_that_what_a_file_has_not_leaves_the_site_as_it_was(reading: Reading) -> None:
    before = edit.set_field(Design(), "site.record_low", "-30 degC")
    after = offer.take(before, reading, offer.offers(reading)).site
    assert after.record_low == -30 and after.design_low is None
    assert all(each.reason for each in offer.offers(reading) if not each.values)


def test_that_hours_never_give_a_design_temperature(reading: Reading) -> None:
    # The coldest hour of a typical year is no record.
    found = {each.name: each for each in offer.offers(reading)}
    assert not found["design_low"].values and not found["record_low"].values


def test_that_a_value_that_contradicts_what_stays_is_refused() -> None:
    reading = read(DATA / "aurora_header.epw")
    cold = replace(reading.header, design_low=Found(-40.0, "somewhere"))
    design = edit.set_field(Design(), "site.record_low", "-30 degC")
    low = [each for each in offer.offers(Reading(cold, None)) if each.name == "design_low"]
    with pytest.raises(FieldError, match="record_low"):
        offer.take(design, Reading(cold, None), low)
