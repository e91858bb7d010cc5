"""High places: thin air cools and insulates less, and ratings hold up to 2,000 m only."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Device
from engine.finding import Finding, Signal, Status
from engine.physics.altitude import MADE_FOR
from engine.rules.judging import (
    Case,
    Spot,
    at_most,
    each_circuit,
    over,
    room_above,
    steps,
    under,
    unknown,
)
from engine.rules.shared.device import least_rating
from engine.sections.results import Missing, ask
from engine.sources import COMMON_PRACTICE

MAKER = "The maker's data for this elevation; a device for a higher voltage or current may do."


def elevation(case: Case) -> Iterator[Finding]:
    """Whether the place is within what devices and ampacities are made for."""
    height, limit = case.design.site.elevation, MADE_FOR
    if not case.circuits:
        return
    if height is None:
        missing = ask("site", case.design.site, "elevation")
        title = "Not known whether devices keep their ratings here: the elevation is not entered"
        yield unknown("elevation", "site", title, missing, case.family.clause("altitude"))
        return
    high = over(height, limit)
    told = f"The place is at {case.show(height, 'm')}; ratings hold to {case.show(limit, 'm')}"
    yield at_most(
        rule="elevation",
        where="site",
        field="site.elevation",
        worse=Status.MARGINAL,
        signal=Signal.NOTICE,
        title=f"{told}: thin air cools and insulates less" if high else told,
        remedy=(
            "Devices, controllers and inverters: the maker's derating. Conductors in free air run hotter, "
            "for which no code has a factor: leave them room (common practice)."
        ),
        value=height,
        limit=limit,
        unit="m",
        source=case.family.clause("altitude"),
    )


@each_circuit
def altitude_voltage(spot: Spot) -> Iterator[Finding]:
    """The devices' voltage ratings at the elevation of the place, against the highest on the circuit."""
    circuit, where, source = spot.circuit, spot.where, spot.family.clause("altitude")
    step, devices = circuit.steps.get("altitude"), _devices(spot)
    if step is None:
        return
    if not devices:
        if circuit.device_needed:
            yield _to_order(spot)
        return
    value = circuit.voltage if circuit.voltage_record is None else circuit.voltage_record
    rated = [_voltage(spot, device) for device in devices]
    known = [each for each in rated if each is not None]
    if len(known) < len(rated) or value is None:
        title = f"{circuit.title}: not known what voltage its device opens at this elevation"
        missing = (*_lacks(devices, "altitude_voltage"), *(circuit.missing if value is None else ()))
        yield unknown("altitude-voltage", where, title, missing, source, Signal.WARNING)
        return
    limit = min(known)
    yield at_most(
        rule="altitude-voltage",
        where=where,
        field=f"devices.{devices[known.index(limit)].id}.altitude_voltage",
        signal=Signal.DANGER,
        title=(
            f"{circuit.title}: its device opens {spot.show(limit, 'V')} at this elevation, "
            f"{spot.show(value, 'V')} can stand across it"
        ),
        remedy=MAKER,
        value=value,
        limit=limit,
        unit="V",
        source=source,
        steps=(step, *steps(circuit.steps, "voltage", "voltage_record")),
    )


@each_circuit
def altitude_current(spot: Spot) -> Iterator[Finding]:
    """The devices' current ratings at the elevation of the place, against the least that the circuit asks."""
    circuit, where, source = spot.circuit, spot.where, spot.family.clause("altitude")
    devices = _devices(spot)
    if "altitude" not in circuit.steps or not devices:
        return
    rated = [(_least(each, each.current, each.altitude_current), each) for each in devices]
    needs = [least_rating(spot, each) for each in devices]
    if any(amps is None for amps, _ in rated) or None in needs:
        title = f"{circuit.title}: not known what current its device carries at this elevation"
        missing = (*_lacks(devices, "altitude_current"), *(circuit.missing if None in needs else ()))
        yield unknown("altitude-current", where, title, missing, source)
        return
    rooms = [
        (room_above(amps or 0.0, need or 0.0), amps or 0.0, need or 0.0, device)
        for (amps, device), need in zip(rated, needs, strict=True)
    ]
    margin, value, limit, device = min(rooms, key=lambda each: each[0])
    low = under(value, limit)
    yield Finding(
        rule="altitude-current",
        where=where,
        field=f"devices.{device.id}.altitude_current",
        status=Status.FAILS if low else Status.MEETS,
        signal=Signal.CAUTION if low else Signal.NONE,
        title=(
            f"{circuit.title}: its device carries {spot.show(value, 'A')} at this elevation, "
            f"needs {spot.show(limit, 'A')}"
        ),
        remedy=MAKER if low else "",
        value=value,
        limit=limit,
        unit="A",
        margin=margin,
        source=source,
        steps=steps(circuit.steps, "altitude", "device"),
    )


def _devices(spot: Spot) -> tuple[Device, ...]:
    """What opens the circuit: the device in hand and the other that disconnects it."""
    return tuple(each for each in (spot.device, spot.other) if each is not None)


def _lacks(devices: tuple[Device, ...], name: str) -> tuple[Missing, ...]:
    return tuple(item for each in devices for item in ask(f"devices.{each.id}", each, name))


def _voltage(spot: Spot, device: Device) -> float | None:
    """What was said for this elevation, no more than what is printed for the kind of current."""
    printed = device.dc_voltage if spot.circuit.system == "dc" else device.ac_voltage
    return _least(device, printed, device.altitude_voltage)


def _least(device: Device, printed: float | None, here: float | None) -> float | None:
    if here is None:
        return None
    return float(here if printed is None else min(printed, here))


def _to_order(spot: Spot) -> Finding:
    circuit = spot.circuit
    step = circuit.steps["altitude"]
    factor = float(step.result.factor)
    return Finding(
        rule="altitude-voltage",
        where=spot.where,
        field=f"{spot.where}.device",
        status=Status.MARGINAL,
        signal=Signal.NOTICE,
        title=(
            f"{circuit.title}: order a device whose maker rates it at this elevation; clearances need "
            f"{factor:.2f} times those of its printed ratings"
        ),
        remedy="Ask for its voltage, current and breaking capacity here, and enter the device.",
        value=factor,
        limit=1.0,
        unit="1",
        source=COMMON_PRACTICE,
        steps=(step,),
    )
