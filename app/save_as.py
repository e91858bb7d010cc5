"""Saving what a pane shows to a file that a person names, beside the site's own."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QFileDialog, QWidget

KINDS = {".csv": "Comma-separated values (*.csv)", ".pdf": "PDF (*.pdf)"}


def save_as(
    parent: QWidget, site: Path | None, what: str, title: str, ending: str, write: Callable[[Path], object]
) -> str | None:
    """Ask for a file and write it: what could not be written, empty where all is well, ``None`` where nobody
    named a file. ``what`` ends the name that is offered."""
    first = f"{site.stem if site else 'site'}_{what}{ending}"
    name, _ = QFileDialog.getSaveFileName(
        parent, title, str(site.with_name(first)) if site else first, KINDS[ending]
    )
    if not name:
        return None
    path = Path(name if Path(name).suffix else name + ending)
    try:
        write(path)
    except OSError as error:
        return f"Not saved: {path.name}: {error.strerror}. Choose another place."
    return ""
