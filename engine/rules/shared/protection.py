"""Protection of the arrays: the voltage a building allows, arc faults, ground faults, rapid shutdown."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Array
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_most, needed, over, steps, under, unknown
from engine.sections.results import ArrayResult, CircuitResult, ask

COLD = ("voc", "beta_voc", "modules", "module", "silicon", "design_low")
CURRENT = ("isc", "strings", "module")
REACH = ("none", "outside the array", "outside and inside the array")


def _each(case: Case) -> Iterator[tuple[ArrayResult, Array, str]]:
    for array in case.arrays.values():
        record = case.design.find("arrays", array.array)
        if isinstance(record, Array):
            yield array, record, f"arrays.{array.array}"


def _in_buildings(record: Array) -> bool | None:
    """Whether an array or its conductors stand on or in a building; ``None`` where nobody has said."""
    entering = record.use("enters") == "occupied building"
    return entering or record.on_building


def _circuits(case: Case, array: ArrayResult) -> tuple[CircuitResult, ...]:
    return tuple(circuit for circuit in case.circuits.values() if circuit.array == array.array)


def building_voltage(case: Case) -> Iterator[Finding]:
    """A building bounds the voltage of what stands on it or enters it."""
    source, bounds = case.family.clause("pv_voltage"), case.family.protection
    for array, record, where in _each(case):
        value, inside = array.open_design, _in_buildings(record)
        if value is None or inside is None:
            title = f"{array.label}: not known whether its voltage is allowed here"
            missing = (*needed(array.missing, *COLD), *ask(where, record, "on_building"))
            yield unknown("building-voltage", where, title, missing, source)
            continue
        dwelling = case.design.site.use("building") == "dwelling"
        on_building = bounds.dwelling_voltage if dwelling else bounds.building_voltage
        limit = on_building if inside else bounds.open_voltage
        place = "on or in a dwelling" if dwelling else "on or in a building"
        yield at_most(
            rule="building-voltage",
            where=where,
            field=f"{where}.modules",
            signal=Signal.WARNING,
            title=(
                f"{array.label}: {case.show(value, 'V')}, {case.show(limit, 'V')} allowed "
                f"{place if inside else 'on no building'}"
            ),
            remedy="Fewer modules in a string.",
            value=value,
            limit=limit,
            unit="V",
            source=source,
            steps=steps(array.steps, "open_design"),
        )


def arc_fault(case: Case) -> Iterator[Finding]:
    """From a voltage on, a broken conductor or connector burns on as an arc: it must be seen and stopped."""
    source, asks = case.family.clause("arc_fault"), case.family.protection
    grave = Signal.WARNING if asks.arc_fault else Signal.NONE
    for array, record, where in _each(case):
        value, limit, title = array.open_design, asks.arc_fault_voltage, f"{array.label}: "
        if value is None and record.arc_fault is not True:
            missing = needed(array.missing, *COLD)
            words = f"{title}not known whether it needs arc-fault protection"
            yield unknown("arc-fault", where, words, missing, source, grave)
            continue
        high, spared = value is not None and not under(value, limit), _spared(case, array, record)
        asked = high and spared is not True
        if asked and record.arc_fault is None:
            missing = (*ask(where, record, "arc_fault"), *ask(where, record, "on_building"))
            words = f"{title}not known whether it has the arc-fault protection that its voltage asks for"
            yield unknown("arc-fault", where, words, missing, source, grave)
            continue
        bad = asked and record.arc_fault is False
        have = "protection against dc arcs" if record.arc_fault else "no protection against dc arcs"
        free = ", which may be left out here" if high and spared and not record.arc_fault else ""
        volts = f", it reaches {case.show(value, 'V')}" if value is not None else ""
        yield Finding(
            rule="arc-fault",
            where=where,
            field=f"{where}.arc_fault",
            status=_grave(asks.arc_fault) if bad else Status.MEETS,
            signal=_signal(bad, asks.arc_fault),
            title=f"{title}{have}{free}; asked for from {case.show(limit, 'V')} on{volts}",
            remedy="A controller or a device that detects a dc arc and opens." if bad else "",
            value=value,
            limit=limit,
            unit="V",
            source=source,
            steps=steps(array.steps, "open_design"),
        )


def _grave(asked: bool) -> Status:
    """What a lacking protection amounts to: a broken rule, or unsound practice where no rule asks for it."""
    return Status.FAILS if asked else Status.MARGINAL


def _signal(bad: bool, asked: bool) -> Signal:
    return (Signal.WARNING if asked else Signal.CAUTION) if bad else Signal.NONE


def _spared(case: Case, array: ArrayResult, record: Array) -> bool:
    """Whether the family spares an array away from buildings whose conductors an arc can't get out of."""
    if not case.family.protection.arc_fault_spares_fields or _in_buildings(record) is not False:
        return False
    circuits = [case.design.circuit(circuit.id) for circuit in _circuits(case, array)]
    return bool(circuits) and all(each.metal or each.use("place") == "buried" for each in circuits)


