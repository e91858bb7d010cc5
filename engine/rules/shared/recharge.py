"""Whether the sun alone refills a drained bank in good time."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Status
from engine.rules.judging import Case, over, room_below, unknown
from engine.sections.recharge import Recharge, recharge
from engine.sources import Source

IEEE = Source(
    "IEEE 1562, Guide for Array and Battery Sizing in Stand-Alone Photovoltaic Systems",
    "IEEE",
    "2007",
    "array to load ratio",
)


def recharge_days(case: Case) -> Iterator[Finding]:
    """An array that just covers the loads leaves a drained bank low for weeks."""
    found = recharge(case.design)
    if found is None:
        return
    if not isinstance(found, Recharge):
        yield unknown("recharge-time", "bank", "Not known how long the bank takes to refill", found, IEEE)
        return
    slow = found.time is None or over(found.time, found.allowed)
    told = "never refills" if found.time is None else f"takes {found.time / 24:.3g} days to refill"
    yield Finding(
        rule="recharge-time",
        where="bank",
        field=f"arrays.{case.design.arrays[0].id}.strings",
        status=Status.MARGINAL if slow else Status.MEETS,
        title=(
            f"{found.month}: after its autonomy the sun {told} the bank; "
            f"{found.allowed / 24:.3g} days are twice the autonomy"
        ),
        remedy="More array, fewer loads in that month, or a second source." if slow else "",
        value=found.time,
        limit=found.allowed,
        unit="h",
        margin=None if found.time is None else room_below(found.time, found.allowed),
        source=IEEE,
        steps=() if found.step is None else (found.step,),
    )
