"""Conductors: geometry, resistance at working temperature, voltage drop, the size that a drop asks for."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from engine.sizes import Size, parse_size
from engine.sources import COMMON_PRACTICE, Source
from engine.tables import OutsideTable, table
from engine.tables.family import Family, family
from engine.worksheet import (
    CannotCalculate,
    Input,
    Output,
    count,
    quantities,
    quantity,
    size,
    sizes,
    word,
    worksheet,
)
from engine.worksheet import family as family_input

METRES_PER_KFT = 304.8
METRES_PER_KM = 1000.0
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


def _temperature() -> Input:
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
    expression=("diameter = 0.127 mm * 92 ^ ((36 - gauge) / 39)", "area = π / 4 * diameter ^ 2"),
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
    """Resistance of one conductor [ohm/m]."""

    resistance: float


@worksheet(
    id="wire-resistance",
    subject="Wire",
    title="Dc resistance of one conductor at a temperature",
    inputs=(
        size("size", "conductor size"),
        material_input(),
        _strand(),
        _temperature(),
        family_input(),
    ),
    outputs=(Output("resistance", "resistance of one conductor", "ohm/m", "r"),),
    expression=("resistance = table value (size, material, strand) * (1 + alpha (temperature - reference))",),
    source=RESISTANCE,
    validity="uncoated; NEC: 75 degC table; IEC: greatest resistance at 20 degC, class 2 or class 5",
)
def wire_resistance(
    *,
    size: Size,
    rules: Family,
    material: str = "copper",
    strand: str = "stranded",
    temperature: float = 75.0,
) -> WireResistance:
    """Resistance by the family's table, ``r = r0 (1 + alpha (T - T0))``.

    ``temperature`` [degC]. Raises ``OutsideTable`` for a size, material or strand without a row.
    """
    tabled = _tabled_resistance(rules.name, size.text, material, strand)
    return WireResistance(tabled * (1 + rules.alpha[material] * (temperature - rules.resistance_reference)))


@cache
def _tabled_resistance(rules: str, size: str, material: str, strand: str) -> float:
    held = family(rules)
    name = held.tables["resistance"]
    if held.sizes == "awg":
        column = "cu_uncoated_ohm_per_kft_75C" if material == "copper" else "al_ohm_per_kft_75C"
        for row in table(name).rows():
            printed = "solid" if row["strand_qty"] == 1 else "stranded"
            if row["size"] == size and printed == strand:
                return float(str(row[column])) / METRES_PER_KFT
        sizes = "14 AWG ... 2000 kcmil, stranded, or solid to 8 AWG"
        raise OutsideTable(name, "size", f"{size} {strand}", sizes)
    columns = {
        ("copper", "stranded"): "cu_plain_class2_ohm_per_km",
        ("copper", "fine"): "cu_plain_class5_ohm_per_km",
        ("aluminium", "stranded"): "al_class2_ohm_per_km",
    }
    printed = columns.get((material, strand))
    for row in table(name).rows():
        if printed and row["size"] == size and row[printed] is not None:
            return float(str(row[printed])) / METRES_PER_KM
    raise OutsideTable(name, "size", f"{size} {material} {strand}", "1.5 mm2 ... 400 mm2, stranded or fine")


class VoltageDrop(NamedTuple):
    """Drop [V], as a fraction of the voltage, and the power lost [W]."""

    drop: float
    fraction: float
    loss: float
    path: float


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
        _temperature(),
        family_input(),
    ),
    outputs=(
        Output("drop", "voltage drop", "V", "ΔU"),
        Output("fraction", "drop over voltage", "%"),
        Output("loss", "power lost in the conductors", "W", "P"),
        Output("path", "lengths of conductor that drop: 2, or √3 for three-phase", "1", "n"),
    ),
    expression=(
        "drop = path * length * current * resistance",
        "fraction = drop / voltage",
        "loss = conductors * length * current ^ 2 * resistance",
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
    ``size``. Returns [V, 1, W, 1]. Raises ``CannotCalculate`` where neither is given.
    """
    if resistance is None:
        if size is None:
            raise CannotCalculate("size", "nothing", "a size or a resistance")
        resistance = wire_resistance(
            size=size, rules=rules, material=material, strand=strand, temperature=temperature
        ).resistance
    path = 2.0 if conductors == 2 else math.sqrt(3.0)
    drop = path * length * current * resistance
    loss = conductors * length * current**2 * resistance
    return VoltageDrop(drop, drop / voltage, loss, path)


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
        _temperature(),
        family_input(),
    ),
    outputs=(Output("size", "least size"), Output("fraction", "its drop over voltage", "%")),
    expression=("size = least size of the table with 2 L I r / U not above allowed",),
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

    Raises ``CannotCalculate`` where even the largest is not enough.
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


class WireSaving(NamedTuple):
    """Loss of each size [W], and the price of each watt saved by the next one."""

    losses: tuple[float, ...]
    price_per_watt: tuple[float, ...]


@worksheet(
    id="wire-saving",
    subject="Wire",
    title="What a thicker conductor costs for each watt that it saves",
    inputs=(
        quantity("current", "A", "running current", "10 A", above=0, symbol="I"),
        quantity("length", "m", "one-way length", "500 ft", above=0, symbol="L"),
        quantity("voltage", "V", "voltage of the circuit", "350 V", above=0, symbol="U"),
        sizes("sizes", "sizes, small to large", '["12 AWG", "10 AWG", "8 AWG", "6 AWG"]'),
        quantities("prices", "1", "price of the whole run in each size", "[620, 950, 1540, 2370]", low=0),
        _temperature(),
        material_input(),
        family_input(),
    ),
    outputs=(
        Output("losses", "loss of each size", "W"),
        Output("price_per_watt", "price of a watt saved by the next size", "1"),
    ),
    expression=(
        "losses = 2 * length * current ^ 2 * resistance of each size",
        "price_per_watt = step in price / step in loss",
    ),
    source=COMMON_PRACTICE,
    validity="worth it while a watt saved costs less than a watt of array (common practice)",
)
def wire_saving(
    *,
    current: float,
    length: float,
    voltage: float,
    sizes: tuple[Size, ...],
    prices: tuple[float, ...],
    rules: Family,
    temperature: float = 75.0,
    material: str = "copper",
) -> WireSaving:
    """Losses ``2 L I² r`` and the price of each further watt saved. Prices in any money.

    Raises ``CannotCalculate`` where the lists differ in length or the sizes do not rise.
    """
    if len(sizes) != len(prices):
        raise CannotCalculate("prices", f"{len(prices)} prices", f"{len(sizes)}, one for each size")
    if any(a.area_mm2 >= b.area_mm2 for a, b in pairwise(sizes)):
        raise CannotCalculate("sizes", ", ".join(each.text for each in sizes), "sizes from small to large")
    losses = tuple(
        voltage_drop(
            length=length,
            current=current,
            voltage=voltage,
            size=each,
            rules=rules,
            temperature=temperature,
            material=material,
        ).loss
        for each in sizes
    )
    steps = zip(prices, prices[1:], losses, losses[1:], strict=False)
    return WireSaving(losses, tuple((p2 - p1) / (l1 - l2) for p1, p2, l1, l2 in steps))
