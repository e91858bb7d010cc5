"""Usual loads to begin a load table with: generic kinds, each a record to edit. The nameplate decides."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from engine import edit
from engine.design import Design
from engine.tables import Cell, table


@dataclass(frozen=True, slots=True)
class UsualLoad:
    """One kind of load: its name, its group in a list, and what its fields would be typed as."""

    name: str
    group: str
    texts: tuple[tuple[str, str], ...]


@cache
def usual_loads() -> tuple[UsualLoad, ...]:
    """Every usual load, those of a group together."""
    return tuple(_read(row) for row in table("usual_loads").rows())


def add_usual(design: Design, load: UsualLoad) -> tuple[Design, str]:
    """Add a load with its usual figures; the new design and the path of the record."""
    after, id = edit.add(design, "loads", load.name)
    path = f"loads.{id}"
    return edit.set_fields(after, {f"{path}.{name}": text for name, text in load.texts}), path


def _read(row: dict[str, Cell]) -> UsualLoad:
    texts = {"power": f"{row['power_W']:g} W", "kind": str(row["kind"]), "hours": f"{row['hours_h']:g} h"}
    if row["days_a_week"] != 7:
        texts["days_a_week"] = f"{row['days_a_week']:g}"
    texts["surge_factor"] = f"{row['surge_factor']:g}"
    if row["standby_W"]:
        texts["standby"] = f"{row['standby_W']:g} W"
    if row["starts_h"] is not None:
        texts["starts"] = f"{row['starts_h']:g} h"
    if texts["kind"] == "ac":
        del texts["kind"]
    return UsualLoad(str(row["name"]), str(row["group"]), tuple(texts.items()))
