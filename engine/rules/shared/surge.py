"""Surge protective devices: where lightning makes them needed, at which ends, and for which voltage."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from engine.design import Array, label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, room_above, room_below, steps, under, unknown
from engine.sections.results import CircuitResult, ask
from engine.sources import COMMON_PRACTICE, Source

FEWEST = 0.001  # flashes a km² and year: fewer than any map tells, and the length stays a number
BOTH_ENDS = 10.0  # m: one device protects no further (IEC 61643-32, from memory)
CARRYING = ("string", "run", "alternator", "brake")  # the ends of circuit ids between source and controller


@dataclass(frozen=True, slots=True)
class _Source:
    """A source with the circuits to its controller: ``run`` is the last of them, ``length`` [m] of all."""

    table: str
    title: str
    run: CircuitResult
    circuits: tuple[CircuitResult, ...]
    length: float | None
    on_building: bool


def _sources(case: Case) -> Iterator[_Source]:
    for table in ("arrays", "wind", "hydro"):
        for item in getattr(case.design, table):
            ids = [f"{item.id}-{end}" for end in CARRYING]
            circuits = tuple(case.circuits[id] for id in ids if id in case.circuits)
            run = case.circuits.get(f"{item.id}-run")
            if run is None:
                continue
            lengths = [circuit.length for circuit in circuits]
            total = None if None in lengths else sum(length or 0.0 for length in lengths)
            built = isinstance(item, Array) and item.on_building is not False
            yield _Source(table, label(item), run, circuits, total, built)


def surge(case: Case) -> Iterator[Finding]:
    """The longer the conductors and the more the lightning, the more a stroke nearby induces in them."""
    for of in _sources(case):
        asks, where = case.family.protection, f"circuits.{of.run.id}"
        density = case.design.site.lightning
        length = asks.surge_length_building if of.on_building else asks.surge_length_open
        limit = length / max(float(density), FEWEST) if density else None
        always = of.table == "wind" and asks.surge_wind
        asked = always or limit is None or of.length is None or not under(of.length, limit)
        ends = _ends(case, of)
        source, title = _clause(case, of), f"{of.title}: surge protective devices"
        if asked and (ends is None or (of.length is None and "none" in ends and not always)):
            record = case.design.circuit(of.run.id)
            missing = (*ask(where, record, "surge", "length"), *ask("site", case.design.site, "lightning"))
            yield unknown("surge", where, f"{title} not known", missing, source)
            continue
        yield _judge(case, of, ends or "none", asked, limit, source)


def _clause(case: Case, of: _Source) -> Source:
    asks = case.family.protection
    if of.table == "wind" and asks.surge_wind:
        return case.family.clause("surge_wind")
    return case.family.clause("surge") if asks.surge else COMMON_PRACTICE


def _ends(case: Case, of: _Source) -> str | None:
    """Where surge devices stand between a source and its controller, all its circuits taken together."""
    said = [case.design.circuit(circuit.id).surge for circuit in of.circuits]
    held = {each for each in said if each not in (None, "none")}
    if "both ends" in held or len(held) > 1:
        return "both ends"
    return held.pop() if held else "none" if "none" in said else None


def _judge(case: Case, of: _Source, ends: str, asked: bool, limit: float | None, source: Source) -> Finding:
    none = asked and ends == "none"
    one = asked and not none and ends != "both ends" and of.length is not None and of.length > BOTH_ENDS
    ruled = source is not COMMON_PRACTICE
    where = f"circuits.{of.run.id}"
    from_on = f", asked for from {case.show(limit, 'm')} on" if limit is not None else ""
    long = f", {case.show(of.length, 'm')} of conductors" if of.length is not None else ""
    told = f"{ends}{long}{from_on}" if asked else f"{ends}, not asked for here{long}{from_on}"
    return Finding(
        rule="surge",
        where=where,
        field=f"{where}.surge",
        status=Status.FAILS if none and ruled else Status.MARGINAL if none or one else Status.MEETS,
        signal=Signal.CAUTION if none or one else Signal.NONE,
        title=f"{of.title}: surge protective devices {told}",
        remedy=_remedy(none, one, limit),
        value=of.length,
        limit=limit,
        unit="m",
        margin=None if of.length is None or limit is None else room_below(of.length, limit),
        source=source,
    )


def _remedy(none: bool, one: bool, limit: float | None) -> str:
    if none:
        told = "Surge protective devices at both ends of the run."
        return told if limit is not None else f"{told} Without ground flashes of the site they are asked for."
    return "One protects nothing more than 10 m away: put devices at both ends." if one else ""


def surge_voltage(case: Case) -> Iterator[Finding]:
    """A surge device must stand the highest voltage of its circuit for ever, or it conducts and burns."""
    source = case.family.clause("surge")
    for circuit in case.circuits.values():
        record, where = case.design.circuit(circuit.id), f"circuits.{circuit.id}"
        if record.surge in (None, "none"):
            continue
        array = case.arrays.get(circuit.array or "")
        standard = array.open_standard if array is not None else None
        least, value = circuit.voltage, record.surge_voltage
        if least is None or value is None or (array is not None and standard is None):
            missing = (*ask(where, record, "surge_voltage"), *(circuit.missing if least is None else ()))
            title = f"{circuit.title}: not known whether its surge devices stand the voltage"
            yield unknown("surge-voltage", where, title, missing, source, Signal.WARNING)
            continue
        least = max(least, case.family.protection.surge_factor * (standard or 0.0))
        limit = max(least, circuit.voltage_record or 0.0)
        fails, warns = under(value, least), under(value, limit)
        yield Finding(
            rule="surge-voltage",
            where=where,
            field=f"{where}.surge_voltage",
            status=Status.FAILS if fails else Status.MARGINAL if warns else Status.MEETS,
            signal=Signal.WARNING if warns else Signal.NONE,
            title=(
                f"{circuit.title}: surge devices stand {case.show(value, 'V')}, need {case.show(limit, 'V')}"
            ),
            remedy="Surge devices for a higher continuous voltage." if warns else "",
            value=float(value),
            limit=limit,
            unit="V",
            margin=room_above(value, limit),
            source=source,
            steps=steps(circuit.steps, "voltage", "voltage_record"),
        )
