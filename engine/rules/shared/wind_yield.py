"""A wind turbine against its place, its battery and its controller: whether it is worth putting up."""

from __future__ import annotations

import math
from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.physics.wind import HOURS_A_YEAR, weibull_scale
from engine.rules.judging import Case, at_least, at_most, over, room_below, steps, unknown
from engine.rules.shared.wind import FREE, each
from engine.sections.results import ask
from engine.sources import COMMON_PRACTICE, Source

LEAST_HUB = 10.0  # m, over open ground
SELDOM = 0.01  # of the year
IDLE = 0.1  # of the harvest
TRIAL = Source("Warwick Wind Trials, final report", "Encraft", "2009", how="partly from memory")
MATCH = Source("The Scoraig wind trials", "Wind Engineering", "2020", "cut-in and stall", "read")


def controller_takes(case: Case) -> Iterator[Finding]:
    """A controller at its limit takes no more, and what it leaves speeds the rotor up."""
    for result, turbine, where in each(case):
        controller = case.controllers.get(turbine.controller or "")
        limit = None if controller is None else controller.largest_output
        low = None if controller is None else controller.battery_low
        if result.best is None or controller is None or limit is None or not low:
            title = f"{result.label}: not known whether its controller takes all it gives"
            record = case.design.find("controllers", turbine.controller)
            lacks = ask(f"controllers.{turbine.controller}", record, "current_limit") if record else ()
            missing = (*result.missing, *ask(where, turbine, "controller"), *lacks)
            missing += ask("bank", case.design.bank, "lowest_voltage")
            yield unknown("turbine-output", where, title, missing, COMMON_PRACTICE, Signal.WARNING)
            continue
        held = result.best if result.on_load is None else result.on_load
        value = max(float(result.best.power.max()), float(held.power.max())) / low
        yield at_most(
            rule="turbine-output",
            where=where,
            field=f"controllers.{controller.controller}.current_limit",
            worse=Status.MARGINAL,
            signal=Signal.WARNING,
            title=(
                f"{result.label}: up to {case.show(value, 'A')} at the lowest battery voltage, "
                f"{controller.label} takes {case.show(limit, 'A')}"
            ),
            remedy=f"{FREE} A controller for that current, or furling that begins earlier.",
            value=value,
            limit=limit,
            unit="A",
            source=COMMON_PRACTICE,
        )


def winding_current(case: Case) -> Iterator[Finding]:
    """What the winding carries in the wind of most power, against what its alternator is rated for."""
    for result, turbine, where in each(case):
        state, limit = result.best, turbine.rated_current
        kind = getattr(case.design.find("controllers", turbine.controller), "kind", None)
        state = result.tied if kind == "direct" else state
        if state is None or limit is None:
            title = f"{result.label}: not known whether its winding stands its current"
            missing = (*result.missing, *ask(where, turbine, "rated_current"))
            yield unknown("winding-current", where, title, missing, COMMON_PRACTICE, Signal.WARNING)
            continue
        value = float(state.current.max())
        if kind != "direct" and result.on_load is not None:
            value = max(value, float(result.on_load.current.max()))
        yield at_most(
            rule="winding-current",
            where=where,
            field=f"{where}.furling_wind",
            worse=Status.MARGINAL,
            signal=Signal.WARNING,
            title=(
                f"{result.label}: up to {case.show(value, 'A')}, "
                f"its alternator is rated {case.show(limit, 'A')}"
            ),
            remedy="Furling that begins earlier, or an alternator for that current: the winding burns.",
            value=value,
            limit=limit,
            unit="A",
            source=COMMON_PRACTICE,
        )


