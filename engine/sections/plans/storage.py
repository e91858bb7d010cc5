"""The battery side: what is joined to the bank's bus, and what hangs on its dc panel.

``bank-string`` joins each string to the bus; controllers and generators' chargers have ``<id>-battery``, as
have inverters; a diversion load has ``<id>-load``; ``panel-battery`` feeds the dc panel, and each dc load has
``<id>-branch``. Every one has its device where the battery's fault current comes from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from engine.design import Controller, Design, Diversion, Generator, Inverter, Load, label
from engine.physics.diversion import diversion_load, resistor_power
from engine.sections.notes import Notes, field
from engine.sections.plans.battery import (
    Drive,
    charging,
    dc_loads,
    discharging,
    drive,
    greatest_output,
    inverter_current,
    load_current,
)
from engine.sections.plans.plan import Plan, plain
from engine.sections.results import ArrayResult, Assumed, ControllerResult
from engine.tables.family import Family

AT_TERMINALS = "as near the terminals of each battery string as practicable"
AT_BUS = "as near the battery's bus as practicable"


def plans(
    design: Design,
    family: Family,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
) -> Iterator[Plan]:
    """The circuits that meet at the battery's bus, those that charge it first."""
    battery = drive(design)
    sources = (*design.arrays, *design.wind, *design.hydro)
    used = {getattr(item, "controller", None) for item in sources}
    for controller in design.controllers:
        if controller.use("kind") == "diversion":
            yield _to_diversion(design, family, controller, battery)
        elif controller.id in used:
            yield _output(design, controller, controllers.get(controller.id), battery)
    for generator in design.generators:
        yield _charger(design, generator, battery)
    joined = design.controllers or design.generators or design.inverters or dc_loads(design)
    if design.bank.strings is not None and joined:
        yield _string(design, family, battery)
    for diversion in design.diversions:
        yield _diverted(design, family, diversion, battery)
    for inverter in design.inverters:
        yield _inverter(design, family, inverter, battery)
    if dc_loads(design):
        yield _panel(design, battery)
    for load in dc_loads(design):
        yield _branch(design, load, battery)


def _common(design: Design, battery: Drive, *before: str) -> dict[str, Any]:
    """What all circuits of the bus share; ``before`` are circuits between the bus and this one."""
    bank = design.bank
    strings = (("bank-string", bank.strings or 1),)
    return {
        "voltage": plain(bank.highest_voltage),
        "running_voltage": plain(bank.voltage),
        "most": battery.most,
        "least": battery.least,
        "way": (*strings, *((id, 1) for id in before)),
        "poles": battery.poles,
        "nearest": "" if before else AT_BUS,
        "fault_missing": battery.missing,
    }


def _output(design: Design, controller: Controller, result: ControllerResult | None, battery: Drive) -> Plan:
    """From the controller to the battery: its output limit, without any factor for bright hours."""
    path, notes = f"controllers.{controller.id}", Notes()
    limit = greatest_output(controller)
    if limit is None:
        notes.lack(field(path, controller, "current_limit"))
    notes.ask("bank", design.bank, "highest_voltage", "voltage")
    driven = result.array_output if result is not None and result.arrays else None
    turbines = any(
        getattr(item, "controller", None) == controller.id for item in (*design.wind, *design.hydro)
    )
    known = driven is not None and limit is not None and not turbines
    return Plan(
        **_common(design, battery),
        id=f"{controller.id}-battery",
        kind="output",
        title=f"{label(controller)} to battery",
        origin=controller.id,
        target="battery",
        piece=path,
        ends=(path,),
        controller=controller.id,
        current=limit,
        running_current=min(limit, driven) if known and limit is not None and driven is not None else limit,
        reverses=True,
        missing=notes.missing,
    )


