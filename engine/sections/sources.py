"""Voltages, currents, string fuse and string length of each PV array, from its modules' data sheet.

Everything here is rating matter: the data sheet's coefficients and the rule's table, never a fitted curve.
Open circuit in the cold counts at air temperature, running voltage in the heat at the hottest cell's.
"""

from __future__ import annotations

from functools import partial
from typing import Any

from engine.design import Array, Controller, Design, Module
from engine.physics.cell_temperature import hot_cell
from engine.physics.physical import STC_TEMPERATURE
from engine.physics.pv import (
    cold_voltage,
    hot_voltage,
    table_voltage,
    vmp_coefficient,
)
from engine.physics.pv_current import circuit_current, string_fuse
from engine.physics.string_length import longest_string, shortest_string
from engine.sections.datasheet import Sheet, sheet_of
from engine.sections.limits import Limits, limits
from engine.sections.memory import Memory
from engine.sections.notes import Notes, field
from engine.sections.results import ArrayResult, Assumed, Missing, StringFuse, ask
from engine.tables.family import Family
from engine.units import show

_found: Memory[ArrayResult] = Memory(256)


def arrays(design: Design, family: Family) -> dict[str, ArrayResult]:
    """The voltages and currents of every array of the design, by its id."""
    modules = {item.id: item for item in design.modules}
    controllers = {item.id: item for item in design.controllers}
    bounds = {id: limits(item, design.bank, Notes()) for id, item in controllers.items()}
    found = {}
    for item in design.arrays:
        module, controller = modules.get(item.module or ""), controllers.get(item.controller or "")
        beside = [other for other in design.arrays if other.controller == item.controller]
        made_from = (family, design.site, design.bank, item, module, controller)
        others = (*beside, *(modules.get(other.module or "") for other in beside))
        make = partial(_array, design, family, item, module, controller, bounds.get(item.controller or ""))
        found[item.id] = _found.recall((*made_from, *others), make)
    return found


def _array(
    design: Design,
    family: Family,
    array: Array,
    module: Module | None,
    controller: Controller | None,
    bounds: Limits | None,
) -> ArrayResult:
    path, notes = f"arrays.{array.id}", Notes()
    values: dict[str, Any] = {"modules": array.modules, "strings": array.strings}
    notes.ask(path, array, "module", "modules", "strings", "controller")
    if module is not None:
        notes.assume(path, array, "mounting", "current_gain", "enters")
        if array.on_building:
            notes.assume(path, array, "structure")
        notes.assume("site", design.site, "building")
        sheet = sheet_of(module)
        values |= _open(design, array, sheet, notes)
        values |= _running(design, array, sheet, notes)
        values |= _currents(family, array, sheet, notes)
        values |= _fuse(design, family, array, sheet, controller, notes)
        if bounds is not None:
            values |= _lengths(design, sheet, bounds, values, notes)
    return ArrayResult(
        array=array.id,
        label=array.label or array.id,
        controller=None if controller is None else controller.id,
        missing=notes.missing,
        assumed=notes.assumed,
        steps=notes.steps,
        **values,
    )


def _open(design: Design, array: Array, sheet: Sheet, notes: Notes) -> dict[str, Any]:
    """Open-circuit voltages of a string: standard, at design low and at record low."""
    site, module = design.site, sheet.module
    notes.ask("site", site, "design_low", "record_low")
    found: dict[str, Any] = {}
    if not notes.ask(sheet.path, module, "voc") or module.voc is None:
        return found
    if array.modules is not None:
        found["open_standard"] = array.modules * float(module.voc)
    method = _cold_method(sheet, notes)
    if not method or array.modules is None:
        return found
    for name, temperature in (("open_design", site.design_low), ("open_record", site.record_low)):
        if temperature is None:
            continue
        given = {"voc": module.voc, "temperature": _cold(temperature), "modules": array.modules}
        blame = sheet.field("beta_voc")
        if method == "coefficient":
            volts = notes.work(name, blame, cold_voltage, beta_voc=sheet.beta_voc, **given)
        else:
            volts = notes.work(name, blame, table_voltage, **given)
        found[name] = None if volts is None else volts.voltage
    return found


