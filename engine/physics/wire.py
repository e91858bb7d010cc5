"""Conductors: geometry, resistance at working temperature, voltage drop, the size that a drop asks for."""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

from engine.sizes import Size, parse_size
from engine.sources import Source
from engine.tables import OutsideTable, table
from engine.tables.family import Family, family
from engine.worksheet import (
    CannotCalculate,
    Input,
    Output,
    count,
    flag,
    quantity,
    size,
    word,
    worksheet,
)
from engine.worksheet import family as family_input

METRES_PER_KFT = 304.8
METRES_PER_KM = 1000.0
NEC_COLUMNS = {
    ("copper", False): "cu_uncoated_ohm_per_kft_75C",
    ("copper", True): "cu_coated_ohm_per_kft_75C",
    ("aluminium", False): "al_ohm_per_kft_75C",
}
IEC_COLUMNS = {
    ("copper", False, "stranded"): "cu_plain_class2_ohm_per_km",
    ("copper", False, "fine"): "cu_plain_class5_ohm_per_km",
    ("copper", True, "fine"): "cu_tinned_class5_ohm_per_km",
    ("aluminium", False, "stranded"): "al_class2_ohm_per_km",
}
PRINTED_NEC = "18 AWG ... 2000 kcmil stranded, or solid to 8 AWG; aluminium uncoated"
PRINTED_IEC = "1.5 mm2 ... 400 mm2 stranded or fine, coated only fine; aluminium from 10 mm2, stranded"
LEAST_POWER_SIZE = {"awg": "14 AWG", "mm2": "1.5 mm2"}
GAUGE = Source(
    "Standard Nominal Diameters and Cross-Sectional Areas of AWG Sizes of Solid Round Wires",
    "ASTM International",
    "",
    "B258",
    "read",
)
RESISTANCE = Source(
    "NFPA 70, National Electrical Code; IEC 60228, Conductors of insulated cables",
    "National Fire Protection Association; IEC",
    "2011 to 2023; 2004",
    "Chapter 9, Table 8 and note 2; Tables 1 to 4",
    "read",
)
OHM = Source("Ohm's law on the circuit's conductors", how="computed")


def material_input() -> Input:
    """Copper or aluminium."""
    return word("material", "conductor material", ("copper", "aluminium"), "copper")


def _strand() -> Input:
    return word("strand", "strand", ("stranded", "solid", "fine"), "stranded")


def _coated() -> Input:
    return flag("coated", "tinned or otherwise coated copper", False)


def conductor_temperature() -> Input:
    """The conductor at work, not the air about it."""
    return quantity(
        "temperature", "degC", "conductor temperature", "75 degC", 75.0, low=-60, high=150, symbol="T"
    )


class WireGeometry(NamedTuple):
    """Diameter [mm] of a solid conductor and its area [mm²]."""

    diameter: float
    area: float


@worksheet(
    id="wire-geometry",
    subject="Wire",
    title="Diameter and area of a conductor size",
    inputs=(size("size", "conductor size"),),
    outputs=(Output("diameter", "diameter, solid", "mm", "d"), Output("area", "area", "mm^2", "A")),
    expression=("diameter = 0.127 mm * 92^((36 - gauge) / 39)", "area = π / 4 * diameter^2"),
    source=GAUGE,
    validity="solid round conductor; kcmil and mm2 sizes go by their area",
)
def wire_geometry(*, size: Size) -> WireGeometry:
    """Geometry of a size by ASTM B258: ``d = 0.127 mm 92^((36 - n)/39)``. Returns [mm, mm²].

    >>> round(wire_geometry(size=parse_size("10 AWG")).diameter, 3)
    2.588
    """
    return WireGeometry(size.diameter_mm, size.area_mm2)


class WireResistance(NamedTuple):
    """Resistance of one conductor, in the table and at its temperature [ohm/m, ohm/m, degC, 1/K]."""

    resistance: float
    tabled: float
    reference: float
    alpha: float


