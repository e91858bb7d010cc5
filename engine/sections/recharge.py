"""Refilling the bank where the sun alone charges it: the worst month's surplus against what was drained."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass

from engine.design import Design
from engine.physics.recharge import recharge_time
from engine.sections.demand import demand
from engine.sections.notes import Notes
from engine.sections.results import Missing, ask
from engine.sections.source_yield import MONTHS
from engine.sections.sunshine import sunshine
from engine.worksheet import CannotCalculate, Worked, work


@dataclass(frozen=True, slots=True)
class Recharge:
    """The month that leaves least, and the time to refill in it [h]; ``None`` where nothing is left.

    ``allowed`` [h] is twice the autonomy.
    """

    month: str
    time: float | None
    allowed: float
    step: Worked | None


def recharge(design: Design) -> Recharge | tuple[Missing, ...] | None:
    """``None`` where another source helps or no loads are entered; else an answer, or what it lacks."""
    if not design.arrays or not design.loads or design.wind or design.hydro or design.generators:
        return None
    notes = Notes()
    level = sunshine(design.site)
    if level is None:
        notes.ask("site", design.site, "sun")
    notes.ask("bank", design.bank, "voltage", "block_capacity", "strings", "depth", "autonomy")
    drawn = demand(design)
    notes.lack(*drawn.loads_missing)
    power, stored, autonomy = _power(design, notes), _stored(design), design.bank.autonomy
    ac, dc = drawn.ac_wh, drawn.dc_wh
    if notes.missing or power is None or stored is None or level is None or autonomy is None:
        return notes.missing
    if ac is None or dc is None:
        return drawn.missing
    sun = [each / 1000 for each in level.months]
    needs = [(ac[month] + dc[month]) * (1 + drawn.growth) for month in range(12)]
    worst = min(range(12), key=lambda month: sun[month] / needs[month] if needs[month] else float("inf"))
    step, given = None, {"power": power, "stored": stored}
    with contextlib.suppress(CannotCalculate):
        step = work(recharge_time, sun_hours=sun[worst], daily_load=needs[worst], **given)
    time = None if step is None else float(step.result.time)
    return Recharge(MONTHS[worst], time, 2 * float(autonomy), step)


def _power(design: Design, notes: Notes) -> float | None:
    """All arrays at standard conditions, less their dirt and mismatch [W]."""
    total = 0.0
    for array in design.arrays:
        module = design.find("modules", array.module)
        missing = ask(f"arrays.{array.id}", array, "module", "modules", "strings")
        if module is not None:
            missing = (*missing, *ask(f"modules.{array.module}", module, "vmp", "imp"))
        notes.lack(*missing)
        if missing or module is None or array.modules is None or array.strings is None:
            return None
        each = float(getattr(module, "vmp", 0.0)) * float(getattr(module, "imp", 0.0))
        total += each * array.modules * array.strings * (1 - float(array.use("losses")))
    return total or None


def _stored(design: Design) -> float | None:
    """What the allowed depth takes out of the bank [Wh]."""
    bank = design.bank
    if bank.voltage is None or bank.block_capacity is None or bank.strings is None or bank.depth is None:
        return None
    return float(bank.voltage) * float(bank.block_capacity) * bank.strings * float(bank.depth)
