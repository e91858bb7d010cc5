"""What relays are used for, and what follows where a contact stays as it is.

The shortest cycles are common practice: a motor or a compressor wants minutes between starts, an engine half
an hour of running; a heater bears seconds, which the eye sees in the lights.
"""

from __future__ import annotations

from dataclasses import dataclass

from engine.finding import Signal


@dataclass(frozen=True, slots=True)
class Use:
    """One use of a relay.

    ``shut`` and ``open`` say what follows where its contact stays shut, or stays open; ``protects`` is the
    state of the contact that keeps people and battery safe, which it must take without power (empty where
    neither does). ``rises``: the contact shuts at the higher of its thresholds, since what it joins pulls the
    voltage down. ``shortest`` [s] from one switching on to the next.
    """

    purpose: str
    shut: str
    shut_signal: Signal
    open: str
    open_signal: Signal
    protects: str
    rises: bool
    shortest: float


USES = (
    Use(
        "diversion load",
        "The load drains the battery day and night, and a heater stays hot.",
        Signal.WARNING,
        "Nothing takes what the full battery can't: it boils, and a turbine that leans on it runs free.",
        Signal.DANGER,
        "closed",
        True,
        20.0,
    ),
    Use(
        "battery fan",
        "The fan runs on and takes a little from the battery; the room is aired.",
        Signal.NOTICE,
        "Gas gathers over the cells while they charge: a spark can set it off.",
        Signal.DANGER,
        "closed",
        True,
        60.0,
    ),
    Use(
        "generator start",
        "The engine starts by itself and runs until its tank is empty, also while somebody works on it.",
        Signal.WARNING,
        "The generator does not come: the battery goes flat and the loads go out.",
        Signal.CAUTION,
        "open",
        False,
        1800.0,
    ),
    Use(
        "low-voltage disconnect",
        "The loads drain the battery below what it stands; a flat battery freezes sooner.",
        Signal.CAUTION,
        "The loads stay without power though the battery is full.",
        Signal.NOTICE,
        "open",
        True,
        300.0,
    ),
    Use(
        "surplus load",
        "The load drains the battery though there is no surplus.",
        Signal.CAUTION,
        "The surplus is not used; nobody is hurt.",
        Signal.NOTICE,
        "open",
        True,
        60.0,
    ),
    Use(
        "brake",
        "The turbine stands, and nothing charges from it.",
        Signal.NOTICE,
        "The turbine can't be stopped in a storm: it can break up.",
        Signal.DANGER,
        "closed",
        True,
        60.0,
    ),
)

BY_PURPOSE = {use.purpose: use for use in USES}
