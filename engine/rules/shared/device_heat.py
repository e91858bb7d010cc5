"""Overcurrent devices in the heat of their box."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, room_above, under, unknown
from engine.sections.device_heat import in_heat
from engine.sections.notes import Notes


def device_heat(case: Case) -> Iterator[Finding]:
    """In a hot box a breaker trips below its rating: what is left must carry what flows for hours."""
    source = case.family.clause("device_ambient")
    for circuit in case.circuits.values():
        where, notes = f"circuits.{circuit.id}", Notes()
        if not circuit.device_needed:
            continue
        step, limit = in_heat(case.design, circuit, notes), circuit.current
        if step is None or limit is None:
            missing = (*notes.missing, *circuit.missing)
            title = f"{circuit.title}: not known whether its device carries the current in the heat"
            yield unknown("device-heat", where, title, missing, source)
            continue
        ambient, value = dict(step.inputs)["ambient"], float(step.result.current)
        low = under(value, limit)
        yield Finding(
            rule="device-heat",
            where=where,
            field=f"{where}.device_ambient",
            status=Status.FAILS if low else Status.MEETS,
            signal=Signal.CAUTION if low else Signal.NONE,
            title=(
                f"{circuit.title}: its device carries {case.show(value, 'A')} at "
                f"{case.show(ambient, 'degC')}, {case.show(limit, 'A')} flow"
            ),
            remedy="A cooler box, or a larger rating that the conductor allows." if low else "",
            value=value,
            limit=limit,
            unit="A",
            margin=room_above(value, limit),
            source=source,
            steps=(step,),
        )
