"""What a conductor carries: the table's value, corrected for heat around it and for company."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import NamedTuple

from engine.sizes import Size, parse_size
from engine.sources import Source
from engine.tables import OutsideTable, table
from engine.tables.family import Family, family
from engine.tables.lookup import at_least, band, exact
from engine.worksheet import CannotCalculate, Input, Output, count, quantity, size, word, worksheet
from engine.worksheet import family as family_input

SOURCE = Source(
    "NFPA 70, National Electrical Code; IEC 60364-5-52, Wiring systems",
    "National Fire Protection Association; IEC",
    "2011 to 2023; 2009",
    "310.16, 310.17, 310.15(B) and (C); Tables B.52.2 to B.52.17",
)
METHODS = ("raceway", "free-air", "A1", "A2", "B1", "B2", "C", "D1", "E", "F", "G")
NEC_COLUMNS = (60.0, 75.0, 90.0)
IEC_COLUMNS = {70.0: "pvc70", 90.0: "xlpe90"}


def insulation_input() -> Input:
    """The temperature class of the insulation."""
    return quantity("insulation", "degC", "insulation temperature", "90 degC", low=50, high=150)


def place_inputs() -> tuple[Input, ...]:
    """Where and with whom a conductor lies."""
    return (
        quantity(
            "ambient", "degC", "hottest air (ground for D1) about it", "45 degC", 30.0, low=-60, high=90
        ),
        count("conductors", "current-carrying conductors together (iec: 2 or 3 loaded)", "2", 2, high=200),
        count("circuits", "circuits grouped (iec)", "1", 1, high=20),
        word("method", "how it is laid", METHODS, None, "raceway"),
    )


class WireAmpacity(NamedTuple):
    """Table value [A], factors, and what is left [A]."""

    base: float
    ambient_factor: float
    bundling_factor: float
    ampacity: float


@worksheet(
    id="wire-ampacity",
    subject="Wire",
    title="Ampacity of a conductor, corrected for ambient and for conductors together",
    inputs=(
        size("size", "conductor size"),
        insulation_input(),
        word("material", "conductor material", ("copper", "aluminium"), "copper"),
        *place_inputs(),
        family_input(),
    ),
    outputs=(
        Output("base", "table value", "A", "I_base"),
        Output("ambient_factor", "ambient factor", "1", "k_ambient"),
        Output("bundling_factor", "factor for conductors together", "1", "k_together"),
        Output("ampacity", "ampacity", "A", "I_z"),
    ),
    expression=(
        "base = the table (size, material, insulation)",
        "ambient_factor = factor table (ambient, insulation), the hotter row between two",
        "bundling_factor = factor table (conductors, circuits)",
        "ampacity = base * ambient_factor * bundling_factor",
    ),
    source=SOURCE,
    validity="NEC: insulation of 60, 75 or 90 degC, in a raceway unless given. IEC: 70 (PVC) or 90 degC "
    "(XLPE, EPR), method B2 unless given, air colder than 10 degC counts as 10 degC, grouped circuits count "
    "as bunched, the strictest. Both poles of a dc circuit count. Terminals and devices are other questions.",
)
def wire_ampacity(
    *,
    size: Size,
    insulation: float,
    rules: Family,
    material: str = "copper",
    ambient: float = 30.0,
    conductors: int = 2,
    circuits: int = 1,
    method: str | None = None,
) -> WireAmpacity:
    """Ampacity ``base k_ambient k_together`` by the family's tables; nothing between rows is interpolated.

    ``insulation`` and ``ambient`` [degC], of the ground for method D1. ``conductors``: under NEC all that
    carry current in the raceway, under IEC 2 or 3 loaded, whose company is told by ``circuits``. Returns
    [A, 1, 1, A]. Raises ``CannotCalculate`` for what the family has no table for, that is an insulation, a
    method, a material or a count, ``OutsideTable`` for a size or an ambient beyond it.

    >>> hot = wire_ampacity(size=parse_size("10 AWG"), insulation=90, ambient=45, rules=family("nec-2023"))
    >>> hot.base, hot.ambient_factor, round(hot.ampacity, 1)
    (40.0, 0.87, 34.8)

    Source: NFPA 70, 310.15 with Tables 310.16 and 310.17; IEC 60364-5-52, Annex B.
    """
    laid = method_of(rules, method)
    return _ampacity(
        rules.name, size.text, float(insulation), material, float(ambient), conductors, circuits, laid
    )


def method_of(rules: Family, method: str | None) -> str:
    """The method as given, else the family's own; raises ``CannotCalculate`` for another family's."""
    laid = method or rules.method
    if laid not in rules.methods:
        raise CannotCalculate("method", f'"{laid}"', f"one of {', '.join(rules.methods)} under {rules.name}")
    return laid


@lru_cache(maxsize=4096)
def _ampacity(
    rules: str,
    size: str,
    insulation: float,
    material: str,
    ambient: float,
    conductors: int,
    circuits: int,
    method: str,
) -> WireAmpacity:
    held = family(rules)
    if held.sizes == "awg":
        if circuits != 1:
            need = f"1 under {rules}: count all that carry current in `conductors`"
            raise CannotCalculate("circuits", str(circuits), need)
        return _nec(held, size, insulation, material, ambient, conductors, method)
    return _iec(held, size, insulation, material, ambient, conductors, circuits, method)


def _nec(
    rules: Family, size: str, insulation: float, material: str, ambient: float, conductors: int, method: str
) -> WireAmpacity:
    if insulation not in NEC_COLUMNS:
        raise CannotCalculate("insulation", f"{insulation:g} degC", "60, 75 or 90 degC")
    base = _nec_base(rules, size, insulation, material, method)
    column = f"factor_{insulation:.0f}C"
    ambients, together = table(rules.tables["ambient"]), table(rules.tables["grouping"])
    ambient_factor = band(ambients, "ambient_from_C", "ambient_to_C", max(ambient, -100.0), column)
    # In free air the table is for single conductors; more than three together are derated as in a raceway.
    bundling = band(together, "ccc_from", "ccc_to", float(conductors), "percent") / 100
    return WireAmpacity(base, ambient_factor, bundling, base * ambient_factor * bundling)


def _nec_base(rules: Family, size: str, insulation: float, material: str, method: str) -> float:
    held = table(rules.tables[method])
    column = f"{'cu' if material == 'copper' else 'al'}_{insulation:.0f}C_A"
    if column not in held.columns:
        raise CannotCalculate("material", material, f"copper: {held.name} holds no {material} here")
    return exact(held, "size", size, column)


def _iec(
    rules: Family,
    size: str,
    insulation: float,
    material: str,
    ambient: float,
    conductors: int,
    circuits: int,
    method: str,
) -> WireAmpacity:
    if insulation not in IEC_COLUMNS:
        raise CannotCalculate("insulation", f"{insulation:g} degC", "70 degC (PVC) or 90 degC (XLPE, EPR)")
    if material != "copper":
        raise CannotCalculate("material", material, "copper: the tables here hold copper only")
    if conductors not in (2, 3):
        raise CannotCalculate(
            "conductors", str(conductors), "2 or 3 loaded; put other circuits into `circuits`"
        )
    base = _iec_base(rules, conductors, insulation, method, size)
    ground = method == "D1"
    ambients = table(rules.tables["ground" if ground else "ambient"])
    key = "ground_C" if ground else "ambient_C"
    row = at_least(ambients, key, ambient)
    ambient_factor = exact(ambients, key, row, IEC_COLUMNS[insulation])
    groups = table(rules.tables["grouping"])
    bundling = exact(groups, "circuits", at_least(groups, "circuits", float(circuits)), "factor")
    return WireAmpacity(base, ambient_factor, bundling, base * ambient_factor * bundling)


def _iec_base(rules: Family, loaded: int, insulation: float, method: str, size: str) -> float:
    name = rules.tables["ampacity"]
    printed = _iec_printed(name, loaded, insulation, method)
    if size not in printed:
        sizes = list(printed)
        raise OutsideTable(name, "size", size, f"one of {sizes[0]} ... {sizes[-1]} for method {method}")
    return printed[size]


@cache
def _iec_printed(name: str, loaded: int, insulation: float, method: str) -> dict[str, float]:
    """Amps by size; spaced single cores (method G) are printed once for two or three loaded."""
    rows = [
        row for row in table(name).rows() if row["insulation_C"] == insulation and row["method"] == method
    ]
    chosen = [row for row in rows if row["loaded"] == loaded] or rows
    return {str(row["size"]): float(str(row["amps"])) for row in chosen}


def ampacity_sizes(
    rules: Family, material: str, insulation: float, conductors: int, method: str
) -> tuple[Size, ...]:
    """The sizes that the table of a method holds, small to large; empty where it holds none.

    ``conductors`` counts under IEC only: 2 or 3 loaded.
    """
    return _sizes(rules.name, material, float(insulation), conductors, method)


@cache
def _sizes(rules: str, material: str, insulation: float, conductors: int, method: str) -> tuple[Size, ...]:
    held = family(rules)
    if held.sizes == "awg":
        rows = table(held.tables[method])
        column = f"{'cu' if material == 'copper' else 'al'}_{insulation:.0f}C_A"
        if column not in rows.columns:
            return ()
        pairs = zip(rows.column("size"), rows.column(column), strict=True)
        return tuple(sorted(parse_size(str(name)) for name, amps in pairs if amps is not None))
    if material != "copper" or insulation not in IEC_COLUMNS or conductors not in (2, 3):
        return ()
    printed = _iec_printed(held.tables["ampacity"], conductors, insulation, method)
    return tuple(sorted(parse_size(name) for name in printed))


@lru_cache(maxsize=4096)
def terminal_base(
    rules: Family,
    size: Size,
    terminal: float,
    insulation: float,
    material: str,
    method: str,
    loaded: int = 2,
) -> float:
    """What a terminal lets a size carry [A]: the column of its temperature, never above the insulation's own.

    NEC 110.14(C): the columns of Table 310.16, whatever the method. IEC: the method's own table, ``loaded`` 2
    or 3. Ambient and company do not count: a terminal stands in its enclosure. A temperature between columns
    takes the lower one. Raises ``CannotCalculate`` for a terminal colder than the coldest column.
    """
    columns = NEC_COLUMNS if rules.sizes == "awg" else tuple(IEC_COLUMNS)
    fitting = [column for column in columns if column <= min(terminal, insulation) + 1e-9]
    if not fitting:
        raise CannotCalculate("terminal", f"{terminal:g} degC", f"{columns[0]:g} degC or more")
    if rules.sizes == "awg":
        return _nec_base(rules, size.text, max(fitting), material, "raceway")
    return _iec_base(rules, loaded, max(fitting), method, size.text)
