"""The battery as what drives a fault, and what it carries: shared by the makers of its circuits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from engine.design import Bank, Controller, Design, Diversion, HydroTurbine, Inverter, Load, WindTurbine
from engine.physics.battery_current import InverterCurrent, inverter_dc_current
from engine.physics.diversion import resistor_power
from engine.sections.notes import Notes, field
from engine.sections.plans.plan import Supply
from engine.sections.results import Missing
from engine.tables.family import Family

POLES = {"negative": 1, "positive": 1, "none": 2}


@dataclass(frozen=True, slots=True)
class Drive:
    """The battery at both ends of its resistance, as its bus sees it, and what is missing for that."""

    most: Supply | None
    least: Supply | None
    strings: int | None
    poles: int | None
    missing: tuple[Missing, ...]

    def of_string(self) -> Drive:
        """As one string's device sees it: the others feed a fault in its string, it alone one on the bus."""
        others = None if self.most is None else replace(self.most, strings=max(1, self.most.strings - 1))
        alone = None if self.least is None else replace(self.least, strings=1)
        return replace(self, most=others, least=alone)


def drive(design: Design) -> Drive:
    """Most: new, warm and full, with every charger at its limit. Least: aged, cold and empty."""
    bank, notes = design.bank, Notes()
    notes.ask("bank", bank, "block_resistance", "block_resistance_aged", "series", "strings")
    notes.ask("bank", bank, "highest_voltage", "lowest_voltage")
    added = charging(design, notes)
    most = least = None
    if bank.series is not None and bank.strings is not None:
        if bank.block_resistance is not None and bank.highest_voltage is not None and added is not None:
            most = Supply(
                float(bank.highest_voltage), float(bank.block_resistance), bank.series, bank.strings, added
            )
        if bank.block_resistance_aged is not None and bank.lowest_voltage is not None:
            least = Supply(
                float(bank.lowest_voltage), float(bank.block_resistance_aged), bank.series, bank.strings
            )
    return Drive(most, least, bank.strings, POLES.get(bank.system_earthing or ""), notes.missing)


def charging(design: Design, notes: Notes) -> float | None:
    """The most that all chargers, and turbines without one, push into the battery together [A]; ``None``
    where one is not known."""
    total: float | None = 0.0
    for path, turbine in uncharged(design):
        amps = straight_current(design.bank, path, turbine, notes)
        total = None if amps is None or total is None else total + amps
    for controller in design.controllers:
        if controller.use("kind") == "diversion":
            continue
        limit = greatest_output(controller)
        if limit is None:
            notes.lack(field(f"controllers.{controller.id}", controller, "current_limit"))
        total = None if limit is None or total is None else total + limit
    for generator in design.generators:
        notes.ask(f"generators.{generator.id}", generator, "charger_current")
        limit = generator.charger_current
        total = None if limit is None or total is None else total + limit
    return total


def uncharged(design: Design) -> Iterator[tuple[str, WindTurbine | HydroTurbine]]:
    """Every turbine straight on the battery, with its path: no charge controller holds its current back."""
    wind = ((f"wind.{item.id}", item) for item in design.wind)
    water = ((f"hydro.{item.id}", item) for item in design.hydro)
    turbines: tuple[tuple[str, WindTurbine | HydroTurbine], ...] = (*wind, *water)
    for path, turbine in turbines:
        between = design.find("controllers", turbine.controller)
        if not isinstance(between, Controller) or between.use("kind") == "diversion":
            yield path, turbine


def straight_current(
    bank: Bank, path: str, turbine: WindTurbine | HydroTurbine, notes: Notes
) -> float | None:
    """What a turbine drives straight into the battery [A]: its rated current, or its rated power at the
    battery's lowest voltage where that is more."""
    if not notes.ask(path, turbine, "rated_power") or not notes.ask("bank", bank, "lowest_voltage"):
        return None
    by_power = float(turbine.rated_power or 0.0) / float(bank.lowest_voltage or 1.0)
    return max(by_power, float(turbine.rated_current or 0.0))


