"""The heaviest hour that the bank is to carry: on a day of use, with what may fall into it."""

from __future__ import annotations

import numpy as np

from engine.design import Design, Load
from engine.sections.demand import Demand, Floats, LoadDay, conversion_lost, own_draw, running_share
from engine.sections.notes import Notes


def heaviest_hour(design: Design, demand: Demand, month: int) -> float | None:
    """The most that the bank gives over one hour of a month (0 to 11) [W], without growth; ``None`` where the
    demand is not known.

    On a day on which every load of that month is used: the mean day spreads a weekly load over the week. A
    load without an hour to start at may fall into any, and counts in each. Of loads that do not run with
    others no more than the largest runs at a time.
    """
    rows = [(load, row) for load, row in zip(design.loads, demand.rows, strict=True)]
    if demand.bank_wh is None or any(row.running is None for _, row in rows):
        return None
    ac, dc = (_hours([each for each in rows if each[0].use("kind") == kind], month) for kind in ("ac", "dc"))
    has_ac = any(load.use("kind") == "ac" for load in design.loads)
    losses = conversion_lost(design.inverters, np.broadcast_to(ac, (12, 24)), has_ac, Notes())
    if losses is None:
        return None
    return float((ac + dc + losses[0]).max()) + own_draw(design, Notes())


def _hours(rows: list[tuple[Load, LoadDay]], month: int) -> Floats:
    """Power of the loads of one side in each of 24 hours [W]."""
    together, apart, largest = np.zeros(24), np.zeros(24), 0.0
    for load, row in rows:
        running, waits = float(row.running or 0.0), float(load.use("standby")) * int(load.use("number"))
        on = _on(load, month)
        together += waits * (1 - on)
        if load.use("together"):
            together += running * on
        else:
            apart += running * on
            largest = max(largest, running if on.any() else 0.0)
    return together + np.minimum(apart, largest)


def _on(load: Load, month: int) -> Floats:
    """Which part of each hour it may run, on a day of use; none in a month without it."""
    hours, days = float(load.hours or 0.0), float(load.use("days_a_week"))
    if days <= 0 or (load.months is not None and load.months[month] <= 0):
        return np.zeros(24)
    return np.full(24, min(hours, 1.0)) if load.starts is None else running_share(hours, float(load.starts))
