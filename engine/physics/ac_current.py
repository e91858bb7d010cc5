"""Current of an ac source at its rated power."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.sources import COMMON_PRACTICE
from engine.tables.family import Family
from engine.worksheet import Output, count, quantity, worksheet
from engine.worksheet import family as family_input


class AcCurrent(NamedTuple):
    """Current of a phase, what cable and device are made for [A, A], phase factor and duty [1, 1]."""

    current: float
    design_current: float
    phase_factor: float
    factor: float


@worksheet(
    id="ac-current",
    subject="Devices and earthing",
    title="Ac current of an inverter or generator at its power",
    inputs=(
        quantity("power", "W", "rated power", "8 kW", above=0, symbol="P"),
        quantity("voltage", "V", "ac voltage between its lines", "230 V", above=0, symbol="U"),
        count("phases", "phases; one or two take the power between two conductors", "1", 1, low=1, high=3),
        family_input(),
    ),
    outputs=(
        Output("current", "current", "A", "I"),
        Output("design_current", "for cable and device", "A"),
        Output("phase_factor", "1, or √3 for three phases", "1", "n"),
        Output("factor", "factor for continuous duty", "1", "k"),
    ),
    expression=(
        "current = power / (phase_factor * voltage)",
        "design_current = factor * current",
    ),
    source=COMMON_PRACTICE,
    validity="power in W or VA as rated; a rating in kW at a power factor below 1 gives more current",
)
def ac_current(*, power: float, voltage: float, rules: Family, phases: int = 1) -> AcCurrent:
    """``I = P / U``, or ``P / (sqrt(3) U)`` for three phases, and the family's continuous factor on top.

    ``power`` [W or VA], ``voltage`` [V] between lines. Returns [A, A, 1, 1].

    >>> from engine.tables.family import family
    >>> round(ac_current(power=2400, voltage=120, rules=family("nec-2023")).design_current, 1)
    25.0

    Source: common practice.
    """
    share = math.sqrt(3.0) if phases == 3 else 1.0
    current = power / (share * voltage)
    return AcCurrent(current, rules.continuous_factor * current, share, rules.continuous_factor)
