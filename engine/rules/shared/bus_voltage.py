"""What stands on the battery's bus, at the highest that charging goes to and at the lowest that is left."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Device, Load, label
from engine.fields import Record
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_most, over, room_above, room_below, steps, unknown
from engine.rules.shared.charging import set_up
from engine.sections.bus_lanes import ON_BUS
from engine.sections.notes import field
from engine.sections.results import Missing, ask
from engine.sources import COMMON_PRACTICE


def highest_of(case: Case) -> float | None:
    """The highest voltage of the bus [V]: by the set points or as entered, whichever is more."""
    found = case.charging.highest
    entered = case.design.bank.highest_voltage
    known = [float(volts) for volts in (found, entered) if volts is not None]
    return max(known, default=None)


def _missing(case: Case) -> tuple[Missing, ...]:
    return (*case.charging.missing, *ask("bank", case.design.bank, "highest_voltage"))


def inverter_high(case: Case) -> Iterator[Finding]:
    """An inverter that cuts out while the bank is charged leaves the house dark on cold bright days."""
    for item in case.design.inverters:
        remedy = "Lower the clamp, equalize by hand with the inverter off, or take one for a wider range."
        yield from _stands(
            case,
            "inverter-cut-out-high",
            f"inverters.{item.id}",
            item,
            "cuts out above",
            Signal.CAUTION,
            remedy,
        )


def loads_high(case: Case) -> Iterator[Finding]:
    """Lamps and radios on the dc side stand the bank's highest voltage, not its nominal one."""
    for item in case.design.loads:
        if item.use("kind") == "dc":
            remedy = "A converter before it that takes the bank's whole range, or a load that stands it."
            yield from _stands(
                case, "load-voltage-high", f"loads.{item.id}", item, "stands", Signal.WARNING, remedy
            )


def controllers_high(case: Case) -> Iterator[Finding]:
    """Each controller's battery terminals stand what any of the chargers drives the bank to."""
    for item in case.design.controllers:
        remedy = "A controller whose battery side stands it, or a lower clamp of the set points."
        yield from _stands(
            case,
            "controller-battery-voltage",
            f"controllers.{item.id}",
            item,
            "stands on its battery side",
            Signal.WARNING,
            remedy,
            "battery_limit",
        )


def _stands(
    case: Case,
    rule: str,
    where: str,
    item: Record,
    told: str,
    signal: Signal,
    remedy: str,
    name: str = "highest_voltage",
) -> Iterator[Finding]:
    if set_up(case) is None:
        return
    value, limit = highest_of(case), getattr(item, name)
    if value is None or limit is None:
        title = f"Not known whether {label(item)} stands the bank's highest voltage"
        missing = _missing(case) if value is None else (field(where, item, name),)
        yield unknown(rule, where, title, missing, COMMON_PRACTICE)
        return
    bad, found = over(value, limit), case.charging
    yield Finding(
        rule=rule,
        where=where,
        field=f"{where}.{name}",
        status=Status.FAILS if bad else Status.MEETS,
        signal=signal if bad else Signal.NONE,
        title=(
            f"{label(item)} {told} {case.show(limit, 'V')}; charging drives the battery to "
            f"{case.show(value, 'V')}"
        ),
        remedy=remedy if bad else "",
        value=value,
        limit=float(limit),
        unit="V",
        margin=room_below(value, limit),
        source=COMMON_PRACTICE,
        steps=steps(found.steps, f"{found.highest_stage}_cold"),
    )


def drops_out(case: Case) -> Iterator[Finding]:
    """What stops before the bank is down to its lowest voltage leaves a part of it unused."""
    if set_up(case) is None:
        return
    limit = case.design.bank.lowest_voltage
    dc = tuple(item for item in case.design.loads if item.use("kind") == "dc")
    items: tuple[tuple[str, Record], ...] = (
        *((f"inverters.{item.id}", item) for item in case.design.inverters),
        *((f"loads.{item.id}", item) for item in dc),
    )
    for where, item in items:
        value = getattr(item, "lowest_voltage", None)
        if value is None or limit is None:
            continue
        early = over(value, limit)
        yield Finding(
            rule="load-voltage-low" if isinstance(item, Load) else "inverter-cut-out-low",
            where=where,
            field=f"{where}.lowest_voltage",
            status=Status.MARGINAL if early else Status.MEETS,
            title=(
                f"{label(item)} stops below {case.show(value, 'V')}; the battery is used down to "
                f"{case.show(limit, 'V')}"
            ),
            remedy="The rest of the bank can't be used by it: count less of it, or take one that goes lower."
            if early
            else "",
            value=float(value),
            limit=float(limit),
            unit="V",
            margin=room_above(limit, value),
            source=COMMON_PRACTICE,
        )


def diverters(case: Case) -> Iterator[Finding]:
    """A diversion load whose controller waits for a voltage that the design does not reach never comes on."""
    limit = case.design.bank.highest_voltage
    for item in case.design.diversions:
        value, where = item.diverts_at, f"diversions.{item.id}"
        if value is None or limit is None:
            continue  # diversion-power asks for the one, setpoint-highest for the other
        yield at_most(
            rule="diversion-threshold",
            where=where,
            field=f"{where}.diverts_at",
            signal=Signal.WARNING,
            title=f"{label(item)} is driven fully at {case.show(value, 'V')}; the battery is laid out for "
            f"{case.show(limit, 'V')}",
            remedy="Divert at a lower voltage, or enter the higher one that the bus then reaches.",
            value=value,
            limit=limit,
            unit="V",
            source=COMMON_PRACTICE,
        )


def devices_high(case: Case) -> Iterator[Finding]:
    """The device of the least voltage rating on the battery's side, at the highest that charging goes to."""
    value = highest_of(case)
    if set_up(case) is None or value is None:
        return
    rated: list[tuple[float, Device, str]] = []
    for spot in case.spots:
        for device in (spot.device, spot.other):
            if spot.circuit.kind in ON_BUS and device is not None and device.dc_voltage is not None:
                rated.append((float(device.dc_voltage), device, spot.circuit.title))
    if not rated:
        return
    limit, device, title = min(rated, key=lambda item: item[0])
    bad, found = over(value, limit), case.charging
    yield Finding(
        rule="battery-side-devices",
        where="bank",
        field=f"devices.{device.id}.dc_voltage",
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.WARNING if bad else Signal.NONE,
        title=(
            f"{label(device)} ({title}) is rated {case.show(limit, 'V')}, the least on the battery's side; "
            f"charging goes to {case.show(value, 'V')}"
        ),
        remedy="A device of a higher dc voltage rating: it must open at the highest, not at the nominal one."
        if bad
        else "",
        value=value,
        limit=limit,
        unit="V",
        margin=room_below(value, limit),
        source=case.family.clause("dc_device"),
        steps=steps(found.steps, f"{found.highest_stage}_cold"),
    )
