"""Diversion loads: strong enough for the turbines, not too much for their controller, never cut off."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Controller, Diversion, label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_least, at_most, steps, under, unknown
from engine.sections import diverting
from engine.sections.results import CircuitResult, Missing, ask
from engine.sources import COMMON_PRACTICE, Source

TURNS = "A turbine without a load runs free: its voltage rises, and its rotor can break up."


def _each(case: Case) -> Iterator[tuple[Diversion, str, CircuitResult | None]]:
    for diversion in case.design.diversions:
        yield diversion, f"diversions.{diversion.id}", case.circuits.get(f"{diversion.id}-load")


def diversion_power(case: Case) -> Iterator[Finding]:
    """What all loads that count take where they divert, against the turbines with the family's factor."""
    design, source = case.design, case.family.clause("diversion")
    machines = tuple(diverting.turbines(design))
    if not design.diversions or not machines:
        return
    where = f"diversions.{design.diversions[0].id}"
    missing = [
        each
        for item in design.diversions
        if diverting.counts(item)
        for each in diverting.power_lacks(design, item, case.relays)
    ]
    for item, path in machines:
        missing += ask(path, item, "rated_power")
    if missing:
        title = "Not known whether the diversion load takes what the turbines make"
        yield unknown("diversion-power", where, title, missing, source, Signal.WARNING)
        return
    value = firm_power(case)
    made = sum(float(item.rated_power or 0.0) for item, _ in machines)
    limit = case.family.diversion_load_factor * made
    yield at_least(
        rule="diversion-power",
        where=where,
        field=f"{where}.rated_power",
        signal=Signal.WARNING,
        title=(
            f"Diversion load {case.show(value, 'W')} where it diverts, turbines {case.show(made, 'W')}: "
            f"{case.show(limit, 'W')} needed"
        ),
        remedy=f"{TURNS} A larger load, or a second one.",
        value=value,
        limit=limit,
        unit="W",
        source=source,
        steps=tuple(
            step for _, _, circuit in _each(case) if circuit for step in steps(circuit.steps, "current")
        ),
    )


def firm_power(case: Case) -> float:
    """What the loads that count take where they divert [W]; one that lacks data takes nothing."""
    loads = (item for item in case.design.diversions if diverting.counts(item))
    return sum(diverting.diverted_power(case.design, item, case.relays) or 0.0 for item in loads)


def firm_enough(case: Case) -> bool:
    """Whether the loads that count hold every turbine by themselves."""
    rated = [item.rated_power for item, _ in diverting.turbines(case.design)]
    made = sum(float(each) for each in rated if each is not None)
    return None not in rated and not under(firm_power(case), case.family.diversion_load_factor * made)


def diversion_current(case: Case) -> Iterator[Finding]:
    """What each controller's loads draw at the highest battery voltage, against its rating."""
    source = case.family.clause("diversion")
    for controller in case.design.controllers:
        loads = [each for each in _each(case) if each[0].controller == controller.id]
        if not loads:
            continue
        where = loads[0][1]
        drawn = [None if circuit is None else circuit.running_current for _, _, circuit in loads]
        limit, known = controller.current_limit, [amps for amps in drawn if amps is not None]
        if limit is None or len(known) < len(drawn):
            title = f"Not known whether {label(controller)} carries its load"
            missing = _lacking(controller, loads)
            yield unknown("diversion-current", where, title, missing, source, Signal.WARNING)
            continue
        value = sum(known)
        yield at_most(
            rule="diversion-current",
            where=where,
            field=f"{where}.resistance",
            signal=Signal.WARNING,
            title=(
                f"{label(controller)}: its load draws {case.show(value, 'A')} at the highest voltage, "
                f"it carries {case.show(limit, 'A')}"
            ),
            remedy="A load of higher resistance, or a second controller with its own load.",
            value=value,
            limit=limit,
            unit="A",
            source=source,
            steps=tuple(
                s for _, _, each in loads if each for s in steps(each.steps, "current", "load_power")
            ),
        )


def _lacking(
    controller: Controller, loads: list[tuple[Diversion, str, CircuitResult | None]]
) -> tuple[Missing, ...]:
    own = ask(f"controllers.{controller.id}", controller, "current_limit")
    return (*own, *(missing for _, _, circuit in loads if circuit for missing in circuit.missing))


