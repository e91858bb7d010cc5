"""Keeps what a rule found for as long as everything that it read is the very same.

A rule is handed the case under watch: each table, record and result that it reads is noted. Results and
records never change, so a rule that would read the same objects again would find the same again. Nothing has
to be declared, so nothing can be forgotten. Of what stands once, tables and the bank's result, each field
that is read is noted.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields
from functools import cache
from typing import Any

from engine.design import SINGLE, Circuit, Design
from engine.fields import Record
from engine.finding import Finding
from engine.rules.judging import Case, Rule

DERIVED = frozenset({"habit", "spots", "charging", "chargers", "charged"})
RESULTS = frozenset(item.name for item in fields(Case)) - {"design"} | DERIVED
BY_ID = frozenset({"arrays", "controllers", "circuits", "wind", "hydro", "relays"})
TABLES = frozenset(item.name for item in fields(Design)) | {"rules"}
KEPT = 3  # states of a design that each rule remembers, so that going back and forth is free


class Seen:
    """What one run of a rule read: results of the case, whole or one of them, tables and records of the
    design and fields of those that stand once, each by its name."""

    __slots__ = ("circuits", "fields", "members", "parts", "records", "results", "tables")

    def __init__(self) -> None:
        self.results: dict[str, Any] = {}
        self.members: dict[tuple[str, str | None], Any] = {}
        self.tables: dict[str, Any] = {}
        self.fields: dict[tuple[str, str], Any] = {}
        self.parts: dict[tuple[str, str], Any] = {}
        self.records: dict[tuple[str, str | None], Record | None] = {}
        self.circuits: dict[str, Circuit] = {}

    def stands(self, case: Case) -> bool:
        """Whether the same would be read of this case: not what is equal, the very same objects."""
        design = case.design
        for name, value in self.results.items():
            if getattr(case, name) is not value:
                return False
        for (name, id), value in self.members.items():
            if getattr(case, name).get(id) is not value:
                return False
        for (name, part), value in self.parts.items():
            if getattr(getattr(case, name), part) is not value:
                return False
        for name, value in self.tables.items():
            if getattr(design, name) is not value:
                return False
        for (table, name), value in self.fields.items():
            if getattr(getattr(design, table), name) is not value:
                return False
        for (table, id), record in self.records.items():
            if design.find(table, id) is not record:
                return False
        return all(design.circuit(id) is record for id, record in self.circuits.items())


_kept: dict[Rule, list[tuple[Seen, tuple[Finding, ...]]]] = {}


def findings(rule: Rule, case: Case) -> tuple[Finding, ...]:
    """What the rule finds in this case; raises what the rule raises, and then keeps nothing."""
    kept = _kept.setdefault(rule, [])
    for seen, found in kept:
        if seen.stands(case):
            return found
    seen = Seen()
    answer = tuple(rule(_Case(case, seen)))
    kept.insert(0, (seen, answer))
    del kept[KEPT:]
    return answer


class _Case(Case):
    """A case that notes what is read of it; what it derives is that of the case itself."""

    def __init__(self, case: Case, seen: Seen) -> None:
        self.__dict__.update(_of=case, _seen=seen, design=_Design(case.design, seen))

    def __getattribute__(self, name: str) -> Any:
        if name not in RESULTS:
            return object.__getattribute__(self, name)
        value, seen = (
            getattr(object.__getattribute__(self, "_of"), name),
            object.__getattribute__(self, "_seen"),
        )
        if name in BY_ID:
            return _Results(name, value, seen)
        if name == "bank":
            return _noting(value, name, seen.parts)
        seen.results[name] = value
        return value


class _Results(Mapping[str, Any]):
    """Results by their id that note which of them is read; to go through them is to read all."""

    __slots__ = ("_name", "_of", "_seen")

    def __init__(self, name: str, of: Mapping[str, Any], seen: Seen) -> None:
        self._name, self._of, self._seen = name, of, seen

    def get(self, id: str, default: Any = None) -> Any:
        """The result with that id, else the default."""
        value = self._seen.members[self._name, id] = self._of.get(id)
        return default if value is None else value

    def __getitem__(self, id: str) -> Any:
        value = self.get(id)
        if value is None:
            raise KeyError(id)
        return value

    def __contains__(self, id: object) -> bool:
        return self.get(str(id)) is not None

    def __iter__(self) -> Iterator[str]:
        self._seen.results[self._name] = self._of
        return iter(self._of)

    def __len__(self) -> int:
        self._seen.results[self._name] = self._of
        return len(self._of)


class _Design(Design):
    """A design that notes what is read of it."""

    _of: Design
    _seen: Seen

    def __init__(self, design: Design, seen: Seen) -> None:
        self.__dict__.update(_of=design, _seen=seen)

    def __getattribute__(self, name: str) -> Any:
        if name in SINGLE:
            own = object.__getattribute__(self, "__dict__")
            if name not in own:
                own[name] = _noting(getattr(own["_of"], name), name, own["_seen"].fields)
            return own[name]
        if name not in TABLES:
            return object.__getattribute__(self, name)
        value = getattr(object.__getattribute__(self, "_of"), name)
        object.__getattribute__(self, "_seen").tables[name] = value
        return value

    def find(self, table: str, id: str | None) -> Record | None:
        """The record of a table with that id, or ``None``."""
        record = self._seen.records[table, id] = self._of.find(table, id)
        return record

    def circuit(self, id: str) -> Circuit:
        """What the designer said about a circuit."""
        record = self._seen.circuits[id] = self._of.circuit(id)
        return record


def _noting(of: Any, name: str, read: dict[tuple[str, str], Any]) -> Any:
    """A record or result, standing at that name, that notes which of its fields are read; it says that it is
    of the very same class, so that it is equal to what its original is equal to."""
    kind = _kind(type(of))  # type: ignore[arg-type]  # mypy takes an instance's hash for the class's
    noting: Any = object.__new__(kind)
    noting.__dict__.update(_of=of, _name=name, _read=read)
    return noting


@cache
def _kind(kind: type) -> type:
    names = frozenset(item.name for item in fields(kind))

    def read(self: object, name: str) -> Any:
        own = object.__getattribute__(self, "__dict__")
        if name in names:
            value = own["_read"][own["_name"], name] = getattr(own["_of"], name)
            return value
        return kind if name == "__class__" else object.__getattribute__(self, name)

    return type(f"Noting{kind.__name__}", (kind,), {"__getattribute__": read})
