"""The calendar of equalization over the site's year: on which planned days the sources suffice.

A day suffices where its energy covers that day's demand and what equalizing takes besides. The days of a
month are spread about its mean by draws that are the same on each run.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from engine.design import Design
from engine.physics.equalize import Turn, daily_energies, equalize_calendar, month_of
from engine.sections.charging import Charging, usual
from engine.sections.demand import Demand
from engine.sections.hydro import HydroResult
from engine.sections.memory import Memory
from engine.sections.notes import Notes, field
from engine.sections.results import Missing
from engine.sections.wind import WindResult

TO_BATTERY = 0.75  # of an array's standard power, through heat, cable and controller (common practice)
SPREAD = {"sun": 0.45, "wind": 0.9, "water": 0.0}  # of a day's energy about its month's (own choice)
SEEDS = {"sun": 1, "wind": 2, "water": 3}
GRACE = 0  # days, where none is entered
DAYS = 365


@dataclass(frozen=True, slots=True)
class EqualizeYear:
    """The turns of a year; ``need`` [Wh] is what equalizing takes besides a day's demand.

    ``source`` and ``demand`` are energies by month, a day [Wh]. ``missing`` names what the calendar lacks; it
    then has no turns.
    """

    every: int
    grace: int
    turns: tuple[Turn, ...] = ()
    need: float | None = None
    source: tuple[float, ...] = ()
    demand: tuple[float, ...] = ()
    missing: tuple[Missing, ...] = ()

    @property
    def missed(self) -> tuple[Turn, ...]:
        return tuple(turn for turn in self.turns if turn.done is None)

    @property
    def late(self) -> tuple[Turn, ...]:
        return tuple(turn for turn in self.turns if turn.late)

    def months_missed(self) -> tuple[int, ...]:
        """The months, 0 to 11, in which a planned one was missed."""
        return tuple(dict.fromkeys(month_of(turn.planned) for turn in self.missed))

    @property
    def longest_gap(self) -> int:
        """Days from one equalization to the next, the longest; the year goes round."""
        done = [turn.done for turn in self.turns if turn.done is not None]
        if not done:
            return DAYS
        return max(after - before for before, after in zip(done, [*done[1:], done[0] + DAYS], strict=True))


_found: Memory[EqualizeYear] = Memory(64)


def equalize_year(
    design: Design,
    charging: Charging,
    demand: Demand,
    wind: Mapping[str, WindResult],
    hydro: Mapping[str, HydroResult],
) -> EqualizeYear | None:
    """The calendar of a flooded bank; ``None`` where nothing is planned."""
    bank = design.bank
    if charging.chemistry != "flooded" or bank.equalize_days is None or not charging.stages:
        return None
    made_from = (
        *(charging, demand, design.site, design.bank, design.arrays, design.modules),
        *wind.values(),
        *hydro.values(),
    )
    return _found.recall(made_from, lambda: _year(design, charging, demand, wind, hydro))


def _year(
    design: Design,
    charging: Charging,
    demand: Demand,
    wind: Mapping[str, WindResult],
    hydro: Mapping[str, HydroResult],
) -> EqualizeYear:
    notes, bank = Notes(), design.bank
    every = bank.equalize_days or DAYS
    grace = GRACE if bank.equalize_grace is None else bank.equalize_grace
    months = {
        "sun": _sun(design, notes),
        "wind": _wind(design, wind, notes),
        "water": _water(hydro, notes),
    }
    need, wanted = _need(charging, notes, design), demand.bank_wh
    if wanted is None:
        notes.lack(*(demand.missing or (Missing("loads", "the loads"),)))
    if notes.missing or need is None or wanted is None:
        return EqualizeYear(every, grace, missing=notes.missing)
    days = [0.0] * DAYS
    for name, means in months.items():
        for day, energy in enumerate(daily_energies(means, SPREAD[name], SEEDS[name])):
            days[day] += energy
    enough = [energy >= wanted[month_of(day)] + need for day, energy in enumerate(days)]
    total = tuple(sum(each) for each in zip(*months.values(), strict=True))
    return EqualizeYear(every, grace, equalize_calendar(enough, every, grace), need, total, tuple(wanted))


def _need(charging: Charging, notes: Notes, design: Design) -> float | None:
    """What one equalization takes [Wh]: its volts, the most usual current, its hours."""
    stage, share = charging.stage("equalize"), usual("flooded", "equalize_share")
    if charging.capacity is None:
        notes.ask("bank", design.bank, "block_capacity", "strings")
    if stage is None or share is None or charging.capacity is None or charging.equalize_hours is None:
        return None
    return stage.volts * share * charging.capacity * charging.equalize_hours


def _sun(design: Design, notes: Notes) -> list[float]:
    """Energy of all arrays into the bank a day, by month [Wh]; level ground's sun is taken for theirs."""
    total = 0.0
    for array in design.arrays:
        module = design.find("modules", array.module)
        if not notes.ask(f"arrays.{array.id}", array, "module", "modules", "strings") or module is None:
            continue
        if notes.ask(f"modules.{array.module}", module, "vmp", "imp"):
            each = float(getattr(module, "vmp", 0.0)) * float(getattr(module, "imp", 0.0))
            count = (array.modules or 0) * (array.strings or 0)
            total += each * count * (1 - float(array.use("losses")))
    if total and design.site.sun is None:
        notes.ask("site", design.site, "sun")
    sun = design.site.sun or (0.0,) * 12
    return [total * TO_BATTERY * float(each) / 1000 for each in sun]


def _wind(design: Design, wind: Mapping[str, WindResult], notes: Notes) -> list[float]:
    """Energy of all wind turbines into the bank a day, by month [Wh]: the year's, by the cube of the wind."""
    speeds = design.site.wind_months
    cubes = [1.0] * 12 if speeds is None else [float(speed) ** 3 for speed in speeds]
    mean = sum(cubes) / 12
    year = 0.0
    for result in wind.values():
        found = [
            energy
            for energy in (result.energy_battery, result.energy_load, result.energy_tracked)
            if energy is not None
        ]
        if not found:
            turbine = design.find("wind", result.turbine)
            some = () if turbine is None else (field(f"wind.{result.turbine}", turbine, "volts_per_speed"),)
            notes.lack(*(result.missing or some))
        else:
            year += found[0]
    return [year / DAYS * cube / mean if mean else 0.0 for cube in cubes]


def _water(hydro: Mapping[str, HydroResult], notes: Notes) -> list[float]:
    """Energy of all hydro turbines into the bank a day, by month [Wh]."""
    months = [0.0] * 12
    for result in hydro.values():
        if not result.months:
            notes.lack(*result.missing)
        for at, month in enumerate(result.months):
            months[at] += month.power * 24
    return months
