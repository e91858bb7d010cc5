"""Invented weather files for the tests: a year by plain laws, written in each format."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta

LOCATION = "LOCATION,Invented,XX,YYY,made up,0,48.00,-120.00,-8.0,300.0"
PERIODS = "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31"
MARKS = "?9?9"
YEAR = 2001


def hour_values(at: int) -> dict[str, float]:
    """The weather of an hour of the year, counted from 0."""
    day, hour = divmod(at, 24)
    up = max(0.0, math.sin(math.pi * (hour + 0.5 - 6) / 12)) if 6 <= hour < 18 else 0.0
    season = 0.5 - 0.4 * math.cos(2 * math.pi * (day + 10) / 365)
    return {
        "air": round(10 - 12 * math.cos(2 * math.pi * (day - 15) / 365) + 4 * up, 1),
        "level": round(800 * up * season),
        "beam": round(600 * up),
        "diffuse": round(200 * up * season),
        "wind": round(4 + 2 * math.sin(at / 7) + 1.5 * math.sin(at / 3.1), 1),
    }


def stamps(hours: int, year: int = YEAR) -> Iterator[datetime]:
    """The beginnings of the hours."""
    begin = datetime(year, 1, 1)
    return (begin + timedelta(hours=at) for at in range(hours))


def epw(hours: int = 8760, changed: Mapping[tuple[int, int], str] | None = None, year: int = YEAR) -> str:
    """An EPW file; ``changed`` puts a text into (hour from 0, column from 0)."""
    head = [LOCATION, "DESIGN CONDITIONS,0", *("TYPICAL/EXTREME PERIODS,0",), "GROUND TEMPERATURES,0"]
    head += ["HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0", "COMMENTS 1,", "COMMENTS 2,", PERIODS]
    rows = []
    for at, when in enumerate(stamps(hours, year)):
        v = hour_values(at)
        cells = [str(when.year), str(when.month), str(when.day), str(when.hour + 1), "0", MARKS]
        cells += [f"{v['air']}", "1.0", "60", "97000", "0", "0", "300", f"{v['level']}", f"{v['beam']}"]
        cells += [f"{v['diffuse']}", "0", "0", "0", "0", "180", f"{v['wind']}", *["0"] * 13]
        for (row, column), text in (changed or {}).items():
            if row == at:
                cells[column] = text
        rows.append(",".join(cells))
    return "\n".join((*head, *rows)) + "\n"


def pvgis_series(hours: int = 8760, slope: str = "0 deg.", longitude: str = "30.000") -> str:
    """Hours of a plane in UTC, as a series."""
    head = ["Latitude (decimal degrees):\t45.000", f"Longitude (decimal degrees):\t{longitude}"]
    head += [
        "Elevation (m):\t250",
        "Radiation database:\tinvented",
        "",
        f"Slope: {slope}",
        "Azimuth: 0 deg.",
        "",
    ]
    rows = [
        f"{when:%Y%m%d:%H}10,{v['level']},30.0,{v['air']},{v['wind']},0.0"
        for at, when in enumerate(stamps(hours))
        for v in [hour_values(at)]
    ]
    return "\n".join((*head, "time,G(i),H_sun,T2m,WS10m,Int", *rows, "", "G(i): Global irradiance")) + "\n"
