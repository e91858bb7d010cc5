"""Devices: the class to order for each circuit, and a device in hand against the circuit it is put in."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Device, label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, over, room_above, room_below, steps, under, unknown
from engine.sections.results import CircuitResult, Missing, ask

ARC = "A dc arc does not go out by itself: an ac device can burn when it opens."


def voltage_class(case: Case) -> Iterator[Finding]:
    """The least standard dc class; where only the record low passes it, order the next one."""
    source = case.family.clause("dc_device")
    for circuit in case.circuits.values():
        where = f"circuits.{circuit.id}"
        value, limit, worst = circuit.voltage, circuit.voltage_class, circuit.voltage_record
        if value is not None and limit is None:
            yield _no_class(case, circuit, value)
            continue
        if value is None or limit is None:
            title = f"{circuit.title}: dc voltage class not known"
            yield unknown("voltage-class", where, title, circuit.missing, source, Signal.WARNING)
            continue
        warns = worst is not None and over(worst, limit)
        highest = worst if warns and worst is not None else value
        yield Finding(
            rule="voltage-class",
            where=where,
            field=where,
            status=Status.MARGINAL if warns else Status.MEETS,
            signal=Signal.WARNING if warns else Signal.NONE,
            title=(
                f"{circuit.title}: {case.show(limit, 'V')} dc class or higher, "
                f"{case.show(highest, 'V')} can stand on it{_unproved(circuit)}"
            ),
            remedy="The record low passes this class: order the next one up." if warns else "",
            value=highest,
            limit=limit,
            unit="V",
            margin=room_below(highest, limit),
            source=source,
            steps=steps(circuit.steps, "voltage", "voltage_record", "voltage_class"),
        )


def _no_class(case: Case, circuit: CircuitResult, value: float) -> Finding:
    """No class that is met in practice stands the voltage."""
    return Finding(
        rule="voltage-class",
        where=f"circuits.{circuit.id}",
        field=f"circuits.{circuit.id}",
        status=Status.FAILS,
        signal=Signal.WARNING,
        title=f"{circuit.title}: no device class for the {case.show(value, 'V')} that can stand on it",
        remedy="A lower source voltage: fewer modules in a string.",
        value=value,
        unit="V",
        source=case.family.clause("dc_device"),
        steps=steps(circuit.steps, "voltage", "voltage_record"),
    )


def _unproved(circuit: CircuitResult) -> str:
    """What a voltage of an array leaves open while nobody has entered the record low."""
    open_ = circuit.array is not None and circuit.voltage_record is None
    return "; the record low is not known" if open_ else ""


def device_rating(case: Case) -> Iterator[Finding]:
    """The standard rating between what the circuit carries and what conductor and source stand."""
    source = case.family.clause("device_rating")
    for circuit in case.circuits.values():
        where = f"circuits.{circuit.id}"
        if not circuit.device_needed or in_hand(case, circuit) is not None:
            continue
        if circuit.device is None:
            title = f"{circuit.title}: no device rating chosen"
            if circuit.missing:
                yield unknown("device-rating", where, title, circuit.missing, source, Signal.WARNING)
            else:
                yield Finding(
                    rule="device-rating",
                    where=where,
                    field=f"{where}.size",
                    status=Status.FAILS,
                    signal=Signal.WARNING,
                    title=f"{title}: none fits between what it carries and what it may be",
                    remedy="A larger conductor, or fewer strings.",
                    value=circuit.device_least,
                    limit=circuit.device_largest,
                    unit="A",
                    source=source,
                    steps=steps(circuit.steps, "device", "device_largest"),
                )
            continue
        largest = circuit.device_largest
        yield Finding(
            rule="device-rating",
            where=where,
            field=where,
            status=Status.MEETS,
            title=f"{circuit.title}: {case.show(circuit.device, 'A')} device{_most(case, largest)}",
            value=circuit.device,
            limit=largest,
            unit="A",
            margin=room_below(circuit.device, largest) if largest else None,
            source=source,
            steps=steps(circuit.steps, "device", "device_largest", "fuse"),
        )


def _most(case: Case, largest: float | None) -> str:
    return f", {case.show(largest, 'A')} at most" if largest is not None else ""


def in_hand(case: Case, circuit: CircuitResult) -> Device | None:
    """The device that the designer put into this circuit."""
    device = case.design.find("devices", case.design.circuit(circuit.id).device)
    return device if isinstance(device, Device) else None


def _each(case: Case) -> Iterator[tuple[CircuitResult, Device, str]]:
    for circuit in case.circuits.values():
        device = in_hand(case, circuit)
        if device is not None:
            yield circuit, device, f"{label(device)} in {circuit.title}"


def _datum(device: Device, *names: str) -> tuple[Missing, ...]:
    return ask(f"devices.{device.id}", device, *names)


def device_supply(case: Case) -> Iterator[Finding]:
    """A device for ac only has no business on dc, whatever its numbers."""
    source = case.family.clause("dc_device")
    for circuit, device, name in _each(case):
        where = f"circuits.{circuit.id}"
        if device.supply is None:
            missing = _datum(device, "supply")
            yield unknown("device-supply", where, f"{name}: not known whether for dc", missing, source)
            continue
        bad = device.supply == "ac"
        yield Finding(
            rule="device-supply",
            where=where,
            field=f"{where}.device",
            status=Status.FAILS if bad else Status.MEETS,
            signal=Signal.DANGER if bad else Signal.NONE,
            title=f"{name}: marked for {device.supply}",
            remedy=f"{ARC} Use one marked for dc." if bad else "",
            value=device.supply,
            limit="dc",
            source=source,
        )


def device_voltage(case: Case) -> Iterator[Finding]:
    """Its dc rating against the highest voltage that can stand across it."""
    source = case.family.clause("dc_device")
    for circuit, device, name in _each(case):
        where = f"circuits.{circuit.id}"
        value, worst, limit = circuit.voltage, circuit.voltage_record, device.dc_voltage
        if value is None or limit is None:
            missing = (*_datum(device, "dc_voltage"), *(circuit.missing if value is None else ()))
            title = f"{name}: not known whether it opens this voltage"
            yield unknown("device-voltage", where, title, missing, source, Signal.WARNING)
            continue
        fails, warns = over(value, limit), worst is not None and over(worst, limit)
        highest = worst if warns and worst is not None else value
        yield Finding(
            rule="device-voltage",
            where=where,
            field=f"{where}.device",
            status=Status.FAILS if fails else Status.MARGINAL if warns else Status.MEETS,
            signal=Signal.DANGER if fails else Signal.WARNING if warns else Signal.NONE,
            title=(
                f"{name}: rated {case.show(limit, 'V')} dc, "
                f"{case.show(highest, 'V')} can stand across it{_unproved(circuit)}"
            ),
            remedy=f"{ARC} Use a {_class(case, circuit)} dc class or higher." if fails or warns else "",
            value=highest,
            limit=float(limit),
            unit="V",
            margin=room_below(highest, limit),
            source=source,
            steps=steps(circuit.steps, "voltage", "voltage_record", "voltage_class"),
        )


def _class(case: Case, circuit: CircuitResult) -> str:
    return case.show(circuit.voltage_class, "V") if circuit.voltage_class is not None else "higher"


def device_current(case: Case) -> Iterator[Finding]:
    """Its current rating against the least and the most that this circuit allows."""
    source = case.family.clause("device_rating")
    for circuit, device, name in _each(case):
        where = f"circuits.{circuit.id}"
        value, most = device.current, circuit.device_largest
        least = _least(case, circuit, device)
        low = value is not None and least is not None and under(value, least)
        open_ = most is None and device.kind != "switch" and not low
        if value is None or least is None or open_:
            missing = (*_datum(device, "current"), *(circuit.missing if least is None or open_ else ()))
            title = f"{name}: not known whether its rating is right"
            yield unknown("device-current", where, title, missing, source)
            continue
        high = device.kind != "switch" and most is not None and over(value, most)
        limit = most if high and most is not None else least
        told = "at most" if high else "at least"
        yield Finding(
            rule="device-current",
            where=where,
            field=f"{where}.device",
            status=Status.FAILS if low or high else Status.MEETS,
            signal=Signal.WARNING if low or high else Signal.NONE,
            title=f"{name}: {case.show(value, 'A')}, needs {told} {case.show(limit, 'A')}",
            remedy=_current_remedy(low, high),
            value=float(value),
            limit=limit,
            unit="A",
            margin=room_below(value, limit) if high else room_above(value, limit),
            source=source,
            steps=steps(circuit.steps, "device", "device_largest", "fuse"),
        )


def _least(case: Case, circuit: CircuitResult, device: Device) -> float | None:
    """The least rating [A]; one for 100 % duty needs no factor for it, though never less than the current.

    IEC has no such factor: a string's fuse is at least 1.5 times Isc, whatever duty it is made for.
    """
    if not device.continuous or circuit.device_least is None or circuit.current is None:
        return circuit.device_least
    return max(circuit.current, circuit.device_least / case.family.continuous_factor)


def _current_remedy(low: bool, high: bool) -> str:
    if low:
        return "It would trip in full sun, or run hot; use a larger rating that the conductor allows."
    return "It would not protect the conductor or the modules; use a smaller rating." if high else ""


def device_polarity(case: Case) -> Iterator[Finding]:
    """A device marked + and - breaks current one way only, and may burn the other way."""
    source = case.family.clause("dc_device")
    for circuit, device, name in _each(case):
        where = f"circuits.{circuit.id}"
        if device.polarity is None:
            missing = _datum(device, "polarity")
            title = f"{name}: not known whether its terminals are marked + and -"
            yield unknown("device-polarity", where, title, missing, source, Signal.WARNING)
            continue
        both_ways, missing = _reverses(case, circuit)
        if device.polarity == "marked" and both_ways is None:
            title = f"{name}: not known whether current can flow back through it"
            yield unknown("device-polarity", where, title, missing, source, Signal.WARNING)
            continue
        bad = device.polarity == "marked" and bool(both_ways)
        yield Finding(
            rule="device-polarity",
            where=where,
            field=f"{where}.device",
            status=Status.FAILS if bad else Status.MEETS,
            signal=Signal.DANGER if bad else Signal.NONE,
            title=f"{name}: terminals {'marked + and -' if device.polarity == 'marked' else 'not marked'}",
            remedy=(
                "In a fault current flows back through it, and it can't break that. Use one without polarity."
                if bad
                else ""
            ),
            value=device.polarity,
            limit="none" if both_ways else "marked or none",
            source=source,
        )


def _reverses(case: Case, circuit: CircuitResult) -> tuple[bool | None, tuple[Missing, ...]]:
    """Whether a fault can drive current backwards through a device in this circuit."""
    if circuit.kind in ("string", "output"):
        return True, ()
    controller = case.controllers.get(circuit.controller or "")
    if controller is not None and len(controller.arrays) > 1:
        return True, ()
    record = case.design.find("controllers", circuit.controller)
    back_feed = getattr(record, "back_feed", None)
    if back_feed is None:
        missing = ask(f"controllers.{circuit.controller}", record, "back_feed") if record else ()
        return None, missing
    return back_feed > 0, ()


def device_kind(case: Case) -> Iterator[Finding]:
    """Where overcurrent protection is needed, a switch is not one."""
    source = case.family.clause("string_fuse")
    for circuit, device, name in _each(case):
        where = f"circuits.{circuit.id}"
        if not circuit.device_needed:
            continue
        if device.kind is None:
            missing = _datum(device, "kind")
            yield unknown("device-kind", where, f"{name}: not known what it is", missing, source)
            continue
        bad = device.kind not in ("breaker", "fuse")
        yield Finding(
            rule="device-kind",
            where=where,
            field=f"{where}.device",
            status=Status.FAILS if bad else Status.MEETS,
            signal=Signal.WARNING if bad else Signal.NONE,
            title=f"{name}: a {device.kind} where overcurrent protection is needed",
            remedy="A fuse or a breaker; a switch does not open by itself." if bad else "",
            value=device.kind,
            limit="breaker or fuse",
            source=source,
        )


def device_breaking(case: Case) -> Iterator[Finding]:
    """Source side: what the arrays and the controller can drive through it in a fault."""
    source = case.family.clause("dc_device")
    for circuit, device, name in _each(case):
        if circuit.kind == "output":
            continue  # the battery's fault current decides there
        where = f"circuits.{circuit.id}"
        if device.kind == "switch":
            continue
        fault, missing = _fault(case, circuit)
        if device.breaking is None or fault is None:
            wanted = (*_datum(device, "breaking"), *missing)
            title = f"{name}: not known whether it breaks a fault"
            yield unknown("device-breaking", where, title, wanted, source, Signal.WARNING)
            continue
        bad = over(fault, device.breaking)
        yield Finding(
            rule="device-breaking",
            where=where,
            field=f"{where}.device",
            status=Status.FAILS if bad else Status.MEETS,
            signal=Signal.DANGER if bad else Signal.NONE,
            title=f"{name}: breaks {case.show(device.breaking, 'A')}, faults drive {case.show(fault, 'A')}",
            remedy="A device with a higher breaking capacity at this dc voltage." if bad else "",
            value=fault,
            limit=float(device.breaking),
            unit="A",
            margin=room_below(fault, device.breaking),
            source=source,
        )


def _fault(case: Case, circuit: CircuitResult) -> tuple[float | None, tuple[Missing, ...]]:
    controller = case.controllers.get(circuit.controller or "")
    record = case.design.find("controllers", circuit.controller)
    back_feed = getattr(record, "back_feed", None)
    if controller is None or controller.array_short_circuit is None or back_feed is None:
        if record is None:
            return None, circuit.fault_missing
        wanted = ask(f"controllers.{circuit.controller}", record, "back_feed")
        return None, (*wanted, *(controller.missing if controller else ()))
    return controller.array_short_circuit + back_feed, ()
