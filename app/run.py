"""Start the window: the application, its guards, recovery of unsaved work, the first site."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from app.display import no_display
from app.terminal.exits import BAD_INPUT, refuse
from engine.problems import Problems

if TYPE_CHECKING:
    from PySide6.QtWidgets import QApplication

    from app.autosave import Recovered
    from app.window import Window

FIRST = "lake_cabin.toml"


def open_window(site: str | None) -> int:
    """Open the window on a site file, or on a demo; returns when it is closed."""
    reason = no_display(sys.platform, os.environ)
    if reason:
        print(f"farstead: {reason}", file=sys.stderr)
        return BAD_INPUT
    from app.autosave import Autosave
    from app.places import demo_sites
    from app.session import Session
    from app.window import Window
    from engine import load

    try:
        path = Path(site) if site else demo_sites() / FIRST
        design = load(path)
    except Problems as error:
        return refuse(error.problems)
    application = make_application()
    session = Session(design, path if site else None)
    window = Window(session)
    guard(window)
    autosave = Autosave(session)
    window.resize(1366, 768)
    window.show_place("sources")
    window.show()
    if not site:
        _recover(window)
    status: int = application.exec()
    autosave.clear()
    return status


def make_application() -> QApplication:
    """The Qt application, named so that its settings and data have a place."""
    from PySide6.QtGui import QIcon
    from PySide6.QtWidgets import QApplication

    from app.places import assets

    application = QApplication.instance()
    if not isinstance(application, QApplication):
        application = QApplication(sys.argv[:1])
    application.setApplicationName("farstead")
    application.setOrganizationName("farstead")
    application.setStyle("Fusion")
    application.setWindowIcon(QIcon(str(assets() / "farstead.svg")))
    return application


def guard(window: Window) -> None:
    """A fault of this program in the window becomes one notice in it; the window stays."""

    def told(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, error, trace)
            return
        window.say(f"This program failed here: {kind.__name__}: {error}. Nothing is lost; undo the last change.")
        sys.__excepthook__(kind, error, trace)

    sys.excepthook = told


def _recover(window: Window) -> None:
    """Offer work that a killed window left behind."""
    from PySide6.QtWidgets import QMessageBox

    from app.autosave import left_behind

    for found in left_behind():
        name = found.design.about.name or "a site without a name"
        button = QMessageBox.StandardButton
        answer = QMessageBox.question(
            window,
            "Unsaved work was found",
            f"Unsaved work on {name} was left behind by a window that did not close. Open it?",
            button.Open | button.Discard | button.Cancel,
            button.Open,
        )
        if answer == button.Discard:
            found.discard()
        if answer == button.Open:
            take_over(window, found)
            return


def take_over(window: Window, found: Recovered) -> None:
    """Put recovered work into the window, as unsaved; the copy goes once it is saved."""
    from engine import load

    try:
        base = load(found.site) if found.site else None
    except Problems:
        base = None
    session = window.session
    session.start(base or session.design, found.site if base else None)
    session.replace(found.design, "recover unsaved work")
    found.discard()
