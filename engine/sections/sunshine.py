"""The sun of the months at the site: what was entered, else the coarse default for its place."""

from __future__ import annotations

from functools import lru_cache
from typing import NamedTuple

from engine.design import Site
from engine.physics.sun import extraterrestrial_day
from engine.physics.tilted import CLEAREST, JOULES, average_day
from engine.sections.notes import field
from engine.sections.results import Assumed
from engine.tables import OutsideTable, table
from engine.tables.sunshine import NAME, default_sun
from engine.units import show


class Sunshine(NamedTuple):
    """A mean day of each month on level ground [Wh/m^2], January first; ``assumed`` where none is entered."""

    months: tuple[float, ...]
    assumed: Assumed | None = None


def sunshine(site: Site) -> Sunshine | None:
    """The sun of the months; ``None`` where none is entered and the grid has none for the place.

    The default counts for energy only, and never for more than the clearest sky gives there.
    """
    if site.sun is not None:
        return Sunshine(tuple(float(each) for each in site.sun))
    if site.latitude is None or site.longitude is None:
        return None
    months = _default(float(site.latitude), float(site.longitude))
    if months is None:
        return None
    blame = field("site", site, "sun")
    low, high = (show(end(months), "Wh/m^2", digits=3) for end in (min, max))
    text = f"{low} to {high} (coarse default, 3 degree grid)"
    return Sunshine(months, Assumed(blame.path, blame.title, text, why()))


def why() -> str:
    """What the default is, its source, and how far off it was found, in words."""
    return (
        f"coarse default of a 3 degree grid, {table(NAME).source.publisher.partition(' (')[0]}; against five"
        " typical years 1 to 13 % low over the year, single months up to 25 % high"
    )


@lru_cache(maxsize=64)
def _default(latitude: float, longitude: float) -> tuple[float, ...] | None:
    try:
        found = default_sun(latitude, longitude)
    except OutsideTable:
        return None
    above = (
        CLEAREST * extraterrestrial_day(latitude, average_day(month + 1)).energy / JOULES
        for month in range(12)
    )
    return tuple(map(min, found, above))
