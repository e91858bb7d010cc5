"""What a conductor carries: the table's value, corrected for heat around it and for company."""

from __future__ import annotations

from functools import cache
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
        "base = table value (size, insulation, material, method)",
        "ampacity = base * ambient_factor * bundling_factor",
    ),
    source=SOURCE,
    validity="NEC: raceway counts up to three conductors in the table itself; iec method B2 unless given. "
    "Between printed ambients the hotter counts.",
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
    """Ampacity ``base k_ambient k_together`` by the family's tables.

    ``insulation`` and ``ambient`` [degC]. Raises ``CannotCalculate`` for what the family has no table for, that
    is an insulation, a method or a material, ``OutsideTable`` for a size or an ambient beyond it.
    """
    laid = method or rules.method
    if laid not in rules.methods:
        raise CannotCalculate("method", f'"{laid}"', f"one of {', '.join(rules.methods)} under {rules.name}")
    return _ampacity(
        rules.name, size.text, float(insulation), material, float(ambient), conductors, circuits, laid
    )


@cache
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
    # In free air the table is for single conductors apart; bundled ones are treated as in a raceway.
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
    held = table(rules.tables["ampacity"])
    base = _iec_rows(held.name).get((float(conductors), insulation, method, size))
    if base is None:
        raise OutsideTable(
            held.name, "size", f"{size}, method {method}", "1.5 mm2 ... 240 mm2 (25 mm2 up for F, G)"
        )
    ground = method == "D1"
    ambients = table(rules.tables["ground" if ground else "ambient"])
    key = "ground_C" if ground else "ambient_C"
    row = at_least(ambients, key, ambient)
    ambient_factor = exact(ambients, key, row, IEC_COLUMNS[insulation])
    groups = table(rules.tables["grouping"])
    bundling = exact(groups, "circuits", at_least(groups, "circuits", float(circuits)), "factor")
    return WireAmpacity(base, ambient_factor, bundling, base * ambient_factor * bundling)


@cache
def _iec_rows(name: str) -> dict[tuple[float, float, str, str], float]:
    return {
        (float(str(r["loaded"])), float(str(r["insulation_C"])), str(r["method"]), str(r["size"])): float(
            str(r["amps"])
        )
        for r in table(name).rows()
    }


def ampacity_sizes(
    rules: Family, material: str, insulation: float, conductors: int, method: str
) -> tuple[Size, ...]:
    """The sizes that the table of a method holds, small to large; empty where it holds none."""
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
    keys = _iec_rows(held.tables["ampacity"])
    return tuple(
        sorted(
            parse_size(name)
            for loaded, temperature, laid, name in keys
            if (loaded, temperature, laid) == (conductors, insulation, method)
        )
    )


def terminal_base(
    rules: Family, size: Size, terminal: float, insulation: float, material: str, method: str
) -> float:
    """What a terminal lets a size carry [A]: the column of its temperature, never above the insulation's own.

    NEC 110.14(C): the columns of Table 310.16, whatever the method. A temperature between columns takes the
    lower one. Raises ``CannotCalculate`` for a terminal colder than the coldest column.
    """
    columns = NEC_COLUMNS if rules.sizes == "awg" else tuple(IEC_COLUMNS)
    fitting = [column for column in columns if column <= min(terminal, insulation) + 1e-9]
    if not fitting:
        raise CannotCalculate("terminal", f"{terminal:g} degC", f"{columns[0]:g} degC or more")
    if rules.sizes == "awg":
        return _nec_base(rules, size.text, max(fitting), material, "raceway")
    held = _iec_rows(rules.tables["ampacity"])
    base = held.get((2.0, max(fitting), method, size.text))
    if base is None:
        raise OutsideTable(rules.tables["ampacity"], "size", size.text, f"a size of method {method}")
    return base
