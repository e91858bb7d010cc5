"""The wind and hydro side: from each alternator by its brake and rectifier to the controller.

Turbine ``mast`` has ``mast-alternator`` (three-phase, to the brake, or to the rectifier where no brake shorts
it), ``mast-brake`` (brake to rectifier), ``mast-run`` (rectifier to controller) and ``mast-limiter``
(rectifier to the load of its voltage limiter). All of them can reach the voltage of a turbine that runs free.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from engine.design import Controller, Design, HydroTurbine, WindTurbine, label
from engine.physics.alternator import alternator_voltage, three_phase_rectifier
from engine.physics.diversion import source_limiter
from engine.sections.hydro_head import free_running
from engine.sections.notes import Notes, field
from engine.sections.plans.battery import POLES
from engine.sections.plans.plan import Plan, plain
from engine.sections.results import ArrayResult, ControllerResult
from engine.tables.family import Family

Turbine = WindTurbine | HydroTurbine


def plans(
    design: Design,
    family: Family,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
) -> Iterator[Plan]:
    """The circuits of every wind and hydro turbine."""
    for table in ("wind", "hydro"):
        for turbine in getattr(design, table):
            yield from _of(design, turbine, f"{table}.{turbine.id}")


def _of(design: Design, turbine: Turbine, path: str) -> Iterator[Plan]:
    rated, shorted = _rated(turbine, path), brake_shorts(turbine)
    brake, rectifier = f"{turbine.id}-brake", f"{turbine.id}-rectifier"
    yield _three_phase(turbine, path, rated, "alternator", turbine.id, brake if shorted else rectifier)
    if shorted:
        yield _three_phase(turbine, path, rated, "brake", brake, rectifier)
    yield _run(design, turbine, path, rated)
    if has_limiter(turbine):
        yield _limiter(turbine, path, rated)


def ends(turbine: Turbine) -> tuple[str, ...]:
    """The circuits that a turbine has, by their ends."""
    shorted, limited = brake_shorts(turbine), has_limiter(turbine)
    return ("alternator", *(("brake",) if shorted else ()), "run", *(("limiter",) if limited else ()))


def brake_shorts(turbine: Turbine) -> bool:
    """Whether a brake that short-circuits the alternator stands between it and the rectifier."""
    return isinstance(turbine, WindTurbine) and turbine.brake == "short circuit"


def has_limiter(turbine: Turbine) -> bool:
    """Whether anything was entered of a voltage limiter."""
    return turbine.limiter_on is not None or turbine.limiter_resistance is not None


@dataclass(frozen=True, slots=True)
class _Rated:
    """A turbine on its dc side at full work: current [A], voltage [V]; running free, ``highest`` [V]; what a
    short circuit draws, ``fault`` [A].

    The highest is the one that was entered, or the one that volts per speed give if that is more. The fault
    takes the voltage of the free-running machine over its resistance alone: its inductance would
    lower it.
    """

    current: float | None
    voltage: float | None
    highest: float | None
    fault: float | None
    notes: Notes
    fault_notes: Notes


def _rated(turbine: Turbine, path: str) -> _Rated:
    notes, fault_notes = Notes(), Notes()
    notes.ask(path, turbine, "open_voltage", "rated_current", "rated_power")
    fault_notes.ask(path, turbine, "open_voltage", "resistance")
    current, power = turbine.rated_current, turbine.rated_power
    voltage = None if current is None or power is None else power / current
    free, highest = _running_free(turbine, path, notes), plain(turbine.open_voltage)
    if highest is not None and free is not None:
        highest = max(highest, free)
    resistance = turbine.resistance
    fault = None if highest is None or resistance is None else highest / resistance
    return _Rated(plain(current), voltage, highest, fault, notes, fault_notes)


def _running_free(turbine: Turbine, path: str, notes: Notes) -> float | None:
    """Volts per speed at the runaway speed [V]; ``None`` where either was not entered.

    With its penstock known, a hydro turbine runs away at the whole gross head, which is faster.
    """
    step = free_running(turbine, path) if isinstance(turbine, HydroTurbine) else None
    if step is not None:
        notes.steps["free_running"] = step
        return float(step.result.voltage)
    volts = turbine.volts_per_speed
    if isinstance(turbine, WindTurbine):
        name, speed, factor = "runaway_speed", plain(turbine.runaway_speed), plain(1.0)
    else:
        name, speed, factor = "runaway_factor", plain(turbine.rated_speed), plain(turbine.runaway_factor)
    if volts is None or speed is None or factor is None:
        return None
    blame = field(path, turbine, name)
    given = {"rotor_speed": speed, "volts_per_speed": volts, "factor": factor}
    found = notes.work("free_running", blame, alternator_voltage, **given)
    return None if found is None else float(found.voltage)


def _common(path: str, rated: _Rated) -> dict[str, Any]:
    return {
        "piece": path,
        "voltage": rated.highest,
        "missing": rated.notes.missing,
        "steps": rated.notes.steps,
        "fault_missing": rated.fault_notes.missing,
    }


def _three_phase(turbine: Turbine, path: str, rated: _Rated, end: str, origin: str, target: str) -> Plan:
    """A length of the alternator's three conductors.

    Line current 0.82 of the dc current. The voltage is the dc one, that a rectifier without load stands at:
    not less than the voltage between two conductors. No overcurrent device: it would set the turbine free.
    """
    notes, to_line = Notes(), None
    if rated.current is not None:
        blame = field(path, turbine, "rated_current")
        volts = rated.voltage or 0.0
        given = {"dc_voltage": volts, "dc_current": rated.current}
        to_line = notes.work("current", blame, three_phase_rectifier, **given)
    line_current = None if to_line is None else float(to_line.line_current)
    known = to_line is not None and rated.voltage is not None
    where = "alternator to brake" if target.endswith("-brake") else "alternator to rectifier"
    return Plan(
        **_common(path, rated) | {"steps": rated.notes.steps | notes.steps},
        id=f"{turbine.id}-{end}",
        kind=end,
        title=f"{label(turbine)}, {'brake to rectifier' if end == 'brake' else where}",
        origin=origin,
        target=target,
        system="ac",
        phases=3,
        current=line_current,
        running_current=line_current,
        running_voltage=float(to_line.line_voltage) if known and to_line is not None else None,
        back=0.0,
        protected=False,
        fault_most=rated.fault,
        reverses=True,
        poles=3,
    )


def _run(design: Design, turbine: Turbine, path: str, rated: _Rated) -> Plan:
    """From the rectifier to the controller; a device only against what the controller can push back."""
    controller = design.find("controllers", turbine.controller)
    back, notes = None, Notes()
    notes.lack(*rated.fault_notes.missing)
    if isinstance(controller, Controller):
        notes.ask(f"controllers.{controller.id}", controller, "back_feed")
        back = plain(controller.back_feed)
    else:
        notes.ask(path, turbine, "controller")
    fault = None if rated.fault is None or back is None else rated.fault + back
    return Plan(
        **_common(path, rated) | {"fault_missing": notes.missing},
        id=f"{turbine.id}-run",
        kind="turbine",
        title=f"{label(turbine)}, rectifier to controller",
        origin=f"{turbine.id}-rectifier",
        target=turbine.controller or "",
        ends=(f"controllers.{turbine.controller}",) if controller is not None else (),
        controller=turbine.controller,
        current=rated.current,
        running_current=rated.current,
        running_voltage=rated.voltage,
        back=back,
        protected=back != 0,
        fault_most=fault,
        reverses=None if back is None else back > 0,
        poles=POLES.get(design.bank.system_earthing or ""),
    )


def _limiter(turbine: Turbine, path: str, rated: _Rated) -> Plan:
    """From the rectifier to the limiter's load: what it draws where it connects, for as long as it takes."""
    notes = Notes()
    notes.ask(path, turbine, "open_voltage", "limiter_on", "limiter_off", "limiter_resistance")
    notes.ask(path, turbine, "limiter_power", "rated_power")
    on, off, resistance = turbine.limiter_on, turbine.limiter_off, turbine.limiter_resistance
    if on is not None and off is not None and resistance is not None and turbine.rated_power is not None:
        notes.work(
            "limiter",
            field(path, turbine, "limiter_off"),
            source_limiter,
            source_power=strongest(turbine),
            turn_on=on,
            turn_off=off,
            resistance=resistance,
            source_resistance=turbine.resistance or 0.0,
            open_voltage=rated.highest,
        )
    current = None if on is None or resistance is None else on / resistance
    return Plan(
        **_common(path, rated) | {"missing": notes.missing, "steps": rated.notes.steps | notes.steps},
        id=f"{turbine.id}-limiter",
        kind="limiter",
        title=f"{label(turbine)}, rectifier to its voltage limiter",
        origin=f"{turbine.id}-rectifier",
        target=f"{turbine.id}-limiter",
        current=current,
        running_current=current,
        running_voltage=plain(on),
        back=0.0,
        protected=False,
        fault_most=rated.fault,
        reverses=False,
        poles=2,
    )


def strongest(turbine: Turbine) -> float:
    """The most power that was entered of a turbine [W]: its rating, or the top of its curve."""
    curve = turbine.power_points or () if isinstance(turbine, WindTurbine) else ()
    return max([float(turbine.rated_power or 0.0), *(float(watts) for _, watts in curve)])
