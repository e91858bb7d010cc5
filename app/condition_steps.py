"""The table of condition steps, as the strip offers them and ``farstead picture`` takes them."""

from __future__ import annotations

import tomllib
from functools import cache

from app.places import assets
from engine.sections.condition_steps import UNITS, Step


@cache
def steps() -> tuple[Step, ...]:
    """Every step, in the order of its key."""
    data = tomllib.loads((assets() / "condition_steps.toml").read_text("utf-8"))
    return tuple(
        Step(
            id,
            item["title"],
            item["for"],
            item["why"],
            {name: item[name] for name in UNITS if name in item},
        )
        for id, item in data.items()
    )


def key_of(id: str) -> str:
    """The key of a step, the same in every design."""
    return f"Alt+{[step.id for step in steps()].index(id) + 1}"
