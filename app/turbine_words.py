"""What a wind turbine gives, in sentences that the terminal and the window share."""

from __future__ import annotations

import numpy as np

from engine import units
from engine.sections.wind import WINDS, WindResult


def gain_told(result: WindResult, habit: str) -> str:
    """What tracking gains here and why, beside what is common; empty where it is not known."""
    tied, machine = result.tied, result.machine
    if tied is None or machine is None or result.energy_direct is None:
        return ""
    if result.gain is None:
        return "Straight on the battery it gives nothing: its voltage never reaches the battery's."
    loaded = np.flatnonzero(tied.current > 0)
    ends = (int(loaded[0]), int(loaded[np.argmax(tied.power[loaded])]))
    (first, light), (last, strong) = (
        (f"{tied.ratio[at]:.1f}", units.show(float(WINDS[at]), "m/s", habit, 3)) for at in ends
    )
    return (
        f"Tracking gives {result.gain:.2f} times as much: tied to {result.battery:g} V the rotor can't speed "
        f"up with the wind, its tip speed ratio falls from {first} at {light} to {last} at {strong} (best "
        f"{machine.rotor.best[0]:.1f}). Two to three times is common for a badly matched turbine."
    )
