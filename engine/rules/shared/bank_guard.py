"""What guards a bank against cold, ice, deep discharge and overcharge, and what its opening does."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, over, room_above, room_below, steps, under, unknown
from engine.rules.shared.bank import MAKER, said
from engine.sections.diverting import counts
from engine.sections.plans.battery import dc_loads
from engine.sections.results import ask
from engine.sections.storage import CONTACTS
from engine.sources import COMMON_PRACTICE, Source
from engine.tables import table

CELLS = Source("IEC 62619, Safety requirements for secondary lithium cells and batteries", "IEC", "2022")
CONTROLS = Source(
    "IEC 62485-2 (EN 50272-2), Safety requirements for secondary batteries, stationary batteries",
    "IEC",
    "2010",
)


def lithium_cold(case: Case) -> Iterator[Finding]:
    """Lithium charged in the frost plates metal, loses capacity, and may short inside."""
    bank, kind = case.design.bank, case.bank.chemistry
    if kind is None or kind.charge_coldest is None:
        return
    lowest, limit = bank.lowest_temperature, kind.charge_coldest
    cold = lowest is not None and lowest < limit
    if lowest is None or (cold and bank.cold_charge is None):
        title = "Not known whether lithium cells can be charged below freezing"
        missing = ask("bank", bank, "lowest_temperature" if lowest is None else "cold_charge")
        yield unknown("lithium-cold", "bank", title, missing, CELLS, Signal.DANGER)
        return
    held = not cold or bank.cold_charge in ("blocked", "heated")
    told = f", charging {bank.cold_charge}" if cold else ""
    yield said(
        "lithium-cold",
        "cold_charge",
        None if held else Status.FAILS,
        f"The bank gets down to {case.show(lowest, 'degC')}, it may be charged from "
        f"{case.show(limit, 'degC')} on{told}",
        "Never charge it there: a protection that blocks charging in the cold, a heater, or a warmer place. "
        "Wind and water then need a load of their own.",
        signal=Signal.DANGER,
        value=float(lowest),
        limit=limit,
        unit="degC",
        source=CELLS,
    )


def battery_freezing(case: Case) -> Iterator[Finding]:
    """A discharged lead-acid battery freezes sooner than a full one, and its case splits."""
    bank, kind, freezing = case.design.bank, case.bank.chemistry, case.bank.freezing
    if kind is None or not kind.lead:
        return
    lowest = bank.lowest_temperature
    if freezing is None or lowest is None:
        title = "Not known whether a discharged bank can freeze"
        missing = ask("bank", bank, "lowest_temperature", "depth")
        yield unknown("battery-freezing", "bank", title, missing, table("electrolyte_freezing").source)
        return
    bad = lowest < freezing
    yield said(
        "battery-freezing",
        "depth",
        Status.FAILS if bad else None,
        f"At {case.show(bank.depth or 0.0, '%')} of discharge the electrolyte freezes at "
        f"{case.show(freezing, 'degC')}; the bank gets down to {case.show(lowest, 'degC')}",
        "Allow less depth, or house it warmer: ice splits the cases and spills the acid.",
        signal=Signal.WARNING,
        value=float(lowest),
        limit=freezing,
        unit="degC",
        source=table("electrolyte_freezing").source,
        steps=steps(case.bank.steps, "freezing"),
    )


def own_protection(case: Case) -> Iterator[Finding]:
    """Lithium cells need a protection that opens by itself."""
    bank, kind = case.design.bank, case.bank.chemistry
    if kind is None or kind.lead:
        return
    if bank.own_protection is None:
        title = "Not known whether the lithium bank has a protection of its own"
        yield unknown(
            "own-protection", "bank", title, ask("bank", bank, "own_protection"), CELLS, Signal.DANGER
        )
        return
    yield said(
        "own-protection",
        "own_protection",
        None if bank.own_protection else Status.FAILS,
        f"Lithium cells {'with' if bank.own_protection else 'without'} a protection of their own",
        "Each cell's voltage, current and temperature must be watched, and the bank opened beyond them.",
        signal=Signal.DANGER,
        value="own protection" if bank.own_protection else "none",
        limit="own protection",
        source=CELLS,
    )


def cutout_turbine(case: Case) -> Iterator[Finding]:
    """A bank that opens by itself takes the load off every turbine on it."""
    design, source = case.design, case.family.clause("overspeed")
    if not design.bank.own_protection:
        return
    for table_name in ("wind", "hydro"):
        for turbine in getattr(design, table_name):
            where, name = f"{table_name}.{turbine.id}", label(turbine)
            limited, diverted = turbine.limiter_on is not None, any(map(counts, design.diversions))
            held = "its limiter" if limited else "a diversion load on the bus" if diverted else "nothing"
            yield said(
                "cutout-turbine",
                f"{where}.limiter_on",
                None if limited else Status.MARGINAL if diverted else Status.FAILS,
                f"The bank's own protection opens: {name} is then held by {held}",
                "Full, cold or empty, the bank may open at any moment: a limiter on the turbine's side that "
                "needs no battery. A diversion controller on the bus must be proven to hold without it.",
                where=where,
                signal=Signal.DANGER if not diverted else Signal.WARNING,
                value=held,
                limit="a limiter of its own",
                source=source,
            )


def cutout_chargers(case: Case) -> Iterator[Finding]:
    """A charger at full current whose battery is gone drives the bus up before it can regulate."""
    bank, design = case.design.bank, case.design
    if not bank.own_protection or not (design.controllers or design.generators):
        return
    source = Source("Axial flux windmill plans, wiring chapter", "their author", "2003 to 2009", how="read")
    if bank.cutout_signal is None:
        title = "Not known what the chargers do when the bank's own protection opens"
        missing = ask("bank", bank, "cutout_signal")
        yield unknown("cutout-chargers", "bank", title, missing, source, Signal.WARNING)
        return
    bad = bank.cutout_signal == "nothing"
    yield said(
        "cutout-chargers",
        "cutout_signal",
        Status.FAILS if bad else None,
        f"Before the bank's own protection opens: {bank.cutout_signal}",
        "A signal that stops every charger first, or a clamp on the bus: its voltage can destroy inverter "
        "and chargers.",
        signal=Signal.WARNING,
        value=bank.cutout_signal,
        limit="it stops the chargers",
        source=source,
    )


def deep_discharge(case: Case) -> Iterator[Finding]:
    """No way from the bank to a load without something that ends it in time."""
    bank, kind = case.design.bank, case.bank.chemistry
    if kind is None:
        return
    for inverter in case.design.inverters:
        where = f"inverters.{inverter.id}"
        if inverter.lowest_voltage is None or bank.cells is None:
            missing = (*ask(where, inverter, "lowest_voltage"), *ask("bank", bank, "cells"))
            title = f"{label(inverter)}: not known whether it cuts out before the bank is ruined"
            yield unknown("deep-discharge", where, title, missing, COMMON_PRACTICE)
            continue
        value, limit = float(inverter.lowest_voltage), kind.lowest_cell * bank.cells
        yield said(
            "deep-discharge",
            f"{where}.lowest_voltage",
            Status.MARGINAL if under(value, limit) else None,
            f"{label(inverter)} cuts out at {case.show(value, 'V')}; {case.show(limit, 'V')} is the least "
            f"for {bank.cells} cells",
            "A higher cut-out: beyond it cells are ruined, and in the cold they freeze.",
            where=where,
            signal=Signal.CAUTION,
            value=value,
            limit=limit,
            unit="V",
            margin=room_above(value, limit),
            source=table("chemistry").source,
        )
    if not dc_loads(case.design):
        return
    if bank.cut_off is None:
        title = "Not known what cuts the dc loads off when the bank is low"
        yield unknown("deep-discharge", "bank", title, ask("bank", bank, "cut_off"), COMMON_PRACTICE)
        return
    yield said(
        "deep-discharge",
        "cut_off",
        Status.MARGINAL if bank.cut_off == "nothing" else None,
        f"What cuts the dc loads off when the bank is low: {bank.cut_off}",
        "A low-voltage disconnect: a load that goes past it ruins the bank, and in the cold freezes it.",
        signal=Signal.CAUTION,
        value=bank.cut_off,
        limit="something that does",
    )


def cut_off_current(case: Case) -> Iterator[Finding]:
    """What cuts loads off carries their start too; an inverter's is many times its rating."""
    bank, currents = case.design.bank, case.bank.currents
    if bank.cut_off not in CONTACTS:
        return
    value, limit, unsaid = currents.cut, bank.cut_off_current, currents.cut_unsaid
    if value is None or limit is None:
        title = f"Not known whether {bank.cut_off} carries what it feeds"
        missing = (*ask("bank", bank, "cut_off_current"), *currents.cut_missing)
        yield unknown("cut-off-current", "bank", title, missing, MAKER, Signal.WARNING)
        return
    starts = ""
    bad = Status.FAILS if over(value, limit) else None
    if bad is None and unsaid is not None and over(unsaid, limit):
        value, bad = unsaid, Status.MARGINAL
        starts = " if those are motors of which no starting factor is entered"
    yield said(
        "cut-off-current",
        "cut_off_current",
        bad,
        f"{str(bank.cut_off).capitalize()} feeds {bank.use('cut_off_feeds')}: {case.show(value, 'A')} while "
        f"they start{starts}; it is made for {case.show(limit, 'A')}",
        "Inverters straight to the bank through their own device; they cut out by themselves. A contact that "
        "opens under their surge burns.",
        signal=Signal.WARNING,
        value=value,
        limit=float(limit),
        unit="A",
        margin=room_below(value, float(limit)),
        source=MAKER,
    )