def discharging(design: Design, family: Family, notes: Notes) -> float | None:
    """The most that inverters, dc loads and diversion loads draw together [A]; ``None`` where not known."""
    total: float | None = 0.0
    for inverter in design.inverters:
        drawn = inverter_current(design, family, inverter, notes)
        total = None if drawn is None or total is None else total + drawn.current
    for load in dc_loads(design):
        amps = load_current(design.bank, load, notes)
        total = None if amps is None or total is None else total + amps
    for controller in design.controllers:
        if controller.use("kind") == "diversion":
            limit = greatest_output(controller)
            if limit is None:
                notes.lack(field(f"controllers.{controller.id}", controller, "current_limit"))
            total = None if limit is None or total is None else total + limit
    for diversion in design.diversions:
        if diversion.controller is None and diversion.use("fed_from") == "battery":
            amps = _diverted(design.bank, diversion, notes)
            total = None if amps is None or total is None else total + amps
    return total


def _diverted(bank: Bank, diversion: Diversion, notes: Notes) -> float | None:
    """What a diversion load that no controller drives draws at the bank's highest voltage [A]."""
    if diversion.resistance is None:
        notes.ask(f"diversions.{diversion.id}", diversion, "rated_power", "rated_voltage")
    known = notes.ask("bank", bank, "highest_voltage")
    return diverted_current(diversion, float(bank.highest_voltage or 0.0) if known else None)


def diverted_current(diversion: Diversion, volts: float | None) -> float | None:
    """What a diversion load draws at a voltage [A]: the larger, by its resistance or by its rating."""
    if volts is None:
        return None
    found = []
    if diversion.resistance is not None:
        found.append(volts / float(diversion.resistance))
    if diversion.rated_power is not None and diversion.rated_voltage is not None:
        power = resistor_power(
            rated_power=float(diversion.rated_power),
            rated_voltage=float(diversion.rated_voltage),
            voltage=volts,
        ).power
        found.append(power / volts)
    return max(found, default=None)


def inverter_current(
    design: Design, family: Family, inverter: Inverter, notes: Notes
) -> InverterCurrent | None:
    """What an inverter draws at full power, at the lower of its own cut-out and the bank's lowest voltage."""
    path, bank = f"inverters.{inverter.id}", design.bank
    known = notes.ask(path, inverter, "power", "efficiency")
    ends = [float(each) for each in (bank.lowest_voltage, inverter.lowest_voltage) if each is not None]
    if not ends:
        notes.ask("bank", bank, "lowest_voltage")
    if not ends or not known:
        return None
    found: InverterCurrent | None = notes.work(
        "current",
        field(path, inverter, "power"),
        inverter_dc_current,
        power=inverter.power,
        efficiency=inverter.efficiency,
        lowest_voltage=min(ends),
        rules=family,
    )
    return found


def surge_current(design: Design, inverter: Inverter, notes: Notes) -> float | None:
    """What an inverter draws at its surge power [A], at the lower of its own cut-out and the bank's lowest
    voltage."""
    bank = design.bank
    known = notes.ask(f"inverters.{inverter.id}", inverter, "surge", "efficiency")
    ends = [float(each) for each in (bank.lowest_voltage, inverter.lowest_voltage) if each is not None]
    if not ends:
        notes.ask("bank", bank, "lowest_voltage")
    if not ends or not known:
        return None
    return float(inverter.surge or 0.0) / float(inverter.efficiency or 1.0) / min(ends)


def load_current(bank: Bank, load: Load, notes: Notes) -> float | None:
    """What a dc load draws at the bank's lowest voltage [A], or its own current, all its pieces together."""
    if load.power is None and load.current is not None:
        return float(load.current) * int(load.use("number"))
    known = notes.ask(f"loads.{load.id}", load, "power")
    known = notes.ask("bank", bank, "lowest_voltage") and known
    if not known or load.power is None or bank.lowest_voltage is None:
        return None
    return float(load.power) * int(load.use("number")) / float(bank.lowest_voltage)


def dc_loads(design: Design) -> tuple[Load, ...]:
    """The loads that a dc panel feeds."""
    return tuple(load for load in design.loads if load.use("kind") == "dc")


def greatest_output(record: object) -> float | None:
    """The most that a controller ever passes: its flat limit, or the top of its table [A]."""
    flat = getattr(record, "current_limit", None)
    points = getattr(record, "current_points", None) or ()
    limits = [float(amps) for _, amps in points] + ([float(flat)] if flat is not None else [])
    return max(limits, default=None)
