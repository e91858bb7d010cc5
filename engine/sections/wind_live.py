"""A wind turbine at the conditions of looking: power over voltage, and where its controller holds it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from engine.design import Controller, Design, WindTurbine, label
from engine.physics.load_curve import above_battery, followed
from engine.physics.wind_turbine import Machine, Steady, direct, tracked
from engine.sections import ladder
from engine.sections.results import (
    CircuitResult,
    Conditions,
    ControllerResult,
    Floats,
    Lane,
    Mark,
    Span,
)
from engine.sections.wind import WindResult
from engine.units import show

EMPTY: Floats = np.zeros(0)
EMPTY.flags.writeable = False
PLACES = 300  # tip speed ratios of the drawn curve


@dataclass(frozen=True, slots=True)
class WindLook:
    """One turbine at the conditions: power [W] over voltage [V] at the controller, from rest to running free.

    ``voltage``, ``current``, ``power``, ``rotor_speed`` [rpm] and ``ratio`` where its controller holds it;
    ``open_voltage`` [V] what it would run free at. ``state`` is ``tracking``, ``direct``, ``free`` (no
    current), ``still``, ``lock-out``, ``no controller`` or ``no curve``; ``why`` says it in words.
    """

    turbine: str
    volts: Floats
    watts: Floats
    open_voltage: float
    voltage: float
    current: float
    power: float
    rotor_speed: float
    ratio: float
    output_current: float | None
    state: str
    why: str = ""


def look(
    design: Design,
    result: WindResult,
    controllers: Mapping[str, ControllerResult],
    conditions: Conditions,
    habit: str,
) -> WindLook:
    """A turbine at the wind and the battery voltage of the conditions."""
    machine = result.machine
    if machine is None:
        lacking = ", ".join(item.title[:1].lower() + item.title[1:] for item in result.missing)
        return WindLook(result.turbine, EMPTY, EMPTY, *(0.0,) * 6, None, "no curve", f"enter {lacking}")
    volts, watts = _curve(machine, conditions.wind)
    opened = float(volts[-1]) if volts.size else 0.0
    record = design.find("controllers", result.controller)
    kind = record.use("kind") if isinstance(record, Controller) else ""
    wind, battery = np.array([conditions.wind]), max(conditions.battery, 1e-3)
    solve = tracked if kind == "tracking" else direct
    state = solve(machine, wind, battery, result.cap)
    name, why = _state(design, result, controllers, state, opened, kind, habit)
    held = name not in ("lock-out", "no controller")
    if name == "tracking" and result.load is not None:
        return _on_load(result, machine, wind, battery, record, (volts, watts), habit)
    free = direct(machine, wind, 1e9) if not held else state
    current = float(free.current[0]) if held else 0.0
    power = float(free.power[0]) if held else 0.0
    return WindLook(
        turbine=result.turbine,
        volts=volts,
        watts=watts,
        open_voltage=opened,
        voltage=float(free.voltage[0]),
        current=current,
        power=power,
        rotor_speed=float(free.rotor_speed[0]),
        ratio=float(free.ratio[0]),
        output_current=_output(record, kind, float(free.voltage[0]), current, battery),
        state=name,
        why=why,
    )


def _on_load(
    result: WindResult,
    machine: Machine,
    wind: Floats,
    battery: float,
    record: object,
    drawn: tuple[Floats, Floats],
    habit: str,
) -> WindLook:
    """Where the controller holds the turbine by the load curve entered."""
    assert result.load is not None
    at = followed(machine, wind, above_battery(result.load, battery))
    voltage, current, speed = float(at.voltage[0]), float(at.current[0]), float(at.rotor_speed[0])
    if result.cap is not None and speed > result.cap * (1 + 1e-9):
        why = f"faster than its cap, {show(result.cap, 'rpm', habit)}: the load curve doesn't hold it"
    elif at.slips[0]:
        why = "held in stall by the load curve: a gust can break it loose"
    else:
        why = "on the load curve entered" if current > 0 else "below the load curve: it turns free"
    return WindLook(
        turbine=result.turbine,
        volts=drawn[0],
        watts=drawn[1],
        open_voltage=float(drawn[0][-1]) if drawn[0].size else 0.0,
        voltage=voltage,
        current=current,
        power=float(at.power[0]),
        rotor_speed=speed,
        ratio=speed / (machine.rotor.speed_per_wind * float(machine.met(wind)[0])),
        output_current=_output(record, "tracking", voltage, current, battery),
        state="tracking" if current > 0 else "free",
        why=why,
    )


def _curve(machine: Machine, wind: float) -> tuple[Floats, Floats]:
    """Voltage and power at the controller for every ratio at which the shaft drives, slowest first."""
    met = float(machine.met(np.array([wind]))[0])
    rotor = machine.rotor
    ratios = np.linspace(0, float(rotor.ratios[-1]), PLACES)[1:]
    speed = rotor.speed_per_wind * met * ratios
    shaft = machine.shaft_gain * met**3 * np.interp(ratios, rotor.ratios, rotor.coefficients)
    spare = shaft - machine.drag * speed
    emf = machine.volts_per_speed * speed
    if met <= 0 or not (spare > 0).any():
        return EMPTY, EMPTY
    amps = np.maximum(spare, 0.0) / emf
    volts = emf - machine.drop - machine.resistance * amps
    kept = (spare >= 0) & (volts > 0)
    rising = np.flatnonzero(kept)
    if not rising.size:
        return EMPTY, EMPTY
    order = rising[np.argsort(volts[rising], kind="stable")]
    free = float(direct(machine, np.array([wind]), 1e9).voltage[0])
    return np.append(volts[order], free), np.append((volts * amps)[order], 0.0)


def _state(
    design: Design,
    result: WindResult,
    controllers: Mapping[str, ControllerResult],
    state: Steady,
    opened: float,
    kind: str,
    habit: str,
) -> tuple[str, str]:
    controller = controllers.get(result.controller or "")
    if controller is None or not kind:
        return "no controller", "no controller chosen: it runs free"
    if state.rotor_speed[0] <= 0:
        return "still", "too little wind to turn it"
    limit = controller.operating
    if limit is not None and float(state.voltage[0]) > limit:
        return "lock-out", f"{controller.label} works up to {show(limit, 'V', habit)}: it runs free"
    if state.current[0] <= 0:
        battery = show(float(state.voltage[0]), "V", habit)
        return "free", f"{battery}, not enough to charge: it turns free"
    if state.over_cap[0]:
        return kind_word(kind), "faster than its cap: nothing holds it there"
    if state.capped[0]:
        return kind_word(kind), f"held at {show(result.cap or 0.0, 'rpm', habit)}, its cap"
    if state.stalled[0] and kind != "tracking":
        return kind_word(kind), "stalled: the battery holds it slower than it runs best"
    if state.furled[0]:
        return kind_word(kind), "furled: it turns out of the wind"
    return kind_word(kind), "at most power" if kind == "tracking" else "held at the battery's voltage"


def kind_word(kind: str) -> str:
    """The state of a turbine that charges, by the kind of its controller."""
    return "tracking" if kind == "tracking" else "direct"


def _output(record: object, kind: str, voltage: float, current: float, battery: float) -> float | None:
    """The current into the battery [A]; ``None`` where the controller's efficiency is not entered."""
    if kind != "tracking":
        return current
    points = getattr(record, "efficiency_points", None)
    if not points:
        return None
    ratios, shares = zip(*points, strict=True)
    return float(voltage * current * np.interp(voltage / battery, ratios, shares) / battery)


