"""The right bank: capacity against the loads, currents, voltage window, and how its blocks are joined."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, over, room_above, room_below, steps, under, unknown
from engine.sections.chemistry import of_chemistry
from engine.sections.plans.battery import uncharged
from engine.sections.results import ask
from engine.sources import COMMON_PRACTICE, Source
from engine.tables import table

SIZING = Source(
    "IEEE 1013, Recommended Practice for Sizing Lead-Acid Batteries for Stand-Alone Photovoltaic Systems",
    "IEEE",
    "2019",
    "sizing",
)
NEAR_FULL = Source(
    "A Study of Lead-Acid Battery Efficiency Near Top-of-Charge",
    "Sandia National Laboratories (Stevens and Corey)",
    "1996",
)
MAKER = Source("the maker's data sheet", how="common practice")


def said(rule: str, field: str, bad: Status | None, title: str, remedy: str, **more: Any) -> Finding:
    """A finding about the bank: it meets where ``bad`` is nothing, and then has no signal and no remedy."""
    more.setdefault("where", "bank")
    more.setdefault("source", COMMON_PRACTICE)
    signal = more.pop("signal", Signal.NONE)
    return Finding(
        rule=rule,
        field=field if "." in field else f"bank.{field}",
        status=Status.MEETS if bad is None else bad,
        signal=Signal.NONE if bad is None else signal,
        title=title,
        remedy="" if bad is None else remedy,
        **more,
    )


def bank_chemistry(case: Case) -> Iterator[Finding]:
    """Without its chemistry nothing can be said of its currents, its gas and its cold."""
    bank = case.design.bank
    if bank.voltage is not None and bank.chemistry is None:
        title = "Not known what the battery is: its currents, its gas and its cold are not judged"
        yield unknown("bank-chemistry", "bank", title, ask("bank", bank, "chemistry"), MAKER, Signal.WARNING)


def bank_series(case: Case) -> Iterator[Finding]:
    """The blocks of a string make up the nominal voltage, in whole blocks."""
    bank, whole = case.design.bank, case.bank.capacity.whole
    if whole is None or bank.series is None or bank.block_voltage is None or bank.voltage is None:
        return
    made = bank.series * float(bank.block_voltage)
    yield said(
        "bank-series",
        "series",
        None if whole else Status.FAILS,
        f"{bank.series} {'block' if bank.series == 1 else 'blocks'} of "
        f"{case.show(bank.block_voltage, 'V')} in series make "
        f"{case.show(made, 'V')}, the bank is nominal {case.show(bank.voltage, 'V')}",
        "As many blocks as make up the nominal voltage; where they don't go into it whole, other blocks.",
        signal=Signal.WARNING,
        value=made,
        limit=float(bank.voltage),
        unit="V",
    )


def bank_capacity(case: Case) -> Iterator[Finding]:
    """The autonomy that is asked for, until the end of life."""
    design, size = case.design, case.bank.capacity
    if not design.loads or design.bank.voltage is None or size.needed == 0:
        return
    wanted, held, new = design.bank.autonomy, size.carried, size.carried_new
    if wanted is None or held is None or new is None:
        title = "Not known how long the bank carries the loads"
        yield unknown("bank-capacity", "bank", title, size.missing, SIZING, steps=steps(size.steps, "rate"))
        return
    aged, short = under(held, wanted), under(new, wanted)
    strings = size.needed_strings
    blocks = f" {strings} strings of these blocks carry it." if strings else ""
    yield said(
        "bank-capacity",
        "strings",
        Status.FAILS if short else Status.MARGINAL if aged else None,
        f"Without sources it carries the heaviest month for {_time(held)} at its end of life, "
        f"{_time(new)} when new; asked for: {_time(float(wanted))}",
        f"{'Too small from the first day.' if short else 'It carries them only while it is new.'}{blocks}",
        value=held,
        limit=float(wanted),
        unit="h",
        margin=room_above(held, float(wanted)),
        source=SIZING,
        steps=steps(size.steps, "capacity", "rate", "blocks"),
    )


def _time(hours: float) -> str:
    return f"{hours:.3g} h" if hours < 36 else f"{hours / 24:.3g} days"


def capacity_rate(case: Case) -> Iterator[Finding]:
    """A capacity quoted over many hours is not there for loads that take it faster."""
    size = case.bank.capacity
    if size.rate_share is None or size.heaviest is None:
        return
    less = under(size.rate_share, 1.0)
    yield said(
        "capacity-rate",
        "capacity_hours",
        Status.MARGINAL if less else None,
        f"At {case.show(size.heaviest, 'A')}, the heaviest hour, {case.show(size.rate_share, '%')} of the "
        "rated capacity is there",
        "The label counts a slower discharge than these loads make; the capacity that is needed counts it.",
        value=size.rate_share,
        limit=1.0,
        unit="%",
        source=Source("Peukert's law in its rated form", "handbooks of batteries", "1897"),
        steps=steps(size.steps, "rate"),
    )


def bank_depth(case: Case) -> Iterator[Finding]:
    """No bank is counted to its last drop."""
    bank, kind = case.design.bank, case.bank.chemistry
    if kind is None or bank.depth is None:
        return
    deep = over(bank.depth, kind.deepest)
    yield said(
        "bank-depth",
        "depth",
        Status.MARGINAL if deep else None,
        f"Discharged to {case.show(bank.depth, '%')}; {case.show(kind.deepest, '%')} is the usual most for "
        f"{kind.name}",
        "A bank that is used to its end lives a fraction of its cycles: allow less, and size it for that.",
        signal=Signal.CAUTION,
        value=float(bank.depth),
        limit=kind.deepest,
        unit="%",
        margin=room_below(float(bank.depth), kind.deepest),
        source=table("chemistry").source,
    )


def bank_efficiency(case: Case) -> Iterator[Finding]:
    """Watt-hours are lost by voltage as well as by charge: one figure never does for both."""
    bank = case.design.bank
    energy, charge = of_chemistry(bank, "energy_efficiency"), of_chemistry(bank, "charge_efficiency")
    if energy is None or charge is None:
        return
    same = not under(energy, charge)
    yield said(
        "bank-efficiency",
        "energy_efficiency",
        Status.MARGINAL if same else None,
        f"Of the charge {case.show(charge, '%')} comes back, of the energy {case.show(energy, '%')}",
        "Charge is counted at two voltages: the energy's share is the lower. Lead-acid has about 90 % of the "
        "charge and 75 to 85 % of the energy.",
        signal=Signal.NOTICE,
        value=energy,
        limit=charge,
        unit="%",
        source=NEAR_FULL,
    )


def charge_low(case: Case) -> Iterator[Finding]:
    """Lead-acid that is charged too gently never reaches gassing, and sulphates."""
    currents, kind = case.bank.currents, case.bank.chemistry
    if kind is None or kind.charge_low is None or not case.design.controllers:
        return
    value, least = currents.sources, currents.least
    if value is None or least is None:
        title = "Not known whether the sources charge the bank hard enough"
        missing = (*currents.sources_missing, *ask("bank", case.design.bank, "block_capacity", "strings"))
        yield unknown("charge-current-low", "bank", title, missing, NEAR_FULL)
        return
    low = under(value, least)
    yield said(
        "charge-current-low",
        "strings",
        Status.MARGINAL if low else None,
        f"Sun, wind and water bring {case.show(value, 'A')} at best; the bank wants "
        f"{case.show(least, 'A')} or more",
        "It never gets to gassing and sulphates: more source, or a smaller bank with less autonomy.",
        signal=Signal.CAUTION,
        value=value,
        limit=least,
        unit="A",
        margin=room_above(value, least),
        source=NEAR_FULL,
    )


def charge_high(case: Case) -> Iterator[Finding]:
    """All chargers at their limits against the most that the maker lets into the bank."""
    bank, currents = case.design.bank, case.bank.currents
    if case.bank.chemistry is None or not (case.design.controllers or case.design.generators):
        return
    value, limit = currents.all, bank.charge_current
    if value is None or limit is None:
        title = "Not known whether the chargers together stay within what the bank takes"
        missing = (*ask("bank", bank, "charge_current"), *currents.all_missing)
        yield unknown("charge-current-high", "bank", title, missing, MAKER, Signal.WARNING)
        return
    yield said(
        "charge-current-high",
        "charge_current",
        Status.FAILS if over(value, limit) else None,
        f"{_chargers(case)} drive {case.show(value, 'A')}; the bank takes {case.show(limit, 'A')}",
        "Set the chargers' limits lower and enter them so, or more strings: sealed cells run hot and dry, "
        "lithium packs open.",
        signal=Signal.WARNING,
        value=value,
        limit=float(limit),
        unit="A",
        margin=room_below(value, float(limit)),
        source=MAKER,
    )


def _chargers(case: Case) -> str:
    straight = " and turbines straight on the battery" if any(uncharged(case.design)) else ""
    return f"All chargers at their limits{straight}"


def discharge_high(case: Case) -> Iterator[Finding]:
    """What draws on the bank against the most that it gives; a lithium pack opens beyond that."""
    bank, currents, kind = case.design.bank, case.bank.currents, case.bank.chemistry
    drawing = case.design.inverters or currents.drawn
    if kind is None or not drawing or (kind.lead and bank.discharge_current is None):
        return
    value, limit = currents.drawn, bank.discharge_current
    if value is None or limit is None:
        title = "Not known whether the bank gives what inverters and loads draw together"
        missing = (*ask("bank", bank, "discharge_current"), *currents.drawn_missing)
        yield unknown("discharge-current", "bank", title, missing, MAKER)
        return
    yield said(
        "discharge-current",
        "discharge_current",
        Status.FAILS if over(value, limit) else None,
        f"Inverters, dc and diversion loads draw {case.show(value, 'A')} together; the bank gives "
        f"{case.show(limit, 'A')}",
        "More strings, or smaller inverters: its protection opens, and everything goes dark.",
        value=value,
        limit=float(limit),
        unit="A",
        margin=room_below(value, float(limit)),
        source=MAKER,
    )


def cell_window(case: Case) -> Iterator[Finding]:
    """The voltages of the bank, a cell, against what a cell of its chemistry stands."""
    bank, kind = case.design.bank, case.bank.chemistry
    if kind is None:
        return
    if bank.cells is None or bank.lowest_voltage is None or bank.highest_voltage is None:
        missing = ask("bank", bank, "cells", "lowest_voltage", "highest_voltage")
        title = "Not known whether its cells stay within their voltages"
        yield unknown("cell-window", "bank", title, missing, MAKER, Signal.WARNING)
        return
    low, high = float(bank.lowest_voltage) / bank.cells, float(bank.highest_voltage) / bank.cells
    above = over(high, kind.never_above)
    bad = above or under(low, kind.lowest_cell)
    value, limit = (high, kind.never_above) if above or not bad else (low, kind.lowest_cell)
    yield said(
        "cell-window",
        "highest_voltage" if above else "lowest_voltage",
        None if not bad else Status.MARGINAL if kind.lead else Status.FAILS,
        f"A cell goes from {case.show(low, 'V')} to {case.show(high, 'V')}; {kind.name} stands "
        f"{case.show(kind.lowest_cell, 'V')} to {case.show(kind.never_above, 'V')}",
        "Set points within the cells' window, or other cells: check the number of cells first.",
        signal=Signal.WARNING,
        value=value,
        limit=limit,
        unit="V",
        margin=min(room_below(high, kind.never_above), room_above(low, kind.lowest_cell)),
        source=table("charge_stages").source,
    )


def parallel_strings(case: Case) -> Iterator[Finding]:
    """The more strings, the less evenly they share."""
    strings, kind = case.design.bank.strings, case.bank.chemistry
    if kind is None or kind.strings_advised is None or strings is None:
        return
    many = strings > kind.strings_advised
    yield said(
        "parallel-strings",
        "strings",
        Status.MARGINAL if many else None,
        f"{strings} lead-acid {'strings' if strings > 1 else 'string'} in parallel; "
        f"{kind.strings_advised} at most still share evenly",
        "Larger blocks in fewer strings: the weakest string drags the others down.",
        signal=Signal.CAUTION,
        value=float(strings),
        limit=float(kind.strings_advised),
        unit="1",
    )


def parallel_takeoff(case: Case) -> Iterator[Finding]:
    """Leads from one end of a parallel group make the near string work hardest."""
    bank = case.design.bank
    if bank.strings is None or bank.strings < 2:
        return
    if bank.takeoff is None:
        title = "Not known where the leads of the parallel strings are taken off"
        yield unknown("parallel-takeoff", "bank", title, ask("bank", bank, "takeoff"), COMMON_PRACTICE)
        return
    uneven = bank.takeoff == "one end"
    yield said(
        "parallel-takeoff",
        "takeoff",
        Status.MARGINAL if uneven else None,
        f"The leads of {bank.strings} parallel strings: {bank.takeoff}",
        "Take + from one end and - from the other, so that each string has the same length of link.",
        signal=Signal.CAUTION,
        value=bank.takeoff,
        limit="opposite ends or a bus with equal leads",
    )


def mixed_bank(case: Case) -> Iterator[Finding]:
    """Batteries of two kinds on one bus can't share set points, nor unequal ones the current."""
    beside = case.design.bank.use("beside")
    if case.design.bank.voltage is None or beside == "none":
        return
    other = beside == "other chemistry"
    yield said(
        "mixed-bank",
        "beside",
        Status.FAILS if other else Status.MARGINAL,
        f"Another battery on the same bus: {beside}",
        "One bank of one kind on a bus: the set points of the one ruin the other."
        if other
        else "Blocks of one age and size: the weak ones drag the others down.",
        signal=Signal.WARNING if other else Signal.CAUTION,
        value=beside,
        limit="none",
        source=MAKER,
    )
