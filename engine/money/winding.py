"""The voltage of a turbine's long run: an alternator wound for more volts against copper and conversion loss.

The same alternator is wound with more or fewer turns in the same slots, or its groups of coils are joined in
series or in parallel: at the same speed and power its volts go with the turns, its amps against them, its
resistance with their square. What the controller and the rectifier have to stand goes with them. No price
of a lost watt is known here: a turbine works in other hours than the sun.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from engine.design import Controller, Design, HydroTurbine, WindTurbine
from engine.evaluation import Evaluation
from engine.money.sizes import Run, losses, pinned, run_of
from engine.money.voltage import Carried, Level, Point, Trade, converted, crossings_of, lost, points_of
from engine.physics.alternator import three_phase_rectifier
from engine.sections import circuits as circuit_section
from engine.sections.notes import field
from engine.sections.results import CircuitResult, ControllerResult, Missing, ask
from engine.sizes import Size
from engine.tables.family import Family
from engine.units import Quantity
from engine.worksheet import CannotCalculate

TURNS = (0.25, 0.5, 1.0, 2.0, 4.0)  # two or four groups of coils in parallel or in series: common practice
KINDS = ("turbine", "alternator", "brake")  # circuits whose voltage goes with the winding
LOW_VOLTAGE = 1500.0  # V dc, where low voltage ends (IEC 60038, from memory)
POWERS = {
    "open_voltage": 1,
    "volts_per_speed": 1,
    "limiter_on": 1,
    "limiter_off": 1,
    "rated_current": -1,
    "short_current": -1,
    "resistance": 2,
    "limiter_resistance": 2,
}
"""How each datum of an alternator goes with its turns, as their power."""
SAME = 1e-9  # of a loss: no more than now
Turbine = WindTurbine | HydroTurbine


@dataclass(frozen=True, slots=True)
class _Case:
    """A turbine's circuit with what decides on its voltage."""

    evaluation: Evaluation
    circuit: CircuitResult
    turbine: Turbine
    controller: Controller
    limits: ControllerResult


def winding(evaluation: Evaluation, id: str) -> Trade | None:
    """Other voltages for a turbine whose circuit this is; ``None`` where a winding does not change a run.

    ``count`` of a level is turns over the present ones.
    """
    circuit = evaluation.circuits.get(id)
    if circuit is None or circuit.kind not in KINDS:
        return None
    design = evaluation.design
    table, _, name = circuit.piece.partition(".")
    turbine = design.find(table, name)
    if not isinstance(turbine, WindTurbine | HydroTurbine):
        return None
    controller = design.find("controllers", turbine.controller)
    run, lacking = run_of(design, circuit), _missing(design, circuit, controller)
    if lacking or run is None or circuit.conductor is None or not isinstance(controller, Controller):
        missing = tuple(dict.fromkeys((*circuit.missing, *lacking)))
        return Trade(id, missing=missing, why="The run has to be known first.")
    if controller.use("kind") != "tracking":
        return Trade(id, why="A controller that does not track holds the turbine at the battery's voltage.")
    case = _Case(evaluation, circuit, turbine, controller, evaluation.controllers[controller.id])
    levels = tuple(level for turns in TURNS if (level := _level(case, turns)) is not None)
    priced = bool(levels) and all(point.price is not None for level in levels for point in level.points)
    return Trade(
        circuit=id,
        levels=levels,
        crossings=crossings_of(levels, priced),
        now=(1.0, circuit.conductor),
        best=_cheapest(case, levels, run, priced),
        priced=priced,
        missing=() if priced else (Missing("wires", "Price a metre of two sizes or more"),),
        why="" if len(levels) > 1 else "No other winding starts the controller and can be sized.",
        carried=_carried(evaluation.family, turbine, run, circuit),
    )


def _missing(design: Design, circuit: CircuitResult, controller: object) -> tuple[Missing, ...]:
    lacking = ask("bank", design.bank, "voltage")
    if isinstance(controller, Controller):
        return lacking
    turbine = design.find(*circuit.piece.split("."))
    return lacking if turbine is None else (*lacking, field(circuit.piece, turbine, "controller"))


def wound(turbine: Turbine, turns: float) -> Turbine:
    """The same turbine with so many times the turns: volts with them, amps against them, ohms with their
    square; its power and its speeds as they are."""
    changes = {
        name: Quantity(float(value) * turns**power)
        for name, power in POWERS.items()
        if (value := getattr(turbine, name, None)) is not None
    }
    return dataclasses.replace(turbine, **changes)  # type: ignore[arg-type]


