"""The bank: what it needs and has, between which currents it is charged, what it weighs and costs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from operator import eq
from typing import Any, cast

from engine.design import Design, Load
from engine.physics.bank import BatteryCost, FloorLoad, battery_cost, battery_floor, battery_freezing
from engine.sections.bank_capacity import Capacity, capacity
from engine.sections.chemistry import Chemistry, chemistry
from engine.sections.demand import Demand
from engine.sections.housing import Housing, housing
from engine.sections.memory import Memory, Same
from engine.sections.notes import Notes
from engine.sections.notes import field as named
from engine.sections.plans.battery import (
    charging,
    dc_loads,
    discharging,
    greatest_output,
    inverter_current,
    load_current,
    surge_current,
)
from engine.sections.results import ControllerResult, Missing
from engine.sections.starting import entered, starting_factor
from engine.tables import OutsideTable, table
from engine.tables.family import Family
from engine.tables.lookup import linear
from engine.worksheet import Worked

CONTACTS = ("a relay or contactor", "the controller's load output")  # one thing that cuts many loads off
CYCLES = {True: "lead_acid_deep_cycle", False: "lifepo4"}  # by whether it is lead


@dataclass(frozen=True, slots=True)
class Currents:
    """Currents of the whole bank [A]; ``None`` where a datum of ``missing`` lacks.

    ``least`` below which lead-acid never reaches gassing; ``sources`` what sun, wind and water bring at their
    best; ``all`` with every charger at its limit, generators with them; ``drawn`` what inverters, dc loads
    and diversion loads take together, ``surge`` the same while inverters give their surge and dc loads start;
    ``cut`` what must be carried, at its start, by whatever cuts the loads off, where it is one thing, and
    ``cut_unsaid`` the same with every load a motor of which no starting factor is entered.
    """

    least: float | None = None
    sources: float | None = None
    all: float | None = None
    drawn: float | None = None
    surge: float | None = None
    cut: float | None = None
    cut_unsaid: float | None = None
    sources_missing: tuple[Missing, ...] = ()
    all_missing: tuple[Missing, ...] = ()
    drawn_missing: tuple[Missing, ...] = ()
    surge_missing: tuple[Missing, ...] = ()
    cut_missing: tuple[Missing, ...] = ()


@dataclass(frozen=True, slots=True)
class Body:
    """Mass and floor load of the bank, and its price and cost; ``None`` where not entered."""

    floor: FloorLoad | None = None
    floor_missing: tuple[Missing, ...] = ()
    price: float | None = None
    cost: BatteryCost | None = None
    steps: Mapping[str, Worked] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class BankResult:
    """All about the bank; ``freezing`` [degC] is where its electrolyte freezes at the allowed depth."""

    chemistry: Chemistry | None = None
    capacity: Capacity = Capacity()
    currents: Currents = Currents()
    body: Body = Body()
    housing: Housing = Housing()
    freezing: float | None = None
    steps: Mapping[str, Worked] = field(default_factory=dict)


_results: Memory[BankResult] = Memory(64)
_same: Same[Any] = Same(
    4
)  # most edits of a source or a load leave the bank, or most of its parts, as they were


def bank(
    design: Design, family: Family, demand: Demand, controllers: Mapping[str, ControllerResult]
) -> BankResult:
    """The bank of a design; remembered as long as what it is made from stands."""
    made_from = (
        family,
        design.bank,
        design.prices,
        design.controllers,
        design.arrays,
        design.wind,
        design.hydro,
        design.generators,
        design.diversions,
        design.inverters,
        design.loads,
        demand,
        controllers,
    )
    return _results.recall(made_from, lambda: _as_before(_bank(design, family, demand, controllers)))


def _as_before(found: BankResult) -> BankResult:
    """The result with each part the very same as before where it is equal, itself too where all are."""
    parts = {item.name: _same.of(item.name, getattr(found, item.name), eq) for item in fields(found)}
    return cast(BankResult, _same.of("", BankResult(**parts), eq))


def _bank(
    design: Design, family: Family, demand: Demand, controllers: Mapping[str, ControllerResult]
) -> BankResult:
    record, notes = design.bank, Notes()
    kind = None if record.chemistry is None else chemistry(record.chemistry)
    size = capacity(design, demand)
    currents = _currents(design, family, kind, controllers, size.capacity)
    freezing = None
    if kind is not None and kind.lead and record.depth is not None:
        found = notes.keep("freezing", battery_freezing, depth=record.depth)
        freezing = None if found is None else float(found.freezing)
    return BankResult(
        chemistry=kind,
        capacity=size,
        currents=currents,
        body=_body(design, kind, size.installed),
        housing=housing(design, None if kind is None else kind.gassing, currents.all, currents.all_missing),
        freezing=freezing,
        steps=notes.steps,
    )


def _currents(
    design: Design,
    family: Family,
    kind: Chemistry | None,
    controllers: Mapping[str, ControllerResult],
    rated: float | None,
) -> Currents:
    """Both ends of what charges the bank, and what draws on it."""
    sources, every, drawn, surge, cut = Notes(), Notes(), Notes(), Notes(), Notes()
    least = None
    if kind is not None and kind.charge_low is not None and rated is not None:
        least = kind.charge_low * rated
    together = discharging(design, family, drawn)
    return Currents(
        least=least,
        sources=_sources(design, controllers, sources),
        all=charging(design, every),
        drawn=together,
        surge=_surge(design, family, together, surge),
        cut=_cut(design, cut, entered),
        cut_unsaid=_cut(design, Notes(), starting_factor),
        sources_missing=sources.missing,
        all_missing=every.missing,
        drawn_missing=drawn.missing,
        surge_missing=(*drawn.missing, *surge.missing),
        cut_missing=cut.missing,
    )


def _surge(design: Design, family: Family, drawn: float | None, notes: Notes) -> float | None:
    """What is drawn together [A] while every inverter gives its surge and the dc loads start."""
    extra: list[float | None] = [drawn]
    for inverter in design.inverters:
        most, full = surge_current(design, inverter, notes), inverter_current(design, family, inverter, notes)
        extra.append(None if most is None or full is None else max(most - full.current, 0.0))
    for load in dc_loads(design):
        amps = load_current(design.bank, load, notes)
        extra.append(None if amps is None else amps * (starting_factor(load) - 1))
    known = [each for each in extra if each is not None]
    return sum(known) if len(known) == len(extra) else None


def _cut(design: Design, notes: Notes, factor_of: Callable[[Load], float]) -> float | None:
    """The dc loads at their start, and the inverters at theirs where they hang on the same contact [A]."""
    record = design.bank
    if record.cut_off not in CONTACTS or not notes.ask("bank", record, "lowest_voltage"):
        return None
    total = 0.0
    for load in dc_loads(design):
        drawn = load_current(record, load, notes)
        total += 0.0 if drawn is None else drawn * factor_of(load)
    if record.use("cut_off_feeds") == "dc loads and inverters":
        for inverter in design.inverters:
            total += surge_current(design, inverter, notes) or 0.0
    return None if notes.missing else total


def _sources(design: Design, controllers: Mapping[str, ControllerResult], notes: Notes) -> float | None:
    """What sun, wind and water drive into the bank at their best [A], each within its controller's limit."""
    total: float | None = 0.0
    for controller in design.controllers:
        path = f"controllers.{controller.id}"
        if controller.use("kind") == "diversion":
            continue
        limit = greatest_output(controller)
        if limit is None:
            notes.lack(named(path, controller, "current_limit"))
        brought = _brought(design, controller.id, controllers.get(controller.id), notes)
        total = None if limit is None or brought is None or total is None else total + min(limit, brought)
    return total


