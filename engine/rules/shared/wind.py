"""A wind turbine that is out of hand: how fast, how high its voltage, and whether its brake holds it."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import WindTurbine
from engine.finding import Finding, Signal, Status
from engine.rules.judging import (
    Case,
    at_least,
    at_most,
    needed,
    over,
    room_above,
    room_below,
    steps,
    under,
    unknown,
)
from engine.sections.results import ask
from engine.sections.wind import WindResult
from engine.sources import COMMON_PRACTICE, Source

FREE = "Without load a rotor runs away."
LONG, TOO_LONG = 0.5, 1.0  # cable to the brake over the winding (reasoned: it halves the braking torque at 1)
STORM = Source("IEC 61400-2 small wind turbines", "IEC", "2013", "table 1, reference wind speed")
BRAKE_DATA = (
    *("short_current", "largest_speed", "length", "design_low", "elevation", "wind_speed", "hub_height"),
    *("diameter", "cp_points", "best_cp", "best_ratio", "volts_per_speed", "resistance"),
)


def each(case: Case) -> Iterator[tuple[WindResult, WindTurbine, str]]:
    """Every wind turbine with its result and its path."""
    for turbine in case.design.wind:
        result = case.wind.get(turbine.id)
        if result is not None:
            yield result, turbine, f"wind.{turbine.id}"


def runaway_speed(case: Case) -> Iterator[Finding]:
    """The load lost in the strongest gust: the rotor must stand the speed that it then reaches.

    Furling is set with the load on; an unloaded rotor spins faster at less thrust and furls later.
    """
    source = case.family.clause("overspeed")
    for result, turbine, where in each(case):
        value, limit = turbine.runaway_speed, turbine.largest_speed
        if value is None or limit is None:
            title = f"{result.label}: not known whether its rotor stands the speed at which it runs free"
            missing = ask(where, turbine, "runaway_speed", "largest_speed")
            yield unknown("runaway-speed", where, title, missing, source, Signal.DANGER)
            continue
        yield at_most(
            rule="runaway-speed",
            where=where,
            field=f"{where}.runaway_speed",
            signal=Signal.DANGER,
            title=(
                f"{result.label}: {case.show(value, 'rpm')} running free, "
                f"its rotor stands {case.show(limit, 'rpm')}"
            ),
            remedy=f"{FREE} A brake or a limiter that acts by itself, or a stronger rotor.",
            value=value,
            limit=limit,
            unit="rpm",
            source=source,
        )


def runaway_entered(case: Case) -> Iterator[Finding]:
    """The runaway speed as entered, against that of the rotor's own curve without load as it begins to furl.

    Where nothing furls, in the strongest gust of the class.
    """
    source = case.family.clause("overspeed")
    for result, turbine, where in each(case):
        value, limit, wind = turbine.runaway_speed, result.free_speed, result.free_wind
        if value is None or limit is None or wind is None:
            continue  # runaway_speed says what is missing, the energy of the year what the curve lacks
        yield at_least(
            rule="runaway-entered",
            where=where,
            field=f"{where}.runaway_speed",
            worse=Status.MARGINAL,
            signal=Signal.WARNING,
            title=(
                f"{result.label}: {case.show(value, 'rpm')} entered as runaway, its curve runs free at "
                f"{case.show(limit, 'rpm')} in {case.show(wind, 'm/s')}"
            ),
            remedy=(
                "Enter the higher speed and the voltage that goes with it, or furling that begins earlier: "
                "all else is chosen by them."
            ),
            value=value,
            limit=limit,
            unit="rpm",
            source=source,
        )


def operating_voltage(case: Case) -> Iterator[Finding]:
    """A controller that stops above its operating limit lets go of the rotor just when it is fast."""
    source = case.family.clause("overvoltage")
    for result, turbine, where in each(case):
        controller = case.controllers.get(turbine.controller or "")
        value = turbine.open_voltage
        limit = None if controller is None else controller.operating
        if value is None or limit is None or controller is None:
            record = case.design.find("controllers", turbine.controller)
            path = f"controllers.{turbine.controller}"
            lacks = ask(path, record, "operating_limit") if record is not None else ()
            title = f"{result.label}: not known whether its controller stops while it runs fast"
            missing = (*ask(where, turbine, "open_voltage", "controller"), *lacks)
            yield unknown("turbine-operating", where, title, missing, source, Signal.WARNING)
            continue
        bad = over(value, limit)
        held = turbine.limiter_on is not None and not over(turbine.limiter_on, limit)
        yield Finding(
            rule="turbine-operating",
            where=where,
            field=f"{where}.open_voltage",
            status=Status.MARGINAL if bad else Status.MEETS,
            signal=Signal.WARNING if bad else Signal.NONE,
            title=(
                f"{result.label}: {case.show(value, 'V')} running free, "
                f"{controller.label} works up to {case.show(limit, 'V')}"
            ),
            remedy=_operating_remedy(bad, held),
            value=float(value),
            limit=limit,
            unit="V",
            margin=room_below(value, limit),
            source=source,
        )


def _operating_remedy(bad: bool, held: bool) -> str:
    if not bad:
        return ""
    if held:
        return "Only the limiter keeps it working: test it before each season."
    return f"{FREE} A limiter that begins below that, or a controller that works higher."


def rectifier_voltage(case: Case) -> Iterator[Finding]:
    """The rectifier's diodes see the voltage of the free-running alternator backwards."""
    source = case.family.clause("overvoltage")
    for result, turbine, where in each(case):
        value, limit = turbine.rectifier_voltage, turbine.open_voltage
        if value is None or limit is None:
            title = f"{result.label}: not known whether its rectifier stands its voltage running free"
            missing = ask(where, turbine, "rectifier_voltage", "open_voltage")
            yield unknown("rectifier-voltage", where, title, missing, source, Signal.WARNING)
            continue
        yield at_least(
            rule="rectifier-voltage",
            where=where,
            field=f"{where}.rectifier_voltage",
            signal=Signal.WARNING,
            title=(
                f"{result.label}: rectifier for {case.show(value, 'V')}, "
                f"{case.show(limit, 'V')} stand on it running free"
            ),
            remedy=f"{FREE} A rectifier that fails lets go of it: take one of a higher voltage.",
            value=value,
            limit=limit,
            unit="V",
            source=source,
        )


