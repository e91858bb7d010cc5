"""Devices: the rating a circuit asks for, the most its conductor allows, and the dc voltage class."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from functools import cache
from typing import NamedTuple

from engine.physics.ampacity import insulation_input, place_inputs, wire_ampacity
from engine.sizes import Size
from engine.sources import COMMON_PRACTICE, Source
from engine.tables import OutsideTable, table
from engine.tables.family import Family, family
from engine.tables.lookup import at_least
from engine.worksheet import Output, count, flag, quantity, size, word, worksheet
from engine.worksheet import family as family_input

ROUND_UP_TO = 800.0  # A: NEC 240.4(B) and (C); above it the device may not exceed the ampacity
RATINGS = Source(
    "NFPA 70, National Electrical Code; IEC 60364-4-43",
    "National Fire Protection Association; IEC",
    "2017 to 2023; 2023",
    "210.20(A), 215.3, 240.6(A); 433.1",
)
PROTECTION = Source(
    "NFPA 70, National Electrical Code; IEC 60364-4-43",
    "National Fire Protection Association; IEC",
    "2017 to 2023; 2023",
    "240.4(B), (C) and (D); 433.1",
)


@cache
def standard_ratings(rules: str) -> tuple[float, ...]:
    """The standard ratings of breakers (and fuses alike) of a family [A], rising."""
    held = family(rules)
    rows = table(held.tables["ratings"]).rows()
    wanted = ("fuse or breaker",) if held.sizes == "awg" else ("MCB IEC 60898-1/60947-2", "MCCB IEC 60947-2")
    return tuple(sorted({float(str(row["rating_A"])) for row in rows if row["device"] in wanted}))


def next_rating(rules: Family, current: float) -> float:
    """The least standard rating not below a current [A]. Raises ``OutsideTable`` above the largest."""
    ratings = standard_ratings(rules.name)
    place = bisect_left(ratings, current * (1 - 1e-9))
    if place == len(ratings):
        raise OutsideTable(rules.tables["ratings"], "rating_A", f"{current:g}", f"up to {ratings[-1]:g} A")
    return ratings[place]


def rating_below(rules: Family, current: float) -> float | None:
    """The greatest standard rating not above a current [A], ``None`` below the least."""
    ratings = standard_ratings(rules.name)
    place = bisect_right(ratings, current * (1 + 1e-9))
    return ratings[place - 1] if place else None


class DeviceRating(NamedTuple):
    """The least rating and the standard one [A]."""

    minimum: float
    rating: float
    factor: float


@worksheet(
    id="device-rating",
    subject="Devices and earthing",
    title="Rating of an overcurrent device for a current",
    inputs=(
        quantity(
            "current", "A", "current of the circuit, as the rules take it", "14 A", above=0, symbol="I_b"
        ),
        flag("continuous", "continuous duty (three hours or more)", True),
        family_input(),
    ),
    outputs=(
        Output("minimum", "least rating", "A", "I_min"),
        Output("rating", "next standard rating", "A", "I_n"),
        Output("factor", "factor for continuous duty", "1", "k"),
    ),
    expression=("minimum = factor * current", "rating = next standard rating from minimum up"),
    source=RATINGS,
    validity="a device that is not rated for 100 % duty; fuse-only ratings below 15 A are left out under NEC",
)
def device_rating(*, current: float, rules: Family, continuous: bool = True) -> DeviceRating:
    """The standard rating for a current [A]: 125 % of it under NEC if continuous, itself under IEC.

    Raises ``OutsideTable`` above the largest standard rating.
    """
    factor = rules.continuous_factor if continuous else 1.0
    return DeviceRating(factor * current, next_rating(rules, factor * current), factor)


class DeviceLimit(NamedTuple):
    """The largest device that a conductor allows [A], its ampacity, and the small-conductor ceiling."""

    rating: float | None
    ampacity: float
    ceiling: float | None


@worksheet(
    id="device-limit",
    subject="Devices and earthing",
    title="Largest overcurrent device that a conductor allows",
    inputs=(
        size("size", "conductor size", "2 AWG"),
        insulation_input(),
        word("material", "conductor material", ("copper", "aluminium"), "copper"),
        *place_inputs(),
        family_input(),
    ),
    outputs=(
        Output("rating", "largest standard device", "A"),
        Output("ampacity", "derated ampacity", "A", "I_z"),
        Output("ceiling", "small-conductor ceiling", "A"),
    ),
    expression=(
        "rating = next standard rating above ampacity (not above it under iec or beyond 800 A), to ceiling",
    ),
    source=PROTECTION,
    validity="not for cord-and-plug multi-outlet branch circuits, which may not round up",
)
def device_limit(
    *,
    size: Size,
    insulation: float,
    rules: Family,
    material: str = "copper",
    ambient: float = 30.0,
    conductors: int = 2,
    circuits: int = 1,
    method: str | None = None,
) -> DeviceLimit:
    """The largest standard device after derating; ``None`` where the conductor is too small for any.

    NEC 240.4(B): the next standard rating up to 800 A, 240.4(C): none above the ampacity beyond, 240.4(D):
    small conductors have a ceiling whatever their ampacity. IEC: In not above Iz.
    """
    carried = wire_ampacity(
        size=size,
        insulation=insulation,
        rules=rules,
        material=material,
        ambient=ambient,
        conductors=conductors,
        circuits=circuits,
        method=method,
    ).ampacity
    return limit_for(rules, size, material, carried)


def limit_for(rules: Family, size: Size, material: str, ampacity: float) -> DeviceLimit:
    """The largest standard device for a derated ampacity [A] of one size (or of parallel ones together)."""
    ceiling = small_ceiling(rules, size, material)
    rating = protecting_rating(rules, ampacity)
    if ceiling is not None and rating is not None:
        rating = min(rating, ceiling)
    return DeviceLimit(rating, ampacity, ceiling)


def protecting_rating(rules: Family, ampacity: float) -> float | None:
    """The largest standard rating [A] that protects an ampacity [A], small-conductor ceiling aside."""
    if rules.sizes == "awg" and ampacity <= ROUND_UP_TO:
        up = next_rating(rules, ampacity)
        if up <= ROUND_UP_TO:
            return up
    return rating_below(rules, ampacity)


def small_ceiling(rules: Family, size: Size, material: str) -> float | None:
    """The ceiling of NEC 240.4(D) for a small conductor [A], ``None`` for a larger one or another family."""
    name = rules.tables.get("small_conductors")
    return _ceilings(name, material).get(size.text) if name else None


@cache
def _ceilings(name: str, material: str) -> dict[str, float]:
    rows = table(name).rows()
    column = f"{material}_max_ocpd_A"
    return {str(row["size"]): float(str(row[column])) for row in rows if row[column] is not None}


class DeviceVoltageClass(NamedTuple):
    """The least dc voltage class [V]."""

    voltage_class: float


@worksheet(
    id="device-voltage-class",
    subject="Devices and earthing",
    title="Least dc voltage class of a device",
    inputs=(
        quantity("voltage", "V", "highest voltage that can stand across it", "156 V", above=0, symbol="U"),
        family_input(),
    ),
    outputs=(Output("voltage_class", "least class", "V"),),
    expression=("voltage_class = least class of the table that is not below voltage",),
    source=COMMON_PRACTICE,
    validity="classes met in practice; the device's own marking decides",
)
def device_voltage_class(*, voltage: float, rules: Family) -> DeviceVoltageClass:
    """The least class met in practice, not below a voltage [V]; ``OutsideTable`` above 1500 V."""
    classes = table(rules.tables["voltage_classes"])
    return DeviceVoltageClass(at_least(classes, "class_V", voltage))


class InverterCurrent(NamedTuple):
    """Dc current of an inverter and the current that cable and device are made for [A]."""

    current: float
    design_current: float
    factor: float


@worksheet(
    id="inverter-dc-current",
    subject="Devices and earthing",
    title="Dc current of an inverter at full power and the lowest battery voltage",
    inputs=(
        quantity("power", "W", "rated power", "2500 W", above=0, symbol="P"),
        quantity("efficiency", "%", "efficiency at that power", "85 %", above=0, high=1, symbol="η"),
        quantity("lowest_voltage", "V", "lowest battery voltage", "22 V", above=0, symbol="U_low"),
        family_input(),
    ),
    outputs=(
        Output("current", "current", "A", "I"),
        Output("design_current", "for cable and device", "A"),
        Output("factor", "factor for continuous duty", "1", "k"),
    ),
    expression=("current = power / efficiency / lowest_voltage", "design_current = factor * current"),
    source=Source(
        "Photovoltaic Power Systems and the National Electrical Code: Suggested Practices",
        "Sandia National Laboratories and New Mexico State University",
        "",
        "inverter input circuit; NEC 690.8(A), 215.2",
    ),
    validity="surge does not size the cable; ripple current of a single-phase inverter heats it further",
)
def inverter_dc_current(
    *, power: float, efficiency: float, lowest_voltage: float, rules: Family
) -> InverterCurrent:
    """``I = P / (eta U_low)``, and the family's continuous factor on top. [W, 1, V] to [A, A, 1]."""
    current = power / efficiency / lowest_voltage
    return InverterCurrent(current, rules.continuous_factor * current, rules.continuous_factor)


