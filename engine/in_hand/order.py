"""A whole order list: text with a header, comma, semicolon or tab between, one device a line."""

from __future__ import annotations

import csv
import io
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from engine import units
from engine.design import Device
from engine.entry import nearest
from engine.in_hand.printed import KEYS, read
from engine.problems import Problem, Problems
from engine.units import UnitError, quoted

COLUMNS = (*KEYS, "circuit", "quantity")
MOST_LINES = 2000


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of the list: its number in the text, its device, how many, and the circuit it is meant for."""

    line: int
    device: Device
    circuit: str = ""
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class OrderList:
    """The lines that could be read, what was wrong with the others, and the columns that say nothing here."""

    lines: tuple[OrderLine, ...] = ()
    problems: tuple[Problem, ...] = ()
    ignored: tuple[str, ...] = ()


def read_list(text: str, circuits: Collection[str]) -> OrderList:
    """Read an order list; ``circuits`` are the ids that its column ``circuit`` may name.

    The header names the columns, in any order: those of ``COLUMNS``. Another column is passed over and named,
    unless it looks like a slip of the pen for one of them. What is wrong comes back by its line.
    """
    rows = list(_rows(text))
    if not rows:
        need = f"a first line with the names of the columns: {', '.join(COLUMNS)}"
        return OrderList(problems=(Problem("list", "nothing", need),))
    head_line, head = rows[0]
    names = [name.strip().lower() for name in head]
    problems = list(_bad_head(names, head_line))
    if problems:
        return OrderList(problems=tuple(problems))
    if len(rows) > MOST_LINES:
        many = Problem("list", f"{len(rows)} lines", f"{MOST_LINES} at most")
        return OrderList(problems=(many,))
    lines = []
    for at, cells in rows[1:]:
        try:
            lines.append(_line(at, dict(_named(names, cells, at)), circuits))
        except Problems as error:
            problems.extend(error.problems)
    ignored = tuple(name for name in names if name and name not in COLUMNS)
    return OrderList(tuple(lines), tuple(problems), ignored)


def _rows(text: str) -> Iterator[tuple[int, list[str]]]:
    """The lines with something in them, by their number; byte order mark and blank lines aside."""
    text = text.removeprefix("\ufeff").replace("\x00", "")
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max("\t;,", key=first.count)
    reader = csv.reader(io.StringIO(text), delimiter=delimiter)
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield reader.line_num, cells
    except csv.Error:
        return


def _bad_head(names: list[str], line: int) -> Iterator[Problem]:
    need = f"columns among {', '.join(COLUMNS)}"
    if not set(names) & {"volts", "amps"}:
        hint = "the first line names the columns"
        yield Problem("list", quoted(", ".join(names)), need, hint, line)
    for place, name in enumerate(names):
        if name in names[:place] and name in COLUMNS:
            yield Problem(f"list.{name}", "a second column of this name", "each column once", "", line)
        near = "" if name in COLUMNS else nearest(name, COLUMNS)
        if near:
            yield Problem("list", f"a column {quoted(name)}", need, near, line)


def _named(names: list[str], cells: list[str], line: int) -> Iterator[tuple[str, str]]:
    if any(cell.strip() for cell in cells[len(names) :]):
        need = f"{len(names)} cells, as the first line has"
        hint = "a number with a comma in it stands in quotes"
        raise Problems((Problem("list", f"{len(cells)} cells", need, hint, line),))
    return iter([(name, cell.strip()) for name, cell in zip(names, cells, strict=False) if name in COLUMNS])


def _line(at: int, cells: dict[str, str], circuits: Collection[str]) -> OrderLine:
    problems = []
    circuit, amount = cells.pop("circuit", ""), cells.pop("quantity", "")
    if circuit and circuit not in circuits:
        hint = nearest(circuit, tuple(circuits)) or f"there are: {', '.join(circuits)}"
        problems.append(Problem("circuit", quoted(circuit), "the id of a circuit", hint, at))
    number = 1
    if amount:
        try:
            number = units.parse_count(amount)
        except UnitError as error:
            problems.append(Problem("quantity", error.got, error.need, error.hint, at))
    try:
        device = read(cells)
    except Problems as error:
        found = (Problem(p.where, p.got, p.need, p.hint, at) for p in error.problems)
        raise Problems((*problems, *found)) from error
    if problems:
        raise Problems(tuple(problems))
    return OrderLine(at, device, circuit, number)