def lanes(
    design: Design,
    result: WindResult,
    controllers: Mapping[str, ControllerResult],
    circuits: Mapping[str, CircuitResult],
    seen: WindLook,
    habit: str,
    held: WindLook | None = None,
) -> tuple[Lane, ...]:
    """The voltage ladder of a turbine: battery, controller, running, running free, what must stand that.

    ``held`` is the turbine at the conditions that are held; marks are of the kinds that an array's are.
    """
    turbine = design.find("wind", result.turbine)
    if not isinstance(turbine, WindTurbine):
        return ()
    told = ladder.Told(habit)
    found = list(ladder.lanes(design, {}, controllers, {}, result.controller or "", {}, habit))
    free = _free(turbine, result, controllers, seen, told)
    found.append(ladder.with_held(_running(result, seen, told), held, told))
    found.append(ladder.with_held(free, held, told, opened=True))
    found += _must_stand(turbine, told)
    for end in ("alternator", "brake", "run", "limiter"):
        circuit = circuits.get(f"{turbine.id}-{end}")
        lane = None if circuit is None else ladder.device_lane(design, circuit, told)
        found += [] if lane is None else [lane]
    return tuple(found)


def _running(result: WindResult, seen: WindLook, told: ladder.Told) -> Lane:
    path, title = f"wind.{result.turbine}", f"{result.label}, running"
    marks = (Mark(seen.voltage, "now", f"now {told.volts(seen.voltage)}"),) if seen.current > 0 else ()
    state = result.best if result.on_load is None else result.on_load
    if state is None or not (state.current > 0).any():
        wanted = ", ".join(item.title for item in result.missing)
        return Lane(title, path, "wind", (), marks, f"Enter: {wanted}" if wanted else "")
    volts = state.voltage[state.current > 0]
    low, high = float(volts.min()), float(volts.max())
    span = Span(low, high, "running", f"{told.number(low)} to {told.volts(high)}")
    return Lane(title, path, "wind", (span,), marks)


