"""The heaviest run of days that the bank is to carry: days of use of the week fall together."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial

from engine.design import Design, Load
from engine.sections.demand import Demand, demand
from engine.sections.memory import Memory
from engine.units import Quantity

WEEK = 7.0  # days

_runs: Memory[tuple[Load, ...]] = Memory(64)


def days_of_use(run: float, days_a_week: float) -> float:
    """The most days of use [days] that fall into a run of so many days.

    A load of two days a week is in use on both days of a weekend: a run of three days may hold both. A part
    of a day of use counts as one, since which weeks have it is not known. ``run`` [days, > 0];
    ``days_a_week`` [0..7]. Never less than the mean, never less for a longer run.

    >>> days_of_use(3, 2), days_of_use(1, 2), days_of_use(10, 2), days_of_use(5, 7)
    (2.0, 1.0, 4.0, 5.0)

    Source: common practice (IEEE 1013, load determination, from memory: loads that coincide are added).
    """
    weeks, rest = divmod(run, WEEK)
    whole = math.ceil(days_a_week)
    least = whole - days_a_week if weeks else 0.0
    return weeks * days_a_week + max(min(float(whole), rest), least)


def heaviest_run(design: Design, mean: Demand) -> Demand:
    """The demand of the mean day of the heaviest run as long as the autonomy; ``mean`` itself where every
    load is used every day, or no autonomy is entered."""
    autonomy = design.bank.autonomy
    weekly = any(float(load.use("days_a_week")) < WEEK for load in design.loads)
    if autonomy is None or not weekly:
        return mean
    loads = _runs.recall((design.loads, autonomy), partial(_together, design.loads, float(autonomy) / 24))
    return demand(replace(design, loads=loads))


def _together(loads: tuple[Load, ...], run: float) -> tuple[Load, ...]:
    """The loads, each used as often as it may be in a run of days."""
    return tuple(
        load
        if float(load.use("days_a_week")) >= WEEK
        else replace(load, days_a_week=Quantity(_often(run, float(load.use("days_a_week")))))
        for load in loads
    )


def _often(run: float, days_a_week: float) -> float:
    return min(WEEK, WEEK * days_of_use(run, days_a_week) / run)
