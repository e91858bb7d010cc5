"""What the plot of a hydro turbine shows: power and current over voltage at this flow, and the point held."""

from __future__ import annotations

from app.views.turbine import Curve, Dot, Plot, Upright
from engine import units
from engine.sections.hydro import HydroResult
from engine.sections.hydro_live import full
from engine.sections.results import ArrayLook, ControllerResult


def over_voltage(
    result: HydroResult,
    look: ArrayLook,
    held: ArrayLook | None,
    controller: ControllerResult | None,
    caption: str,
    habit: str,
) -> Plot:
    """Power and current over the voltage at the controller; the dot is the point held, the ring the bank."""
    if result.machine is None:
        names = ", ".join(dict.fromkeys(item.title for item in result.missing))
        return Plot("Power over voltage", empty=f"Enter: {names}." if names else "No curve.", habit=habit)
    curves, ghost = [], list[Dot]()
    if look.volts.size:
        curves.append(Curve("power", look.volts, look.watts, "water", 2.0, filled=True, named_at=0.78))
        curves.append(Curve("current", look.volts, look.amps, "water", 1.0, right=True, named_at=0.12))
    if held is not None and held.volts.size:  # over what the other fills
        curves.append(Curve("held", held.volts, held.watts, "soft", 1.2, dashed=True, named_at=0.35))
        ghost.append(Dot(held.voltage, held.power, hollow=True))
    amps, watts = full(result)
    limits = [
        Upright(limit, f"{word} {units.show(limit, 'V', habit, 3)}", colour)
        for limit, word, colour in (
            (None if controller is None else controller.start, "starts at", "soft"),
            (None if controller is None else controller.operating, "operates to", "fails"),
        )
        if limit is not None
    ]
    highest = max([look.open_voltage, result.free_voltage or 0.0, *(limit.x for limit in limits)])
    return Plot(
        "Power over voltage",
        caption,
        ("V", "W", "A"),
        (1.02 * max(highest, 1.0), max(watts, 1.0), max(amps, 0.1)),
        curves,
        [*ghost, *_dots(result, look, habit)],
        limits,
        told=look.why,
        habit=habit,
    )


def _dots(result: HydroResult, look: ArrayLook, habit: str) -> list[Dot]:
    if not look.volts.size:
        return []
    parts = ((look.voltage, "V"), (look.current, "A"), (look.power, "W"))
    said = " · ".join(units.show(value, unit, habit, 3) for value, unit in parts)
    dots = [Dot(look.voltage, look.power, said)]
    battery, machine = result.battery, result.machine
    if battery is not None and machine is not None and look.state != "direct":
        amps = max(look.open_voltage - battery, 0.0) * float(look.amps[0]) / look.open_voltage
        tied = battery * amps
        said = f"straight on {units.show(battery, 'V', habit, 3)}: {units.show(tied, 'W', habit, 3)}"
        dots.append(Dot(battery, tied, said, hollow=True))
    return dots
