"""The page that compares designs, opened from the window, and the way from its rows to fields."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.panes import PLACES
from engine import edit
from engine.design import KEYED, SINGLE

if TYPE_CHECKING:
    from app.dialogs.compare import CompareDialog
    from app.window import Window


def open_page(window: Window) -> CompareDialog:
    """Open the page beside the window, or bring it to the front."""
    from app.dialogs.compare import CompareDialog

    page = window.findChild(CompareDialog)
    if page is None:
        page = CompareDialog(window.session, window.look, window)
        page.asked.connect(lambda path: go_to(window, path))
    page.view.set_look(window.look)
    page.show()
    page.activateWindow()
    return page


def go_to(window: Window, path: str) -> None:
    """Go to a place, a field or a piece; what only the other design has can't be gone to, and it is said."""
    if path in dict(PLACES):
        window.show_place(path)
    elif _stands(window, path):
        window.activateWindow()
        window.go_to(path)
    else:
        window.say("Only the other design has that.")


def _stands(window: Window, path: str) -> bool:
    """Whether the design in hand has the record that a path names, or whose field it names."""
    table, *rest = path.split(".")
    if table == "circuits":
        return rest[0] in window.session.evaluation.circuits
    if table in KEYED:
        return bool(rest) and edit.record_of(window.session.design, f"{table}.{rest[0]}") is not None
    return table in SINGLE or not rest