def _charger(design: Design, generator: Generator, battery: Drive) -> Plan:
    """From a generator's charger to the battery."""
    path, notes = f"generators.{generator.id}", Notes()
    notes.ask(path, generator, "charger_current")
    notes.ask("bank", design.bank, "highest_voltage", "voltage")
    return Plan(
        **_common(design, battery),
        id=f"{generator.id}-battery",
        kind="output",
        title=f"Charger of {label(generator)} to battery",
        origin=f"{generator.id}-charger",
        target="battery",
        piece=path,
        current=plain(generator.charger_current),
        running_current=plain(generator.charger_current),
        reverses=True,
        missing=notes.missing,
    )


def _string(design: Design, family: Family, battery: Drive) -> Plan:
    """From a string of blocks to the bus: what charges or discharges, with one string out of service."""
    bank, notes = design.bank, Notes()
    notes.ask("bank", bank, "highest_voltage", "voltage")
    flows = (charging(design, notes), discharging(design, family, notes))
    total = None if None in flows else max(flow for flow in flows if flow is not None)
    strings = bank.strings or 1
    share = None if total is None else total / max(1, strings - 1)
    if strings > 1:
        notes.suppose(
            Assumed("bank.strings", "Battery strings in service", str(strings - 1), "one out for repair")
        )
    shared = _common(design, battery.of_string()) | {"nearest": AT_TERMINALS, "way": ()}
    return Plan(
        **shared,
        id="bank-string",
        kind="bank",
        title="Each battery string to the bus" if strings > 1 else "Battery to its bus",
        origin="battery-string",
        target="battery",
        piece="bank",
        strings=strings,
        current=share,
        running_current=None if total is None else total / strings,
        reverses=True,
        missing=notes.missing,
        assumed=notes.assumed,
    )


def _inverter(design: Design, family: Family, inverter: Inverter, battery: Drive) -> Plan:
    """From the battery to an inverter: full power at the lowest voltage."""
    path, notes = f"inverters.{inverter.id}", Notes()
    notes.ask("bank", design.bank, "highest_voltage")
    drawn = inverter_current(design, family, inverter, notes)
    current = None if drawn is None else float(drawn.current)
    lowest = dict(notes.steps["current"].inputs)["lowest_voltage"] if drawn is not None else None
    return Plan(
        **_common(design, battery) | {"running_voltage": lowest},
        id=f"{inverter.id}-battery",
        kind="inverter",
        title=f"Battery to {label(inverter)}",
        origin="battery",
        target=inverter.id,
        piece=path,
        ends=(path,),
        current=current,
        running_current=current,
        reverses=True,
        missing=notes.missing,
        steps=notes.steps,
    )


def _panel(design: Design, battery: Drive) -> Plan:
    """From the battery to the dc panel: all dc loads at once."""
    notes = Notes()
    notes.ask("bank", design.bank, "highest_voltage")
    flows = [load_current(design.bank, load, notes) for load in dc_loads(design)]
    total = None if None in flows else sum(flow for flow in flows if flow is not None)
    return Plan(
        **_common(design, battery) | {"running_voltage": plain(design.bank.lowest_voltage)},
        id="panel-battery",
        kind="panel",
        title="Battery to dc panel",
        origin="battery",
        target="dc-panel",
        piece="bank",
        current=total,
        running_current=total,
        reverses=False,
        missing=notes.missing,
    )


def _branch(design: Design, load: Load, battery: Drive) -> Plan:
    """From the dc panel to a load, at the lowest voltage."""
    notes = Notes()
    notes.ask("bank", design.bank, "highest_voltage")
    current = load_current(design.bank, load, notes)
    return Plan(
        **_common(design, battery, "panel-battery") | {"running_voltage": plain(design.bank.lowest_voltage)},
        id=f"{load.id}-branch",
        kind="branch",
        title=f"Dc panel to {label(load)}",
        origin="dc-panel",
        target=load.id,
        piece=f"loads.{load.id}",
        current=current,
        running_current=current,
        reverses=False,
        missing=notes.missing,
    )


