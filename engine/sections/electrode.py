"""The conductor to the earth electrode: one for the dc and the ac system together, the larger of the two."""

from __future__ import annotations

from collections.abc import Mapping

from engine.design import Design
from engine.physics.earthing import electrode_conductor
from engine.physics.wire import power_sizes
from engine.sections.results import CircuitResult
from engine.sizes import Size
from engine.tables import OutsideTable
from engine.tables.family import Family
from engine.worksheet import Worked, work

SUPPLIES = {"dc": ("bank", "inverter", "output", "panel"), "ac": ("ac", "generator")}


def electrode(
    design: Design, family: Family, circuits: Mapping[str, CircuitResult]
) -> tuple[Worked, ...] | None:
    """The least electrode conductor of each system that is there, the largest first.

    ``None`` where no supply conductor is known, where a supply is beyond the table, or where there is no
    electrode.
    """
    kind = design.site.electrode
    if kind in (None, "none"):
        return None
    found = []
    for system, kinds in SUPPLIES.items():
        sizes = [_together(family, each) for each in circuits.values() if each.kind in kinds]
        known = [size for size in sizes if size is not None]
        if len(known) < len(sizes):
            return None
        if known:
            given = {"electrode": kind, "system": system, "rules": family}
            try:
                found.append(work(electrode_conductor, size=max(known), **given))
            except OutsideTable:
                return None
    return tuple(sorted(found, key=lambda worked: worked.result.size, reverse=True)) or None


def _together(family: Family, circuit: CircuitResult) -> Size | None:
    """All parallel conductors of a pole as one: the next standard size; ``None`` beyond the largest."""
    size = circuit.conductor
    if size is None or circuit.parallel == 1:
        return size
    area = size.area_mm2 * circuit.parallel
    return next((each for each in power_sizes(family) if each.area_mm2 >= area * (1 - 1e-9)), None)
