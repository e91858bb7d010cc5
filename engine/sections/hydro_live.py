"""A hydro turbine at the conditions of looking: its curve, and where its controller holds it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from engine.design import Controller, Design, HydroTurbine, label
from engine.physics.hydro_turbine import TurbineLine
from engine.physics.penstock import NetHead, net_head
from engine.sections import ladder
from engine.sections.hydro import HydroResult
from engine.sections.live import EMPTY, Curve, Held, tracked
from engine.sections.results import (
    ArrayLook,
    CircuitResult,
    Conditions,
    ControllerResult,
    Lane,
    Mark,
    Span,
)
from engine.units import show
from engine.worksheet import CannotCalculate

PLACES = 200  # points of the drawn curve
RUNS_BY = 1.02  # times what the nozzles pass: less is a rounded flow, and not told


def look(
    design: Design,
    result: HydroResult,
    controllers: Mapping[str, ControllerResult],
    conditions: Conditions,
    habit: str,
) -> ArrayLook:
    """A turbine at the flow and the battery voltage of the conditions.

    Its state is one of an array's, or ``dry`` where no water comes. More water than its nozzles pass runs by.
    """
    machine, wet = result.machine, result.water
    if machine is None:
        lacking = ", ".join(item.title[:1].lower() + item.title[1:] for item in result.missing)
        return _bare(result.turbine, "no curve", f"enter {lacking}")
    most = np.inf if wet.nozzle is None else wet.nozzle.flow
    line = machine.line(wet, min(conditions.flow, most), 0.0)
    if line is None:
        why = (
            "no water" if conditions.flow <= 0 else "the pipe can't pass so much: nothing is left of the head"
        )
        return _bare(result.turbine, "dry", why)
    volts = np.linspace(0.0, line.open_voltage, PLACES + 1)
    amps = (line.open_voltage - volts) / line.resistance
    best = Curve(
        result.turbine, volts, amps, line.open_voltage, line.best_voltage, line.best_power / line.best_voltage
    )
    held = _hold(design, result, controllers, conditions, best, habit)
    voltage = line.open_voltage if held.voltage is None else held.voltage
    current = 0.0 if held.voltage is None else max(line.open_voltage - voltage, 0.0) / line.resistance
    by = (
        f", {show(conditions.flow - most, 'm^3/s', habit, 3)} run by"
        if conditions.flow > most * RUNS_BY
        else ""
    )
    return ArrayLook(
        array=result.turbine,
        volts=volts,
        amps=amps,
        watts=volts * amps,
        open_voltage=line.open_voltage,
        best_voltage=line.best_voltage,
        best_current=best.best_current,
        best_power=line.best_power,
        voltage=voltage,
        current=current,
        power=voltage * current,
        output_current=held.output,
        state=held.state,
        why=f"{held.why}{by}",
    )


def head_at(result: HydroResult, conditions: Conditions) -> NetHead | None:
    """Where the head goes at the flow of the conditions, as far as the nozzles pass it; ``None`` where
    nothing flows, or the pipe can't pass so much."""
    pipe, nozzle = result.water.pipe, result.water.nozzle
    flow = conditions.flow if nozzle is None else min(conditions.flow, nozzle.flow)
    if pipe is None or flow <= 0:
        return None
    try:
        return net_head(flow=flow, c=pipe.c, **pipe.given())
    except CannotCalculate:
        return None


def full(result: HydroResult) -> tuple[float, float]:
    """Amps and watts that fit the curve at full flow, so that the scale stands still while the flow moves."""
    line = _at_full(result)
    return (0.0, 0.0) if line is None else (line.stalled_current, line.best_power)


def flow_range(results: Mapping[str, HydroResult]) -> tuple[float, float]:
    """The flows to look at [m^3/s]: none, to half as much again as the largest turbine takes."""
    flows = [
        flow
        for result in results.values()
        for flow in (result.water.flow, result.water.entered)
        if flow is not None
    ]
    return (0.0, 1.5 * max(flows, default=0.01) or 0.01)


def _at_full(result: HydroResult) -> TurbineLine | None:
    machine, wet = result.machine, result.water
    flow = wet.nozzle.flow if wet.nozzle is not None else wet.flow
    return None if machine is None or flow is None else machine.line(wet, flow, 0.0)


def _bare(turbine: str, state: str, why: str) -> ArrayLook:
    return ArrayLook(turbine, EMPTY, EMPTY, EMPTY, *(0.0,) * 8, state=state, why=why)


def _hold(
    design: Design,
    result: HydroResult,
    controllers: Mapping[str, ControllerResult],
    conditions: Conditions,
    curve: Curve,
    habit: str,
) -> Held:
    """Where a controller holds a turbine; where it does not, the turbine runs free."""
    record = design.find("controllers", result.controller)
    controller = controllers.get(result.controller or "")
    battery, opened = conditions.battery, curve.open_voltage
    if not isinstance(record, Controller) or controller is None:
        return Held(None, 0.0, "no controller", "no controller chosen: it runs free")
    if battery <= 0:
        return Held(None, 0.0, "below start", "no battery voltage to start on: it runs free")
    turbine = design.find("hydro", result.turbine)
    limited = turbine.limiter_on if isinstance(turbine, HydroTurbine) else None
    stands = opened if limited is None else min(opened, float(limited))
    if controller.operating is not None and stands > controller.operating:
        limit = show(controller.operating, "V", habit)
        why = f"{show(stands, 'V', habit, 4)} running free, it works up to {limit}: it waits for ever"
        return Held(None, 0.0, "lock-out", why)
    start = max(battery + (record.start_above_battery or 0.0), record.start_voltage or 0.0)
    if opened < start:
        why = f"{show(opened, 'V', habit, 4)} running free, it starts at {show(start, 'V', habit)}"
        return Held(None, 0.0, "below start", why)
    if record.use("kind") != "tracking":
        return Held(battery, curve.at(battery), "direct", "held at the battery's voltage")
    return tracked(record, controller, [curve], battery, habit)


