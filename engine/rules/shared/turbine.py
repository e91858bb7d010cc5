"""Wind and hydro turbines: what stops them, what holds their voltage, and what may never open."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Device, HydroTurbine, WindTurbine, label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_least, at_most, over, room_below, steps, unknown
from engine.sections.results import CircuitResult, ask

Turbine = WindTurbine | HydroTurbine
RUNS_FREE = "Without its load a turbine runs free: its voltage rises to a multiple, and a rotor can break up."


def _each(case: Case) -> Iterator[tuple[Turbine, str]]:
    for table in ("wind", "hydro"):
        for turbine in getattr(case.design, table):
            yield turbine, f"{table}.{turbine.id}"


def overspeed(case: Case) -> Iterator[Finding]:
    """A wind turbine needs a way to stop it by hand, and one that acts by itself, without its load."""
    source = case.family.clause("overspeed")
    for turbine in case.design.wind:
        where, name = f"wind.{turbine.id}", label(turbine)
        if turbine.brake is None:
            title, missing = f"{name}: not known what stops it", ask(where, turbine, "brake")
            yield unknown("overspeed", where, title, missing, source, Signal.DANGER)
            continue
        by_hand = turbine.brake in ("short circuit", "mechanical")
        by_itself = turbine.brake == "furling" or turbine.furling_wind is not None
        sound = by_hand and by_itself
        told = "furls by itself" if by_itself else "nothing entered that acts by itself"
        yield Finding(
            rule="overspeed",
            where=where,
            field=f"{where}.{'furling_wind' if by_hand else 'brake'}",
            status=_overspeed(turbine.brake == "none", sound),
            signal=Signal.NONE if sound else Signal.WARNING if turbine.brake != "none" else Signal.DANGER,
            title=f"{name}: brake {turbine.brake}, {told}",
            remedy="" if sound else f"{RUNS_FREE} A brake that stops it by hand, and furling or the like.",
            value=turbine.brake,
            limit="short circuit or mechanical",
            source=source,
        )


def _overspeed(none: bool, sound: bool) -> Status:
    return Status.FAILS if none else Status.MEETS if sound else Status.MARGINAL


def open_voltage(case: Case) -> Iterator[Finding]:
    """The voltage that everything is chosen for, against what the alternator makes when it runs free."""
    source = case.family.clause("overvoltage")
    for turbine, where in _each(case):
        circuit = case.circuits.get(f"{turbine.id}-run")
        step, value = circuit.steps.get("free_running") if circuit else None, turbine.open_voltage
        if value is None:
            made = f", its alternator makes {case.show(step.result.voltage, 'V')} there" if step else ""
            title = f"{label(turbine)}: not known how high its voltage stands when it runs free{made}"
            missing, told = ask(where, turbine, "open_voltage"), (step,) if step else ()
            yield unknown("open-voltage", where, title, missing, source, Signal.WARNING, told)
            continue
        if step is None:
            continue
        limit = float(step.result.voltage)
        yield at_least(
            rule="open-voltage",
            where=where,
            field=f"{where}.open_voltage",
            signal=Signal.WARNING,
            title=(
                f"{label(turbine)}: {case.show(value, 'V')} entered as its highest, "
                f"running free it makes {case.show(limit, 'V')}"
            ),
            remedy="Enter the higher: devices, insulation and controller are chosen by it.",
            value=value,
            limit=limit,
            unit="V",
            source=source,
            steps=(step,),
        )


def wind_building_voltage(case: Case) -> Iterator[Finding]:
    """A building bounds the voltage of a wind turbine's conductors too; a run away from one is not told."""
    source, bounds = case.family.clause("overvoltage"), case.family.protection
    dwelling = case.design.site.use("building") == "dwelling"
    limit = bounds.dwelling_voltage if dwelling else bounds.building_voltage
    for turbine in case.design.wind:
        circuit, where = case.circuits.get(f"{turbine.id}-run"), f"wind.{turbine.id}"
        if circuit is None or circuit.voltage is None:
            continue  # open-voltage asks for it
        yield at_most(
            rule="building-voltage",
            where=where,
            field=f"{where}.open_voltage",
            signal=Signal.WARNING,
            title=(
                f"{label(turbine)}: {case.show(circuit.voltage, 'V')} running free, {case.show(limit, 'V')} "
                f"allowed on or in a {'dwelling' if dwelling else 'building'}"
            ),
            remedy="A turbine wound for a lower voltage, or its controller away from the building.",
            value=circuit.voltage,
            limit=limit,
            unit="V",
            source=source,
            steps=steps(circuit.steps, "free_running"),
        )


def turbine_standoff(case: Case) -> Iterator[Finding]:
    """A free-running turbine against what its controller survives; a limiter may stand between them."""
    source = case.family.clause("overvoltage")
    for turbine, where in _each(case):
        controller = case.controllers.get(turbine.controller or "")
        limit = None if controller is None else controller.standoff
        value, held = turbine.open_voltage, turbine.limiter_on
        if value is None or limit is None:
            title = f"{label(turbine)}: not known whether its controller survives it running free"
            path = f"controllers.{turbine.controller}"
            record = case.design.find("controllers", turbine.controller)
            lacks = ask(path, record, "standoff_limit") if record is not None else ()
            missing = (*ask(where, turbine, "open_voltage", "controller"), *lacks)
            yield unknown("turbine-standoff", where, title, missing, source, Signal.WARNING)
            continue
        bad = over(value, limit)
        limited = bad and held is not None and not over(held, limit)
        between = f", its limiter begins at {case.show(held, 'V')}" if held is not None else ", no limiter"
        name = controller.label if controller is not None else ""
        yield Finding(
            rule="turbine-standoff",
            where=where,
            field=f"{where}.limiter_on" if bad else f"{where}.open_voltage",
            status=Status.MEETS if not bad else Status.MARGINAL if limited else Status.FAILS,
            signal=Signal.WARNING if bad else Signal.NONE,
            title=(
                f"{label(turbine)}: {case.show(value, 'V')} running free, "
                f"{name} survives {case.show(limit, 'V')}{between if bad else ''}"
            ),
            remedy=_standoff_remedy(bad, limited),
            value=float(value),
            limit=limit,
            unit="V",
            margin=room_below(value, limit),
            source=source,
            steps=steps(controller.steps, "standoff") if controller is not None else (),
        )


