"""Which source a selected piece belongs to, so that it is shown with its source or by itself."""

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


def wind_of(design: Design, path: str) -> str:
    """The id of the wind turbine that a piece is, or whose controller it is where no array has that."""
    table, _, id = path.partition(".")
    if table == "wind" and (not id or design.find("wind", id) is not None):
        return id or next((turbine.id for turbine in design.wind), "")
    if table != "controllers" or array_of(design, path):
        return ""
    return next((turbine.id for turbine in design.wind if turbine.controller == id), "")


def hydro_of(design: Design, path: str) -> str:
    """The id of the hydro turbine that a piece is, or whose controller it is where no other has that."""
    table, _, id = path.partition(".")
    if table == "hydro" and (not id or design.find("hydro", id) is not None):
        return id or next((turbine.id for turbine in design.hydro), "")
    if table != "controllers" or array_of(design, path) or wind_of(design, path):
        return ""
    return next((turbine.id for turbine in design.hydro if turbine.controller == id), "")


def source_of(design: Design, table: str, path: str) -> str:
    """The id of the source of a table (arrays, wind or hydro) that a piece belongs to; empty for none."""
    return {"arrays": array_of, "wind": wind_of, "hydro": hydro_of}[table](design, path)
