"""The flip point of a finding: the value of the one input most worth knowing at which the verdict turns.

Found on demand by evaluating the design again and again with that one input moved; what was chosen for the
finding (a conductor, a voltage class) is held, so that the answer speaks of the thing that would be bought.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from engine import edit, units
from engine.design import Circuit, Design
from engine.evaluation import Evaluation, evaluate
from engine.finding import Finding, Status
from engine.rules.judging import over
from engine.rules.shared.fault import BATTERY

STEPS = 40
LEAST = 1e-9  # of the upper end: just above a lower end that does not count itself
HELD_LIMIT = ("voltage-class", "device-rating")
TURBINE = ("alternator", "brake", "turbine", "limiter")
OF_PIECE = {"inverter": "power", "branch": "power", "ac": "power", "generator": "power"}


@dataclass(frozen=True, slots=True)
class Flip:
    """Where a verdict turns: the field, its value there in its canonical unit, and the words for it."""

    path: str
    title: str
    value: float
    unit: str
    text: str


def flip(evaluation: Evaluation, finding: Finding) -> Flip | None:
    """The flip point of a finding; ``None`` where no single number turns it within its field's range."""
    path = _input(evaluation, finding)
    if path is None or finding.status is Status.UNKNOWN:
        return None
    spec = edit.spec_of(path)
    high = spec.high
    if high is None or (spec.low is None and spec.above is None):
        return None
    low = spec.low if spec.low is not None else (spec.above or 0.0) + LEAST * high
    design = _held(evaluation, finding)

    def sound(value: float) -> bool:
        return _sound(evaluate(_moved(design, path, value)), finding)

    turn = _turn(sound, float(low), float(high))
    if turn is None:
        return None
    inside, falling = turn
    habit = str(evaluation.design.about.use("units"))
    word = "down" if falling else "up"
    text = f"right {word} to {_shown(inside, spec.unit, habit, falling)}"
    return Flip(path, spec.title, inside, spec.unit, text)


def turns(evaluation: Evaluation, finding: Finding) -> bool:
    """Whether a finding has an input whose number may turn its verdict; ``flip`` then finds where."""
    return finding.status is not Status.UNKNOWN and _input(evaluation, finding) is not None


def _shown(value: float, unit: str, habit: str, up: bool) -> str:
    """Three digits of a value in the habit's unit, rounded to the side where the verdict still holds."""
    number = float(units.convert(value, unit, habit))
    step = 10.0 ** (math.floor(math.log10(abs(number))) - 2) if abs(number) > 1e-12 else 1.0
    whole = math.ceil(number / step - 1e-9) if up else math.floor(number / step + 1e-9)
    return units.show(float(units.unconvert(whole * step, unit, habit)), unit, habit, 3)


def _turn(sound: Callable[[float], bool], low: float, high: float) -> tuple[float, bool] | None:
    """The last sound value between the ends, and whether it is the lower end of the sound range."""
    at_low, at_high = sound(low), sound(high)
    if at_low == at_high:
        return None
    good, bad = (low, high) if at_low else (high, low)
    for _ in range(STEPS):
        middle = (good + bad) / 2
        if sound(middle):
            good = middle
        else:
            bad = middle
        if abs(good - bad) <= 1e-6 * max(abs(good), 1e-3):
            break
    return good, at_high