def diversion_voltage(case: Case) -> Iterator[Finding]:
    """The load's rated voltage against the highest that the battery reaches."""
    source = case.family.clause("diversion")
    for diversion, where, _ in _each(case):
        value, limit = case.design.bank.highest_voltage, diversion.rated_voltage
        if value is None or limit is None:
            missing = (
                *ask(where, diversion, "rated_voltage"),
                *ask("bank", case.design.bank, "highest_voltage"),
            )
            title = f"Not known whether {label(diversion)} stands the battery's voltage"
            yield unknown("diversion-voltage", where, title, missing, source, Signal.WARNING)
            continue
        yield at_most(
            rule="diversion-voltage",
            where=where,
            field=f"{where}.rated_voltage",
            signal=Signal.WARNING,
            title=(
                f"{label(diversion)}: made for {case.show(limit, 'V')}, "
                f"the battery reaches {case.show(value, 'V')}"
            ),
            remedy="A load rated for more: it burns out when it is needed most.",
            value=value,
            limit=limit,
            unit="V",
            source=source,
        )


def diversion_thermostat(case: Case) -> Iterator[Finding]:
    """Nothing of its own may cut off the only diversion load while a turbine leans on it."""
    if not (case.design.wind or case.design.hydro):
        return
    source = case.family.clause("diversion")
    for diversion, where, _ in _each(case):
        said = diversion.own_thermostat
        if said is None:
            title = f"{label(diversion)}: not known whether a thermostat can cut it off"
            missing = ask(where, diversion, "own_thermostat")
            yield unknown("diversion-thermostat", where, title, missing, source, Signal.WARNING)
            continue
        covered = said and firm_enough(case)
        opens = "its thermostat can cut it off" + (", others take all" if covered else "")
        yield Finding(
            rule="diversion-thermostat",
            where=where,
            field=f"{where}.own_thermostat",
            status=Status.MARGINAL if covered else Status.FAILS if said else Status.MEETS,
            signal=Signal.CAUTION if covered else Signal.WARNING if said else Signal.NONE,
            title=f"{label(diversion)}: {opens if said else 'nothing cuts it off'}",
            remedy=f"{TURNS} Take the thermostat out of the circuit, or add a load without one for all of it."
            if said
            else "",
            value="thermostat" if said else "none",
            limit="none",
            source=source,
        )


def through_inverter(case: Case) -> Iterator[Finding]:
    """A load behind an inverter goes when the inverter trips: never the only one that a turbine leans on."""
    if not (case.design.wind or case.design.hydro):
        return
    source = case.family.clause("diversion")
    for diversion, where, _ in _each(case):
        behind = diversion.use("fed_from") == "inverter output"
        yield _through_inverter(case, where, "fed_from", label(diversion), behind, source)
    for relay in case.design.relays:
        load = case.design.find("loads", relay.load)
        if relay.purpose == "diversion load" and load is not None and load.use("kind") == "ac":
            yield _through_inverter(case, f"relays.{relay.id}", "load", label(load), True, source)


def _through_inverter(case: Case, where: str, field: str, name: str, behind: bool, source: Source) -> Finding:
    covered = behind and firm_enough(case)
    return Finding(
        rule="diversion-ac-through-inverter",
        where=where,
        field=f"{where}.{field}",
        status=Status.MEETS if not behind else Status.MARGINAL if covered else Status.FAILS,
        signal=Signal.NONE if not behind else Signal.CAUTION if covered else Signal.DANGER,
        title=f"{name}: fed from {'an inverter' if behind else 'the battery'}"
        f"{', others take all' if covered else ''}",
        remedy=f"{TURNS} An inverter that trips takes this load along: a load on the battery that takes all."
        if behind
        else "",
        value="inverter" if behind else "battery",
        limit="battery",
        source=source,
    )


def one_relay(case: Case) -> Iterator[Finding]:
    """Two independent means between each turbine and an overcharged battery or a runaway, never one alone."""
    design, source = case.design, case.family.clause("diversion")
    if not design.diversions:
        return
    for turbine, where in diverting.turbines(design):
        controller = design.find("controllers", turbine.controller)
        found = diverting.means(turbine, design, case.controllers, case.relays)
        missing = ask(where, turbine, "rated_power", *(("open_voltage",) if controller is not None else ()))
        for load in design.diversions:
            missing += diverting.power_lacks(design, load, case.relays)
        if len(found) < 2 and missing:
            title = f"{label(turbine)}: not known whether two means hold it"
            yield unknown("diversion-one-relay", where, title, missing, source, Signal.DANGER)
            continue
        bad = len(found) < 2
        yield Finding(
            rule="diversion-one-relay",
            where=where,
            field=f"{where}.controller",
            status=Status.FAILS if bad else Status.MEETS,
            signal=Signal.DANGER if bad else Signal.NONE,
            title=f"{label(turbine)}: {' and '.join(found[:2]) or 'nothing'} holds it"
            if bad
            else f"{label(turbine)}: held by {' and by '.join(found[:2])}",
            remedy=f"{TURNS} A second means with its own driver and load, or a charge controller that stands "
            "its free-running voltage."
            if bad
            else "",
            value=float(len(found)),
            limit=2.0,
            unit="1",
            source=source,
        )


