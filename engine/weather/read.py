"""Read a weather file: which format it is, its hours, and the design temperatures of its head."""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from engine.problems import Problem, Problems
from engine.units import quoted
from engine.weather import epw, pvgis, tmy3
from engine.weather.header import Found, Header, parse
from engine.weather.hours import Tick, Weather

LARGEST = 120_000_000  # bytes: some forty years of hours
FORMATS = "a weather file: EPW, TMY3, or a PVGIS typical year or hourly series (CSV)"


@dataclass(frozen=True, slots=True, eq=False)
class Reading:
    """A weather file: its head, and its hours where it has any."""

    header: Header
    weather: Weather | None


def read(path: str | os.PathLike[str], tick: Tick | None = None) -> Reading:
    """Read a file. ``tick`` hears the share that is read, and may raise to stop the reading.

    Raises ``Problems`` where it can't be read, is of no known format, or holds cells that can't be right.
    """
    file = os.path.basename(path)
    try:
        if Path(path).stat().st_size > LARGEST:
            raise Problems((Problem(file, "more than 120 MB", FORMATS),))
        lines = Path(path).read_text(encoding="latin-1").removeprefix("ï»¿").splitlines()
    except OSError as error:
        raise Problems((Problem(str(path), (error.strerror or str(error)).lower(), FORMATS),)) from error
    if lines and lines[0].split(",")[0].strip().upper() == "LOCATION":
        return Reading(parse(lines[:2], file), epw.hours(lines, file, tick))
    for kind in (tmy3, pvgis):
        if kind.is_it(lines):
            weather = kind.hours(lines, file, tick)
            return Reading(_header(weather), weather)
    raise Problems((Problem(file, quoted(lines[0][:40]) if lines else "nothing", FORMATS),))


def _header(weather: Weather) -> Header:
    """The head of a file whose format has no design temperatures."""
    none = Found(None, reason="the file holds no design temperatures: they are not those of a typical year")
    return Header(
        file=weather.file,
        place=weather.place,
        latitude=Found(weather.latitude, weather.source),
        longitude=Found(weather.longitude, weather.source),
        elevation=Found(weather.elevation, weather.source),
        design_low=none,
        record_low=none,
        design_high=none,
    )
