"""Charge set points of the bank: each stage at 25 degC and at the battery's coldest and hottest.

What the maker's sheet gives is entered; a stage that nobody entered has the usual value of its chemistry, and
says so. The highest voltage that a charger ever drives the bus to follows from them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache

from engine.design import Bank, Controller, Design
from engine.physics.battery import charge_setpoint
from engine.sections.memory import Memory
from engine.sections.notes import Notes
from engine.sections.notes import field as field_of
from engine.sections.results import Assumed, Missing
from engine.sources import Source
from engine.tables import table
from engine.tables.lookup import exact
from engine.units import show
from engine.worksheet import Worked

LEAD = ("flooded", "agm", "gel")
SEALED = ("agm", "gel")
LITHIUM = "lithium iron phosphate"
STAGES = ("absorption", "float", "equalize")
FIELDS = {"absorption": "absorption", "float": "float_voltage", "equalize": "equalize"}
PLAIN = "constant voltage / PWM"
CELL = {"lead": 2.0, LITHIUM: 3.2}  # V, nominal (from memory; the trade's own figures)
NEAR = 0.02  # how far a nominal voltage may be from a whole number of cells, relative


@dataclass(frozen=True, slots=True)
class Stage:
    """One set point: of a cell and of the bank at 25 degC [V], of the bank at the battery's coldest and
    hottest [V], ``None`` where those are not known. ``source`` says where a ``default`` is from; ``path``
    is its field."""

    name: str
    per_cell: float
    volts: float
    cold: float | None
    hot: float | None
    default: bool
    path: str
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class Charging:
    """The set points of the bank; ``None`` where a datum is missing.

    ``coldest`` and ``hottest`` [degC] are what the chargers' sensors can read, ``None`` where that is not
    known and matters. ``compensation`` [V/K a cell] is the one in effect: none where no charger has a sensor.
    ``highest`` [V] is the most that any stage is set to, the chargers' own settings with it, and
    ``highest_stage`` names its step (``<name>_cold``); ``lowest`` [V] is the least. ``end_current`` [A] and
    ``absorption_time`` [h] end absorption. ``chargers`` are the ids of the controllers that charge.
    """

    chemistry: str | None = None
    cells: int | None = None
    nominal: float | None = None
    capacity: float | None = None
    stages: tuple[Stage, ...] = ()
    compensation: float | None = None
    slope: float | None = None
    clamp_low: float | None = None
    clamp_high: float | None = None
    coldest: float | None = None
    hottest: float | None = None
    highest: float | None = None
    highest_stage: str = ""
    lowest: float | None = None
    absorption_time: float | None = None
    end_current: float | None = None
    equalize_hours: float | None = None
    chargers: tuple[str, ...] = ()
    missing: tuple[Missing, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)

    def stage(self, name: str) -> Stage | None:
        """A stage by name, ``None`` where the bank has none such."""
        return next((stage for stage in self.stages if stage.name == name), None)

    @property
    def lead(self) -> bool:
        return self.chemistry in LEAD


_found: Memory[Charging] = Memory(64)


def charging(design: Design) -> Charging:
    """The set points of a design; the same object as long as what they rest on stays."""
    made_from = (design.site, design.bank, design.controllers, design.arrays, design.wind, design.hydro)
    return _found.recall(made_from, lambda: _charging(design))


def chargers(design: Design) -> tuple[Controller, ...]:
    """The controllers that charge the bank from a source."""
    sources = (*design.arrays, *design.wind, *design.hydro)
    used = {getattr(item, "controller", None) for item in sources}
    return tuple(item for item in design.controllers if item.id in used and item.use("kind") != "diversion")


@cache
def usual(chemistry: str, column: str) -> float | None:
    """A figure of the table of stages, ``None`` where the chemistry has none."""
    rows = {str(row["chemistry"]): row for row in table("charge_stages").rows()}
    cell = rows[chemistry][column]
    return cell if isinstance(cell, float) else None


@cache
def default_of(chemistry: str, stage: str) -> tuple[float, Source] | None:
    """The usual set point of a cell at 25 degC [V], and its source; ``None`` for a stage that it has not.

    Of flooded cells absorption and equalize are what lead-antimony and lead-calcium both stand.
    """
    stages, lead, lithium = (
        table(name) for name in ("charge_stages", "charge_setpoints_leadacid", "lifepo4_reference")
    )
    if stage == "float":
        return exact(stages, "chemistry", chemistry, "float"), stages.source
    rows = {(str(row["battery"]), str(row["regulation"])): row for row in lead.rows()}
    place = {
        ("flooded", "absorption"): ("flooded lead-antimony", "v_cell_min"),
        ("flooded", "equalize"): ("flooded lead-calcium", "equalize_cell_max"),
        ("agm", "absorption"): ("sealed (gel/AGM)", "v_cell_max"),
        ("gel", "absorption"): ("sealed (gel/AGM)", "v_cell_max"),
    }.get((chemistry, stage))
    if place is not None:
        return float(str(rows[place[0], PLAIN][place[1]])), lead.source
    if chemistry == LITHIUM and stage == "absorption":
        return exact(lithium, "quantity", "absorption (long-life)", "value"), lithium.source
    return None


def _charging(design: Design) -> Charging:
    bank, notes = design.bank, Notes()
    charging = chargers(design)
    ids = tuple(item.id for item in charging)
    notes.ask("bank", bank, "chemistry", "voltage")
    if bank.chemistry is None or bank.voltage is None:
        return Charging(bank.chemistry, chargers=ids, missing=notes.missing)
    chemistry, cells = bank.chemistry, cells_of(bank, notes)
    capacity = None
    if bank.block_capacity is not None and bank.strings is not None:
        capacity = float(bank.block_capacity) * bank.strings
    if cells is None:
        return Charging(chemistry, chargers=ids, capacity=capacity, missing=notes.missing)
    slope = _taken(bank, "compensation", usual(chemistry, "compensation"), "V/K", notes)
    blind = bool(charging) and all(item.sensor == "none" for item in charging)
    compensation = 0.0 if blind else slope
    coldest, hottest = _temperatures(design, charging, compensation, notes)
    clamps = tuple(None if value is None else float(value) for value in (bank.clamp_low, bank.clamp_high))
    stages = tuple(_stages(bank, chemistry, cells, compensation or 0.0, (coldest, hottest), clamps, notes))
    highest, highest_stage = None, ""
    if stages and all(stage.cold is not None for stage in stages):
        colds = [(stage.cold or 0.0, stage.name) for stage in stages]
        own = _own_points(design, cells, compensation or 0.0, coldest, clamps, notes)
        highest, highest_stage = max([*colds, *own])
    hots = [stage.hot for stage in stages if stage.hot is not None]
    share = usual(chemistry, "end_share") or 0.0
    end = None if capacity is None else share * capacity
    return Charging(
        chemistry=chemistry,
        cells=cells,
        nominal=float(bank.voltage),
        capacity=capacity,
        stages=stages,
        compensation=compensation,
        slope=slope,
        clamp_low=clamps[0],
        clamp_high=clamps[1],
        coldest=coldest,
        hottest=hottest,
        highest=highest,
        highest_stage=highest_stage,
        lowest=min(hots) if len(hots) == len(stages) and hots else None,
        absorption_time=_taken(bank, "absorption_time", usual(chemistry, "hours"), "h", notes),
        end_current=_taken(bank, "end_current", end, "A", notes),
        equalize_hours=_taken(bank, "equalize_hours", usual(chemistry, "equalize_hours"), "h", notes),
        chargers=ids,
        missing=notes.missing,
        assumed=notes.assumed,
        steps=notes.steps,
    )


def cells_of(bank: Bank, notes: Notes) -> int | None:
    """Cells in series: as entered, else by the nominal voltage where that leaves no doubt.

    Lithium banks of fifteen and of sixteen cells are both called 48 V: only multiples of four are taken.
    """
    if bank.cells is not None:
        return bank.cells
    lithium = bank.chemistry == LITHIUM
    count = float(bank.voltage or 0.0) / CELL[LITHIUM if lithium else "lead"]
    whole = round(count)
    if whole < 1 or abs(count - whole) > NEAR * count or (lithium and whole % 4):
        notes.ask("bank", bank, "cells")
        return None
    notes.suppose(Assumed("bank.cells", Bank.specs()["cells"].title, str(whole), "by the nominal voltage"))
    return whole


def _taken(bank: Bank, name: str, usual: float | None, unit: str, notes: Notes) -> float | None:
    """A field of the bank, else what is usual, which is noted."""
    entered = getattr(bank, name)
    if entered is not None:
        return float(entered)
    if usual is not None:
        title, why = Bank.specs()[name].title, "usual for the chemistry"
        notes.suppose(Assumed(f"bank.{name}", title, show(usual, unit), why))
    return usual


def _temperatures(
    design: Design, charging: tuple[Controller, ...], compensation: float | None, notes: Notes
) -> tuple[float | None, float | None]:
    """What the chargers can take for the battery's coldest and hottest [degC]: a sensor in a controller reads
    the controller's place, taken as no milder than the open air."""
    bank, site = design.bank, design.site
    if not compensation:
        named = (bank.lowest_temperature, bank.highest_temperature)
        return (25.0 if named[0] is None else float(named[0]), 25.0 if named[1] is None else float(named[1]))
    known = notes.ask("bank", bank, "lowest_temperature", "highest_temperature")
    lows, highs = [bank.lowest_temperature], [bank.highest_temperature]
    if any(item.sensor == "in the controller" for item in charging):
        known = notes.ask("site", site, "design_low", "design_high") and known
        lows, highs = [*lows, site.design_low], [*highs, site.design_high]
    if not known:
        return None, None
    return min(float(low) for low in lows if low is not None), max(
        float(high) for high in highs if high is not None
    )


