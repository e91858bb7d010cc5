"""From a source to the battery: what a chain of losses leaves, and what a generator has to make up."""

from __future__ import annotations

from math import prod
from typing import NamedTuple

from engine.sources import Source
from engine.worksheet import CannotCalculate, Output, quantities, quantity, worksheet

BALANCE = Source("energy balance of a stand-alone system", how="common practice")


class EnergyChain(NamedTuple):
    """What is left behind all links."""

    share: float
    energy: float


@worksheet(
    id="energy-chain",
    subject="Storage",
    title="What a chain of losses leaves",
    inputs=(
        quantity("given", "Wh", "energy at its beginning", "1800 Wh", low=0, high=1e9),
        quantities("factors", "1", "share that each link passes", "[0.78, 0.81]", low=0),
    ),
    outputs=(Output("share", "of all links", "1"), Output("energy", "energy at its end", "Wh")),
    expression=("share = product of factors", "energy = given * share"),
    source=BALANCE,
    validity="Links that don't depend on one another.",
)
def energy_chain(given: float, factors: tuple[float, ...]) -> EnergyChain:
    """What a chain of losses leaves: ``given`` times the product of ``factors``.

    Args: given [Wh]; factors [-], 0 or more. Returns: share [-], energy [Wh].

    >>> round(energy_chain(given=1800.0, factors=(0.78, 0.81)).energy)
    1137
    """
    share = prod(factors)
    return EnergyChain(share, given * share)


class GeneratorHours(NamedTuple):
    """Hours that a generator runs in a day, and the energy that it makes for them."""

    into_battery: float
    power_counted: float
    time: float
    made: float


@worksheet(
    id="generator-hours",
    subject="Storage",
    title="Hours of generator that close a day's gap",
    inputs=(
        quantity("deficit", "Wh", "what the day lacks at the battery", "1.2 kWh", low=0, high=1e9),
        quantity("charger_current", "A", "charger's current into the battery", "60 A", above=0, high=2000),
        quantity("voltage", "V", "battery voltage", "24 V", above=0, high=1000),
        quantity("power", "W", "generator's power", "3.5 kW", above=0, high=1e6),
        quantity("charger_efficiency", "%", "charger's efficiency", "85 %", above=0, high=1),
        quantity("given_back", "%", "what the battery gives back of its charge", "75 %", above=0, high=1),
    ),
    outputs=(
        Output("into_battery", "into the battery", "W"),
        Output("power_counted", "what counts of it", "W"),
        Output("time", "generator runs, of the day", "h"),
        Output("made", "energy that it makes", "Wh"),
    ),
    expression=(
        "into_battery = the lesser of charger_current * voltage and power * charger_efficiency",
        "power_counted = into_battery * given_back",
        "time = deficit / power_counted",
        "made = into_battery / charger_efficiency * time",
    ),
    source=BALANCE,
    validity="The charger at its full current; as the battery fills it gives less, and the hours grow.",
)
def generator_hours(
    *,
    deficit: float,
    charger_current: float,
    voltage: float,
    power: float,
    charger_efficiency: float,
    given_back: float,
) -> GeneratorHours:
    """Hours of a day that a generator runs to close its gap, and what it makes in them.

    ``into = min(I V, P efficiency); time = deficit / (into given_back); made = into / efficiency time``

    Args: deficit [Wh]; charger_current [A]; voltage [V]; power [W]; charger_efficiency, given_back [0..1].
    Returns: into_battery, power_counted [W], time [h] (above 24 where one day is too short), made [Wh].

    >>> round(generator_hours(deficit=2700, charger_current=60, voltage=25, power=5000,
    ...       charger_efficiency=0.9, given_back=0.9).time, 6)
    2.0
    """
    into = min(charger_current * voltage, power * charger_efficiency)
    if into * given_back <= 0:
        raise CannotCalculate("charger_current", f"{charger_current:g} A", "a charger that gives something")
    time = deficit / (into * given_back)
    return GeneratorHours(into, into * given_back, time, into / charger_efficiency * time)
