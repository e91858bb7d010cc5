"""Devices: the class and rating to order for each circuit, and a device in hand against its circuit."""

from __future__ import annotations

import re
from collections.abc import Iterator

from engine.design import Device
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Spot, each_circuit, over, room_above, room_below, steps, under, unknown
from engine.sections.results import CircuitResult
from engine.sources import Source

MATTERS = {"diversion": "diversion", "inverter": "inverter_input"}  # by kind of circuit
OF_ARRAY = ("string", "run")  # circuits of an array up to its controller
PV_FUSE = re.compile(r"(?<!\bno )(?<!\bnon[- ])(?<!\bnot )\b(?:g?PV|photovoltaic|solar)\b", re.IGNORECASE)
ARC = "A dc arc does not go out by itself: an ac device can burn when it opens."


def _kind_of_device(spot: Spot) -> Source:
    """Where the family says what a device of the circuit's kind of current must be."""
    return spot.family.clause("dc_device" if spot.circuit.system == "dc" else "ac_device")


@each_circuit
def voltage_class(spot: Spot) -> Iterator[Finding]:
    """The least standard class; where only the record low passes it, order the next one."""
    circuit, where, source = spot.circuit, spot.where, _kind_of_device(spot)
    value, limit, worst = circuit.voltage, circuit.voltage_class, circuit.voltage_record
    if value is not None and limit is None:
        yield _no_class(spot, value)
        return
    if value is None or limit is None:
        title = f"{circuit.title}: {circuit.system} voltage class not known"
        yield unknown("voltage-class", where, title, circuit.missing, source, Signal.WARNING)
        return
    warns = worst is not None and over(worst, limit)
    highest = worst if warns and worst is not None else value
    stands, least = spot.apart(highest, limit, "V")
    yield Finding(
        rule="voltage-class",
        where=where,
        field=where,
        status=Status.MARGINAL if warns else Status.MEETS,
        signal=Signal.WARNING if warns else Signal.NONE,
        title=(
            f"{circuit.title}: {least} {circuit.system} class or higher, "
            f"{stands} can stand on it{unproved(circuit)}"
        ),
        remedy="The record low passes this class: order the next one up." if warns else "",
        value=highest,
        limit=limit,
        unit="V",
        margin=room_below(highest, limit),
        source=source,
        steps=steps(circuit.steps, "voltage", "voltage_record", "voltage_class"),
    )


def _no_class(spot: Spot, value: float) -> Finding:
    """No class that is met in practice stands the voltage."""
    circuit = spot.circuit
    return Finding(
        rule="voltage-class",
        where=spot.where,
        field=spot.where,
        status=Status.FAILS,
        signal=Signal.WARNING,
        title=f"{circuit.title}: no device class for the {spot.show(value, 'V')} that can stand on it",
        remedy="A lower source voltage: fewer modules in a string.",
        value=value,
        unit="V",
        source=_kind_of_device(spot),
        steps=steps(circuit.steps, "voltage", "voltage_record"),
    )


def unproved(circuit: CircuitResult) -> str:
    """What a voltage of an array leaves open while nobody has entered the record low."""
    open_ = circuit.array is not None and circuit.voltage_record is None
    return "; the record low is not known" if open_ else ""


@each_circuit
def device_rating(spot: Spot) -> Iterator[Finding]:
    """The standard rating between what the circuit carries and what conductor and source stand."""
    circuit, where = spot.circuit, spot.where
    if not circuit.device_needed or spot.device is not None:
        return
    source = spot.family.clause(rating_matter(spot))
    if circuit.device is None:
        title = f"{circuit.title}: no device rating chosen"
        if circuit.missing:
            yield unknown("device-rating", where, title, circuit.missing, source, Signal.WARNING)
            return
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
        return
    largest = circuit.device_largest
    most = f", {spot.show(largest, 'A')} at most" if largest is not None else ""
    near = f", {circuit.nearest}" if circuit.nearest else ""
    yield Finding(
        rule="device-rating",
        where=where,
        field=where,
        status=Status.MEETS,
        title=f"{circuit.title}: {spot.show(circuit.device, 'A')} {circuit.device_kind}{most}{near}",
        value=circuit.device,
        limit=largest,
        unit="A",
        margin=room_below(circuit.device, largest) if largest else None,
        source=source,
        steps=steps(circuit.steps, "current", "device", "device_largest", "fuse"),
    )


