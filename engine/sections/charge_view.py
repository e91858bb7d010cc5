"""What the Set-up pictures show: set points over the battery's temperature, and the stages of one charge."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from engine.design import Design
from engine.physics.setpoints import ChargeDay, charge_day, setpoint_curve
from engine.sections.charging import LITHIUM, Charging, usual
from engine.sections.results import ControllerResult, Floats, Missing, ask
from engine.tables import table

MARGIN = 15.0  # K shown beyond the bank's own temperatures
LEAST, MOST = -10.0, 45.0  # degC always shown


@dataclass(frozen=True, slots=True, eq=False)
class PointCurve:
    """One stage over temperature: temperatures[point] [degC] and volts[point] of the bank."""

    name: str
    temperatures: Floats
    volts: Floats


def point_curves(found: Charging) -> tuple[PointCurve, ...]:
    """Each stage over the temperatures of the bank and some more; none where the set points aren't known."""
    if found.cells is None:
        return ()
    low = min(LEAST, (found.coldest if found.coldest is not None else LEAST) - MARGIN)
    high = max(MOST, (found.hottest if found.hottest is not None else MOST) + MARGIN)
    temperatures = np.linspace(low, high, 221)
    return tuple(
        PointCurve(
            stage.name,
            temperatures,
            setpoint_curve(
                stage.per_cell,
                found.cells,
                found.compensation or 0.0,
                temperatures,
                found.clamp_low,
                found.clamp_high,
            ),
        )
        for stage in found.stages
    )


def day_of(
    design: Design, found: Charging, controllers: Mapping[str, ControllerResult]
) -> ChargeDay | tuple[Missing, ...]:
    """One charge from the allowed depth at the full current of the chargers; else what it lacks."""
    bank = design.bank
    absorption, floating = found.stage("absorption"), found.stage("float")
    missing = (*found.missing, *ask("bank", bank, "block_capacity", "strings", "depth"))
    limits = [
        (id, None if id not in controllers else controllers[id].largest_output) for id in found.chargers
    ]
    if not limits:
        missing = (*missing, Missing("controllers", "a charge controller with a source"))
    missing = (
        *missing,
        *(
            Missing(f"controllers.{id}.current_limit", "Output current limit")
            for id, limit in limits
            if limit is None
        ),
    )
    if missing or absorption is None or floating is None or found.end_current is None:
        return missing
    current = sum(limit for _, limit in limits if limit is not None)
    if bank.charge_current is not None:
        current = min(current, float(bank.charge_current))
    if found.capacity is None or current <= found.end_current:
        return (Missing("bank.end_current", "an end current below what the chargers give"),)
    return charge_day(
        capacity=found.capacity,
        current=current,
        drained=float(bank.depth or 0.0),
        begins_at=usual(str(found.chemistry), "bulk_share") or 0.85,
        rest=[(charge, volts * (found.cells or 1)) for charge, volts in _rest(str(found.chemistry))],
        absorption=absorption.volts,
        floating=floating.volts,
        hours=found.absorption_time or 24.0,
        end_current=found.end_current,
    )


def _rest(chemistry: str) -> list[tuple[float, float]]:
    """Charge [0..1] and volts of a cell at rest, rising, from the tables."""
    if chemistry == LITHIUM:
        rows = {str(row["quantity"]): row["value"] for row in table("lifepo4_reference").rows()}
        named = ((0.2, "rest OCV 20 %"), (0.5, "rest OCV 50 %"), (0.9, "rest OCV 90 %"))
        return [(charge, float(str(rows[name]))) for charge, name in named]
    of = table("leadacid_soc_rest_voltage")
    pairs = zip(of.numbers("soc_pct"), of.numbers("v_cell"), strict=True)
    return sorted((charge / 100, volts) for charge, volts in pairs)
