"""What a controller's output limit lets through of a month's sun."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from engine.physics.sun import hour_share
from engine.physics.tilted import average_day
from engine.sections.results import ControllerResult

CLEAR = 0.75  # clearness of a clear day (common practice)
FULL = 1000.0  # W/m^2, at which modules are rated
MOMENTS = 96  # of a day: quarters of an hour


def limit_over_array(controller: ControllerResult | None) -> float | None:
    """The output limit over what the arrays could drive at standard conditions; ``None`` where it doesn't
    bind, or isn't known."""
    if controller is None or controller.output_current is None or not controller.array_output:
        return None
    share = controller.output_current / controller.array_output
    return share if share < 1 else None


@lru_cache(maxsize=1024)
def share_under_limit(latitude: float, month: int, plane: float, clearness: float, limit: float) -> float:
    """The share of a month's sun on a plane that comes no stronger than a limit.

    Even a dull month has its clear hours, and a limit cuts those: all of the month's sun counts as if it fell
    on clear days alone, each by Collares-Pereira and Rabl's course of the day. Against the hours of two
    typical years it is at most 4 % of the sun milder, and mostly stricter.

    Args: latitude [deg]; month 1..12; plane [Wh/m^2], of the mean day; clearness [0..1] of the month; limit
    [W/m^2] on the plane. Returns: [0..1].
    """
    if plane <= 0 or clearness <= 0:
        return 1.0
    day = plane * max(CLEAR / clearness, 1.0)
    angles = (np.arange(MOMENTS) + 0.5) * 360 / MOMENTS - 180
    course = np.array([hour_share(latitude, average_day(month), float(angle)).share for angle in angles])
    strength = day * course
    whole = float(strength.sum())
    return float(np.minimum(strength, limit).sum()) / whole if whole > 0 else 1.0
