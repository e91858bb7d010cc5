"""Faults: what a device can break, whether it opens at the least of them, what the conductor stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, Spot, at_most, each_circuit, needed, room_below, steps, unknown
from engine.sources import COMMON_PRACTICE

BATTERY = ("bank", "output", "inverter", "panel", "branch", "diversion")
LATE = 5.0  # s: later, the adiabatic rule ends and an arc goes on burning
LONG_BEFORE = 1.5  # m of conductor before a battery's device, 5 ft (common practice)
RESISTANCE = ("block_resistance", "block_resistance_aged")
SHEET = (
    "The maker's sheet states the resistance or the short-circuit current; as a mere orientation, lead-acid "
    "cells give some 6 to 12 A of fault current for each Ah (common practice)."
)


@each_circuit
def device_breaking(spot: Spot) -> Iterator[Finding]:
    """The most that a fault drives through the device in hand, against what it can break."""
    circuit, device, where = spot.circuit, spot.device, spot.where
    if device is None or device.kind == "switch":
        return
    source, fault = spot.family.clause("breaking"), circuit.fault_most
    if device.breaking is None or fault is None:
        wanted = (*spot.lacks("breaking"), *(circuit.fault_missing if fault is None else ()))
        title = f"{spot.name}: not known whether it breaks a fault"
        yield unknown("device-breaking", where, title, wanted, source, Signal.WARNING)
        return
    at = "" if circuit.system == "ac" else " at this dc voltage"
    drives, breaks = spot.apart(fault, float(device.breaking), "A")
    yield at_most(
        rule="device-breaking",
        where=where,
        field=f"{where}.device",
        signal=Signal.DANGER,
        title=f"{spot.name}: breaks {breaks}, faults drive {drives}",
        remedy=f"It can burst. Use a device with a higher breaking capacity{at}.",
        value=fault,
        limit=device.breaking,
        unit="A",
        source=source,
        steps=steps(circuit.steps, "fault_most", "fault_total"),
    )


@each_circuit
def device_trip(spot: Spot) -> Iterator[Finding]:
    """Whether the device, in hand or to be ordered, opens at the least fault of a battery's circuit.

    Where it opens by heat, its conductor counts as protected against overload (IEC 60364-4-43, 435.1): a slow
    one is marginal, and only one that may never open fails.
    """
    circuit, where = spot.circuit, spot.where
    if circuit.kind not in BATTERY or (spot.device is not None and spot.device.kind == "switch"):
        return
    source, trip = spot.family.clause("fault_trip"), circuit.steps.get("trip")
    if trip is None or circuit.fault_least is None:
        title = f"{circuit.title}: not known whether its device opens at the least fault"
        missing = circuit.fault_missing if circuit.fault_least is None else circuit.missing
        yield unknown("device-trip", where, title, missing, source, Signal.WARNING)
        return
    value, found = circuit.fault_least, trip.result
    rating = value / found.multiple
    never, late = found.time is None, found.time is not None and found.time > LATE
    burns = circuit.trip_stands is False
    when = "it may never open" if found.time is None else f"it opens within {_time(found.time)}"
    slow = late or burns
    yield Finding(
        rule="device-trip",
        where=where,
        field=f"{where}.device" if spot.device is not None else where,
        status=Status.FAILS if never else Status.MARGINAL if slow else Status.MEETS,
        signal=Signal.DANGER if never else Signal.WARNING if slow else Signal.NONE,
        title=(
            f"{circuit.title}: {spot.show(value, 'A')} in the weakest fault, {found.multiple:.3g} times its "
            f"{spot.show(rating, 'A')} device: {when}"
        ),
        remedy=_quicker(never, burns) if never or slow else "",
        value=value,
        limit=rating * found.conventional if never else rating * found.instant,
        unit="A",
        source=source,
        steps=steps(circuit.steps, "fault_least", "trip", "trip_withstand"),
    )


def _quicker(never: bool, burns: bool) -> str:
    told = "A smaller device, a quicker one such as a fuse, or a shorter or larger conductor."
    if never:
        return f"The fault burns on. {told}"
    return f"{'The conductor grows too hot until then' if burns else 'An arc burns until then'}. {told}"


@each_circuit
def fault_withstand(spot: Spot) -> Iterator[Finding]:
    """The heat of the greatest fault in the conductor until its device has broken it."""
    circuit, where = spot.circuit, spot.where
    if circuit.kind not in BATTERY or circuit.conductor is None:
        return
    source = spot.family.clause("fault_withstand")
    if circuit.fault_most is None:
        title = f"{circuit.title}: not known whether its conductor stands a fault"
        yield unknown("fault-withstand", where, title, circuit.fault_missing, source, Signal.WARNING)
        return
    check = next((check for check in circuit.checks if check.name == "fault"), None)
    if check is None:
        return
    size, least = circuit.conductor.text, spot.show(check.need, "mm^2")
    step = circuit.steps.get("fault_withstand")
    time = "" if step is None else f" for {_time(float(dict(step.inputs)['time']))}"
    behind = " behind its fuse" if circuit.device_kind == "fuse" else time
    yield Finding(
        rule="fault-withstand",
        where=where,
        field=f"{where}.size",
        status=Status.MEETS if check.ok else Status.FAILS,
        signal=Signal.NONE if check.ok else Signal.WARNING,
        title=(
            f"{circuit.title}: {size} in a fault of {spot.show(circuit.fault_most, 'A')}{behind}, "
            f"{least} needed"
        ),
        remedy="" if check.ok else "A larger conductor, or a device that lets less through, such as a fuse.",
        value=check.need,
        limit=check.capacity,
        unit="mm^2",
        margin=room_below(check.need, check.capacity),
        source=source,
        steps=steps(circuit.steps, "fault_most", "fault_total", "fault_withstand"),
    )


def _time(time: float) -> str:
    return f"{time:.3g} s" if time >= 1 else f"{time * 1000:.3g} ms"


def battery_fault(case: Case) -> Iterator[Finding]:
    """What a short circuit at the bank's bus lets flow: the breaking capacity to order by."""
    circuit = next((item for item in case.circuits.values() if item.nearest and item.kind != "bank"), None)
    if circuit is None:
        return
    source = case.family.clause("breaking")
    if circuit.fault_most is None:
        wanted = circuit.fault_missing
        title = "Not known how large a fault current the battery drives"
        finding = unknown("battery-fault", "bank", title, wanted, source, Signal.WARNING)
        sheet = f" {SHEET}" if needed(wanted, *RESISTANCE) else ""
        yield replace(finding, remedy=f"{finding.remedy}{sheet}")
        return
    least = circuit.breaking_least
    order = f"devices on it break {case.show(least, 'A')} or more" if least else "no usual device breaks that"
    yield Finding(
        rule="battery-fault",
        where="bank",
        field="bank.block_resistance",
        status=Status.MEETS if least else Status.FAILS,
        signal=Signal.NONE if least else Signal.DANGER,
        title=f"A short circuit on the battery's bus drives {case.show(circuit.fault_most, 'A')}: {order}",
        remedy="" if least else "Fewer strings on one bus, or current-limiting fuses made for more.",
        value=circuit.fault_most,
        unit="A",
        source=source,
        steps=steps(circuit.steps, "fault_most", "fault_total"),
    )


