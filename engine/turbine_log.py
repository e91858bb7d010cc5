"""A log of a wind turbine at work: wind, volts, amperes and perhaps rotor speed, read strictly from a CSV.

The first line names each column with its unit in brackets: ``wind [m/s], voltage [V], current [A],
rotor_speed [rpm]``. Other columns (a time, say) are passed over. Every other line is one moment or one mean.
"""

from __future__ import annotations

import csv
import math
import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from engine import units
from engine.problems import Problem, Problems
from engine.units import UnitError, quoted

Floats = npt.NDArray[np.float64]

WANTED = {"wind": "m/s", "voltage": "V", "current": "A", "rotor_speed": "rpm"}
NEEDED = ("wind", "voltage", "current")
HIGHEST = {"wind": 100.0, "voltage": 5000.0, "current": 2000.0, "rotor_speed": 10000.0}
HEADER = "a first line such as: wind [m/s], voltage [V], current [A]"
MOST_ROWS = 2_000_000
TOLD = 12  # problems told of one file


@dataclass(frozen=True, slots=True, eq=False)
class TurbineLog:
    """Arrays [row]: wind [m/s], voltage [V] and current [A] at the controller's input, rotor speed [rpm]."""

    wind: Floats
    voltage: Floats
    current: Floats
    rotor_speed: Floats | None = None


def read(path: str | os.PathLike[str]) -> TurbineLog:
    """Read a log file; raises ``Problems``, each with its line, where it can't be read."""
    try:
        text = Path(path).read_text(encoding="utf-8-sig")
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or "").lower() or "a file that is not UTF-8 text"
        raise Problems((Problem(str(path), reason, "a log as CSV"),)) from error
    return parse(text, os.path.basename(path))


def parse(text: str, name: str) -> TurbineLog:
    """A log from its text; ``name`` is what the problems call it."""
    lines = text.splitlines()
    first = lines[0] if lines else ""
    mark = next((each for each in (";", "\t") if each in first), ",")
    rows = csv.reader(lines, delimiter=mark, skipinitialspace=True)
    places, factors, wide = _header(next(rows, []), name)
    found: dict[str, list[float]] = {column: [] for column in places}
    problems: list[Problem] = []
    for line, row in enumerate(rows, 2):
        if not any(cell.strip() for cell in row):
            continue
        if len(problems) >= TOLD:
            break
        if len(row) != wide:
            problems.append(Problem(name, f"{len(row)} columns", f"{wide}, as the first line has", line=line))
            continue
        for column, at in places.items():
            value = _number(row[at], comma=mark != ",")
            read_as = math.nan if value is None else value * factors[column]
            if not 0 <= read_as <= HIGHEST[column]:
                most = f"{HIGHEST[column]:g} {WANTED[column]}"
                problems.append(Problem(name, quoted(row[at]), f"{column} from 0 to {most}", line=line))
            found[column].append(read_as)
    if not problems and not 2 <= len(found["wind"]) <= MOST_ROWS:
        problems.append(Problem(name, f"{len(found['wind'])} rows", f"2 to {MOST_ROWS} rows under the first"))
    if problems:
        raise Problems(tuple(problems))
    return TurbineLog(**{column: np.array(values) for column, values in found.items()})


def _header(cells: Sequence[str], name: str) -> tuple[dict[str, int], dict[str, float], int]:
    """Where each column stands, what its numbers are multiplied by, and how many columns there are."""
    places: dict[str, int] = {}
    factors: dict[str, float] = {}
    problems: list[Problem] = []
    for at, cell in enumerate(cells):
        title, _, rest = cell.strip().partition("[")
        column = title.strip().lower().replace(" ", "_")
        if column not in WANTED:
            continue
        if column in places:
            problems.append(Problem(name, f"{column} twice", "each column once", line=1))
        unit = rest.rpartition("]")[0].strip()
        try:
            factors[column] = float(units.parse(f"1 {unit}", WANTED[column])) if unit else 0.0
        except UnitError as error:
            problems.append(
                Problem(name, quoted(cell), f"{column} in a unit such as {WANTED[column]}", str(error), 1)
            )
        if not unit:
            problems.append(
                Problem(name, quoted(cell), f"its unit, such as {column} [{WANTED[column]}]", line=1)
            )
        places[column] = at
    lacking = [column for column in NEEDED if column not in places]
    if lacking:
        problems.append(Problem(name, f"no column {', '.join(lacking)}", HEADER, line=1))
    if problems:
        raise Problems(tuple(problems))
    return places, factors, len(cells)


def _number(cell: str, *, comma: bool) -> float | None:
    """A plain number; where columns are not parted by commas, one may stand for the decimal point."""
    text = cell.strip()
    if comma and "." not in text:
        text = text.replace(",", ".", 1)
    if not text or not set(text) <= set("+-.0123456789eE"):
        return None
    try:
        return float(text)
    except ValueError:
        return None
