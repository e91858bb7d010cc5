"""How each controller meets its arrays and the battery: limits, output, conversion and the nominal step."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, partial

from engine.design import Array, Controller, Design, Module
from engine.physics.controller import (
    conversion,
    current_limit,
    in_parallel,
    nominal_step,
    output_current,
)
from engine.physics.datasheet_fit import CELL_VOLTAGE
from engine.sections.limits import limits
from engine.sections.memory import Memory
from engine.sections.notes import Notes, field
from engine.sections.results import ArrayResult, Assumed, ControllerResult, Missing
from engine.tables import table

ANY_SPREAD = 1e9  # V: a limit that the maker gives without a table holds at every spread
Pairs = tuple[tuple[float, float], ...]
# What an array must have for its controller's output and short-circuit current to be known.
OUTPUT_DATA = ("module", "modules", "strings", "vmp", "imp")
SHORT_CIRCUIT_DATA = ("module", "strings", "isc")


@dataclass(frozen=True, slots=True)
class _Source:
    """One array on a controller, with its result and its module."""

    array: Array
    module: Module | None
    result: ArrayResult


_found: Memory[ControllerResult] = Memory(256)


def controllers(design: Design, arrays: Mapping[str, ArrayResult]) -> dict[str, ControllerResult]:
    """How every controller of the design meets its arrays and the battery, by its id."""
    modules = {item.id: item for item in design.modules}
    result = {}
    for controller in design.controllers:
        sources = tuple(
            _Source(item, modules.get(item.module or ""), arrays[item.id])
            for item in design.arrays
            if item.controller == controller.id and item.id in arrays
        )
        made_from = (part for each in sources for part in (each.array, each.module, each.result))
        make = partial(_controller, design, controller, sources)
        result[controller.id] = _found.recall((design.bank, controller, *made_from), make)
    return result


def _controller(design: Design, controller: Controller, sources: tuple[_Source, ...]) -> ControllerResult:
    path, bank, notes = f"controllers.{controller.id}", design.bank, Notes()
    notes.assume(path, controller, "kind")
    notes.ask("bank", bank, "voltage", "lowest_voltage", "highest_voltage")
    bounds = limits(controller, bank, notes)
    nominal = None if bank.voltage is None else float(bank.voltage)
    output_limits = limits_by_spread(controller)
    if not output_limits:
        notes.ask(path, controller, "current_limit")
    tracks = controller.use("kind") == "tracking"
    output, efficiency = (
        _tracked(controller, sources, nominal, notes) if tracks else (_direct(sources, notes), None)
    )
    return ControllerResult(
        controller=controller.id,
        label=controller.label or controller.id,
        arrays=tuple(item.array.id for item in sources),
        battery_low=None if bank.lowest_voltage is None else float(bank.lowest_voltage),
        battery_nominal=nominal,
        battery_high=None if bank.highest_voltage is None else float(bank.highest_voltage),
        start=bounds.start,
        operating=bounds.operating,
        standoff=bounds.standoff,
        standoff_battery_open=bounds.standoff_battery_open,
        output_current=_output_limit(controller, output_limits, sources, nominal, notes),
        largest_output=max((limit for _, limit in output_limits), default=None),
        array_output=output,
        array_short_circuit=_short_circuit(path, controller, sources, notes),
        limits=output_limits,
        efficiency=efficiency_by_ratio(controller),
        conversion_efficiency=efficiency,
        nominal_step=_nominal_step(sources, nominal, notes) if tracks else None,
        missing=notes.missing,
        assumed=notes.assumed,
        steps=notes.steps,
    )


def limits_by_spread(controller: Controller) -> Pairs:
    """Output current limit [A] against source less battery voltage [V]; empty where none is entered.

    Where the maker gives a table and a single limit too, the lesser counts everywhere.
    """
    flat = controller.current_limit
    if not controller.current_points:
        return () if flat is None else ((0.0, float(flat)), (ANY_SPREAD, float(flat)))
    cap = float("inf") if flat is None else float(flat)
    return tuple((float(spread), min(float(limit), cap)) for spread, limit in controller.current_points)


def efficiency_by_ratio(controller: Controller) -> Pairs:
    """Efficiency against source over battery voltage: the maker's, or the table of common practice.

    A controller that does not track passes current at the battery's voltage, without conversion.
    """
    if controller.use("kind") != "tracking":
        return ((1.0, 1.0),)
    if controller.efficiency_points:
        return tuple((float(ratio), float(share)) for ratio, share in controller.efficiency_points)
    return _usual_efficiency()


@cache
def _usual_efficiency() -> Pairs:
    rows = table("conversion_efficiency")
    return tuple(zip(rows.numbers("ratio"), rows.numbers("efficiency"), strict=True))


def _output_limit(
    controller: Controller,
    output_limits: Pairs,
    sources: tuple[_Source, ...],
    nominal: float | None,
    notes: Notes,
) -> float | None:
    """The least output limit at the arrays' standard running voltages; without arrays the table's least."""
    if not output_limits:
        return None
    if controller.current_points is None or not sources:
        return min(limit for _, limit in output_limits)
    spreads, amps = zip(*output_limits, strict=True)
    blame = field(f"controllers.{controller.id}", controller, "current_points")
    found = []
    for source in sorted(sources, key=lambda item: item.result.running_standard or 0.0):
        volts = source.result.running_standard
        if volts is None or nominal is None:
            _lack(source.result, OUTPUT_DATA, notes)
            return None
        limit = notes.work(
            "output_current",
            blame,
            current_limit,
            spread=max(volts - nominal, 0.0),
            spreads=spreads,
            limits=amps,
        )
        if limit is None:
            return None
        found.append(float(limit.current))
    return min(found)


def _tracked(
    controller: Controller, sources: tuple[_Source, ...], nominal: float | None, notes: Notes
) -> tuple[float | None, float | None]:
    """The current that the arrays' standard power could drive into the battery, and the least efficiency.

    With arrays of several voltages their best efficiency counts for the current, so that it is never taken
    too low, and their worst is shown. An array that stands below the battery drives nothing.
    """
    path = f"controllers.{controller.id}"
    if not controller.efficiency_points:
        notes.suppose(
            Assumed(
                f"{path}.efficiency_points",
                controller.specs()["efficiency_points"].title,
                "a table of common practice",
                "the maker's points are not entered",
            )
        )
    blame = field(path, controller, "efficiency_points")
    ratios, shares = zip(*efficiency_by_ratio(controller), strict=True)
    power, efficiencies = 0.0, []
    for source in sources:
        result = source.result
        volts = result.running_standard
        if result.power is None or volts is None or nominal is None:
            for item in sources:
                _lack(item.result, OUTPUT_DATA, notes)
            return None, None
        if volts < nominal:
            continue
        found = notes.work(
            "conversion",
            blame,
            conversion,
            source=volts,
            battery=nominal,
            ratios=ratios if controller.efficiency_points else None,
            efficiencies=shares if controller.efficiency_points else None,
        )
        if found is None:
            return None, None
        power += result.power * (1 + source.array.use("current_gain"))
        efficiencies.append(float(found.efficiency))
    if not efficiencies or nominal is None:
        return (0.0 if sources and nominal is not None else None), None
    driven = notes.work(
        "array_output", blame, output_current, power=power, efficiency=max(efficiencies), battery=nominal
    )
    return (None if driven is None else float(driven.current)), min(efficiencies)


def _direct(sources: tuple[_Source, ...], notes: Notes) -> float | None:
    """Without tracking the battery holds the arrays near short circuit: that current passes."""
    currents = []
    for source in sources:
        isc, strings = source.result.isc, source.result.strings
        if isc is None or strings is None:
            _lack(source.result, SHORT_CIRCUIT_DATA, notes)
            return None
        currents.append(isc * strings * (1 + source.array.use("current_gain")))
    return _sum("array_output", currents, notes)


def _short_circuit(
    path: str, controller: Controller, sources: tuple[_Source, ...], notes: Notes
) -> float | None:
    """The arrays' short-circuit currents in bright hours, as the rules count them."""
    if not sources:
        return None
    notes.ask(path, controller, "short_circuit_limit")
    currents = []
    for source in sources:
        current = source.result.array_current
        if current is None:
            _lack(source.result, SHORT_CIRCUIT_DATA, notes)
            return None
        currents.append(current)
    return _sum("array_short_circuit", currents, notes)