def cut_in(case: Case) -> Iterator[Finding]:
    """The wind in which the rotor at its best ratio reaches the battery's voltage, against the mean wind."""
    for result, _, where in each(case):
        machine, battery, limit = result.machine, result.battery, result.mean_wind
        if machine is None or battery is None or limit is None:
            continue  # the energy of the year says what is missing
        speed = (battery + machine.drop) / machine.volts_per_speed
        value = speed / (machine.rotor.speed_per_wind * machine.rotor.best[0])
        yield at_most(
            rule="cut-in",
            where=where,
            field=f"{where}.volts_per_speed",
            worse=Status.MARGINAL,
            title=(
                f"{result.label}: reaches the battery's voltage at its best ratio in "
                f"{case.show(value, 'm/s')}, the mean wind is {case.show(limit, 'm/s')}"
            ),
            remedy="A winding of more volts per speed, or a battery of less voltage.",
            value=value,
            limit=limit,
            unit="m/s",
            source=MATCH,
            steps=steps(result.steps, "mean_wind"),
        )


def rated_wind(case: Case) -> Iterator[Finding]:
    """A rated power that is quoted at a wind the place hardly ever has says nothing about the year."""
    for result, turbine, where in each(case):
        wind, mean, shape = turbine.rated_wind, result.mean_wind, result.shape
        if wind is None or not mean or shape is None:
            continue  # nothing is claimed
        value = math.exp(-((float(wind) / weibull_scale(mean, shape)) ** shape))
        yield at_least(
            rule="rated-wind",
            where=where,
            field=f"{where}.rated_wind",
            worse=Status.MARGINAL,
            signal=Signal.NOTICE,
            title=(
                f"{result.label}: rated at {case.show(wind, 'm/s')}, "
                f"as much blows {case.show(value, '%')} of the year"
            ),
            remedy="Judge it by the energy of a year here, not by its rated power.",
            value=value,
            limit=SELDOM,
            unit="%",
            source=COMMON_PRACTICE,
            steps=steps(result.steps, "mean_wind"),
        )


def idle_draw(case: Case) -> Iterator[Finding]:
    """Electronics that draw all year against what the turbine brings."""
    for result, turbine, where in each(case):
        into = result.energy_battery if result.energy_battery is not None else result.energy_tracked
        record = case.design.find("controllers", turbine.controller)
        standby = getattr(record, "standby", None)
        if into is None or standby is None or record is None:
            title = f"{result.label}: not known whether it brings more than its electronics draw"
            lacks = ask(f"controllers.{turbine.controller}", record, "standby") if record is not None else ()
            missing = (*result.missing, *ask(where, turbine, "controller"), *lacks)
            yield unknown("turbine-idle", where, title, missing, TRIAL)
            continue
        value, limit = float(standby) * HOURS_A_YEAR, IDLE * into
        bad, none = over(value, limit), over(value, into)
        yield Finding(
            rule="turbine-idle",
            where=where,
            field=f"controllers.{turbine.controller}.standby",
            status=Status.FAILS if none else Status.MARGINAL if bad else Status.MEETS,
            signal=Signal.CAUTION if bad else Signal.NONE,
            title=(
                f"{result.label}: brings {case.show(into, 'Wh')} a year, "
                f"its electronics draw {case.show(value, 'Wh')}"
            ),
            remedy="A better place or a higher tower; else leave it out." if bad else "",
            value=value,
            limit=into if none else limit,
            unit="Wh",
            margin=room_below(value, limit),
            source=TRIAL,
        )


def hub_height(case: Case) -> Iterator[Finding]:
    """Low over the ground the wind is weak and rough."""
    for result, turbine, where in each(case):
        value = turbine.hub_height
        if value is None:
            title = f"{result.label}: not known how high it stands"
            yield unknown("hub-height", where, title, ask(where, turbine, "hub_height"), TRIAL)
            continue
        yield at_least(
            rule="hub-height",
            where=where,
            field=f"{where}.hub_height",
            worse=Status.MARGINAL,
            signal=Signal.CAUTION,
            title=(
                f"{result.label}: hub at {case.show(value, 'm')} above the ground, the least is "
                f"{case.show(LEAST_HUB, 'm')}"
            ),
            remedy="A higher tower: turbulence shakes it, and little energy reaches it.",
            value=value,
            limit=LEAST_HUB,
            unit="m",
            source=TRIAL,
        )
