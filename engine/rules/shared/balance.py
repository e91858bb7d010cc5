"""Whether the sources carry the loads in every month, every loss counted, with how much generator."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import COMMON, Array, Design, label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, at_least, at_most, over, room_above, under, unknown
from engine.sections.balance import Balance, BalanceMonth
from engine.sections.notes import field
from engine.sections.source_yield import MONTHS
from engine.sources import Source
from engine.worksheet import Worked

MOST_GENERATOR = 4.0  # h a day in the worst month: more is a service a month, and a tank to carry
LEAST_LOSSES = 0.03  # dirt of the cleanest sites and the mismatch of modules
DAY = 24.0  # h
RATIO, RATIO_CRITICAL = 1.1, 1.3  # array to load

SIZING = Source(
    "IEEE 1562, Guide for Array and Battery Sizing in Stand-Alone Photovoltaic Systems",
    "IEEE",
    "2007",
    "the month with the least ratio of supply to load",
)
TO_LOAD = Source(SIZING.title, "IEEE", "2007", "array to load ratio, 1.1 to 1.2, critical loads 1.3 or more")
SOILING = Source("dirt, shade and mismatch of arrays in service", how=COMMON)
SNOW = Source("Measured and modeled photovoltaic system energy losses from snow", "B. Marion et al.", "2013")
SERVICE = Source("A service of a small generator every 100 to 150 hours", how=COMMON)


def energy_balance(case: Case) -> Iterator[Finding]:
    """The sum of all sources must carry the loads in its own worst month, with the generator if it must."""
    found = case.balance
    if not found.sources or not case.design.loads:
        return
    if found.worst is None:
        title = "Not known whether the sources carry the loads in every month"
        yield unknown("energy-balance", "bank", title, found.missing, SIZING)
        return
    month = found.months[found.worst]
    bad = under(month.brought, month.demand) and (month.generator is None or over(month.generator, DAY))
    if bad and found.generator_missing:
        title = f"{month.name}: not known whether the generator closes what the sources lack"
        yield unknown("energy-balance", "bank", title, found.generator_missing, SIZING)
        return
    yield Finding(
        rule="energy-balance",
        where="bank",
        field=_mended_at(case.design),
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.NOTICE if bad else Signal.NONE,
        title=f"{month.name}: the sources bring {case.show(month.brought, 'Wh')} a day, "
        f"the loads take {case.show(month.demand, 'Wh')}{_closed(case, month)}",
        remedy="Another source, a larger one, a generator with its charger, or fewer loads in the months "
        f"that are short: {_names(found.short)}."
        if bad
        else "",
        value=month.brought,
        limit=month.demand,
        unit="Wh",
        margin=None if month.generator and not bad else room_above(month.brought, month.demand),
        source=SIZING,
        steps=_steps(found, found.worst),
    )


def worst_month(case: Case) -> Iterator[Finding]:
    """A yearly mean, or the worst months of the sources one by one, hide the month that the sum lacks."""
    found = case.balance
    if found.worst is None or found.months[found.worst].demand <= 0:
        return
    month = found.months[found.worst]
    short = under(month.ratio, 1.0)
    carried = short and month.generator is not None and not over(month.generator, MOST_GENERATOR)
    each = ", ".join(
        f"{source.label} alone {MONTHS[found.worst_of(at)]}" for at, source in enumerate(found.sources)
    )
    bad = short and not carried
    mean = f". The mean of the year, {case.show(found.year, '%')}, hides it"
    hidden = mean if bad and not under(found.year, 1.0) else ""
    yield Finding(
        rule="worst-month",
        where="site",
        field=_mended_at(case.design),
        status=Status.MARGINAL if bad else Status.MEETS,
        title=f"{month.name} is the worst month of the sum, {case.show(month.ratio, '%')} of the loads"
        f"{'; the generator carries the rest' if carried else ''}; {each}"
        f"{hidden}",
        remedy=f"Size by {month.name}, not by the year: what is over in other months can't be kept till then."
        if bad
        else "",
        value=month.ratio,
        limit=1.0,
        unit="%",
        margin=None if carried else room_above(month.ratio, 1.0),
        source=SIZING,
        steps=_steps(found, found.worst),
    )


def generator_hours(case: Case) -> Iterator[Finding]:
    """Hours that the generator runs in the month that needs it most."""
    found = case.balance
    if found.worst is None or not case.design.generators:
        return
    where = f"generators.{case.design.generators[0].id}"
    hours = [month.generator for month in found.months]
    if None in hours:
        title = "Not known how long the generator runs in the months that are short"
        yield unknown("generator-hours", where, title, found.generator_missing, SERVICE)
        return
    at = max(range(12), key=lambda month: hours[month] or 0.0)
    most = hours[at] or 0.0
    cost = "" if found.cost is None else f", for {found.cost:,.0f} {found.currency}".rstrip()
    year = f", {case.show(found.hours, 'h')} in a year{cost}" if most else ""
    yield at_most(
        rule="generator-hours",
        where=where,
        field=_mended_at(case.design),
        worse=Status.MARGINAL,
        title=f"{MONTHS[at]}: {found.generator} runs {case.show(most, 'h')} a day{year}"
        if most
        else "No month needs the generator for its mean days; dark spells still may",
        remedy=(
            "More of a source that works in that month, or fewer loads then; a stronger charger shortens "
            "the hours."
        ),
        value=most,
        limit=MOST_GENERATOR,
        unit="h",
        source=SERVICE,
        steps=_run(found, at),
    )


def array_to_load(case: Case) -> Iterator[Finding]:
    """An array alone must bring more than the loads take, or it never brings a drained bank back."""
    design, found = case.design, case.balance
    alone = design.arrays and not (design.wind or design.hydro or design.generators)
    if found.worst is None or not alone or found.months[found.worst].demand <= 0:
        return
    month = found.months[found.worst]
    critical = any(load.critical for load in design.loads)
    least = RATIO_CRITICAL if critical else RATIO
    yield at_least(
        rule="array-to-load",
        where="bank",
        field=_mended_at(design),
        worse=Status.MARGINAL,
        title=f"{month.name}: the sun alone brings {case.show(month.ratio, '1')} times what the loads take; "
        f"{least:g} is asked for{' with critical loads' if critical else ''}",
        remedy="More array, or a second source: after a dark spell the bank must fill again.",
        value=month.ratio,
        limit=least,
        unit="1",
        source=TO_LOAD,
        steps=_steps(found, found.worst),
    )


def losses_named(case: Case) -> Iterator[Finding]:
    """No array is without loss: dirt and mismatch count beside heat, wiring, conversion and charging."""
    for array in case.design.arrays:
        losses = float(array.use("losses"))
        none, little = losses <= 0, under(losses, LEAST_LOSSES)
        told = ", taken where none was entered" if array.is_default("losses") else ""
        yield Finding(
            rule="losses-named",
            where=f"arrays.{array.id}",
            field=f"arrays.{array.id}.losses",
            status=Status.FAILS if none else Status.MARGINAL if little else Status.MEETS,
            signal=Signal.NOTICE if none else Signal.NONE,
            title=f"{label(array)}: {case.show(losses, '%')} lost to dirt, shade and mismatch{told}",
            remedy="Enter what dirt, shade and mismatch take: 10 % is usual, 3 % the least."
            if little
            else "",
            value=losses,
            limit=LEAST_LOSSES,
            unit="%",
            margin=room_above(losses, LEAST_LOSSES),
            source=SOILING,
        )


def snow_named(case: Case) -> Iterator[Finding]:
    """Where months freeze, snow on the modules can take most of the month that sizes the system."""
    air = case.design.site.air_temperature
    frozen = () if air is None else tuple(month for month in range(12) if air[month] < 0)
    if not frozen:
        return
    for array in case.design.arrays:
        yield _snow(array, frozen)


def _snow(array: Array, frozen: tuple[int, ...]) -> Finding:
    path, snow = f"arrays.{array.id}", array.snow
    bare = frozen if snow is None else tuple(month for month in frozen if snow[month] <= 0)
    names = ", ".join(MONTHS[month] for month in bare)
    return Finding(
        rule="snow-named",
        where=path,
        field=field(path, array, "snow").path,
        status=Status.MARGINAL if bare else Status.MEETS,
        title=f"{label(array)}: no loss to snow in {names}, colder than freezing"
        if bare
        else f"{label(array)}: snow is counted in every month that freezes",
        remedy="Enter what snow takes by month; up to 90 % of a month was measured on a roof."
        if bare
        else "",
        value=float(len(bare)),
        limit=0.0,
        unit="1",
        source=SNOW,
    )


def _closed(case: Case, month: BalanceMonth) -> str:
    if not month.generator:
        return ""
    return f"; the generator would run {case.show(month.generator, 'h')} a day"


def _names(months: tuple[BalanceMonth, ...]) -> str:
    return ", ".join(month.name for month in months)


def _steps(found: Balance, month: int) -> tuple[Worked, ...]:
    """The sun on each plane in the worst month, the chain of each source, and the hours of generator."""
    planes = tuple(source.steps[str(month)] for source in found.sources if str(month) in source.steps)
    return (
        *planes,
        *(found.steps[name] for name in found.steps if name.startswith("chain")),
        *_run(found, month),
    )


def _run(found: Balance, month: int) -> tuple[Worked, ...]:
    return tuple(found.steps[name] for name in (f"generator {month}",) if name in found.steps)


def _mended_at(design: Design) -> str:
    """The field that makes a source larger."""
    if design.arrays:
        return f"arrays.{design.arrays[0].id}.strings"
    if design.wind:
        return f"wind.{design.wind[0].id}.diameter"
    return f"hydro.{design.hydro[0].id}.flow" if design.hydro else ""


def month_status(month: BalanceMonth) -> Status:
    """How one month stands: carried, carried by many hours of generator, or not."""
    if not under(month.brought, month.demand):
        return Status.MEETS
    if month.generator is None or over(month.generator, DAY):
        return Status.FAILS
    return Status.MARGINAL if over(month.generator, MOST_GENERATOR) else Status.MEETS
