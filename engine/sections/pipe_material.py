"""What a pipe's material says about it, from the tables: roughness, Hazen and Williams' C, stiffness.

A material is free text. A row counts whose name is that text, or begins with it, or is what the text begins
with; of several the stricter one, that is rougher, or stiffer. The letters printed on a pipe stand for its
plastic (ISO 1043-1, from memory).
"""

from __future__ import annotations

import re

from engine.tables import table

PRINTED = (
    (re.compile(r"(?:pe|hdpe|mdpe|ldpe|pehd|pe-hd)(?:[ -]?(?:rc|x|\d+).*)?"), "polyethylene"),
    (re.compile(r"(?:pvc-?u|upvc|u-pvc)"), "pvc"),
    (re.compile(r"(?:grp|frp|gfk)"), "fibreglass with epoxy"),
)

MAKES = {"steel": "welded steel"}
"""A bare word whose row is of drawn tube: as a penstock it is welded, and that is the rougher."""


def roughness_of(material: str | None) -> float | None:
    """Absolute roughness [mm], the roughest row of the material; ``None`` for a material of no row."""
    asked = (material or "").strip().casefold()
    return _most(MAKES.get(asked, asked), "pipe_roughness", "roughness_mm")


def hazen_of(material: str | None) -> float | None:
    """Hazen and Williams' C [-], the roughest row of the material."""
    found = _rows(material, "hazen_williams_C", "C")
    return min(found, default=None)


def modulus_of(material: str | None) -> float | None:
    """Young's modulus of the wall [Pa], the stiffest row of the material."""
    found = _most(material, "pipe_modulus", "modulus_GPa")
    return None if found is None else found * 1e9


def _most(material: str | None, name: str, column: str) -> float | None:
    return max(_rows(material, name, column), default=None)


def _rows(material: str | None, name: str, column: str) -> list[float]:
    """The numbers of every row that the material names."""
    asked = (material or "").strip().casefold()
    if not asked:
        return []
    asked = next((name for letters, name in PRINTED if letters.fullmatch(asked)), asked)
    rows = [(str(row["material"]).casefold(), row[column]) for row in table(name).rows()]
    exact = [value for key, value in rows if key == asked]
    alike = [value for key, value in rows if key.startswith(asked) or asked.startswith(key)]
    return [float(value) for value in exact or alike if isinstance(value, float)]
