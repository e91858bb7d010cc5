"""The checklist for the day of commissioning: what only a person on the place can see."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache

from app.places import assets
from engine.design import PIECES, Design
from engine.sources import Source

STAGES = {
    "built": "Before any power",
    "live": "At first power",
    "kept": "Handed over, and each year",
}
"""When a line is due, in the order of the day."""


@dataclass(frozen=True, slots=True)
class Line:
    """One thing to see to: when, about what, and who says so."""

    id: str
    when: str
    about: tuple[str, ...]
    text: str
    source: Source


@cache
def lines() -> tuple[Line, ...]:
    """Every line, in the order of the day."""
    data = tomllib.loads((assets() / "checklist.toml").read_text("utf-8"))
    held = [
        Line(
            id,
            each["when"],
            tuple(each["for"]),
            each["text"],
            Source(each["source"], how=each.get("how", "from memory")),
        )
        for id, each in data.items()
    ]
    return tuple(sorted(held, key=lambda line: list(STAGES).index(line.when)))


def lines_for(design: Design) -> tuple[Line, ...]:
    """The lines that are about something that this design has."""
    there = {
        "sun": bool(design.arrays),
        "wind": bool(design.wind),
        "hydro": bool(design.hydro),
        "battery": design.bank.voltage is not None,
        "ac": bool(design.inverters or design.generators),
        "generator": bool(design.generators),
        "devices": bool(design.devices),
        "circuits": any(getattr(design, table) for table in PIECES),
    }
    return tuple(line for line in lines() if any(there[about] for about in line.about))
