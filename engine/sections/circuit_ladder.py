"""The voltage ladder of one circuit: what can stand on it, and everything on it that has to stand that."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.design import Array, Design, Inverter, label
from engine.sections.ladder import Told, device_lane, lanes, rated
from engine.sections.results import (
    ArrayLook,
    ArrayResult,
    CircuitResult,
    ControllerResult,
    Lane,
    Mark,
    Span,
)

COLOURS = {"arrays": "sun", "wind": "wind", "hydro": "water", "inverters": "battery", "generators": "loads"}


def circuit_lanes(
    design: Design,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
    circuits: Mapping[str, CircuitResult],
    id: str,
    looks: Mapping[str, ArrayLook],
    habit: str,
) -> tuple[Lane, ...]:
    """The lanes of a circuit from its source to its device and insulation; none for an unknown circuit."""
    circuit = circuits.get(id)
    if circuit is None:
        return ()
    told = Told(habit)
    found = [
        lane
        for lane in lanes(design, arrays, controllers, {}, circuit.controller or "", looks, habit)
        if lane.path in _paths(design, circuit)
    ]
    if circuit.array is None:
        found += _ends(design, circuit, told)
        found += _stands(circuit, told)
    device = device_lane(design, circuit, told)
    found += [] if device is None else [device]
    found.append(_insulation(design, circuit, told))
    return tuple(found)


def _paths(design: Design, circuit: CircuitResult) -> set[str]:
    """The pieces whose voltages meet on the circuit."""
    array = design.find("arrays", circuit.array)
    if not isinstance(array, Array):
        turbine = circuit.piece.partition(".")[0] in ("wind", "hydro")
        return {"bank", f"controllers.{circuit.controller}"} if turbine else {"bank"}
    return {"bank", f"arrays.{array.id}", f"controllers.{array.controller}", f"modules.{array.module}"}


def _ends(design: Design, circuit: CircuitResult, told: Told) -> Iterator[Lane]:
    """The inverters that the circuit feeds: the battery voltages at which they work."""
    for path in circuit.ends:
        table, _, id = path.partition(".")
        inverter = design.find(table, id) if table == "inverters" and circuit.system == "dc" else None
        if isinstance(inverter, Inverter):
            low, high = inverter.lowest_voltage, inverter.highest_voltage
            spans: tuple[Span, ...] = ()
            if low is not None and high is not None:
                text = f"works from {told.number(low)} to {told.volts(high)}"
                spans = (Span(float(low), float(high), "operating", text),)
            empty = "" if spans else "Enter: Cuts out below, Cuts out above"
            yield Lane(label(inverter), path, "ink", spans, (), empty)


def _stands(circuit: CircuitResult, told: Told) -> Iterator[Lane]:
    """What the circuit runs at, and the highest voltage that can stand on it."""
    title, path = "On this circuit", f"circuits.{circuit.id}"
    colour = "loads" if circuit.system == "ac" else COLOURS.get(circuit.piece.partition(".")[0], "battery")
    runs, top, record = circuit.running_voltage, circuit.voltage, circuit.voltage_record
    if top is None:
        wanted = ", ".join(dict.fromkeys(item.title for item in circuit.missing))
        yield Lane(title, path, colour, empty=f"Enter: {wanted}" if wanted else "")
        return
    marks = () if record is None or record <= top else (Mark(record, "record"),)
    if runs is not None and runs < top:
        span = Span(runs, top, "running", f"up to {told.volts(top)}", f"runs at {told.volts(runs)}")
        yield Lane(title, path, colour, (span,), marks)
    else:
        yield Lane(title, path, colour, (), (Mark(top, "limit", told.volts(top)), *marks))


def _insulation(design: Design, circuit: CircuitResult, told: Told) -> Lane:
    record = design.circuit(circuit.id)
    volts = float(record.use("insulation_voltage"))
    text = f"{'made for' if record.insulation_voltage is not None else 'taken as'} {told.volts(volts)}"
    mark = rated(volts, text, circuit.voltage, circuit.voltage_record, told)
    return Lane("Conductor insulation", f"circuits.{circuit.id}", "ink", (), (mark,))