@worksheet(
    id="wire-resistance",
    subject="Wire",
    title="Dc resistance of one conductor at a temperature",
    inputs=(
        size("size", "conductor size"),
        material_input(),
        _strand(),
        conductor_temperature(),
        _coated(),
        family_input(),
    ),
    outputs=(
        Output("resistance", "resistance of one conductor", "ohm/m", "r"),
        Output("tabled", "in the table", "ohm/m", "r_0"),
        Output("reference", "temperature of the table", "degC", "T_0"),
        Output("alpha", "rise with temperature", "1/K", "α"),
    ),
    expression=(
        "tabled = the table (size, material, strand)",
        "resistance = tabled * (1 + alpha * (temperature - reference))",
    ),
    source=RESISTANCE,
    validity="dc. NEC: typical, at 75 degC. IEC: greatest, at 20 degC, class 2 (stranded) or class 5 (fine)",
)
def wire_resistance(
    *,
    size: Size,
    rules: Family,
    material: str = "copper",
    strand: str = "stranded",
    temperature: float = 75.0,
    coated: bool = False,
) -> WireResistance:
    """Resistance by the family's table, ``r = r0 (1 + alpha (T - T0))``.

    ``temperature`` [degC], an array too. Returns [ohm/m, ohm/m, degC, 1/K]. Raises ``OutsideTable`` for a
    size, material, strand or coating without a row.

    >>> r = wire_resistance(size=parse_size("12 AWG"), temperature=20, rules=family("nec-2023")).resistance
    >>> round(r * METRES_PER_KFT, 3)
    1.628

    Source: NFPA 70, Chapter 9, Table 8 with its note on temperature; IEC 60228, Tables 1 to 3.
    """
    tabled = _tabled_resistance(rules.name, size.text, material, strand, coated)
    reference, alpha = rules.resistance_reference, rules.alpha[material]
    return WireResistance(tabled * (1 + alpha * (temperature - reference)), tabled, reference, alpha)


@cache
def _tabled_resistance(rules: str, size: str, material: str, strand: str, coated: bool = False) -> float:
    """What the family's table prints [ohm/m]."""
    held = family(rules)
    name = held.tables["resistance"]
    nec = held.sizes == "awg"
    column = NEC_COLUMNS.get((material, coated)) if nec else IEC_COLUMNS.get((material, coated, strand))
    for row in table(name).rows():
        fits = not nec or ("solid" if row["strand_qty"] == 1 else "stranded") == strand
        if column and row["size"] == size and fits and row[column] is not None:
            return float(str(row[column])) / (METRES_PER_KFT if nec else METRES_PER_KM)
    got = f"{size} {'coated ' if coated else ''}{material} {strand}"
    raise OutsideTable(name, "size", got, PRINTED_NEC if nec else PRINTED_IEC)


class VoltageDrop(NamedTuple):
    """Drop, its share of the voltage, power lost, lengths that drop, resistance [V, 1, W, 1, ohm/m]."""

    drop: float
    fraction: float
    loss: float
    path: float
    per_length: float