def _cold(temperature: float) -> float:
    """A lowest temperature above 25 degC lowers no rating: the codes' tables correct nothing there."""
    return min(temperature, STC_TEMPERATURE)


def _cold_method(sheet: Sheet, notes: Notes) -> str:
    """``coefficient``, or ``table`` for crystalline silicon without one; empty where neither is known."""
    if sheet.beta_voc is not None:
        return "coefficient"
    if sheet.module.silicon is True:
        notes.suppose(
            Assumed(
                f"{sheet.path}.beta_voc",
                sheet.module.specs()["beta_voc"].title,
                "the code's table",
                "no coefficient entered, crystalline silicon",
            )
        )
        return "table"
    notes.lack(sheet.field("beta_voc"))
    if sheet.module.silicon is None:
        notes.lack(sheet.field("silicon"))
    return ""


def _running(design: Design, array: Array, sheet: Sheet, notes: Notes) -> dict[str, Any]:
    """Voltages of a string at maximum power, the array's power and its current there."""
    site, module = design.site, sheet.module
    notes.ask(sheet.path, module, "vmp", "imp")
    found: dict[str, Any] = {}
    count, strings, vmp, imp = array.modules, array.strings, module.vmp, module.imp
    if count is not None and vmp is not None:
        found["running_standard"] = count * float(vmp)
    if strings is not None and imp is not None:
        found["running_current"] = strings * float(imp)
    if len(found) == 2:
        found["power"] = found["running_standard"] * found["running_current"]
    found["cell_hot"] = _hottest_cell(design, array, sheet, notes)
    beta = _beta_vmp(sheet, notes)
    if beta is None or vmp is None or count is None:
        return found
    for name, temperature in (("running_hot", found["cell_hot"]), ("running_cold", site.design_low)):
        if temperature is not None:
            blame = sheet.field("gamma_pmp")
            volts = notes.work(
                name, blame, hot_voltage, vmp=vmp, beta_vmp=beta, temperature=temperature, modules=count
            )
            found[name] = None if volts is None else volts.voltage
    return found


def _hottest_cell(design: Design, array: Array, sheet: Sheet, notes: Notes) -> float | None:
    site = design.site
    if not notes.ask("site", site, "design_high"):
        return None
    cell = notes.work(
        "cell_hot",
        field(f"arrays.{array.id}", array, "mounting"),
        hot_cell,
        ambient=site.design_high,
        mounting=array.use("mounting"),
        noct=sheet.module.noct,
    )
    return None if cell is None else float(cell.temperature)


def _beta_vmp(sheet: Sheet, notes: Notes) -> float | None:
    """The coefficient of the voltage at maximum power: as given, or derived from the power's."""
    if sheet.beta_vmp is not None:
        return sheet.beta_vmp
    if sheet.gamma is None:
        notes.lack(sheet.field("gamma_pmp"))
        return None
    blame = sheet.field("gamma_pmp")
    found = notes.work(
        "vmp_coefficient", blame, vmp_coefficient, gamma_pmp=sheet.gamma, alpha_isc=sheet.alpha
    )
    if found is None:
        return None
    if sheet.alpha is None:
        missing = sheet.field("alpha_isc")
        text = f"{show(found.alpha, '%')}/K"
        notes.suppose(Assumed(missing.path, missing.title, text, "above 99 of 100 data sheets"))
    return float(found.beta_vmp)


def _currents(family: Family, array: Array, sheet: Sheet, notes: Notes) -> dict[str, Any]:
    """What the rules take as the current of a string and of the whole array, and the second factor once."""
    isc = sheet.module.isc
    if not notes.ask(sheet.path, sheet.module, "isc") or isc is None:
        return {}
    found: dict[str, Any] = {"isc": float(isc)}
    for name, strings in (("string", 1), ("array", array.strings)):
        if strings is None:
            continue
        given = {"isc": isc, "strings": strings, "gain": array.use("current_gain"), "rules": family}
        current = notes.work(f"{name}_current", sheet.field("isc"), circuit_current, **given)
        if current is not None:
            found[f"{name}_current"] = current.maximum_current
            found[f"{name}_design"] = current.design_current
    return found


