"""What the loads ask for, as the rows, columns and sentences that the window shows."""

from __future__ import annotations

from app.views.stacks import Layer, Stacks
from app.views.text_table import Texts
from engine import edit, units
from engine.design import Design, label
from engine.finding import Status
from engine.sections.demand import Demand
from engine.sections.results import Missing
from engine.sections.system_voltage import Choice

MONTHS = tuple(
    "January February March April May June July August September October November December".split()
)
HEADS = ("Load", "Power", "No.", "Hours", "Days", "A day", "Supply", "At start", "Critical")
RIGHT = ("Power", "No.", "Hours", "Days", "A day", "At start")
NO_LOADS = "No loads yet. Add one: what runs, at what power, how many hours a day."
WHOLE = "From the bank"
BAND = (0.25, 1.5)


def rows(design: Design, demand: Demand, month: int, habit: str) -> Texts:
    """The load table in one month: power and hours as entered, energy of the mean day."""
    lines = []
    for load, day in zip(design.loads, demand.rows, strict=True):
        path = f"loads.{load.id}"
        energy = "" if day.energy is None else units.show(day.energy[month], "Wh", habit, 3)
        cells = (
            label(load),
            "" if day.power is None else units.show(day.power, "W", habit, 3),
            str(load.use("number")),
            edit.shown(design, f"{path}.hours", habit),
            f"{float(load.use('days_a_week')):g}",
            energy,
            str(load.use("kind")),
            "" if day.surge is None else units.show(day.surge, "W", habit, 3),
            "yes" if load.use("critical") else "",
        )
        lines.append((None if energy else Status.UNKNOWN, cells))
    return Texts(HEADS, RIGHT, (), tuple(lines))


def totals(demand: Demand, design: Design, month: int, habit: str) -> tuple[tuple[str, str], ...]:
    """Captions and figures that sum the table up, in the order of the sum; "unknown" where a datum lacks."""

    def day(values: tuple[float, ...] | None) -> str:
        return "unknown" if values is None else units.show(values[month], "Wh", habit, 3)

    def watts(value: float | None) -> str:
        return "unknown" if value is None else units.show(value, "W", habit, 3)

    lost = None
    if demand.idle_wh is not None and demand.loss_wh is not None:
        lost = tuple(a + b for a, b in zip(demand.idle_wh, demand.loss_wh, strict=True))
    starting = design.find("loads", demand.surge_load)
    start = "At a start" if starting is None else f"{label(starting)} starts"
    return (
        ("Ac loads", day(demand.ac_wh)),
        ("Dc loads", day(demand.dc_wh)),
        ("Inverters", day(lost)),
        ("Controllers", day(demand.own_wh)),
        ("Growth", day(demand.growth_wh)),
        (WHOLE, day(demand.bank_wh)),
        ("Ac together", watts(demand.peak_ac_w)),
        (start, watts(demand.surge_w)),
    )


def hours(demand: Demand, month: int) -> Stacks:
    """The mean day of a month, hour by hour."""
    title = "Hour by hour"
    day = demand.by_hour(month)
    if day is None:
        return Stacks(title, empty=wanted(demand.missing))
    caption = f"mean power on a day in {MONTHS[month]}"
    layers = [
        Layer("dc", "battery", day.dc),
        Layer("ac", "loads", day.ac),
        Layer("standby", "loads", day.standby, pale=True),
    ]
    if day.losses is not None:
        layers.append(Layer("losses", "soft", day.losses, pale=True))
    labels = tuple("24 h" if at == 24 else str(at) if at % 6 == 0 else "" for at in range(25))
    names = tuple(f"{at:02d}:00" for at in range(24))
    return Stacks(title, caption, "W", labels, tuple(layers), edges=True, names=names)


def months(demand: Demand, month: int) -> Stacks:
    """What a day takes from the bank in each month; the loads alone where inverters are not known."""
    title = "A day, by month"
    if demand.ac_wh is None or demand.dc_wh is None:
        return Stacks(title, empty=wanted(demand.missing))
    layers = [Layer("dc", "battery", demand.dc_wh), Layer("ac", "loads", demand.ac_wh)]
    caption = "loads alone"
    if demand.bank_wh is not None and demand.growth_wh is not None and demand.own_wh is not None:
        caption = "from the bank"
        parts = zip(demand.idle_wh or (), demand.loss_wh or (), demand.own_wh, strict=True)
        layers.append(Layer("losses", "soft", tuple(map(sum, parts)), pale=True))
        layers.append(Layer("growth", "loads", demand.growth_wh, pale=True))
    initials = tuple(name[0] for name in MONTHS)
    return Stacks(title, caption, "Wh", initials, tuple(layers), chosen=month, names=MONTHS)


def wanted(missing: tuple[Missing, ...]) -> str:
    """What to do where a picture lacks data."""
    if [item.path for item in missing] == ["loads"]:
        return NO_LOADS
    names = ", ".join(dict.fromkeys(item.title for item in missing))
    return f"Enter: {names}." if names else ""


def lacking(demand: Demand, habit: str) -> str:
    """What is left out of the sum, and what was taken for it; empty where nothing is."""
    told = []
    if demand.missing and demand.rows:
        told.append(f"Not in the sum yet: {', '.join(dict.fromkeys(i.title for i in demand.missing))}.")
    if demand.assumed:
        taken = ", ".join(dict.fromkeys(f"{item.title.lower()} {item.text}" for item in demand.assumed))
        told.append(f"Taken where none is entered: {taken} a controller.")
    return " ".join(told)


def band(demand: Demand, month: int, habit: str) -> str:
    """How far a survey has been off, in this design's numbers; empty where the demand is not known."""
    if demand.bank_wh is None:
        return ""
    low, high = (units.show(factor * demand.bank_wh[month], "Wh", habit, 2) for factor in BAND)
    return (
        f"Use turns out anywhere from a quarter to one and a half of what people foretell, here {low} to "
        f"{high} a day: meter what can be metered."
    )


def asked_of_inverters(design: Design, demand: Demand, habit: str) -> str:
    """What the ac loads ask of the inverters together; empty where they are not known, or there are none."""
    if not demand.peak_ac_w or demand.surge_w is None:
        return ""
    starting = design.find("loads", demand.surge_load)
    running, most = (units.show(watts, "W", habit, 3) for watts in (demand.peak_ac_w, demand.surge_w))
    start = "" if starting is None else f", {most} while {label(starting)} starts"
    return f"The ac loads that may run together take {running}{start}."


def voltages(choices: tuple[Choice, ...], habit: str) -> tuple[str, ...]:
    """A line for each usual nominal voltage: currents, least cable, and whether it suits."""
    if all(choice.inverters is None for choice in choices):
        return ("With inverters or ac loads entered, their current at 12, 24 and 48 V stands here.",)
    lines = ["Ac at full power, the bank at its lowest:"]
    for choice in choices:
        parts = []
        if choice.inverters is not None:
            cable = "no single cable" if choice.cable is None else f"cable {choice.cable} or more"
            parts.append(f"inverters {units.show(choice.inverters, 'A', habit, 3)}, {cable}")
        if choice.charging is not None:
            parts.append(f"arrays {units.show(choice.charging, 'A', habit, 3)}")
        verdict = "suits" if choice.suits else "too much current"
        lines.append(f"{units.show(choice.nominal, 'V', habit)}: {'; '.join([*parts, verdict])}.")
    return tuple(lines)
