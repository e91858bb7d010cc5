"""What the job needs next: the data to enter, in the order in which a system is designed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from engine.design import Controller, Design, HydroTurbine, WindTurbine, label
from engine.fields import Record
from engine.sections.plans import turbine

IN_A_JET = ("pelton", "turgo")
ALTERNATOR = ("volts_per_speed", "resistance", "rated_current", "open_voltage")
FREE = "devices, insulation and controller are chosen by the voltage at which it runs free"


@dataclass(frozen=True, slots=True)
class Need:
    """One thing to enter: the path of the field (or table) that comes first, and a sentence to act on."""

    path: str
    sentence: str


def needs(design: Design) -> tuple[Need, ...]:
    """All that is still needed, in order: demand, place, sources, battery, inverters, wiring, devices."""
    return (
        *_demand(design),
        *_place(design),
        *_sources(design),
        *_wind(design),
        *_hydro(design),
        *_controllers(design),
        *_battery(design),
        *_inverters(design),
        *_wiring(design),
        *_devices(design),
    )


def _demand(design: Design) -> Iterator[Need]:
    if not design.loads:
        yield Need("loads", "Add the loads: what runs, at what power, how many hours a day.")
    for load in design.loads:
        by_current = load.use("kind") == "dc" and load.current is not None
        names = ("hours",) if by_current else ("power", "hours")
        yield from _ask(f"loads.{load.id}", load, *names)
    if design.bank.voltage is None:
        yield Need("bank.voltage", "Choose the nominal voltage of the battery bank: it sets every current.")


def _place(design: Design) -> Iterator[Need]:
    names = ("design_low", "record_low", "design_high")
    why = "the cold sets the highest voltages, the heat the lowest, and what conductors carry"
    yield from _ask("site", design.site, *names, name="The place", why=why)


def _sources(design: Design) -> Iterator[Need]:
    if not (design.arrays or design.wind or design.hydro):
        yield Need("arrays", "Add a source: a PV array, a wind turbine or a hydro turbine.")
    if design.arrays and not design.modules:
        yield Need("modules", "Add the PV module with what its data sheet says at standard test conditions.")
    for array in design.arrays:
        yield from _ask(f"arrays.{array.id}", array, "module", "modules", "strings", "controller")
    used = {array.module for array in design.arrays}
    for module in design.modules:
        if module.id not in used:
            continue
        names = ["voc", "isc", "vmp", "imp", "series_fuse", "system_voltage"]
        if module.silicon is not True:
            names.append("beta_voc")
        if module.beta_vmp is None:
            names.append("gamma_pmp")
        yield from _ask(f"modules.{module.id}", module, *names, why="the maker's data sheet has it")


def _wind(design: Design) -> Iterator[Need]:
    """Place, rotor, alternator, and what holds it when nothing else does."""
    if design.wind:
        why = "they decide what it gives and the storms that it must stand"
        yield from _ask("site", design.site, "elevation", "wind_speed", "gust", name="The wind", why=why)
    for item in design.wind:
        path = f"wind.{item.id}"
        rotor = ["controller", "diameter", "hub_height", "obstacle_height"]
        rotor += ["obstacle_distance"] if item.obstacle_height else []
        rotor += ["best_cp", "best_ratio"] if item.cp_points is None else []
        yield from _ask(path, item, *rotor, why="rotor and tower decide what it gives")
        yield from _ask(path, item, "rated_power", *ALTERNATOR, "rectifier_voltage", why=FREE)
        held = ["brake", "largest_speed", "runaway_speed", "wind_class"]
        held += ["furling_wind"] if item.rated_wind is None else []
        held += ["short_current"] if item.brake == "short circuit" else []
        held += ["survival_wind"] if item.wind_class == "S" else []
        yield from _ask(path, item, *held, why="what nothing holds runs away")


def _hydro(design: Design) -> Iterator[Need]:
    """Water, pipe, wheel in its jet, alternator."""
    for item in design.hydro:
        path = f"hydro.{item.id}"
        water = ["controller", "gross_head", "flow", "flow_months", "residual_flow"]
        yield from _ask(path, item, *water, why="head and water decide what it gives, month by month")
        pipe = ("pipe_length", "pipe_diameter", "pipe_material", "pipe_pressure", "air_vent", "intake_deep")
        yield from _ask(path, item, *pipe, why="the pipe takes its share of the head and holds its pressure")
        wheel = ["turbine", "efficiency", "rated_speed", "runaway_factor", "largest_speed"]
        wheel += ["nozzle_diameter", "wheel_diameter"] if item.turbine in IN_A_JET else []
        yield from _ask(path, item, *wheel, why="wheel and jet must fit each other")
        yield from _ask(path, item, "rated_power", *ALTERNATOR, why=FREE)


def _controllers(design: Design) -> Iterator[Need]:
    machines: tuple[WindTurbine | HydroTurbine, ...] = (*design.wind, *design.hydro)
    if (design.arrays or machines) and not design.controllers:
        yield Need("controllers", "Add the charge controller with its limits.")
    turned = {item.controller for item in machines} - {item.controller for item in design.arrays}
    for controller in design.controllers:
        if controller.id not in turned:
            continue
        names = ["operating_limit", "back_feed"]
        names += ["standoff_limit"] if controller.standoff_above_battery is None else []
        names += ["current_limit"] if controller.current_points is None else []
        why = "a turbine that its controller lets go of runs free"
        yield from _ask(f"controllers.{controller.id}", controller, *names, why=why)
    for controller in _with_arrays(design):
        names = ["operating_limit", "short_circuit_limit", "back_feed"]
        if controller.standoff_above_battery is None:
            names.insert(0, "standoff_limit")
        if controller.start_voltage is None:
            names.append("start_above_battery")
        if controller.current_points is None:
            names.append("current_limit")
        why = "a limit that nobody entered is never passed"
        yield from _ask(f"controllers.{controller.id}", controller, *names, why=why)


def _battery(design: Design) -> Iterator[Need]:
    bank = design.bank
    if not (design.controllers or design.inverters or design.generators):
        return
    yield from _ask("bank", bank, "lowest_voltage", "highest_voltage", name="The battery bank")
    names, why = (
        ("series", "strings", "block_resistance", "block_resistance_aged"),
        "they drive its fault current",
    )
    yield from _ask("bank", bank, *names, name="The battery bank", why=why)
    yield from _ask("bank", bank, "system_earthing", name="The battery bank", why="it decides poles")


def _inverters(design: Design) -> Iterator[Need]:
    """The inverter that ac loads ask for, and what it is chosen by."""
    if not design.inverters and any(load.use("kind") == "ac" for load in design.loads):
        yield Need("inverters", "Add an inverter: the loads on ac need one.")
    for inverter in design.inverters:
        names = ["power", "surge", "idle", "ac_voltage"]
        names += ["efficiency"] if inverter.efficiency_points is None else []
        yield from _ask(f"inverters.{inverter.id}", inverter, *names, why="the loads decide its power")


def _wiring(design: Design) -> Iterator[Need]:
    for id in _circuits(design):
        yield from _ask(f"circuits.{id}", design.circuit(id), "length", name=_circuit_name(design, id))


def _devices(design: Design) -> Iterator[Need]:
    supplies = _supplies(design)
    for device in design.devices:
        if device.id not in supplies:
            continue
        names = [
            "kind",
            "supply",
            "current",
            *(f"{system}_voltage" for system in sorted(supplies[device.id])),
        ]
        if "dc" in supplies[device.id]:
            names.append("polarity")
        if device.kind != "switch":
            names.append("breaking")
        yield from _ask(f"devices.{device.id}", device, *names, why="it is printed on the device")


def _supplies(design: Design) -> dict[str, set[str]]:
    """The devices that are put into circuits, each with the kinds of current there: dc, ac."""
    found: dict[str, set[str]] = {}
    ac = {
        *(f"{item.id}-output" for item in design.inverters),
        *(f"{item.id}-charger" for item in design.generators),
    }
    for id in _circuits(design):
        record = design.circuit(id)
        for device in (record.device, record.disconnect):
            if device is not None:
                found.setdefault(device, set()).add("ac" if id in ac else "dc")
    return found


def _with_arrays(design: Design) -> tuple[Controller, ...]:
    used = {array.controller for array in design.arrays}
    return tuple(item for item in design.controllers if item.id in used)


def _circuits(design: Design) -> Iterator[str]:
    """The ids of the circuits that the sections derive."""
    for array in design.arrays:
        if (array.strings or 1) > 1:
            yield f"{array.id}-string"
        yield f"{array.id}-run"
    machines: tuple[WindTurbine | HydroTurbine, ...] = (*design.wind, *design.hydro)
    for machine in machines:
        yield from (f"{machine.id}-{end}" for end in turbine.ends(machine))
    used = {item.controller for item in design.arrays} | {item.controller for item in machines}
    for controller in design.controllers:
        if controller.use("kind") == "diversion" or controller.id in used:
            yield f"{controller.id}-battery"
    for generator in design.generators:
        yield from (f"{generator.id}-charger", f"{generator.id}-battery")
    for diversion in design.diversions:
        yield f"{diversion.id}-load"
    for inverter in design.inverters:
        yield from (f"{inverter.id}-battery", f"{inverter.id}-output")
    loads = [load.id for load in design.loads if load.use("kind") == "dc"]
    yield from ("panel-battery", *(f"{id}-branch" for id in loads)) if loads else ()
    if design.bank.strings is not None and (
        design.controllers or design.generators or design.inverters or loads
    ):
        yield "bank-string"


def _circuit_name(design: Design, id: str) -> str:
    """A circuit by the piece that it belongs to and its end: ``House inverter, battery circuit``."""
    stem, _, end = id.rpartition("-")
    for table in ("arrays", "wind", "hydro", "controllers", "inverters", "generators", "diversions", "loads"):
        piece = design.find(table, stem)
        if piece is not None:
            return f"{label(piece)}, {end} circuit"
    return f"{'Battery' if stem == 'bank' else 'Dc panel'}, {end} circuit"


def _ask(path: str, record: Record, *names: str, name: str = "", why: str = "") -> Iterator[Need]:
    """One need for all the fields that a record lacks, at the first of them."""
    specs = record.specs()
    lacking = [spec for spec in specs.values() if spec.name in names and record.use(spec.name) is None]
    if lacking:
        titles = ", ".join(_inside(spec.title) for spec in lacking)
        reason = f" ({why})" if why else ""
        yield Need(f"{path}.{lacking[0].name}", f"{name or label(record)}: enter {titles}{reason}.")


def _inside(title: str) -> str:
    """A title inside a sentence: small, unless it begins with an abbreviation."""
    return title if title[1:2].isupper() else title[:1].lower() + title[1:]