def lanes(
    design: Design,
    result: HydroResult,
    controllers: Mapping[str, ControllerResult],
    circuits: Mapping[str, CircuitResult],
    seen: ArrayLook,
    habit: str,
    held: ArrayLook | None = None,
) -> tuple[Lane, ...]:
    """The voltage ladder of a turbine: battery, controller, running, running free, what must stand that.

    ``held`` is the turbine at the conditions that are held; marks are of the kinds that an array's are.
    """
    turbine = design.find("hydro", result.turbine)
    if not isinstance(turbine, HydroTurbine):
        return ()
    told = ladder.Told(habit)
    found = list(ladder.lanes(design, {}, controllers, {}, result.controller or "", {}, habit))
    free = _free(turbine, result, controllers, seen, told)
    found.append(ladder.with_held(_running(result, seen, told), held, told))
    found.append(ladder.with_held(free, held, told, opened=True))
    found += _must_stand(design, turbine, result, circuits, told)
    return tuple(found)


def _running(result: HydroResult, seen: ArrayLook, told: ladder.Told) -> Lane:
    """From the battery's voltage, to which it may be tied, to where it gives most at full flow."""
    path, title = f"hydro.{result.turbine}", f"{result.label}, running"
    marks = (Mark(seen.voltage, "now", f"now {told.volts(seen.voltage)}"),) if seen.current > 0 else ()
    line = _at_full(result)
    if line is None:
        wanted = ", ".join(item.title for item in result.missing)
        return Lane(title, path, "water", (), marks, f"Enter: {wanted}" if wanted else "")
    lean = [month.taken for month in result.months if month.taken > 0]
    other = result.machine.line(result.water, min(lean), 0.0) if lean and result.machine is not None else None
    ends = sorted((line.best_voltage, line.best_voltage if other is None else other.best_voltage))
    if ends[1] - ends[0] < 0.005 * ends[1]:
        text = f"gives most at {told.volts(line.best_voltage)}"
        return Lane(title, path, "water", (), (Mark(line.best_voltage, "limit", text), *marks))
    text = f"gives most at {told.volts(ends[1])}, little water"
    span = Span(ends[0], ends[1], "running", text, f"full flow {told.volts(ends[0])}")
    return Lane(title, path, "water", (span,), marks)


def _free(
    turbine: HydroTurbine,
    result: HydroResult,
    controllers: Mapping[str, ControllerResult],
    seen: ArrayLook,
    told: ladder.Told,
) -> Lane:
    """Running free: from full flow to the highest that can stand, entered or computed."""
    path, title = f"hydro.{turbine.id}", f"{label(turbine)}, running free"
    highest = result.free_voltage
    marks: list[Mark] = []
    if seen.current <= 0 < seen.open_voltage:
        marks.append(Mark(seen.open_voltage, "now", f"now {told.volts(seen.open_voltage)}"))
    elif seen.open_voltage > 0:
        marks.append(Mark(seen.open_voltage, "would", f"let go now {told.volts(seen.open_voltage)}"))
    if highest is None:
        return Lane(title, path, "water", (), tuple(marks), "Enter: Highest open-circuit voltage")
    controller = controllers.get(turbine.controller or "")
    standoff = None if controller is None else controller.standoff
    operating = None if controller is None else controller.operating
    name = "" if controller is None else controller.label
    if standoff is not None and highest > standoff * (1 + ladder.EQUAL):
        text, status = f"{told.volts(highest - standoff)} over what {name} survives", "fails"
    elif operating is not None and highest > operating * (1 + ladder.EQUAL):
        text, status = f"{name} waits above {told.volts(operating)}", "fails"
    else:
        text, status = "", "meets" if standoff is not None else ""
    marks.append(Mark(highest, "record", text, status))
    line = _at_full(result)
    low = highest if line is None else min(line.open_voltage, highest)
    span = Span(low, highest, "open", f"runaway {told.volts(highest)}", f"full flow {told.volts(low)}")
    return Lane(title, path, "water", (span,), tuple(marks))


def _must_stand(
    design: Design,
    turbine: HydroTurbine,
    result: HydroResult,
    circuits: Mapping[str, CircuitResult],
    told: ladder.Told,
) -> Iterator[Lane]:
    """The limiter, and the devices on its circuits, which must stand the free-running voltage."""
    path = f"hydro.{turbine.id}"
    on, off, highest = turbine.limiter_on, turbine.limiter_off, result.free_voltage
    if on is not None and highest is not None and on < highest:
        left = f"lets go {told.volts(float(off))}" if off is not None else ""
        low = float(on if off is None else off)
        span = Span(low, float(on), "operating", f"begins {told.volts(float(on))}", left)
        yield Lane(f"{label(turbine)}, limiter", path, "water", (span,))
    for end in ("alternator", "run", "limiter"):
        circuit = circuits.get(f"{turbine.id}-{end}")
        lane = None if circuit is None else ladder.device_lane(design, circuit, told)
        if lane is not None:
            yield lane