def _standoff_remedy(bad: bool, limited: bool) -> str:
    if limited:
        return "Only the limiter saves the controller: test it before each season, or take a higher class."
    return (
        "A controller that stands the free-running voltage, or a limiter that holds it below." if bad else ""
    )


def limiter(case: Case) -> Iterator[Finding]:
    """A voltage limiter must stand its own heat, hold the source down, and let go again."""
    source = case.family.clause("overvoltage")
    for turbine, where in _each(case):
        circuit = case.circuits.get(f"{turbine.id}-limiter")
        if circuit is None:
            continue
        step, most = circuit.steps.get("limiter"), turbine.limiter_power
        if step is None or most is None:
            names = ("limiter_on", "limiter_off", "limiter_resistance", "limiter_power", "rated_power")
            missing = ask(where, turbine, *names) or circuit.missing
            title = f"{label(turbine)}: not known whether its limiter holds"
            yield unknown("limiter", where, title, missing, source, Signal.WARNING)
            continue
        takes, hot = step.result.power, over(step.result.power, most)
        faults = _limiter_faults(hot, not step.result.holds, step.result.latches)
        yield Finding(
            rule="limiter",
            where=where,
            field=f"{where}.{'limiter_power' if hot else 'limiter_resistance'}",
            status=Status.FAILS if hot else Status.MARGINAL if faults else Status.MEETS,
            signal=Signal.WARNING if faults else Signal.NONE,
            title=(
                f"{label(turbine)}: its limiter takes {case.show(takes, 'W')}, "
                f"made for {case.show(most, 'W')}{''.join(f'; {each}' for each in faults)}"
            ),
            remedy="Another resistance or power, or a lower voltage where it lets go." if faults else "",
            value=float(takes),
            limit=float(most),
            unit="W",
            margin=room_below(takes, most),
            source=source,
            steps=(step,),
        )


def _limiter_faults(hot: bool, weak: bool, latches: bool) -> tuple[str, ...]:
    told = (
        (hot, "it burns"),
        (weak, "it may not hold the voltage where it begins"),
        (latches, "it may never let go by itself"),
    )
    return tuple(words for true, words in told if true)


def never_opens(case: Case) -> Iterator[Finding]:
    """Nothing that opens may stand between an alternator and the shorting brake, nor before a limiter."""
    source = case.family.clause("overspeed")
    for turbine, _ in _each(case):
        shorted = isinstance(turbine, WindTurbine) and turbine.brake == "short circuit"
        for end in ("alternator", "limiter"):
            circuit = case.circuits.get(f"{turbine.id}-{end}")
            if circuit is None:
                continue
            device = _opens(case, circuit)
            grave = end == "limiter" or shorted
            what = "its limiter" if end == "limiter" else "its brake" if shorted else "its rectifier"
            yield Finding(
                rule="never-opens",
                where=f"circuits.{circuit.id}",
                field=f"circuits.{circuit.id}.device",
                status=Status.MEETS if device is None else Status.FAILS if grave else Status.MARGINAL,
                signal=Signal.NONE if device is None else Signal.DANGER if grave else Signal.WARNING,
                title=(
                    f"{label(turbine)}: {'nothing that opens' if device is None else label(device)} "
                    f"between it and {what}"
                ),
                remedy="" if device is None else f"{RUNS_FREE} Take it out of this circuit.",
                value="nothing" if device is None else device.kind or "device",
                limit="nothing",
                source=source,
            )


def _opens(case: Case, circuit: CircuitResult) -> Device | None:
    record = case.design.circuit(circuit.id)
    for id in (record.device, record.disconnect):
        device = case.design.find("devices", id)
        if isinstance(device, Device):
            return device
    return None


def trips_free(case: Case) -> Iterator[Finding]:
    """An overcurrent device before a controller that feeds nothing back guards nothing, and can trip."""
    source = case.family.clause("overspeed")
    for turbine, _ in _each(case):
        circuit = case.circuits.get(f"{turbine.id}-run")
        if circuit is None:
            continue
        device = case.design.find("devices", case.design.circuit(circuit.id).device)
        if not isinstance(device, Device) or device.kind not in ("breaker", "fuse"):
            continue
        idle = not circuit.device_needed
        yield Finding(
            rule="trips-free",
            where=f"circuits.{circuit.id}",
            field=f"circuits.{circuit.id}.device",
            status=Status.MARGINAL if idle else Status.MEETS,
            signal=Signal.WARNING if idle else Signal.NONE,
            title=(
                f"{label(turbine)}: {label(device)} before a controller that feeds "
                f"{'nothing' if idle else 'a fault'} back"
            ),
            remedy=f"{RUNS_FREE} Disconnect it by a switch, once the turbine stands." if idle else "",
            value=device.kind,
            limit="switch" if idle else "breaker or fuse",
            source=source,
        )
