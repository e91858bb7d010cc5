"""The conduit of a circuit: what lies in it, and the least trade size for that."""

from __future__ import annotations

from engine.design import Circuit
from engine.physics.conduit import conduit_fill, coverings
from engine.sections.laying import Laying
from engine.sections.notes import Notes
from engine.sections.plans.ac import LINE_TO_NEUTRAL
from engine.sections.plans.plan import Plan
from engine.sections.results import Assumed, assume
from engine.sizes import Size
from engine.tables.family import Family


def conduit(
    family: Family,
    plan: Plan,
    record: Circuit,
    lies: Laying | None,
    size: Size | None,
    earthing: Size | None,
    notes: Notes,
) -> str | None:
    """The least trade size for a circuit and what shares it; its step is kept as ``conduit``.

    ``None`` where it lies in no conduit, where something is not known, or where none is wide enough. All
    that share it count as of its size; of a whole cable the outside diameter must be known.
    """
    if lies is None or size is None:
        return None
    cables = lies.method in family.conduit.cables and record.diameter is not None
    if lies.method not in family.conduit.methods and not cables:
        return None
    path = f"circuits.{record.id}"
    usual = family.conduit.pv_covering if plan.array is not None else family.conduit.covering
    covering = record.covering if record.covering in coverings(family) else None
    if covering is None and record.diameter is None:
        title, why = record.specs()["covering"].title, "the thickest usual one"
        notes.suppose(Assumed(f"{path}.covering", title, usual, why))
    if family.sizes == "awg":
        notes.suppose(*assume(path, record, "conduit_kind"))
    known = [each for each in (record.earthing, earthing) if each is not None]
    found = notes.keep(
        "conduit",
        conduit_fill,
        size=size,
        conductors=lies.circuits if cables else _lying(family, plan, lies),
        covering=covering or usual,
        diameter=record.diameter,
        earthing=None if cables else max(known, default=size),
        earthing_bare=bool(record.earthing_bare),
        kind=str(record.use("conduit_kind")),
        rules=family,
    )
    return None if found is None else found.conduit


def _lying(family: Family, plan: Plan, lies: Laying) -> int:
    """Conductors in the conduit: those that carry current, and the neutrals that don't count among them."""
    live = lies.conductors if family.sizes == "awg" else lies.conductors * lies.circuits
    between_lines = family.sizes == "awg" and (plan.voltage or 0.0) > LINE_TO_NEUTRAL
    neutral = plan.kind in ("ac", "generator") and (plan.phases > 1 or between_lines)
    each = 3 if plan.phases == 3 else 2
    return live + (-(-live // each) if neutral else 0)