def discharge_surge(case: Case) -> Iterator[Finding]:
    """A lithium bank opens by itself while a motor starts; what it bears for hours it bears for seconds."""
    bank, currents, kind = case.design.bank, case.bank.currents, case.bank.chemistry
    drawing = case.design.inverters or currents.drawn
    if kind is None or not drawing or (kind.lead and bank.discharge_surge is None):
        return
    value, stated = currents.surge, bank.discharge_surge
    limit = bank.discharge_current if stated is None else stated
    if value is None or limit is None or (stated is None and over(value, limit)):
        title = "Not known whether the bank gives the surge of inverters and loads"
        told = "" if value is None else f", {case.show(value, 'A')}"
        missing = (*ask("bank", bank, "discharge_surge"), *currents.surge_missing)
        yield unknown("discharge-surge", "bank", f"{title}{told}", missing, MAKER)
        return
    yield said(
        "discharge-surge",
        "discharge_current" if stated is None else "discharge_surge",
        Status.MARGINAL if over(value, limit) else None,
        f"Inverters at their surge and dc loads that start draw {case.show(value, 'A')}; the bank gives "
        f"{case.show(limit, 'A')} {'for hours' if stated is None else 'for seconds'}",
        "Its protection may open as a motor starts, and everything goes dark: more strings, softer starts, "
        "or inverters of less surge.",
        signal=Signal.CAUTION,
        value=value,
        limit=float(limit),
        unit="A",
        margin=room_below(value, float(limit)),
        source=MAKER,
    )


def overcharge_stop(case: Case) -> Iterator[Finding]:
    """A charger that fails shut boils cells dry; a second, independent stop ends it."""
    bank, kind, design = case.design.bank, case.bank.chemistry, case.design
    if kind is None or not (design.controllers or design.generators):
        return
    second = bank.overcharge_stop or (not kind.lead and bank.own_protection)
    if not second and bank.overcharge_stop is None:
        title = "Not known whether anything ends charging when a charger's control fails"
        missing = ask("bank", bank, "overcharge_stop")
        yield unknown("overcharge-stop", "bank", title, missing, CONTROLS, Signal.WARNING)
        return
    yield said(
        "overcharge-stop",
        "overcharge_stop",
        None if second else Status.MARGINAL,
        f"{'A second stop' if second else 'No second stop'} of overcharging, independent of the chargers",
        "Days of charging without control take the water out of the cells, plates touch, the gas explodes: "
        "an over-voltage relay or alarm of its own.",
        signal=Signal.WARNING,
        value="second stop" if second else "none",
        limit="second stop",
        source=CONTROLS,
    )
