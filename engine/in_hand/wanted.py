"""The devices that a design asks for: one line a kind of device, its quantity and the circuits it serves."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from engine import units
from engine.design import Design, Device, label
from engine.evaluation import Evaluation
from engine.finding import Finding, Status
from engine.sections.results import CircuitResult

NOT_OF_DEVICES = ("conductor", "voltage-drop", "insulation-voltage", "terminal-size", "earthing-size")
"""Rules that speak of a circuit's wire, not of its device."""
NEVER_OPEN = ("alternator", "brake", "limiter")
"""Circuits of a turbine that nothing may open."""
FUSE, EITHER, DISCONNECT = "fuse", "breaker or fuse", "disconnect"


@dataclass(frozen=True, slots=True)
class Wanted:
    """One line of the order list.

    ``what`` is the kind of device, ``rating`` [A] and ``voltage_class`` [V] what to order, ``breaking`` [A]
    the least breaking capacity, ``poles`` how many it must open; ``None`` where a datum is missing.
    ``both_ways`` where it must break current in both directions. ``device`` is the one that the designer
    chose already, ``quantity`` ``None`` where a count is missing.
    """

    what: str
    system: str
    rating: float | None
    voltage_class: float | None
    poles: int | None
    breaking: float | None
    both_ways: bool | None
    quantity: int | None
    circuits: tuple[str, ...]
    device: Device | None = None
    status: Status | None = None

    def cells(self, habit: str) -> tuple[str, ...]:
        """The line as text, by ``HEADS``."""
        volts = _text(self.voltage_class, "V", habit)
        return (
            "unknown" if self.quantity is None else str(self.quantity),
            self._name(),
            self.what,
            _text(self.rating, "A", habit),
            f"{volts} {self.system}" if self.voltage_class else volts,
            "unknown" if self.poles is None else str(self.poles),
            _text(self.breaking, "A", habit),
            "unknown" if self.both_ways is None else "none" if self.both_ways else "any",
            ", ".join(self.circuits),
        )

    def _name(self) -> str:
        """What people call it: the label of the device that was chosen, else the kind to choose."""
        return self.what if self.device is None else label(self.device)


HEADS = ("Quantity", "Device", "Kind", "Rating", "Class", "Poles", "Breaks", "Polarity", "Circuits")
RIGHT = ("Quantity", "Rating", "Class", "Poles", "Breaks")
"""The heads of the order list, and those of its columns that are numbers."""


def wanted(evaluation: Evaluation) -> tuple[Wanted, ...]:
    """The order list of a design, in the order of the line; equal devices stand in one line.

    A string that needs no fuse has no line; a run that needs no overcurrent device has its disconnect. Before
    a turbine's brake and limiter nothing may open, and nothing is ordered.
    """
    groups: dict[tuple[object, ...], tuple[Device | None, list[CircuitResult]]] = {}
    for circuit in evaluation.circuits.values():
        for key, device in _asked(evaluation.design, circuit):
            groups.setdefault(key, (device, []))[1].append(circuit)
    return tuple(_line(evaluation, device, circuits) for device, circuits in groups.values())


def device_findings(evaluation: Evaluation, circuits: tuple[str, ...]) -> tuple[Finding, ...]:
    """What the rules say of the devices of these circuits, worst first."""
    places = {f"circuits.{id}" for id in circuits}
    owners = {
        f"arrays.{circuit.array}"
        for id in circuits
        if (circuit := evaluation.circuits.get(id)) is not None and circuit.kind == "string"
    }
    return tuple(
        finding
        for finding in evaluation.findings
        if (finding.where in places and finding.rule not in NOT_OF_DEVICES)
        or (finding.where in owners and finding.rule == "string-fuse")
    )


def _asked(design: Design, circuit: CircuitResult) -> Iterator[tuple[tuple[object, ...], Device | None]]:
    """The devices of a circuit, each with what makes two circuits' devices the same one to order."""
    record = design.circuit(circuit.id)
    device, other = _device(design, record.device), _device(design, record.disconnect)
    if device is not None:
        yield ("device", device.id), device
    elif circuit.device_needed or circuit.kind not in ("string", *NEVER_OPEN):
        same = (circuit.system, _rating(circuit), circuit.voltage_class, circuit.poles)
        yield (_what(circuit), *same), None
    if other is not None:
        yield ("device", other.id), other


def _rating(circuit: CircuitResult) -> float | None:
    """What to order [A]: the chosen rating, or what a disconnect must carry."""
    return circuit.device if circuit.device is not None else circuit.design_current


def _what(circuit: CircuitResult) -> str:
    if not circuit.device_needed:
        return DISCONNECT
    return FUSE if circuit.kind == "string" else EITHER


def _device(design: Design, id: str | None) -> Device | None:
    device = design.find("devices", id)
    return device if isinstance(device, Device) else None


def _line(evaluation: Evaluation, device: Device | None, circuits: list[CircuitResult]) -> Wanted:
    design, first = evaluation.design, circuits[0]
    ids = tuple(circuit.id for circuit in circuits)
    breaking = _most(circuit.breaking_least for circuit in circuits)
    poles = _most(circuit.poles for circuit in circuits)
    return Wanted(
        what=_what(first) if device is None else device.kind or "device",
        system=first.system,
        rating=_rating(first) if device is None else _plain(device.current),
        voltage_class=first.voltage_class if device is None else _volts(device, first.system),
        poles=device.poles if device is not None else None if poles is None else int(poles),
        breaking=breaking if device is None else _plain(device.breaking),
        both_ways=_both_ways(circuits),
        quantity=_sum(_number(design, circuit) for circuit in circuits),
        circuits=ids,
        device=device,
        status=min((finding.status for finding in device_findings(evaluation, ids)), default=None),
    )


def _number(design: Design, circuit: CircuitResult) -> int | None:
    """How many devices a circuit takes: one a string where it is the circuit of several."""
    if circuit.kind == "string":
        return getattr(design.find("arrays", circuit.array), "strings", None)
    if circuit.kind == "bank":
        return design.bank.strings
    return 1


def _both_ways(circuits: list[CircuitResult]) -> bool | None:
    said = [circuit.reverses for circuit in circuits]
    return True if True in said else None if None in said else False


def _most(values: Iterator[float | None]) -> float | None:
    """The greatest; ``None`` where one is missing."""
    held = list(values)
    known = [value for value in held if value is not None]
    return max(known) if len(known) == len(held) and known else None


def _sum(values: Iterator[int | None]) -> int | None:
    held = list(values)
    known = [value for value in held if value is not None]
    return sum(known) if len(known) == len(held) else None


def _volts(device: Device, system: str) -> float | None:
    return _plain(device.ac_voltage if system == "ac" else device.dc_voltage)


def _plain(value: float | None) -> float | None:
    return None if value is None else float(value)


def _text(value: float | None, unit: str, habit: str) -> str:
    return "unknown" if value is None else units.show(value, unit, habit)
