"""Weather files are read strictly: as pvlib reads them, with gaps counted and every mistake in its place."""

from __future__ import annotations

import contextlib
import warnings
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.problems import Problems
from engine.weather.hours import Stamp, follows
from engine.weather.read import read
from tests.a_weather_file import epw, pvgis_series, stamps

DATA = Path(__file__).parent / "data"
NAMES = {"air": "temp_air", "level": "ghi", "beam": "dni", "diffuse": "dhi", "wind": "wind_speed"}


def put(folder: Path, text: str, name: str = "made.epw") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def refused(path: Path) -> str:
    with pytest.raises(Problems) as caught:
        read(path)
    return str(caught.value)


# The same numbers as another reader


def test_that_an_epw_file_reads_as_pvlib_reads_it(tmp_path: Path) -> None:
    import pvlib

    path = put(tmp_path, epw())
    weather = read(path).weather
    assert weather is not None
    theirs, place = pvlib.iotools.read_epw(path)
    for ours, name in NAMES.items():
        assert np.array_equal(getattr(weather, ours), theirs[name].to_numpy(dtype=float)), name
    assert list(weather.month) == list(theirs.index.month)
    assert list(weather.hour) == list(theirs.index.hour)
    assert (weather.latitude, weather.longitude) == (place["latitude"], place["longitude"])
    assert (weather.elevation, weather.zone) == (place["altitude"], place["TZ"])


@pytest.mark.parametrize("file", ["723170TYA.CSV", "703165TY.csv"])
def test_that_a_tmy3_file_reads_as_pvlib_reads_it(file: str) -> None:
    # Two typical years of US stations (NREL, 2008), shipped with pvlib.
    import pvlib

    path = Path(pvlib.__file__).parent / "data" / file
    weather = read(path).weather
    assert weather is not None
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs, place = pvlib.iotools.read_tmy3(path, coerce_year=1990, map_variables=True)
    for ours, name in NAMES.items():
        assert np.array_equal(getattr(weather, ours), theirs[name].to_numpy(dtype=float)), name
    assert (weather.latitude, weather.longitude) == (place["latitude"], place["longitude"])
    assert (weather.elevation, weather.zone) == (place["altitude"], place["TZ"])
    assert weather.place and not weather.gaps


def test_that_a_real_epw_file_cut_to_two_days_reads_with_its_design_temperatures() -> None:
    # NREL typical year of a station on the high plains (TMY3 as EPW, 2008), its first two days.
    reading = read(DATA / "aurora_two_days.epw")
    weather = reading.weather
    assert weather is not None
    assert (weather.air[0], weather.wind[0]) == (3.0, 3.6)
    assert len(weather.air) == 48 and not weather.whole
    assert reading.header.record_low.value == -31.9
    assert "48 hours" in " ".join(weather.notes)


def test_that_pvgis_stamps_in_utc_become_the_hours_of_the_place() -> None:
    # PVGIS typical year of the Po valley (European Commission, JRC), its first two days; 8 deg east: UTC+1.
    weather = read(DATA / "po_valley_two_days.csv").weather
    assert weather is not None
    assert weather.zone == 1
    assert weather.air[1] == 2.04  # of the row 00:00 UTC
    assert weather.elevation == 250
    assert any("UTC" in note for note in weather.notes)
    assert "European Commission" in weather.source


def test_that_a_pvgis_series_reads_as_pvlib_reads_it(tmp_path: Path) -> None:
    import pvlib

    path = put(tmp_path, pvgis_series(), "series.csv")
    weather = read(path).weather
    assert weather is not None
    theirs, _ = pvlib.iotools.read_pvgis_hourly(path, map_variables=True)
    for name, column in (("level", "poa_global"), ("air", "temp_air"), ("wind", "wind_speed")):
        assert np.array_equal(np.roll(getattr(weather, name), -2), theirs[column].to_numpy(dtype=float))
    assert np.isnan(weather.beam).all() and any("no beam" in note for note in weather.notes)


def test_that_a_file_with_a_head_only_has_no_hours() -> None:
    reading = read(DATA / "port_header.epw")
    assert reading.weather is None and reading.header.design_low.value == -5.9


def test_that_every_hour_has_its_time(tmp_path: Path) -> None:
    weather = read(put(tmp_path, epw(48))).weather
    assert weather is not None
    assert list(weather.time.astype("datetime64[s]").tolist()) == list(stamps(48))


# Gaps


def test_that_codes_for_missing_are_counted_and_stay_gaps(tmp_path: Path) -> None:
    path = put(tmp_path, epw(changed={(12, 13): "9999", (13, 13): "9999", (30, 6): "99.9", (40, 21): "999"}))
    weather = read(path).weather
    assert weather is not None
    assert weather.gaps == {"level": 2, "air": 1, "wind": 1}
    assert np.isnan(weather.level[12:14]).all() and np.isnan(weather.air[30]) and np.isnan(weather.wind[40])
    told = " ".join(weather.notes)
    assert "Sun on level ground: 2 hours are missing" in told and "Wind: 1 hour is missing" in told


