"""Published tables as data: a CSV each, with a sidecar of the same name that says where it comes from.

Everything is read once and cached; what is returned does not change. A look-up that leaves a table raises
``OutsideTable``: no table is extrapolated.
"""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from engine.sources import Source, from_mapping

FOLDER = Path(__file__).parent

Cell = float | str | None


class OutsideTable(LookupError):
    """A look-up beyond what a table prints: which table and column, what was asked, what it holds."""

    def __init__(self, table: str, column: str, got: object, need: str) -> None:
        super().__init__(f'{table}: got "{got}" for {column}, need {need}')
        self.table, self.column, self.got, self.need = table, column, str(got), need


@dataclass(frozen=True, slots=True, eq=False)
class Table:
    """One table: its columns by name, each a tuple from top to bottom, and its sidecar."""

    name: str
    title: str
    columns: Mapping[str, tuple[Cell, ...]]
    sidecar: Mapping[str, Any]
    source: Source

    def column(self, name: str) -> tuple[Cell, ...]:
        """A column; ``None`` where nothing is printed. Raises ``KeyError`` for a name that is not there."""
        return self.columns[name]

    def numbers(self, name: str) -> tuple[float, ...]:
        """A column that holds numbers only."""
        return tuple(float(cell) for cell in self.columns[name] if isinstance(cell, float))

    def rows(self) -> Iterator[dict[str, Cell]]:
        """The rows from top to bottom."""
        names = tuple(self.columns)
        for cells in zip(*self.columns.values(), strict=True):
            yield dict(zip(names, cells, strict=True))


def names() -> tuple[str, ...]:
    """The names of all tables."""
    return tuple(sorted(path.stem for path in FOLDER.glob("*.csv")))


@cache
def table(name: str) -> Table:
    """Read a table and its sidecar; raises ``KeyError`` where there is none of that name."""
    path = FOLDER / f"{name}.csv"
    if not path.is_file():
        raise KeyError(f"no table {name}; there are {', '.join(names())}")
    sidecar = tomllib.loads(path.with_suffix(".toml").read_text("utf-8"))
    with path.open(encoding="utf-8", newline="") as file:
        head, *rows = csv.reader(file)
    words = {column for column, about in sidecar["columns"].items() if about.get("unit") in ("text", "size")}
    columns = {
        column: tuple(_cell(row[place], column in words) for row in rows) for place, column in enumerate(head)
    }
    source = from_mapping(sidecar)
    return Table(name, str(sidecar["title"]), MappingProxyType(columns), MappingProxyType(sidecar), source)


def _cell(text: str, word: bool) -> Cell:
    text = text.strip()
    if text in ("", "-"):
        return None
    return text if word else float(text)
