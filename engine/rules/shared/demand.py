"""Demand: what the loads ask of the inverters, of the bank's voltage, and of the years to come."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from engine.design import Inverter, Load, label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_least, at_most, over, room_below, steps, unknown
from engine.sections.results import ask
from engine.sections.starting import MOTOR_START
from engine.sections.system_voltage import inverter_draw
from engine.sources import COMMON_PRACTICE, Source

LEAST_EFFICIENCY = 0.70
ONE_PHASE_120 = (100.0, 127.0)
PART_LOAD = Source(
    "Designing a Stand-Alone PV System, page 3 of 6: 70 to 80 % in practice",
    "Home Power magazine",
    "2010",
    how="read",
)
LARGE_ON_12 = Source(
    "Energy System Design, Project, and the Viva: 1000 W on 12 V",
    "Renewable Energy and Applications, open courseware",
    "2026",
    how="read",
)
GROWTH = Source(
    "Experience with Solar Home Systems in Developing Countries: A Review",
    "Progress in Photovoltaics 9",
    "2001",
)


def inverter_power(case: Case) -> Iterator[Finding]:
    """What can run together against what the inverters give for hours."""
    yield from _against(case, "inverter-power", "power", case.demand.peak_ac_w, "run together")


def inverter_surge(case: Case) -> Iterator[Finding]:
    """The worst start on top of what else runs against what the inverters give for seconds."""
    for found in _against(
        case, "inverter-surge", "surge", case.demand.surge_w, "while the worst of them starts"
    ):
        yield _unsaid(case, found)


def _unsaid(case: Case, found: Finding) -> Finding:
    """A start that fits as entered is marginal where it would not, were a load that says nothing a motor."""
    demand, load = case.demand, case.design.find("loads", case.demand.surge_unsaid_load)
    limit, worst = found.limit, demand.surge_unsaid_w
    if not isinstance(limit, float) or worst is None or not isinstance(load, Load) or load.surge_factor:
        return found
    if found.status in (Status.FAILS, Status.UNKNOWN) or not over(worst, limit):
        return found
    times = case.show(MOTOR_START, "1")
    return replace(
        found,
        field=f"loads.{load.id}.surge_factor",
        status=Status.MARGINAL,
        signal=Signal.NOTICE,
        title=f"{found.title}; {case.show(worst, 'W')} if {label(load)}, of which no start is entered, is "
        "a motor",
        remedy=f"Enter the starting factor of {label(load)}: a motor takes {times} times its running power, "
        f"what only heats or lights 1. {found.remedy}".strip(),
        value=worst,
        margin=room_below(worst, limit),
        steps=(),
    )


def _against(case: Case, rule: str, name: str, asked: float | None, told: str) -> Iterator[Finding]:
    inverters, demand = case.design.inverters, case.demand
    if not inverters or not case.design.loads:
        return
    where = f"inverters.{inverters[0].id}"
    lacks = [item for each in inverters for item in ask(f"inverters.{each.id}", each, name)]
    if asked is None or lacks:
        title = f"Not known whether {_names(inverters)} can feed what runs together"
        yield unknown(rule, where, title, (*demand.loads_missing, *lacks), COMMON_PRACTICE)
        return
    limit = sum(float(getattr(each, name)) for each in inverters)
    bad, several = over(asked, limit), len(inverters) > 1
    shared = ", shared as their power is" if several else ""
    what = {"power": "for hours", "surge": "for seconds"}[name]
    yield Finding(
        rule=rule,
        where=where,
        field=f"{where}.{name}",
        status=Status.FAILS if bad else Status.MARGINAL if several else Status.MEETS,
        signal=Signal.NOTICE if bad else Signal.NONE,
        title=f"Ac loads: {case.show(asked, 'W')} {told}; {_names(inverters)} {_give(inverters)} "
        f"{case.show(limit, 'W')} {what}{shared}",
        remedy=_remedy(bad, several),
        value=asked,
        limit=limit,
        unit="W",
        margin=room_below(asked, limit),
        source=COMMON_PRACTICE,
        steps=steps(demand.steps, "start") if name == "surge" else (),
    )


def _remedy(bad: bool, several: bool) -> str:
    if bad:
        return "A larger inverter, a load with a softer start, or say of some loads that they take turns."
    return "See that no inverter gets more of them than it can feed." if several else ""


def part_load(case: Case) -> Iterator[Finding]:
    """What the inverters use themselves: idle all day, and at the part load of each hour."""
    demand, inverters = case.demand, case.design.inverters
    if not inverters or not any(load.use("kind") == "ac" for load in case.design.loads):
        return
    where, rule = f"inverters.{inverters[0].id}", "inverter-part-load"
    if demand.bank_wh is None:
        title = f"Not known how much of a day {_names(inverters)} {'use' if len(inverters) > 1 else 'uses'}"
        yield unknown(rule, where, title, demand.missing, PART_LOAD)
        return
    step = demand.steps.get("inverter_least")
    if step is None:
        return
    value, idle = float(step.result.overall), float(step.result.idle_energy)
    flat = any(not each.efficiency_points for each in inverters)
    yield at_least(
        rule=rule,
        where=where,
        field=f"{where}.idle",
        worse=Status.MARGINAL,
        title=f"{_names(inverters)}: {case.show(value, '%')} of what it takes on a day reaches the loads; "
        f"idle draw takes {case.show(idle, 'Wh')}"
        f"{'; without a curve part load counts as full load' if flat else ''}",
        remedy="A smaller inverter, one that sleeps between loads, or dc for what runs all day.",
        value=value,
        limit=LEAST_EFFICIENCY,
        unit="%",
        source=PART_LOAD,
        steps=(step,),
    )


def system_voltage(case: Case) -> Iterator[Finding]:
    """A large inverter on a low voltage wants cables that nobody can lay, and sags as a motor starts."""
    draw = inverter_draw(case.design, case.family)
    if draw is None:
        return
    nominal = float(case.design.bank.voltage or 0.0)
    shown = case.show(nominal, "V")
    if draw.current is None:
        title = f"Not known whether {shown} suits the inverters"
        yield unknown("system-voltage", "bank", title, draw.missing, LARGE_ON_12)
        return
    higher = "a higher voltage" if draw.higher is None else case.show(draw.higher, "V")
    yield at_most(
        rule="system-voltage",
        where="bank",
        field="bank.voltage",
        worse=Status.MARGINAL,
        signal=Signal.CAUTION,
        title=f"Inverters at full power draw {case.show(draw.current, 'A')} from {shown} at its lowest; "
        f"{case.show(draw.limit, 'A')} is the most that suits it",
        remedy=f"Choose {higher}, or a smaller inverter.",
        value=draw.current,
        limit=draw.limit,
        unit="A",
        source=LARGE_ON_12,
        steps=() if draw.step is None else (draw.step,),
    )


def growth(case: Case) -> Iterator[Finding]:
    """People add loads; a bank can't be added to later without mixing ages."""
    if not case.design.loads:
        return
    value = case.demand.growth
    bad = value <= 0
    yield Finding(
        rule="load-growth",
        where="bank",
        field="bank.growth",
        status=Status.MARGINAL if bad else Status.MEETS,
        title=f"Allowance for growth of the loads: {case.show(value, '%') if value else 'none'}",
        remedy="Enter what people will add before the bank is replaced: blocks added later age apart."
        if bad
        else "",
        value=value,
        limit=0.0,
        unit="%",
        source=GROWTH,
    )