def battery_device(case: Case) -> Iterator[Finding]:
    """An overcurrent device for each battery string, as near its terminals as practicable."""
    bank, circuit = case.design.bank, case.circuits.get("bank-string")
    if circuit is None or bank.strings is None:
        return
    source, said = case.family.clause("battery_device"), str(bank.use("string_device"))
    none = said == "none"
    shared = said == "one for all" and bank.strings > 1
    bad = none or shared
    told = "no overcurrent device" if none else "one device for all" if shared else "a device each"
    many = f"{bank.strings} battery strings" if bank.strings > 1 else "The battery"
    yield Finding(
        rule="battery-device",
        where="bank",
        field="bank.string_device",
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.DANGER if bad else Signal.NONE,
        title=f"{many}: {told if bank.strings > 1 or none else 'a device'}, {circuit.nearest}",
        remedy=(
            "A fault in one string is fed by all the others, and nothing opens: a device for each."
            if shared
            else "The battery feeds a fault without end: a device at its terminals."
            if none
            else ""
        ),
        value=said,
        limit="each string",
        source=source,
    )


@each_circuit
def battery_unprotected(spot: Spot) -> Iterator[Finding]:
    """The length of conductor before a battery's device, which nothing protects."""
    circuit, length = spot.circuit, spot.circuit.unprotected
    if not circuit.nearest or length is None:
        return
    yield at_most(
        rule="battery-unprotected",
        where=spot.where,
        field=f"{spot.where}.unprotected",
        worse=Status.MARGINAL,
        signal=Signal.WARNING,
        title=f"{circuit.title}: {spot.show(length, 'm')} before its device, nothing protects them",
        remedy="Move the device nearer to the battery, though not into its gas.",
        value=length,
        limit=LONG_BEFORE,
        unit="m",
        source=COMMON_PRACTICE,
    )
