"""The arrays at the conditions of looking: each curve, and the point where its controller holds it.

Curves come from the one-diode model and serve pictures and energy; no rating is ever taken from them. They
show clean arrays without the losses of the design, so that a slider shows what the sun itself does.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np

from engine.design import Array, Controller, Design, Module
from engine.physics.datasheet_fit import fit
from engine.physics.mpp import max_power
from engine.physics.onediode import curve, in_array, translate
from engine.sections.datasheet import sheet_of
from engine.sections.memory import Memory
from engine.sections.results import ArrayLook, ArrayResult, Conditions, ControllerResult, Floats
from engine.units import show
from engine.worksheet import CannotCalculate

EMPTY: Floats = np.zeros(0)
EMPTY.flags.writeable = False

_groups: Memory[dict[str, ArrayLook]] = Memory(256)


@dataclass(frozen=True, slots=True)
class Curve:
    """A source's curve at the conditions and the corner points on it."""

    array: str
    volts: Floats
    amps: Floats
    open_voltage: float
    best_voltage: float
    best_current: float

    def at(self, voltage: float) -> float:
        """Current [A] at a voltage [V]; none flows back above open circuit."""
        return float(np.interp(voltage, self.volts, self.amps, right=0.0))


@dataclass(frozen=True, slots=True)
class Held:
    """The one source voltage at which a controller holds its arrays, and the current into the battery."""

    voltage: float | None  # None: each array stands at its own open circuit
    output: float
    state: str
    why: str


def look(
    design: Design,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
    conditions: Conditions,
    array_id: str,
) -> ArrayLook:
    """One array at the conditions; arrays that share its controller are reckoned along, on one voltage."""
    target = arrays[array_id].controller
    mates = tuple(item for item in design.arrays if target is not None and _on(item, target))
    mates = mates or tuple(item for item in design.arrays if item.id == array_id)
    return _group(design, controllers, conditions, target, mates)[array_id]


def look_all(
    design: Design,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
    conditions: Conditions,
) -> dict[str, ArrayLook]:
    """Every array of the design at the conditions, by its id."""
    found: dict[str, ArrayLook] = {}
    for array in design.arrays:
        if array.id not in found and array.id in arrays:
            target = arrays[array.id].controller
            mates = tuple(item for item in design.arrays if target is not None and _on(item, target))
            found |= _group(design, controllers, conditions, target, mates or (array,))
    return found


def battery_range(design: Design) -> tuple[float, float]:
    """The battery voltages to look at [V]: the bank's own ends, else about its nominal voltage."""
    bank = design.bank
    nominal = float(bank.voltage or 48.0)
    return float(bank.lowest_voltage or 0.85 * nominal), float(bank.highest_voltage or 1.3 * nominal)


def _on(array: Array, controller: str) -> bool:
    return array.controller == controller


def _group(
    design: Design,
    controllers: Mapping[str, ControllerResult],
    conditions: Conditions,
    target: str | None,
    mates: tuple[Array, ...],
) -> dict[str, ArrayLook]:
    """The looks of the arrays that share one controller, kept as long as what they are made from stands."""
    record, result = design.find("controllers", target), controllers.get(target or "")
    modules = (design.find("modules", item.module) for item in mates)
    light = _light(conditions.cell, conditions.irradiance, conditions.battery)
    made_from = (design.about, light, record, result, *mates, *modules)
    return _groups.recall(made_from, partial(_looked_at, design, controllers, conditions, target, mates))


@lru_cache(maxsize=256)
def _light(*of_conditions: float) -> tuple[float, ...]:
    """The same object for equal conditions, so that the memory knows it."""
    return of_conditions


def _looked_at(
    design: Design,
    controllers: Mapping[str, ControllerResult],
    conditions: Conditions,
    target: str | None,
    mates: tuple[Array, ...],
) -> dict[str, ArrayLook]:
    found: dict[str, ArrayLook] = {}
    curves: list[Curve] = []
    for array in mates:
        drawn = _curve(design, array, conditions)
        if isinstance(drawn, str):
            found[array.id] = _without_curve(array.id, drawn)
        else:
            curves.append(drawn)
    record = next((item for item in design.controllers if item.id == target), None)
    result = controllers.get(target or "")
    if not curves:
        return found
    if len(curves) < len(mates):
        held = Held(None, 0.0, "no curve", "another array on this controller has no curve")
    elif record is None or result is None:
        held = Held(None, 0.0, "no controller", "no controller chosen")
    else:
        held = _hold(design, record, result, conditions, curves)
    return found | _looks(curves, held)


def _looks(curves: list[Curve], held: Held) -> dict[str, ArrayLook]:
    currents = {
        item.array: item.best_current
        if held.voltage == item.best_voltage
        else item.at(held.voltage)
        if held.voltage is not None
        else 0.0
        for item in curves
    }
    total = sum(currents.values())
    return {
        item.array: ArrayLook(
            array=item.array,
            volts=item.volts,
            amps=item.amps,
            watts=item.volts * item.amps,
            open_voltage=item.open_voltage,
            best_voltage=item.best_voltage,
            best_current=item.best_current,
            best_power=item.best_voltage * item.best_current,
            voltage=item.open_voltage if held.voltage is None else held.voltage,
            current=currents[item.array],
            power=(held.voltage or 0.0) * currents[item.array],
            output_current=held.output * currents[item.array] / total if total else 0.0,
            state=held.state,
            why=held.why,
        )
        for item in curves
    }


def _without_curve(array: str, why: str) -> ArrayLook:
    return ArrayLook(array, EMPTY, EMPTY, EMPTY, *(0.0,) * 8, state="no curve", why=why)


