"""Site files by menu and by drop: new, open, save, recent, leaving only what is saved or thrown away.

A file is open in one window only.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox, QWidget

from app import desk, preferences
from app.state import settings
from engine import load
from engine.edit import empty
from engine.problems import Problem, Problems

if TYPE_CHECKING:
    from app.autosave import Autosave, Recovered
    from app.window import Window

FILES = "Site files (*.toml)"
MOST_RECENT = 8
MOST_TOLD = 12
DROPPED = "one site file (.toml) or one weather file (.epw)"


def new_site(window: Window) -> None:
    """Begin a site in this window, as the preferences say."""
    if may_leave(window):
        window.session.start(preferences.new_site(), None)
        window.show_place("sources")


def new_window(window: Window) -> Window:
    """Begin a site in a further window."""
    return desk.open_beside(window, preferences.new_site(), None)


def ask_open(window: Window) -> None:
    """Ask for a site file and open it."""
    name, _ = QFileDialog.getOpenFileName(window, "Open a site", _folder(window), FILES)
    if name:
        open_site(window, Path(name))


def ask_open_beside(window: Window) -> None:
    """Ask for a site file and open it in a further window."""
    name, _ = QFileDialog.getOpenFileName(window, "Open a site in a new window", _folder(window), FILES)
    if name:
        open_beside(window, Path(name))


def open_site(window: Window, path: Path, *, example: bool = False) -> bool:
    """Open a site file; a bad one is refused whole with its reasons. An example opens as a copy."""
    if (not example and _stands_elsewhere(window, path)) or not may_leave(window):
        return False
    try:
        window.session.open(path, as_copy=example)
    except Problems as error:
        refuse(window, path, error)
        return False
    if not example:
        remember(path)
    window.say("")
    window.show_place("sources")
    return True


def open_beside(window: Window, path: Path) -> Window | None:
    """Open a site file in a further window, or bring the one that has it to the front."""
    held = desk.window_over(path)
    if held is not None:
        desk.show(held)
        return held
    try:
        made = desk.open_beside(window, load(path), path)
    except Problems as error:
        refuse(window, path, error)
        return None
    remember(path)
    return made


def refuse(window: Window, path: Path, error: Problems) -> None:
    """Say why a file was not opened."""
    told = "\n".join(str(problem) for problem in error.problems[:MOST_TOLD])
    more = len(error.problems) - MOST_TOLD
    box = QMessageBox(QMessageBox.Icon.Warning, "This file was not opened", f"{path.name} was refused:")
    box.setInformativeText(told + (f"\nand {more} more" if more > 0 else ""))
    box.setParent(window, box.windowFlags())
    box.exec()


def take_dropped(window: Window, paths: list[Path]) -> bool:
    """Open a site file that was dropped on the window, or read a weather file into its site."""
    path, others = next(iter(paths), Path()), paths[1:]
    kind = path.suffix.lower()
    if others or kind not in (".toml", ".epw") or not path.is_file():
        got = "no file" if not paths else f"{len(paths)} files" if others else path.name
        window.say(str(Problem("dropped here", got, DROPPED)))
        return False
    if kind == ".toml":
        return open_site(window, path)
    finish_typing(window)
    window.show_place("site")
    window.pane("site").read_weather(path)
    return True


def _stands_elsewhere(window: Window, path: Path) -> bool:
    """Whether another window has the file; says so and offers that window."""
    other = desk.window_over(path)
    if other is None or other is window:
        return False
    window.notice.say(
        f"{path.name} is open in another window.",
        (("Show that window", partial(desk.show, other)), ("Close", lambda: None)),
    )
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
    if _stands_elsewhere(window, path):
        return False
    try:
        window.session.save(path)
    except OSError as error:
        window.say(f"Not saved: {path.name}: {error.strerror}. Choose another place.")
        return False
    remember(path)
    unread = window.unread()
    window.say(f"Saved, but not the text in {', '.join(unread)}, which can't be read." if unread else "")
    window.saved()
    return True


def print_page(window: Window) -> None:
    """Print the pane that is shown to a PDF that is asked for."""
    from app.print_pane import write_pane

    _print(window, window.place, "Print this page", lambda path: write_pane(path, window))


def print_class_page(window: Window) -> None:
    """Print one page for the class: the pictures that are shown, the worst findings and their formulas.

    A place that shows no picture gives way to the first source.
    """
    from app.alone import pictures_of
    from app.print_pane import write_class_page

    shown = window.shown
    if not any(picture.isVisibleTo(shown) for picture in pictures_of(shown)):
        design = window.session.design
        tables = (("arrays", design.arrays), ("wind", design.wind), ("hydro", design.hydro))
        window.session.select(next((f"{table}.{each.id}" for table, found in tables for each in found), ""))
        window.show_place("sources")
    _print(window, "class", "Print one page for the class", lambda path: write_class_page(path, window))


def _print(window: Window, what: str, title: str, write: Callable[[Path], object]) -> None:
    from app.save_as import save_as as ask_and_write

    finish_typing(window)
    said = ask_and_write(window, window.session.path, what, title, ".pdf", write)
    if said is not None:
        window.say(said)


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
    """Put recovered work into the window, as unsaved, or into a further one where this one has unsaved work;
    the old copy goes once there is a new one."""
    if window.session.dirty or window.unread():
        window = desk.open_beside(window, empty(), None)
        autosave = desk.keeper_of(window)
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


def is_there(name: str) -> bool:
    """Whether a recent file is still where it was."""
    return Path(name).is_file()


def forget_missing() -> None:
    """Take the files that are no longer there off the list of recent ones."""
    settings().setValue("recent", [name for name in recent() if is_there(name)])


def _folder(window: Window) -> str:
    """Where a file dialog begins: beside the site's file, else beside the one that was open last."""
    path = window.session.path or next((Path(name) for name in recent()), None)
    return str(path.parent) if path else str(Path.home())