@worksheet(
    id="voltage-drop",
    subject="Wire",
    title="Voltage drop and loss of a run",
    inputs=(
        quantity("length", "m", "one-way length", "190 ft", above=0, symbol="L"),
        quantity("current", "A", "running current (not 1.56 Isc)", "18 A", low=0, symbol="I"),
        quantity("voltage", "V", "voltage of the circuit", "120 V", above=0, symbol="U"),
        size("size", "conductor size", "6 AWG", None),
        quantity(
            "resistance", "ohm/m", "resistance of one conductor", "0.5 ohm/kft", None, above=0, symbol="r"
        ),
        count("conductors", "2 for dc or single phase, 3 for three-phase", "2", 2, low=2, high=3),
        material_input(),
        _strand(),
        conductor_temperature(),
        family_input(),
    ),
    outputs=(
        Output("drop", "voltage drop", "V", "ΔU"),
        Output("fraction", "drop over voltage", "%"),
        Output("loss", "power lost in the conductors", "W", "P"),
        Output("path", "lengths of conductor that drop: 2, or √3 for three-phase", "1", "n"),
        Output("per_length", "resistance of one conductor, as taken", "ohm/m", "r"),
    ),
    expression=(
        "drop = path * length * current * per_length",
        "fraction = drop / voltage",
        "loss = conductors * length * current^2 * per_length",
    ),
    source=OHM,
    validity="resistive; running current, conductor at its working temperature",
    one_of=(("size", "resistance"),),
)
def voltage_drop(
    *,
    length: float,
    current: float,
    voltage: float,
    rules: Family,
    size: Size | None = None,
    resistance: float | None = None,
    conductors: int = 2,
    material: str = "copper",
    strand: str = "stranded",
    temperature: float = 75.0,
) -> VoltageDrop:
    """Drop by Ohm's law: ``n L I r``, n = 2, or sqrt(3) between the lines of three phases.

    ``length`` one way [m], ``current`` [A], ``voltage`` [V], ``resistance`` of one conductor [ohm/m] or a
    ``size``; current and voltage may be arrays. Returns [V, 1, W, 1, ohm/m]. Raises ``CannotCalculate``
    where neither or both are given.

    >>> awg16 = parse_size("16 AWG")
    >>> round(voltage_drop(length=30.48, current=4, voltage=24, size=awg16, rules=family("nec-2023")).drop, 2)
    3.99
    """
    if resistance is not None and size is not None:
        raise CannotCalculate("resistance", "a resistance beside a size", "one of the two")
    if resistance is None:
        if size is None:
            raise CannotCalculate("size", "nothing", "a size or a resistance")
        resistance = wire_resistance(
            size=size, rules=rules, material=material, strand=strand, temperature=temperature
        ).resistance
    path = 2.0 if conductors == 2 else math.sqrt(3.0)
    drop = path * length * current * resistance
    loss = conductors * length * current**2 * resistance
    return VoltageDrop(drop, drop / voltage, loss, path, resistance)


class WireForDrop(NamedTuple):
    """The least size that keeps the drop, and the drop it has."""

    size: Size
    fraction: float


@worksheet(
    id="wire-for-drop",
    subject="Wire",
    title="Least size for an allowed voltage drop",
    inputs=(
        quantity("current", "A", "running current", "18 A", low=0, symbol="I"),
        quantity("length", "m", "one-way length", "190 ft", above=0, symbol="L"),
        quantity("voltage", "V", "voltage of the circuit", "120 V", above=0, symbol="U"),
        quantity("allowed", "%", "allowed drop", "3 %", above=0, high=0.5),
        material_input(),
        conductor_temperature(),
        family_input(),
    ),
    outputs=(Output("size", "least size"), Output("fraction", "its drop over voltage", "%")),
    expression=("size = least of the resistance table with 2 * length * current * r / voltage to allowed",),
    source=OHM,
    validity="drop only: ampacity and protection are other questions",
)
def wire_for_drop(
    *,
    current: float,
    length: float,
    voltage: float,
    allowed: float,
    rules: Family,
    material: str = "copper",
    temperature: float = 75.0,
) -> WireForDrop:
    """The least size of the family whose drop is within ``allowed`` (a fraction).

    ``length`` one way [m], two conductors. Raises ``CannotCalculate`` where even the largest is not enough.

    Source: Ohm's law; resistances as in ``wire_resistance``.
    """
    candidates = power_sizes(rules, material)
    for candidate in candidates:
        fraction = voltage_drop(
            length=length,
            current=current,
            voltage=voltage,
            size=candidate,
            rules=rules,
            material=material,
            temperature=temperature,
        ).fraction
        if fraction <= allowed * (1 + 1e-12):
            return WireForDrop(candidate, fraction)
    need = f"conductors in parallel, a higher voltage or a shorter run: {candidates[-1].text} is not enough"
    raise CannotCalculate("allowed", f"{allowed:.3%}", need)


def power_sizes(rules: Family, material: str = "copper") -> tuple[Size, ...]:
    """The stranded sizes of a family's resistance table that are fit for power, small to large."""
    return _power_sizes(rules.name, material)


@cache
def _power_sizes(rules: str, material: str) -> tuple[Size, ...]:
    held = family(rules)
    least = parse_size(LEAST_POWER_SIZE[held.sizes])
    sizes = {parse_size(str(text)) for text in table(held.tables["resistance"]).column("size")}
    printed = []
    for each in sorted(sizes):
        try:
            _tabled_resistance(rules, each.text, material, "stranded")
        except OutsideTable:
            continue
        if each.area_mm2 >= least.area_mm2 * 0.999:
            printed.append(each)
    return tuple(printed)
