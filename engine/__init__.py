"""The engine's front door: ``load`` a site file, ``evaluate`` the design, ``dump`` it to a file.

Each is imported when it is first used, so that importing the engine costs next to nothing. No module beside
this one may bear one of the three names: importing it would put the module in the function's place.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from engine.codec import load
    from engine.evaluation import evaluate
    from engine.writer import dump

__all__ = ["dump", "evaluate", "load"]

_HOMES = {"load": "engine.codec", "evaluate": "engine.evaluation", "dump": "engine.writer"}


def __getattr__(name: str) -> Any:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(import_module(_HOMES[name]), name)
    globals()[name] = found
    return found
