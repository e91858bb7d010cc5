"""The design temperatures of a weather file's header: read where certain, never guessed."""

from __future__ import annotations

from pathlib import Path

import pytest

from engine.problems import Problems
from engine.weather.header import parse, return_factor
from engine.weather.read import read

DATA = Path(__file__).parent / "data"  # tests/data/README.md names the source
PLACE = "LOCATION,Somewhere,-,-,TEST,000000,48.12,-123.50,-8.0,91.0\n"
MEANS = "30.8,-5.9,2.7,2.5,32.8,-7.7,34.4,-9.2,35.9,-10.6,37.9,-12.4"  # Port Angeles, highest first


def line(extremes: str) -> str:
    return f"DESIGN CONDITIONS,1,Climate Design Data,,Heating,1,-4.3,Cooling,8,9.1,Extremes,{extremes}\n"


@pytest.mark.parametrize(
    ("file", "low", "record", "hot", "elevation"),
    [("port", -5.9, -12.4, 30.8, 91.0), ("aurora", -22.3, -31.9, 36.9, 1726.0)],
)
def test_that_the_printed_extremes_are_read(
    file: str, low: float, record: float, hot: float, elevation: float
) -> None:
    header = read(DATA / f"{file}_header.epw").header
    assert (header.design_low.value, header.record_low.value) == (low, record)
    assert (header.design_high.value, header.elevation.value) == (hot, elevation)
    assert header.record_low.origin == f"weather file {file}_header.epw, DESIGN CONDITIONS, 50-year minimum"


def test_that_return_periods_follow_gumbels_distribution() -> None:
    from scipy.stats import gumbel_r

    for years in (5, 10, 20, 50):
        expected = (gumbel_r.ppf(1 - 1 / years) - gumbel_r.mean()) / gumbel_r.std()
        assert return_factor(years) == pytest.approx(expected, abs=1e-4)


def test_that_the_order_of_the_pairs_is_read_from_the_numbers() -> None:
    header = parse([PLACE, line("8,6.7,5.6,22.8," + MEANS)], "a.epw")
    assert (header.design_low.value, header.record_low.value, header.design_high.value) == (-5.9, -12.4, 30.8)


def test_that_a_header_without_the_wet_bulb_is_read() -> None:
    assert parse([PLACE, line("8,6.7,5.6," + MEANS)], "a.epw").record_low.value == -12.4


@pytest.mark.parametrize(
    "second",
    [
        "",
        "TYPICAL/EXTREME PERIODS,0\n",
        "DESIGN CONDITIONS,0\n",
        line(""),
        line("8,6.7,5.6,22.8"),
        line("8,6.7,5.6,22.8," + MEANS.replace("-12.4", "")),
        line("8,6.7,5.6,22.8," + MEANS.replace("-12.4", "-22.4")),
        line("8,6.7,5.6,22.8," + MEANS.replace("30.8,-5.9", "-5.9,30.8")),
    ],
)
def test_that_an_uncertain_header_gives_no_temperature_but_a_reason(second: str) -> None:
    header = parse([PLACE, second], "a.epw")
    for found in (header.design_low, header.record_low, header.design_high):
        assert found.value is None
        assert found.reason
    assert header.latitude.value == 48.12


@pytest.mark.parametrize("lines", [[], ["\n"], ["hello\n"], ["LOCATION,x\n"], ["\x00\x01"]])
def test_that_other_files_are_refused(lines: list[str]) -> None:
    with pytest.raises(Problems, match="LOCATION"):
        parse(lines, "a.txt")
