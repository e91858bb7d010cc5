"""String fuses: whether the others can push more into a faulted string than its modules stand."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, needed, room_below, steps, unknown
from engine.sections.results import ArrayResult

DATA = ("isc", "strings", "module", "series_fuse", "controller", "back_feed")


def string_fuse(case: Case) -> Iterator[Finding]:
    """Needed where reverse current passes the module's largest series fuse; the rating must fit between."""
    source = case.family.clause("string_fuse")
    for array in case.arrays.values():
        where = f"arrays.{array.array}"
        if array.fuse is None:
            title = f"{array.label}: not known whether its strings need fuses"
            missing = needed(array.missing, *DATA)
            yield unknown("string-fuse", where, title, missing, source, Signal.WARNING)
            continue
        yield _judge(case, array)


def _judge(case: Case, array: ArrayResult) -> Finding:
    fuse = array.fuse
    assert fuse is not None
    where = f"arrays.{array.array}"
    limit = fuse.maximum if fuse.limit is None else fuse.limit
    reverse, largest = case.show(fuse.reverse_current, "A"), case.show(fuse.maximum, "A")
    none = fuse.required and fuse.rating is None
    if none:
        title = f"{array.label}: fuses needed and none fits, {case.show(fuse.minimum, 'A')} to {largest}"
        remedy = "Fewer strings in parallel, or modules with a larger series fuse."
    elif fuse.required and fuse.rating is not None:
        title = (
            f"{array.label}: a {case.show(fuse.rating, 'A')} fuse in each string, {reverse} could flow back"
        )
        remedy = "Fuses rated for dc at the string's voltage, in holders that open only without current."
    else:
        title = (
            f"{array.label}: no string fuses needed, {reverse} could flow back, "
            f"modules stand {case.show(limit, 'A')}"
        )
        remedy = ""
    return Finding(
        rule="string-fuse",
        where=where,
        field=f"{where}.strings",
        status=Status.FAILS if none else Status.MEETS,
        signal=Signal.WARNING if none else Signal.NONE,
        title=title,
        remedy=remedy,
        value=fuse.reverse_current,
        limit=limit,
        unit="A",
        margin=room_below(fuse.reverse_current, limit) if not fuse.required else None,
        source=case.family.clause("string_fuse"),
        steps=steps(array.steps, "fuse"),
    )
