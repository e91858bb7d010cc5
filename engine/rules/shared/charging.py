"""Set points: whether each is usual for the chemistry, how they follow temperature, how high they go."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import pairwise

from engine.design import Controller, label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_most, over, room_above, room_below, steps, under, unknown
from engine.sections.charging import LITHIUM, SEALED, Charging, Stage, usual
from engine.sections.notes import field
from engine.sections.results import ask
from engine.sources import COMMON_PRACTICE, Source
from engine.tables import table

IEEE_937 = Source(
    "IEEE 937, Recommended Practice for Installation and Maintenance of Lead-Acid Batteries for Photovoltaic "
    "Systems",
    "IEEE",
    "2019",
    "charging",
)
SLACK = 10.0  # K that a bank may swing about 25 degC without compensation (common practice)
HOT_SEALED = 35.0  # degC, from which a sealed bank without compensation can run away (common practice)
REFERENCE = 25.0


def set_up(case: Case) -> Charging | None:
    """The set points where something charges the bank and they are known."""
    found = case.charging if case.charged else None
    return found if found is not None and found.stages else None


def setpoint_highest(case: Case) -> Iterator[Finding]:
    """The highest voltage that the set points reach against the one that the design is laid out for."""
    if not case.charged:
        return
    found, bank = case.charging, case.design.bank
    value, limit = found.highest, bank.highest_voltage
    if value is None or limit is None:
        title = "Not known how high the chargers drive the battery"
        missing = (*found.missing, *ask("bank", bank, "highest_voltage"))
        yield unknown("setpoint-highest", "bank", title, missing, COMMON_PRACTICE)
        return
    stage = found.highest_stage.rpartition("_")[2]
    at = f" at {case.show(found.coldest, 'degC')}" if found.compensation and found.coldest is not None else ""
    yield at_most(
        rule="setpoint-highest",
        where="bank",
        field="bank.highest_voltage",
        signal=Signal.WARNING,
        title=(
            f"{stage.capitalize()}{at} drives the battery to {case.show(value, 'V')}, the design is laid out "
            f"for {case.show(limit, 'V')}"
        ),
        remedy=(
            "Lower the high clamp or the set point that the chargers are given; or enter the higher voltage, "
            "so that every class and rating, and the gas, is judged at it."
        ),
        value=value,
        limit=limit,
        unit="V",
        source=COMMON_PRACTICE,
        steps=steps(found.steps, f"{found.highest_stage}_cold"),
    )


def stage_voltages(case: Case) -> Iterator[Finding]:
    """Each set point at 25 °C against what is usual for the chemistry, and against what it never stands."""
    found = set_up(case)
    if found is None or found.chemistry is None:
        return
    for stage in found.stages:
        low, high = _usual_range(found.chemistry, stage.name)
        never = usual(found.chemistry, "never_above")
        if stage.default or low is None or high is None or never is None:
            continue
        yield _stage(case, found, stage, (low, high, never))


@cache
def _usual_range(chemistry: str, stage: str) -> tuple[float | None, float | None]:
    if stage != "equalize":
        return usual(chemistry, f"{stage}_low"), usual(chemistry, f"{stage}_high")
    if chemistry != "flooded":
        return None, None  # equalize-sealed speaks of it
    of = table("charge_setpoints_leadacid")
    return min(of.numbers("equalize_cell_min")), max(of.numbers("equalize_cell_max"))


def _stage(case: Case, found: Charging, stage: Stage, ends: tuple[float, float, float]) -> Finding:
    low, high, never = ends
    value = (
        max(stage.per_cell, (stage.cold or 0.0) / (found.cells or 1)) if not found.lead else stage.per_cell
    )
    bad, above, below = over(value, never), over(value, high), under(value, low)
    limit = never if bad else high if above or not below else low
    told = f"{case.show(low, 'V')} to {case.show(high, 'V')} are usual"
    if bad:
        remedy = f"Lower it: no {found.chemistry} cell stands more than {case.show(never, 'V')} there."
    elif above:
        remedy = "Only if the maker's data sheet says so: too much gasses, dries out and heats."
    else:
        remedy = "Only if the maker's data sheet says so: the bank never gets full and ages."
    return Finding(
        rule=f"{stage.name}-voltage",
        where="bank",
        field=stage.path,
        status=Status.FAILS if bad else Status.MARGINAL if above or below else Status.MEETS,
        signal=Signal.WARNING if bad else Signal.NONE,
        title=(
            f"{stage.name.capitalize()} {case.show(value, 'V')} a cell at {case.show(REFERENCE, 'degC')}, "
            f"{case.show(stage.volts, 'V')} in all; for {found.chemistry} {told}"
        ),
        remedy=remedy if bad or above or below else "",
        value=value,
        limit=limit,
        unit="V",
        margin=room_above(value, low) if below else room_below(value, limit),
        source=table("charge_stages").source,
    )


def setpoint_order(case: Case) -> Iterator[Finding]:
    """Float under absorption under equalize, and no clamp that keeps one from its own value."""
    found = set_up(case)
    if found is None:
        return
    points = [stage for name in ("float", "absorption", "equalize") if (stage := found.stage(name))]
    for lower, higher in pairwise(points):
        if over(lower.per_cell, higher.per_cell):
            yield _disorder(
                case, found, lower, higher.per_cell, f"{lower.name} above {higher.name}", Status.FAILS
            )
            return
    for stage in points:
        for clamp, beyond, name in (
            (found.clamp_high, over, "high clamp"),
            (found.clamp_low, under, "low clamp"),
        ):
            if clamp is not None and beyond(stage.per_cell, clamp):
                yield _disorder(case, found, stage, clamp, f"{stage.name} beyond the {name}", Status.MARGINAL)
                return
    top = points[-1]
    yield Finding(
        rule="setpoint-order",
        where="bank",
        field=top.path,
        status=Status.MEETS,
        title="Set points stand in order, each inside the clamps: "
        + ", ".join(f"{stage.name} {case.show(stage.volts, 'V')}" for stage in points),
        source=COMMON_PRACTICE,
    )


def _disorder(case: Case, found: Charging, stage: Stage, limit: float, what: str, status: Status) -> Finding:
    held = status is Status.MARGINAL
    return Finding(
        rule="setpoint-order",
        where="bank",
        field=stage.path,
        status=status,
        signal=Signal.NONE if held else Signal.CAUTION,
        title=(
            f"{what.capitalize()}: {case.show(stage.per_cell, 'V')} a cell at "
            f"{case.show(REFERENCE, 'degC')}, the other {case.show(limit, 'V')}"
        ),
        remedy=(
            "The charger never reaches this set point: move the clamp, or the set point."
            if held
            else "The higher stage must stand higher: enter both from the maker's data sheet."
        ),
        value=stage.per_cell,
        limit=limit,
        unit="V",
        margin=room_below(stage.per_cell, limit),
        source=COMMON_PRACTICE,
    )


def temperature_compensation(case: Case) -> Iterator[Finding]:
    """Set points follow the temperature of lead-acid, and never that of lithium."""
    found, bank = set_up(case), case.design.bank
    if found is None or found.slope is None or found.cells is None:
        return
    if found.chemistry == LITHIUM:
        yield _followed(case, found, found.slope, 0.0, bool(found.slope), "lithium cells take none")
        return
    if found.compensation:
        steep, flat = (usual(str(found.chemistry), name) for name in ("steepest", "shallowest"))
        if steep is None or flat is None:
            return
        flatter = under(-found.slope, -flat)
        limit, odd = (flat, True) if flatter else (steep, over(-found.slope, -steep))
        told = f"{case.show(flat, 'V/K')} to {case.show(steep, 'V/K')} are usual"
        yield _followed(case, found, found.slope, limit, False, told, odd=odd)
        return
    missing = ask("bank", bank, "lowest_temperature", "highest_temperature")
    if missing:
        title = "Not known whether the set points may do without temperature compensation"
        yield unknown("temperature-compensation", "bank", title, missing, IEEE_937)
        return
    yield _flat(case, found, float(bank.lowest_temperature or 0.0), float(bank.highest_temperature or 0.0))


def _followed(
    case: Case, found: Charging, value: float, limit: float, bad: bool, told: str, *, odd: bool = False
) -> Finding:
    return Finding(
        rule="temperature-compensation",
        where="bank",
        field="bank.compensation",
        status=Status.FAILS if bad else Status.MARGINAL if odd else Status.MEETS,
        signal=Signal.CAUTION if bad else Signal.NONE,
        title=(
            f"Compensation {case.show(value, 'V/K')} a cell, "
            f"{case.show(value * (found.cells or 1), 'V/K')} for the bank: {told}"
        ),
        remedy=(
            "Set it to 0: in the cold it would drive the cells over their limit."
            if bad
            else "Take it from the maker's data sheet; this is out of the usual."
            if odd
            else ""
        ),
        value=value,
        limit=limit,
        unit="V/K",
        source=table("charge_stages").source,
    )


def _flat(case: Case, found: Charging, coldest: float, hottest: float) -> Finding:
    """Lead-acid that nothing compensates: what the set points miss at the ends of the bank's temperatures."""
    swing = max(abs(REFERENCE - coldest), abs(hottest - REFERENCE), hottest - coldest)
    slope = usual(str(found.chemistry), "compensation") or 0.0
    misses = [slope * (end - REFERENCE) * (found.cells or 1) for end in (coldest, hottest)]
    bad = over(swing, SLACK)
    runs = bad and found.chemistry in SEALED and not under(hottest, HOT_SEALED)
    return Finding(
        rule="temperature-compensation",
        where="bank",
        field="bank.compensation",
        status=Status.FAILS if runs else Status.MARGINAL if bad else Status.MEETS,
        signal=Signal.WARNING if runs else Signal.CAUTION if bad else Signal.NONE,
        title=(
            f"No temperature compensation: set points {case.show(max(0.0, misses[0]), 'V')} too low at "
            f"{case.show(coldest, 'degC')} and {case.show(max(0.0, -misses[1]), 'V')} too high at "
            f"{case.show(hottest, 'degC')}"
        ),
        remedy=(
            "A sensor on the battery and a compensation of the maker's slope. Cold, the bank never fills and "
            "can freeze; hot, it gasses, and a sealed one can run away."
            if bad
            else ""
        ),
        value=swing,
        limit=SLACK,
        unit="K",
        margin=room_below(swing, SLACK),
        source=IEEE_937,
    )


