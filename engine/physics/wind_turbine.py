"""A wind turbine on a battery: the steady state of rotor, alternator, rectifier and cable in any wind.

On the dc side an alternator of permanent magnets is a voltage that grows with speed behind a resistance, so
that, with ``n`` the rotor speed, ``k`` volts per speed, ``D`` the rectifier's drop and ``R`` all resistance:

    drivetrain * density * area * wind^3 * cp(ratio) / 2  =  drag * n  +  k n I        (power of the shaft)
    k n = D + R I + V                                                                  (volts of the dc side)

``V`` is held at the battery's voltage (``direct``) or chosen for the most power ``V I`` (``tracked``). With
``cp`` as straight lines between knots, the first is a quadratic in the ratio and the second a cubic: no grid
of speeds, no tolerance. Winding reactance is left out: it lowers current and power at high speed.

Source: J. F. Manwell, J. G. McGowan and A. L. Rogers, Wind Energy Explained, Wiley, 2009, 3.3 and 5.4; the
dc side of a rectifier, N. Mohan, T. M. Undeland and W. P. Robbins, Power Electronics, Wiley, 2003, 5-6 (from
memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from engine.physics.wind_rotor import Floats, Furling, Rotor

Bools = npt.NDArray[np.bool_]
Indices = npt.NDArray[np.intp]
CALM = 0.001  # m/s
HALVINGS = 48  # of a stretch between two knots: to the last bit


@dataclass(frozen=True, slots=True)
class Machine:
    """A rotor with its alternator, up to the terminals of the controller.

    ``density`` [kg/m^3]; ``drivetrain`` efficiency (0..1]; ``volts_per_speed`` [V/rpm], open, dc side;
    ``winding`` and ``cable`` resistance [ohm], dc side, there and back, both > 0 together; ``drop`` of the
    rectifier [V]; ``drag`` [W/rpm], the constant torque of iron and bearings.
    """

    rotor: Rotor
    density: float
    drivetrain: float
    volts_per_speed: float
    winding: float
    cable: float = 0.0
    drop: float = 0.0
    drag: float = 0.0
    furling: Furling | None = None

    @property
    def resistance(self) -> float:
        """All resistance of the dc side [ohm]."""
        return self.winding + self.cable

    @property
    def shaft_gain(self) -> float:
        """Shaft power [W] at a power coefficient of 1 in 1 m/s."""
        return self.drivetrain * self.density * self.rotor.area / 2

    def met(self, wind: Floats) -> Floats:
        """The wind [m/s] that the rotor meets, less than the free wind once it furls."""
        return wind if self.furling is None else self.furling.met(wind)


@dataclass(frozen=True, slots=True)
class Steady:
    """Steady states, arrays [wind]. ``power`` is what reaches the controller, ``voltage`` times ``current``.

    ``wind`` is free wind, ``met`` what the rotor meets, ``ratio`` counted on that. The losses and ``power``
    add up to ``rotor_power``. ``stalled``: current flows below the ratio of the greatest coefficient;
    ``capped``: held at the cap of the speed; ``over_cap``: faster than the cap, nothing holds it.
    """

    wind: Floats
    met: Floats
    rotor_speed: Floats
    ratio: Floats
    voltage: Floats
    current: Floats
    power: Floats
    rotor_power: Floats
    drivetrain_loss: Floats
    drag_loss: Floats
    rectifier_loss: Floats
    winding_loss: Floats
    cable_loss: Floats
    stalled: Bools
    furled: Bools
    capped: Bools
    over_cap: Bools


def direct(machine: Machine, wind: Floats, battery: float, cap: float | None = None) -> Steady:
    """Steady states with the rectifier tied straight to the battery [V] through the cable.

    The fastest steady speed is taken, the one that a running rotor comes to as the wind rises. Below the
    battery's voltage it turns free. ``cap`` [rpm] is only watched: nothing holds the speed here.
    """
    met = machine.met(_blowing(wind))
    ratio = _direct_ratio(machine, met, battery)
    return _state(machine, wind, met, ratio, battery, cap, np.zeros(ratio.shape, bool))


def tracked(machine: Machine, wind: Floats, battery: float, cap: float | None = None) -> Steady:
    """Steady states at the most power into a controller that steps down to the battery [V].

    It can't hold the source below the battery's voltage: there, as in light wind, the direct state stands.
    ``cap`` [rpm] bounds the speed by loading the rotor into stall; where even that can't (the cap lies below
    the battery's voltage), ``over_cap`` says so. Before the controller's own loss.
    """
    met = machine.met(_blowing(wind))
    held = _direct_ratio(machine, met, battery)
    ratio, capped = _best_ratio(machine, met, battery, cap, held)
    return _state(machine, wind, met, ratio, battery, cap, capped)


def _blowing(wind: Floats) -> Floats:
    """The wind [m/s], where it is more than ``CALM``: less than a millimetre a second counts as none."""
    wind = np.asarray(wind, float)
    found: Floats = np.where(wind > CALM, wind, 0.0)
    return found


def _direct_ratio(machine: Machine, met: Floats, battery: float) -> Floats:
    """The greatest steady tip speed ratio with the terminals at the battery's voltage; 0 where it stands."""
    knots, cp = machine.rotor.ratios, machine.rotor.coefficients
    air = machine.shaft_gain * met * met * met
    drag = machine.drag * machine.rotor.speed_per_wind * met
    emf = machine.volts_per_speed * machine.rotor.speed_per_wind * met  # V at a ratio of 1
    emf = np.where(met > 0, emf, 1.0)
    opposed, ohms = battery + machine.drop, machine.resistance
    left = np.full(met.shape, -1)
    square, linear = emf**2 / ohms, emf * opposed / ohms - drag
    slopes = (cp[1:] - cp[:-1]) / (knots[1:] - knots[:-1])

    def spare(at: Floats, cp_there: Floats, some: Indices | slice) -> Floats:
        volts = emf[some] * at
        left_over: Floats = (
            air[some] * cp_there - drag[some] * at - volts * np.maximum(volts - opposed, 0.0) / ohms
        )
        return left_over

    for knot, (low, high) in enumerate(pairwise(knots)):
        left[spare(low, cp[knot], slice(None)) > 0] = knot
        top = (air * slopes[knot] + linear) / (2 * square)  # of the spare power, a parabola between knots
        some = np.flatnonzero((top > low) & (top < high))
        at = top[some]
        left[some[spare(at, cp[knot] + slopes[knot] * (at - low), some) > 0]] = knot
    slope = slopes[left]
    rise, start = air * slope - drag, air * (cp[left] - slope * knots[left])
    with np.errstate(divide="ignore", invalid="ignore"):
        free = np.minimum(np.where(rise < 0, start / -rise, knots[left + 1]), knots[left + 1])
        loaded = _larger_root(square, air * slope + linear, start)
    found: Floats = np.where(emf * free > opposed, loaded, free)
    found[(left < 0) | (met <= 0)] = 0.0
    return found


