"""The heat of a fault: whether a conductor stands it until the device has broken the circuit."""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

from engine.physics.ampacity import insulation_input
from engine.sizes import Size
from engine.sources import Source
from engine.tables import OutsideTable, table
from engine.worksheet import CannotCalculate, Output, quantity, size, word, worksheet

EXACT = 1e-9  # a limit met to within this, relative, is met
COMPOUNDS = ("thermoplastic", "thermosetting")


class FaultWithstand(NamedTuple):
    """Whether the size stands the fault, the least area, k and the size's own area [mm², A√s/mm², mm²]."""

    withstands: bool
    minimum_area: float
    k: float
    area: float


@worksheet(
    id="fault-withstand",
    subject="Wire",
    title="Whether a conductor stands the heat of a fault",
    inputs=(
        size("size", "conductor size", "35 mm2"),
        word("material", "conductor material", ("copper", "aluminium"), "copper"),
        insulation_input(),
        word("compound", "insulation: PVC is thermoplastic, XLPE and EPR thermosetting", COMPOUNDS, None),
        quantity("fault_current", "A", "fault current", "4 kA", above=0, symbol="I"),
        quantity("time", "s", "time until it is broken", "0.4 s", above=0, high=5, symbol="t"),
        word("role", "a live conductor, or a separate earthing conductor", ("live", "earthing"), "live"),
    ),
    outputs=(
        Output("withstands", "stands it"),
        Output("minimum_area", "least area", "mm^2", "S_min"),
        Output("k", "factor k, A·√s/mm²", "1", "k"),
        Output("area", "area of the size", "mm^2", "S"),
    ),
    expression=(
        "k = the table (role, material, insulation, area)",
        "minimum_area = fault_current * sqrt(time) / k",
        "withstands = area not below minimum_area",
    ),
    source=Source(
        "IEC 60364-4-43; IEC 60364-5-54", "IEC", "2023; 2011", "434.5.2, Table 43A; 543.1.2, Table A.54.2"
    ),
    validity="up to 5 s, no heat leaves the conductor; below 0.1 s the device's let-through energy counts. "
    "Insulation of 90 degC is taken as thermosetting, cooler as thermoplastic: name the compound of a "
    "thermoplastic one of 90 degC, as many wires for buildings have, which stands less. An earthing "
    "conductor within a cable or bunched with others counts as live.",
)
def fault_withstand(
    *,
    size: Size,
    insulation: float,
    fault_current: float,
    time: float,
    material: str = "copper",
    role: str = "live",
    compound: str | None = None,
) -> FaultWithstand:
    """The adiabatic rule ``S = I sqrt(t) / k``.

    ``insulation`` [degC], whose next hotter row counts, ``fault_current`` [A], ``time`` up to 5 [s]. Returns
    [yes, mm², A√s/mm², mm²]. Raises ``CannotCalculate`` for an insulation hotter than the table.

    >>> from engine.sizes import parse_size
    >>> fault_withstand(size=parse_size("35 mm2"), insulation=70, fault_current=4000, time=0.4).k
    115.0

    Source: IEC 60364-4-43, 434.5.2 and Table 43A; IEC 60364-5-54, 543.1.2 and Table A.54.2.
    """
    held = compound or (COMPOUNDS[1] if insulation >= 90 else COMPOUNDS[0])
    k = _k(role, material, held, insulation, size)
    least = fault_current * math.sqrt(time) / k
    return FaultWithstand(least <= size.area_mm2 * (1 + EXACT), least, k, size.area_mm2)


def _k(role: str, material: str, compound: str, insulation: float, size: Size) -> float:
    rows = _rows(role, material, compound)
    hottest = max(temperature for temperature, _, _ in rows)
    if insulation > hottest:
        raise CannotCalculate("insulation", f"{insulation:g} degC", f"{hottest:g} degC or less")
    for temperature, area, k in rows:
        if insulation <= temperature and size.area_mm2 <= area:
            return k
    raise OutsideTable("adiabatic_k", "area_to_mm2", size.text, f"up to {rows[-1][1]:g} mm2")


@cache
def _rows(role: str, material: str, compound: str) -> tuple[tuple[float, float, float], ...]:
    """Insulation temperature, area and k, coolest and smallest first."""
    wanted = (role, material, compound)
    return tuple(
        sorted(
            (float(str(row["insulation_C"])), float(str(row["area_to_mm2"])), float(str(row["k"])))
            for row in table("adiabatic_k").rows()
            if (row["role"], row["material"], row["compound"]) == wanted
        )
    )