def _input(evaluation: Evaluation, finding: Finding) -> str | None:
    """The path of the field most worth knowing for a rule."""
    table, _, id = finding.where.partition(".")
    circuit = evaluation.circuits.get(id) if table == "circuits" else None
    array = evaluation.design.find("arrays", circuit.array if circuit else id)
    module = getattr(array, "module", None)
    climate = "site.record_low" if finding.status is Status.MARGINAL else "site.design_low"
    battery = circuit is not None and circuit.kind in BATTERY
    turbine = circuit is not None and circuit.kind in TURBINE
    if battery:
        climate = "bank.highest_voltage"
    if circuit is not None and turbine:
        climate = f"{circuit.piece}.open_voltage"
    found = {
        "standoff-limit": "site.record_low",
        "standoff-battery-open": "site.record_low",
        "operating-limit": "site.design_low",
        "module-system-voltage": climate,
        "insulation-voltage": climate,
        "voltage-class": climate,
        "device-voltage": climate,
        "start-voltage": "site.design_high",
        "string-fuse": f"modules.{module}.isc" if module else None,
        "controller-short-circuit": _first_module(evaluation, id),
        "conductor": f"circuits.{id}.ambient",
        "voltage-drop": f"circuits.{id}.length",
        "device-current": _current_of(evaluation, circuit, module),
        "device-breaking": _fault_of(evaluation, circuit, module, climate),
        "battery-fault": "bank.block_resistance",
        "fault-withstand": None
        if circuit is None or circuit.device_kind == "fuse"
        else "bank.block_resistance",
        "device-trip": f"circuits.{id}.length",
        "battery-unprotected": f"circuits.{id}.unprotected",
        "building-voltage": climate,
        "surge": f"circuits.{id}.length",
        "surge-voltage": climate,
        "device-heat": f"circuits.{id}.device_ambient",
        "turbine-standoff": f"{finding.where}.open_voltage",
        "open-voltage": f"{finding.where}.{'runaway_speed' if table == 'wind' else 'runaway_factor'}",
        "limiter": f"{finding.where}.limiter_on",
        "live-parts": "bank.highest_voltage",
    }
    return found.get(finding.rule)


def _first_module(evaluation: Evaluation, controller: str) -> str | None:
    result = evaluation.controllers.get(controller)
    if result is None or not result.arrays:
        return None
    module = getattr(evaluation.design.find("arrays", result.arrays[0]), "module", None)
    return f"modules.{module}.isc" if module else None


def _fault_of(evaluation: Evaluation, circuit: Any, module: str | None, free: str) -> str | None:
    """What drives a fault there: the battery's resistance, a turbine's voltage, or the modules."""
    if circuit is None or circuit.kind in BATTERY:
        return "bank.block_resistance"
    return free if circuit.kind in TURBINE else _current_of(evaluation, circuit, module)


def _current_of(evaluation: Evaluation, circuit: Any, module: str | None) -> str | None:
    if circuit is None:
        return None
    if circuit.kind in TURBINE:
        return f"{circuit.piece}.rated_current"
    if circuit.kind in OF_PIECE:
        return f"{circuit.piece}.{OF_PIECE[circuit.kind]}"
    if circuit.kind == "output":
        of_controller = circuit.controller is not None
        return f"{circuit.piece}.{'current_limit' if of_controller else 'charger_current'}"
    return f"modules.{module}.isc" if module else None


def _held(evaluation: Evaluation, finding: Finding) -> Design:
    """The design with the chosen conductor pinned, so that it does not grow with the moved input."""
    table, _, id = finding.where.partition(".")
    design = evaluation.design
    circuit = evaluation.circuits.get(id) if table == "circuits" else None
    if circuit is None or circuit.conductor is None or circuit.pinned:
        return design
    record = dataclasses.replace(design.circuit(id), size=circuit.conductor)
    others = tuple(item for item in design.circuits if item.id != id)
    return dataclasses.replace(design, circuits=(*others, record))


def _moved(design: Design, path: str, value: float) -> Design:
    """The design with one number moved; contradictions with other fields do not matter here."""
    owner, _, name = path.rpartition(".")
    table, _, id = owner.partition(".")
    number = units.Quantity(value)
    if not id:
        alone: dict[str, Any] = {table: dataclasses.replace(getattr(design, table), **{name: number})}
        return dataclasses.replace(design, **alone)
    records = getattr(design, table)
    if table == "circuits" and design.find(table, id) is None:
        records = (*records, Circuit(id=id))
    moved = tuple(dataclasses.replace(item, **{name: number}) if item.id == id else item for item in records)
    changed: dict[str, Any] = {table: moved}
    return dataclasses.replace(design, **changed)


def _sound(evaluation: Evaluation, finding: Finding) -> bool:
    """Whether the question is answered well: as ``meets``, or at least not ``fails`` if it fails now."""
    now = next((f for f in evaluation.findings if (f.rule, f.where) == (finding.rule, finding.where)), None)
    if now is None or now.status is Status.UNKNOWN:
        return False
    if finding.rule in HELD_LIMIT:
        held = finding.limit
        return isinstance(now.value, float) and isinstance(held, float) and not over(now.value, held)
    if finding.status is Status.FAILS:
        return now.status is not Status.FAILS
    return now.status is Status.MEETS
