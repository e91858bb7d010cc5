"""What an inverter asks of its dc cable and device beside its mean current: the surge, and the ripple."""

from __future__ import annotations

from collections.abc import Iterable

from engine.design import Device, Inverter
from engine.fields import Record
from engine.physics.battery_current import inverter_dc_current
from engine.physics.early_trip import device_early_trip
from engine.physics.ripple import inverter_ripple
from engine.physics.trip import curve_of
from engine.sections.notes import Notes
from engine.sections.plans.plan import Plan
from engine.tables.family import Family


def inverter_duty(
    family: Family,
    plan: Plan,
    ends: Iterable[Record | None],
    device: Device | None,
    kind: str,
    rating: float | None,
    notes: Notes,
) -> None:
    """Keep the steps ``ripple``, ``surge`` and ``surge_trip`` of the circuit to an inverter.

    What is missing for the surge is noted; how long it lasts has a long default.
    """
    inverter = next((end for end in ends if isinstance(end, Inverter)), None)
    drawn = plan.steps.get("current")
    if plan.kind != "inverter" or inverter is None or plan.current is None or drawn is None:
        return
    path = f"inverters.{inverter.id}"
    notes.keep("ripple", inverter_ripple, current=plan.current, phases=int(inverter.use("phases")))
    if inverter.surge is None:
        return
    notes.assume(path, inverter, "surge_time")
    given = {**dict(drawn.inputs), "power": float(inverter.surge), "rules": family}
    surge = notes.keep("surge", inverter_dc_current, **given)
    if surge is None or not rating:
        return
    curve = curve_of(device.curve) if device is not None else "unmarked"
    notes.keep(
        "surge_trip",
        device_early_trip,
        current=float(surge.current),
        rating=float(rating),
        kind=kind,
        curve=curve,
    )