def _fuse(
    design: Design,
    family: Family,
    array: Array,
    sheet: Sheet,
    controller: Controller | None,
    notes: Notes,
) -> dict[str, Any]:
    """Whether each string needs a fuse: against its sister strings, other arrays and the controller.

    An unknown back-feed leaves the question open, unless the known part alone already asks for fuses.
    Extra current (bifacial, snow) and the factor for bright hours count in every family, the stricter way.
    """
    module = sheet.module
    others, open_questions = _pushed_by_others(design, family, array, controller)
    push: float | None = others
    if controller is not None and controller.back_feed is None:
        open_questions += (field(f"controllers.{controller.id}", controller, "back_feed"),)
    elif controller is not None and controller.back_feed is not None:
        push = others + controller.back_feed
    if controller is None or open_questions:
        push = None
    notes.ask(sheet.path, module, "series_fuse")
    if module.isc is None or module.series_fuse is None or array.strings is None:
        notes.lack(*open_questions)
        return {"back_feed": push}
    entered = controller.back_feed if controller is not None else None
    found = notes.work(
        "fuse",
        sheet.field("series_fuse"),
        string_fuse,
        isc=module.isc * (1 + array.use("current_gain")),
        module_fuse=module.series_fuse,
        strings=array.strings,
        back_feed=others + (entered or 0.0),
        irradiance_factor=family.irradiance_factor,
        rules=family,
    )
    if found is None:
        return {"back_feed": push}
    if push is None and not found.required:
        notes.lack(*open_questions)
        del notes.steps["fuse"]
        return {"back_feed": None}
    for question in open_questions:
        notes.suppose(Assumed(question.path, question.title, "0 A", "fuses are needed already without it"))
    fuse = StringFuse(
        found.reverse_current,
        found.required,
        found.minimum,
        float(found.maximum),
        found.rating,
        float(module.series_fuse),
    )
    return {"back_feed": push, "fuse": fuse}


def _pushed_by_others(
    design: Design, family: Family, array: Array, controller: Controller | None
) -> tuple[float, tuple[Missing, ...]]:
    """The most that other arrays on the same controller push into a fault on this one, as far as known."""
    total, missing = 0.0, list[Missing]()
    if controller is None:
        return total, tuple(missing)
    for other in design.arrays:
        if other.controller != controller.id or other.id == array.id:
            continue
        path = f"arrays.{other.id}"
        module = next((item for item in design.modules if item.id == other.module), None)
        missing += ask(path, other, "module", "strings")
        if module is not None:
            missing += ask(f"modules.{module.id}", module, "isc")
            if module.isc is not None and other.strings is not None:
                gain = 1 + other.use("current_gain")
                total += family.irradiance_factor * module.isc * gain * other.strings
    return total, tuple(missing)


def _lengths(
    design: Design, sheet: Sheet, bounds: Limits, values: dict[str, Any], notes: Notes
) -> dict[str, Any]:
    """How many modules in series the controller allows here: to start, to work, to survive."""
    site, module = design.site, sheet.module
    found: dict[str, Any] = {}
    method = _cold_method(sheet, notes)
    if module.voc is not None and method:
        for name, limit, temperature in (
            ("longest_operating", bounds.operating, site.design_low),
            ("longest", bounds.standoff, site.record_low),
        ):
            if limit is None or temperature is None:
                continue
            longest = notes.work(
                name,
                sheet.field("beta_voc"),
                longest_string,
                voc=module.voc,
                beta_voc=sheet.beta_voc,
                temperature=_cold(temperature),
                limit=limit,
                method=method,
            )
            found[name] = None if longest is None else longest.modules
    beta, hot, start = _beta_vmp(sheet, notes), values.get("cell_hot"), bounds.start
    if module.vmp is not None and beta is not None and hot is not None and start:
        shortest = notes.work(
            "shortest",
            sheet.field("gamma_pmp"),
            shortest_string,
            vmp=module.vmp,
            beta_vmp=beta,
            temperature=hot,
            floor=start,
        )
        found["shortest"] = None if shortest is None else shortest.modules
    return found
