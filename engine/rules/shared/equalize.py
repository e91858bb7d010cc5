"""Equalization: never of sealed or lithium cells, often enough of flooded ones, if the year lets it."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, over, room_below, unknown
from engine.rules.shared.charging import IEEE_937, set_up
from engine.sections.equalize import EqualizeYear, equalize_year
from engine.sections.source_yield import MONTHS
from engine.sources import COMMON_PRACTICE, Source
from engine.units import show

SELDOM = 90  # days: less often than that and acid layers and sulphate stay (common practice)
IEEE_1188 = Source(
    "IEEE 1188, Recommended Practice for Maintenance, Testing, and Replacement of Valve-Regulated Lead-Acid "
    "Batteries for Stationary Applications",
    "IEEE",
    "2005",
    "equalize charge only as the maker says",
)


def equalize_sealed(case: Case) -> Iterator[Finding]:
    """A sealed or a lithium bank is not equalized: it dries out, vents or is overcharged."""
    found, bank = set_up(case), case.design.bank
    if found is None or found.chemistry == "flooded":
        return
    absorption = found.stage("absorption")
    top = 0.0 if absorption is None else absorption.per_cell
    own = [
        (f"controllers.{item.id}.equalize", float(item.equalize) / (found.cells or 1))
        for item in case.chargers
        if item.equalize is not None
    ]
    entered = [("bank.equalize", float(bank.equalize))] if bank.equalize is not None else []
    above = [(path, volts) for path, volts in (*entered, *own) if over(volts, top)]
    path, value = max(above, key=lambda item: item[1]) if above else ("bank.equalize_days", top)
    bad = bool(above) or bank.equalize_days is not None
    yield Finding(
        rule="equalize-sealed",
        where="bank",
        field=path,
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.WARNING if bad else Signal.NONE,
        title=(
            f"Equalizing is set for {found.chemistry} cells, at {show(value, 'V')} a cell"
            if bad
            else f"No equalization of {found.chemistry} cells"
        ),
        remedy=(
            "Take equalizing out, here and in every charger: sealed cells dry out, vent and can run away; "
            "lithium cells are driven over their limit. Only the maker of the cells may say otherwise."
            if bad
            else ""
        ),
        value=value,
        limit=top,
        unit="V",
        margin=room_below(value, top),
        source=IEEE_1188,
    )


def equalize_flooded(case: Case) -> Iterator[Finding]:
    """Flooded cells want equalizing now and then, or acid layers and sulphate stay."""
    found, days = set_up(case), case.design.bank.equalize_days
    if found is None or found.chemistry != "flooded":
        return
    seldom = days is None or over(float(days), SELDOM)
    yield Finding(
        rule="equalize-flooded",
        where="bank",
        field="bank.equalize_days",
        status=Status.MARGINAL if seldom else Status.MEETS,
        signal=Signal.NOTICE if seldom else Signal.NONE,
        title=(
            "Flooded cells that nothing equalizes"
            if days is None
            else f"Flooded cells equalized every {days} days"
        ),
        remedy=(
            f"Enter how often it equalizes, or how often by hand: every month or so, at least every {SELDOM} "
            "days, or as the maker says."
            if seldom
            else ""
        ),
        value=None if days is None else float(days),
        limit=float(SELDOM),
        unit="1",
        margin=None if days is None else room_below(days, SELDOM),
        source=IEEE_937,
    )


def equalize_missed(case: Case) -> Iterator[Finding]:
    """Whether the sources suffice on the planned days, or on the days of grace after them."""
    found = set_up(case)
    if found is None:
        return
    year = equalize_year(case.design, found, case.balance)
    if year is None:
        return
    if year.missing:
        title = "Not known whether the sources can equalize on the planned days"
        yield unknown("equalize-missed", "bank", title, year.missing, COMMON_PRACTICE)
        return
    yield _missed(year)


def _missed(year: EqualizeYear) -> Finding:
    allowed = 2 * year.every + year.grace
    bad = over(year.longest_gap, allowed) or not len(year.turns) - len(year.missed)
    names = ", ".join(MONTHS[month] for month in year.months_missed())
    told = f"missed in {names}" if names else "none is missed"
    done = len(year.turns) - len(year.missed)
    return Finding(
        rule="equalize-missed",
        where="bank",
        field="bank.equalize_grace",
        status=Status.MARGINAL if bad else Status.MEETS,
        signal=Signal.NOTICE if bad else Signal.NONE,
        title=(
            f"{done} of {len(year.turns)} planned equalizations get enough from the sources, {told}; "
            f"{year.longest_gap} days between two at most"
        ),
        remedy=(
            "More days of grace, a shorter interval, more source in those months, or the generator."
            if bad
            else ""
        ),
        value=float(year.longest_gap),
        limit=float(allowed),
        unit="1",
        margin=room_below(year.longest_gap, allowed),
        source=COMMON_PRACTICE,
    )
