"""The device of a circuit in the air of its box: the one in hand, or the rating that was chosen."""

from __future__ import annotations

from engine.design import Design, Device
from engine.physics.device_heat import RATED_AT, device_in_heat
from engine.sections.notes import Notes, field
from engine.sections.results import CircuitResult
from engine.tables import OutsideTable
from engine.worksheet import Worked, work


def in_heat(design: Design, circuit: CircuitResult, notes: Notes) -> Worked | None:
    """What the device carries in the hottest air about it; what is missing for that is noted.

    Where nobody has said how hot its box gets, the air of the hottest day counts, out of the sun.
    """
    record = design.circuit(circuit.id)
    device = design.find("devices", record.device)
    held = device if isinstance(device, Device) else None
    rating = circuit.device if held is None else held.current
    if held is not None and held.current is None:
        notes.lack(field(f"devices.{held.id}", held, "current"))
    ambient = record.device_ambient
    if ambient is None:
        ambient = design.site.design_high
        notes.ask("site", design.site, "design_high")
    if rating is None or ambient is None:
        return None
    kind = "fuse" if held is not None and held.kind == "fuse" else "breaker"
    try:
        return work(device_in_heat, rating=float(rating), ambient=max(float(ambient), RATED_AT), kind=kind)
    except OutsideTable:
        notes.lack(field(f"circuits.{circuit.id}", record, "device_ambient"))
        return None