class BatteryFault(NamedTuple):
    """Fault current of one battery string and of all together [A]."""

    string_current: float
    current: float
    string_resistance: float


@worksheet(
    id="battery-fault-current",
    subject="Devices and earthing",
    title="Prospective fault current of a battery",
    inputs=(
        quantity("voltage", "V", "voltage of a string", "240 V", above=0, symbol="U"),
        quantity("resistance", "ohm", "resistance of one cell or block", "0.5 mohm", above=0, symbol="r"),
        count("series", "cells or blocks in series", "110", low=1),
        count("strings", "strings in parallel", "4", low=1),
        quantity("circuit_resistance", "ohm", "resistance to the fault", "0 ohm", 0.0, low=0, symbol="R"),
    ),
    outputs=(
        Output("string_current", "of each string", "A", "I_string"),
        Output("current", "of all strings", "A", "I"),
        Output("string_resistance", "resistance of a string", "ohm", "R_string"),
    ),
    expression=(
        "string_resistance = resistance * series",
        "current = voltage / (string_resistance / strings + circuit_resistance)",
        "string_current = current / strings",
    ),
    source=COMMON_PRACTICE,
    validity="low resistance (new, warm, full) for breaking capacity; high (cold, aged) for tripping",
)
def battery_fault_current(
    *, voltage: float, resistance: float, series: int, strings: int, circuit_resistance: float = 0.0
) -> BatteryFault:
    """Ohm's law on equal strings in parallel. [V, ohm, 1, 1, ohm] to [A, A, ohm]."""
    of_string = resistance * series
    current = voltage / (of_string / strings + circuit_resistance)
    return BatteryFault(current / strings, current, of_string)
