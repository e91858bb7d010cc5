"""What a person does to the pieces of the system by menu or on the line; each is one step to undo."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.views.line import ADDABLE
from engine import edit, module_table
from engine.design import KEYED, Array
from engine.problems import Problems

if TYPE_CHECKING:
    from app.window import Window

ADDED = ADDABLE


def add(window: Window, table: str) -> None:
    """Add a record to a table and open it; an array comes with a module and a controller of its own."""
    session = window.session
    if table == "arrays":
        design, array = edit.add(session.design, "arrays", "Array")
        design, module = edit.add(design, "modules", "Module")
        design, controller = edit.add(design, "controllers", "Controller")
        texts = {f"arrays.{array}.module": module, f"arrays.{array}.controller": controller}
        session.replace(edit.set_fields(design, texts), "add an array")
        path = f"arrays.{array}"
    else:
        path = session.add(table)
    window.go_to(path)


def remove_selected(window: Window) -> None:
    """Remove the selected piece with what belongs to it; undo brings it back."""
    path = window.session.selected
    table, _, id = path.partition(".")
    if table not in KEYED or table == "circuits" or window.session.design.find(table, id) is None:
        window.say("Nothing to remove: select a piece on the line first.")
        return
    along = edit.goes_along(window.session.design, path)
    window.session.remove(path)
    told = f" With it went {', '.join(along)}." if along else ""
    window.say(f"Removed {path}.{told} Undo brings it back.")


def find_module(window: Window, array: str) -> None:
    """Ask for a module of the open table and put its data into an array's module."""
    from app.dialogs.module_finder import ModuleFinder

    dialog = ModuleFinder(window)
    if dialog.exec() and dialog.chosen is not None:
        take_module(window, array, dialog.chosen)


def take_module(window: Window, path: str, row: module_table.Row) -> None:
    """Put a row of the open table into the module of an array, one of its own where it shared one.

    What the table does not hold is emptied: the old module's largest fuse says nothing about another module.
    """
    design = window.session.design
    array = design.find("arrays", path.partition(".")[2])
    if not isinstance(array, Array):
        return
    id = array.module
    if id is None or any(other.module == id for other in design.arrays if other is not array):
        design, id = edit.add(design, "modules")
        design = edit.set_fields(design, {f"{path}.module": id})
    texts = module_table.texts(row)
    every = {f"modules.{id}.{name}": texts.get(name, "") for name in KEYED["modules"].specs()}
    try:
        window.session.replace(edit.set_fields(design, every), "take a module")
    except Problems as error:
        window.say(f"This module was not taken: {error}")