def _free(
    turbine: WindTurbine,
    result: WindResult,
    controllers: Mapping[str, ControllerResult],
    seen: WindLook,
    told: ladder.Told,
) -> Lane:
    """Running free, from the rated wind's best speed to the highest voltage entered."""
    path, title = f"wind.{turbine.id}", f"{label(turbine)}, running free"
    highest = turbine.open_voltage
    marks: list[Mark] = []
    if seen.state in ("free", "lock-out", "no controller") and seen.voltage > 0:
        marks.append(Mark(seen.voltage, "now", f"now {told.volts(seen.voltage)}"))
    elif seen.open_voltage > 0:
        marks.append(Mark(seen.open_voltage, "would", f"let go now {told.volts(seen.open_voltage)}"))
    if highest is None:
        return Lane(title, path, "wind", (), tuple(marks), "Enter: Highest open-circuit voltage")
    controller = controllers.get(turbine.controller or "")
    limit = None if controller is None else controller.standoff
    if controller is not None and limit is not None and highest > limit * (1 + ladder.EQUAL):
        text = f"{told.volts(highest - limit)} over what {controller.label} survives"
        marks.append(Mark(float(highest), "record", text, "fails"))
    else:
        marks.append(Mark(float(highest), "record", "", "meets" if limit is not None else ""))
    state = result.best if result.on_load is None else result.on_load
    loaded = float(state.voltage.max()) if state is not None else 0.0
    span = Span(min(loaded, float(highest)), float(highest), "open", f"runaway {told.volts(float(highest))}")
    return Lane(title, path, "wind", (span,), tuple(marks))


def _must_stand(turbine: WindTurbine, told: ladder.Told) -> list[Lane]:
    """The limiter, which begins somewhere, and the rectifier, which must stand the free-running voltage."""
    path, found = f"wind.{turbine.id}", list[Lane]()
    if turbine.limiter_on is not None:
        on, off = turbine.limiter_on, turbine.limiter_off
        text = f"begins at {told.volts(on)}"
        if off is not None and off < on:
            span = Span(float(off), float(on), "operating", text, f"lets go at {told.volts(off)}")
            found.append(Lane("Voltage limiter", path, "ink", (span,)))
        else:
            found.append(Lane("Voltage limiter", path, "ink", (), (Mark(float(on), "limit", text),)))
    rating = turbine.rectifier_voltage
    if rating is None:
        return [*found, Lane("Rectifier", path, "ink", empty="Enter: Rectifier's voltage rating")]
    mark = ladder.rated(rating, f"rated {told.volts(rating)}", turbine.open_voltage, None, told)
    return [*found, Lane("Rectifier", path, "ink", (), (mark,))]
