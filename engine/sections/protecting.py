"""What protects a circuit: kind and rating of its device, its class, and what it does in a fault."""

from __future__ import annotations

from engine.design import Circuit, Device
from engine.physics.devices import device_rating, device_voltage_class
from engine.physics.fault import fault_withstand
from engine.physics.trip import curve_of, device_trip
from engine.sections.notes import Notes
from engine.sections.plans.plan import Plan
from engine.sections.results import Assumed
from engine.sections.sizing import Sized
from engine.tables import OutsideTable
from engine.tables.family import Family
from engine.worksheet import CannotCalculate

LONGEST_FAULT = 5.0  # s: the adiabatic rule ends there, and overload protection takes over


def design_current(family: Family, plan: Plan) -> float | None:
    """With the factor for continuous duty, where the plan does not carry its own."""
    if plan.design_current is not None or plan.current is None:
        return plan.design_current
    return plan.current * (family.continuous_factor if plan.continuous else 1.0)


def device_kind(plan: Plan, held: Device | None, notes: Notes) -> str:
    """Fuse or breaker: as in hand, else a fuse in a string and on the battery, whose faults are great."""
    if held is not None and held.kind in ("breaker", "fuse"):
        return held.kind
    if plan.kind == "string":
        return "fuse"
    if not plan.way and plan.kind != "bank":
        return "breaker"
    notes.suppose(
        Assumed(f"circuits.{plan.id}.device", "Kind of device", "fuse", "the usual one on a battery")
    )
    return "fuse"


def heat(
    plan: Plan, held: Device | None, kind: str, chosen: float | None, fault: float | None
) -> tuple[float, float] | None:
    """The fault that a conductor must stand and for how long [A, s]; the sun's is no more than its load.

    ``None`` where it isn't known, or where the device opens by overload only, which the ampacity covers. A
    device beyond the tables counts as the slowest.
    """
    rating = held.current if held is not None and held.current is not None else chosen
    if fault is None or not rating or not (plan.most is not None or plan.system == "ac"):
        return None
    curve = curve_of(held.curve) if held is not None else "unmarked"
    try:
        trip = device_trip(
            fault_current=fault, rating=float(rating), kind=kind, curve=curve, system=plan.system
        )
    except (CannotCalculate, OutsideTable):
        return fault, LONGEST_FAULT
    return None if trip.time is None or trip.time > LONGEST_FAULT else (fault, trip.time)


def opens(
    plan: Plan,
    record: Circuit,
    held: Device | None,
    kind: str,
    chosen: float | None,
    weakest: float | None,
    sized: Sized,
    notes: Notes,
) -> bool | None:
    """Whether the conductor stands the weakest fault until its device opens, with the worked steps of both.

    ``None`` where that is not known, or where heat leaves the conductor meanwhile.
    """
    rating = held.current if held is not None and held.current is not None else chosen
    if weakest is None or not rating or plan.array is not None or not plan.protected:
        return None
    curve = curve_of(held.curve) if held is not None else "unmarked"
    trip = notes.keep(
        "trip",
        device_trip,
        fault_current=weakest,
        rating=float(rating),
        kind=kind,
        curve=curve,
        system=plan.system,
    )
    if trip is None or trip.time is None or trip.time > LONGEST_FAULT or sized.size is None:
        return None
    found = notes.keep(
        "trip_withstand",
        fault_withstand,
        size=sized.size,
        material=record.use("material"),
        insulation=float(record.use("insulation")),
        compound="thermoplastic",
        fault_current=weakest / int(record.use("parallel")),
        time=trip.time,
    )
    return None if found is None else bool(found.withstands)


def device(family: Family, plan: Plan, notes: Notes) -> tuple[bool, float | None, float | None]:
    """Whether a device guards conductor or modules, the least rating, and the standard rating chosen [A].

    A string without need of a fuse has none; its disconnect is another question.
    """
    if not plan.protected:
        return False, design_current(family, plan), None
    if plan.guards_modules:
        if plan.fuse is None:
            return True, None, None
        return plan.fuse.required, plan.fuse.minimum, plan.fuse.rating if plan.fuse.required else None
    if plan.current is None:
        return True, None, None
    given = {"current": plan.current, "continuous": plan.continuous, "rules": family}
    found = notes.keep("device", device_rating, **given)
    return (
        (True, design_current(family, plan), None) if found is None else (True, found.minimum, found.rating)
    )


def voltage_class(family: Family, plan: Plan, notes: Notes) -> float | None:
    if plan.voltage is None:
        return None
    given = {"voltage": plan.voltage, "system": plan.system, "rules": family}
    found = notes.keep("voltage_class", device_voltage_class, **given)
    return None if found is None else float(found.voltage_class)
