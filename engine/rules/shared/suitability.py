"""Whether a conductor is made for where it lies: water, sun, and an earthing conductor without cover."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Spot, at_least, each_circuit, unknown
from engine.sections.results import ask
from engine.sizes import parse_size

WET = ("outdoors", "roof", "buried")
SUNNY = ("outdoors", "roof")
OPEN = ("free air", "free-air", "C", "E", "F", "G")  # methods without an enclosure about the conductors


def _in_open(spot: Spot) -> bool:
    """Whether it runs under the sky without an enclosure about it."""
    return spot.record.use("place") in SUNNY and (spot.record.method or spot.family.method) in OPEN


@each_circuit
def wet_rated(spot: Spot) -> Iterator[Finding]:
    """Outdoors, on a roof and in the ground there is water in every raceway."""
    place = spot.record.use("place")
    if place in WET:
        yield _made_for(spot, "wet", "wet-rated", f"water where it runs ({place})")


@each_circuit
def sunlight(spot: Spot) -> Iterator[Finding]:
    """Without an enclosure the sun eats insulation that is not made for it."""
    if _in_open(spot):
        yield _made_for(spot, "sunlight", "sunlight", "the sun, in the open")


@each_circuit
def fine_strand(spot: Spot) -> Iterator[Finding]:
    """A screw made for coarse strands cuts and loses fine ones: the joint loosens, heats and burns."""
    where, source, circuit, made = spot.where, spot.family.clause("fine_strand"), spot.circuit, "fine strands"
    ends = spot.record.fine_ends
    if not spot.record.fine_strand:
        return
    if ends is None:
        title = f"{circuit.title}: not known whether its ends are made for {made}"
        yield unknown("fine-strand", where, title, ask(where, spot.record, "fine_ends"), source)
        return
    yield Finding(
        rule="fine-strand",
        where=where,
        field=f"{where}.fine_ends",
        status=Status.MEETS if ends else Status.FAILS,
        signal=Signal.NONE if ends else Signal.WARNING,
        title=f"{circuit.title}: its ends are {'made' if ends else 'not made'} for {made}",
        remedy="" if ends else "Lugs, ferrules or terminals listed for them, or coarse strands.",
        value="yes" if ends else "no",
        limit="yes",
        source=source,
    )


def _made_for(spot: Spot, name: str, rule: str, what: str) -> Finding:
    where, source, circuit, record = spot.where, spot.family.clause(name), spot.circuit, spot.record
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


@each_circuit
def exposed_earthing(spot: Spot) -> Iterator[Finding]:
    """A thin earthing conductor without cover breaks, and nobody sees it."""
    circuit, where, source = spot.circuit, spot.where, spot.family.clause("exposed_earthing")
    size = spot.record.earthing or circuit.earthing
    if not _in_open(spot):
        return
    if size is None:
        title = f"{circuit.title}: earthing conductor not known"
        yield unknown("exposed-earthing", where, title, circuit.missing, source)
        return
    least = parse_size(spot.family.protection.exposed_earthing)
    yield at_least(
        rule="exposed-earthing",
        where=where,
        field=f"{where}.earthing",
        worse=Status.MARGINAL,
        signal=Signal.CAUTION,
        title=f"{circuit.title}: earthing conductor {size.text} in the open, {least.text} stands alone",
        remedy=f"Cover or fix it all along, or use {least.text}.",
        value=size.area_mm2,
        limit=least.area_mm2,
        unit="mm^2",
        source=source,
    )
