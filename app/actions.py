"""The window's menus and keys: what each does is one call on the session or the window."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSettings
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QFileDialog, QMenu, QMessageBox

from app.look import LOOKS
from app.places import demo_sites
from engine.design import FAMILIES, KEYED
from engine.edit import empty, set_field
from engine.problems import Problems

if TYPE_CHECKING:
    from app.window import Window

FILES = "Site files (*.toml)"
MOST_RECENT = 8
ADDED = (("arrays", "Array"), ("wind", "Wind turbine"), ("hydro", "Hydro turbine"), ("controllers", "Controller"))


def make(window: Window) -> tuple[QAction, ...]:
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
    add(file, "New site", lambda: new_site(window), "Ctrl+N")
    add(file, "Open…", lambda: ask_open(window), "Ctrl+O")
    examples = file.addMenu("Open an example")
    for path in sorted(demo_sites().glob("*.toml")):
        name = path.stem.replace("_", " ").capitalize()
        add(examples, name, lambda path=path: open_site(window, path, example=True))
    recent = file.addMenu("Recent")
    recent.aboutToShow.connect(lambda: _fill_recent(window, recent))
    add(file, "Save", lambda: save(window), "Ctrl+S")
    add(file, "Save as…", lambda: save_as(window), "Ctrl+Shift+S")
    file.addSeparator()
    add(file, "Close", window.close, "Ctrl+Q")
    edit = bar.addMenu("&Edit")
    for action, keys in (
        (session.undo_stack.createUndoAction(window, "Undo"), "Ctrl+Z"),
        (session.undo_stack.createRedoAction(window, "Redo"), "Ctrl+Shift+Z"),
    ):
        action.setShortcut(QKeySequence(keys))
        edit.addAction(action)
        made.append(action)
    edit.addSeparator()
    adding = edit.addMenu("Add")
    for table, text in ADDED:
        add(adding, text, lambda table=table: window.add(table))
    add(edit, "Remove what is selected", lambda: remove_selected(window), "Ctrl+Backspace")
    view = bar.addMenu("&View")
    for number, (place, text) in enumerate((("site", "Site"), ("sources", "Sources"), ("worksheets", "Worksheets")), 1):
        add(view, text, lambda place=place: window.show_place(place), f"Ctrl+{number}")
    view.addSeparator()
    for name in LOOKS:
        add(view, f"{name.capitalize()} look", lambda name=name: window.set_look(name))
    view.addSeparator()
    add(view, "US or metric units", lambda: swap_units(window), "F2")
    add(view, "Hold or let go", lambda: session.hold(session.held is None), "F4")
    help_menu = bar.addMenu("&Help")
    add(help_menu, "Keys", lambda: show_keys(window), "F1")
    add(help_menu, "About and cautions", lambda: show_about(window))
    return tuple(made)


def new_site(window: Window) -> None:
    """Begin an empty site."""
    if may_leave(window):
        family = str(QSettings().value("rules", "nec-2023"))
        design = set_field(empty(), "rules", family if family in FAMILIES else "nec-2023")
        window.session.start(design, None)
        window.show_place("site")


def ask_open(window: Window) -> None:
    """Ask for a site file and open it."""
    name, _ = QFileDialog.getOpenFileName(window, "Open a site", "", FILES)
    if name:
        open_site(window, Path(name))


def open_site(window: Window, path: Path, *, example: bool = False) -> bool:
    """Open a site file; a bad one is refused whole with its reasons. An example opens as a copy."""
    if not may_leave(window):
        return False
    try:
        window.session.open(path)
    except Problems as error:
        box = QMessageBox(QMessageBox.Icon.Warning, "This file was not opened", f"{path.name} was refused:")
        box.setInformativeText("\n".join(str(problem) for problem in error.problems[:12]))
        box.setDetailedText(str(error))
        box.exec()
        return False
    if example:
        window.session.path = None
        window.session.changed.emit()
    else:
        _remember(path)
    window.show_place("sources")
    return True


def save(window: Window) -> bool:
    """Save to the site's file; ask for one where there is none yet."""
    path = window.session.path
    return save_to(window, path) if path else save_as(window)


def save_as(window: Window) -> bool:
    """Ask for a file and save to it."""
    name, _ = QFileDialog.getSaveFileName(window, "Save the site", "site.toml", FILES)
    return bool(name) and save_to(window, Path(name))


def save_to(window: Window, path: Path) -> bool:
    """Save; what can't be written is said, and nothing is lost."""
    try:
        window.session.save(path)
    except OSError as error:
        window.say(f"Not saved: {path.name}: {error.strerror}. Choose another place.")
        return False
    window.say("")
    _remember(path)
    return True


def may_leave(window: Window) -> bool:
    """Whether the present design may go: saved, or thrown away knowingly."""
    window.session.settle()
    if not window.session.dirty:
        return True
    button = QMessageBox.StandardButton
    answer = QMessageBox.question(
        window,
        "Unsaved work",
        "This site has unsaved changes.",
        button.Save | button.Discard | button.Cancel,
        button.Save,
    )
    if answer == button.Save:
        return save(window)
    return bool(answer == button.Discard)


def remove_selected(window: Window) -> None:
    """Remove the selected piece; undo brings it back."""
    path = window.session.selected
    table, _, id = path.partition(".")
    if table in KEYED and table != "circuits" and window.session.design.find(table, id) is not None:
        window.session.remove(path)
        window.session.select("")


def swap_units(window: Window) -> None:
    """From US to metric units and back."""
    window.session.edit("units", "metric" if window.session.habit == "us" else "us")


def show_keys(window: Window) -> None:
    """The page of keys."""
    from app.dialogs.keys import KeysDialog

    KeysDialog(window.actions_made, window).exec()


def show_about(window: Window) -> None:
    """What the program is, and what it is not."""
    QMessageBox.about(
        window,
        "Farstead",
        "<p><b>Farstead</b> lays out off-grid hybrid battery systems and says which rule, which number and which "
        "source decides.</p><p>It is an aid. The authority having jurisdiction, the local code, the makers' "
        "instructions and a licensed person decide. Clauses and tables say where they are from; many are from "
        "memory and have to be checked against the text at hand.</p>",
    )


def _remember(path: Path) -> None:
    recent = [str(path.resolve()), *(name for name in _recent() if name != str(path.resolve()))]
    QSettings().setValue("recent", recent[:MOST_RECENT])


def _recent() -> list[str]:
    names = QSettings().value("recent", [])
    return [str(name) for name in names] if isinstance(names, list) else [str(names)] if names else []


def _fill_recent(window: Window, menu: QMenu) -> None:
    menu.clear()
    for name in _recent():
        action = menu.addAction(Path(name).name)
        action.setToolTip(name)
        action.triggered.connect(lambda _checked=False, name=name: open_site(window, Path(name)))
    if menu.isEmpty():
        menu.addAction("No file opened yet").setEnabled(False)
