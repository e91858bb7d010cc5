"""Where the files beside the code lie: in the tree, and inside an installed package."""

from __future__ import annotations

from pathlib import Path

HERE = Path(__file__).resolve().parent


def demo_sites() -> Path:
    """The folder of the demo sites, one TOML file each."""
    return _folder("demo_sites")


def assets() -> Path:
    """The folder of the pictures that the window shows."""
    return _folder("assets")


def _folder(name: str) -> Path:
    installed = HERE / name
    return installed if installed.is_dir() else HERE.parent / name