def rating_matter(spot: Spot) -> str:
    """The matter that settles a rating: of a source's circuit, of a diversion load's, of any other."""
    if spot.circuit.array is not None:
        return "device_rating"
    return MATTERS.get(spot.circuit.kind, "circuit_rating")


@each_circuit
def device_supply(spot: Spot) -> Iterator[Finding]:
    """A device for ac only has no business on dc, whatever its numbers, nor one for dc only on ac."""
    device, where, system = spot.device, spot.where, spot.circuit.system
    if device is None:
        return
    source = _kind_of_device(spot)
    if device.supply is None:
        title = f"{spot.name}: not known whether for {system}"
        yield unknown("device-supply", where, title, spot.lacks("supply"), source)
        return
    bad = device.supply == ("ac" if system == "dc" else "dc")
    yield Finding(
        rule="device-supply",
        where=where,
        field=f"{where}.device",
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.DANGER if bad else Signal.NONE,
        title=f"{spot.name}: marked for {device.supply}",
        remedy=f"{ARC if system == 'dc' else 'It is not made for ac.'} Use one marked for {system}."
        if bad
        else "",
        value=device.supply,
        limit=system,
        source=source,
    )


@each_circuit
def device_voltage(spot: Spot) -> Iterator[Finding]:
    """Its rating for this kind of current against the highest voltage that can stand across it."""
    circuit, device, where = spot.circuit, spot.device, spot.where
    if device is None:
        return
    source, name = _kind_of_device(spot), f"{circuit.system}_voltage"
    value, worst = circuit.voltage, circuit.voltage_record
    limit = device.dc_voltage if circuit.system == "dc" else device.ac_voltage
    if value is None or limit is None:
        missing = (*spot.lacks(name), *(circuit.missing if value is None else ()))
        title = f"{spot.name}: not known whether it opens this voltage"
        yield unknown("device-voltage", where, title, missing, source, Signal.WARNING)
        return
    fails, warns = over(value, limit), worst is not None and over(worst, limit)
    highest = worst if warns and worst is not None else value
    stands, most = spot.apart(highest, limit, "V")
    rated = f"rated {most} {circuit.system}"
    yield Finding(
        rule="device-voltage",
        where=where,
        field=f"{where}.device",
        status=Status.FAILS if fails else Status.MARGINAL if warns else Status.MEETS,
        signal=Signal.DANGER if fails else Signal.WARNING if warns else Signal.NONE,
        title=f"{spot.name}: {rated}, {stands} can stand across it{unproved(circuit)}",
        remedy=_higher(spot) if fails or warns else "",
        value=highest,
        limit=float(limit),
        unit="V",
        margin=room_below(highest, limit),
        source=source,
        steps=steps(circuit.steps, "voltage", "voltage_record", "voltage_class"),
    )


def _higher(spot: Spot) -> str:
    held, system = spot.circuit.voltage_class, spot.circuit.system
    least = "higher" if held is None else spot.show(held, "V")
    return f"{f'{ARC} ' if system == 'dc' else ''}Use a {least} {system} class or higher."


@each_circuit
def device_current(spot: Spot) -> Iterator[Finding]:
    """Its current rating against the least and the most that this circuit allows."""
    circuit, device, where = spot.circuit, spot.device, spot.where
    if device is None:
        return
    source = spot.family.clause(rating_matter(spot))
    value, most, least = device.current, circuit.device_largest, least_rating(spot, device)
    low = value is not None and least is not None and under(value, least)
    open_ = most is None and device.kind != "switch" and not low
    if value is None or least is None or open_:
        missing = (*spot.lacks("current"), *(circuit.missing if least is None or open_ else ()))
        title = f"{spot.name}: not known whether its rating is right"
        yield unknown("device-current", where, title, missing, source)
        return
    high = device.kind != "switch" and most is not None and over(value, most)
    limit = most if high and most is not None else least
    told = "at most" if high else "at least"
    rated, needs = spot.apart(value, limit, "A")
    yield Finding(
        rule="device-current",
        where=where,
        field=f"{where}.device",
        status=Status.FAILS if low or high else Status.MEETS,
        signal=Signal.WARNING if low or high else Signal.NONE,
        title=f"{spot.name}: {rated}, needs {told} {needs}",
        remedy=_current_remedy(spot, low, high),
        value=float(value),
        limit=limit,
        unit="A",
        margin=room_below(value, limit) if high else room_above(value, limit),
        source=source,
        steps=steps(circuit.steps, "device", "device_largest", "fuse"),
    )


