"""Diversion loads: strong enough for the turbines, not too much for their controller, never cut off."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Controller, Diversion, label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, over, room_above, room_below, steps, under, unknown
from engine.sections.results import CircuitResult, Missing, ask

TURNS = "A turbine without a load runs free: its voltage rises, and its rotor can break up."


def _each(case: Case) -> Iterator[tuple[Diversion, str, CircuitResult | None]]:
    for diversion in case.design.diversions:
        yield diversion, f"diversions.{diversion.id}", case.circuits.get(f"{diversion.id}-load")


def diversion_power(case: Case) -> Iterator[Finding]:
    """All diversion loads together against the turbines, with the family's factor."""
    design, source = case.design, case.family.clause("diversion")
    turbines = (*design.wind, *design.hydro)
    if not design.diversions or not turbines:
        return
    where = f"diversions.{design.diversions[0].id}"
    missing = [each for item, path, _ in _each(case) for each in ask(path, item, "rated_power")]
    for table in ("wind", "hydro"):
        for item in getattr(design, table):
            missing += ask(f"{table}.{item.id}", item, "rated_power")
    if missing:
        title = "Not known whether the diversion load takes what the turbines make"
        yield unknown("diversion-power", where, title, missing, source, Signal.WARNING)
        return
    value = sum(float(item.rated_power or 0.0) for item in design.diversions)
    made = sum(float(getattr(item, "rated_power", None) or 0.0) for item in turbines)
    limit = case.family.diversion_load_factor * made
    bad = under(value, limit)
    yield Finding(
        rule="diversion-power",
        where=where,
        field=f"{where}.rated_power",
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.WARNING if bad else Signal.NONE,
        title=(
            f"Diversion load {case.show(value, 'W')}, turbines {case.show(made, 'W')}: "
            f"{case.show(limit, 'W')} needed"
        ),
        remedy=f"{TURNS} A larger load, or a second one." if bad else "",
        value=value,
        limit=limit,
        unit="W",
        margin=room_above(value, limit),
        source=source,
        steps=tuple(
            step for _, _, circuit in _each(case) if circuit for step in steps(circuit.steps, "current")
        ),
    )


def diversion_current(case: Case) -> Iterator[Finding]:
    """What each controller's loads draw at the highest battery voltage, against its rating."""
    source = case.family.clause("diversion")
    for controller in case.design.controllers:
        loads = [each for each in _each(case) if each[0].controller == controller.id]
        if not loads:
            continue
        where = loads[0][1]
        drawn = [None if circuit is None else circuit.running_current for _, _, circuit in loads]
        limit, known = controller.current_limit, [amps for amps in drawn if amps is not None]
        if limit is None or len(known) < len(drawn):
            title = f"Not known whether {label(controller)} carries its load"
            missing = _lacking(controller, loads)
            yield unknown("diversion-current", where, title, missing, source, Signal.WARNING)
            continue
        value = sum(known)
        bad = over(value, limit)
        yield Finding(
            rule="diversion-current",
            where=where,
            field=f"{where}.resistance",
            status=Status.FAILS if bad else Status.MEETS,
            signal=Signal.WARNING if bad else Signal.NONE,
            title=(
                f"{label(controller)}: its load draws {case.show(value, 'A')} at the highest voltage, "
                f"it carries {case.show(limit, 'A')}"
            ),
            remedy="A load of higher resistance, or a second controller with its own load." if bad else "",
            value=value,
            limit=float(limit),
            unit="A",
            margin=room_below(value, limit),
            source=source,
            steps=tuple(
                s for _, _, each in loads if each for s in steps(each.steps, "current", "load_power")
            ),
        )


def _lacking(
    controller: Controller, loads: list[tuple[Diversion, str, CircuitResult | None]]
) -> tuple[Missing, ...]:
    own = ask(f"controllers.{controller.id}", controller, "current_limit")
    return (*own, *(missing for _, _, circuit in loads if circuit for missing in circuit.missing))


def diversion_voltage(case: Case) -> Iterator[Finding]:
    """The load's rated voltage against the highest that the battery reaches."""
    source = case.family.clause("diversion")
    for diversion, where, _ in _each(case):
        value, limit = case.design.bank.highest_voltage, diversion.rated_voltage
        if value is None or limit is None:
            missing = (
                *ask(where, diversion, "rated_voltage"),
                *ask("bank", case.design.bank, "highest_voltage"),
            )
            title = f"Not known whether {label(diversion)} stands the battery's voltage"
            yield unknown("diversion-voltage", where, title, missing, source, Signal.WARNING)
            continue
        bad = over(value, limit)
        yield Finding(
            rule="diversion-voltage",
            where=where,
            field=f"{where}.rated_voltage",
            status=Status.FAILS if bad else Status.MEETS,
            signal=Signal.WARNING if bad else Signal.NONE,
            title=(
                f"{label(diversion)}: made for {case.show(limit, 'V')}, "
                f"the battery reaches {case.show(value, 'V')}"
            ),
            remedy="A load rated for more: it burns out when it is needed most." if bad else "",
            value=float(value),
            limit=float(limit),
            unit="V",
            margin=room_below(value, limit),
            source=source,
        )


def diversion_thermostat(case: Case) -> Iterator[Finding]:
    """Nothing of its own may cut a diversion load off while a turbine leans on it."""
    if not (case.design.wind or case.design.hydro):
        return
    source = case.family.clause("diversion")
    for diversion, where, _ in _each(case):
        said = diversion.own_thermostat
        if said is None:
            title = f"{label(diversion)}: not known whether a thermostat can cut it off"
            missing = ask(where, diversion, "own_thermostat")
            yield unknown("diversion-thermostat", where, title, missing, source, Signal.WARNING)
            continue
        yield Finding(
            rule="diversion-thermostat",
            where=where,
            field=f"{where}.own_thermostat",
            status=Status.FAILS if said else Status.MEETS,
            signal=Signal.WARNING if said else Signal.NONE,
            title=f"{label(diversion)}: {'its thermostat can cut it off' if said else 'nothing cuts it off'}",
            remedy=f"{TURNS} Take the thermostat out of the circuit, or add a load without one."
            if said
            else "",
            value="thermostat" if said else "none",
            limit="none",
            source=source,
        )
