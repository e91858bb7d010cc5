"""The window's menus and keys: what each does is one call."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu, QMessageBox

from app import comparing, desk, files, pieces
from app.condition_steps import key_of, steps
from app.help_here import help_here, open_help
from app.look import LOOKS
from app.places import demo_sites

if TYPE_CHECKING:
    from app.window import Window

ABOUT = (
    "<p><b>Farstead</b> lays out off-grid hybrid battery systems and says which rule, which number and which "
    "source decides.</p><p>It is an aid. The authority having jurisdiction, the local code, the makers' "
    "instructions and a licensed person decide. Clauses and tables say where they are from; many are from "
    "memory and have to be checked against the text at hand.</p>"
)

HELP_PAGES = (
    ("How do I…", "how-new-site"),
    ("Glossary", "glossary"),
    ("Cautions", "cautions"),
    ("Sources", "sources"),
)
"""Pages of the help that its menu leads to."""


def make(window: Window, places: tuple[tuple[str, str], ...]) -> tuple[QAction, ...]:
    """Make the menus; every action, for the page of keys."""
    made: list[QAction] = []

    def add(menu: QMenu, text: str, run: Callable[[], object], keys: str = "") -> QAction:
        action = QAction(text, window)
        if keys:
            action.setShortcut(QKeySequence(keys))
        action.triggered.connect(lambda _checked=False: run())
        menu.addAction(action)
        made.append(action)
        return action

    bar, session = window.menuBar(), window.session
    file = bar.addMenu("&File")
    add(file, "New site", lambda: files.new_site(window), "Ctrl+N")
    add(file, "New window", lambda: files.new_window(window), "Ctrl+Shift+N")
    add(file, "Open…", lambda: files.ask_open(window), "Ctrl+O")
    add(file, "Open in a new window…", lambda: files.ask_open_beside(window), "Ctrl+Shift+O")
    examples = file.addMenu("Open an example")
    for path in sorted(demo_sites().glob("*.toml")):
        name = path.stem.replace("_", " ").capitalize()
        add(examples, name, partial(files.open_site, window, path, example=True))
    recent = file.addMenu("Recent")
    recent.setToolTipsVisible(True)
    recent.aboutToShow.connect(lambda: _fill_recent(window, recent))
    add(file, "Save", lambda: files.save(window), "Ctrl+S")
    add(file, "Save as…", lambda: files.save_as(window), "Ctrl+Shift+S")
    file.addSeparator()
    add(file, "Print this page…", lambda: files.print_page(window), "Ctrl+P")
    add(file, "Print one page for the class…", lambda: files.print_class_page(window), "Ctrl+Shift+P")
    file.addSeparator()
    add(file, "Preferences…", lambda: show_preferences(window), "Ctrl+,")
    file.addSeparator()
    add(file, "Close window", window.close, "Ctrl+W")
    add(file, "Quit", desk.close_all, "Ctrl+Q")
    edit = bar.addMenu("&Edit")
    for action, keys in (
        (session.undo_stack.createUndoAction(window, "Undo"), "Ctrl+Z"),
        (session.undo_stack.createRedoAction(window, "Redo"), "Ctrl+Shift+Z"),
    ):
        action.setShortcut(QKeySequence(keys))
        edit.addAction(action)
        made.append(action)
    edit.addSeparator()
    add(edit, "Copy the picture", lambda: copy_picture(window), "Ctrl+Shift+C")
    adding = edit.addMenu("Add")
    for table, text in pieces.ADDED:
        add(adding, text, partial(pieces.add, window, table))
    add(edit, "Remove the selected piece", lambda: pieces.remove_selected(window), "Ctrl+Backspace")
    view = bar.addMenu("&View")
    for number, (place, text) in enumerate(places, 1):
        add(view, text, partial(window.show_place, place), f"Ctrl+{number}")
    view.addSeparator()
    for name in LOOKS:
        add(view, f"{name.capitalize()} look", partial(window.wear, name))
    view.addSeparator()
    add(view, "US or metric units", session.swap_habit, "F2")
    add(view, "Hold or let go", lambda: session.hold(session.held is None), "F4")
    add(view, "One picture full screen", lambda: _stand_alone(window), "F11")
    add(view, "Compare with…", lambda: comparing.open_page(window), "Ctrl+D")

    def take(id: str) -> None:
        window.say(window.looking.take(id))

    conditions = view.addMenu("Conditions")
    for step in steps():
        add(conditions, step.title, partial(take, step.id), key_of(step.id))
    help_menu = bar.addMenu("&Help")
    add(help_menu, "Help on this", lambda: help_here(window), "F1")
    for title, page in HELP_PAGES:
        add(help_menu, title, partial(open_help, window, page))
    help_menu.addSeparator()
    add(help_menu, "Keys", lambda: show_keys(window), "Shift+F1")
    add(help_menu, "About and cautions", lambda: QMessageBox.about(window, "Farstead", ABOUT))
    return tuple(made)


def show_keys(window: Window) -> None:
    """The page of keys."""
    from app.dialogs.keys import KeysDialog

    KeysDialog(window.actions_made, window).exec()


def copy_picture(window: Window) -> None:
    """Copy what the pane shows, as an image and as text."""
    from app.pictures import copy

    copy(window)


def _stand_alone(window: Window) -> None:
    """One picture over the whole screen, or back; a place without one says so."""
    if not window.alone.toggle(window.shown):
        window.say("No picture here to show alone. Sources, Balance, Storage and Wiring have some.")


def show_preferences(window: Window) -> None:
    """What new sites begin with, the look, the recovery copy."""
    from app.dialogs.preferences import PreferencesDialog

    PreferencesDialog(window.session, window).exec()


def _fill_recent(window: Window, menu: QMenu) -> None:
    menu.clear()
    missing = False
    for name in files.recent():
        there = files.is_there(name)
        missing |= not there
        path = Path(name)
        action = menu.addAction(f"{path.name}  ({path.parent.name})" + ("" if there else ", not found"))
        action.setToolTip(name)
        action.setEnabled(there)
        action.triggered.connect(lambda _checked=False, path=path: files.open_site(window, path))
    if menu.isEmpty():
        menu.addAction("No file opened yet").setEnabled(False)
    if missing:
        menu.addSeparator()
        menu.addAction("Remove what is not found").triggered.connect(lambda: files.forget_missing())
