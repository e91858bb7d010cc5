"""Site files by menu: new, open, save, what was open last, and leaving only what is saved or thrown away."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox, QWidget

from app.state import settings
from engine.design import FAMILIES
from engine.edit import empty, set_field
from engine.problems import Problems

if TYPE_CHECKING:
    from app.autosave import Autosave, Recovered
    from app.window import Window

FILES = "Site files (*.toml)"
MOST_RECENT = 8
MOST_TOLD = 12


def new_site(window: Window) -> None:
    """Begin an empty site under the rule family that was used last."""
    if may_leave(window):
        family = str(settings().value("rules", ""))
        design = set_field(empty(), "rules", family) if family in FAMILIES else empty()
        window.session.start(design, None)
        window.show_place("sources")


def ask_open(window: Window) -> None:
    """Ask for a site file and open it."""
    name, _ = QFileDialog.getOpenFileName(window, "Open a site", _folder(window), FILES)
    if name:
        open_site(window, Path(name))


def open_site(window: Window, path: Path, *, example: bool = False) -> bool:
    """Open a site file; a bad one is refused whole with its reasons. An example opens as a copy."""
    if not may_leave(window):
        return False
    try:
        window.session.open(path, as_copy=example)
    except Problems as error:
        told = "\n".join(str(problem) for problem in error.problems[:MOST_TOLD])
        more = len(error.problems) - MOST_TOLD
        box = QMessageBox(QMessageBox.Icon.Warning, "This file was not opened", f"{path.name} was refused:")
        box.setInformativeText(told + (f"\nand {more} more" if more > 0 else ""))
        box.setParent(window, box.windowFlags())
        box.exec()
        return False
    if not example:
        remember(path)
    window.say("")
    window.show_place("sources")
    return True


def save(window: Window) -> bool:
    """Save to the site's file; ask for one where there is none yet."""
    path = window.session.path
    if path is None:
        return save_as(window)
    if window.session.changed_elsewhere():
        button = QMessageBox.StandardButton
        answer = QMessageBox.question(
            window,
            "Changed elsewhere",
            f"Another program has changed {path.name} since it was opened here. Save over its changes?",
            button.Save | button.Cancel,
            button.Cancel,
        )
        if answer != button.Save:
            return False
    return save_to(window, path)


def save_as(window: Window) -> bool:
    """Ask for a file and save to it."""
    first = Path(_folder(window)) / "site.toml"
    name, _ = QFileDialog.getSaveFileName(window, "Save the site", str(window.session.path or first), FILES)
    if not name:
        return False
    return save_to(window, Path(name) if Path(name).suffix else Path(f"{name}.toml"))


def save_to(window: Window, path: Path) -> bool:
    """Save; what can't be written, and a text that can't be read, is said, and nothing is lost."""
    finish_typing(window)
    try:
        window.session.save(path)
    except OSError as error:
        window.say(f"Not saved: {path.name}: {error.strerror}. Choose another place.")
        return False
    remember(path)
    settings().setValue("rules", window.session.design.rules)
    unread = window.unread()
    window.say(f"Saved, but not the text in {', '.join(unread)}, which can't be read." if unread else "")
    window.saved()
    return True


def finish_typing(window: QWidget) -> None:
    """Take what is being typed, as if the hand had left the field."""
    field = QApplication.focusWidget()
    if field is not None and window.isAncestorOf(field):
        field.clearFocus()
        field.setFocus()


def may_leave(window: Window) -> bool:
    """Whether the present design may go: saved, or thrown away knowingly."""
    finish_typing(window)
    button = QMessageBox.StandardButton
    unread = window.unread()
    if not window.session.dirty and not unread:
        return True
    if unread:
        told = f"The text in {', '.join(unread)} can't be read and would be lost. Leave it all the same?"
        answer = QMessageBox.question(
            window, "Text that can't be read", told, button.Discard | button.Cancel, button.Cancel
        )
        if answer != button.Discard or not window.session.dirty:
            return bool(answer == button.Discard)
    name = window.session.design.about.name or "This site"
    answer = QMessageBox.question(
        window,
        "Unsaved work",
        f"{name} has unsaved changes.",
        button.Save | button.Discard | button.Cancel,
        button.Save,
    )
    if answer == button.Save:
        return save(window)
    return bool(answer == button.Discard)


def offer_recovery(window: Window, autosave: Autosave) -> None:
    """Offer work that killed windows left behind, without standing in the way."""
    from app.autosave import left_behind

    for found in left_behind():
        name = found.design.about.name or "a site without a name"
        window.offer(
            f"Recovered work on {name}, unsaved since {found.when:%d %B, %H:%M}.",
            ("Open it", partial(recover, window, autosave, found)),
            ("Keep for later", found.keep),
            ("Discard", found.discard),
        )


def recover(window: Window, autosave: Autosave, found: Recovered) -> None:
    """Put recovered work into the window, as unsaved; the old copy goes once there is a new one."""
    from engine import load

    if not may_leave(window):
        found.keep()
        return
    try:
        base = load(found.site) if found.site else None
    except Problems:
        base = None
    window.session.start(base or empty(), found.site if base else None)
    window.session.replace(found.design, "recover unsaved work")
    autosave.settle()
    found.discard()
    window.show_place("sources")


def remember(path: Path) -> None:
    """Put a file at the head of the list of recent ones."""
    name = str(path.resolve())
    settings().setValue("recent", [name, *(other for other in recent() if other != name)][:MOST_RECENT])


def recent() -> list[str]:
    """The files that were open last, newest first."""
    names = settings().value("recent", [])
    return [str(name) for name in names] if isinstance(names, list) else [str(names)] if names else []


def _folder(window: Window) -> str:
    """Where a file dialog begins: beside the site's file, else beside the one that was open last."""
    path = window.session.path or next((Path(name) for name in recent()), None)
    return str(path.parent) if path else str(Path.home())
