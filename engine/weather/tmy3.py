"""Hours of a TMY3 file: a line of place, a line of titles, then a typical year in local standard time.

Source: Users Manual for TMY3 Data Sets, S. Wilcox and W. Marion, NREL/TP-581-43156, 2008 (from memory):
titles, and -9900 for missing.
"""

from __future__ import annotations

from collections.abc import Sequence

from engine.problems import Problem, Problems
from engine.units import quoted
from engine.weather.hours import Column, Place, Rows, Stamp, Tick, Weather, number, stamp_of, weather

HEAD = 2
WIND_HEIGHT = 10.0  # m, of meteorological stations (common practice)
WANTED = (
    ("air", "Dry-bulb (C)", -70.0, 70.0, "degC"),
    ("level", "GHI (W/m^2)", 0.0, 1500.0, "W/m2"),
    ("beam", "DNI (W/m^2)", 0.0, 1500.0, "W/m2"),
    ("diffuse", "DHI (W/m^2)", 0.0, 1500.0, "W/m2"),
    ("wind", "Wspd (m/s)", 0.0, 60.0, "m/s"),
)
LIMITS = (("zone", 14.0), ("latitude", 90.0), ("longitude", 180.0), ("elevation", 9000.0))


def is_it(lines: Sequence[str]) -> bool:
    """Whether a file has the titles of a TMY3 file."""
    return len(lines) > 1 and lines[1].lstrip().startswith("Date (MM/DD/YYYY)")


def hours(lines: Sequence[str], file: str, tick: Tick | None = None) -> Weather:
    """The hours of a file. Raises ``Problems`` with line and column."""
    place = [part.strip('" ') for part in lines[0].split(",")]
    if len(place) < 7:
        need = "station, name, state, zone, latitude, longitude, elevation"
        raise Problems((Problem(file, f"{len(place)} columns", need, line=1),))
    titles = [title.strip() for title in lines[1].split(",")]
    lacking = tuple(
        Problem(file, f"no column {title}", "all columns of a TMY3 file", line=2)
        for _, title, *_ in WANTED
        if title not in titles
    )
    if lacking:
        raise Problems(lacking)
    columns = [
        Column(name, title, titles.index(title), low, high, unit, lambda value: value <= -9900)
        for name, title, low, high, unit in WANTED
    ]
    rows = Rows(file, columns, tick)
    for at, line in enumerate(lines[HEAD:], HEAD + 1):
        if line.strip():
            cells = line.split(",")
            rows.add(at, _stamp(rows, at, cells), cells, at / len(lines))
    zone, latitude, longitude, elevation = (
        number(file, name, text, most, 1) for (name, most), text in zip(LIMITS, place[3:7], strict=True)
    )
    told = f"Wind is taken as measured at {WIND_HEIGHT:g} m, as at weather stations."
    name = ", ".join(part for part in place[1:3] if part)
    where = Place(name, latitude, longitude, elevation, zone)
    return weather(file, where, rows.close(), WIND_HEIGHT, (told,))


def _stamp(rows: Rows, line: int, cells: Sequence[str]) -> Stamp | None:
    try:
        month, day, year = (int(part) for part in cells[0].split("/"))
        found = stamp_of(year, month, day, int(cells[1].partition(":")[0]) - 1)
    except (ValueError, IndexError):
        found = None
    if found is None:
        rows.fault(line, "date and hour", quoted(",".join(cells[:2])), "MM/DD/YYYY,HH:MM with hours 1 to 24")
    return found
