"""Conduit: how much of it conductors may fill, and the trade size that a circuit needs."""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

from engine.sizes import Size
from engine.sources import Source
from engine.tables import OutsideTable, table
from engine.tables.family import Family
from engine.tables.lookup import at_most, exact
from engine.worksheet import CannotCalculate, Output, count, flag, quantity, size, word, worksheet
from engine.worksheet import family as family_input

KINDS = ("PVC 80", "PVC 40", "EMT", "RMC")
COVERINGS = ("THWN-2", "XHHW-2", "RHW-2", "PV wire", "H07V", "H1Z2Z2-K")
INCH = 25.4  # mm
INCHES, MILLIMETRES = "nec_ch9_table4", "iec_conduits"


class ConduitFill(NamedTuple):
    """What lies in it [mm2], the share that it may fill, the inside area for that [mm2], trade size, fill.

    ``conduit`` and ``fill`` are ``None`` where no trade size is wide enough.
    """

    area: float
    share: float
    least: float
    conduit: str | None
    fill: float | None


@worksheet(
    id="conduit-fill",
    subject="Wire",
    title="Conduit for a number of conductors",
    inputs=(
        size("size", "conductor size", "10 AWG"),
        count("conductors", "conductors in the conduit, neutrals too", "4", 2, low=1, high=200),
        word("covering", "kind of insulation (empty: the thickest usual one)", COVERINGS, None, "RHW-2"),
        quantity("diameter", "mm", "outside diameter, if known", "7 mm", None, above=0, high=120, symbol="d"),
        size("earthing", "earthing conductor, if one lies in it", "10 AWG", None),
        flag("earthing_bare", "earthing conductor bare", False),
        word("kind", "kind of conduit, where sizes are in inches", KINDS, "PVC 80"),
        family_input(),
    ),
    outputs=(
        Output("area", "area of all that lies in it", "mm^2", "A"),
        Output("share", "share that may be filled", "%"),
        Output("least", "inside area needed", "mm^2", "A_min"),
        Output("conduit", "trade size"),
        Output("fill", "filled", "%"),
    ),
    expression=(
        "area = conductors times one over its insulation (table, or by diameter), earthing added",
        "share = the table (how many lie in it)",
        "least = area / share",
        "conduit = the smallest usual one from least up (kind)",
    ),
    source=Source(
        "NFPA 70, National Electrical Code; EN 50525-2-31 and EN 50618 for metric cables",
        "National Fire Protection Association; CENELEC",
        "2017 to 2023; 2011, 2014",
        "Chapter 9, Tables 1, 4, 5 and 8",
    ),
    validity="conductors of one size, and one earthing conductor; no nipples. IEC gives no share: 40 %, the "
    "stricter end of common practice, in the narrowest bore of its outside diameter.",
)
def conduit_fill(
    *,
    size: Size,
    rules: Family,
    conductors: int = 2,
    covering: str | None = None,
    diameter: float | None = None,
    earthing: Size | None = None,
    earthing_bare: bool = False,
    kind: str = "PVC 80",
) -> ConduitFill:
    """The least trade size whose share holds the conductors, over their insulation.

    ``diameter`` [mm] of each is the maker's, and goes before the table. A bare earthing conductor counts by
    its metal (Table 8) where that table has it, else as an insulated one. Returns [mm2, 1, mm2, text, 1].
    Raises ``OutsideTable`` for a size without a row, ``CannotCalculate`` for a kind of insulation of another
    family.

    >>> from engine.sizes import parse_size
    >>> from engine.tables.family import family
    >>> ten = parse_size("10 AWG")
    >>> conduit_fill(size=ten, conductors=3, covering="THWN-2", kind="EMT", rules=family("nec-2023")).conduit
    '1/2 in'

    Source: NFPA 70, Chapter 9, Tables 1, 4, 5 and 8 (from memory, Table 8 read); IEC: common practice.
    """
    name = covering or rules.conduit.covering
    one = covered_area(rules, size, name) if diameter is None else math.pi / 4 * diameter**2
    area = conductors * one
    if earthing is not None:
        area += _earthing(rules, earthing, name, earthing_bare)
    share = fill_share(rules, conductors + (earthing is not None))
    least = area / share
    for trade, inside in trade_sizes(rules, kind):
        if inside >= least * (1 - 1e-9):
            return ConduitFill(area, share, least, trade, area / inside)
    return ConduitFill(area, share, least, None, None)


def fill_share(rules: Family, conductors: int) -> float:
    """The share of a conduit that this many conductors may fill, as a fraction."""
    held = table(rules.tables["conduit_fill"])
    return exact(held, "conductors_from", at_most(held, "conductors_from", conductors), "percent") / 100


def covered_area(rules: Family, of: Size, covering: str) -> float:
    """The area of a conductor over its insulation [mm2]."""
    held = table(rules.tables["coverings"])
    if covering not in coverings(rules):
        raise CannotCalculate("covering", covering, f"one of {', '.join(coverings(rules))}")
    printed = exact(held, "size", of.text, covering)
    inches = held.sidecar["columns"][covering]["unit"] == "in^2"
    return printed * INCH**2 if inches else math.pi / 4 * printed**2


@cache
def coverings(rules: Family) -> tuple[str, ...]:
    """The kinds of insulation that a family's table of coverings has."""
    return tuple(name for name in COVERINGS if name in table(rules.tables["coverings"]).columns)


def _earthing(rules: Family, of: Size, covering: str, bare: bool) -> float:
    metal = _bare_areas().get(of.text) if bare and rules.sizes == "awg" else None
    return covered_area(rules, of, covering) if metal is None else metal * INCH**2


@cache
def _bare_areas() -> dict[str, float]:
    """The larger of the areas that Table 8 prints of a size [in2]: the stranded one."""
    found: dict[str, float] = {}
    for row in table("nec_ch9_table8").rows():
        text, area = str(row["size"]), float(str(row["overall_area_in2"]))
        found[text] = max(area, found.get(text, 0.0))
    return found


@cache
def trade_sizes(rules: Family, kind: str) -> tuple[tuple[str, float], ...]:
    """Trade sizes of a kind with their inside areas [mm2], rising."""
    return _inches(kind) if rules.tables["conduits"] == INCHES else _millimetres()


def inside_area(kind: str, trade: str) -> float:
    """The inside area of a trade size, in inches or millimetres [mm2]. Raises ``OutsideTable``."""
    known = dict(_millimetres() if trade.endswith(" mm") else _inches(kind))
    if trade not in known:
        raise OutsideTable(INCHES, "trade_size", trade, f"one of {', '.join(known)} for {kind}")
    return known[trade]


def _inches(kind: str) -> tuple[tuple[str, float], ...]:
    column = f"{kind.replace(' ', '_')}_in2"
    rows = ((str(row["trade_size"]), row[column]) for row in table(INCHES).rows())
    return tuple((trade, area * INCH**2) for trade, area in rows if isinstance(area, float))


def _millimetres() -> tuple[tuple[str, float], ...]:
    rows = ((str(row["trade_size"]), float(str(row["inside_mm"]))) for row in table(MILLIMETRES).rows())
    return tuple((trade, math.pi / 4 * inside**2) for trade, inside in rows)