def _curve(design: Design, array: Array, conditions: Conditions) -> Curve | str:
    """The curve of an array at the conditions, or why there is none."""
    module = next((item for item in design.modules if item.id == array.module), None)
    lacking = _lacking(array, module)
    if lacking or module is None:
        return f"enter {lacking}"
    sheet, strings, modules = sheet_of(module), array.strings or 1, array.modules or 1
    found = fit(
        voc=module.voc or 0.0,
        isc=module.isc or 0.0,
        vmp=module.vmp or 0.0,
        imp=module.imp or 0.0,
        beta_voc=sheet.beta_voc or 0.0,
        alpha_isc=sheet.alpha,
        cells=module.cells,
    )
    if found.module is None:
        return found.reason
    try:
        one = translate(found.module, max(conditions.irradiance, 0.0), conditions.cell)
    except CannotCalculate as error:
        return f"no curve at {error.got}"
    whole = in_array(one, modules, strings)
    drawn = curve(whole)
    best = max_power(whole)
    return Curve(
        array.id,
        drawn.voltage,
        drawn.current,
        float(drawn.voltage[-1]),
        float(best.voltage),
        float(best.current),
    )


def _lacking(array: Array, module: Module | None) -> str:
    """The titles of the data that a curve needs and does not have."""
    names = [array.specs()[name].title for name in ("modules", "strings") if getattr(array, name) is None]
    if module is None:
        names.insert(0, array.specs()["module"].title)
    else:
        wanted = ("voc", "isc", "vmp", "imp", "beta_voc")
        names += [module.specs()[name].title for name in wanted if getattr(module, name) is None]
    return ", ".join(name[:1].lower() + name[1:] for name in names)


def _hold(
    design: Design,
    record: Controller,
    result: ControllerResult,
    conditions: Conditions,
    curves: list[Curve],
) -> Held:
    """Where a controller holds its arrays: at their best, at its limit, or not at all."""
    habit = str(design.about.use("units"))
    battery = conditions.battery
    highest = max(item.open_voltage for item in curves)
    if highest <= 0 or conditions.irradiance <= 0:
        return Held(None, 0.0, "dark", "no light")
    if battery <= 0:
        return Held(None, 0.0, "below start", "no battery voltage to start on")
    if result.operating is not None and highest > result.operating:
        limit = show(result.operating, "V", habit)
        why = f"{show(highest, 'V', habit)} at open circuit, it works up to {limit}: it waits"
        return Held(None, 0.0, "lock-out", why)
    start = max(battery + (record.start_above_battery or 0.0), record.start_voltage or 0.0)
    if highest < start:
        why = f"{show(highest, 'V', habit)} at open circuit, it starts at {show(start, 'V', habit)}"
        return Held(None, 0.0, "below start", why)
    if record.use("kind") != "tracking":
        return _direct(result, curves, battery, habit)
    return tracked(record, result, curves, battery, habit)


def _direct(result: ControllerResult, curves: list[Curve], battery: float, habit: str) -> Held:
    """Without tracking: at the battery's voltage, up to the output limit, which is kept by switching."""
    current = sum(item.at(battery) for item in curves)
    limit = min((amps for _, amps in result.limits), default=None)
    if limit is not None and current > limit:
        return Held(battery, limit, "current limit", f"held to {show(limit, 'A', habit)}")
    return Held(battery, current, "direct", "held at the battery's voltage")


def tracked(
    record: Controller, result: ControllerResult, curves: list[Curve], battery: float, habit: str
) -> Held:
    """At the maximum of all its arrays together, moved up the curve where a current limit asks for it.

    Up there the source gives less current at more volts. Where the maker's table of limits or efficiencies
    ends, its last value is drawn on; the sections do not, and call the limit unknown there.
    """
    tallest = max(curves, key=lambda item: item.open_voltage)
    best = _best_voltage(curves, tallest)
    point = max(best, battery)
    volts = np.append(point, tallest.volts[tallest.volts > point])
    amps = _together(curves, volts)
    if all(item.best_voltage == point for item in curves):
        amps[0] = sum(item.best_current for item in curves)
    ratios, shares = zip(*result.efficiency, strict=True) if result.efficiency else ((1.0,), (1.0,))
    output = volts * amps * np.interp(volts / battery, ratios, shares) / battery
    room = np.full_like(volts, np.inf)
    if result.limits:
        spreads, limits = zip(*result.limits, strict=True)
        room = np.interp(volts - battery, spreads, limits) - output
    if record.input_current_limit is not None:
        room = np.minimum(room, record.input_current_limit - amps)
    if room[0] >= 0:
        why = "at maximum power" if point == best else "held at the battery's voltage"
        return Held(point, float(output[0]), "tracking", why)
    fits = np.flatnonzero(room >= 0)
    if not fits.size:
        return Held(None, 0.0, "current limit", "no current is allowed at this voltage")
    first = int(fits[0])
    share = room[first - 1] / (room[first - 1] - room[first])
    voltage = float(volts[first - 1] + share * (volts[first] - volts[first - 1]))
    current = float(np.interp(voltage, volts, output))
    return Held(voltage, current, "current limit", f"held to {show(current, 'A', habit)} into the battery")


def _best_voltage(curves: list[Curve], tallest: Curve) -> float:
    """The voltage at which arrays in parallel give most; that of the one, where they agree."""
    first = curves[0].best_voltage
    if all(abs(item.best_voltage - first) <= 1e-9 * first for item in curves):
        return first
    total = _together(curves, tallest.volts)
    return float(tallest.volts[int(np.argmax(tallest.volts * total))])


def _together(curves: list[Curve], volts: Floats) -> Floats:
    """The current of arrays in parallel [A] at each voltage [V]; none of them takes current back."""
    total = np.zeros_like(volts)
    for item in curves:
        total += np.interp(volts, item.volts, item.amps, right=0.0)
    return total
