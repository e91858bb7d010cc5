"""The voltage of a long run: more modules in series against copper and conversion loss, in money.

The same modules are wired in every way that leaves none over. Losses are those at full sun with the array at
its standard running voltage: in the run's conductors, and in the controller, whose efficiency falls as the
source stands higher above the battery. The string circuits' own conductors, the combiner and the price of a
controller of a higher class are left out.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from engine.design import Array, Controller, Design
from engine.evaluation import Evaluation
from engine.money.sizes import Run, candidates, losses, pinned, run_of, sun_hours
from engine.physics.controller import conversion
from engine.sections import circuits as circuit_section
from engine.sections import sources as source_section
from engine.sections import window as window_section
from engine.sections.notes import field
from engine.sections.results import ArrayResult, CircuitResult, Floats, Missing, ask
from engine.sizes import Size
from engine.tables.family import Family
from engine.worksheet import CannotCalculate, Worked, work


@dataclass(frozen=True, slots=True)
class Point:
    """One size at one voltage: ``mass`` [kg] and price of the run, ``loss`` [W] of copper and conversion,
    ``yearly`` [Wh] the most that it comes to in a year, ``total`` its price with the loss made good by
    array."""

    size: Size
    mass: float
    loss: float
    yearly: float | None
    price: float | None
    total: float | None


@dataclass(frozen=True, slots=True)
class Level:
    """One way to a voltage, ``voltage`` [V] as it runs: ``count`` of modules in series, ``strings`` of them;
    or an alternator with ``count`` times its present turns, and no strings.

    ``efficiency`` of the conversion to the battery. ``survives`` [V] is what the controller then has to
    survive, ``takes`` [A] what it has to take where that is too much for this one; ``allowed`` where it
    does both. ``points`` go from small to large.
    """

    count: float
    strings: int
    voltage: float
    efficiency: float
    survives: float | None
    allowed: bool
    points: tuple[Point, ...]
    steps: tuple[Worked, ...]
    takes: float | None = None


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where two neighbouring curves cross: for less than ``cost`` the higher voltage loses less, for more the
    lower. ``cost`` is money where every point has a price, else kg of metal; ``loss`` [W]."""

    lower: float
    higher: float
    cost: float
    loss: float


@dataclass(frozen=True, slots=True)
class Carried:
    """One size over the length of a circuit as ``dc`` or as three-phase ``ac``: ``current`` [A] in each of
    its ``conductors``, ``fraction`` that drops, ``loss`` [W] and ``mass`` [kg] of metal."""

    system: str
    conductors: int
    current: float
    fraction: float
    loss: float
    mass: float


@dataclass(frozen=True, slots=True)
class Trade:
    """The levels from low to high voltage, how the design is wired ``now``, and the ``best``: count and size
    of the least total among the levels that the controller allows; for an alternator, of the least price
    or metal among those that lose no more than now. ``carried`` holds dc and ac against each other there.

    ``priced`` says whether points have prices, ``hours`` [h] are those of full sun in a year. ``why`` says
    why there is nothing to compare, ``missing`` what to enter.
    """

    circuit: str
    levels: tuple[Level, ...] = ()
    crossings: tuple[Crossing, ...] = ()
    now: tuple[float, Size] | None = None
    best: tuple[float, Size] | None = None
    priced: bool = False
    watt: float | None = None
    hours: float | None = None
    missing: tuple[Missing, ...] = ()
    why: str = ""
    carried: tuple[Carried, ...] = ()


def trade(evaluation: Evaluation, id: str) -> Trade | None:
    """Other voltages for the run of an array; ``None`` for a circuit that is not one."""
    circuit = evaluation.circuits.get(id)
    design = evaluation.design
    array = design.find("arrays", None if circuit is None else circuit.array)
    if circuit is None or circuit.kind != "run" or not isinstance(array, Array):
        return None
    result, controller = evaluation.arrays[array.id], design.find("controllers", array.controller)
    missing = _missing(design, circuit, controller)
    if missing or not isinstance(controller, Controller) or run_of(design, circuit) is None:
        return Trade(id, missing=(*circuit.missing, *missing), why="The run has to be known first.")
    if controller.use("kind") != "tracking":
        return Trade(id, why="A controller that does not track holds the array at the battery's voltage.")
    found = [_level(evaluation, circuit, array, result, controller, n) for n in _counts(array)]
    levels = tuple(level for level in found if level is not None)
    watt, hours = design.prices.array_watt, sun_hours(design)
    priced = bool(levels) and all(point.price is not None for level in levels for point in level.points)
    return Trade(
        circuit=id,
        levels=levels,
        crossings=crossings_of(levels, priced),
        now=None if circuit.conductor is None else (array.modules or 0, circuit.conductor),
        best=_best(levels),
        priced=priced,
        watt=None if watt is None else float(watt),
        hours=hours,
        missing=_wanted(design, priced, hours),
        why=""
        if len(levels) > 1
        else "These modules can be wired in one way only on a controller that steps down.",
    )


def _missing(design: Design, circuit: CircuitResult, controller: object) -> tuple[Missing, ...]:
    lacking = ask("bank", design.bank, "voltage")
    if isinstance(controller, Controller):
        return lacking
    return (*lacking, Missing(f"arrays.{circuit.array}.controller", "Controller"))


def _wanted(design: Design, priced: bool, hours: float | None) -> tuple[Missing, ...]:
    """What to enter for money and for a year."""
    wanted = list(ask("prices", design.prices, "array_watt"))
    if not priced:
        wanted.append(Missing("wires", "Price a metre of two sizes or more"))
    if hours is None:
        wanted.append(field("site", design.site, "sun"))
    return tuple(wanted)


