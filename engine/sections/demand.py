"""Demand: what the loads take on the mean day of each month, by the hour, and what the bank gives for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache, partial
from typing import Any

import numpy as np
import numpy.typing as npt

from engine import units
from engine.design import Design, Inverter, Load
from engine.physics.demand import inverter_day, inverter_loss, load_energy
from engine.sections import notes as noting
from engine.sections.memory import Memory
from engine.sections.notes import Notes
from engine.sections.results import Assumed, Missing
from engine.sections.starting import peak, starting_factor
from engine.worksheet import Worked

Floats = npt.NDArray[np.float64]
Months = tuple[float, ...]

OWN_DRAW = 5.0  # W, of a charge controller of which nothing is entered: the high end of what is usual
MOTOR_START = (
    6.0  # starting over running power of a motor straight on the line (common practice, the high end)
)
NO_INVERTER = Missing("inverters", "an inverter for the ac loads")
NO_LOADS = Missing("loads", "the loads")
OFF = np.zeros((12, 24))


@dataclass(frozen=True, slots=True)
class DayShape:
    """The mean day of a month, 24 hours from midnight, each a mean power [W].

    ``ac`` and ``dc`` run, ``standby`` waits, on either side; ``losses`` is what inverters and controllers use
    themselves, ``None`` where that is not known.
    """

    ac: Months
    dc: Months
    standby: Months
    losses: Months | None


@dataclass(frozen=True, slots=True)
class LoadDay:
    """One row of the load table: power of one piece and of all [W], and its energy on the mean day of each
    month [Wh]; ``None`` where a datum is missing."""

    load: str
    power: float | None = None
    running: float | None = None
    surge: float | None = None
    energy: Months | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Demand:
    """Energy of the mean day of each month, January first [Wh a day]; ``None`` where a datum is missing.

    ``ac_wh`` and ``dc_wh`` are what the loads take, standby with them; ``idle_wh`` the idle draw of the
    inverters, switched on all day; ``loss_wh`` what they lose beyond it at each hour's load; ``own_wh`` the
    controllers' own draw; ``growth_wh`` the allowance for growth, on loads and conversion; ``bank_wh`` all
    that at the terminals of the bank. ``critical_wh`` is the same for critical loads alone, without growth.
    ``peak_ac_w`` and ``peak_dc_w`` [W] can run together, ``surge_w`` is the ac power while the worst of them
    starts, ``surge_load`` which; ``surge_unsaid_w`` and ``surge_unsaid_load`` are the same with every load a
    motor of which no starting factor is entered. ``worst_month`` (0 to 11) takes most; ``growth`` is the
    share allowed.
    """

    rows: tuple[LoadDay, ...] = ()
    ac_wh: Months | None = None
    dc_wh: Months | None = None
    idle_wh: Months | None = None
    loss_wh: Months | None = None
    own_wh: Months | None = None
    growth_wh: Months | None = None
    bank_wh: Months | None = None
    critical_wh: Months | None = None
    peak_ac_w: float | None = None
    peak_dc_w: float | None = None
    surge_w: float | None = None
    surge_load: str = ""
    surge_unsaid_w: float | None = None
    surge_unsaid_load: str = ""
    worst_month: int | None = None
    growth: float = 0.0
    missing: tuple[Missing, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)
    _hours: tuple[Floats, Floats, Floats, Floats | None] = (OFF, OFF, OFF, None)

    def by_hour(self, month: int) -> DayShape | None:
        """The mean day of a month (0 to 11), hour by hour; ``None`` where the loads are not all known."""
        if self.ac_wh is None:
            return None
        ac, dc, standby, losses = self._hours
        return DayShape(
            _tuple(ac[month]),
            _tuple(dc[month]),
            _tuple(standby[month]),
            None if losses is None else _tuple(losses[month]),
        )

    @property
    def loads_missing(self) -> tuple[Missing, ...]:
        """What the loads themselves lack; inverters left out."""
        return tuple(item for item in self.missing if item.path.partition(".")[0] == "loads")


_demands: Memory[Demand] = Memory(64)
_rows: Memory[LoadDay] = Memory(512)
_on: Memory[Floats] = Memory(512)


def demand(design: Design) -> Demand:
    """The demand of a design; the same object while loads, inverters, controllers, nominal voltage and growth
    stay."""
    bank = design.bank
    made_from = (design.loads, design.inverters, design.controllers, bank.voltage, bank.growth)
    return _demands.recall(made_from, lambda: _demand(design))


def _demand(design: Design) -> Demand:
    notes = Notes()
    growth = float(design.bank.use("growth") or 0.0)
    if not design.loads:
        notes.lack(NO_LOADS)
        return Demand(growth=growth, missing=notes.missing)
    powers = [_power(design, load, notes) for load in design.loads]
    for load in design.loads:
        notes.ask(f"loads.{load.id}", load, "hours")
    rows = tuple(
        _rows.recall((load, design.bank.voltage), partial(_row, load, power))
        for load, power in zip(design.loads, powers, strict=True)
    )
    if notes.missing:
        return Demand(rows=rows, growth=growth, missing=notes.missing, assumed=notes.assumed)
    known = [(load, power) for load, power in zip(design.loads, powers, strict=True) if power is not None]
    ac, dc, standby_ac, standby_dc = _hours(known)
    has_ac = any(load.use("kind") == "ac" for load, _ in known)
    lost = conversion_lost(design.inverters, ac + standby_ac, has_ac, notes)
    own = own_draw(design, notes)
    ac_wh, dc_wh = (ac + standby_ac).sum(axis=1), (dc + standby_dc).sum(axis=1)
    on_ac = [each for each in known if each[0].use("kind") == "ac"]
    peak_ac, surge, starting = peak(on_ac, notes)
    _, unsaid, motor = peak(on_ac, Notes(), starting_factor)
    peak_dc, _, _ = peak([each for each in known if each[0].use("kind") == "dc"], Notes())
    idle = sum(float(inverter.idle or 0.0) for inverter in design.inverters)
    losses = None if lost is None else lost + own
    loss = idle_wh = grown = bank = None
    if lost is not None:
        idle_wh = np.full(12, 24 * idle)
        loss = np.maximum(lost.sum(axis=1) - idle_wh, 0.0)
        grown = growth * (ac_wh + dc_wh + loss)
        bank = ac_wh + dc_wh + idle_wh + loss + 24 * own + grown
    worst = int(np.argmax(ac_wh + dc_wh if bank is None else bank))
    _work(known, worst, ac_wh, loss, idle, notes)
    return Demand(
        rows=rows,
        ac_wh=_tuple(ac_wh),
        dc_wh=_tuple(dc_wh),
        idle_wh=_maybe(idle_wh),
        loss_wh=_maybe(loss),
        own_wh=(24 * own,) * 12,
        growth_wh=_maybe(grown),
        bank_wh=_maybe(bank),
        critical_wh=_critical(design, known, own),
        peak_ac_w=peak_ac,
        peak_dc_w=peak_dc,
        surge_w=surge,
        surge_load=starting,
        surge_unsaid_w=unsaid,
        surge_unsaid_load=motor,
        worst_month=worst,
        growth=growth,
        missing=notes.missing,
        assumed=notes.assumed,
        steps=notes.steps,
        _hours=(ac, dc, standby_ac + standby_dc, losses),
    )


def _power(design: Design, load: Load, notes: Notes) -> float | None:
    """Running power of one piece [W]: as entered, or its current at the bank's nominal voltage."""
    path = f"loads.{load.id}"
    if load.power is not None:
        return float(load.power)
    if load.current is not None and load.use("kind") == "dc":
        known = notes.ask("bank", design.bank, "voltage")
        return float(load.current) * float(design.bank.voltage or 0.0) if known else None
    notes.ask(path, load, "power")
    return None


