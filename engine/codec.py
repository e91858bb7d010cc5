"""Reading a design file: TOML in, a whole ``Design`` out, or every mistake at once. It never opens half."""

from __future__ import annotations

import os
import re
import stat
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from engine.design import FORMAT, KEYED, PIECES, RESERVED, SINGLE, About, Design, circuit_ids
from engine.entry import ID, ID_NEED, FileNumber, got, nearest, parse_field
from engine.fields import Record
from engine.nonsense import contradictions
from engine.problems import Problem, Problems
from engine.toml_places import Keys, Places
from engine.units import UnitError

LARGEST = 2_000_000
_NOT_OURS = "`format = 1` at the top, as every Farstead site file has"


class BadFile(Problems):
    """A file that is not a sound design; ``problems`` holds every mistake that was found, by line."""


def load(path: str | os.PathLike[str]) -> Design:
    """Open a design file. Raises ``BadFile`` with every problem."""
    return loads(_read(Path(path)), os.path.basename(path))


def loads(text: str, name: str = "the file") -> Design:
    """Read a design from the text of its file; ``name`` is what messages call it. Raises ``BadFile``."""
    data, plain = _parse(text, name)
    reader = _Reader(data)
    design = reader.design(text)
    if reader.problems:
        places = Places(plain)
        found = [
            Problem(".".join(keys) or name, p.got, p.need, p.hint, places.line(keys))
            for keys, p in reader.problems
        ]
        raise BadFile(tuple(sorted(found, key=lambda problem: problem.line or 0)))
    return design


def _read(path: Path) -> str:
    """The text of a file, with its line ends as they are."""
    name, need = str(path), "a site file"
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise BadFile((Problem(name, "a folder", need),))
        if not stat.S_ISREG(mode):
            raise BadFile((Problem(name, "a device or pipe", need),))
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
    except BadFile:
        raise
    except FileNotFoundError:
        raise BadFile((Problem(name, "no such file", need),)) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise BadFile((Problem(name, reason.lower(), "a site file that can be read"),)) from None
    if len(content) > LARGEST:
        raise BadFile((Problem(name, "more than 2 MB", need, "a site file is far smaller"),))
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise BadFile((Problem(name, "bytes that are not UTF-8", "text saved as UTF-8", "", line),)) from None


def _parse(text: str, name: str) -> tuple[dict[str, Any], str]:
    """The tables of a file of this format, and the text that the places are counted in."""
    plain = text.removeprefix("\ufeff")
    try:
        data = tomllib.loads(plain, parse_float=FileNumber)
    except tomllib.TOMLDecodeError as error:
        raise BadFile((_syntax(str(error), plain, name),)) from None
    except (ValueError, RecursionError):
        raise BadFile((Problem(name, "numbers or lists beyond reading", "a site file"),)) from None
    version = data.pop("format", None)
    if version is None:
        known = {*About.specs(), *SINGLE, *KEYED}
        if not known & data.keys():
            hint = "this is some other file" if data else "the file is empty"
            raise BadFile((Problem(name, "no format", _NOT_OURS, hint),))
        raise BadFile((Problem("format", "nothing", _NOT_OURS),))
    if version == FORMAT and type(version) is int:
        return data, plain
    line = Places(plain).line(("format",))
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise BadFile((Problem("format", got(version), f"{FORMAT}, a whole number", "", line),))
    hint = f"written by a newer Farstead: format {version}"
    raise BadFile((Problem("format", str(version), f"{FORMAT} at most", hint, line),))


def _syntax(message: str, text: str, name: str) -> Problem:
    found = re.search(r" \(at (?:line (\d+), column (\d+)|end of document)\)", message)
    line = int(found[1]) if found and found[1] else text.count("\n") + 1
    column = f" at column {found[2]}" if found and found[2] else ""
    reason = message[: found.start()] if found else message
    hint = "texts and quantities stand in quotes, decimals have a point"
    return Problem(
        name, f"text that is not TOML{column}", "TOML", f"{reason[:1].lower()}{reason[1:]}; {hint}", line
    )


