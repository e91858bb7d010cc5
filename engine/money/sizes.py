"""The sizes of one run against each other: metal, price, drop, watts lost, and where the next watt is dear.

A price is that of the conductors alone, there and back and all in parallel: raceway, earthing conductor,
lugs and labour are left out. Losses are those at running current; over a year they are less than that times
the hours of full sun, because they fall with the square of the current.
"""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from itertools import pairwise

from engine.design import Design
from engine.evaluation import Evaluation
from engine.physics.wire import power_sizes, voltage_drop
from engine.physics.wire_saving import WireSaving, wire_saving
from engine.sections import circuits as circuit_section
from engine.sections.results import CircuitResult, Missing
from engine.sections.sizing import WORKING_TEMPERATURE
from engine.sizes import Size
from engine.tables.family import Family
from engine.worksheet import Worked, work

DENSITY = {"copper": 8.96e-3, "aluminium": 2.70e-3}  # kg/(m mm2): 8.96 and 2.70 g/cm3 (from memory)
DAYS = (31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0)
MOST = 8  # sizes side by side
BEYOND = 2  # sizes shown above the chosen one, priced or not


@dataclass(frozen=True, slots=True)
class Option:
    """One size for the whole run.

    ``mass`` [kg] of metal, ``loss`` [W] at running current, ``fraction`` its drop over the running voltage.
    ``price`` in the designer's money, ``None`` where none was entered; ``step`` what each watt costs that it
    saves over the next smaller size with a price; ``total`` its price with the loss made good by array.
    ``yearly`` [Wh] is the most that the loss comes to in a year, where the sun drives it and its hours are
    known. ``carries`` is false below the least size by the rules.
    """

    size: Size
    mass: float
    loss: float
    fraction: float
    price: float | None = None
    step: float | None = None
    total: float | None = None
    yearly: float | None = None
    carries: bool = True


@dataclass(frozen=True, slots=True)
class Money:
    """The options of a circuit, small to large; ``chosen`` as the design has it, ``best`` by money alone.

    ``watt`` is the price of a watt of array, ``hours`` [h] of full sun in a year drive it. Without ``best``,
    ``why`` says why and ``missing`` what to enter. Where there are ``abreast`` strings, all are counted.
    """

    circuit: str
    options: tuple[Option, ...] = ()
    chosen: Size | None = None
    best: Size | None = None
    watt: float | None = None
    hours: float | None = None
    missing: tuple[Missing, ...] = ()
    why: str = ""
    steps: tuple[Worked, ...] = ()
    abreast: int = 1


@dataclass(frozen=True, slots=True)
class Run:
    """What the losses of a circuit go by: ``length`` [m] one way, ``current`` [A] and ``voltage`` [V] as it
    runs, ``conductors`` there and back, ``parallel`` of each, and the price of a metre of each size [mm²].
    ``abreast`` circuits are alike: every string of an array, or of the bank."""

    length: float
    current: float
    voltage: float
    conductors: int
    parallel: int
    material: str
    prices: dict[float, float]
    abreast: int = 1

    def mass(self, size: Size) -> float:
        """The metal of the run [kg]."""
        return DENSITY[self.material] * size.area_mm2 * self.metres

    def price(self, size: Size) -> float | None:
        """The price of the whole run."""
        metre = self.prices.get(size.area_mm2)
        return None if metre is None else metre * self.metres

    @property
    def metres(self) -> float:
        """Metres of conductor in all."""
        return self.length * self.conductors * self.alike

    @property
    def alike(self) -> int:
        """Conductors side by side that each carry a share of the current."""
        return self.parallel * self.abreast


def money(evaluation: Evaluation, id: str) -> Money | None:
    """The sizes of a circuit against each other; ``None`` for an unknown circuit."""
    circuit = evaluation.circuits.get(id)
    if circuit is None:
        return None
    run = run_of(evaluation.design, circuit)
    if run is None or circuit.conductor is None:
        return Money(id, missing=circuit.missing, why="Length, current and conductor have to be known first.")
    sizes = candidates(evaluation.family, circuit, run)
    least = circuit.least or circuit.conductor
    valued = on_sun_side(evaluation, circuit)
    watt = evaluation.design.prices.array_watt
    priced = tuple(size for size in sizes if size >= least and run.price(size) is not None)
    saving = _saving(evaluation, run, priced, float(watt) if watt is not None and valued else None)
    hours = sun_hours(evaluation.design) if valued else None
    return Money(
        circuit=id,
        options=_options(evaluation, run, sizes, least, priced, saving, hours),
        chosen=circuit.conductor,
        best=None if saving is None or len(priced) < 2 else saving.result.best,
        watt=None if watt is None else float(watt),
        hours=hours,
        missing=_missing(evaluation.design, circuit, priced, valued),
        why=_why(priced, watt is not None, valued),
        steps=() if saving is None else (saving,),
        abreast=run.abreast,
    )


def run_of(design: Design, circuit: CircuitResult) -> Run | None:
    """What a circuit's losses go by; ``None`` where a datum is missing."""
    length, current, voltage = circuit.length, circuit.running_current, circuit.running_voltage
    if length is None or current is None or voltage is None or current <= 0:
        return None
    material = str(design.circuit(circuit.id).use("material"))
    prices = {
        wire.size.area_mm2: float(wire.price)
        for wire in design.wires
        if wire.size is not None and wire.price is not None and wire.use("material") == material
    }
    conductors = 3 if circuit.phases == 3 else 2
    abreast = _abreast(design, circuit)
    return Run(length, current, voltage, conductors, circuit.parallel, material, prices, abreast)


