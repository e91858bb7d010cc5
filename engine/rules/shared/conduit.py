"""Conduit: the trade size in hand against what lies in it."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.physics.conduit import inside_area
from engine.rules.judging import Spot, at_most, each_circuit, steps, unknown
from engine.sections.notes import field
from engine.sections.results import Missing, ask
from engine.tables import OutsideTable
from engine.units import show_apart


@each_circuit
def conduit_fill(spot: Spot) -> Iterator[Finding]:
    """What the conductors fill of the conduit in hand; too much hurts insulation as it is drawn in."""
    circuit, record, where = spot.circuit, spot.record, spot.where
    source, step, fixed = spot.family.clause("conduit"), circuit.steps.get("conduit"), record.conduit
    if step is None:
        if fixed is not None:
            title = f"{circuit.title}: not known whether its conductors fit into conduit of {fixed}"
            yield unknown("conduit-fill", where, title, _missing(spot), source)
        return
    if fixed is None:
        if circuit.conduit is None:
            yield _none_holds(spot)
        return
    kind, needs = str(record.use("conduit_kind")), circuit.conduit or "more than one conduit"
    try:
        inside = inside_area(kind, fixed)
    except OutsideTable:
        title = f"{circuit.title}: no conduit of {fixed} is known of this kind ({kind})"
        yield unknown("conduit-fill", where, title, (field(where, record, "conduit_kind"),), source)
        return
    value, limit = float(step.result.area) / inside, float(step.result.share)
    filled, allowed = show_apart(value, limit, "%", spot.habit)
    yield at_most(
        rule="conduit-fill",
        where=where,
        field=f"{where}.conduit",
        signal=Signal.CAUTION,
        title=f"{circuit.title}: {filled} of its {fixed} conduit filled, {allowed} allowed",
        remedy=f"Conduit of {needs}; or enter the conductors' own outside diameter.",
        value=value,
        limit=limit,
        unit="%",
        source=source,
        steps=steps(circuit.steps, "conduit"),
    )


def _missing(spot: Spot) -> tuple[Missing, ...]:
    """What keeps the fill from being known: the conductor, its diameter, or a method of no conduit."""
    circuit, where, conduit = spot.circuit, spot.where, spot.family.conduit
    if circuit.conductor is None:
        return circuit.missing
    title = spot.record.specs()["method"].title
    method = Missing(
        f"{where}.method", f"{title} (in conduit: {', '.join((*conduit.methods, *conduit.cables))})"
    )
    return (*ask(where, spot.record, "diameter"), method)


def _none_holds(spot: Spot) -> Finding:
    circuit = spot.circuit
    result = circuit.steps["conduit"].result
    return Finding(
        rule="conduit-fill",
        where=spot.where,
        field=f"{spot.where}.conductors",
        status=Status.MARGINAL,
        title=f"{circuit.title}: no usual conduit holds all that share it, {_needs(spot, result.least)}",
        remedy="Share them out over several conduits, and enter how many conductors lie in each.",
        value=float(result.least),
        unit="mm^2",
        source=spot.family.clause("conduit"),
        steps=steps(circuit.steps, "conduit"),
    )


def _needs(spot: Spot, area: float) -> str:
    return f"{spot.show(area, 'mm^2')} inside are needed"
