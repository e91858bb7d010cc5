"""Earthing and bonding: the equipment earthing conductor of a circuit, and the electrode's conductor."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from engine.physics.fault import fault_withstand
from engine.physics.wire import power_sizes
from engine.sizes import Size, parse_size
from engine.sources import Source
from engine.tables import OutsideTable, table
from engine.tables.family import Family
from engine.worksheet import CannotCalculate, Output, count, quantity, size, word, worksheet
from engine.worksheet import family as family_input

ELECTRODES = ("rod", "pipe", "plate", "concrete-encased", "water-pipe", "structural-steel", "ring")
EXACT = 1e-9  # a limit met to within this, relative, is met


class EarthingConductor(NamedTuple):
    """The least equipment earthing (protective) conductor, the table's own, and the growth over it.

    ``row`` is ``None`` and ``growth`` 1 under IEC, which goes by the circuit's conductor.
    """

    size: Size
    row: Size | None
    growth: float


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
        count("parallel", "conductors in parallel in each pole", "1", 1, high=8),
        word("kind", "kind of circuit", ("other", "pv"), "other"),
        family_input(),
    ),
    outputs=(
        Output("size", "least earthing conductor"),
        Output("row", "of the table"),
        Output("growth", "growth of the circuit's conductor", "1"),
    ),
    expression=(
        "row = table 250.122 (device, material)",
        "growth = circular mils of circuit_size / circular mils of baseline_size, no less than 1; pv: 1",
        "size = the next standard one from growth times the table's; iec: by the area of a pole",
    ),
    source=Source(
        "NFPA 70, National Electrical Code; IEC 60364-5-54",
        "National Fire Protection Association; IEC",
        "2017 to 2023; 2011",
        "250.122(A) and (B), 690.45; 543.1, Table 54.2",
    ),
    validity="no increase for drop alone on PV circuits (690.45); without a baseline none is counted; not "
    "larger than the conductors of a pole together where they are given. IEC: of the circuit's own metal, "
    "within its cable; apart from it at least 2.5 mm2, or 4 mm2 without protection (from memory).",
)
def earthing_conductor(
    *,
    rules: Family,
    device: float | None = None,
    material: str = "copper",
    baseline_size: Size | None = None,
    circuit_size: Size | None = None,
    parallel: int = 1,
    kind: str = "other",
) -> EarthingConductor:
    """NEC Table 250.122, increased in proportion of the circular mils that Table 8 prints; IEC by the area.

    ``device`` [A] is needed under NEC, ``circuit_size`` under IEC: ``CannotCalculate`` where it is missing.
    ``baseline_size`` is what the circuit would have without regard to voltage drop. Of ``parallel``
    conductors in a pole each is of ``circuit_size``; the earthing conductor is one, sized for them together
    (NEC 250.122(F): full-sized in each raceway).

    >>> from engine.tables.family import family
    >>> grown = earthing_conductor(device=300, baseline_size=parse_size("250 kcmil"),
    ...     circuit_size=parse_size("350 kcmil"), rules=family("nec-2023"))
    >>> grown.row.text, grown.growth, grown.size.text
    ('4 AWG', 1.4, '2 AWG')

    Source: NFPA 70, 250.122 and 690.45; IEC 60364-5-54, 543.1 and Table 54.2.
    """
    if rules.sizes == "mm2":
        return EarthingConductor(_iec(rules, circuit_size, material, parallel), None, 1.0)
    if device is None:
        raise CannotCalculate("device", "nothing", "the rating of the overcurrent device")
    row, growth = _nec_row(rules.tables["earthing"], device, material), 1.0
    if kind == "other" and baseline_size is not None and circuit_size is not None:
        growth = max(1.0, _circular_mils(rules, circuit_size) / _circular_mils(rules, baseline_size))
    least = row if growth <= 1 + EXACT else _next_awg(rules, material, _circular_mils(rules, row) * growth)
    if circuit_size is not None:
        smallest = _nec_rows(rules.tables["earthing"], material)[0][1]
        least = min(least, max(_pole(rules, circuit_size, material, parallel), smallest))
    return EarthingConductor(least, row, growth)


def _nec_row(name: str, device: float, material: str) -> Size:
    for limit, text in _nec_rows(name, material):
        if device <= limit * (1 + EXACT):
            return text
    raise OutsideTable(name, "ocpd_not_exceeding_A", f"{device:g}", "up to 6000 A")


@cache
def _nec_rows(name: str, material: str) -> tuple[tuple[float, Size], ...]:
    rows = table(name).rows()
    return tuple((float(str(row["ocpd_not_exceeding_A"])), parse_size(str(row[material]))) for row in rows)


def _circular_mils(rules: Family, of: Size) -> float:
    """As Chapter 9, Table 8 prints it; a size that it does not hold by its area."""
    return _printed_mils(rules.tables["resistance"]).get(of.text, of.circular_mils)


@cache
def _printed_mils(name: str) -> dict[str, float]:
    held = table(name)
    both = zip(held.column("size"), held.column("area_circular_mils"), strict=True)
    return {str(size): float(str(mils)) for size, mils in both}


def _next_awg(rules: Family, material: str, circular_mils: float) -> Size:
    sizes = power_sizes(rules, material)
    for each in sizes:
        if _circular_mils(rules, each) >= circular_mils * (1 - EXACT):
            return each
    name = rules.tables["resistance"]
    raise OutsideTable(name, "size", f"{circular_mils:.0f} circular mils", f"up to {sizes[-1].text}")


def _pole(rules: Family, circuit: Size, material: str, parallel: int) -> Size:
    """One conductor of no less area than the parallel ones of a pole together, or the largest there is."""
    if parallel == 1:
        return circuit
    sizes, area = power_sizes(rules, material), parallel * circuit.area_mm2
    return next((each for each in sizes if each.area_mm2 >= area * (1 - EXACT)), max(*sizes, circuit))


def _iec(rules: Family, circuit: Size | None, material: str, parallel: int = 1) -> Size:
    """IEC 60364-5-54, Table 54.2: S up to 16 mm2, 16 up to 35, half above; the next standard size."""
    if circuit is None:
        raise CannotCalculate("circuit_size", "nothing", "the size of the circuit's conductor")
    area = parallel * circuit.area_mm2
    wanted = area if area <= 16 else 16.0 if area <= 35 else area / 2
    for each in power_sizes(rules, material):
        if each.area_mm2 >= wanted * (1 - EXACT):
            return each
    raise OutsideTable(rules.tables["resistance"], "size", f"{wanted:g} mm2", "up to 400 mm2")


def heated_earthing(
    rules: Family,
    least: Size,
    circuit: Size,
    material: str,
    fault_current: float,
    time: float,
    parallel: int = 1,
) -> Size:
    """The next size up that stands the heat of a fault, no larger than the conductors of a pole together.

    ``least`` is the table's size, ``fault_current`` [A] flows for ``time`` [s]. Its insulation counts as
    thermoplastic, the stricter.
    """

    def stands(size: Size) -> bool:
        return fault_withstand(
            size=size,
            insulation=70,
            fault_current=fault_current,
            time=time,
            material=material,
            role="earthing",
        ).withstands

    if stands(least):
        return least
    larger = (each for each in power_sizes(rules, material) if least.area_mm2 < each.area_mm2)
    pole = _pole(rules, circuit, material, parallel)
    return min(next((each for each in larger if stands(each)), pole), max(pole, least))


class ElectrodeConductor(NamedTuple):
    """The least copper conductor to the earth electrode, and what it would be without the electrode's cap."""

    size: Size
    uncapped: Size


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
    outputs=(
        Output("size", "least electrode conductor, copper"),
        Output("uncapped", "without the cap of its electrode"),
    ),
    expression=(
        "uncapped = ac: table 250.66; dc: no smaller than the supply conductor; iec: table 54.2",
        "size = uncapped, to the cap of a rod, pipe, plate or concrete-encased one",
    ),
    source=Source(
        "NFPA 70, National Electrical Code; IEC 60364-5-54",
        "National Fire Protection Association; IEC",
        "2017 to 2023; 2011",
        "250.66, 250.166; 542.3.1",
    ),
    validity="caps hold for a conductor that goes to that electrode only; a ring's own conductor (2 AWG at "
    "least) is not counted as a cap. Dc: 8 AWG at least; editions that ask for 3/0 copper at most are not "
    "followed, the stricter answer. IEC: 16 mm2 at least, since lightning current may flow, and no caps.",
)
def electrode_conductor(
    *, size: Size, rules: Family, material: str = "copper", electrode: str = "water-pipe", system: str = "dc"
) -> ElectrodeConductor:
    """NEC 250.66 (ac) or 250.166 (dc), with the caps of the electrodes that have one.

    ``size`` and ``material`` are those of the largest supply conductor. IEC goes by Table 54.2 and no less
    than 16 mm². Raises ``OutsideTable`` for a supply beyond the table.

    >>> from engine.tables.family import family
    >>> electrode_conductor(size=parse_size("4/0 AWG"), electrode="rod", rules=family("nec-2023")).size.text
    '6 AWG'

    Source: NFPA 70, 250.66 and 250.166; IEC 60364-5-54, 542.3.1 (from memory).
    """
    if rules.sizes == "mm2":
        least = max(_iec(rules, size, "copper"), _least_electrode(rules.group))
        return ElectrodeConductor(least, least)
    if system == "dc":
        least = max(size, _least_electrode(rules.group))
    else:
        least = _row_250_66(rules.tables["electrode"], size, material)
    cap = _sizes("nec_250_66_caps", "electrode", "largest").get(electrode)
    return ElectrodeConductor(least if cap is None else min(least, cap), least)


def _least_electrode(group: str) -> Size:
    return _sizes("electrode_least", "rules", "least")[group]


@cache
def _sizes(name: str, key: str, column: str) -> dict[str, Size]:
    return {str(row[key]): parse_size(str(row[column])) for row in table(name).rows()}


def _row_250_66(name: str, supply: Size, material: str) -> Size:
    column = "cu_to" if material == "copper" else "al_to"
    for row in table(name).rows():
        if supply.area_mm2 <= parse_size(str(row[column])).area_mm2 * (1 + EXACT):
            return parse_size(str(row["gec_cu"]))
    raise OutsideTable(name, column, supply.text, "up to 2000 kcmil")