def _brought(design: Design, id: str, result: ControllerResult | None, notes: Notes) -> float | None:
    """What the sources on a controller could drive [A], at the nominal voltage."""
    total: float | None = 0.0
    if result is not None and result.arrays:
        total = result.array_output
        if total is None:
            notes.lack(*result.missing)
    for name in ("wind", "hydro"):
        for turbine in getattr(design, name):
            if turbine.controller != id:
                continue
            known = notes.ask(f"{name}.{turbine.id}", turbine, "rated_power")
            known = notes.ask("bank", design.bank, "voltage") and known
            if not known or total is None or design.bank.voltage is None:
                total = None
            else:
                total += float(turbine.rated_power) / float(design.bank.voltage)
    return total


def _body(design: Design, kind: Chemistry | None, installed: float | None) -> Body:
    """What the blocks weigh, press and cost."""
    record, notes = design.bank, Notes()
    if record.series is None or record.strings is None:
        return Body()
    blocks, floor = record.series * record.strings, None
    names = ("block_mass", "block_length", "block_width")
    if notes.ask("bank", record, *names):
        floor = notes.keep(
            "floor",
            battery_floor,
            blocks=blocks,
            block_mass=record.block_mass,
            block_length=record.block_length,
            block_width=record.block_width,
            tiers=record.use("tiers"),
        )
    price = None
    if record.block_price is not None:
        price = float(record.block_price) * blocks
    elif design.prices.stored_kwh is not None and installed is not None:
        price = float(design.prices.stored_kwh) * installed / 1000
    cycles, cost = _cycles(kind, record.depth), None
    if price is not None and installed and cycles is not None and record.depth is not None:
        cost = notes.keep(
            "cost", battery_cost, price=price, energy=installed, depth=record.depth, cycles=cycles
        )
    return Body(floor, notes.missing, price, cost, notes.steps)


def _cycles(kind: Chemistry | None, depth: float | None) -> float | None:
    """Cycles at a depth by the indicative table; ``None`` where it does not reach."""
    if kind is None or depth is None:
        return None
    try:
        return linear(table("cycle_life_vs_dod"), "dod_pct", 100 * float(depth), CYCLES[kind.lead])
    except OutsideTable:
        return None
