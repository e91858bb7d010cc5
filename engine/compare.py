"""One design against another: fields that differ, verdicts that turned, circuits sized otherwise, totals.

``compare(this, that)`` mirrors ``compare(that, this)``, and a design against itself is empty.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from engine import edit
from engine.design import KEYED, SINGLE, Design, label, records
from engine.evaluation import Evaluation
from engine.fields import Record
from engine.finding import Finding, Status
from engine.sections import hydro_live, live, wind_live
from engine.sections.balance import BalanceMonth
from engine.sections.results import ArrayLook, CircuitResult, Conditions
from engine.sections.source_yield import MONTHS

CIRCUIT = {
    "conductor": ("conductor", ""),
    "parallel": ("conductors in parallel", "1"),
    "earthing": ("earthing conductor", ""),
    "device": ("device", "A"),
    "device_kind": ("kind of device", ""),
    "poles": ("poles", "1"),
    "voltage_class": ("voltage class", "V"),
    "breaking_least": ("breaking capacity", "A"),
    "conduit": ("conduit", ""),
}
"""What is compared of a circuit: its name in words and its unit, none where it is words itself."""
TABLES = ("", *SINGLE, *KEYED)
NOUNS = {
    "": "About the site",
    "site": "Site",
    "bank": "Battery bank",
    "prices": "Prices",
    "loads": "Load",
    "modules": "Module",
    "arrays": "Array",
    "wind": "Wind turbine",
    "hydro": "Hydro turbine",
    "controllers": "Controller",
    "inverters": "Inverter",
    "generators": "Generator",
    "diversions": "Diversion load",
    "relays": "Relay",
    "devices": "Device",
    "wires": "Wire price",
}
"""What a record is called, by its table; a circuit by its title alone."""
NEAR = 1e-9  # relative: less is the rounding of floating point


@dataclass(frozen=True, slots=True)
class FieldChange:
    """A field that differs, or a whole record (``title`` empty) that only one design has.

    ``owner`` is the record in words. ``this`` and ``that`` are texts in the units asked for, ``None`` where
    nothing is entered or the record is not there.
    """

    path: str
    owner: str
    title: str
    this: str | None
    that: str | None


@dataclass(frozen=True, slots=True)
class Turned:
    """A question whose verdict turned; ``None`` where a design is not asked it. ``owner`` is its piece in
    words, ``go_to`` the field that mends it, or the piece."""

    rule: str
    where: str
    owner: str
    go_to: str
    this: Finding | None
    that: Finding | None

    @property
    def asked_once(self) -> bool:
        """Whether only one design is asked it."""
        return self.this is None or self.that is None

    @property
    def worst(self) -> Status:
        """The worse of both."""
        return min(item.status for item in (self.this, self.that) if item is not None)


@dataclass(frozen=True, slots=True)
class CircuitChange:
    """A circuit of which something is chosen otherwise, or (``what`` empty) that only one design has."""

    circuit: str
    title: str
    what: str
    unit: str
    this: object
    that: object


@dataclass(frozen=True, slots=True)
class Total:
    """A figure of the whole system in a canonical unit (``money`` in the designer's), ``None`` where it is
    not known. ``go_to`` is the place of the window that tells more."""

    group: str
    name: str
    unit: str
    this: float | str | None
    that: float | str | None
    go_to: str = ""


@dataclass(frozen=True, slots=True)
class Comparison:
    """Everything in which two designs differ; totals that are the same are left out."""

    fields: tuple[FieldChange, ...] = ()
    turned: tuple[Turned, ...] = ()
    circuits: tuple[CircuitChange, ...] = ()
    totals: tuple[Total, ...] = ()

    @property
    def empty(self) -> bool:
        return not (self.fields or self.turned or self.circuits or self.totals)


def compare(this: Evaluation, that: Evaluation, habit: str = "metric") -> Comparison:
    """In what two designs differ; texts of fields in the units of ``habit``."""
    return Comparison(
        tuple(_fields(this, that, habit)),
        turned(this, that),
        tuple(_circuits(this.circuits, that.circuits)),
        tuple(_totals(this, that)),
    )


# Fields


def _fields(this: Evaluation, that: Evaluation, habit: str) -> Iterator[FieldChange]:
    designs = this.design, that.design
    mine, other = _records(this), _records(that)
    for path in sorted({*mine, *other}, key=lambda path: (TABLES.index(path.partition(".")[0]), path)):
        one, two = mine.get(path), other.get(path)
        some = one if one is not None else two
        assert some is not None
        owner = _owner(path, some, {**that.circuits, **this.circuits})
        if one is None or two is None:
            yield FieldChange(path, owner, "", _entered(one), _entered(two))
            continue
        for name, spec in some.specs().items():
            if getattr(one, name) != getattr(two, name):
                full = f"{path}.{name}" if path else name
                texts = [_text(design, full, habit) for design in designs]
                if texts[0] == texts[1]:  # apart by less than is shown
                    texts = [edit.typed(design, full) for design in designs]
                yield FieldChange(full, owner, spec.title, *texts)


def _records(evaluation: Evaluation) -> dict[str, Record]:
    """Every record by its path; a circuit that is there has one, even if nothing is said of it."""
    design = evaluation.design
    found = {path: record for path, record in records(design) if not path.startswith("circuits.")}
    return found | {f"circuits.{id}": design.circuit(id) for id in evaluation.circuits}


def _owner(path: str, record: Record, circuits: Mapping[str, CircuitResult]) -> str:
    table, _, id = path.partition(".")
    if table == "circuits":
        return circuits[id].title
    noun = NOUNS[table]
    if not id:
        return noun
    return label(record) if noun.lower() in label(record).lower() else f"{noun} {label(record)}"


def _entered(record: Record | None) -> str | None:
    """How much is entered of a record, ``None`` where there is none."""
    if record is None:
        return None
    count = sum(getattr(record, name) is not None for name in record.specs())
    return f"there, {count} field{'' if count == 1 else 's'} entered"


def _text(design: Design, path: str, habit: str) -> str | None:
    shown = edit.shown(design, path, habit)
    if edit.get(design, path) is not None:
        return shown
    return f"{shown} (not entered)" if shown else None


# Verdicts


def turned(this: Evaluation, that: Evaluation) -> tuple[Turned, ...]:
    """The questions whose status differs, or that only one design is asked, the gravest first."""
    mine, other = _worst(this.findings), _worst(that.findings)
    found = []
    for rule, where in {*mine, *other}:
        one, two = mine.get((rule, where)), other.get((rule, where))
        if one is None or two is None or one.status != two.status:
            some = one or two
            assert some is not None
            owner = _piece(where, this) or _piece(where, that) or where
            found.append(Turned(rule, where, owner, some.field or where, one, two))
    return tuple(sorted(found, key=lambda item: (item.worst, item.asked_once, item.where, item.rule)))


def _piece(where: str, evaluation: Evaluation) -> str:
    """A piece in words; empty where the design has none such."""
    table, _, id = where.partition(".")
    if table == "circuits":
        return evaluation.circuits[id].title if id in evaluation.circuits else ""
    record = edit.record_of(evaluation.design, where) if table in NOUNS else None
    return "" if record is None else _owner(where, record, {})


def _worst(findings: tuple[Finding, ...]) -> Mapping[tuple[str, str], Finding]:
    """The worst finding of each question at each place; findings stand worst first."""
    held: dict[tuple[str, str], Finding] = {}
    for finding in findings:
        held.setdefault((finding.rule, finding.where), finding)
    return held


# Circuits


def _circuits(
    this: Mapping[str, CircuitResult], that: Mapping[str, CircuitResult]
) -> Iterator[CircuitChange]:
    for id in sorted({*this, *that}):
        one, two = this.get(id), that.get(id)
        if one is None or two is None:
            title = (one or two).title  # type: ignore[union-attr]
            yield CircuitChange(id, title, "", "", _there(one), _there(two))
            continue
        for name, (what, unit) in CIRCUIT.items():
            values = getattr(one, name), getattr(two, name)
            if values[0] != values[1]:
                yield CircuitChange(id, one.title, what, unit, *values)


def _there(circuit: CircuitResult | None) -> str | None:
    return None if circuit is None else "there"


# Totals


def _totals(this: Evaluation, that: Evaluation) -> Iterator[Total]:
    mine, other = dict(_figures(this)), dict(_figures(that))
    for key in mine:
        one, two = mine[key], other[key]
        if not _near(one, two):
            yield Total(*key[:3], one, two, key[3])


def _near(one: float | str | None, two: float | str | None) -> bool:
    if isinstance(one, float) and isinstance(two, float):
        return abs(one - two) <= NEAR * max(abs(one), abs(two))
    return one == two


Key = tuple[str, str, str, str]


def _figures(evaluation: Evaluation) -> Iterator[tuple[Key, float | str | None]]:
    """Every figure of the whole system by its group, name, unit and place; the same keys for every design."""
    counts = evaluation.counts()
    for status in Status:
        yield ("Verdicts", status.word, "1", ""), float(counts[status])
    powers = [result.power for result in evaluation.arrays.values()]
    power = None if any(item is None for item in powers) else float(sum(item or 0.0 for item in powers))
    yield ("System", "arrays, at standard conditions", "W", "sources"), power
    capacity = evaluation.bank.capacity
    yield ("System", "bank, installed", "Wh", "storage"), capacity.installed
    yield ("System", "loads carried by the bank alone", "h", "storage"), capacity.carried
    balance = evaluation.balance
    worst = None if balance.worst is None else balance.months[balance.worst]
    yield ("Energy", "worst month", "", "balance"), None if worst is None else worst.name
    yield ("Energy", "worst month, sources over loads", "%", "balance"), _ratio(worst)
    yield ("Energy", "generator in a year", "h", "balance"), balance.hours if balance.months else None
    surplus = {month.name: month.surplus for month in balance.months}
    for name in MONTHS:
        yield ("Energy left over in a day", name, "Wh", "balance"), surplus.get(name)
    price = evaluation.design.prices.array_watt
    worth = None if price is None or power is None else float(price) * power
    yield ("Money", "arrays", "money", "sources"), worth
    yield ("Money", "battery bank", "money", "storage"), evaluation.bank.body.price
    yield ("Money", "generator in a year", "money", "balance"), balance.cost


def _ratio(worst: BalanceMonth | None) -> float | None:
    """``None`` where it isn't known, or no load is there to cover."""
    return worst.ratio if worst is not None and worst.demand > 0 else None


# One source at the conditions


@dataclass(frozen=True, slots=True)
class Point:
    """Where a source stands at the conditions: volts, amps and watts, and its state in words.

    ``opened`` [V] is where it would stand if its circuit were opened, ``table`` the kind of source.
    """

    label: str
    state: str
    volts: float
    amps: float
    watts: float
    opened: float
    table: str


def point_at(evaluation: Evaluation, conditions: Conditions, path: str, habit: str) -> Point | None:
    """The operating point of an array or a turbine; ``None`` where the design has no such source, or it has
    no curve."""
    design, controllers = evaluation.design, evaluation.controllers
    table, _, id = path.partition(".")
    record = design.find(table, id) if table in ("arrays", "wind", "hydro") else None
    if record is None or id not in getattr(evaluation, table):
        return None
    if table == "arrays":
        seen: ArrayLook | wind_live.WindLook = live.look(
            design, evaluation.arrays, controllers, conditions, id
        )
    elif table == "wind":
        seen = wind_live.look(design, evaluation.wind[id], controllers, conditions, habit)
    else:
        seen = hydro_live.look(design, evaluation.hydro[id], controllers, conditions, habit)
    if seen.state == "no curve":
        return None
    return Point(label(record), seen.state, seen.voltage, seen.current, seen.power, seen.open_voltage, table)


def moved(then: Point, now: Point) -> tuple[tuple[float, float, float, str], ...]:
    """Volts, amps and watts then and now, and by how much they moved, each with its unit."""
    pairs = ((then.volts, now.volts, "V"), (then.amps, now.amps, "A"), (then.watts, now.watts, "W"))
    return tuple((was, is_now, is_now - was, unit) for was, is_now, unit in pairs)