def _row(load: Load, power: float | None) -> LoadDay:
    if power is None:
        return LoadDay(load.id)
    running = power * int(load.use("number"))
    surge = running * float(load.use("surge_factor"))
    if load.hours is None:
        return LoadDay(load.id, power, running, surge)
    each = range(12) if load.months is not None else (0,) * 12
    energy = {month: load_energy(**_inputs(load, power, month)).energy for month in set(each)}
    return LoadDay(load.id, power, running, surge, tuple(energy[month] for month in each))


def _inputs(load: Load, power: float, month: int) -> dict[str, Any]:
    return {
        "power": power,
        "hours": float(load.hours or 0.0),
        "number": int(load.use("number")),
        "days_a_week": float(load.use("days_a_week")),
        "share": 1.0 if load.months is None else float(load.months[month]),
        "standby": float(load.use("standby")),
    }


@lru_cache(maxsize=512)
def running_share(hours: float, starts: float | None) -> Floats:
    """Which part of each hour of a day a load runs: from ``starts`` on, past midnight in the same day's first
    hours; spread over the whole day where no time is entered."""
    if starts is None:
        return np.full(24, hours / 24)
    edges = np.arange(25.0)
    covered = np.clip(edges, starts, starts + hours) + np.clip(edges + 24, starts, starts + hours)
    return np.diff(covered)


