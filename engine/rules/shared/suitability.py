"""Whether a conductor is made for where it lies: water, sun, and an earthing conductor without cover."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, needed, room_above, under, unknown
from engine.sections.results import CircuitResult, ask
from engine.sizes import parse_size

WET = ("outdoors", "roof", "buried")
SUNNY = ("outdoors", "roof")
OPEN = ("free air", "free-air", "C", "E", "F", "G")  # methods without an enclosure about the conductors


def _place(case: Case, circuit: CircuitResult) -> str:
    return str(case.design.circuit(circuit.id).use("place"))


def _is_open(case: Case, circuit: CircuitResult) -> bool:
    return (case.design.circuit(circuit.id).method or case.family.method) in OPEN


def wet_rated(case: Case) -> Iterator[Finding]:
    """Outdoors, on a roof and in the ground there is water in every raceway."""
    for circuit in case.circuits.values():
        place = _place(case, circuit)
        if place in WET:
            yield _made_for(case, circuit, "wet", "wet-rated", f"water where it runs ({place})")


def sunlight(case: Case) -> Iterator[Finding]:
    """Without an enclosure the sun eats insulation that is not made for it."""
    for circuit in case.circuits.values():
        place = _place(case, circuit)
        if place in SUNNY and _is_open(case, circuit):
            yield _made_for(case, circuit, "sunlight", "sunlight", f"the sun ({place}, in the open)")


def _made_for(case: Case, circuit: CircuitResult, name: str, rule: str, what: str) -> Finding:
    where, source = f"circuits.{circuit.id}", case.family.clause(name)
    record = case.design.circuit(circuit.id)
    suits = getattr(record, name)
    if suits is None:
        title, missing = f"{circuit.title}: not known whether it is made for {what}", ask(where, record, name)
        return unknown(rule, where, title, missing, source)
    return Finding(
        rule=rule,
        where=where,
        field=f"{where}.{name}",
        status=Status.MEETS if suits else Status.FAILS,
        signal=Signal.NONE if suits else Signal.WARNING,
        title=f"{circuit.title}: {'made' if suits else 'not made'} for {what}",
        remedy=""
        if suits
        else "A cable that is listed for it: insulation that fails carries a fault to earth.",
        value="yes" if suits else "no",
        limit="yes",
        source=source,
    )


def exposed_earthing(case: Case) -> Iterator[Finding]:
    """A thin earthing conductor without cover breaks, and nobody sees it."""
    least, source = (
        parse_size(case.family.protection.exposed_earthing),
        case.family.clause("exposed_earthing"),
    )
    for circuit in case.circuits.values():
        where = f"circuits.{circuit.id}"
        size = case.design.circuit(circuit.id).earthing or circuit.earthing
        if not _is_open(case, circuit) or _place(case, circuit) not in SUNNY:
            continue
        if size is None:
            title = f"{circuit.title}: earthing conductor not known"
            missing = needed(circuit.missing, "length", "ambient", "design_high") or circuit.missing
            yield unknown("exposed-earthing", where, title, missing, source)
            continue
        thin = under(size.area_mm2, least.area_mm2)
        yield Finding(
            rule="exposed-earthing",
            where=where,
            field=f"{where}.earthing",
            status=Status.MARGINAL if thin else Status.MEETS,
            signal=Signal.CAUTION if thin else Signal.NONE,
            title=f"{circuit.title}: earthing conductor {size.text} in the open, {least.text} stands alone",
            remedy=f"Cover or fix it all along, or use {least.text}." if thin else "",
            value=size.area_mm2,
            limit=least.area_mm2,
            unit="mm^2",
            margin=room_above(size.area_mm2, least.area_mm2),
            source=source,
        )
