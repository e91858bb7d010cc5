"""The load curve of a wind turbine: the few points of voltage and power that its controller follows.

A controller that is told a power for every voltage of the source needs no wind speed: the rotor settles where
its torque and the curve's agree. The points stand where straight lines between them err least.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from engine.physics.wind_rotor import Floats
from engine.physics.wind_turbine import Machine, tracked
from engine.worksheet import CannotCalculate

FINE = 241  # places for a point, evenly over the voltage
CALM = 0.5  # m/s: where the curve is read from
HEADROOM = 1.05  # of wind: 16 % of power
APART = 0.002  # of the highest voltage, between two points that are dragged
BETWEEN = 30  # steps between two points in which a rotor's balance is looked for


@dataclass(frozen=True, slots=True)
class LoadCurve:
    """Points that rise in voltage [V] and in power [W]; below the first no load, above the last its power.

    ``error`` [W]: the most that the straight lines are off the ideal curve. ``steep`` where the rotor's cap
    makes the last stretch stand on end: power rises while the speed does not. ``entered``: by hand.
    """

    volts: Floats
    watts: Floats
    error: float
    steep: bool
    entered: bool = False

    @property
    def amps(self) -> Floats:
        """Current at each point [A]."""
        found: Floats = self.watts / self.volts
        return found

    def power(self, voltage: Floats) -> Floats:
        """Power [W] asked for at a voltage [V]."""
        found: Floats = np.interp(voltage, self.volts, self.watts, left=0.0)
        return found


def entered_curve(points: Sequence[tuple[float, float]]) -> LoadCurve:
    """A curve of entered points (voltage [V] rising, power [W] not falling); its error is not known: 0."""
    volts, watts = (np.array([float(pair[at]) for pair in points]) for at in (0, 1))
    return LoadCurve(volts, watts, 0.0, False, entered=True)


def above_battery(curve: LoadCurve, battery: float) -> LoadCurve:
    """The part of a curve that a controller stepping down to the battery [V] can follow: none below it."""
    if battery <= curve.volts[0]:
        return curve
    kept = curve.volts > battery
    volts = np.append(battery, curve.volts[kept] if kept.any() else battery * (1 + APART))
    return replace(curve, volts=volts, watts=np.append(curve.power(volts[:1]), curve.power(volts[1:])))


def moved(curve: LoadCurve, point: int, voltage: float, power: float) -> LoadCurve:
    """The curve with a point moved as near to voltage [V] and power [W] as its neighbours allow.

    It keeps ``APART`` of the curve's voltage from them, and its power stays between theirs.
    """
    volts, watts = curve.volts.copy(), curve.watts.copy()
    apart, last = APART * float(volts[-1]), volts.size - 1
    low = volts[point - 1] + apart if point else apart
    high = volts[point + 1] - apart if point < last else np.inf
    volts[point] = min(max(voltage, low), max(high, low))
    least = watts[point - 1] if point else 0.0
    most = watts[point + 1] if point < last else np.inf
    watts[point] = min(max(power, least), most)
    return replace(curve, volts=volts, watts=watts)


def off_ideal(
    machine: Machine, battery: float, strongest: float, curve: LoadCurve, cap: float | None = None
) -> float:
    """The most [W] that a curve asks for more or less than the ideal, at the places of the computed one."""
    places, heights, _ = _places(*ideal(machine, battery, strongest, cap))
    return float(np.abs(curve.power(places) - heights).max())


def ideal(
    machine: Machine, battery: float, strongest: float, cap: float | None = None
) -> tuple[Floats, Floats]:
    """Voltage [V] and power [W] of the most power in winds up to ``strongest`` [m/s], voltage not falling.

    Where a cap turns the voltage back (more current through the same resistance at the same speed), every
    lower power is asked for at that lower voltage already, so that the speed stays under the cap on the way;
    and it reaches ``HEADROOM`` beyond that wind, since above its last point a stalled rotor breaks loose.
    """
    top = strongest if cap is None else HEADROOM * strongest
    winds = np.linspace(CALM, top, 8 * FINE)
    best = tracked(replace(machine, furling=None), winds, battery, cap)
    loaded = best.power > 0
    if not loaded.any():
        raise CannotCalculate("wind", f"{strongest:g} m/s", "a wind in which the turbine charges the battery")
    volts = np.maximum(best.voltage[loaded], battery)
    watts = np.maximum.accumulate(best.power[loaded])
    return np.minimum.accumulate(volts[::-1])[::-1], watts


def load_curve(
    machine: Machine, battery: float, strongest: float, points: int = 12, cap: float | None = None
) -> LoadCurve:
    """The load curve of so many points whose straight lines err least: the greatest error is minimal.

    Found by dynamic programming over ``FINE`` places of the ideal curve, exact among them (Bellman's
    principle; R. Bellman and R. Roth, Curve fitting by segmented straight lines, Journal of the American
    Statistical Association, 1969, from memory). Raises CannotCalculate below 2 points or above 60, and where
    the turbine never charges.
    """
    if not 2 <= points <= 60:
        raise CannotCalculate("points", f"{points}", "2 to 60 points")
    volts, watts = ideal(machine, battery, strongest, cap)
    places, heights, steep = _places(volts, watts)
    chosen, error = least_error(places, heights, min(points, places.size))
    return LoadCurve(places[list(chosen)], heights[list(chosen)], error, steep)


def _places(volts: Floats, watts: Floats) -> tuple[Floats, Floats, bool]:
    """Places that rise in both, even in voltage, from no power on; whether the end stands on end.

    The ideal curve may stand on end at the battery's voltage (first) and under a cap (last): there one place
    is at its foot and one a thousandth of the range further at its top.
    """
    low, high = float(volts[0]), float(volts[-1])
    slim = 0.001 * max(high - low, 0.01 * high)
    at_top = volts >= high - slim
    foot, top = float(watts[at_top][0]), float(watts[-1])
    steep = top > 1.05 * foot and int(at_top.sum()) > 2
    last = high - slim if steep else high
    if last - low <= 2 * slim:  # the whole curve stands at one voltage
        return np.array([low, low + slim]), np.array([0.0, top]), steep
    places = np.linspace(low, last, FINE)
    rising = np.concatenate([[True], np.diff(volts) > 0])
    heights = np.interp(places, volts[rising], watts[rising])
    heights[0] = 0.0
    if steep:
        heights[-1] = foot
        places, heights = np.append(places, high), np.append(heights, top)
    kept = np.concatenate([[True], np.diff(heights) > 0])
    return places[kept], heights[kept], steep


def least_error(x: Floats, y: Floats, points: int) -> tuple[tuple[int, ...], float]:
    """Which of the points (x, y), the ends among them, minimise the greatest error of straight lines [y].

    Returns the indices and that error. ``cost[j]`` after ``n`` lines is the least over ``i`` of the greater
    of ``cost[i]`` and the error of the line from ``i`` to ``j``.
    """
    count = x.size
    error = np.full((count, count), np.inf)
    for first in range(count - 1):
        run, climb = x[first + 1 :] - x[first], y[first + 1 :] - y[first]
        slopes = climb / run
        off = np.abs(np.outer(slopes, run) - climb)  # [end of the line, point]
        error[first, first + 1 :] = np.tril(off).max(axis=1)
    cost, came = error[0].copy(), []
    for _ in range(points - 2):
        both = np.maximum(cost[:, None], error)
        before = np.argmin(both, axis=0)
        longer = both[before, np.arange(count)]
        came.append(before)
        cost = longer
    chosen = [count - 1]
    for before in reversed(came):
        chosen.append(int(before[chosen[-1]]))
    return (0, *reversed(chosen)), float(cost[-1])


@dataclass(frozen=True, slots=True)
class Followed:
    """Steady states on a load curve, arrays [wind]: voltage [V], power [W], rotor speed [rpm].

    ``slips``: the same wind has a second, faster steady state, into which a gust can throw the rotor.
    """

    voltage: Floats
    power: Floats
    rotor_speed: Floats
    slips: npt.NDArray[np.bool_]

    @property
    def current(self) -> Floats:
        """Current into the controller [A]."""
        with np.errstate(divide="ignore", invalid="ignore"):
            found: Floats = np.where(self.power > 0, self.power / self.voltage, 0.0)
        return found


def followed(machine: Machine, wind: Floats, curve: LoadCurve) -> Followed:
    """The steady states of a controller that follows a curve.

    The slowest speed at which the curve takes what the shaft gives, the one that the rotor comes to as the
    wind rises. Looked for between ``BETWEEN`` places of each line and read by a straight line there. Above
    the last point the power stays at the last.
    """
    wind = np.asarray(wind, float)
    met, rotor = machine.met(wind), machine.rotor
    top = (
        machine.volts_per_speed * rotor.speed_per_wind * float(rotor.ratios[-1]) * max(float(met.max()), 1.0)
    )
    ends = np.append(curve.volts, max(top, 1.01 * curve.volts[-1]))
    steps = [np.linspace(a, b, BETWEEN, endpoint=False) for a, b in pairwise(ends)]
    volts = np.concatenate([*steps, ends[-1:]])
    watts = curve.power(volts)
    amps = watts / volts
    speed = (
        volts + np.where(amps > 0, machine.drop, 0.0) + machine.resistance * amps
    ) / machine.volts_per_speed
    taken = (machine.drag + machine.volts_per_speed * amps) * speed
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = speed / (rotor.speed_per_wind * met[:, None])
    cp = np.interp(ratio, rotor.ratios, rotor.coefficients, right=0.0)
    spare = machine.shaft_gain * met[:, None] ** 3 * cp - taken
    loaded = spare[:, 0] > 0
    left = np.where(loaded, np.argmax(spare <= 0, axis=1) - 1, 0)
    row = np.arange(met.size)
    here, there = spare[row, left], spare[row, left + 1]
    share = np.where(loaded, here / np.where(loaded, here - there, 1.0), 0.0)
    beyond = (spare > 0) & (np.arange(volts.size) > left[:, None] + 1)
    free = tracked(machine, wind, float(curve.volts[0])).rotor_speed
    slow = np.minimum(free, speed[0])

    def read(values: Floats, otherwise: Floats) -> Floats:
        found: Floats = np.where(loaded, values[left] + share * (values[left + 1] - values[left]), otherwise)
        return found

    return Followed(
        read(volts, machine.volts_per_speed * slow),
        read(watts, np.zeros(met.shape)),
        read(speed, slow),
        loaded & beyond.any(axis=1),
    )