def _own_points(
    design: Design,
    cells: int,
    coefficient: float,
    coldest: float | None,
    clamps: tuple[float | None, ...],
    notes: Notes,
) -> list[tuple[float, str]]:
    """What the controllers that are set by themselves go to at the coldest [V], diversion controllers too,
    and which and when. A clamp of the bank's does not hold what one is set to above it."""
    found = []
    for item in design.controllers:
        for name in STAGES:
            volts = getattr(item, FIELDS[name])
            if volts is None or coldest is None:
                continue
            per_cell = float(volts) / cells
            point = notes.keep(
                f"{item.id}_{name}_cold",
                charge_setpoint,
                per_cell=per_cell,
                cells=cells,
                coefficient=coefficient,
                temperature=coldest,
                minimum=clamps[0],
                maximum=None if clamps[1] is None else max(clamps[1], per_cell),
            )
            if point is not None:
                found.append((float(point.voltage), f"{item.id}_{name}"))
    return found


def _stages(
    bank: Bank,
    chemistry: str,
    cells: int,
    coefficient: float,
    ends: tuple[float | None, float | None],
    clamps: tuple[float | None, ...],
    notes: Notes,
) -> list[Stage]:
    found = []
    for name in STAGES:
        path, entered = FIELDS[name], getattr(bank, FIELDS[name])
        usual_point = default_of(chemistry, name) if entered is None else None
        if entered is None and usual_point is None:
            continue
        per_cell, source = (float(entered), None) if usual_point is None else usual_point
        if entered is None:
            title = Bank.specs()[path].title
            notes.suppose(
                Assumed(f"bank.{path}", title, show(per_cell, "V"), "usual for the chemistry at 25 °C")
            )
        points = []
        for end, temperature in zip(("cold", "hot"), ends, strict=True):
            point = None
            if temperature is not None:
                point = notes.work(
                    f"{name}_{end}",
                    field_of("bank", bank, "clamp_low"),
                    charge_setpoint,
                    per_cell=per_cell,
                    cells=cells,
                    coefficient=coefficient,
                    temperature=temperature,
                    minimum=clamps[0],
                    maximum=clamps[1],
                )
            points.append(point)
        cold, hot = points
        found.append(
            Stage(
                name=name,
                per_cell=per_cell,
                volts=per_cell * cells,
                cold=None if cold is None else float(cold.voltage),
                hot=None if hot is None else float(hot.voltage),
                default=entered is None,
                path=f"bank.{path}",
                source=source,
            )
        )
    return found