@pytest.mark.parametrize(
    ("hours", "year", "word"), [(8784, 2004, "leap"), (8000, 2001, "8000 hours"), (17520, 2001, "2.0 years")]
)
def test_that_short_leap_and_several_years_are_told(tmp_path: Path, hours: int, year: int, word: str) -> None:
    weather = read(put(tmp_path, epw(hours, year=year))).weather
    assert weather is not None and len(weather.air) == hours
    assert any(word in note for note in weather.notes)


# Mistakes


@pytest.mark.parametrize(
    ("cell", "text", "words"),
    [
        ((2, 6), "warm", ("line 11", "dry bulb", '"warm"', "a number")),
        ((2, 6), "", ("line 11", "dry bulb", "nothing")),
        ((2, 6), "-80", ("line 11", "dry bulb", "-80", "-70 to 70 degC")),
        ((5, 13), "1600", ("line 14", "global horizontal", "1600", "0 to 1500")),
        ((5, 14), "-3", ("line 14", "direct normal", "-3")),
        ((5, 21), "70", ("line 14", "wind speed", "70", "0 to 60 m/s")),
        ((9, 3), "5", ("line 18", "date and hour", "hour after 1/1 8:00")),
        ((9, 1), "13", ("line 18", "date and hour", "hours 1 to 24")),
        ((9, 0), "x", ("line 18", "date and hour")),
    ],
)
def test_that_a_wrong_cell_is_refused_with_its_line_and_column(
    tmp_path: Path, cell: tuple[int, int], text: str, words: tuple[str, ...]
) -> None:
    told = refused(put(tmp_path, epw(48, {cell: text})))
    for word in words:
        assert word in told


def test_that_every_wrong_cell_is_told_at_once(tmp_path: Path) -> None:
    told = refused(put(tmp_path, epw(48, {(1, 6): "a", (20, 21): "b", (40, 15): "c"})))
    assert len(told.splitlines()) == 3


def test_that_a_row_cut_short_and_other_periods_are_refused(tmp_path: Path) -> None:
    assert "columns" in refused(put(tmp_path, epw(24) + "2001,1,2,1,0\n"))
    assert "1 an hour" in refused(put(tmp_path, epw(24).replace("PERIODS,1,1", "PERIODS,1,4")))
    assert "latitude" in refused(put(tmp_path, epw(24).replace("48.00", "148.00")))


def test_that_a_series_on_a_tilted_plane_is_refused(tmp_path: Path) -> None:
    told = refused(put(tmp_path, pvgis_series(24, "35 deg."), "series.csv"))
    assert "Slope" in told and "0 deg" in told


@pytest.mark.parametrize(
    "text", ["", "hello\n", "a,b\n1,2\n", "\x00\x01", "Latitude (decimal degrees): 45\n"]
)
def test_that_other_files_are_refused(tmp_path: Path, text: str) -> None:
    assert "need" in refused(put(tmp_path, text))


def test_that_a_missing_file_is_refused(tmp_path: Path) -> None:
    assert "EPW" in refused(tmp_path / "gone.epw")
    assert "EPW" in refused(tmp_path)


@given(st.binary(max_size=300))
def test_that_no_bytes_at_all_raise_anything_else(
    tmp_path_factory: pytest.TempPathFactory, noise: bytes
) -> None:
    path = tmp_path_factory.getbasetemp() / "noise.epw"
    for head in (
        b"",
        b"LOCATION,a,b,c,d,e,1,2,3,4\n",
        b"Latitude (decimal degrees): 4\ntime(UTC),T2m,G(h)\n",
    ):
        path.write_bytes(head + noise)
        with contextlib.suppress(Problems):
            read(path)


def test_that_a_reading_can_be_stopped_and_tells_how_far_it_is(tmp_path: Path) -> None:
    class Stopped(Exception):
        pass

    shares: list[float] = []

    def tick(share: float) -> None:
        shares.append(share)
        if share > 0.5:
            raise Stopped

    with pytest.raises(Stopped):
        read(put(tmp_path, epw()), tick)
    assert shares == sorted(shares) and len(shares) > 3 and shares[-1] < 0.6


# The calendar


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ((1, 1, 0), (1, 1, 1)),
        ((1, 31, 23), (2, 1, 0)),
        ((2, 28, 23), (3, 1, 0)),
        ((2, 28, 23), (2, 29, 0)),
        ((12, 31, 23), (1, 1, 0)),
    ],
)
def test_that_the_hours_go_on_over_the_ends_of_days_and_months(
    before: tuple[int, int, int], after: tuple[int, int, int]
) -> None:
    assert follows(Stamp(2001, *before), Stamp(1998, *after))
    assert not follows(Stamp(2001, *before), Stamp(1998, *before))
    assert not follows(Stamp(2001, *after), Stamp(1998, *before))
