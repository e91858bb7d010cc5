"""A better load curve from a log of the turbine at work, in small steps, as far as the log bears it out.

Volts, amperes and the alternator's data give the shaft's speed ``n`` and power ``P``; with the wind that was
logged beside them each stretch of the curve gives one point of the rotor as it really is,

    ratio = n / (rpm at a ratio of 1 in that wind),    cp = P / (shaft power at cp = 1 in that wind),

means being taken first, so that gusts cancel. The rotor's curve as entered is stretched to them by two
numbers: ``cp = height * cp_entered(ratio / width)``, least squares. An anemometer that reads a fixed share
too high or too low changes both, and leaves the best load at a speed, which goes with ``cp / ratio^3``, as it
is. The error is found by drawing whole stretches of the log again and again (moving-block bootstrap: H. R.
Kuensch, The jackknife and the bootstrap for general stationary observations, Annals of Statistics, 1989, from
memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from engine.physics.load_curve import HEADROOM, LoadCurve, above_battery, followed, ideal
from engine.physics.wind_rotor import Floats, Rotor
from engine.physics.wind_turbine import Machine
from engine.worksheet import CannotCalculate

STEP = 0.10  # of a point's power: the most by which one pass moves it
LEAST = 20  # rows near a point, below which it stays
FINER = 3  # stretches of power for each point of the curve
FEWEST = 5  # such stretches with enough rows, to tell the two numbers apart
FURLED = 0.05  # of the rows of a stretch
STRONGER = 1.1  # the rotor for which the cap must still hold, over the one that the log shows
BLOCKS, DRAWS = 40, 200  # stretches of the log, and how often they are drawn again
SURE = 2.0  # standard errors
WIDTHS = np.linspace(0.5, 1.8, 261)
WIDTHS.flags.writeable = False


@dataclass(frozen=True, slots=True, eq=False)
class Refined:
    """Arrays [point] of a curve: what it asks for before and after one pass [W], and the evidence for it.

    ``target`` [W] is what the log says is best at that voltage, ``error`` [W] its standard error, ``rows``
    how many of the log stand near. ``why`` is a word each: ``moved``, ``step`` (by the most that a pass may),
    ``even`` (within twice its error), ``few`` (too few rows), ``cap`` (held back for the speed cap).
    ``rotor`` is the rotor as logged, by ``width`` and ``height`` of the one entered.
    """

    volts: Floats
    before: Floats
    after: Floats
    target: Floats
    error: Floats
    rows: Floats
    why: tuple[str, ...]
    rotor: Rotor
    width: float
    height: float

    @property
    def curve(self) -> LoadCurve:
        """The curve after the pass."""
        return LoadCurve(self.volts, self.after, 0.0, False, entered=True)

    @property
    def moves(self) -> bool:
        """Whether any point moved."""
        return bool((self.after != self.before).any())


def refine(
    machine: Machine,
    battery: float,
    strongest: float,
    curve: LoadCurve,
    log: tuple[Floats, Floats, Floats, Floats | None],
    cap: float | None = None,
) -> Refined:
    """One pass: each point of ``curve`` nearer to what the log says is best, by ``STEP`` at most.

    ``log``: arrays [row] of wind [m/s], voltage [V], current [A] and, or ``None``, rotor speed [rpm].
    ``battery`` [V], ``strongest`` [m/s] and ``cap`` [rpm] as for the computed curve. No point without
    ``LEAST`` rows near it is moved, none within ``SURE`` times its standard error, and none so that the rotor
    passes the cap where it did not before. Raises CannotCalculate where the log is too short or too even.
    """
    wind, volts, amps, speed = log
    near = _nearest(curve.volts, volts)
    rows = np.bincount(near, minlength=curve.volts.size).astype(float)
    sums = _sums(machine, strongest, curve.watts, wind, volts, amps, speed)
    width, height = _fitted(machine, sums.sum(axis=0))
    target = _best_at(machine, battery, strongest, curve, (width, height), cap)
    error = _errors(machine, battery, strongest, curve, sums, cap)
    sure = np.abs(target - curve.watts) > SURE * error
    moved = (rows >= LEAST) & sure & (curve.watts > 0)
    after = _stepped(curve.watts, target, moved)
    held = cap is not None and _too_fast(machine, (width, height), battery, strongest, curve, after, cap)
    kept = np.maximum(after, curve.watts) if held else after
    why = tuple(
        "few"
        if rows[at] < LEAST
        else "even"
        if not moved[at]
        else "cap"
        if kept[at] != after[at]
        else "step"
        if abs(target[at] - kept[at]) > 0.001 * curve.watts[-1]
        else "moved"
        for at in range(rows.size)
    )
    rotor = _stretched(machine.rotor, width, height)
    return Refined(curve.volts, curve.watts, kept, target, error, rows, why, rotor, width, height)


def _nearest(places: Floats, values: Floats) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    """For each value the index of the place next to it."""
    return np.searchsorted((places[1:] + places[:-1]) / 2, values)


def _sums(
    machine: Machine,
    strongest: float,
    watts: Floats,
    wind: Floats,
    volts: Floats,
    amps: Floats,
    speed: Floats | None,
) -> Floats:
    """Sums [block of the log, stretch of the curve, (rows, wind, speed, shaft power, furled)] under load.

    A stretch is one of power, which rises all along the curve, also where that stands on end at a voltage.
    Where some rows are from winds in which the rotor furls, the whole stretch is left out.
    """
    emf = volts + machine.drop + machine.resistance * amps
    turning = emf / machine.volts_per_speed if speed is None else speed
    shaft = machine.drag * turning + machine.volts_per_speed * turning * amps
    edges = np.interp(np.arange(FINER * (watts.size - 1) + 1) / FINER, np.arange(watts.size), watts)
    near = _nearest(edges, volts * amps)
    block = np.arange(wind.size) * BLOCKS // wind.size
    used = (amps > 0) & (wind > 0) & (near > 0)
    place = (block * edges.size + near)[used]
    columns = (np.ones(place.size), wind[used], turning[used], shaft[used], wind[used] > strongest)
    size = BLOCKS * edges.size
    sums: Floats = np.stack([np.bincount(place, each, minlength=size) for each in columns], -1).astype(float)
    by_block = sums.reshape(BLOCKS, edges.size, 5)
    whole = by_block.sum(axis=0)
    fit = (whole[:, 0] >= LEAST) & (whole[:, 4] <= FURLED * whole[:, 0])
    if int(fit.sum()) < FEWEST:
        got = f"{int(fit.sum())} stretches of the curve with {LEAST} rows under load"
        raise CannotCalculate("log", got, f"{FEWEST} or more: a longer log, in lighter and stronger wind")
    return by_block[:, fit]


def _points(machine: Machine, sums: Floats) -> tuple[Floats, Floats, Floats]:
    """Rows, tip speed ratio and power coefficient of each stretch of the curve."""
    rows = sums[..., 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        wind, speed, shaft = (np.where(rows > 0, sums[..., at] / rows, 1.0) for at in (1, 2, 3))
    return rows, speed / (machine.rotor.speed_per_wind * wind), shaft / (machine.shaft_gain * wind**3)


def _fitted(machine: Machine, sums: Floats) -> tuple[float, float]:
    """Width and height that bring the entered rotor nearest to the logged points."""
    rows, ratio, cp = _points(machine, sums)
    shape = np.interp(ratio / WIDTHS[:, None], machine.rotor.ratios, machine.rotor.coefficients, right=0.0)
    square = (rows * shape**2).sum(axis=1)
    with np.errstate(divide="ignore", invalid="ignore"):
        height = np.where(square > 0, (rows * shape * cp).sum(axis=1) / square, 0.0)
    left = (rows * (cp - height[:, None] * shape) ** 2).sum(axis=1)
    best = int(np.argmin(left))
    if best in (0, WIDTHS.size - 1) or not height[best] > 0:
        need = "one of this turbine: its wind, volts or amperes don't go with the data entered"
        raise CannotCalculate("log", "a rotor quite unlike the one entered", need)
    return float(WIDTHS[best]), float(height[best])


def _stretched(rotor: Rotor, width: float, height: float) -> Rotor:
    return Rotor(rotor.diameter, rotor.ratios * width, rotor.coefficients * height)


def _best_at(
    machine: Machine,
    battery: float,
    strongest: float,
    curve: LoadCurve,
    stretch: tuple[float, float],
    cap: float | None,
) -> Floats:
    """The best power [W] at each voltage of the curve for the stretched rotor."""
    logged = replace(machine, rotor=_stretched(machine.rotor, *stretch))
    volts, watts = ideal(logged, battery, strongest, cap)
    rising = np.concatenate([np.diff(volts) > 0, [True]])
    found: Floats = np.interp(curve.volts, volts[rising], watts[rising])
    return np.where(curve.watts > 0, found, 0.0)


def _errors(
    machine: Machine, battery: float, strongest: float, curve: LoadCurve, sums: Floats, cap: float | None
) -> Floats:
    """Standard error [W] of the best power at each voltage, from drawing blocks of the log again."""
    draw = np.random.default_rng(1)
    stretches = []
    for _ in range(DRAWS):
        drawn = sums[draw.integers(0, BLOCKS, BLOCKS)].sum(axis=0)
        try:
            stretches.append(_fitted(machine, drawn))
        except CannotCalculate:
            continue
    if len(stretches) < DRAWS * 0.8:
        return np.full(curve.volts.size, np.inf)
    middle = np.median(np.array(stretches), axis=0)
    slopes = []
    for at, nudge in ((0, 0.01), (1, 0.01)):
        pair = []
        for sign in (-1, 1):
            moved = middle.copy()
            moved[at] *= 1 + sign * nudge
            pair.append(_best_at(machine, battery, strongest, curve, (moved[0], moved[1]), cap))
        slopes.append((pair[1] - pair[0]) / (2 * nudge * middle[at]))
    spread = np.cov(np.array(stretches).T)
    both = np.array(slopes)
    found: Floats = np.sqrt(np.maximum(np.einsum("ip,ij,jp->p", both, spread, both), 0.0))
    return found


def _stepped(before: Floats, target: Floats, moved: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Floats:
    """Powers after one step, no point passing one that stays."""
    low = np.maximum.accumulate(np.where(moved, 0.0, before))
    high = np.minimum.accumulate(np.where(moved, np.inf, before)[::-1])[::-1]
    step = np.clip(target, (1 - STEP) * before, (1 + STEP) * before)
    after: Floats = np.where(moved, np.clip(step, low, high), before)
    after[-1] = max(after[-1], before[-1])  # what is lacking there lets the rotor run away in stronger wind
    return np.maximum.accumulate(after)


def _too_fast(
    machine: Machine,
    stretch: tuple[float, float],
    battery: float,
    strongest: float,
    curve: LoadCurve,
    after: Floats,
    cap: float,
) -> bool:
    """Whether a rotor ``STRONGER`` than the logged passes its cap on the curve after the step."""
    width, height = stretch
    logged = replace(machine, rotor=_stretched(machine.rotor, width, STRONGER * height))
    winds = np.arange(0.5, HEADROOM * strongest, 0.25)
    step = replace(curve, watts=after)
    return bool((followed(logged, winds, above_battery(step, battery)).rotor_speed > cap).any())