def _counts(array: Array) -> list[int]:
    """The counts in series that leave no module over."""
    total = (array.modules or 0) * (array.strings or 0)
    return [n for n in range(1, total + 1) if total % n == 0]


def _level(
    evaluation: Evaluation,
    circuit: CircuitResult,
    array: Array,
    result: ArrayResult,
    controller: Controller,
    modules: int,
) -> Level | None:
    """One count in series; ``None`` below what starts the controller, or above what the modules stand."""
    if result.shortest is not None and modules < result.shortest:
        return None
    design = evaluation.design
    module = design.find("modules", array.module)
    survives = _each(result.open_record or result.open_design, result, modules)
    made_for = getattr(module, "system_voltage", None)
    if survives is not None and made_for is not None and survives > made_for:
        return None
    strings = (array.modules or 0) * (array.strings or 0) // modules
    other = _wired(design, array, circuit.id, modules, strings)
    wired = _circuits(evaluation.family, other).get(circuit.id)
    run = None if wired is None else run_of(other, wired)
    if wired is None or wired.conductor is None or run is None:
        return None
    try:
        step = converted(design, controller, run.voltage)
    except CannotCalculate:
        return None
    limits = [limit for limit in (result.longest, result.longest_operating) if limit is not None]
    return Level(
        count=modules,
        strings=strings,
        voltage=run.voltage,
        efficiency=float(step.result.efficiency),
        survives=survives,
        allowed=bool(limits) and modules <= min(limits),
        points=points_of(
            evaluation.family, other, wired, run, run.voltage * run.current, float(step.result.efficiency)
        ),
        steps=(step,),
    )


def _each(voltage: float | None, result: ArrayResult, modules: int) -> float | None:
    return None if voltage is None or not result.modules else voltage / result.modules * modules


def _wired(design: Design, array: Array, circuit: str, modules: int, strings: int) -> Design:
    """The design with the array's modules wired otherwise and its run's conductor let go."""
    other = dataclasses.replace(array, modules=modules, strings=strings)
    arrays = tuple(other if item.id == array.id else item for item in design.arrays)
    return pinned(dataclasses.replace(design, arrays=arrays), circuit, None)


def converted(design: Design, controller: Controller, voltage: float) -> Worked:
    """The controller's conversion from a source voltage [V] to the battery."""
    points = controller.efficiency_points or ()
    return work(
        conversion,
        source=voltage,
        battery=float(design.bank.voltage or 0.0),
        ratios=tuple(float(ratio) for ratio, _ in points) or None,
        efficiencies=tuple(float(share) for _, share in points) or None,
    )


def _circuits(family: Family, design: Design) -> dict[str, CircuitResult]:
    """The circuits of another design; nothing of it is judged."""
    arrays = source_section.arrays(design, family)
    return circuit_section.circuits(design, family, arrays, window_section.controllers(design, arrays))


def points_of(
    family: Family, design: Design, circuit: CircuitResult, run: Run, power: float, efficiency: float
) -> tuple[Point, ...]:
    """The sizes with a price, from the least by the rules up; all sizes where none or one has a price.

    ``power`` [W] enters the run. What is lost has a price in array, and hours of sun, on the sun's side only.
    """
    sizes = [
        size for size in candidates(family, circuit, run) if circuit.least is None or size >= circuit.least
    ]
    priced = [size for size in sizes if run.price(size) is not None]
    sunny = circuit.array is not None
    watt, hours = (design.prices.array_watt, sun_hours(design)) if sunny else (None, None)
    points = []
    for size in priced if len(priced) > 1 else sizes:
        copper, _ = losses(family, run, size)
        loss = lost(power, copper, efficiency)
        price = run.price(size) if len(priced) > 1 else None
        total = None if price is None or watt is None else price + loss * float(watt)
        yearly = None if hours is None else loss * hours
        points.append(Point(size, run.mass(size), loss, yearly, price, total))
    return tuple(points)


def lost(power: float, copper: float, efficiency: float) -> float:
    """Of a power [W] at the source, what the copper takes [W] and then the conversion."""
    return copper + max(power - copper, 0.0) * (1 - efficiency)


def _best(levels: tuple[Level, ...]) -> tuple[float, Size] | None:
    """The level and size of the least total that the controller allows."""
    totals = [
        (point.total, level.count, point.size)
        for level in levels
        for point in level.points
        if level.allowed and point.total is not None
    ]
    return min(totals)[1:] if totals else None


def crossings_of(levels: tuple[Level, ...], priced: bool) -> tuple[Crossing, ...]:
    """Where the curves of neighbouring levels cross."""
    found = (_crossing(lower, higher, priced) for lower, higher in pairwise(levels))
    return tuple(each for each in found if each is not None)


def _crossing(lower: Level, higher: Level, priced: bool) -> Crossing | None:
    """Where straight lines between the points of two levels cross; up to there the higher one loses less."""
    one, other = (_curve(level, priced) for level in (lower, higher))
    costs = np.unique(np.concatenate([one[0], other[0]]))
    costs = costs[(costs >= max(one[0][0], other[0][0])) & (costs <= min(one[0][-1], other[0][-1]))]
    gain = np.interp(costs, *one) - np.interp(costs, *other)  # what the higher voltage saves
    for at in range(len(costs) - 1):
        if gain[at] > 0 >= gain[at + 1]:
            cost = costs[at] + (costs[at + 1] - costs[at]) * gain[at] / (gain[at] - gain[at + 1])
            return Crossing(lower.count, higher.count, float(cost), float(np.interp(cost, *one)))
    return None


def _curve(level: Level, priced: bool) -> tuple[Floats, Floats]:
    costs = [(point.price or 0.0) if priced else point.mass for point in level.points]
    order = np.argsort(costs, kind="stable")
    return np.array(costs)[order], np.array([point.loss for point in level.points])[order]
