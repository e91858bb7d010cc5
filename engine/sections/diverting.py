"""What holds turbines and battery when nothing else draws: diversion loads that count, and independent means.

A load counts where nothing of its own cuts it off and no inverter stands before it; a means is one device by
itself that keeps a turbine from overcharging the battery and from running free on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.design import Controller, Design, Diversion, HydroTurbine, Relay, WindTurbine, label
from engine.sections.relays import RelayResult
from engine.sections.results import ControllerResult, Missing, ask
from engine.units import Quantity

Turbine = WindTurbine | HydroTurbine


def turbines(design: Design) -> Iterator[tuple[Turbine, str]]:
    """Every source that runs free without a load, with its path."""
    for wind in design.wind:
        yield wind, f"wind.{wind.id}"
    for hydro in design.hydro:
        yield hydro, f"hydro.{hydro.id}"


def counts(diversion: Diversion) -> bool:
    """Whether a turbine may lean on the load: neither a thermostat nor an inverter takes it away."""
    return not diversion.own_thermostat and diversion.use("fed_from") == "battery"


def driven_at(design: Design, diversion: Diversion, relays: Mapping[str, RelayResult]) -> float | None:
    """The lowest battery voltage at which a load is driven fully [V]: its relays', else its controller's."""
    told = [
        float(result.closes)
        for relay in design.relays
        if relay.diversion == diversion.id and relay.watches == "battery voltage"
        if (result := relays.get(relay.id)) is not None and isinstance(result.closes, Quantity)
    ]
    if diversion.diverts_at is not None:
        told.append(float(diversion.diverts_at))
    return min(told, default=None)


def diverted_power(design: Design, diversion: Diversion, relays: Mapping[str, RelayResult]) -> float | None:
    """What a load takes where it is first driven fully, the least that its data allow [W].

    Its rating carried to that voltage, and its resistance, give two answers where they disagree. A battery
    that does not reach that voltage gives no more than at its highest.
    """
    volts, highest = driven_at(design, diversion, relays), design.bank.highest_voltage
    if volts is not None and highest is not None:
        volts = min(volts, float(highest))
    if volts is None or diversion.rated_power is None or diversion.rated_voltage is None:
        return None
    rated = float(diversion.rated_power) * (volts / float(diversion.rated_voltage)) ** 2
    if diversion.resistance is None:
        return rated
    return min(rated, volts**2 / float(diversion.resistance))


def power_lacks(
    design: Design, diversion: Diversion, relays: Mapping[str, RelayResult]
) -> tuple[Missing, ...]:
    """What ``diverted_power`` lacks."""
    path = f"diversions.{diversion.id}"
    lacks = ask(path, diversion, "rated_power", "rated_voltage")
    if driven_at(design, diversion, relays) is None:
        lacks += ask(path, diversion, "diverts_at")
    return lacks


def holds_back(turbine: Turbine, design: Design, controllers: Mapping[str, ControllerResult]) -> str:
    """The charge controller that can let go of a turbine by itself and live: its name, else empty."""
    controller = design.find("controllers", turbine.controller)
    if not isinstance(controller, Controller) or controller.use("kind") == "diversion":
        return ""
    result, open_voltage = controllers.get(controller.id), turbine.open_voltage
    standoff = None if result is None else result.standoff
    if standoff is None or open_voltage is None:
        return ""
    held = turbine.limiter_on
    stands = open_voltage <= standoff or (held is not None and held <= standoff)
    return label(controller) if stands else ""


def means(
    turbine: Turbine,
    design: Design,
    controllers: Mapping[str, ControllerResult],
    relays: Mapping[str, RelayResult],
    without: str = "",
) -> tuple[str, ...]:
    """The independent means that hold a turbine, by name; ``without`` one relay and what it drives.

    Loads on one controller are one means, where they take the turbine's rated power together. A brake that
    must be energized to brake is none.
    """
    found = [holds_back(turbine, design, controllers)]
    drivers: dict[str, list[Diversion]] = {}
    for load in design.diversions:
        own = [relay.id for relay in design.relays if relay.diversion == load.id]
        if counts(load) and (load.controller or own) and without not in own:
            drivers.setdefault(load.controller or own[0], []).append(load)
    for loads in drivers.values():
        taken = sum(diverted_power(design, load, relays) or 0.0 for load in loads)
        if turbine.rated_power is not None and taken >= turbine.rated_power:
            found.append(" and ".join(label(load) for load in loads))
    found += [
        label(relay)
        for relay in design.relays
        if relay.purpose == "brake" and relay.rest_state == "closed" and relay.id != without
    ]
    return tuple(filter(None, found))


def means_beside(
    design: Design,
    relay: Relay,
    controllers: Mapping[str, ControllerResult],
    relays: Mapping[str, RelayResult],
) -> str:
    """What protects where a relay has lost its power: the means that every turbine has beside it, else empty.

    Where no turbine leans on a diversion load, the charge controllers hold the battery.
    """
    if relay.purpose not in ("diversion load", "brake"):
        return ""
    told: dict[str, None] = {}
    for turbine, _ in turbines(design):
        beside = means(turbine, design, controllers, relays, relay.id)
        if relay.purpose == "brake" and isinstance(turbine, WindTurbine) and turbine.furling_wind is not None:
            beside = (*beside, "furling")
        if not beside:
            return ""
        told[beside[0]] = None
    return " and ".join(told) or ("the charge controller" if design.controllers else "")
