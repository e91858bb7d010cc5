"""Relays that watch the battery's voltage: what their own load does to it, and when they chatter.

A contact that joins a load pulls the voltage down by the load's current times the battery's resistance; one
that starts a charger lifts it. Where that swing is as wide as the hysteresis, it undoes its own reason.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from engine.sources import Source
from engine.worksheet import Output, quantity, worksheet

Floats = npt.NDArray[np.float64]
EXACT = 1e-9  # a swing that equals the band to within this, relative, swings through it
OURS = Source("this program's own derivation", "", "2026", "held by tests to the simulation", "computed")


class RelayChatter(NamedTuple):
    swing: float
    swings_through: bool
    cycle: float
    chatters: bool
    least_on_needed: float


@worksheet(
    id="relay-chatter",
    subject="Storage",
    title="Whether a relay chatters by its own load",
    inputs=(
        quantity("current", "A", "current that the contact joins or parts", "60 A", low=0, high=1e5),
        quantity("resistance", "ohm", "battery and leads, aged and cold", "20 mohm", low=0, high=10),
        quantity("band", "V", "hysteresis: between on and off", "1.0 V", low=0, high=1500),
        quantity(
            "shortest", "s", "shortest time from one switching on to the next", "60 s", low=0, high=86400
        ),
        quantity("on_delay", "s", "on-delay", "2 s", 0.0, low=0, high=86400),
        quantity("least_on", "s", "least on-time", "20 s", 0.0, low=0, high=86400),
        quantity("off_delay", "s", "off-delay", "5 s", 0.0, low=0, high=86400),
    ),
    outputs=(
        Output("swing", "the voltage swings by", "V"),
        Output("swings_through", "through the whole band"),
        Output("cycle", "from one switching on to the next", "s"),
        Output("chatters", "faster than it may"),
        Output("least_on_needed", "least on-time that is long enough", "s"),
    ),
    expression=(
        "swing = current * resistance",
        "swings_through = yes where swing is not below band",
        "cycle = on_delay + the longer of least_on and off_delay",
        "chatters = yes where swings_through and cycle is below shortest",
        "least_on_needed = shortest - on_delay, not below 0",
    ),
    source=OURS,
    validity="A source that holds the voltage between the thresholds. The battery's slow answer (minutes) "
    "comes on top: it makes cycles, but none faster than these.",
)
def relay_chatter(
    *,
    current: float,
    resistance: float,
    band: float,
    shortest: float,
    on_delay: float = 0.0,
    least_on: float = 0.0,
    off_delay: float = 0.0,
) -> RelayChatter:
    """Whether some steady source makes a relay cycle by its own load, and how fast.

    Let it come on at or above ``on_at`` and go off at or below ``off_at = on_at - band``. Off, the voltage
    stands at v; on, at ``v - current * resistance``. It cycles for ever where v is at least on_at and
    v - swing at most off_at, and such a v exists exactly where ``swing >= band``. The voltage answers at
    once, so off it waits the on-delay, on it waits the longer of the least on-time and the off-delay:
    ``cycle = on_delay + max(least_on, off_delay)``. Mirrored for a relay that comes on falling.

    Args: current [A]; resistance [ohm]; band [V]; shortest [s], the least time from one switching on to the
    next that contact and load stand; on_delay, least_on, off_delay [s].
    Returns: swing [V], swings_through, cycle [s], chatters, least_on_needed [s]: the least on-time with which
    no cycle is shorter than ``shortest``, whatever the source does.

    >>> relay_chatter(current=60, resistance=0.02, band=1.0, shortest=60, on_delay=2, least_on=20)[2:]
    (22, True, 58)

    Source: own derivation, held to the second-by-second simulation by a property test.
    """
    swing = current * resistance
    through = swing > 0 and swing >= band * (1 - EXACT)
    cycle = on_delay + max(least_on, off_delay)
    return RelayChatter(
        swing, through, cycle, through and cycle < shortest * (1 - EXACT), max(shortest - on_delay, 0.0)
    )


@dataclass(frozen=True, slots=True)
class Logic:
    """Thresholds [V] and delays [s] of a relay; it comes on rising where ``on_at`` is above ``off_at``."""

    on_at: float
    off_at: float
    on_delay: float = 0.0
    least_on: float = 0.0
    off_delay: float = 0.0


@dataclass(frozen=True, slots=True)
class Run:
    """What a relay did: the seconds at which it switched, on first, within ``seconds``; off at the start."""

    switched: tuple[int, ...]
    seconds: int

    @property
    def ons(self) -> tuple[int, ...]:
        return self.switched[::2]

    @property
    def shortest_cycle(self) -> int | None:
        """The least time from one switching on to the next [s]; ``None`` where it came on once or never."""
        ons = self.ons
        return min((late - early for early, late in pairwise(ons)), default=None)

    def on(self) -> npt.NDArray[np.bool_]:
        """Whether it is on, for each second."""
        flips = np.zeros(self.seconds, dtype=np.int64)
        flips[list(self.switched)] = 1
        held: npt.NDArray[np.bool_] = np.cumsum(flips) % 2 == 1
        return held


def simulate(volts_off: Floats, shift: float, logic: Logic) -> Run:
    """Run a relay second by second on a voltage that it moves itself.

    A threshold counts from the second in which the voltage reaches it, in the state that the relay is then
    in. It acts once the voltage has stayed there for the delay, and goes off no sooner than its least
    on-time after it came on; it switches at most once a second.

    Args: volts_off[second] [V], with the relay off; shift [V], what its being on adds to that.
    The stretches beyond each threshold are found at once and walked through, so that a quiet day costs
    little; a plain loop over the seconds gives the same, which a test holds.
    """
    sign = 1.0 if logic.on_at > logic.off_at else -1.0
    waits = (math.ceil(logic.on_delay), math.ceil(logic.off_delay))
    beyond = (
        _stretches(sign * volts_off >= sign * logic.on_at),
        _stretches(sign * (volts_off + shift) <= sign * logic.off_at),
    )
    switched: list[int] = []
    since, at, least = -1, [0, 0], (1, max(1, math.ceil(logic.least_on)))
    while True:
        state = len(switched) % 2
        starts, ends = beyond[state]
        found = at[state]
        if found < len(ends) and ends[found] <= since:
            found = bisect_right(ends, since, found)
        earliest, when = since + least[state], None
        while found < len(starts):
            moment = max(max(starts[found], since) + waits[state], earliest)
            if moment < ends[found]:
                when = moment
                break
            found += 1
        at[state] = found
        if when is None:
            return Run(tuple(switched), len(volts_off))
        switched.append(when)
        since = when


def _stretches(true: npt.NDArray[np.bool_]) -> tuple[list[int], list[int]]:
    """First and one past the last second of each stretch in which something holds."""
    edges = np.flatnonzero(np.diff(np.concatenate(([False], true, [False])).astype(np.int8)))
    return edges[::2].tolist(), edges[1::2].tolist()


def chatters(run: Run, shortest: float) -> bool:
    """Whether it came on again sooner than ``shortest`` [s] after it came on."""
    cycle = run.shortest_cycle
    return cycle is not None and cycle < shortest


def shortest_least_on(volts_off: Floats, shift: float, logic: Logic, shortest: float) -> int | None:
    """A least on-time [s] that stops the chatter on this voltage, a second less of which does not.

    With ``shortest - on_delay`` no cycle can be too short: it is on that long, and off for the on-delay. From
    there it is halved down to the edge. ``None`` where it does not chatter as it is.
    """

    def stands(seconds: int) -> bool:
        return not chatters(simulate(volts_off, shift, replace(logic, least_on=seconds)), shortest)

    low, high = math.ceil(logic.least_on), math.ceil(shortest - math.ceil(logic.on_delay))
    if stands(low):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if stands(middle) else (middle, high)
    return high


def proportional(volts_off: Floats, shift: float, logic: Logic) -> Floats:
    """The share of time that a pulse-driven relay is on, for each second, where the two agree.

    It drives from nothing at ``off_at`` to the whole at ``on_at``, by the voltage that its own drive leaves:
    ``share = (volts_off + shift share - off_at) / (on_at - off_at)``, so
    ``share = (volts_off - off_at) / (on_at - off_at - shift)``, from 0 to 1.

    Args: volts_off[second] [V]; shift [V], of the whole drive, which pulls towards ``off_at``.
    """
    share = (volts_off - logic.off_at) / (logic.on_at - logic.off_at - shift)
    return np.clip(share, 0.0, 1.0)
