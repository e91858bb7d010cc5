"""A site far larger than people build, made from our demo sites: 12 arrays, 6 turbines, some 80 circuits."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from app.places import demo_sites
from engine import load
from engine.design import CIRCUIT_ENDS, Circuit, Design, circuit_ids

ARRAYS, TURBINES, DC_LOADS = 12, 3, 10


def large_site() -> Design:
    """Invented: the lake cabin's array and wind turbine and the mountain farm's hydro turbine, over and over,
    each with a controller and circuits of its own, and dc loads to fill a panel."""
    cabin, farm = (load(demo_sites() / f"{name}.toml") for name in ("lake_cabin", "mountain_farm"))
    devices = (*cabin.devices, *(item for item in farm.devices if cabin.find("devices", item.id) is None))
    design = replace(cabin, devices=devices, origin="", arrays=(), wind=(), loads=cabin.loads)
    for number in range(ARRAYS):
        design = _with_source(design, cabin, "arrays", number)
    for number in range(TURBINES):
        design = _with_source(design, cabin, "wind", number)
        design = _with_source(design, farm, "hydro", number)
    lamp = next(item for item in cabin.loads if item.kind == "dc")
    lamps = tuple(replace(lamp, id=f"dc-{number}", label=None) for number in range(DC_LOADS))
    branches = _circuits(cabin, lamp.id, lamps[0].id, "loads")
    whole = replace(design, loads=(*design.loads, *lamps), circuits=(*design.circuits, *branches))
    there = set(circuit_ids(whole))
    return replace(whole, circuits=tuple(item for item in whole.circuits if item.id in there))


def _with_source(design: Design, of: Design, table: str, number: int) -> Design:
    """The design with a copy of the first source of another's table, its controller and their circuits."""
    source: Any = getattr(of, table)[0]
    controller: Any = of.find("controllers", source.controller)
    id, charger = f"{table}-{number}", f"{table}-charger-{number}"
    copy = replace(controller, id=charger, leads=None)
    sources: Any = {table: (*getattr(design, table), replace(source, id=id, controller=charger))}
    return replace(
        design,
        circuits=(
            *design.circuits,
            *_circuits(of, source.id, id, table),
            *_circuits(of, controller.id, charger, "controllers"),
        ),
        controllers=(*design.controllers, copy),
        **sources,
    )


def _circuits(of: Design, old: str, new: str, table: str) -> tuple[Circuit, ...]:
    """What is said of a piece's circuits, as said of those of its copy."""
    return tuple(replace(of.circuit(f"{old}-{end}"), id=f"{new}-{end}") for end in CIRCUIT_ENDS[table])