def ground_fault(case: Case) -> Iterator[Finding]:
    """A fault to earth must be found and cut off before a second one closes the circuit through it."""
    source, asks = case.family.clause("ground_fault"), case.family.protection
    for array, record, where in _each(case):
        volts, amps = array.open_design, array.array_current
        title, kind = f"{array.label}: dc ground-fault protection", record.ground_fault or "none"
        small = (
            volts is not None
            and amps is not None
            and not over(volts, asks.ground_fault_voltage)
            and not over(amps, asks.ground_fault_current)
        )
        asked = not small and not _solidly_earthed(case, array, record)
        if asked and record.ground_fault is None:
            missing = (*ask(where, record, "ground_fault"), *needed(array.missing, *COLD, *CURRENT))
            yield unknown("ground-fault", where, f"{title} not known", missing, source, Signal.WARNING)
            continue
        bad, blind = asked and kind == "none", asked and kind == "fuse in the bond"
        yield Finding(
            rule="ground-fault",
            where=where,
            field=f"{where}.ground_fault",
            status=Status.FAILS if bad else Status.MARGINAL if blind else Status.MEETS,
            signal=Signal.WARNING if bad or blind else Signal.NONE,
            title=f"{title} {'asked for' if asked else 'not asked for here'}, has {kind}",
            remedy=_ground_remedy(bad, blind),
            value=kind,
            limit="monitor that interrupts" if asked else "none",
            source=source,
            steps=steps(array.steps, "open_design", "array_current"),
        )


def _solidly_earthed(case: Case, array: ArrayResult, record: Array) -> bool:
    """A small array away from buildings on a solidly earthed battery, as some editions spare it."""
    spared = case.family.protection.ground_fault_spared_strings
    earthed = case.design.bank.system_earthing in ("negative", "positive")
    away = _in_buildings(record) is False
    return earthed and away and array.strings is not None and array.strings <= spared


def _ground_remedy(bad: bool, blind: bool) -> str:
    if blind:
        return (
            "A fuse of some amperes in the bond misses a small fault on the earthed pole, and the next one "
            "feeds the whole array through it: a monitor that measures leakage or insulation finds both."
        )
    return "A monitor that detects a fault to earth, interrupts it and says so." if bad else ""


def rapid_shutdown(case: Case) -> Iterator[Finding]:
    """On a building one action must take the voltage off the array's conductors, off-grid or not."""
    source, asks = case.family.clause("rapid_shutdown"), case.family.protection
    grave = Signal.WARNING if asks.rapid_shutdown else Signal.NONE
    for array, record, where in _each(case):
        title, held = f"{array.label}: rapid shutdown", record.rapid_shutdown or "none"
        wanted = _reach(case, record)
        if wanted is None or (wanted and record.rapid_shutdown is None):
            missing = (*ask(where, record, "on_building"), *ask(where, record, "rapid_shutdown"))
            yield unknown("rapid-shutdown", where, f"{title} not known", missing, source, grave)
            continue
        bad = wanted > REACH.index(held)
        yield Finding(
            rule="rapid-shutdown",
            where=where,
            field=f"{where}.rapid_shutdown",
            status=_grave(asks.rapid_shutdown) if bad else Status.MEETS,
            signal=_signal(bad, asks.rapid_shutdown),
            title=f"{title} {f'asked for {REACH[wanted]}' if wanted else 'not asked for here'}, has {held}",
            remedy=(
                "Equipment that brings the array's conductors down within 30 s of one labelled action; being "
                "off the grid is no exemption."
                if bad
                else ""
            ),
            value=held,
            limit=REACH[wanted],
            source=source,
        )


def _reach(case: Case, record: Array) -> int | None:
    """How far a shutdown must reach: 0 nowhere, 1 what runs outside the array, 2 inside the array too."""
    open_frame = record.structure == "open detached structure"
    if record.on_building is None:
        return None
    if record.on_building and not (open_frame and case.family.protection.rapid_shutdown_spares_open):
        return 2
    return 1 if record.use("enters") == "occupied building" else 0