def clamp(case: Case) -> Iterator[Finding]:
    """A turbine straight on the battery needs a load that holds the voltage when the bank is full or gone."""
    design, source = case.design, case.family.clause("diversion")
    for turbine, where in diverting.turbines(design):
        controller = design.find("controllers", turbine.controller)
        between = isinstance(controller, Controller) and controller.use("kind") != "diversion"
        load = next((label(item) for item in design.diversions if diverting.counts(item)), "")
        holds = label(controller) if between and controller is not None else load
        bad = not holds
        yield Finding(
            rule="clamp-only-battery",
            where=where,
            field=f"{where}.controller",
            status=Status.FAILS if bad else Status.MEETS,
            signal=Signal.WARNING if bad else Signal.NONE,
            title=f"{label(turbine)}: straight on the battery, and nothing else holds its voltage"
            if bad
            else f"{label(turbine)}: {holds} holds its voltage",
            remedy="A full or open bank clamps nothing. A diversion load on the bus, or a charge controller "
            "between."
            if bad
            else "",
            value="battery" if bad else "held",
            limit="held",
            source=source,
        )


def heater(case: Case) -> Iterator[Finding]:
    """A water heater that nothing cuts off boils: steam needs a way out."""
    for diversion, where, _ in _each(case):
        water = diversion.kind == "water heater"
        if diversion.kind is None or (water and diversion.relief is None):
            missing = ask(where, diversion, "relief" if water else "kind")
            title = f"{label(diversion)}: not known where its heat goes"
            yield unknown("diversion-heater", where, title, missing, COMMON_PRACTICE, Signal.DANGER)
            continue
        bad = water and not diversion.relief
        yield Finding(
            rule="diversion-heater",
            where=where,
            field=f"{where}.{'relief' if water else 'kind'}",
            status=Status.FAILS if bad else Status.MEETS,
            signal=Signal.DANGER if bad else Signal.NONE,
            title=f"{label(diversion)}: {diversion.kind}"
            f"{' without a way out for steam' if bad else ' with a way out for steam' if water else ''}",
            remedy="A relief valve, or a vent that stands open: a closed tank that boils bursts."
            if bad
            else "",
            value="closed" if bad else "open",
            limit="open",
            source=COMMON_PRACTICE,
        )


def contact(case: Case) -> Iterator[Finding]:
    """A load's own contact, where its rating was entered, against the battery's voltage and its draw."""
    for diversion, _, circuit in _each(case):
        drawn = None if circuit is None else circuit.running_current
        volts, lacks = case.design.bank.highest_voltage, ask("bank", case.design.bank, "highest_voltage")
        yield from _contact(case, diversion, "voltage", "V", volts, lacks)
        yield from _contact(case, diversion, "current", "A", drawn, circuit.missing if circuit else ())


def _contact(
    case: Case, diversion: Diversion, what: str, unit: str, value: float | None, lacks: tuple[Missing, ...]
) -> Iterator[Finding]:
    where, name = f"diversions.{diversion.id}", f"contact_{what}"
    limit, rule = getattr(diversion, name), f"diversion-contact{'-voltage' if what == 'voltage' else ''}"
    if limit is None:
        return
    if value is None:
        title = f"{label(diversion)}: not known whether its contact stands its {what}"
        yield unknown(rule, where, title, lacks, COMMON_PRACTICE, Signal.WARNING)
        return
    yield at_most(
        rule=rule,
        where=where,
        field=f"{where}.{name}",
        signal=Signal.WARNING,
        title=f"{label(diversion)}: its contact is rated for {case.show(limit, unit)} dc, "
        f"it switches {case.show(value, unit)}",
        remedy="A contact rated for it, or a contactor: it welds, or its arc burns on.",
        value=float(value),
        limit=float(limit),
        unit=unit,
        source=COMMON_PRACTICE,
    )
