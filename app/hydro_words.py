"""What a hydro turbine gives, in sentences that the terminal and the window share."""

from __future__ import annotations

from engine import units
from engine.sections.hydro import HydroResult

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def _share(value: float) -> str:
    return units.show(value, "%", "metric", 2)


def head_told(result: HydroResult, habit: str) -> str:
    """Where the gross head goes, Hazen and Williams' answer beside Darcy's; empty where it is not known."""
    pipe, head = result.water.pipe, result.water.head
    if pipe is None or head is None:
        return ""

    def show(value: float) -> str:
        return units.show(value, "m", habit, 3)

    beside = "" if head.hazen_loss is None else f" (by Hazen and Williams {show(head.hazen_loss)})"
    return (
        f"Of {show(pipe.gross_head)} the pipe takes {show(head.pipe_loss)}{beside} and its fittings "
        f"{show(head.fitting_loss)}: {show(head.net_head)} are left, {_share(head.share)}."
    )


def pipe_told(result: HydroResult, habit: str) -> str:
    """The flow at which the pipe gives most, and what comes of more."""
    best = result.water.best
    if best is None:
        return ""
    flow, power = units.show(best.flow, "m^3/s", habit, 3), units.show(best.power, "W", habit, 3)
    return (
        f"The most that this pipe can give is {power} in the water at {flow}, {_share(best.share)} of the "
        "head lost; more water gives less."
    )


def gain_told(result: HydroResult, habit: str, *, short: bool = False) -> str:
    """What tracking gains over tying the turbine to the battery, and why; ``short`` for a large look."""
    line, battery = result.line, result.battery
    if line is None or battery is None or result.tracked_output is None:
        return ""

    def show(value: float, unit: str) -> str:
        return units.show(value, unit, habit, 3)

    best = f"It gives most at {show(line.best_voltage, 'V')}: {show(line.best_power, 'W')}"
    if line.power <= 0:
        return f"{best}. Straight on {show(battery, 'V')} it gives nothing: its voltage never reaches that."
    times = result.tracked_output / line.power
    if short:
        return f"{best}. Tracking gives {times:.2f} times as much as straight on {show(battery, 'V')}."
    return (
        f"{best}, {show(result.tracked_output, 'W')} of it into the battery; straight on "
        f"{show(battery, 'V')} the wheel is held at {line.speed:.0f} rpm and gives "
        f"{show(line.power, 'W')}. Tracking gives {times:.2f} times as much."
    )


def free_told(result: HydroResult, habit: str) -> str:
    """How fast and how high it runs without load."""
    fast = result.water.runaway
    if fast is None or fast.voltage is None:
        return ""
    return (
        f"Without load it runs at {fast.speed:.0f} rpm and stands at "
        f"{units.show(fast.voltage, 'V', habit, 4)}: nothing but the water stops it."
    )


def year_told(result: HydroResult, habit: str) -> str:
    """The year into the battery, and its leanest month."""
    if result.year is None or not result.months:
        return ""
    lean = min(range(len(MONTHS)), key=lambda at: result.months[at].power)
    return (
        f"In a year {units.show(result.year, 'Wh', habit, 4)} into the battery; the leanest month is "
        f"{MONTHS[lean]} with {units.show(result.months[lean].power, 'W', habit, 3)}."
    )
