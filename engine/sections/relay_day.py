"""A relay over an invented day, second by second: what the voltage does to it, and it to the voltage.

Computed when someone looks. The day is a way of looking, no forecast: from the evening the voltage falls from
the nominal to the bank's lowest at six, then half a sine carries it to the highest and back, under passing
clouds or none; each half hour the load with the largest surge starts. The relay's own load moves it by its
current times the resistance of the bank, aged and cold. What the battery does over minutes is not in it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from engine.design import Design, Relay
from engine.physics.relay import (
    Floats,
    Logic,
    Run,
    chatters,
    proportional,
    shortest_least_on,
    simulate,
)
from engine.sections.memory import Memory
from engine.sections.relays import RelayResult
from engine.units import Quantity, show

WEATHERS = ("cloudy", "clear")
SECONDS = 86400
START, STARTS_EVERY = 2, 1800  # s: how long the largest load surges, and how often


@dataclass(frozen=True, eq=False)
class RelayDay:
    """What a relay does in a day: ``volts``, ``closed`` (the share of time that its contact is shut), both by
    second; ``amps`` [A] through its contact's load while shut, negative where it charges. ``run`` is ``None``
    for one driven by pulses. ``least_on`` [s] is the shortest that stops its chatter, ``None`` where it does
    not chatter. ``why`` says why there is no day, else empty.
    """

    volts: Floats
    closed: Floats
    on_at: float = 0.0
    off_at: float = 0.0
    amps: float = 0.0
    run: Run | None = None
    shortest: float = 0.0
    chatters: bool = False
    least_on: int | None = None
    why: str = ""

    @property
    def switchings(self) -> int:
        """How often it comes on in the day."""
        return 0 if self.run is None else len(self.run.ons)

    def busiest(self) -> int:
        """The first second of the hour in which it switches most; of noon where it never does."""
        if self.run is None or not self.run.switched:
            return 12 * 3600 - 1800
        counts = np.bincount(np.array(self.run.switched) // 3600, minlength=24)
        return int(np.argmax(counts)) * 3600


_NONE = np.zeros(0)
_days: Memory[RelayDay] = Memory(32)


def day(design: Design, relay: Relay, result: RelayResult, weather: str = "cloudy") -> RelayDay:
    """The day of a relay that watches the battery's voltage, remembered until its data change."""
    key = (relay, design.bank, design.loads, result, weather)
    return _days.recall(key, lambda: _day(design, relay, result, weather))


def _day(design: Design, relay: Relay, result: RelayResult, weather: str) -> RelayDay:
    if relay.watches != "battery voltage":
        return RelayDay(_NONE, _NONE, why=_why_not(design, relay, result))
    bank, on, off = design.bank, result.on, result.off
    ends = (bank.voltage, bank.lowest_voltage, bank.highest_voltage)
    names = [item.title for item in result.chatter_missing]
    names += [title for title, value in zip(_ENDS, ends, strict=True) if value is None]
    names += [] if relay.rest_state else ["At rest"]
    if names or result.use is None or not isinstance(on, Quantity) or not isinstance(off, Quantity):
        return RelayDay(_NONE, _NONE, why=f"Enter: {', '.join(dict.fromkeys(names)) or 'On at, Off at'}.")
    if on == off:
        return RelayDay(_NONE, _NONE, why="Enter two different thresholds.")
    nominal, lowest, highest = (float(each or 0.0) for each in ends)
    pull, ohms = result.pull or 0.0, result.resistance or 0.0
    without = voltage(nominal, lowest, highest, weather) - _starts(design, ohms)
    joined = -pull * ohms
    rests_shut = relay.rest_state == "closed"
    base, shift = (without + joined, -joined) if rests_shut else (without, joined)
    logic = Logic(
        float(on),
        float(off),
        float(relay.on_delay or 0.0),
        float(relay.least_on or 0.0),
        float(relay.off_delay or 0.0),
    )
    if relay.use("pulse_width"):
        share = proportional(base, shift, logic)
        closed = 1 - share if rests_shut else share
        return RelayDay(base + shift * share, closed, logic.on_at, logic.off_at, pull)
    run = simulate(base, shift, logic)
    driven = run.on().astype(np.float64)
    least = shortest_least_on(base, shift, logic, result.use.shortest)
    return RelayDay(
        base + shift * driven,
        1 - driven if rests_shut else driven,
        logic.on_at,
        logic.off_at,
        pull,
        run,
        result.use.shortest,
        chatters(run, result.use.shortest),
        least,
    )


def _why_not(design: Design, relay: Relay, result: RelayResult) -> str:
    """Why there is no day of volts; for the state of charge, how long its own load takes through the band."""
    if not relay.watches:
        return "Enter what it watches."
    told = f"It watches {relay.watches}, not the battery's voltage: its load does not answer back at once."
    bank, on, off = design.bank, result.on, result.off
    if relay.watches != "state of charge" or not isinstance(on, Quantity) or not isinstance(off, Quantity):
        return told
    if bank.block_capacity is None or bank.strings is None or not result.pull or not result.drives:
        return told
    hours = abs(float(on) - float(off)) * float(bank.block_capacity) * bank.strings / abs(result.pull)
    amps = show(abs(result.pull), "A", "metric", 3)
    return f"{told} {amps} take {show(hours, 'h', 'metric', 2)} from {relay.on_at} to {relay.off_at}."


_ENDS = ("Nominal voltage", "Lowest voltage", "Highest charging voltage")


def voltage(nominal: float, lowest: float, highest: float, weather: str) -> Floats:
    """The voltage of the invented day without the relay's load [V], by second from midnight."""
    hours = np.arange(SECONDS) / 3600.0
    by_day = (hours >= 6) & (hours < 18)
    night = nominal - (nominal - lowest) * ((hours - 18) % 24) / 12
    floor = np.where(by_day, lowest + (nominal - lowest) * (hours - 6) / 12, night)
    light = np.where(by_day, np.sin(math.pi * (hours - 6) / 12), 0.0)
    if weather == "cloudy":
        waves = np.sin(2 * math.pi * hours / 0.38 + 2 * np.sin(2 * math.pi * hours / 1.5))
        light = light * (1 - 0.2 * (1 + np.tanh(5 * waves)))
    risen: Floats = floor + (highest - floor) * light
    return risen


def _starts(design: Design, ohms: float) -> Floats:
    """How far the start of the load with the largest surge pulls the voltage down [V], by second."""
    dips = np.zeros(SECONDS)
    lowest = design.bank.lowest_voltage
    watts = [float(load.power) * float(load.use("surge_factor")) for load in design.loads if load.power]
    if lowest is not None and watts:
        shares = [float(item.efficiency) for item in design.inverters if item.efficiency] or [1.0]
        for second in range(START):
            dips[second::STARTS_EVERY] = max(watts) / min(shares) / float(lowest) * ohms
    return dips
