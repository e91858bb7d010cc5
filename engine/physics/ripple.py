"""The ripple that a single-phase inverter draws from its battery."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.sources import Source
from engine.worksheet import Output, count, quantity, worksheet


class Ripple(NamedTuple):
    factor: float
    rms: float
    ripple: float


@worksheet(
    id="inverter-ripple",
    subject="Devices and earthing",
    title="Current that heats an inverter's dc cable",
    inputs=(
        quantity("current", "A", "mean dc current", "120 A", above=0, symbol="I"),
        count("phases", "ac phases (2: two lines and a neutral)", "1", 1, high=3),
        quantity(
            "share", "1", "share of the ripple that the battery gives", "1", 1.0, low=0, high=1, symbol="s"
        ),
    ),
    outputs=(
        Output("factor", "rms over mean", "1", "k"),
        Output("rms", "rms current, which heats", "A", "I_rms"),
        Output("ripple", "its ripple alone, at twice the ac frequency", "A"),
    ),
    expression=(
        "factor = sqrt(1 + share^2 / 2); three-phase: 1",
        "rms = factor * current",
        "ripple = share / sqrt(2) * current; three-phase: 0",
    ),
    source=Source("computed: single-phase power is P (1 - cos 2wt)", how="computed"),
    validity="a load of unit power factor. What the inverter's capacitors give lowers the share; unknown, it "
    "counts as 1. Three balanced phases draw no such ripple.",
)
def inverter_ripple(*, current: float, phases: int = 1, share: float = 1.0) -> Ripple:
    """Rms of the dc current behind a single-phase inverter: ``I sqrt(1 + s^2 / 2)``, at most 1.2247 I.

    Sine voltage times sine current is ``P (1 - cos 2wt)``: at a steady battery voltage the current is
    ``I (1 - s cos 2wt)``, for ``s = 1`` a sine square. Its mean is ``I``, its mean
    square ``I^2 (1 + s^2 / 2)``. ``current`` [A]. Returns [1, A, A].

    >>> round(inverter_ripple(current=100).rms, 2)
    122.47
    """
    swing = 0.0 if phases == 3 else share
    factor = math.sqrt(1 + swing**2 / 2)
    return Ripple(factor, factor * current, swing / math.sqrt(2) * current)
