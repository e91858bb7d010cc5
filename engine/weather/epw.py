"""Hours of an EPW file: eight lines of head, then 35 columns an hour in local standard time.

Source: Auxiliary Programs, EnergyPlus weather file (EPW) data dictionary, US Department of Energy (from
memory): columns, ranges and the codes for missing; read along with two typical years of NREL (TMY3, 2008).
"""

from __future__ import annotations

from collections.abc import Sequence

from engine.problems import Problem, Problems
from engine.units import quoted
from engine.weather.hours import Column, Place, Rows, Stamp, Tick, Weather, number, stamp_of, weather

HEAD = 8
SUN = 1500.0
WIND_HEIGHT = 10.0  # m, of meteorological stations (common practice); the file does not say
LIMITS = (("latitude", 90.0), ("longitude", 180.0), ("time zone", 14.0), ("elevation", 9000.0))
COLUMNS = (
    Column("air", "dry bulb temperature", 6, -70, 70, "degC", lambda value: value >= 99.9),
    Column("level", "global horizontal radiation", 13, 0, SUN, "Wh/m2", lambda value: value >= 9999),
    Column("beam", "direct normal radiation", 14, 0, SUN, "Wh/m2", lambda value: value >= 9999),
    Column("diffuse", "diffuse horizontal radiation", 15, 0, SUN, "Wh/m2", lambda value: value >= 9999),
    Column("wind", "wind speed", 21, 0, 60, "m/s", lambda value: value >= 999),
)


def hours(lines: Sequence[str], file: str, tick: Tick | None = None) -> Weather | None:
    """The hours of a file; ``None`` where there is a head only. Raises ``Problems`` with line and column."""
    if not any(line.strip() for line in lines[HEAD:]):
        return None
    _one_an_hour(lines, file)
    rows = Rows(file, COLUMNS, tick)
    for at, line in enumerate(lines[HEAD:], HEAD + 1):
        if line.strip():
            cells = line.split(",")
            rows.add(at, _stamp(rows, at, cells), cells, at / len(lines))
    where = [part.strip() for part in lines[0].split(",")]
    latitude, longitude, zone, elevation = (
        number(file, name, text, most, 1) for (name, most), text in zip(LIMITS, where[6:10], strict=True)
    )
    name = ", ".join(part for part in where[1:4] if part not in ("", "-"))
    told = f"Wind is taken as measured at {WIND_HEIGHT:g} m, as at weather stations."
    place = Place(name, latitude, longitude, elevation, zone)
    return weather(file, place, rows.close(), WIND_HEIGHT, (told,))


def _one_an_hour(lines: Sequence[str], file: str) -> None:
    for at, line in enumerate(lines[:HEAD], 1):
        cells = [cell.strip() for cell in line.split(",")]
        if cells[0].upper() == "DATA PERIODS" and len(cells) > 2 and cells[1:3] != ["1", "1"]:
            got = f"{cells[1]} periods, {cells[2]} an hour"
            raise Problems((Problem(f"{file}, DATA PERIODS", got, "1 period, 1 an hour", line=at),))


def _stamp(rows: Rows, line: int, cells: Sequence[str]) -> Stamp | None:
    try:
        year, month, day, hour = (int(float(cell)) for cell in cells[:4])
        found = stamp_of(year, month, day, hour - 1)
    except ValueError:
        found = None
    if found is None:
        rows.fault(
            line, "date and hour", quoted(",".join(cells[:4])), "year,month,day,hour with hours 1 to 24"
        )
    return found
