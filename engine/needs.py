"""What the job needs next: the data to enter, in the order in which a system is designed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from engine.design import Array, Controller, Design, label
from engine.fields import Record


@dataclass(frozen=True, slots=True)
class Need:
    """One thing to enter: the path of the field (or table) that comes first, and a sentence to act on."""

    path: str
    sentence: str


def needs(design: Design) -> tuple[Need, ...]:
    """Everything that is still needed: demand, place, sources, controllers, battery, wiring, devices."""
    return (
        *_demand(design),
        *_place(design),
        *_sources(design),
        *_controllers(design),
        *_battery(design),
        *_wiring(design),
        *_devices(design),
    )


def _demand(design: Design) -> Iterator[Need]:
    if not design.loads:
        yield Need("loads", "Add the loads: what runs, at what power, how many hours a day.")
    for load in design.loads:
        yield from _ask(f"loads.{load.id}", load, "power", "hours")
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


def _controllers(design: Design) -> Iterator[Need]:
    if design.arrays and not design.controllers:
        yield Need("controllers", "Add the charge controller with its limits.")
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
    if design.controllers:
        yield from _ask("bank", design.bank, "lowest_voltage", "highest_voltage", name="The battery bank")


def _wiring(design: Design) -> Iterator[Need]:
    for id in _circuits(design):
        yield from _ask(f"circuits.{id}", design.circuit(id), "length", name=f"Circuit {id}")


def _devices(design: Design) -> Iterator[Need]:
    placed = {design.circuit(id).device for id in _circuits(design)}
    for device in design.devices:
        if device.id not in placed:
            continue
        names = ["kind", "supply", "current", "dc_voltage", "polarity"]
        if device.kind != "switch":
            names.append("breaking")
        yield from _ask(f"devices.{device.id}", device, *names, why="it is printed on the device")


def _with_arrays(design: Design) -> tuple[Controller, ...]:
    used = {array.controller for array in design.arrays}
    return tuple(item for item in design.controllers if item.id in used)


def _circuits(design: Design) -> Iterator[str]:
    """The circuits of the sun side, as the sections derive them."""
    for array in design.arrays:
        yield from _of_array(array)
    for controller in _with_arrays(design):
        yield f"{controller.id}-battery"


def _of_array(array: Array) -> Iterator[str]:
    if (array.strings or 1) > 1:
        yield f"{array.id}-string"
    yield f"{array.id}-run"


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
