"""Disconnects: what opens each side of each piece that must be serviced, and which pole it opens."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from engine.design import Device, label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Spot, each_circuit, over, under, unknown
from engine.sections.results import Missing, ask
from engine.sources import Source

SERVICED = ("run", "turbine", "output", "inverter", "diversion")  # both sides of controllers and inverters
LOAD_BREAK = ("breaker", "switch")


@dataclass(frozen=True, slots=True)
class _Fault:
    """Why a device is no disconnect here."""

    status: Status
    signal: Signal
    words: str


@each_circuit
def disconnect(spot: Spot) -> Iterator[Finding]:
    """A fuse guards and does not open under load: beside it, or instead, something must."""
    circuit, own = spot.circuit, spot.device
    if circuit.kind not in SERVICED:
        return
    if spot.other is not None:
        yield _separate(spot, spot.other)
    elif own is not None and own.kind not in LOAD_BREAK:
        yield _not_one(spot, own)
    else:
        yield Finding(
            rule="disconnect",
            where=spot.where,
            field=f"{spot.where}.device",
            status=Status.MEETS,
            title=f"{circuit.title}: opened by {_to_order(spot) if own is None else label(own)}",
            value="to be ordered" if own is None else own.kind,
            limit="breaker or switch",
            source=_clause(spot),
        )


def _clause(spot: Spot) -> Source:
    return spot.family.clause("wind_disconnect" if spot.circuit.kind == "turbine" else "source_disconnect")


def _to_order(spot: Spot) -> str:
    circuit = spot.circuit
    carries = f" for {spot.show(circuit.design_current, 'A')}" if circuit.design_current else ""
    stands = f", {spot.show(circuit.voltage_class, 'V')} class" if circuit.voltage_class else ""
    return f"a breaker or switch to be ordered{carries}{stands}"


def _not_one(spot: Spot, device: Device) -> Finding:
    """A fuse alone: a small one may be pulled once something else has opened, a large one may not."""
    where, source, limit = spot.where, _clause(spot), spot.family.protection.isolator_current
    title = f"{spot.circuit.title}: {label(device)} is all that could open it"
    if device.kind is None or device.current is None:
        missing = ask(f"devices.{device.id}", device, "kind", "current")
        return unknown("disconnect", where, title, missing, source, Signal.WARNING)
    bad = device.kind != "fuse" or over(device.current, limit)
    return Finding(
        rule="disconnect",
        where=where,
        field=f"{where}.disconnect",
        status=Status.FAILS if bad else Status.MARGINAL,
        signal=Signal.WARNING,
        title=title,
        remedy="A fuse holder opened under current draws an arc: add a switch that breaks the load.",
        value=float(device.current),
        limit=limit,
        unit="A",
        source=source,
    )


def _separate(spot: Spot, device: Device) -> Finding:
    """A disconnect beside the overcurrent device: a switch for this supply, voltage and current."""
    where, circuit, source = spot.where, spot.circuit, _clause(spot)
    title = f"{circuit.title}: opened by {label(device)}"
    printed = "dc_voltage" if circuit.system == "dc" else "ac_voltage"
    names = ("kind", "supply", "current", printed, *(("poles",) if circuit.poles is not None else ()))
    missing: tuple[Missing, ...] = ask(f"devices.{device.id}", device, *names)
    if circuit.voltage is None or circuit.current is None:
        missing = (*missing, *circuit.missing)
    faults = _faults(spot, device)
    worst = min(faults, key=lambda fault: (fault.status, fault.signal), default=None)
    if worst is None and missing:
        title = f"{title}, not known whether it may"
        return unknown("disconnect", where, title, missing, source, Signal.WARNING)
    return Finding(
        rule="disconnect",
        where=where,
        field=f"{where}.disconnect",
        status=Status.MEETS if worst is None else worst.status,
        signal=Signal.NONE if worst is None else worst.signal,
        title=title if worst is None else f"{title}, {worst.words}",
        remedy="" if worst is None else "A load-break switch for this supply, voltage and current.",
        value=device.kind,
        limit="breaker or switch",
        source=source,
    )


def _faults(spot: Spot, device: Device) -> tuple[_Fault, ...]:
    circuit = spot.circuit
    rated = device.dc_voltage if circuit.system == "dc" else device.ac_voltage
    faults = []
    if device.kind is not None and device.kind not in LOAD_BREAK:
        faults.append(_Fault(Status.FAILS, Signal.WARNING, f"a {device.kind}"))
    if device.supply is not None and circuit.system not in device.supply.split(" and "):
        faults.append(_Fault(Status.FAILS, Signal.DANGER, f"marked for {device.supply}"))
    if rated is not None and circuit.voltage is not None and over(circuit.voltage, rated):
        told = f"rated {spot.show(rated, 'V')}, {spot.show(circuit.voltage, 'V')} can stand across it"
        faults.append(_Fault(Status.FAILS, Signal.DANGER, told))
    if device.current is not None and circuit.current is not None and under(device.current, circuit.current):
        told = f"rated {spot.show(device.current, 'A')}, carries {spot.show(circuit.current, 'A')}"
        faults.append(_Fault(Status.FAILS, Signal.WARNING, told))
    if device.poles is not None and circuit.poles is not None and device.poles < circuit.poles:
        told = f"opens {device.poles} of {circuit.poles} live conductors"
        faults.append(_Fault(Status.FAILS, Signal.WARNING, told))
    return tuple(faults)


@each_circuit
def earthed_pole(spot: Spot) -> Iterator[Finding]:
    """A single-pole device in the earthed pole leaves the circuit live to earth while it looks dead."""
    device, where = spot.device, spot.where
    if spot.circuit.system != "dc" or device is None or device.poles != 1:
        return
    pole = str(spot.record.use("device_pole"))
    bad = pole == "earthed" and spot.circuit.poles != 2
    opens = "the earthed pole alone" if bad else "a pole that is not earthed"
    yield Finding(
        rule="earthed-pole",
        where=where,
        field=f"{where}.device_pole",
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.DANGER if bad else Signal.NONE,
        title=f"{spot.circuit.title}: {label(device)} opens {opens}",
        remedy="Move it to the other pole: opened here the circuit looks dead and is live to earth."
        if bad
        else "",
        value=pole,
        limit="not earthed",
        source=spot.family.clause("pole"),
    )
