"""Live parts of the battery side that a hand can reach."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, room_below, under, unknown
from engine.sections.results import ask


def live_parts(case: Case) -> Iterator[Finding]:
    """A nominal 48 V bank passes the limit of what may be touched when it is equalized in the cold."""
    bank, source = case.design.bank, case.family.clause("live_parts")
    value, limit = bank.highest_voltage, case.family.protection.touch_voltage
    if bank.voltage is None and value is None:
        return
    covered = bank.covered
    asked = value is not None and not under(value, limit)
    if value is None or (asked and covered is None):
        title = "Not known whether the battery's live parts may be in reach"
        missing = ask("bank", bank, *(("highest_voltage",) if value is None else ("covered",)))
        yield unknown("live-parts", "bank", title, missing, source, Signal.WARNING)
        return
    bad = asked and covered is False
    told = "covered" if covered else "not covered" if asked else "no cover asked for"
    yield Finding(
        rule="live-parts",
        where="bank",
        field="bank.covered",
        status=Status.FAILS if bad else Status.MEETS,
        signal=Signal.WARNING if bad else Signal.NONE,
        title=(
            f"Battery up to {case.show(value, 'V')}, parts {told}; a must from {case.show(limit, 'V')} on"
        ),
        remedy="Covers on terminals and bus bars, or a room that only qualified persons enter."
        if bad
        else "",
        value=float(value),
        limit=limit,
        unit="V",
        margin=None if asked else room_below(value, limit),
        source=source,
    )
