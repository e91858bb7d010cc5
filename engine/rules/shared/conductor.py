"""Conductors: what the sizing chose or the designer fixed, against every check, drop and terminal."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Spot, at_most, each_circuit, over, room_below, steps, unknown
from engine.rules.shared.device import unproved
from engine.sections.results import Check, CircuitResult
from engine.sizes import Size
from engine.sources import Source

ELSEWHERE = ("drop", "fault")  # checks that have a rule of their own
CLAUSES = {
    "terminal": "terminals",
    "small-conductor": "small_conductor",
    "device": "next_rating",
}
WORDS = {
    "terminal": "its terminals allow",
    "ampacity": "derated ampacity",
    "small-conductor": "the small-conductor ceiling is",
    "device": "the largest device on it is",
    "reverse current": "against reverse current it carries",
    "parallel": "in parallel the least size is",
}
FAILED = {
    "terminal": "its terminals",
    "ampacity": "its derated ampacity",
    "small-conductor": "the small-conductor ceiling",
    "device": "the device it allows",
    "drop": "voltage drop",
    "fault": "the heat of a fault",
}


def _ampacity(spot: Spot) -> str:
    return "conductor_ampacity" if spot.circuit.array is not None else "circuit_conductor"


@each_circuit
def conductor(spot: Spot) -> Iterator[Finding]:
    """Every check of the conductor; the one with the least room speaks."""
    circuit, where = spot.circuit, spot.where
    source = spot.family.clause(_ampacity(spot))
    checks = [check for check in circuit.checks if check.name not in ELSEWHERE]
    if circuit.conductor is None or not checks:
        title = f"{circuit.title}: no conductor chosen"
        if circuit.missing:
            yield unknown("conductor", where, title, circuit.missing, source, Signal.WARNING)
        else:
            yield _no_size(spot, title, source)
        return
    worst = min(checks, key=lambda check: (check.ok, _room(check)))
    bad = not all(check.ok for check in checks)
    yield Finding(
        rule="conductor",
        where=where,
        field=f"{where}.size",
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.WARNING if bad else Signal.NONE,
        title=f"{circuit.title}: {_told(spot, circuit.conductor, worst)}",
        remedy=_remedy(circuit, bad),
        value=worst.need,
        limit=worst.capacity,
        unit=worst.unit,
        margin=_room(worst),
        source=spot.family.clause(CLAUSES.get(worst.name, _ampacity(spot))),
        steps=steps(circuit.steps, "current", "conductor", "device_largest"),
    )


def _room(check: Check) -> float:
    return room_below(check.need, check.capacity) if check.capacity else -1.0


def _told(spot: Spot, size: Size, check: Check) -> str:
    fixed = "fixed at " if spot.circuit.pinned else ""
    need, capacity = spot.apart(check.need, check.capacity, check.unit)
    return f"{fixed}{size.text}, {WORDS.get(check.name, check.name)} {capacity}, needs {need}"


def _remedy(circuit: CircuitResult, bad: bool) -> str:
    if bad:
        return "A larger conductor; leave the size empty to have it chosen."
    if circuit.smaller is not None and circuit.smaller_fails:
        failed = FAILED.get(circuit.smaller_fails, circuit.smaller_fails)
        return f"{circuit.smaller.text} would fail by {failed}."
    return ""


def _no_size(spot: Spot, title: str, source: Source) -> Finding:
    circuit = spot.circuit
    task = f"carries {circuit.design_current or 0:.4g} A here"
    if circuit.governed_by == "fault":
        task = f"stands a fault of {circuit.fault_most or 0:.4g} A here"
    return Finding(
        rule="conductor",
        where=spot.where,
        field=f"{spot.where}.ambient",
        status=Status.FAILS,
        signal=Signal.WARNING,
        title=f"{title}: no size of the table {task}",
        remedy="Conductors in parallel, a cooler run, or a higher voltage."
        if circuit.governed_by != "fault"
        else "A device that lets less through, such as a fuse, or conductors in parallel.",
        value=circuit.design_current,
        unit="A",
        source=source,
        steps=steps(circuit.steps, "current"),
    )


@each_circuit
def voltage_drop(spot: Spot) -> Iterator[Finding]:
    """Running drop against what the designer allows: energy and regulation, not safety."""
    circuit, where, source = spot.circuit, spot.where, spot.family.clause("voltage_drop")
    value, limit = circuit.drop_fraction, circuit.drop_allowed
    if value is None or limit is None:
        title = f"{circuit.title}: voltage drop not known"
        yield unknown("voltage-drop", where, title, circuit.missing, source)
        return
    drops, allowed = spot.apart(value, limit, "%")
    lost = f", {spot.show(circuit.loss, 'W')} lost" if circuit.loss is not None else ""
    yield at_most(
        rule="voltage-drop",
        where=where,
        field=f"{where}.size" if circuit.pinned else f"{where}.length",
        worse=Status.MARGINAL,
        title=f"{circuit.title}: {drops} drop of {allowed} allowed{lost}",
        remedy="A larger conductor, a shorter run, or a higher voltage.",
        value=value,
        limit=limit,
        unit="%",
        source=source,
        steps=steps(circuit.steps, "drop"),
    )


@each_circuit
def insulation_voltage(spot: Spot) -> Iterator[Finding]:
    """The conductor's insulation against the highest voltage: design low decides, record low warns."""
    circuit, where = spot.circuit, spot.where
    source = spot.family.clause("pv_voltage" if circuit.array is not None else "insulation")
    limit = spot.record.use("insulation_voltage")
    value, worst = circuit.voltage, circuit.voltage_record
    if value is None or limit is None:
        title = f"{circuit.title}: not known whether its insulation stands the voltage"
        yield unknown("insulation-voltage", where, title, circuit.missing, source)
        return
    fails, warns = over(value, limit), worst is not None and over(worst, limit)
    highest = worst if warns and worst is not None else value
    stands, made_for = spot.apart(highest, limit, "V")
    yield Finding(
        rule="insulation-voltage",
        where=where,
        field=f"{where}.insulation_voltage",
        status=Status.FAILS if fails else Status.MARGINAL if warns else Status.MEETS,
        signal=Signal.WARNING if fails or warns else Signal.NONE,
        title=f"{circuit.title}: {stands} on insulation for {made_for}{unproved(circuit)}",
        remedy="A conductor with higher insulation voltage." if fails or warns else "",
        value=highest,
        limit=float(limit),
        unit="V",
        margin=room_below(highest, limit),
        source=source,
        steps=steps(circuit.steps, "voltage", "voltage_record"),
    )


