"""What the table of circuits says: a row a circuit, its columns, their texts and what they are sorted by."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

from app.views.marks import mark_word
from engine import units
from engine.design import PIECES, Design, label
from engine.evaluation import Evaluation
from engine.finding import Status
from engine.sections.results import CircuitResult
from engine.sizes import Size

UNKNOWN, NONE_NEEDED = "unknown", "none"
GOVERNED = {
    "terminal": "terminals",
    "ampacity": "derated ampacity",
    "small-conductor": "small-conductor ceiling",
    "device": "device protection",
    "drop": "voltage drop",
    "smallest": "smallest size there is",
    "parallel": "least size in parallel",
}
"""What governs a conductor, in words; a check that is not here is called by its name."""


@dataclass(frozen=True, slots=True)
class Row:
    """A circuit with its worst status, the names of its two ends and what its conductor is made of."""

    circuit: CircuitResult
    status: Status | None
    origin: str
    target: str
    material: str = "copper"


Value = float | str | None


@dataclass(frozen=True, slots=True)
class Column:
    """A column: ``value`` of a row [unit] or its text; ``absent`` is what is said where there is none.

    ``order`` is what the column is sorted by, where that is not the value.
    """

    key: str
    title: str
    unit: str
    value: Callable[[Row], Value]
    absent: Callable[[Row], str] = lambda row: UNKNOWN
    order: Callable[[Row], Value] | None = None
    help: str = ""


def governed(circuit: CircuitResult) -> str:
    """What governed the conductor's size, in words."""
    return GOVERNED.get(circuit.governed_by, circuit.governed_by)


def conductor(row: Row) -> str:
    """The conductor in words: how many in parallel, its size, what it is made of if not of copper, and
    whether the designer fixed it."""
    circuit = row.circuit
    if circuit.conductor is None:
        return ""
    several = f"{circuit.parallel} × " if circuit.parallel > 1 else ""
    metal = "" if row.material == "copper" else f" {row.material}"
    return f"{several}{circuit.conductor.text}{metal}{', fixed' if circuit.pinned else ''}"


def _area(size: Size | None) -> float | None:
    return None if size is None else size.area_mm2


def _no_device(row: Row) -> str:
    return UNKNOWN if row.circuit.device_needed else NONE_NEEDED


COLUMNS = (
    Column("status", "", "", lambda r: mark_word(r.status), order=lambda r: _rank(r.status), help="Status"),
    Column("title", "Circuit", "", lambda r: r.circuit.title),
    Column(
        "conductor",
        "Conductor",
        "",
        lambda r: conductor(r) or None,
        order=lambda r: _area(r.circuit.conductor),
    ),
    Column(
        "device",
        "Device",
        "A",
        lambda r: r.circuit.device,
        _no_device,
        help="Standard rating chosen; none where no overcurrent device is needed",
    ),
    Column(
        "class",
        "Class",
        "V",
        lambda r: r.circuit.voltage_class,
        help="Least voltage class of everything on the circuit",
    ),
    Column("current", "Current", "A", lambda r: r.circuit.current, help="What the rules take as current"),
    Column("voltage", "Voltage", "V", lambda r: r.circuit.voltage, help="The highest that can stand on it"),
    Column("length", "Length", "m", lambda r: r.circuit.length, help="One way"),
    Column(
        "drop",
        "Drop",
        "%",
        lambda r: r.circuit.drop_fraction,
        help="At running current, over the running voltage",
    ),
    Column("loss", "Loss", "W", lambda r: r.circuit.loss, help="At running current, both conductors"),
    Column("governed", "Governed by", "", lambda r: governed(r.circuit) or None),
    Column(
        "earthing",
        "Earthing",
        "",
        lambda r: r.circuit.earthing.text if r.circuit.earthing else None,
        order=lambda r: _area(r.circuit.earthing),
        help="Earthing conductor",
    ),
    Column(
        "conduit",
        "Conduit",
        "",
        lambda r: r.circuit.conduit,
        order=lambda r: _conduit_area(r.circuit),
        help="Least trade size for the conductors and what shares it; empty where it lies in none",
    ),
    Column("from", "From", "", lambda r: r.origin),
    Column("to", "To", "", lambda r: r.target or None),
    Column("id", "Id", "", lambda r: r.circuit.id, help="As the site file and the command line name it"),
)


def _conduit_area(circuit: CircuitResult) -> float:
    step = circuit.steps.get("conduit")
    return -1.0 if step is None else float(step.result.least)


def _rank(status: Status | None) -> float:
    return float(len(Status) if status is None else status)


def rows(evaluation: Evaluation) -> tuple[Row, ...]:
    """A row for every circuit, in the order of the line."""
    worst: dict[str, Status] = {}
    for finding in evaluation.findings:
        worst[finding.where] = min(worst.get(finding.where, finding.status), finding.status)
    design = evaluation.design
    return tuple(
        Row(
            item,
            worst.get(f"circuits.{item.id}"),
            end_name(design, item.origin),
            end_name(design, item.target),
            str(design.circuit(item.id).use("material")),
        )
        for item in evaluation.circuits.values()
    )


def end_name(design: Design, id: str) -> str:
    """What people call an end of a circuit: a piece by its label, a part of one by that and its own word."""
    pieces = {item.id: label(item) for table in PIECES for item in getattr(design, table)}
    owner, part = id, ""
    while owner and owner not in pieces:
        owner, _, word = owner.rpartition("-")
        part = f"{word} {part}".strip()
    if not owner:
        return id.replace("-", " ")
    return f"{pieces[owner]}, {part}" if part else pieces[owner]


def text(row: Row, column: Column, habit: str) -> str:
    """A cell as it is read on the screen and on paper."""
    value = column.value(row)
    if value is None:
        return column.absent(row)
    return value if isinstance(value, str) else units.show(value, column.unit, habit)


def sorted_by(row: Row, column: Column) -> Value:
    """What a cell is sorted by; ``None`` comes last."""
    return (column.order or column.value)(row)


def heads(habit: str, columns: Sequence[Column] = COLUMNS) -> tuple[str, ...]:
    """The heads of an exported table: a column of numbers says its unit."""
    return tuple(_head(column, habit) for column in columns)


def _head(column: Column, habit: str) -> str:
    name = column.title or column.help
    return f"{name} [{units.shown_in(column.unit, habit)}]" if column.unit else name


def exported(
    given: Iterable[Row], habit: str, columns: Sequence[Column] = COLUMNS
) -> Iterator[tuple[str, ...]]:
    """Heads and rows for a spreadsheet: plain numbers in the habit's units, what was assumed at the end."""
    yield (*heads(habit, columns), "Assumed where nothing was entered")
    for row in given:
        yield (*(_number(row, column, habit) for column in columns), _assumed(row.circuit))


def _assumed(circuit: CircuitResult) -> str:
    return "; ".join(f"{item.title} {item.text} ({item.why})" for item in circuit.assumed)


def _number(row: Row, column: Column, habit: str) -> str:
    value = column.value(row)
    if value is None or isinstance(value, str):
        return value or column.absent(row)
    return f"{units.convert(value, column.unit, habit):.6g}"
