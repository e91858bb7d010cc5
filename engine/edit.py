"""Pure edits: a design and a typed text in, a new design out. Nothing here knows a file or a window.

A path names a field: ``rules`` (of the head), ``site.latitude``, ``arrays.south.module``; or a record:
``site``, ``arrays.south``.
"""

from __future__ import annotations

import dataclasses
import re
import unicodedata
from collections.abc import Iterator, Mapping
from typing import Any

from engine import units
from engine.design import (
    CIRCUIT_ENDS,
    KEYED,
    PIECES,
    RESERVED,
    SINGLE,
    About,
    Circuit,
    Design,
    circuit_ids,
)
from engine.entry import ID, ID_NEED, entered_text, nearest, parse_field, same
from engine.fields import Record, Spec
from engine.nonsense import contradictions
from engine.problems import Problem, Problems
from engine.units import UnitError, quoted

_STEMS = {
    "loads": "load",
    "modules": "module",
    "arrays": "array",
    "controllers": "controller",
    "inverters": "inverter",
    "generators": "generator",
    "diversions": "diversion",
    "relays": "relay",
    "devices": "device",
    "wires": "wire",
}


class FieldError(Problems):
    """One text that a field can't take: ``where`` (the path), ``got``, ``need`` and a ``hint``."""

    def __init__(self, where: str, got: str, need: str, hint: str = "") -> None:
        super().__init__((Problem(where, got, need, hint),))
        self.where, self.got, self.need, self.hint = where, got, need, hint


def empty() -> Design:
    """A design in which nothing is entered yet."""
    return Design()


def spec_of(path: str) -> Spec:
    """The description of a field; ``KeyError`` for a path that no design can have."""
    table, _, name = _split(path)
    return _class(table).specs()[name]


def get(design: Design, path: str) -> Any:
    """The entered value of a field, ``None`` where nothing was entered or the record does not exist.

    Raises ``KeyError`` for a path that no design can have.
    """
    table, id, name = _split(path)
    spec_of(path)
    record = _record(design, table, id)
    return None if record is None else getattr(record, name)


def record_of(design: Design, owner: str) -> Record | None:
    """The record at a path: ``arrays.south``, ``bank``, empty for the head; ``None`` where there is none."""
    table, _, id = owner.partition(".")
    found: Record | None = _record(design, table, id)
    return found


def typed(design: Design, path: str) -> str:
    """The text of a field as it was typed; empty where nothing was entered."""
    return entered_text(get(design, path))


def shown(design: Design, path: str, habit: str = "metric") -> str:
    """The text of a field for a person of a habit: as typed where its units are of that habit or of neither,
    else converted; the default where nothing was entered; empty where there is none."""
    value, spec = get(design, path), spec_of(path)
    if value is None:
        value = spec.default
    return "" if value is None else _in_habit(spec, value, habit)


def other_habit(design: Design, path: str, habit: str = "metric") -> str:
    """A field's value in the units of the other habit; empty where that says nothing new."""
    value, spec = get(design, path), spec_of(path)
    if value is None:
        value = spec.default
    if value is None or spec.kind not in _MEASURED:
        return ""
    text = _in_habit(spec, value, "us" if habit == "metric" else "metric")
    return "" if _alike(text, _in_habit(spec, value, habit)) else text


def set_field(design: Design, path: str, text: str, habit: str = "") -> Design:
    """Put a typed text into a field; an empty text clears it. The same design where nothing changes.

    ``habit`` is the habit that the field was shown in, the design's own where none is given: what was shown,
    put back, changes nothing, also each item of a list by itself. Raises ``FieldError`` where the text can't
    be read, is out of range, points nowhere or contradicts another field. A circuit's record is made on
    demand.
    """
    return set_fields(design, {path: text}, habit)