class _Reader:
    """Reads the tables of a file and gathers what is wrong, each problem with its keys."""

    def __init__(self, data: Mapping[str, Any]) -> None:
        self.data = data
        self.problems: list[tuple[Keys, Problem]] = []

    def design(self, origin: str) -> Design:
        """The design as far as it could be read."""
        heads = About.specs()
        parts: dict[str, Any] = {}
        about: dict[str, Any] = {}
        for name, raw in self.data.items():
            if name in heads:
                about[name] = raw
            elif name in SINGLE:
                parts[name] = self._single(name, raw)
            elif name in KEYED:
                parts[name] = tuple(self._keyed(name, raw))
            else:
                self._unknown((name,), [*heads, *SINGLE, *KEYED])
        parts["about"] = self._record((), About, about, {})
        design = Design(**parts, origin=origin)
        self._ids(design)
        self._circuits(design)
        return design

    def _single(self, table: str, raw: object) -> Any:
        if not isinstance(raw, dict):
            self._problem((table,), got(raw), f"a table [{table}]")
            return SINGLE[table]()
        return self._record((table,), SINGLE[table], raw, {})

    def _keyed(self, table: str, raw: object) -> Iterator[Record]:
        example = f"[{table}.an-id]"
        if not isinstance(raw, dict):
            self._problem((table,), got(raw), f"tables {example}, one for each")
            return
        for id, fields in raw.items():
            if not isinstance(fields, dict):
                specs = KEYED[table].specs()
                hint = f"a field stands under {example}" if id in specs else ""
                self._problem((table, id), got(fields), f"a table [{table}.{id}]", hint)
            elif not ID.fullmatch(id):
                self._problem((table, id), got(id), ID_NEED)
            else:
                yield self._record((table, id), KEYED[table], fields, {"id": id})

    def _record(self, keys: Keys, kind: type[Any], raw: Mapping[str, Any], values: dict[str, Any]) -> Any:
        """One record; a field that can't be read stays empty."""
        specs = kind.specs()
        for name, given in raw.items():
            spec = specs.get(name)
            if spec is None:
                self._unknown((*keys, name), list(specs))
                continue
            try:
                value = parse_field(spec, given)
            except UnitError as error:
                self._problem((*keys, name), error.got, error.need, error.hint)
                continue
            if spec.kind == "ref" and value not in self._known(spec.to):
                self._lost((*keys, name), value, spec.to, self._known(spec.to))
            values[name] = value
        record = kind(**values)
        for problem in contradictions(keys[0] if keys else "", ".".join(keys), record):
            name = problem.where.rpartition(".")[2]
            self._problem((*keys, name), problem.got, problem.need, problem.hint)
        return record

    def _known(self, table: str) -> list[str]:
        """The ids that the file has in a table, sound or not."""
        raw = self.data.get(table)
        return list(raw) if isinstance(raw, dict) else []

    def _ids(self, design: Design) -> None:
        """Ids that repeat, in any case of letters, within a table or among the pieces of the line."""
        for tables in (PIECES, *((table,) for table in KEYED if table not in PIECES)):
            seen = dict.fromkeys(RESERVED, "the battery") if tables is PIECES else {}
            for table in tables:
                for item in getattr(design, table):
                    first = seen.setdefault(item.id.lower(), f"{table}.{item.id}")
                    if first != f"{table}.{item.id}":
                        self._problem((table, item.id), f'"{item.id}", which {first} has', "an id of its own")

    def _circuits(self, design: Design) -> None:
        """Circuit records that belong to no piece."""
        known = circuit_ids(design)
        for item in design.circuits:
            if item.id not in known:
                need = "the id of a circuit of one of the pieces, such as south-run for arrays.south"
                self._problem(("circuits", item.id), f'"{item.id}"', need, nearest(item.id, known))

    def _unknown(self, keys: Keys, known: Sequence[str]) -> None:
        hint = nearest(keys[-1], known)
        need = "a table or field of a site file" if len(keys) == 1 else f"a field of {'.'.join(keys[:-1])}"
        self._problem(keys, "an unknown name", need, hint or f"known: {', '.join(known)}")

    def _lost(self, keys: Keys, value: str, table: str, known: Sequence[str]) -> None:
        hint = nearest(value, known) or (f"known: {', '.join(known)}" if known else f"there are no {table}")
        self._problem(keys, f'"{value}"', f"the id of a record in {table}", hint)

    def _problem(self, keys: Keys, got: str, need: str, hint: str = "") -> None:
        self.problems.append((keys, Problem("", got, need, hint)))
