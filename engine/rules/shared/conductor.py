"""Conductors: what the sizing chose or the designer fixed, against every check, drop and terminal."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, over, room_below, steps, unknown
from engine.sections.results import Check, CircuitResult
from engine.sources import Source

CLAUSES = {
    "terminal": "terminals",
    "ampacity": "conductor_ampacity",
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
}


def _where(circuit: CircuitResult) -> str:
    return f"circuits.{circuit.id}"


def conductor(case: Case) -> Iterator[Finding]:
    """Every check of the conductor; the one with the least room speaks."""
    for circuit in case.circuits.values():
        where = _where(circuit)
        source = case.family.clause("conductor_ampacity")
        checks = [check for check in circuit.checks if check.name != "drop"]
        if circuit.conductor is None or not checks:
            title = f"{circuit.title}: no conductor chosen"
            if circuit.missing:
                yield unknown("conductor", where, title, circuit.missing, source, Signal.WARNING)
            else:
                yield _no_size(circuit, title, source)
            continue
        worst = min(checks, key=lambda check: (check.ok, _room(check)))
        bad = not all(check.ok for check in checks)
        yield Finding(
            rule="conductor",
            where=where,
            field=f"{where}.size",
            status=Status.FAILS if bad else Status.MEETS,
            signal=Signal.WARNING if bad else Signal.NONE,
            title=f"{circuit.title}: {_told(case, circuit, worst)}",
            remedy=_remedy(circuit, bad),
            value=worst.need,
            limit=worst.capacity,
            unit=worst.unit,
            margin=_room(worst),
            source=case.family.clause(CLAUSES.get(worst.name, "conductor_ampacity")),
            steps=steps(circuit.steps, "current", "ampacity", "conductor", "device_largest"),
        )


def _room(check: Check) -> float:
    return room_below(check.need, check.capacity) if check.capacity else -1.0


def _told(case: Case, circuit: CircuitResult, check: Check) -> str:
    size = circuit.conductor.text if circuit.conductor else ""
    fixed = "fixed at " if circuit.pinned else ""
    need, capacity = case.show(check.need, check.unit), case.show(check.capacity, check.unit)
    return f"{fixed}{size}, {WORDS.get(check.name, check.name)} {capacity}, needs {need}"


def _remedy(circuit: CircuitResult, bad: bool) -> str:
    if bad:
        return "A larger conductor; leave the size empty to have it chosen."
    if circuit.smaller is not None and circuit.smaller_fails:
        failed = FAILED.get(circuit.smaller_fails, circuit.smaller_fails)
        return f"{circuit.smaller.text} would fail by {failed}."
    return ""


def _no_size(circuit: CircuitResult, title: str, source: Source) -> Finding:
    return Finding(
        rule="conductor",
        where=_where(circuit),
        field=f"{_where(circuit)}.ambient",
        status=Status.FAILS,
        signal=Signal.WARNING,
        title=f"{title}: no size of the table carries {circuit.design_current or 0:.4g} A here",
        remedy="Conductors in parallel, a cooler run, or a higher array voltage.",
        value=circuit.design_current,
        unit="A",
        source=source,
        steps=steps(circuit.steps, "current"),
    )


def voltage_drop(case: Case) -> Iterator[Finding]:
    """Running drop against what the designer allows: energy and regulation, not safety."""
    source = case.family.clause("voltage_drop")
    for circuit in case.circuits.values():
        where = _where(circuit)
        value, limit = circuit.drop_fraction, circuit.drop_allowed
        if value is None or limit is None:
            title = f"{circuit.title}: voltage drop not known"
            yield unknown("voltage-drop", where, title, circuit.missing, source)
            continue
        bad = over(value, limit)
        lost = f", {case.show(circuit.loss, 'W')} lost" if circuit.loss is not None else ""
        yield Finding(
            rule="voltage-drop",
            where=where,
            field=f"{where}.size" if circuit.pinned else f"{where}.length",
            status=Status.MARGINAL if bad else Status.MEETS,
            title=f"{circuit.title}: {case.show(value, '%')} drop of {case.show(limit, '%')} allowed{lost}",
            remedy="A larger conductor, a shorter run, or a higher array voltage." if bad else "",
            value=value,
            limit=limit,
            unit="%",
            margin=room_below(value, limit),
            source=source,
            steps=steps(circuit.steps, "drop"),
        )


def insulation_voltage(case: Case) -> Iterator[Finding]:
    """The conductor's insulation against the highest voltage: design low decides, record low warns."""
    source = case.family.clause("pv_voltage")
    for circuit in case.circuits.values():
        where = _where(circuit)
        limit = case.design.circuit(circuit.id).use("insulation_voltage")
        value, worst = circuit.voltage, circuit.voltage_record
        if value is None or limit is None:
            title = f"{circuit.title}: not known whether its insulation stands the voltage"
            yield unknown("insulation-voltage", where, title, circuit.missing, source)
            continue
        fails, warns = over(value, limit), worst is not None and over(worst, limit)
        highest = worst if warns and worst is not None else value
        yield Finding(
            rule="insulation-voltage",
            where=where,
            field=f"{where}.insulation_voltage",
            status=Status.FAILS if fails else Status.MARGINAL if warns else Status.MEETS,
            signal=Signal.WARNING if fails or warns else Signal.NONE,
            title=f"{circuit.title}: {case.show(highest, 'V')} on insulation for {case.show(limit, 'V')}",
            remedy="A conductor with higher insulation voltage." if fails or warns else "",
            value=highest,
            limit=float(limit),
            unit="V",
            margin=room_below(highest, limit),
            source=source,
            steps=steps(circuit.steps, "voltage", "voltage_record"),
        )


