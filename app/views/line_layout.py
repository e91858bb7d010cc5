"""The system as a one-line: which pieces there are, in which column and row, and the wires between them.

Columns from the left: sources, their controllers, the bank, what stands on the bank, and what that feeds.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from engine import units
from engine.design import (
    Array,
    Bank,
    Controller,
    Design,
    Generator,
    HydroTurbine,
    Inverter,
    WindTurbine,
    label,
)
from engine.fields import Record

SOURCES = {"arrays": "sun", "wind": "wind", "hydro": "water"}
LOADS = "loads"
COLUMNS = 5


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of the line. ``row`` is where its middle stands, counted in rows from the top."""

    path: str
    label: str
    data: str
    colour: str
    column: int
    row: float


@dataclass(frozen=True, slots=True)
class Wire:
    """A wire from one piece to another; ``source`` is the path whose current runs in it, if it is known."""

    start: Piece
    end: Piece
    colour: str
    source: str


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole line; ``rows`` is how many it needs. ``loose`` are sources without a controller."""

    pieces: tuple[Piece, ...]
    wires: tuple[Wire, ...]
    loose: tuple[Piece, ...]
    rows: int


@dataclass(slots=True)
class _Making:
    pieces: list[Piece] = field(default_factory=list)
    wires: list[Wire] = field(default_factory=list)
    loose: list[Piece] = field(default_factory=list)

    def add(self, path: str, record: Record, data: str, colour: str, column: int, row: float) -> Piece:
        piece = Piece(path, label(record), data, colour, column, row)
        self.pieces.append(piece)
        return piece

    def join(self, start: Piece, end: Piece, colour: str, source: str) -> None:
        self.wires.append(Wire(start, end, colour, source))


def plan(design: Design, habit: str) -> Plan:
    """Lay out a design; sources that share a controller stand together, so that no wires cross."""
    making = _Making()
    left, feeders = _sources(making, design, habit)
    right = _consumers_rows(design)
    rows = max(left, right, 1)
    middle = rows / 2
    bank = Piece("bank", design.bank.label or "Bank", bank_data(design.bank, habit), "battery", 2, middle)
    making.pieces.append(bank)
    shift = (rows - left) / 2
    making.pieces = [_lower(piece, shift) if piece.column < 2 else piece for piece in making.pieces]
    moved = {piece.path: piece for piece in making.pieces}
    making.wires = [
        Wire(moved[wire.start.path], moved[wire.end.path], wire.colour, wire.source) for wire in making.wires
    ]
    loose = tuple(moved[piece.path] for piece in making.loose)
    for feeder in feeders:
        making.join(moved[feeder.path], bank, "ink", feeder.path)
    _consumers(making, design, bank, (rows - right) / 2, habit)
    return Plan(tuple(making.pieces), tuple(making.wires), loose, rows)


def _lower(piece: Piece, rows: float) -> Piece:
    return Piece(piece.path, piece.label, piece.data, piece.colour, piece.column, piece.row + rows)


def _sources(making: _Making, design: Design, habit: str) -> tuple[int, list[Piece]]:
    """Place the sources and their controllers from row 0 on; the rows taken and the controllers."""
    every = [
        (f"{table}.{item.id}", item, colour)
        for table, colour in SOURCES.items()
        for item in getattr(design, table)
    ]
    row, feeders = 0, []
    for controller in design.controllers:
        mine = [entry for entry in every if entry[1].controller == controller.id]
        if not mine and _diverts(controller):
            continue
        height = max(len(mine), 1)
        path, data = f"controllers.{controller.id}", controller_data(controller, habit)
        end = making.add(path, controller, data if mine else "no source", "ink", 1, row + height / 2)
        feeders.append(end)
        for number, (source, item, colour) in enumerate(mine):
            start = making.add(source, item, source_data(item, habit), colour, 0, row + number + 0.5)
            making.join(start, end, colour, source)
        row += height
    known = {controller.id for controller in design.controllers}
    for source, item, colour in every:
        if item.controller not in known:
            piece = making.add(source, item, source_data(item, habit), colour, 0, row + 0.5)
            making.loose.append(piece)
            row += 1
    return row, feeders


def _diverts(controller: Controller) -> bool:
    return bool(controller.use("kind") == "diversion")


def _stands(design: Design) -> Iterator[tuple[str, Record, tuple[tuple[str, Record], ...]]]:
    """What stands on the bank beside its inverters, with what it feeds, each of these a row."""
    fed = set()
    for controller in design.controllers:
        driven = any(item.controller == controller.id for table in SOURCES for item in getattr(design, table))
        if _diverts(controller) and not driven:
            own = tuple(
                (f"diversions.{item.id}", item)
                for item in design.diversions
                if item.controller == controller.id
            )
            fed |= {path for path, _ in own}
            yield f"controllers.{controller.id}", controller, own
    for diversion in design.diversions:
        if f"diversions.{diversion.id}" not in fed:
            yield f"diversions.{diversion.id}", diversion, ()
    for generator in design.generators:
        yield f"generators.{generator.id}", generator, ()


def _consumers_rows(design: Design) -> int:
    feeding = max(len(design.inverters), 1 if design.loads else 0)
    return feeding + sum(max(len(own), 1) for _, _, own in _stands(design))


def _consumers(making: _Making, design: Design, bank: Piece, first: float, habit: str) -> None:
    row = first
    inverters = []
    for inverter in design.inverters:
        path = f"inverters.{inverter.id}"
        piece = making.add(path, inverter, inverter_data(inverter, habit), "loads", 3, row + 0.5)
        making.join(bank, piece, "ink", path)
        inverters.append(piece)
        row += 1
    if design.loads:
        row = max(row, first + 1)
        count = len(design.loads)
        data = "one load" if count == 1 else f"{count} loads"
        loads = Piece(LOADS, "Loads", data, "loads", 4, first + (row - first) / 2)
        making.pieces.append(loads)
        for start in inverters or [bank]:
            making.join(start, loads, "ink", LOADS)
    for path, record, own in _stands(design):
        height = max(len(own), 1)
        colour = "loads" if path.startswith("diversions") else "ink"
        piece = making.add(path, record, _stand_data(record, habit), colour, 3, row + height / 2)
        making.join(bank, piece, "ink", path)
        for number, (end, item) in enumerate(own):
            load = making.add(end, item, _stand_data(item, habit), "loads", 4, row + number + 0.5)
            making.join(piece, load, "ink", end)
        row += height


# One line of data each, as entered


def _joined(*parts: str) -> str:
    return " · ".join(part for part in parts if part) or "nothing entered"


def _shown(record: Record, name: str, habit: str) -> str:
    value = getattr(record, name)
    return "" if value is None else units.show(float(value), record.specs()[name].unit, habit)


def source_data(item: Array | WindTurbine | HydroTurbine, habit: str) -> str:
    """A source in a line: how many modules, how large a rotor, how high a fall."""
    if isinstance(item, Array):
        if item.strings and item.modules:
            return f"{item.strings} × {item.modules} modules"
        return "nothing entered" if not (item.strings or item.modules) else "modules or strings missing"
    size = "diameter" if isinstance(item, WindTurbine) else "gross_head"
    return _joined(_shown(item, "rated_power", habit), _shown(item, size, habit))


def controller_data(item: Controller, habit: str) -> str:
    """A controller in a line: the voltage it survives and its current limit."""
    return _joined(_shown(item, "standoff_limit", habit), _shown(item, "current_limit", habit))


def bank_data(item: Bank, habit: str) -> str:
    """The bank in a line: its nominal voltage and its chemistry."""
    return _joined(_shown(item, "voltage", habit), item.chemistry or "")


def inverter_data(item: Inverter, habit: str) -> str:
    """An inverter in a line: its power and its AC voltage."""
    volts = _shown(item, "ac_voltage", habit)
    return _joined(_shown(item, "power", habit), f"{volts} AC" if volts else "")


def _stand_data(item: Record, habit: str) -> str:
    if isinstance(item, Controller):
        return controller_data(item, habit)
    if isinstance(item, Generator):
        return _joined(_shown(item, "power", habit), _shown(item, "charger_current", habit))
    return _joined(_shown(item, "rated_power", habit))