def _to_diversion(design: Design, family: Family, controller: Controller, battery: Drive) -> Plan:
    """From the battery to a diversion controller; conductor and device by the family's diversion rule."""
    path, notes = f"controllers.{controller.id}", Notes()
    notes.ask("bank", design.bank, "highest_voltage", "voltage")
    limit = _ordered(design, family, controller, notes)
    return Plan(
        **_common(design, battery),
        id=f"{controller.id}-battery",
        kind="diversion",
        title=f"Battery to {label(controller)}",
        origin="battery",
        target=controller.id,
        piece=path,
        ends=(path,),
        controller=controller.id,
        current=limit,
        continuous=False,
        running_current=greatest_output(controller),
        reverses=True,
        missing=notes.missing,
        steps=notes.steps,
    )


def _diverted(design: Design, family: Family, diversion: Diversion, battery: Drive) -> Plan:
    """From a diversion controller to its load, which draws most at the highest battery voltage."""
    path, notes = f"diversions.{diversion.id}", Notes()
    notes.ask("bank", design.bank, "highest_voltage", "voltage")
    controller = design.find("controllers", diversion.controller)
    limit = None
    if isinstance(controller, Controller):
        limit = _ordered(design, family, controller, notes)
    else:
        notes.ask(path, diversion, "controller")
    drawn = _drawn(diversion, path, plain(design.bank.highest_voltage), notes)
    return Plan(
        **_beyond(design, battery, diversion)
        | {"running_voltage": plain(design.bank.highest_voltage), "nearest": ""},
        id=f"{diversion.id}-load",
        kind="diversion",
        title=f"{label(controller) if controller else 'Controller'} to {label(diversion)}",
        origin=diversion.controller or "",
        target=diversion.id,
        piece=path,
        ends=(f"controllers.{diversion.controller}",) if controller else (),
        controller=diversion.controller,
        current=limit,
        continuous=False,
        running_current=drawn,
        reverses=False,
        missing=notes.missing,
        steps=notes.steps,
    )


def _beyond(design: Design, battery: Drive, diversion: Diversion) -> dict[str, Any]:
    """What a diversion load's circuit has from the bus; its least fault is unknown behind no controller."""
    if diversion.controller is not None:
        return _common(design, battery, f"{diversion.controller}-battery")
    lacks = field(f"diversions.{diversion.id}", diversion, "controller")
    return _common(design, battery) | {"least": None, "fault_missing": (*battery.missing, lacks)}


def _drawn(diversion: Diversion, path: str, highest: float | None, notes: Notes) -> float | None:
    """What a diversion load draws at a voltage [A]: the larger, by its resistance or by its rating."""
    if highest is None:
        return None
    by_ohms = None if diversion.resistance is None else highest / float(diversion.resistance)
    if by_ohms is not None and (diversion.rated_power is None or diversion.rated_voltage is None):
        return by_ohms
    if not notes.ask(path, diversion, "rated_power", "rated_voltage"):
        return None
    found = notes.work(
        "load_power",
        field(path, diversion, "rated_voltage"),
        resistor_power,
        rated_power=diversion.rated_power,
        rated_voltage=diversion.rated_voltage,
        voltage=highest,
    )
    return None if found is None else max(float(found.power) / highest, by_ohms or 0.0)


def _ordered(design: Design, family: Family, controller: Controller, notes: Notes) -> float | None:
    """What conductor and device of a diversion circuit must carry [A], with its worked step."""
    path, bank = f"controllers.{controller.id}", design.bank
    limit = greatest_output(controller)
    if limit is None:
        notes.lack(field(path, controller, "current_limit"))
        return None
    if bank.highest_voltage is None:
        return limit * family.diversion_conductor_factor
    found = notes.work(
        "current",
        field(path, controller, "current_limit"),
        diversion_load,
        controller_current=limit,
        highest_voltage=bank.highest_voltage,
        source_power=turning_power(design),
        rules=family,
    )
    return None if found is None else float(found.conductor_current)


def turning_power(design: Design) -> float | None:
    """Rated power of all turbines together [W]: what must never be without a load; ``None`` if not known."""
    powers = [item.rated_power for item in design.wind] + [item.rated_power for item in design.hydro]
    known = [float(power) for power in powers if power is not None]
    return sum(known) if known and len(known) == len(powers) else None
