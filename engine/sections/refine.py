"""A load curve refined from a log: one pass, and what the year gains by it on the rotor as logged."""

from __future__ import annotations

from dataclasses import dataclass, replace

from engine.physics.load_curve import LoadCurve, above_battery, followed
from engine.physics.load_curve_refine import Refined, refine
from engine.physics.wind import weibull_energy
from engine.sections.harvest import in_force
from engine.sections.wind import WINDS, WindResult
from engine.turbine_log import TurbineLog
from engine.worksheet import CannotCalculate

WORDS = {
    "moved": "moved to what the log says",
    "step": "moved by the most that one pass may",
    "even": "stays: within the log's error",
    "few": "stays: too few rows near it",
    "cap": "stays: the rotor would pass its cap",
}
"""What is said of a point, by the word that the refinement has for it."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """One pass over the curve in force; ``before`` and ``after`` [Wh] a year on the rotor as logged.

    They are ``None`` without a mean wind.
    """

    refined: Refined
    before: float | None
    after: float | None

    @property
    def helps(self) -> bool:
        """Whether anything moves, and no less is harvested for it."""
        lost = self.before is not None and self.after is not None and self.after < self.before
        return self.refined.moves and not lost


def propose(result: WindResult, log: TurbineLog) -> Proposal:
    """One pass over the curve in force; raises CannotCalculate where turbine or log lack something."""
    curve = in_force(result).curve
    machine, battery, strongest = result.machine, result.battery, result.strongest
    if machine is None or battery is None or strongest is None:  # in_force has said what is missing
        raise CannotCalculate(result.turbine, "too little of it", "the turbine's data")
    columns = (log.wind, log.voltage, log.current, log.rotor_speed)
    refined = refine(machine, battery, strongest, curve, columns, result.cap)
    logged, mean, shape = replace(machine, rotor=refined.rotor), result.mean_wind, result.shape

    def energy(of: LoadCurve) -> float | None:
        if not mean or shape is None:
            return None
        return weibull_energy(followed(logged, WINDS, above_battery(of, battery)).power, WINDS, mean, shape)

    return Proposal(refined, energy(curve), energy(refined.curve))