def _abreast(design: Design, circuit: CircuitResult) -> int:
    """How many circuits there are of this kind: one a string."""
    if circuit.kind not in ("string", "bank"):
        return 1
    owner = design.bank if circuit.kind == "bank" else design.find("arrays", circuit.array)
    return max(1, int(getattr(owner, "strings", None) or 1))


def candidates(family: Family, circuit: CircuitResult, run: Run) -> tuple[Size, ...]:
    """The sizes to hold against each other: from the least by the rules, or a fixed one below it, up to the
    largest with a price, and a few above the chosen one in any case."""
    ends = [size for size in (circuit.least, circuit.conductor) if size is not None]
    known = [size for size in power_sizes(family, run.material) if size >= min(ends)]
    above = [size for size in known if size >= max(ends)]
    last = max([*above[: BEYOND + 1], *(size for size in known if run.price(size) is not None)], default=None)
    picked = [size for size in known if last is not None and size <= last]
    while len(picked) > MOST:  # what has no price goes first, then the largest; never what is chosen
        others = [size for size in picked if size not in ends]
        spare = [size for size in others if run.price(size) is None] or others
        picked.remove(spare[-1])
    return tuple(picked)


def on_sun_side(evaluation: Evaluation, circuit: CircuitResult) -> bool:
    """Whether a watt saved in the circuit stands in for a watt of array."""
    controller = evaluation.controllers.get(circuit.controller or "")
    return circuit.array is not None or (controller is not None and bool(controller.arrays))


def sun_hours(design: Design) -> float | None:
    """Hours of full sun (1000 W/m²) in a year on level ground [h], by the sun of the months."""
    sun = design.site.sun
    if sun is None:
        return None
    return sum(days * float(day) for days, day in zip(DAYS, sun, strict=True)) / 1000


def with_size(evaluation: Evaluation, id: str, size: Size) -> CircuitResult:
    """The same circuit with another size of conductor, as if the designer had fixed it."""
    design = pinned(evaluation.design, id, size)
    found = circuit_section.circuits(design, evaluation.family, evaluation.arrays, evaluation.controllers)
    return found[id]


def pinned(design: Design, id: str, size: Size | None) -> Design:
    """A design with the conductor of a circuit fixed, or let go."""
    record = dataclasses.replace(design.circuit(id), size=size)
    return dataclasses.replace(
        design, circuits=(*(item for item in design.circuits if item.id != id), record)
    )


def _missing(
    design: Design, circuit: CircuitResult, priced: tuple[Size, ...], valued: bool
) -> tuple[Missing, ...]:
    """What to enter before money can decide: the chosen size's price, one more, and that of array."""
    lacking = []
    chosen = circuit.conductor
    if chosen is not None and chosen not in priced and (circuit.least is None or chosen >= circuit.least):
        lacking.append(Missing(_wire_path(design, chosen), f"Price a metre of {chosen.text}"))
    if not [size for size in priced if size != chosen]:
        lacking.append(Missing("wires", "Price a metre of another size"))
    if valued and design.prices.array_watt is None:
        lacking.append(Missing("prices.array_watt", design.prices.specs()["array_watt"].title))
    return tuple(lacking)


def _wire_path(design: Design, size: Size) -> str:
    """Where a size's price is entered: its record, where there is one."""
    found = (
        wire.id for wire in design.wires if wire.size is not None and wire.size.area_mm2 == size.area_mm2
    )
    return next((f"wires.{id}.price" for id in found), "wires")


def _why(priced: tuple[Size, ...], watt: bool, valued: bool) -> str:
    """Why money does not decide; empty where it does."""
    if not valued:
        return "Not known for how many hours it carries this current: a watt lost here has no price."
    if len(priced) < 2:
        return "Two sizes that carry the current need a price."
    return "" if watt else "A watt of array needs a price."


def _saving(evaluation: Evaluation, run: Run, priced: tuple[Size, ...], watt: float | None) -> Worked | None:
    """One of the conductors alike: its watts and prices are a share of the run's, their ratio the same."""
    if not priced:
        return None
    return work(
        wire_saving,
        current=run.current / run.parallel,
        length=run.length,
        voltage=run.voltage,
        sizes=priced,
        prices=tuple((run.price(size) or 0.0) / run.alike for size in priced),
        watt=watt,
        conductors=run.conductors,
        temperature=WORKING_TEMPERATURE,
        material=run.material,
        rules=evaluation.family,
    )


def _options(
    evaluation: Evaluation,
    run: Run,
    sizes: tuple[Size, ...],
    least: Size,
    priced: tuple[Size, ...],
    saving: Worked | None,
    hours: float | None,
) -> tuple[Option, ...]:
    steps: dict[Size, float] = {}
    totals: dict[Size, float] = {}
    if saving is not None:
        result: WireSaving = saving.result
        steps = {size: step for (_, size), step in zip(pairwise(priced), result.price_per_watt, strict=True)}
        totals = dict(zip(priced, (each * run.alike for each in result.totals or ()), strict=False))
    options = []
    for size in sizes:
        loss, fraction = losses(evaluation.family, run, size)
        options.append(
            Option(
                size=size,
                mass=run.mass(size),
                loss=loss,
                fraction=fraction,
                price=run.price(size),
                step=steps.get(size),
                total=totals.get(size),
                yearly=None if hours is None else loss * hours,
                carries=size >= least,
            )
        )
    return tuple(options)


def losses(family: Family, run: Run, size: Size) -> tuple[float, float]:
    """Watts lost in the whole run, all that are alike together, and the drop over the running voltage."""
    found = voltage_drop(
        length=run.length,
        current=run.current / run.parallel,
        voltage=run.voltage,
        size=size,
        conductors=run.conductors,
        material=run.material,
        temperature=WORKING_TEMPERATURE,
        rules=family,
    )
    return float(found.loss) * run.alike, float(found.fraction)