def _hours(known: Sequence[tuple[Load, float]]) -> tuple[Floats, Floats, Floats, Floats]:
    """Mean power [month, hour] of ac and dc loads while they run, then of their standby [W]."""
    sums = {"ac": OFF.copy(), "dc": OFF.copy()}
    waits = {"ac": OFF.copy(), "dc": OFF.copy()}
    for load, power in known:
        on, kind, number = (
            _on.recall((load,), partial(_when, load)),
            str(load.use("kind")),
            load.use("number"),
        )
        sums[kind] += (number * power) * on
        standby = float(load.use("standby"))
        if standby:
            waits[kind] += number * standby * (1 - on)
    return sums["ac"], sums["dc"], waits["ac"], waits["dc"]


def _when(load: Load) -> Floats:
    """Which part of each hour of each month's mean day a load runs, [month, hour]."""
    starts = None if load.starts is None else float(load.starts)
    day = running_share(float(load.hours or 0.0), starts) * (float(load.use("days_a_week")) / 7)
    shares = np.ones(12) if load.months is None else np.array([float(each) for each in load.months])
    return np.outer(shares, day)


def conversion_lost(
    inverters: tuple[Inverter, ...], output: Floats, has_ac: bool, notes: Notes
) -> Floats | None:
    """What all inverters lose in each hour [W], the ac loads shared among them by their power."""
    if not inverters:
        if has_ac:
            notes.lack(NO_INVERTER)
        return None if has_ac else OFF
    known = True
    for inverter in inverters:
        path = f"inverters.{inverter.id}"
        known = notes.ask(path, inverter, "power", "idle") and known
        if not inverter.efficiency_points:
            known = notes.ask(path, inverter, "efficiency") and known
    if not known:
        return None
    whole = sum(float(inverter.power or 0.0) for inverter in inverters)
    lost = OFF.copy()
    for inverter in inverters:
        power = float(inverter.power or 0.0)
        lost += inverter_loss(
            output * (power / whole),
            power=power,
            idle=float(inverter.idle or 0.0),
            efficiency=None if inverter.efficiency is None else float(inverter.efficiency),
            points=tuple((float(share), float(value)) for share, value in inverter.efficiency_points or ()),
        )
    return lost


def own_draw(design: Design, notes: Notes) -> float:
    """The controllers' own draw [W]; where none is entered a high usual one is taken and said."""
    total = 0.0
    for controller in design.controllers:
        if controller.standby is None:
            at = noting.field(f"controllers.{controller.id}", controller, "standby")
            notes.suppose(
                Assumed(at.path, at.title, units.show(OWN_DRAW, "W"), "common practice, the high end")
            )
        total += OWN_DRAW if controller.standby is None else float(controller.standby)
    return total


def _critical(design: Design, known: Sequence[tuple[Load, float]], own: float) -> Months | None:
    """What the bank gives when only the critical loads run; no inverter runs where none of them is ac."""
    chosen = [(load, power) for load, power in known if load.use("critical")]
    ac, dc, standby_ac, standby_dc = _hours(chosen)
    has_ac = any(load.use("kind") == "ac" for load, _ in chosen)
    lost = conversion_lost(design.inverters if has_ac else (), ac + standby_ac, has_ac, Notes())
    if lost is None:
        return None
    return _tuple((ac + standby_ac + dc + standby_dc + lost).sum(axis=1) + 24 * own)


def _work(
    known: Sequence[tuple[Load, float]],
    month: int,
    ac_wh: Floats,
    loss: Floats | None,
    idle: float,
    notes: Notes,
) -> None:
    """The worked steps: each load and the inverters in the month that takes most, and the inverters in the
    month in which least of what they take reaches the loads, at their mean efficiency of that day."""
    for load, power in known:
        notes.keep(f"load.{load.id}", load_energy, **_inputs(load, power, month))
    if loss is None or not (ac_wh > 0).any():
        return
    share = np.where(ac_wh > 0, ac_wh / (ac_wh + loss + 24 * idle + (ac_wh <= 0)), np.inf)
    for name, at in (("inverter", month), ("inverter_least", int(np.argmin(share)))):
        ac = float(ac_wh[at])
        if ac > 0:
            efficiency = ac / (ac + float(loss[at]))
            notes.keep(name, inverter_day, ac_energy=ac, efficiency=efficiency, idle=idle)


def _tuple(values: Floats) -> Months:
    return tuple(values.tolist())


def _maybe(values: Floats | None) -> Months | None:
    return None if values is None else _tuple(values)
