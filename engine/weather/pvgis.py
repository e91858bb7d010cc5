"""Hours of a PVGIS file: a typical year, or the hours of several years on level ground; stamps in UTC.

Source: PVGIS, Photovoltaic Geographical Information System, European Commission, Joint Research Centre: a
typical year of release 5.3 was read; the head of its hourly series is from memory. Reuse with attribution.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from engine.problems import Problem, Problems
from engine.units import quoted
from engine.weather.hours import Column, Place, Rows, Stamp, Tick, Weather, number, stamp_of, weather

WIND_HEIGHT = 10.0  # m: the column is WS10m
LONGEST_HEAD = 60
SOURCE = ", PVGIS, European Commission JRC"
TYPICAL = {"air": "T2m", "level": "G(h)", "beam": "Gb(n)", "diffuse": "Gd(h)", "wind": "WS10m"}
SERIES = {"air": "T2m", "level": "G(i)", "wind": "WS10m"}
PARTS = {"air": "T2m", "on_level": "Gb(i)", "diffuse": "Gd(i)", "ground": "Gr(i)", "wind": "WS10m"}
RANGES = {"air": (-70.0, 70.0, "degC"), "wind": (0.0, 60.0, "m/s")}
SUN = (0.0, 1500.0, "W/m2")


def is_it(lines: Sequence[str]) -> bool:
    """Whether a file has the head of a PVGIS file."""
    return bool(lines) and lines[0].startswith("Latitude (decimal degrees):")


def hours(lines: Sequence[str], file: str, tick: Tick | None = None) -> Weather:
    """The hours of a file in the place's own standard time. Raises ``Problems`` with line and column."""
    at = next((n for n, line in enumerate(lines[:LONGEST_HEAD]) if line.startswith("time")), None)
    if at is None:
        raise Problems((Problem(file, "no line of titles", 'a line that begins with "time"'),))
    head = {key.strip(): value.strip() for key, _, value in (line.partition(":") for line in lines[:at])}
    titles = [title.strip() for title in lines[at].split(",")]
    names = next((each for each in (TYPICAL, SERIES, PARTS) if set(each.values()) <= set(titles)), None)
    if names is None:
        need = f"{', '.join(TYPICAL.values())} of a typical year, or {', '.join(SERIES.values())} of a series"
        raise Problems((Problem(f"{file}, titles", quoted(lines[at].strip()), need, line=at + 1),))
    if names is not TYPICAL:
        _level(head, file)
    columns = [
        Column(name, title, titles.index(title), *RANGES.get(name, SUN)) for name, title in names.items()
    ]
    rows = Rows(file, columns, tick)
    for row, line in enumerate(lines[at + 1 :], at + 2):
        if not line[:1].isdigit():
            break  # what the columns mean stands below
        cells = line.split(",")
        rows.add(row, _stamp(rows, row, cells[0]), cells, row / len(lines))
    read = rows.close()
    latitude, longitude, elevation = (
        number(file, name, _of(head, name), most)
        for name, most in (("Latitude", 90.0), ("Longitude", 180.0), ("Elevation", 9000.0))
    )
    zone = round(longitude / 15)
    found = {name: np.roll(values, zone) for name, values in read.columns.items()}
    if names is PARTS:
        found["level"] = found.pop("on_level") + found["diffuse"] + found.pop("ground")
    place = Place("", latitude, longitude, elevation, float(zone))
    notes = _told(place, head, "beam" in found)
    return weather(file, place, read._replace(columns=found), WIND_HEIGHT, notes, SOURCE)


def _told(place: Place, head: Mapping[str, str], beam: bool) -> Iterator[str]:
    if place.zone:
        yield f"Its stamps are UTC: moved by {place.zone:+g} h to the place's own time, round the year's end."
    offset = _of(head, "Irradiance Time Offset")
    if offset:
        yield f"Its sun is that of {float(offset) * 60:.0f} min after each stamp."
    yield f"Mean solar time there is {(place.longitude / 15 - place.zone) * 60:+.0f} min from that clock."
    if not beam:
        yield "The file has no beam sun."


def _of(head: Mapping[str, str], name: str) -> str:
    """What a head says under a title that begins so; empty where it says nothing."""
    return next((value for key, value in head.items() if key.startswith(name)), "")


def _level(head: Mapping[str, str], file: str) -> None:
    """A series has to be on level ground, else its sun can't be taken for the site's."""
    slope = _of(head, "Slope")
    try:
        is_level = float(slope.split()[0]) == 0
    except (ValueError, IndexError):
        is_level = False
    if not is_level:
        raise Problems(
            (Problem(f"{file}, Slope", quoted(slope), "0 deg", "make the series on level ground"),)
        )


def _stamp(rows: Rows, line: int, text: str) -> Stamp | None:
    day, _, time = text.partition(":")
    found = None
    if len(day) == 8 and day.isdecimal() and time[:2].isdecimal():
        found = stamp_of(int(day[:4]), int(day[4:6]), int(day[6:]), int(time[:2]))
    if found is None:
        rows.fault(line, "time", quoted(text), "YYYYMMDD:HHMM in UTC")
    return found