def set_fields(design: Design, texts: Mapping[str, str], habit: str = "") -> Design:
    """Put several texts into fields as one edit; only their outcome has to be free of contradictions."""
    after = design
    touched: dict[str, set[str]] = {}
    for path, text in texts.items():
        after = _put(after, path, text, habit or str(design.about.use("units")))
        owner, _, name = path.rpartition(".")
        touched.setdefault(owner, set()).add(name)
    for owner, names in touched.items():
        table, _, id = owner.partition(".")
        record = _record(after, table, id)
        if record is None:
            continue
        for problem in contradictions(table, owner, record, frozenset(names)):
            raise FieldError(problem.where, problem.got, problem.need, problem.hint)
    return after


def add(design: Design, table: str, label: str = "", id: str = "") -> tuple[Design, str]:
    """Add an empty record to a table; the new design and its id, made from the label where none is given.

    Raises ``FieldError`` for an id that is malformed or taken, ``KeyError`` for an unknown table.
    """
    kind = KEYED[table]
    if table == "circuits":
        _refuse_no_circuit(design, id)
    id = id or _new_id(design, table, label)
    if not ID.fullmatch(id):
        raise FieldError(f"{table}.{id}", quoted(id), ID_NEED)
    if taken := taken_by(design, table, id):
        raise FieldError(f"{table}.{id}", f'"{id}", which {taken} has', "an id of its own")
    record: Any = kind
    after = _with(design, table, (*getattr(design, table), record(id=id)))
    if label and "label" in kind.specs():
        after = set_field(after, f"{table}.{id}.label", label)
    return after, id


def taken_by(design: Design, table: str, id: str) -> str:
    """The path of the record that keeps ``table`` from using the id, in any case of letters; else empty."""
    tables = PIECES if table in PIECES else (table,)
    if table in PIECES and id.lower() in RESERVED:
        return "bank"
    return next(
        (
            f"{other}.{item.id}"
            for other in tables
            for item in getattr(design, other)
            if item.id.lower() == id.lower()
        ),
        "",
    )


def remove(design: Design, path: str) -> Design:
    """Remove a record with its circuits, and clear what refers to it; ``goes_along`` names these.

    A table that stands once is emptied. Raises ``KeyError`` for a record that is not there.
    """
    table, _, id = path.partition(".")
    if table in SINGLE:
        return _with(design, table, SINGLE[table]())
    if design.find(table, id) is None:
        raise KeyError(path)
    after = _without(design, table, id)
    for other in goes_along(design, path):
        owner, own, *name = other.split(".")
        after = _replace(after, owner, own, name[0], None) if name else _without(after, owner, own)
    return after


def goes_along(design: Design, path: str) -> tuple[str, ...]:
    """What removing a record changes besides: circuits that go with it, and fields that are cleared."""
    table, _, id = path.partition(".")
    own = {f"{id}-{end}" for end in CIRCUIT_ENDS.get(table, ())}
    circuits = [f"circuits.{item.id}" for item in design.circuits if item.id in own]
    refs = [where for where, to, target in references(design) if (to, target) == (table, id)]
    return (*circuits, *(ref for ref in refs if ref.rpartition(".")[0] not in circuits))


def references(design: Design) -> Iterator[tuple[str, str, str]]:
    """Every reference that was entered: its path, the table it points into and the id."""
    for table, kind in KEYED.items():
        names = [(spec.name, spec.to) for spec in kind.specs().values() if spec.kind == "ref"]
        for item in getattr(design, table) if names else ():
            for name, to in names:
                if getattr(item, name) is not None:
                    yield f"{table}.{item.id}.{name}", to, getattr(item, name)


def _put(design: Design, path: str, text: str, habit: str) -> Design:
    table, id, name = _split(path)
    spec = spec_of(path)
    if table == "circuits" and design.find(table, id) is None:
        _refuse_no_circuit(design, id)
        if not text.strip():
            return design
        design = dataclasses.replace(design, circuits=(*design.circuits, Circuit(id=id)))
    record = _record(design, table, id)
    if record is None:
        raise KeyError(path)
    value = None
    if text.strip():
        try:
            value = _kept(spec, getattr(record, name), parse_field(spec, text, habit), text.strip(), habit)
        except UnitError as error:
            raise FieldError(path, error.got, error.need, error.hint) from None
        if spec.kind == "ref" and design.find(spec.to, value) is None:
            known = [item.id for item in getattr(design, spec.to)]
            need = f"the id of a record in {spec.to}"
            hint = nearest(value, known) or (f"known: {', '.join(known)}" if known else "there is none yet")
            raise FieldError(path, quoted(value), need, hint)
    if same(getattr(record, name), value):
        return design
    return _replace(design, table, id, name, value)


