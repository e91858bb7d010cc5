"""What ``farstead turbine`` tells of a hydro turbine: its water, its volts and watts, its months."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from app.hydro_words import MONTHS, free_told, gain_told, head_told, pipe_told, year_told
from app.terminal.check import CAUTION, finding_json, table, told, wrapped
from app.terminal.exits import FAILS, FINE, UNKNOWN
from engine import units
from engine.evaluation import Evaluation
from engine.finding import Finding, Status
from engine.sections.hydro import HydroResult

SHARES = (0.25, 0.5, 0.75, 1.0)  # of the full flow, whose curve is told
PLACES = (0.0, 0.2, 0.4, 0.5, 0.6, 0.8, 1.0)  # of the voltage without load


def status(evaluation: Evaluation, result: HydroResult) -> int:
    """The exit status: that of the findings on it, unknown where nothing could be computed."""
    statuses = {finding.status for finding in found_of(evaluation, result.turbine)}
    open_ = result.line is None or result.year is None
    return FAILS if Status.FAILS in statuses else UNKNOWN if Status.UNKNOWN in statuses or open_ else FINE


def found_of(evaluation: Evaluation, id: str) -> tuple[Finding, ...]:
    """The findings of a turbine and of its circuits."""
    return evaluation.at(f"hydro.{id}")


def as_json(evaluation: Evaluation, result: HydroResult) -> dict[str, Any]:
    """The turbine as JSON, each quantity with its unit."""
    habit = str(evaluation.design.about.use("units"))
    return {
        "format": 1,
        "turbine": result.turbine,
        "label": result.label,
        **_water_json(result),
        **_machine_json(result),
        "curve": [
            {name: units.as_json(value, unit) for name, value, unit in row} for row in _curve(result, 1.0)
        ],
        "months": [
            {
                "stream": units.as_json(month.stream, "m^3/s"),
                "taken": units.as_json(month.taken, "m^3/s"),
                "power": units.as_json(month.power, "W"),
                "energy": units.as_json(month.energy, "Wh"),
            }
            for month in result.months
        ],
        "findings": [finding_json(item, habit) for item in found_of(evaluation, result.turbine)],
        "missing": [{"path": item.path, "title": item.title} for item in result.missing],
        "assumed": [
            {"path": item.path, "title": item.title, "value": item.text, "why": item.why}
            for item in result.assumed
        ],
    }


def _of(part: object, name: str) -> float | None:
    """A number of a part that may not be known."""
    return None if part is None or getattr(part, name) is None else float(getattr(part, name))


def _water_json(result: HydroResult) -> dict[str, Any]:
    wet, surge = result.water, result.surge
    pipe, head, best = wet.pipe, wet.head, wet.best
    return {
        "gross_head": units.as_json(_of(pipe, "gross_head"), "m"),
        "net_head": units.as_json(_of(head, "net_head"), "m"),
        "pipe_loss": units.as_json(_of(head, "pipe_loss"), "m"),
        "pipe_loss_hazen": units.as_json(_of(head, "hazen_loss"), "m"),
        "fitting_loss": units.as_json(_of(head, "fitting_loss"), "m"),
        "flow": units.as_json(wet.flow, "m^3/s"),
        "nozzle_flow": units.as_json(_of(wet.nozzle, "flow"), "m^3/s"),
        "jet_velocity": units.as_json(wet.jet_velocity, "m/s"),
        "pipe_best_flow": units.as_json(_of(best, "flow"), "m^3/s"),
        "pipe_best_power": units.as_json(_of(best, "power"), "W"),
        "still_pressure": units.as_json(_of(surge, "still"), "Pa"),
        "valve_pressure": units.as_json(_of(surge, "valve"), "Pa"),
        "plug_pressure": units.as_json(_of(surge, "plug"), "Pa"),
    }


def _machine_json(result: HydroResult) -> dict[str, Any]:
    line, fast = result.line, result.water.runaway
    return {
        "runaway_speed": units.as_json(_of(fast, "speed"), "rpm"),
        "runaway_voltage": units.as_json(_of(fast, "voltage"), "V"),
        "tracked_voltage": units.as_json(_of(line, "best_voltage"), "V"),
        "tracked_power": units.as_json(_of(line, "best_power"), "W"),
        "direct_voltage": units.as_json(result.battery if line is not None else None, "V"),
        "direct_power": units.as_json(_of(line, "power"), "W"),
        "battery_power": units.as_json(result.tracked_output, "W"),
        "year": units.as_json(result.year, "Wh"),
        "year_direct": units.as_json(result.year_direct, "Wh"),
        "gain": result.gain,
    }


def _curve(result: HydroResult, share: float) -> list[tuple[tuple[str, float, str], ...]]:
    """Volts, amps, watts and speed of a share of the full flow, at a few places of the curve."""
    machine, flow = result.machine, result.water.flow
    whole = None if machine is None or flow is None else machine.line(result.water, share * flow, 0.0)
    if machine is None or flow is None or whole is None:
        return []
    rows: list[tuple[tuple[str, float, str], ...]] = []
    for place in PLACES:
        volts = place * whole.open_voltage
        at = machine.line(result.water, share * flow, volts)
        if at is not None:
            current, power = float(at.current), float(at.power)
            rows.append(
                (
                    ("voltage", volts, "V"),
                    ("current", current, "A"),
                    ("power", power, "W"),
                    ("rotor_speed", float(at.speed), "rpm"),
                )
            )
    return rows


def as_text(evaluation: Evaluation, result: HydroResult) -> Iterator[str]:
    """The turbine as lines of text."""
    habit = str(evaluation.design.about.use("units"))
    yield wrapped(f"{result.label}, a hydro turbine.")
    taken = "; ".join(f"{item.title} {item.text} ({item.why})" for item in result.assumed)
    if taken:
        yield wrapped(f"Assumed where nothing was entered: {taken}.")
    if result.missing:
        yield wrapped(f"Enter: {', '.join(item.title for item in result.missing)}.")
    yield ""
    for sentence in (head_told, pipe_told, gain_told, free_told):
        told_ = sentence(result, habit)
        if told_:
            yield wrapped(told_)
    if result.line is not None:
        yield ""
        yield from table(_flow_rows(result, habit), numbers=6)
        yield ""
        yield "At full flow:"
        rows = [[units.show(value, unit, habit, 4) for _, value, unit in row] for row in _curve(result, 1.0)]
        yield from table([("Voltage", "Current", "Power", "Speed"), *map(tuple, rows)], numbers=4)
    if result.months:
        yield ""
        yield from table(_month_rows(result, habit), numbers=4)
        yield wrapped(year_told(result, habit))
    yield ""
    for finding in found_of(evaluation, result.turbine):
        if finding.where == f"hydro.{result.turbine}" or finding.status is not Status.MEETS:
            yield from told(finding)
    yield ""
    yield wrapped(CAUTION)


def _flow_rows(result: HydroResult, habit: str) -> list[tuple[str, ...]]:
    """A few flows: net head, best voltage and power, power straight on the battery, voltage without load."""
    rows: list[tuple[str, ...]] = [("Flow", "net head", "best at", "tracked", "direct", "no load")]
    machine, wet, battery = result.machine, result.water, result.battery or 0.0
    for share in SHARES:
        flow = share * (wet.flow or 0.0)
        line = None if machine is None else machine.line(wet, flow, battery)
        head = None if wet.pipe is None else wet.pipe.net_head(flow)
        if line is None or head is None:
            continue
        values = (
            (flow, "m^3/s"),
            (head, "m"),
            (line.best_voltage, "V"),
            (line.best_power, "W"),
            (float(line.power), "W"),
            (line.open_voltage, "V"),
        )
        rows.append(tuple(units.show(value, unit, habit, 3) for value, unit in values))
    return rows


def _month_rows(result: HydroResult, habit: str) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = [("Month", "stream", "turbine", "power", "energy")]
    for name, month in zip(MONTHS, result.months, strict=True):
        stream = "enough" if month.stream is None else units.show(month.stream, "m^3/s", habit, 3)
        values = ((month.taken, "m^3/s"), (month.power, "W"), (month.energy, "Wh"))
        rows.append((name, stream, *(units.show(value, unit, habit, 3) for value, unit in values)))
    return rows