def _larger_root(square: Floats, linear: Floats, constant: Floats) -> Floats:
    """The larger root of ``square x^2 - linear x - constant = 0``, without cancellation."""
    root = np.sqrt(np.maximum(linear**2 + 4 * square * constant, 0.0))
    found: Floats = np.where(linear >= 0, (linear + root) / (2 * square), 2 * constant / (root - linear))
    return found


def _best_ratio(
    machine: Machine, met: Floats, battery: float, cap: float | None, held: Floats
) -> tuple[Floats, Bools]:
    """The ratio of the most power at or above the battery's voltage and under the cap, and where it caps."""
    knots = machine.rotor.ratios
    highest = np.full(met.shape, knots[-1])
    if cap is not None:
        with np.errstate(divide="ignore"):
            highest = np.minimum(highest, cap / (machine.rotor.speed_per_wind * met))
    best, middle = np.full(met.shape, -np.inf), np.ones(met.shape, int)
    for knot in range(1, knots.size):
        gained = _gained(machine, met, knots[knot], machine.rotor.coefficients[knot], battery)
        better = (gained > best) & (knots[knot] <= highest)
        best[better], middle[better] = gained[better], knot
    best, ratio = np.full(met.shape, -np.inf), held.copy()
    below, above = middle - 1, np.minimum(middle, knots.size - 2)
    stretches = np.stack([below, above, np.searchsorted(knots[1:-1], held, side="right")])
    tried = [np.minimum(knots[middle], highest), highest, *_between(machine, met, stretches, highest)]
    for candidate in (np.where(held <= highest, held, 0.0), *tried):
        cp = np.interp(candidate, knots, machine.rotor.coefficients)
        power = _gained(machine, met, candidate, cp, battery)
        better = (power > best) & (power >= 0)
        best, ratio = np.where(better, power, best), np.where(better, candidate, ratio)
    capped = np.isclose(ratio, highest, rtol=1e-12, atol=0) & (highest < knots[-1]) & (best > 0)
    return ratio, capped


