"""The cautions that stand beside the work, by the place that they stand at."""

from __future__ import annotations

import tomllib
from functools import cache

from app.places import assets
from engine.finding import Signal


@cache
def cautions() -> dict[str, tuple[Signal, str]]:
    """The cautions by the place they stand at; each ends by saying who decides."""
    data = tomllib.loads((assets() / "cautions.toml").read_text("utf-8"))
    defers = data.pop("defers")
    return {place: (Signal[item["signal"]], f"{item['text']} {defers}") for place, item in data.items()}