def multiwire(case: Case) -> Iterator[Finding]:
    """From one 120 V phase both legs of a shared neutral carry the same phase: their currents add in it."""
    low, high = ONE_PHASE_120
    source = case.family.clause("multiwire")
    for inverter in case.design.inverters:
        volts, where = inverter.ac_voltage, f"inverters.{inverter.id}"
        if volts is None or int(inverter.use("phases")) > 1 or not low <= float(volts) <= high:
            continue
        name, shared = label(inverter), inverter.multiwire
        if shared is None:
            title = f"{name}: not known whether circuits that it feeds share a neutral"
            missing = ask(where, inverter, "multiwire")
            yield unknown("multiwire-neutral", where, title, missing, source, Signal.DANGER)
            continue
        told = "circuits that share a neutral, which carries the sum of both"
        told = told if shared else "no circuits that share a neutral"
        yield Finding(
            rule="multiwire-neutral",
            where=where,
            field=f"{where}.multiwire",
            status=Status.FAILS if shared else Status.MEETS,
            signal=Signal.DANGER if shared else Signal.NONE,
            title=f"{name}: one phase of {case.show(float(volts), 'V')} feeds {told}",
            remedy="A neutral for each circuit, or an inverter with two opposite phases." if shared else "",
            value="shared neutral" if shared else "a neutral each",
            limit="a neutral each",
            source=source,
        )


def _names(inverters: tuple[Inverter, ...]) -> str:
    return label(inverters[0]) if len(inverters) == 1 else f"the {len(inverters)} inverters"


def _give(inverters: tuple[Inverter, ...]) -> str:
    return "gives" if len(inverters) == 1 else "give"
