"""Earthing and bonding: the equipment earthing conductor of a circuit, and the electrode's conductor."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from engine.physics.wire import power_sizes
from engine.sizes import Size, parse_size
from engine.sources import Source
from engine.tables import OutsideTable, table
from engine.tables.family import Family
from engine.worksheet import CannotCalculate, Output, quantity, size, word, worksheet
from engine.worksheet import family as family_input

ELECTRODES = ("rod", "pipe", "plate", "concrete-encased", "water-pipe", "structural-steel", "ring")
# NEC 250.66(A) and (B), 250.166(C) and (D) (from memory): an electrode's own conductor need not be larger.
CAPS = {"rod": "6 AWG", "pipe": "6 AWG", "plate": "6 AWG", "concrete-encased": "4 AWG"}
LEAST_DC = "8 AWG"  # NEC 250.166(A) and (B), copper (from memory)
LEAST_IEC = "16 mm2"  # IEC 60364-5-54, 542.3.1 (from memory): copper where lightning current may flow


class EarthingConductor(NamedTuple):
    """The least equipment earthing (protective) conductor."""

    size: Size


@worksheet(
    id="earthing-conductor",
    subject="Devices and earthing",
    title="Equipment earthing conductor of a circuit",
    inputs=(
        quantity(
            "device", "A", "overcurrent device (or the assumed one)", "300 A", None, above=0, symbol="I_n"
        ),
        word("material", "conductor material", ("copper", "aluminium"), "copper"),
        size("baseline_size", "circuit conductor that ampacity alone asks for", "250 kcmil", None),
        size("circuit_size", "circuit conductor chosen", "350 kcmil", None),
        word("kind", "kind of circuit", ("other", "pv"), "other"),
        family_input(),
    ),
    outputs=(Output("size", "least earthing conductor"),),
    expression=(
        "size = row of Table 250.122 for the device, grown with the circuit (iec: by the circuit's area)",
    ),
    source=Source(
        "NFPA 70, National Electrical Code; IEC 60364-5-54",
        "National Fire Protection Association; IEC",
        "2017 to 2023; 2011",
        "250.122(A) and (B), 690.45; 543.1, Table 54.2",
    ),
    validity="no increase for drop alone on PV circuits (690.45); never larger than the circuit conductor",
)
def earthing_conductor(
    *,
    rules: Family,
    device: float | None = None,
    material: str = "copper",
    baseline_size: Size | None = None,
    circuit_size: Size | None = None,
    kind: str = "other",
) -> EarthingConductor:
    """NEC Table 250.122, increased in proportion of circular mils; IEC by the circuit's area.

    ``device`` [A] is needed under NEC, ``circuit_size`` under IEC: ``CannotCalculate`` where it is missing.
    """
    if rules.sizes == "mm2":
        return EarthingConductor(_iec(rules, circuit_size))
    if device is None:
        raise CannotCalculate("device", "nothing", "the rating of the overcurrent device")
    least = _nec_row(rules.tables["earthing"], device, material)
    if kind == "other" and baseline_size is not None and circuit_size is not None:
        growth = circuit_size.area_mm2 / baseline_size.area_mm2
        if growth > 1 + 1e-9:
            least = _next_awg(rules, least.area_mm2 * growth)
    if circuit_size is not None and circuit_size.area_mm2 < least.area_mm2:
        least = circuit_size
    return EarthingConductor(least)


def _nec_row(name: str, device: float, material: str) -> Size:
    for limit, text in _nec_rows(name, material):
        if device <= limit * (1 + 1e-9):
            return text
    raise OutsideTable(name, "ocpd_not_exceeding_A", f"{device:g}", "up to 6000 A")


@cache
def _nec_rows(name: str, material: str) -> tuple[tuple[float, Size], ...]:
    rows = table(name).rows()
    return tuple((float(str(row["ocpd_not_exceeding_A"])), parse_size(str(row[material]))) for row in rows)


def _next_awg(rules: Family, area_mm2: float) -> Size:
    sizes = power_sizes(rules)
    for each in sizes:
        if each.area_mm2 >= area_mm2 * (1 - 1e-9):
            return each
    raise OutsideTable(rules.tables["resistance"], "size", f"{area_mm2:.0f} mm2", f"up to {sizes[-1].text}")


def _iec(rules: Family, circuit: Size | None) -> Size:
    """IEC 60364-5-54, Table 54.2: S up to 16 mm2, 16 up to 35, half above; the next standard size."""
    if circuit is None:
        raise CannotCalculate("circuit_size", "nothing", "the size of the circuit's conductor")
    area = circuit.area_mm2
    wanted = area if area <= 16 else 16.0 if area <= 35 else area / 2
    for each in power_sizes(rules):
        if each.area_mm2 >= wanted * (1 - 1e-9):
            return each
    raise OutsideTable(rules.tables["resistance"], "size", f"{wanted:g} mm2", "up to 400 mm2")


class ElectrodeConductor(NamedTuple):
    """The least conductor to the earth electrode."""

    size: Size


@worksheet(
    id="electrode-conductor",
    subject="Devices and earthing",
    title="Copper conductor to the earth electrode",
    inputs=(
        size("size", "largest supply conductor (parallel ones: their area together)", "500 kcmil"),
        word("material", "material of that conductor", ("copper", "aluminium"), "copper"),
        word("electrode", "electrode", ELECTRODES, "water-pipe", "rod"),
        word("system", "ac or dc system", ("ac", "dc"), "dc"),
        family_input(),
    ),
    outputs=(Output("size", "least electrode conductor, copper"),),
    expression=(
        "size = row of Table 250.66 (dc: the supply conductor, 8 AWG at least), to the electrode's cap",
    ),
    source=Source(
        "NFPA 70, National Electrical Code; IEC 60364-5-54",
        "National Fire Protection Association; IEC",
        "2017 to 2023; 2011",
        "250.66, 250.166; 542.3.1",
    ),
    validity="iec: 16 mm2, where lightning current may flow; caps hold for a sole connection",
)
def electrode_conductor(
    *, size: Size, rules: Family, material: str = "copper", electrode: str = "water-pipe", system: str = "dc"
) -> ElectrodeConductor:
    """NEC 250.66 (ac) or 250.166 (dc), with the caps of the electrodes that have one."""
    if rules.sizes == "mm2":
        return ElectrodeConductor(parse_size(LEAST_IEC))
    if system == "dc":
        least = max(size, parse_size(LEAST_DC), key=lambda each: each.area_mm2)
    else:
        least = _row_250_66(rules.tables["electrode"], size, material)
    cap = CAPS.get(electrode)
    if cap is not None:
        least = min(least, parse_size(cap), key=lambda each: each.area_mm2)
    return ElectrodeConductor(least)


def _row_250_66(name: str, supply: Size, material: str) -> Size:
    column = "cu_to" if material == "copper" else "al_to"
    for row in table(name).rows():
        if supply.area_mm2 <= parse_size(str(row[column])).area_mm2 * (1 + 1e-9):
            return parse_size(str(row["gec_cu"]))
    raise OutsideTable(name, column, supply.text, "up to 2000 kcmil")