def brake_holds(case: Case) -> Iterator[Finding]:
    """The wind up to which shorting the alternator stops the rotor and holds it.

    Below the wind of most power it does not stop the turbine when it must; below the reference wind of the
    class it breaks loose in a storm that comes.
    """
    source = case.family.clause("overspeed")
    for result, turbine, where in each(case):
        if turbine.brake != "short circuit":
            continue
        value, most, limit = result.holds, result.strongest, result.reference
        if value is None or most is None or limit is None:
            title = f"{result.label}: not known up to which wind shorting its wires holds the rotor"
            missing = needed(result.missing, *BRAKE_DATA, "furling_wind")
            yield unknown("brake-holds", where, title, missing, source, Signal.DANGER)
            continue
        weak, loose = under(value, most), under(value, limit)
        yield Finding(
            rule="brake-holds",
            where=where,
            field=f"{where}.brake",
            status=Status.FAILS if weak else Status.MARGINAL if loose else Status.MEETS,
            signal=Signal.DANGER if weak else Signal.WARNING if loose else Signal.NONE,
            title=(
                f"{result.label}: shorting its wires holds the rotor up to {case.show(value, 'm/s')}; most "
                f"power at {case.show(most, 'm/s')}, storms here reach {case.show(limit, 'm/s')}"
            ),
            remedy=_brake_remedy(weak, loose),
            value=value,
            limit=most if weak else limit,
            unit="m/s",
            margin=room_above(value, limit),
            source=source if weak else STORM,
            steps=steps(result.steps, "shorted", "mean_wind"),
        )


def _brake_remedy(weak: bool, loose: bool) -> str:
    if weak:
        return (
            "It won't stop the turbine when it must: a mechanical brake, or a shorter, thicker cable to it."
        )
    return (
        "Brake it before the storm, in a lull, and furl or tie it; never go up while it can turn."
        if loose
        else ""
    )


def brake_cable(case: Case) -> Iterator[Finding]:
    """A long thin cable between alternator and brake takes the braking torque away."""
    for result, turbine, where in each(case):
        cable, winding = result.brake_resistance, turbine.resistance
        if turbine.brake != "short circuit" or cable is None or not winding:
            continue  # what is missing is told by brake_holds
        share = cable / float(winding)
        long, bad = over(share, LONG), over(share, TOO_LONG)
        yield Finding(
            rule="brake-cable",
            where=where,
            field=f"circuits.{turbine.id}-alternator.length",
            status=Status.FAILS if bad else Status.MARGINAL if long else Status.MEETS,
            signal=Signal.WARNING if long else Signal.NONE,
            title=(
                f"{result.label}: cable to its brake {case.show(cable, 'ohm')}, "
                f"{case.show(share, '%')} of its winding"
            ),
            remedy="Put the brake switch at the foot of the tower, or a thicker cable to it." if long else "",
            value=share,
            limit=TOO_LONG if bad else LONG,
            unit="%",
            margin=room_below(share, LONG),
            source=COMMON_PRACTICE,
        )


def brake_current(case: Case) -> Iterator[Finding]:
    """Held in a strong wind, the shorted wires carry a current for as long as it blows."""
    source = case.family.clause("wind")
    for result, turbine, where in each(case):
        circuit = case.circuits.get(f"{turbine.id}-alternator")
        value = result.shorted_line
        if turbine.brake != "short circuit" or circuit is None or value is None:
            continue  # what is missing is told by brake_holds
        limit = next((check.capacity for check in circuit.checks if check.name == "ampacity"), None)
        if limit is None or result.shorted_wind is None:
            title = f"{result.label}: not known whether its wires carry the current of its brake"
            yield unknown("brake-current", where, title, circuit.missing, source, Signal.WARNING)
            continue
        yield at_most(
            rule="brake-current",
            where=where,
            field=f"circuits.{circuit.id}.size",
            signal=Signal.WARNING,
            title=(
                f"{result.label}: shorted in {case.show(result.shorted_wind, 'm/s')} its wires carry "
                f"{case.show(value, 'A')}, they may carry {case.show(limit, 'A')}"
            ),
            remedy="Thicker wires to the brake, and a switch for that current.",
            value=value,
            limit=limit,
            unit="A",
            source=source,
            steps=steps(result.steps, "shorted"),
        )
