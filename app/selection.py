"""Which array a selected piece belongs to, so that it is shown with its array or by itself."""

from __future__ import annotations

from engine.design import Design


def array_of(design: Design, path: str) -> str:
    """The id of the array that a piece belongs to: the first that has it as module, controller, circuit or
    device; empty where it belongs to none."""
    table, _, id = path.partition(".")
    for array in design.arrays:
        circuits = (f"{array.id}-string", f"{array.id}-run", f"{array.controller}-battery")
        own = {
            "arrays": (array.id,),
            "controllers": (array.controller,),
            "modules": (array.module,),
            "circuits": circuits,
            "devices": tuple(design.circuit(circuit).device for circuit in circuits),
        }
        if id and id in own.get(table, ()):
            return array.id
    return ""
