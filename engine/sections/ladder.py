"""The voltage ladder of one controller: every voltage from source to battery on one axis, a lane each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Protocol

from engine.design import Array, Design, Device, label
from engine.sections.results import (
    ArrayLook,
    ArrayResult,
    CircuitResult,
    ControllerResult,
    Lane,
    Mark,
    Missing,
    Span,
    ask,
)
from engine.units import show

EQUAL = 1e-9  # relative: a voltage that equals its rating meets it
SOURCE_DATA = {
    "running": ("module", "modules", "vmp", "beta_vmp", "gamma_pmp", "design_high", "design_low"),
    "open": ("module", "modules", "voc", "beta_voc", "silicon", "design_low", "record_low"),
}


def lanes(
    design: Design,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
    circuits: Mapping[str, CircuitResult],
    controller_id: str,
    looks: Mapping[str, ArrayLook],
    habit: str | None = None,
    held: Mapping[str, ArrayLook] | None = None,
) -> tuple[Lane, ...]:
    """The lanes from battery to devices; ``looks`` may be empty. A lane without its data says what to enter.

    Marks of kind ``now`` are where a source stands, ``would`` its open circuit at these conditions, ``held``
    both at the conditions that are held. Texts are in the unit habit given, else in the design's. An unknown
    controller has no lanes.
    """
    controller = controllers.get(controller_id)
    if controller is None:
        return ()
    told = Told(habit or str(design.about.use("units")))
    mine = [item for item in design.arrays if item.id in controller.arrays and item.id in arrays]
    found = [_battery(design, controller, told), _controller(controller, told)]
    then = held or {}
    for item in mine:
        lane = _running(item, arrays[item.id], controller, looks.get(item.id), told)
        found.append(with_held(lane, then.get(item.id), told))
    for item in mine:
        lane = _open(item, arrays[item.id], controller, looks.get(item.id), told)
        found.append(with_held(lane, then.get(item.id), told, opened=True))
    found += _devices(design, circuits.values(), controller, told)
    found += _modules(design, mine, arrays, told)
    return tuple(found)


class Looked(Protocol):
    """A source at the conditions of looking: where it stands [V, A], and its open circuit [V]."""

    @property
    def voltage(self) -> float: ...
    @property
    def current(self) -> float: ...
    @property
    def open_voltage(self) -> float: ...


def with_held(lane: Lane, held: Looked | None, told: Told, *, opened: bool = False) -> Lane:
    """The lane with what is held marked on it: where the source ran, or its open circuit where ``opened``."""
    if held is None or held.open_voltage <= 0 or (held.current <= 0 and not opened):
        return lane
    volts = held.open_voltage if opened else held.voltage
    return replace(lane, marks=(Mark(volts, "held", f"held {told.volts(volts)}"), *lane.marks))


class Told:
    """Voltages in words, in one unit habit."""

    def __init__(self, habit: str) -> None:
        self._habit = habit

    def volts(self, value: float) -> str:
        return show(value, "V", self._habit)

    def number(self, value: float) -> str:
        return self.volts(value).removesuffix(" V")

    def warmth(self, value: float) -> str:
        return show(value, "degC", self._habit)


def _battery(design: Design, controller: ControllerResult, told: Told) -> Lane:
    low, high = controller.battery_low, controller.battery_high
    spans: tuple[Span, ...] = ()
    if low is not None and high is not None:
        spans = (Span(low, high, "battery", f"{told.number(low)} to {told.volts(high)}"),)
    wanted = _enter(ask("bank", design.bank, "lowest_voltage", "highest_voltage"))
    return Lane("Battery", "bank", "battery", spans, (), wanted)


def _controller(controller: ControllerResult, told: Told) -> Lane:
    start, operating, standoff = controller.start, controller.operating, controller.standoff
    said = {
        "starts": start,
        "operates to": operating,
        "survives": standoff,
    }
    text = {word: f"{word} {told.volts(at)}" for word, at in said.items() if at is not None}
    top = min((limit for limit in (operating, standoff) if limit is not None), default=None)
    spans = []
    if start is not None and top is not None and start < top:
        last = "operates to" if top == operating else "survives"
        spans.append(Span(start, top, "operating", text.pop(last), text.pop("starts")))
    if operating is not None and standoff is not None and operating < standoff:
        spans.append(Span(operating, standoff, "standoff", text.pop("survives")))
    marks = [Mark(at, "limit", text[word]) for word, at in said.items() if at is not None and word in text]
    opened = controller.standoff_battery_open
    if opened is not None and opened != standoff:
        marks.append(Mark(opened, "limit", f"{told.volts(opened)} with the battery breaker open"))
    names = (
        *("start_above_battery", "start_voltage", "operating_limit", "standoff_limit"),
        *("highest_voltage", "lowest_voltage"),
    )
    wanted = _enter(_named(controller.missing, names))
    path = f"controllers.{controller.controller}"
    return Lane(controller.label, path, "ink", tuple(spans), tuple(marks), wanted)


def _running(
    array: Array, result: ArrayResult, controller: ControllerResult, look: ArrayLook | None, told: Told
) -> Lane:
    hot, cold = result.running_hot, result.running_cold
    spans: tuple[Span, ...] = ()
    marks: list[Mark] = []
    if hot is not None and cold is not None:
        low, high = min(hot, cold), max(hot, cold)
        spans = (Span(low, high, "running", f"cold {told.volts(cold)}", f"hot {told.volts(hot)}"),)
    elif hot is not None:
        marks.append(Mark(hot, "limit", f"hot {told.volts(hot)}"))
    if hot is not None and controller.start is not None and hot < controller.start * (1 - EQUAL):
        never = controller.battery_high is not None and hot < controller.battery_high * (1 - EQUAL)
        text = f"{told.volts(controller.start - hot)} short of starting"
        marks.append(Mark(hot, "limit", text, "fails" if never else "marginal"))
    if look is not None and look.current > 0:
        marks.append(Mark(look.voltage, "now", f"now {told.volts(look.voltage)}"))
    wanted = _enter(_named(result.missing, SOURCE_DATA["running"]))
    return Lane(f"{result.label}, running", f"arrays.{array.id}", "sun", spans, tuple(marks), wanted)


def _open(
    array: Array, result: ArrayResult, controller: ControllerResult, look: ArrayLook | None, told: Told
) -> Lane:
    standard, design, record = result.open_standard, result.open_design, result.open_record
    spans: tuple[Span, ...] = ()
    marks: list[Mark] = []
    highest = record if record is not None else design
    if standard is not None and highest is not None:
        left = f"{told.warmth(25.0)} {told.volts(standard)}"
        if design is not None and record is not None:
            left += f" · design low {told.volts(design)}"
        word = "record low" if record is not None else "design low"
        spans = (Span(standard, highest, "open", f"{word} {told.volts(highest)}", left),)
    elif standard is not None:
        marks.append(Mark(standard, "limit", f"{told.warmth(25.0)} {told.volts(standard)}"))
    if record is not None:
        marks.append(Mark(record, "record", *_against_controller(record, design, controller, told)))
    if look is not None and look.open_voltage > 0:
        text, flows = f"now {told.volts(look.open_voltage)}", look.current > 0
        text = text if flows else f"{text}, {look.state}"
        marks.append(Mark(look.open_voltage, "would" if flows else "now", text))
    wanted = _enter(_named(result.missing, SOURCE_DATA["open"]))
    return Lane(f"{result.label}, open circuit", f"arrays.{array.id}", "sun", spans, tuple(marks), wanted)


def _against_controller(
    record: float, design: float | None, controller: ControllerResult, told: Told
) -> tuple[str, str]:
    """What the record low means to the controller: a text and a status word."""
    standoff, operating = controller.standoff, controller.operating
    if standoff is not None and record > standoff * (1 + EQUAL):
        return f"{told.volts(record - standoff)} over what {controller.label} survives", "fails"
    if design is not None and operating is not None and design > operating * (1 + EQUAL):
        return f"{controller.label} waits above {told.volts(operating)}", "marginal"
    return "", "" if standoff is None else "meets"


def _devices(
    design: Design, circuits: Iterable[CircuitResult], controller: ControllerResult, told: Told
) -> Iterator[Lane]:
    for circuit in circuits:
        if circuit.controller == controller.controller or circuit.array in controller.arrays:
            lane = device_lane(design, circuit, told)
            if lane is not None:
                yield lane


def device_lane(design: Design, circuit: CircuitResult, told: Told) -> Lane | None:
    """The device in hand on a circuit, else the least voltage class that it needs, if it needs any."""
    path = f"circuits.{circuit.id}"
    device = design.find("devices", design.circuit(circuit.id).device)
    if isinstance(device, Device):
        return _device(device, circuit, path, told)
    if not circuit.device_needed or circuit.voltage_class is None:
        return None
    text = f"needs a {told.volts(circuit.voltage_class)} class device"
    return Lane(circuit.title, path, "ink", (), (Mark(circuit.voltage_class, "rating", text),))


def _device(device: Device, circuit: CircuitResult, path: str, told: Told) -> Lane:
    title = device.label or device.id
    name = "ac_voltage" if circuit.system == "ac" else "dc_voltage"
    rating: float | None = getattr(device, name)
    if rating is None:
        return Lane(title, path, "ink", empty=_enter(ask(f"devices.{device.id}", device, name)))
    poles = {None: "", 1: ", one pole"}.get(device.poles, f", {device.poles} poles")
    text = f"rated {told.volts(rating)} {circuit.system.upper()}{poles}"
    return Lane(title, path, "ink", (), (rated(rating, text, circuit.voltage, circuit.voltage_record, told),))


def _modules(
    design: Design, mine: list[Array], arrays: Mapping[str, ArrayResult], told: Told
) -> Iterator[Lane]:
    """What each kind of module on the controller is made for, against the tallest string of it."""
    kinds = dict.fromkeys(item.module for item in mine if item.module is not None)
    for id in kinds:
        module = next((item for item in design.modules if item.id == id), None)
        if module is None:
            continue
        strings = [arrays[item.id] for item in mine if item.module == id]
        title, path = f"Modules, {label(module)}", f"modules.{module.id}"
        limit = module.system_voltage
        if limit is None:
            yield Lane(title, path, "ink", empty=_enter(ask(path, module, "system_voltage")))
            continue
        mark = rated(
            limit,
            f"made for {told.volts(limit)}",
            _highest(item.open_design for item in strings),
            _highest(item.open_record for item in strings),
            told,
        )
        yield Lane(title, path, "ink", (), (mark,))


def rated(limit: float, text: str, value: float | None, record: float | None, told: Told) -> Mark:
    """A rating with its status: the design low decides whether it fails, the record low warns."""
    if value is not None and value > limit * (1 + EQUAL):
        return Mark(float(limit), "rating", f"{text}, {told.volts(value - limit)} too low", "fails")
    if record is not None and record > limit * (1 + EQUAL):
        text = f"{text}, {told.volts(record - limit)} too low at the record low"
        return Mark(float(limit), "rating", text, "marginal")
    return Mark(float(limit), "rating", text, "meets" if value is not None else "unknown")


def _highest(values: Iterable[float | None]) -> float | None:
    """The highest of values that are all known, else ``None``."""
    listed = list(values)
    known = [value for value in listed if value is not None]
    return max(known) if known and len(known) == len(listed) else None


def _named(missing: tuple[Missing, ...], names: tuple[str, ...]) -> tuple[Missing, ...]:
    return tuple(item for item in missing if item.path.rpartition(".")[2] in names)


def _enter(missing: tuple[Missing, ...]) -> str:
    return "Enter: " + ", ".join(item.title for item in missing) if missing else ""