def _gained(machine: Machine, met: Floats, ratio: Floats, cp: Floats, battery: float) -> Floats:
    """Power [W] into the controller at a ratio; minus infinity where the terminals can't be held there."""
    speed = machine.rotor.speed_per_wind * met * ratio
    shaft = machine.shaft_gain * met * met * met * cp - machine.drag * speed
    emf = machine.volts_per_speed * speed
    with np.errstate(divide="ignore", invalid="ignore"):
        current = shaft / emf
        voltage = emf - machine.drop - machine.resistance * current
    fit = (shaft >= 0) & (voltage >= battery * (1 - 1e-12))
    gained: Floats = np.where(fit, voltage * current, -np.inf)
    return gained


def _between(machine: Machine, met: Floats, left: Indices, highest: Floats) -> Floats:
    """The ratio at which the power's slope changes sign between a knot and the next, or an end of it.

    ``left`` are the knots' numbers [stretch, wind], and so is what it returns.

    With ``cp = p + q x`` the slope times ``x^3`` is the cubic ``fall x^3 + linear x + constant``.
    """
    knots, cp = machine.rotor.ratios, machine.rotor.coefficients
    q = (cp[left + 1] - cp[left]) / (knots[left + 1] - knots[left])
    p = cp[left] - q * knots[left]
    air = machine.shaft_gain * met * met * met
    with np.errstate(divide="ignore", invalid="ignore"):
        emf = machine.volts_per_speed * machine.rotor.speed_per_wind * met
        start = air * p
        fall = air * q - machine.drag * machine.rotor.speed_per_wind * met
        linear = start / emf * (machine.drop + 2 * machine.resistance * fall / emf)
        constant = 2 * machine.resistance * (start / emf) ** 2
    low, high = np.minimum(knots[left], highest), np.minimum(knots[left + 1], highest)
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        rises = (fall * middle * middle + linear) * middle + constant > 0
        low, high = np.where(rises, middle, low), np.where(rises, high, middle)
    return low


def _state(
    machine: Machine,
    wind: Floats,
    met: Floats,
    ratio: Floats,
    battery: float,
    cap: float | None,
    capped: Bools,
) -> Steady:
    """Everything about the steady states at these ratios; the shaft's power decides the current."""
    rotor = machine.rotor
    wind = np.asarray(wind, float)
    speed = rotor.speed_per_wind * met * ratio
    emf = machine.volts_per_speed * speed
    cp = np.interp(ratio, rotor.ratios, rotor.coefficients)
    shaft = machine.shaft_gain * met * met * met * cp
    drag_loss = machine.drag * speed
    loaded = emf > (battery + machine.drop) * (1 + 1e-12)
    with np.errstate(divide="ignore", invalid="ignore"):
        current = np.where(loaded, np.maximum(shaft - drag_loss, 0.0) / emf, 0.0)
    voltage = np.where(current > 0, emf - machine.drop - machine.resistance * current, emf)
    fast = np.zeros(ratio.shape, bool) if cap is None else speed > cap * (1 + 1e-9)
    return Steady(
        wind=wind,
        met=met,
        rotor_speed=speed,
        ratio=ratio,
        voltage=voltage,
        current=current,
        power=voltage * current,
        rotor_power=shaft / machine.drivetrain,
        drivetrain_loss=shaft / machine.drivetrain - shaft,
        drag_loss=drag_loss,
        rectifier_loss=machine.drop * current,
        winding_loss=machine.winding * current**2,
        cable_loss=machine.cable * current**2,
        stalled=(current > 0) & (ratio < rotor.best[0] * (1 - 1e-9)),
        furled=met < wind,
        capped=capped,
        over_cap=fast,
    )


def drag_of(iron_loss: float, rated_wind: float, rotor: Rotor) -> float:
    """The constant drag [W/rpm] of iron and bearings that lose ``iron_loss`` [W] at the rated wind [m/s].

    Hysteresis and friction are nearly a constant torque (common practice), so their loss grows with the
    speed; that of the rated wind is the one at the rotor's best ratio.
    """
    return iron_loss / (rotor.speed_per_wind * rotor.best[0] * rated_wind)