def _refuse_no_circuit(design: Design, id: str) -> None:
    known = circuit_ids(design)
    if id not in known:
        need = "the id of a circuit of one of the pieces, such as south-run"
        raise FieldError(f"circuits.{id}", quoted(id), need, nearest(id, known))


def _new_id(design: Design, table: str, label: str) -> str:
    plain = unicodedata.normalize("NFKD", label).encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:30].strip("-")
    stem = _STEMS.get(table, table)
    if slug and not taken_by(design, table, slug):
        return slug
    number = 2 if slug else 1
    while taken_by(design, table, f"{slug or stem}-{number}"):
        number += 1
    return f"{slug or stem}-{number}"


def _split(path: str) -> tuple[str, str, str]:
    """Table, id and field name of a path to a field; ``KeyError`` where it is none."""
    parts = path.split(".")
    if len(parts) == 1:
        return "", "", path
    if len(parts) == 2 and parts[0] in SINGLE:
        return parts[0], "", parts[1]
    if len(parts) == 3 and parts[0] in KEYED:
        return parts[0], parts[1], parts[2]
    raise KeyError(path)


def _class(table: str) -> type[Record]:
    return SINGLE.get(table) or KEYED.get(table) or About


def _record(design: Design, table: str, id: str) -> Any:
    return design.find(table, id) if id else getattr(design, table or "about")


def _with(design: Design, table: str, value: Any) -> Design:
    change: dict[str, Any] = {table: value}
    return dataclasses.replace(design, **change)


def _replace(design: Design, table: str, id: str, name: str, value: Any) -> Design:
    change = {name: value}
    if not id:
        return _with(design, table or "about", dataclasses.replace(_record(design, table, ""), **change))
    items = getattr(design, table)
    return _with(
        design,
        table,
        tuple(dataclasses.replace(item, **change) if item.id == id else item for item in items),
    )


def _without(design: Design, table: str, id: str) -> Design:
    return _with(design, table, tuple(item for item in getattr(design, table) if item.id != id))


_MEASURED = ("quantity", "coefficient", "quantities", "points")
"""Kinds of field whose text depends on the habit."""


def _kept(spec: Spec, before: Any, value: Any, text: str, habit: str) -> Any:
    """The value read from a text, less what is only the value before as the habit shows it, rounded."""
    if before is None or spec.kind not in _MEASURED:
        return value
    if text == _in_habit(spec, before, habit):
        return before
    if spec.kind in ("quantity", "coefficient"):
        return value
    items = {_item(spec, old, habit): old for old in before}
    return tuple(items.get(_item(spec, new, ""), new) for new in value)


def _in_habit(spec: Spec, value: Any, habit: str) -> str:
    """A value as text in the units of a habit, each quantity as typed where it belongs there."""
    if spec.kind in ("quantities", "points"):
        return "; ".join(_item(spec, item, habit) for item in value)
    return _item(spec, value, habit) if spec.kind in _MEASURED else entered_text(value)


def _item(spec: Spec, value: Any, habit: str) -> str:
    """One quantity, coefficient or pair as text; as typed where no habit is given."""
    if isinstance(value, tuple):
        return f"{_one(value[0], spec.unit, habit)}: {_one(value[1], spec.unit2, habit)}"
    return _one(value, getattr(value, "unit", spec.unit), habit)


def _one(value: Any, unit: str, habit: str) -> str:
    text = getattr(value, "text", "")
    if text and (not habit or units.belongs(text, unit, habit)):
        return str(text)
    return units.show(float(getattr(value, "value", value)), unit, habit or "metric")


def _alike(left: str, right: str) -> bool:
    return left.replace("°", "deg").replace(" ", "") == right.replace("°", "deg").replace(" ", "")
