"""The device of a circuit in the air about it, hot or thin: the one in hand, or the rating chosen."""

from __future__ import annotations

from engine.design import Circuit, Site
from engine.physics.altitude import MADE_FOR, altitude_clearance
from engine.physics.device_heat import RATED_AT, device_in_heat
from engine.sections.notes import Notes, field
from engine.tables import OutsideTable
from engine.worksheet import work


def in_heat(site: Site, record: Circuit, rating: float | None, kind: str, notes: Notes) -> None:
    """Keep the worked step ``device_heat``: what the device carries in the hottest air about it.

    Where nobody has said how hot its box gets, the air of the hottest day counts, out of the sun. What is
    missing for it is noted.
    """
    ambient = record.device_ambient
    if ambient is None and notes.ask("site", site, "design_high"):
        ambient = site.design_high
    if rating is None or ambient is None:
        return
    given = {"rating": rating, "ambient": max(float(ambient), RATED_AT), "kind": kind}
    try:
        notes.steps["device_heat"] = work(device_in_heat, **given)
    except OutsideTable:
        notes.lack(field(f"circuits.{record.id}", record, "device_ambient"))


def in_thin_air(site: Site, notes: Notes) -> None:
    """Keep the worked step ``altitude`` where the place is higher than devices are made for."""
    if site.elevation is not None and site.elevation > MADE_FOR:
        notes.keep("altitude", altitude_clearance, elevation=float(site.elevation))