def temperature_sensor(case: Case) -> Iterator[Finding]:
    """Where each charger reads the temperature that its set points follow."""
    found = set_up(case)
    if found is None or not found.lead or not found.slope:
        return
    held = case.chargers
    shared = any(item.network and item.sensor == "on the battery" for item in held)
    each = abs(found.slope) * (found.cells or 1) * 10
    for item in held:
        where = f"controllers.{item.id}"
        if item.sensor is None and not (shared and item.network):
            title = f"Not known where {label(item)} reads the battery's temperature"
            missing = (field(where, item, "sensor"),)
            yield unknown("temperature-sensor", where, title, missing, IEEE_937)
            continue
        yield _sensor(case, item, shared, each)


def _sensor(case: Case, item: Controller, shared: bool, each: float) -> Finding:
    where = f"controllers.{item.id}"
    follows = shared and item.network and item.sensor != "in the controller"
    good = item.sensor == "on the battery" or bool(follows)
    wrong = f"each 10 K of error moves the set points {case.show(each, 'V')}"
    told = {
        "on the battery": "reads it on the battery",
        "in the controller": f"reads its own case, not the battery: {wrong}",
        "none": f"has no sensor and holds its set points, hot or cold: {wrong}",
    }
    bank = case.design.bank
    sealed, hottest = bank.chemistry in SEALED, bank.highest_temperature
    runs = sealed and not good and item.sensor == "none" and hottest is not None and hottest >= HOT_SEALED
    shares = "shares the temperature that another charger reads on the battery"
    told_here = shares if good and item.sensor != "on the battery" else told[str(item.sensor)]
    return Finding(
        rule="temperature-sensor",
        where=where,
        field=f"{where}.sensor",
        status=Status.MEETS if good else Status.FAILS if runs else Status.MARGINAL,
        signal=Signal.NONE if good else Signal.WARNING if runs else Signal.CAUTION,
        title=f"{label(item)} {told_here}{', and a hot sealed bank can run away' if runs else ''}",
        remedy=(
            ""
            if good
            else "A sensor on the case of a cell in the middle of the bank, below the electrolyte's level, "
            "covered against the air."
        ),
        value=item.sensor,
        limit="on the battery",
        source=IEEE_937,
    )
