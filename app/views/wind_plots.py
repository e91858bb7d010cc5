"""What the plots of a wind turbine show: power over wind both ways, and power over voltage at this wind."""

from __future__ import annotations

from app.views.turbine import Curve, Dot, Plot, Upright
from engine import units
from engine.design import WindTurbine
from engine.sections.harvest import Harvest
from engine.sections.results import Conditions, ControllerResult
from engine.sections.wind import WINDS, WindResult
from engine.sections.wind_live import WindLook

SHOWN = 25.0  # m/s: the winds in which a turbine works


def over_wind(
    result: WindResult, turbine: WindTurbine, look: WindLook, conditions: Conditions, habit: str
) -> Plot:
    """Power and rotor speed over wind, straight on the battery and tracked, with the maker's points."""
    best, tied = result.best, result.tied
    if best is None or tied is None:
        return Plot("Power over wind", empty=_wanted(result), habit=habit)
    some = max(SHOWN, conditions.wind) >= WINDS
    points = turbine.power_points or ()
    watts = max(float(best.power.max()), max((float(power) for _, power in points), default=0.0))
    speeds = float(best.rotor_speed[some].max())
    uprights = []
    if result.mean_wind is not None:
        uprights.append(Upright(result.mean_wind, f"mean {units.show(result.mean_wind, 'm/s', habit, 3)}"))
    if turbine.furling_wind is not None:
        uprights.append(Upright(float(turbine.furling_wind), "furls"))
    dots = [
        Dot(float(wind), float(power), hollow=True, small=True) for wind, power in points if wind <= SHOWN
    ]
    if look.state != "no curve":
        said = f"{units.show(look.power, 'W', habit, 3)} · {units.show(look.rotor_speed, 'rpm', habit, 3)}"
        dots.append(Dot(conditions.wind, look.power, said))
        dots.append(Dot(conditions.wind, look.rotor_speed, right=True, small=True))
    kept = WINDS[some]
    held = result.on_load
    entered = () if held is None else (Curve("load curve entered", kept, held.power[some], "ink", 1.4),)
    return Plot(
        "Power over wind",
        "rings: the maker's curve" if points else "",
        ("m/s", "W", "rpm"),
        (float(kept[-1]), watts, speeds),
        (
            Curve("tracked", kept, best.power[some], "wind", 2.0, filled=True, named_at=0.3),
            *entered,
            Curve("straight on the battery", kept, tied.power[some], "battery", 1.6, named_at=0.8),
            Curve(
                "rotor speed",
                kept,
                best.rotor_speed[some],
                "soft",
                1.0,
                dashed=True,
                right=True,
                named_at=0.85,
            ),
        ),
        dots,
        uprights,
        habit=habit,
    )


def over_voltage(
    result: WindResult,
    look: WindLook,
    held: WindLook | None,
    load: Harvest | None,
    controller: ControllerResult | None,
    caption: str,
    habit: str,
) -> Plot:
    """Power over the voltage at the controller in this wind, the load curve, and the point that is held."""
    if result.machine is None:
        return Plot("Power over voltage", empty=_wanted(result), habit=habit)
    curves, dots = [], list[Dot]()
    if look.volts.size:
        curves.append(Curve("this wind", look.volts, look.watts, "wind", 2.0, filled=True, named_at=0.75))
    if held is not None and held.volts.size:  # over what the other fills
        curves.append(Curve("held", held.volts, held.watts, "soft", 1.2, dashed=True, named_at=0.4))
        dots.append(Dot(held.voltage, held.power, hollow=True))
    handles: list[tuple[float, float]] = []
    top = float(result.best.power.max()) if result.best is not None else float(look.watts.max(initial=1.0))
    if load is not None:
        curve = load.curve
        name = "load curve" if result.load is None else "load curve entered"
        curves.append(Curve(name, curve.volts, curve.watts, "ink", 1.2, named_at=0.6))
        handles = [(float(v), float(w)) for v, w in zip(curve.volts, curve.watts, strict=True)]
        dots += [Dot(v, w, hollow=True, small=result.load is None) for v, w in handles]
        top = max(top, float(curve.watts[-1]))
    if look.state != "no curve":
        parts = ((look.voltage, "V"), (look.current, "A"), (look.power, "W"))
        said = " · ".join(units.show(value, unit, habit, 3) for value, unit in parts)
        dots.append(Dot(look.voltage, look.power, said))
    limits = () if controller is None or controller.operating is None else (controller.operating,)
    highest = max([look.open_voltage, *limits])
    uprights = [
        Upright(limit, f"operates to {units.show(limit, 'V', habit, 3)}", "fails") for limit in limits
    ]
    return Plot(
        "Power over voltage",
        caption,
        ("V", "W", ""),
        (1.05 * max(highest, 1.0), top, 1.0),
        curves,
        dots,
        uprights,
        handles,
        told=look.why,
        habit=habit,
    )


def _wanted(result: WindResult) -> str:
    names = list(dict.fromkeys(item.title for item in result.missing))
    return f"Enter: {', '.join(names)}." if names else "No curve."


def year_told(result: WindResult, load: Harvest | None, habit: str, *, short: bool = False) -> str:
    """The energies of a year in a sentence, and what the load curve keeps of it.

    ``short``: with the gain of tracking as a number instead of the maker's curve, for a large look.
    """
    if result.energy_tracked is None or result.energy_direct is None:
        return ""
    tracked, direct = (
        units.show(value, "Wh", habit, 3) for value in (result.energy_tracked, result.energy_direct)
    )
    text = f"A year here: {tracked} tracked, {direct} straight on the battery"
    text += f": {result.gain:.2f} times as much." if short and result.gain is not None else "."
    if result.energy_maker is not None and not short:
        text += f" By the maker's curve {units.show(result.energy_maker, 'Wh', habit, 3)}."
    if load is not None and load.lost is not None:
        which = "load curve entered" if result.load is not None else "computed load curve"
        lost = units.show(load.lost, "%", habit, 2)
        text += f" The {which} gives up {lost}." if short else f" The {which} gives up {lost} of the ideal."
    return text
