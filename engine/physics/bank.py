"""What a battery bank stands, weighs and costs: freezing, floor, money."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from engine.sources import COMMON_PRACTICE, Source
from engine.tables import table
from engine.tables.lookup import at_most, exact
from engine.worksheet import Output, count, quantity, worksheet

GRAVITY = 9.80665  # m/s^2, standard

CELL_TABLES = Source(
    "Freezing point of sulphuric-acid electrolyte; rest voltage and specific gravity by state of charge",
    "a published vehicle owner manual and handbooks (Vinal, Storage Batteries, Wiley)",
    "",
    "tables electrolyte_freezing and leadacid_soc_rest_voltage",
    "partly from memory",
)


class BatteryFreezing(NamedTuple):
    charged: float
    specific_gravity: float
    freezing: float


@worksheet(
    id="battery-freezing",
    subject="Storage",
    title="Where the electrolyte of a discharged lead-acid battery freezes",
    inputs=(quantity("depth", "%", "depth of discharge", "50 %", low=0, high=1),),
    outputs=(
        Output("charged", "state of charge of the row that counts", "%"),
        Output("specific_gravity", "specific gravity of the electrolyte"),
        Output("freezing", "freezing point", "degC"),
    ),
    expression=(
        "charged = the row of the table at 100 % less depth, or the one below",
        "specific_gravity = the lower end of that row",
        "freezing = the row there of the electrolyte, or the one of weaker acid",
    ),
    source=CELL_TABLES,
    validity="Flooded cells with acid of 1.26 to 1.28 when full, well mixed; acid for the tropics is weaker "
    "and freezes sooner. Between two rows the weaker acid counts.",
)
def battery_freezing(*, depth: float) -> BatteryFreezing:
    """Freezing point of the electrolyte of a lead-acid battery that is discharged to a depth.

    Args: depth of discharge [0..1]. Returns: state of charge of the row that counts [0..1], specific gravity
    [-], freezing point [degC].

    >>> battery_freezing(depth=0.8).freezing  # handbooks: about -8 to -10 degC at a fifth of the charge
    -7.8

    Source: the two tables (partly from memory).
    """
    charged, gravity = max(row for row in _gravities() if row[0] <= 100 * (1 - depth) + 1e-9)
    freezing = table("electrolyte_freezing")
    weaker = at_most(freezing, "specific_gravity", gravity)
    return BatteryFreezing(charged / 100, gravity, exact(freezing, "specific_gravity", weaker, "freeze_C"))


@cache
def _gravities() -> tuple[tuple[float, float], ...]:
    """State of charge [%] and the lower end of the specific gravity there."""
    rows = table("leadacid_soc_rest_voltage").rows()
    return tuple(
        (float(str(row["soc_pct"])), float(str(row["specific_gravity"]).partition("-")[0])) for row in rows
    )


class FloorLoad(NamedTuple):
    mass: float
    area: float
    pressure: float


@worksheet(
    id="battery-floor",
    subject="Storage",
    title="What a battery bank weighs, and its load on the floor",
    inputs=(
        count("blocks", "blocks", "24", high=10_000),
        quantity("block_mass", "kg", "mass of a block", "61 kg", above=0),
        quantity("block_length", "mm", "length of a block", "210 mm", above=0),
        quantity("block_width", "mm", "width of a block", "233 mm", above=0),
        count("tiers", "tiers of the rack", "1", 1, high=10),
    ),
    outputs=(
        Output("mass", "mass of all blocks", "kg"),
        Output("area", "area that they stand on", "m^2"),
        Output("pressure", "load on that area", "Pa"),
    ),
    expression=(
        "mass = blocks * block_mass",
        "area = blocks / tiers, rounded up, * block_length * block_width",
        "pressure = mass * 9.80665 m/s^2 / area",
    ),
    source=COMMON_PRACTICE,
    validity="Blocks side by side, without a rack's own mass and without what a frame spreads the load over.",
)
def battery_floor(
    *, blocks: int, block_mass: float, block_length: float, block_width: float, tiers: int = 1
) -> FloorLoad:
    """Mass of a bank and the mean pressure under its blocks.

    ``mass = blocks block_mass; pressure = mass g / (ceil(blocks / tiers) length width)``

    Args: blocks; block_mass [kg]; block_length and block_width [mm]; tiers of the rack.
    Returns: mass [kg], area [m^2], pressure [Pa].

    >>> round(battery_floor(blocks=4, block_mass=50, block_length=500, block_width=200).pressure)
    4903

    Source: common practice.
    """
    mass = blocks * block_mass
    area = -(-blocks // tiers) * block_length * block_width / 1e6
    return FloorLoad(mass, area, mass * GRAVITY / area)


class BatteryCost(NamedTuple):
    per_stored: float
    per_usable: float
    per_cycled: float


@worksheet(
    id="battery-cost",
    subject="Storage",
    title="What a kilowatt-hour costs, stored and cycled",
    inputs=(
        quantity("price", "1", "price of the bank", "5500", low=0),
        quantity("energy", "Wh", "energy installed", "26.4 kWh", above=0),
        quantity("depth", "%", "depth of each cycle", "50 %", above=0, high=1),
        quantity("cycles", "1", "cycles at that depth", "1200", above=0),
    ),
    outputs=(
        Output("per_stored", "a kWh installed"),
        Output("per_usable", "a kWh that may be taken"),
        Output("per_cycled", "a kWh through the bank, over its life"),
    ),
    expression=(
        "per_stored = price / (energy / 1000 Wh)",
        "per_usable = per_stored / depth",
        "per_cycled = per_usable / cycles",
    ),
    source=COMMON_PRACTICE,
    validity="In the money of the price. Bank alone, nothing for capital, losses or calendar age: years on "
    "float can end it sooner.",
)
def battery_cost(*, price: float, energy: float, depth: float, cycles: float) -> BatteryCost:
    """Price of a bank by the kWh that it holds, that may be taken, and that passes it in its life.

    Args: price [money]; energy [Wh]; depth of each cycle [0..1]; cycles at that depth. Returns: [money/kWh].

    >>> battery_cost(price=5000, energy=25000, depth=0.5, cycles=1000)
    BatteryCost(per_stored=200.0, per_usable=400.0, per_cycled=0.4)

    Source: common practice.
    """
    per_stored = price / (energy / 1000)
    per_usable = per_stored / depth
    return BatteryCost(per_stored, per_usable, per_usable / cycles)
