"""How many live conductors a device must open, and whether the battery is earthed, which decides it."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Bank
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, Spot, each_circuit, room_above, unknown
from engine.sections.results import Missing, ask

EARTHING: tuple[Missing, ...] = ask("bank", Bank(), "system_earthing")
ALWAYS_ENOUGH = 2  # poles: a dc circuit has no more live conductors


@each_circuit
def device_poles(spot: Spot) -> Iterator[Finding]:
    """Both conductors of a battery that is not earthed, the other one beside an earthed pole; ac its lines.

    Fuses stand singly: how many are ordered is their number of poles.
    """
    circuit, device, where = spot.circuit, spot.device, spot.where
    if device is None or device.kind == "fuse":
        return
    source, least = spot.family.clause("poles"), circuit.poles
    if least is None and circuit.system == "dc" and (device.poles or 0) >= ALWAYS_ENOUGH:
        least = ALWAYS_ENOUGH
    if device.poles is None or least is None:
        open_ = EARTHING if circuit.system == "dc" else circuit.missing
        missing = (*spot.lacks("poles"), *(open_ if least is None else ()))
        title = f"{spot.name}: not known whether it opens every live conductor"
        yield unknown("device-poles", where, title, missing, source, Signal.WARNING)
        return
    bad = device.poles < least
    yield Finding(
        rule="device-poles",
        where=where,
        field=f"{where}.device",
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.WARNING if bad else Signal.NONE,
        title=f"{spot.name}: opens {device.poles}, live conductors to open: {least}",
        remedy="One stays live behind it: use a device that opens all of them at once." if bad else "",
        value=float(device.poles),
        limit=float(least),
        unit="1",
        margin=room_above(device.poles, least),
        source=source,
    )


def system_earthing(case: Case) -> Iterator[Finding]:
    """Which pole of the battery is earthed: it decides the poles of every dc device to be ordered."""
    dc = [circuit for circuit in case.circuits.values() if circuit.system == "dc"]
    if not dc:
        return
    source, said = case.family.clause("system_earthing"), case.design.bank.system_earthing
    if said is None:
        open_ = any(
            circuit.device_needed and case.design.circuit(circuit.id).device is None for circuit in dc
        )
        if open_:
            title = "Not known which pole of the battery is earthed, so not how many poles devices need"
            yield unknown("system-earthing", "bank", title, EARTHING, source, Signal.WARNING)
        return
    both = said == "none"
    yield Finding(
        rule="system-earthing",
        where="bank",
        field="bank.system_earthing",
        status=Status.MEETS,
        title=(
            "The battery is not earthed: devices open both conductors"
            if both
            else f"The {said} pole of the battery is earthed, and stays closed; devices open the other"
        ),
        value=said,
        source=source,
    )