def least_rating(spot: Spot, device: Device) -> float | None:
    """The least rating of a device [A]; one for 100 % duty needs no factor for it, but the current itself.

    IEC has no such factor: a string's fuse is at least 1.5 times Isc, whatever duty it is made for.
    """
    circuit = spot.circuit
    if not device.continuous or circuit.device_least is None or circuit.current is None:
        return circuit.device_least
    return max(circuit.current, circuit.device_least / spot.family.continuous_factor)


def _current_remedy(spot: Spot, low: bool, high: bool) -> str:
    if low:
        when = "in full sun" if spot.circuit.array is not None else "under its load"
        return f"It would trip {when}, or run hot; use a larger rating that the conductor allows."
    guarded = "the conductor or the modules" if spot.circuit.array is not None else "the conductor"
    return f"It would not protect {guarded}; use a smaller rating." if high else ""


@each_circuit
def device_polarity(spot: Spot) -> Iterator[Finding]:
    """A device marked + and - breaks current one way only, and may burn the other way."""
    circuit, device, where = spot.circuit, spot.device, spot.where
    if device is None or circuit.system == "ac":
        return
    source = spot.family.clause("dc_device")
    if device.polarity is None:
        title = f"{spot.name}: not known whether its terminals are marked + and -"
        yield unknown("device-polarity", where, title, spot.lacks("polarity"), source, Signal.WARNING)
        return
    both_ways = circuit.reverses
    if device.polarity == "marked" and both_ways is None:
        title = f"{spot.name}: not known whether current can flow back through it"
        yield unknown("device-polarity", where, title, circuit.fault_missing, source, Signal.WARNING)
        return
    bad = device.polarity == "marked" and bool(both_ways)
    yield Finding(
        rule="device-polarity",
        where=where,
        field=f"{where}.device",
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.DANGER if bad else Signal.NONE,
        title=f"{spot.name}: terminals {'marked + and -' if device.polarity == 'marked' else 'not marked'}",
        remedy=(
            "In a fault current flows back through it, and it can't break that. Use one without polarity."
            if bad
            else ""
        ),
        value=device.polarity,
        limit="none" if both_ways else "marked or none",
        source=source,
    )


@each_circuit
def device_kind(spot: Spot) -> Iterator[Finding]:
    """Where overcurrent protection is needed, a switch is not one."""
    device, where = spot.device, spot.where
    if device is None or not spot.circuit.device_needed:
        return
    source = spot.family.clause("string_fuse" if spot.circuit.array is not None else "circuit_rating")
    if device.kind is None:
        title = f"{spot.name}: not known what it is"
        yield unknown("device-kind", where, title, spot.lacks("kind"), source)
        return
    bad = device.kind not in ("breaker", "fuse")
    yield Finding(
        rule="device-kind",
        where=where,
        field=f"{where}.device",
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.WARNING if bad else Signal.NONE,
        title=f"{spot.name}: a {device.kind} where overcurrent protection is needed",
        remedy="A fuse or a breaker; a switch does not open by itself." if bad else "",
        value=device.kind,
        limit="breaker or fuse",
        source=source,
    )


@each_circuit
def device_pv_class(spot: Spot) -> Iterator[Finding]:
    """A fuse of an array has to be made for PV: a little too much current, for hours, is all a string gives.

    Other classes may neither melt at it nor break it. NEC 690.9(B) wants it listed for PV systems, IEC
    62548-1 wants gPV (IEC 60269-6); from memory.
    """
    circuit, device, where = spot.circuit, spot.device, spot.where
    if device is None or device.kind != "fuse" or circuit.array is None or circuit.kind not in OF_ARRAY:
        return
    source = spot.family.clause("pv_overcurrent")
    if device.curve is None:
        title = f"{spot.name}: not known whether it is made for PV"
        yield unknown("device-pv-class", where, title, spot.lacks("curve"), source, Signal.WARNING)
        return
    good = PV_FUSE.search(device.curve) is not None
    yield Finding(
        rule="device-pv-class",
        where=where,
        field=f"{where}.device",
        status=Status.MEETS if good else Status.FAILS,
        signal=Signal.NONE if good else Signal.WARNING,
        title=f"{spot.name}: {device.curve}, {'made' if good else 'not made'} for PV",
        remedy=""
        if good
        else "Use a PV fuse, gPV: others may neither melt at what strings give nor break it.",
        value=device.curve,
        limit="gPV",
        source=source,
    )