def _sum(name: str, currents: list[float], notes: Notes) -> float | None:
    if not currents:
        return None
    total = notes.work(name, Missing("", ""), in_parallel, currents=tuple(currents))
    return float(total.current)


def _nominal_step(sources: tuple[_Source, ...], nominal: float | None, notes: Notes) -> float | None:
    """Array nominal over battery nominal, of the array that stands lowest."""
    steps = []
    for source in sources:
        module, count = source.module, source.array.modules
        if module is None or count is None or nominal is None:
            return None
        cells = module.cells or _cells(module, notes)
        if cells is None:
            return None
        steps.append((count * cells, cells, count, module))
    if not steps or nominal is None:
        return None
    _, cells, count, module = min(steps, key=lambda item: item[0])
    blame = field(f"modules.{module.id}", module, "cells")
    found = notes.work("nominal_step", blame, nominal_step, cells=cells, modules=count, battery=nominal)
    return None if found is None else float(found.step)


def _cells(module: Module, notes: Notes) -> int | None:
    """Cells in series by the open-circuit voltage, where the data sheet's count is not entered."""
    if module.voc is None:
        return None
    cells = max(1, round(module.voc / CELL_VOLTAGE))
    missing = field(f"modules.{module.id}", module, "cells")
    notes.suppose(
        Assumed(missing.path, missing.title, str(cells), f"{CELL_VOLTAGE} V of open circuit to a cell")
    )
    return cells


def _lack(array: ArrayResult, names: tuple[str, ...], notes: Notes) -> None:
    notes.lack(*(item for item in array.missing if item.path.rpartition(".")[2] in names))
