"""The load curve of a wind turbine at its site, and what following it harvests in a year."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from engine.physics.load_curve import LoadCurve, above_battery, followed, load_curve, off_ideal
from engine.physics.wind import weibull_energy
from engine.physics.wind_turbine import tracked
from engine.sections.results import Floats
from engine.sections.wind import WINDS, WindResult
from engine.worksheet import CannotCalculate


@dataclass(frozen=True, slots=True)
class Harvest:
    """A load curve and what following it gives: energies of a year [Wh], ``None`` without a mean wind.

    ``uncapped`` is the ideal without a cap, ``capped`` the ideal under it (the same without one),
    ``followed`` on the points. ``winds`` [m/s] give each point's power, up to the wind of most power.
    ``fastest`` [rpm] the rotor reaches on them; ``slips_from`` [m/s], if any,
    the least wind with a second, faster state.
    """

    curve: LoadCurve
    speeds: Floats
    winds: Floats
    fastest: float
    slips_from: float | None
    over_cap_from: float | None
    uncapped: float | None
    capped: float | None
    followed: float | None

    @property
    def lost(self) -> float | None:
        """What following it gives up of the ideal under its cap [share]; ``None`` where not known."""
        if self.followed is None or not self.capped:
            return None
        return max(1 - self.followed / self.capped, 0.0)


def in_force(result: WindResult) -> Harvest:
    """The harvest of the load curve entered, else of the computed one; raises as ``harvest`` does."""
    return harvest(result, curve=result.load)


def harvest(
    result: WindResult, points: int = 12, cap: float | None = None, curve: LoadCurve | None = None
) -> Harvest:
    """A load curve of a turbine, the best one where none is given, and its harvest.

    ``cap`` [rpm] comes on top of the design's own. Raises CannotCalculate where the result has no machine or
    no wind to end at; its ``missing`` says why.
    """
    machine, battery, strongest = result.machine, result.battery, result.strongest
    if machine is None or battery is None or strongest is None:
        need = ", ".join(item.title for item in result.missing)
        raise CannotCalculate(result.turbine, "too little of it", need)
    caps = [each for each in (cap, result.cap) if each is not None]
    least = min(caps, default=None)
    top = machine.volts_per_speed * least - machine.drop if least is not None else math.inf
    if top <= battery:
        raise CannotCalculate(
            "cap", f"{least:g} rpm", f"more than {(battery + machine.drop) / machine.volts_per_speed:.4g} rpm"
        )
    free = tracked(machine, WINDS, battery)
    best = tracked(machine, WINDS, battery, least)
    binds = least is not None and bool((free.rotor_speed[free.power > 0] > least).any())
    if curve is None:
        curve = load_curve(machine, battery, strongest, points, least if binds else None)
    else:
        curve = replace(curve, error=off_ideal(machine, battery, strongest, curve, least if binds else None))
    on = followed(machine, WINDS, above_battery(curve, battery))
    year = (result.mean_wind, result.shape)

    def energy(power: Floats) -> float | None:
        mean, shape = year
        return weibull_energy(power, WINDS, mean, shape) if mean and shape else None

    speeds = (curve.volts + machine.drop + machine.resistance * curve.amps) / machine.volts_per_speed
    rising = strongest >= WINDS
    return Harvest(
        curve=curve,
        speeds=speeds,
        winds=np.interp(curve.watts, np.maximum.accumulate(on.power[rising]), WINDS[rising]),
        fastest=float(on.rotor_speed.max()),
        slips_from=_least(WINDS[on.slips]),
        over_cap_from=_least(WINDS[best.over_cap & (best.power > 0)]),
        uncapped=energy(free.power),
        capped=energy(best.power),
        followed=energy(on.power),
    )


def _least(winds: Floats) -> float | None:
    return float(winds.min()) if winds.size else None