def terminal_size(case: Case) -> Iterator[Finding]:
    """A conductor must go into its terminal."""
    for circuit in case.circuits.values():
        controller = case.design.find("controllers", circuit.controller)
        largest = getattr(controller, "largest_wire", None)
        if largest is None or circuit.conductor is None or circuit.kind == "string":
            continue
        bad = circuit.conductor.area_mm2 > largest.area_mm2
        yield Finding(
            rule="terminal-size",
            where=_where(circuit),
            field=f"{_where(circuit)}.size",
            status=Status.FAILS if bad else Status.MEETS,
            title=f"{circuit.title}: {circuit.conductor.text} into terminals for {largest.text} at most",
            remedy="A junction to a smaller conductor close by, sized for the current, or parallel runs."
            if bad
            else "",
            value=circuit.conductor.text,
            limit=largest.text,
            source=case.family.clause("terminals"),
        )


def earthing_size(case: Case) -> Iterator[Finding]:
    """An earthing conductor that the designer fixed, against the least that clears a fault."""
    source = case.family.clause("equipment_earthing")
    for circuit in case.circuits.values():
        where = _where(circuit)
        fixed = case.design.circuit(circuit.id).earthing
        if fixed is None:
            continue
        if circuit.earthing is None:
            title = f"{circuit.title}: not known which earthing conductor it needs"
            yield unknown("earthing-size", where, title, circuit.missing, source, Signal.WARNING)
            continue
        bad = over(circuit.earthing.area_mm2, fixed.area_mm2)
        yield Finding(
            rule="earthing-size",
            where=where,
            field=f"{where}.earthing",
            status=Status.FAILS if bad else Status.MEETS,
            signal=Signal.WARNING if bad else Signal.NONE,
            title=f"{circuit.title}: earthing conductor {fixed.text}, needs {circuit.earthing.text}",
            remedy="A larger earthing conductor: this one may not let the device clear a fault."
            if bad
            else "",
            value=circuit.earthing.area_mm2,
            limit=fixed.area_mm2,
            unit="mm^2",
            margin=room_below(circuit.earthing.area_mm2, fixed.area_mm2),
            source=source,
            steps=steps(circuit.steps, "earthing"),
        )