@each_circuit
def terminal_size(spot: Spot) -> Iterator[Finding]:
    """A conductor must go into the terminals at its ends and those of its devices."""
    circuit, size = spot.circuit, spot.circuit.conductor
    found = [getattr(end, "largest_wire", None) for end in (*spot.ends, spot.device, spot.other)]
    taken = [largest for largest in found if largest is not None]
    if not taken or size is None:
        return
    least = min(taken)
    bad = size.area_mm2 > least.area_mm2
    yield Finding(
        rule="terminal-size",
        where=spot.where,
        field=f"{spot.where}.size",
        status=Status.FAILS if bad else Status.MEETS,
        title=f"{circuit.title}: {size.text} into terminals for {least.text} at most",
        remedy="A junction to a smaller conductor close by, sized for the current, or parallel runs."
        if bad
        else "",
        value=size.text,
        limit=least.text,
        source=spot.family.clause("terminals"),
    )


@each_circuit
def earthing_size(spot: Spot) -> Iterator[Finding]:
    """An earthing conductor that the designer fixed, against the least that clears a fault."""
    circuit, where, fixed = spot.circuit, spot.where, spot.record.earthing
    if fixed is None:
        return
    source = spot.family.clause("equipment_earthing")
    if circuit.earthing is None:
        title = f"{circuit.title}: not known which earthing conductor it needs"
        yield unknown("earthing-size", where, title, circuit.missing, source, Signal.WARNING)
        return
    yield at_most(
        rule="earthing-size",
        where=where,
        field=f"{where}.earthing",
        signal=Signal.WARNING,
        title=f"{circuit.title}: earthing conductor {fixed.text}, needs {circuit.earthing.text}",
        remedy="A larger earthing conductor: this one may not let the device clear a fault.",
        value=circuit.earthing.area_mm2,
        limit=fixed.area_mm2,
        unit="mm^2",
        source=source,
        steps=steps(circuit.steps, "earthing"),
    )
