"""What a weather file holds, whatever its format: one frozen record of hours, and how its rows are checked.

A wrong cell is a problem with line and column; a code for "missing" is counted and stays a gap. Nothing is
filled in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from engine.problems import Problem, Problems
from engine.units import quoted

Floats = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int16]
Tick = Callable[[float], None]

MOST_PROBLEMS = 20
EVERY = 500  # rows between two words of progress
YEAR = (8760, 8784)
LENGTHS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


class Column(NamedTuple):
    """One column to read: our name, its title in the file, its place, its range, the code for missing."""

    name: str
    title: str
    at: int
    low: float
    high: float
    unit: str
    missing: Callable[[float], bool] = lambda _value: False


class Stamp(NamedTuple):
    """The hour that a row tells of: it begins at ``hour``, 0 to 23."""

    year: int
    month: int
    day: int
    hour: int


@dataclass(frozen=True, slots=True, eq=False)
class Weather:
    """The hours of a weather file, each array [hour], in the place's own standard time.

    ``air`` [degC]; ``level`` is global sun on level ground, ``beam`` on a plane that faces the sun,
    ``diffuse`` of the sky [W/m^2]; ``wind`` [m/s] at ``wind_height`` [m]. NaN where the file says missing; an
    array is all NaN where the file has no such column. Latitude and longitude [deg], ``elevation`` [m],
    ``zone`` [h] ahead of UTC. ``gaps`` counts the missing hours by name; ``notes`` are sentences to show.
    """

    file: str
    source: str
    place: str
    latitude: float
    longitude: float
    elevation: float
    zone: float
    wind_height: float
    year: Whole
    month: Whole
    day: Whole
    hour: Whole
    air: Floats
    level: Floats
    beam: Floats
    diffuse: Floats
    wind: Floats
    gaps: Mapping[str, int]
    notes: tuple[str, ...] = ()

    @property
    def time(self) -> npt.NDArray[np.datetime64]:
        """When each hour begins [hour]; the years of a typical year are those that its months are from."""
        years = (self.year.astype(np.int64) - 1970).astype("datetime64[Y]")
        months = years.astype("datetime64[M]") + (self.month.astype(np.int64) - 1)
        days = months.astype("datetime64[D]") + (self.day.astype(np.int64) - 1)
        hours: npt.NDArray[np.datetime64] = days.astype("datetime64[h]") + self.hour.astype(np.int64)
        return hours

    @property
    def whole(self) -> bool:
        """Whether it covers a year or several."""
        return len(self.month) >= YEAR[0]


class Place(NamedTuple):
    """Where a file is from: degrees, metres above the sea, hours ahead of UTC."""

    name: str
    latitude: float
    longitude: float
    elevation: float
    zone: float


class Read(NamedTuple):
    """The rows of a file: the clock [hour, part of the stamp], its columns, and what is missing of each."""

    clock: Whole
    columns: Mapping[str, Floats]
    gaps: Mapping[str, int]


def weather(
    file: str, place: Place, read: Read, wind_height: float, notes: Iterable[str] = (), source: str = ""
) -> Weather:
    """The record of what was read; its notes begin with length and gaps."""
    none: Floats = np.full(len(read.clock), np.nan)
    return Weather(
        file=file,
        source=f"weather file {file}{source}",
        place=place.name,
        latitude=place.latitude,
        longitude=place.longitude,
        elevation=place.elevation,
        zone=place.zone,
        wind_height=wind_height,
        year=read.clock[:, 0],
        month=read.clock[:, 1],
        day=read.clock[:, 2],
        hour=read.clock[:, 3],
        air=read.columns["air"],
        level=read.columns["level"],
        beam=read.columns.get("beam", none),
        diffuse=read.columns.get("diffuse", none),
        wind=read.columns["wind"],
        gaps=read.gaps,
        notes=(*_told_length(len(read.clock)), *_told_gaps(read.gaps), *notes),
    )


def number(file: str, name: str, text: str, most: float, line: int | None = None) -> float:
    """A number of a head, between ``-most`` and ``most``; else raises ``Problems``."""
    try:
        value = float(text)
    except ValueError:
        value = np.nan
    if not abs(value) <= most:
        raise Problems((Problem(f"{file}, {name}", quoted(text), f"-{most:g} to {most:g}", line=line),))
    return value


class Rows:
    """Gathers the rows of a file; ``close`` gives the arrays or raises every problem found."""

    def __init__(self, file: str, columns: Sequence[Column], tick: Tick | None = None) -> None:
        self._file, self._columns, self._tick = file, tuple(columns), tick
        self._stamps: list[Stamp] = []
        self._values: list[list[float]] = [[] for _ in columns]
        self._problems: list[Problem] = []
        self._least = 1 + max(column.at for column in columns)

    def fault(self, line: int, column: str, got: str, need: str, hint: str = "") -> None:
        """Note a problem; too many end the reading."""
        self._problems.append(Problem(f"{self._file}, {column}", got, need, hint, line))
        if len(self._problems) >= MOST_PROBLEMS:
            raise Problems(tuple(self._problems))

    def add(self, line: int, stamp: Stamp | None, cells: Sequence[str], share: float) -> None:
        """One row; ``share`` of the file is read by then. A stamp that can't be read was noted before."""
        if self._tick is not None and line % EVERY == 0:
            self._tick(share)
        if len(cells) < self._least:
            self.fault(line, "row", f"{len(cells)} columns", f"{self._least} or more")
            return
        if stamp is not None:
            if self._stamps and not follows(self._stamps[-1], stamp):
                last = self._stamps[-1]
                need = f"the hour after {last.month}/{last.day} {last.hour}:00"
                self.fault(line, "date and hour", f"{stamp.month}/{stamp.day} {stamp.hour}:00", need)
            self._stamps.append(stamp)
        for values, column in zip(self._values, self._columns, strict=True):
            values.append(self._cell(line, column, cells[column.at]))

    def _cell(self, line: int, column: Column, text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            self.fault(line, column.title, quoted(text) if text.strip() else "nothing", "a number")
            return np.nan
        if column.missing(value):
            return np.nan
        if not column.low <= value <= column.high:
            need = f"{column.low:g} to {column.high:g} {column.unit}"
            self.fault(line, column.title, f"{value:g}", need)
        return value

    def close(self) -> Read:
        """Everything that was read."""
        if self._problems:
            raise Problems(tuple(self._problems))
        if not self._stamps:
            raise Problems((Problem(self._file, "no hours", "a row for each hour of a year"),))
        clock = np.array(self._stamps, dtype=np.int16)
        found = {
            column.name: np.array(values, dtype=np.float64)
            for column, values in zip(self._columns, self._values, strict=True)
        }
        gaps = {name: int(np.isnan(values).sum()) for name, values in found.items()}
        return Read(clock, found, {name: count for name, count in gaps.items() if count})


def follows(before: Stamp, after: Stamp) -> bool:
    """Whether one stamp is the hour after another; years of a typical year jump, a leap day may lack."""
    month, day, hour = before.month, before.day, before.hour + 1
    if hour < 24:
        return (after.month, after.day, after.hour) == (month, day, hour)
    if after.hour:
        return False
    if day < LENGTHS[month - 1] and (after.month, after.day) == (month, day + 1):
        return True
    ends = day == LENGTHS[month - 1] or (month, day) == (2, 28)
    return ends and (after.month, after.day) == (month % 12 + 1, 1)


def stamp_of(year: int, month: int, day: int, hour: int) -> Stamp | None:
    """A stamp that the calendar has, else ``None``."""
    if not (1800 <= year <= 2200 and 1 <= month <= 12 and 1 <= day <= LENGTHS[month - 1] and 0 <= hour < 24):
        return None
    return Stamp(year, month, day, hour)


def _told_gaps(gaps: Mapping[str, int]) -> Iterable[str]:
    for name, count in gaps.items():
        hours = "1 hour is" if count == 1 else f"{count} hours are"
        yield f"{TITLES[name]}: {hours} missing in the file, and left out."


def _told_length(hours: int) -> Iterable[str]:
    if hours < YEAR[0]:
        yield f"The file has {hours} hours, a year has {YEAR[0]}: only its whole months are told of."
    elif hours == YEAR[1]:
        yield "A leap year: 29 February is counted in."
    elif hours > YEAR[1]:
        yield f"{hours / 8766:.1f} years; months are means of all of them."


TITLES = {
    "air": "Air temperature",
    "level": "Sun on level ground",
    "beam": "Beam sun",
    "diffuse": "Diffuse sun",
    "wind": "Wind",
}