def _level(case: _Case, turns: float) -> Level | None:
    """One winding; ``None`` where it does not start the controller, leaves low voltage, or can't be sized."""
    design, evaluation, turbine = case.evaluation.design, case.evaluation, wound(case.turbine, turns)
    voltage = float(turbine.rated_power or 0.0) / float(turbine.rated_current or 1.0)
    if case.limits.start is not None and voltage < case.limits.start:
        return None
    other = _with(design, turbine, case.circuit)
    made = circuit_section.circuits(other, evaluation.family, evaluation.arrays, evaluation.controllers)
    circuit = made[case.circuit.id]
    run = run_of(other, circuit)
    if run is None or circuit.conductor is None or (circuit.voltage or 0.0) > LOW_VOLTAGE:
        return None
    try:
        step = converted(design, case.controller, voltage)
    except CannotCalculate:
        return None
    power, share = float(turbine.rated_power or 0.0), float(step.result.efficiency)
    takes = _too_many(case.controller, float(turbine.rated_current or 0.0))
    return Level(
        count=turns,
        strings=0,
        voltage=voltage,
        efficiency=share,
        survives=circuit.voltage,
        allowed=takes is None and _stands(case, circuit.voltage),
        points=points_of(evaluation.family, other, circuit, run, power, share),
        steps=(step,),
        takes=takes,
    )


def _with(design: Design, turbine: Turbine, circuit: CircuitResult) -> Design:
    """The design with the turbine wound otherwise and the circuit's conductor let go."""
    if isinstance(turbine, WindTurbine):
        wind = tuple(turbine if item.id == turbine.id else item for item in design.wind)
        return pinned(dataclasses.replace(design, wind=wind), circuit.id, None)
    hydro = tuple(turbine if item.id == turbine.id else item for item in design.hydro)
    return pinned(dataclasses.replace(design, hydro=hydro), circuit.id, None)


def _stands(case: _Case, voltage: float | None) -> bool:
    """Whether controller and rectifier stand the turbine running free; a limit that is not known does not."""
    rating = getattr(case.turbine, "rectifier_voltage", None)
    limits = [case.limits.standoff, case.limits.operating, *([] if rating is None else [float(rating)])]
    known = [limit for limit in limits if limit is not None]
    return voltage is not None and len(known) == len(limits) and voltage <= min(known)


def _too_many(controller: Controller, current: float) -> float | None:
    """The amps, where they are more than the controller takes."""
    most = controller.input_current_limit
    return current if most is not None and current > most else None


def _cheapest(case: _Case, levels: tuple[Level, ...], run: Run, priced: bool) -> tuple[float, Size] | None:
    """The least price, or metal, that loses no more than now, of what the controller allows."""
    now = next((level for level in levels if level.count == 1.0), None)
    if now is None or case.circuit.conductor is None:
        return None
    copper, _ = losses(case.evaluation.family, run, case.circuit.conductor)
    losing = lost(float(case.turbine.rated_power or 0.0), copper, now.efficiency)

    def cost(point: Point) -> float:
        return (point.price or 0.0) if priced else point.mass

    found = [
        (cost(point), point.loss, level.count, point.size)
        for level in levels
        for point in level.points
        if level.allowed and point.loss <= losing * (1 + SAME)
    ]
    return min(found)[2:] if found else None


def _carried(family: Family, turbine: Turbine, run: Run, circuit: CircuitResult) -> tuple[Carried, ...]:
    """The circuit's size over its length, carrying the turbine's rated power after and before rectifying."""
    size, current = circuit.conductor, float(turbine.rated_current or 0.0)
    if size is None or not current:
        return ()
    voltage = float(turbine.rated_power or 0.0) / current
    line = three_phase_rectifier(dc_voltage=voltage, dc_current=current)
    found = []
    for system, conductors, amps, volts in (
        ("dc", 2, current, voltage),
        ("ac", 3, float(line.line_current), float(line.line_voltage)),
    ):
        other = dataclasses.replace(run, current=amps, voltage=volts, conductors=conductors)
        loss, fraction = losses(family, other, size)
        found.append(Carried(system, conductors, amps, fraction, loss, other.mass(size)))
    return tuple(found)
