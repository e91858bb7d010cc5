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
    from PySide6.QtCore import QMessageLogContext, QtMsgType
    from PySide6.QtWidgets import QApplication

    from app.window import Window

FIRST = "lake_cabin.toml"
SIZE = (1366, 768)
FRAME = 32  # pixels that a window system may take for a title
NOISE = "propagateSizeHints"  # a screenless platform has no one to send them to


def open_window(site: str | None) -> int:
    """Open the window on a site file, or on a demo; returns when it is closed."""
    reason = no_display(sys.platform, os.environ)
    if reason:
        print(f"farstead: {reason}", file=sys.stderr)
        return BAD_INPUT
    application = make_application()
    try:
        window = first_window(site)
    except Problems as error:
        return refuse(error.problems)
    from PySide6.QtCore import QTimer

    from app import desk
    from app.files import offer_recovery

    guard(window)
    autosave = desk.seat(window)
    open_at_size(window)
    QTimer.singleShot(0, window, lambda: offer_recovery(window, autosave))
    status: int = application.exec()
    desk.settle()
    return status


def open_at_size(window: Window) -> None:
    """Show a window at its usual size, or over the whole of a screen that has no room for its frame."""
    window.resize(*SIZE)
    room = window.screen().availableGeometry()
    if room.width() <= SIZE[0] or room.height() < SIZE[1] + FRAME:
        window.showMaximized()
    else:
        window.show()


def first_window(site: str | None) -> Window:
    """A window over a site file, or over a demo. Raises ``Problems`` for a bad file."""
    from app import preferences
    from app.places import demo_sites
    from app.session import Session
    from app.window import Window
    from engine import load

    session = Session(load(site or demo_sites() / FIRST), Path(site) if site else None)
    return Window(session, preferences.look())


def make_application() -> QApplication:
    """The Qt application with its name, icon and style."""
    from PySide6.QtGui import QIcon
    from PySide6.QtWidgets import QApplication

    from app.places import assets

    application = QApplication.instance()
    if not isinstance(application, QApplication):
        application = QApplication(sys.argv[:1])
    application.setApplicationName("farstead")
    application.setStyle("Fusion")
    application.setWindowIcon(QIcon(str(assets() / "farstead.svg")))
    return application


def guard(window: Window) -> None:
    """A fault of this program becomes one notice in the window that a person works in; the window stays."""
    from PySide6.QtCore import QtMsgType, qInstallMessageHandler

    from app import desk
    from app.state import note_fault

    def told(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            desk.close_all()
            return
        text = f"This program failed here: {kind.__name__}: {error}. Nothing is lost; undo the last change."
        told_in = desk.active(window)
        if told_in.notice.text.startswith(text):
            return
        log = note_fault(kind, error, trace)
        told_in.say(f"{text} Details are in {log}." if log else text)

    def heard(kind: QtMsgType, _context: QMessageLogContext, message: str) -> None:
        hear(kind, message)
        if kind in (QtMsgType.QtCriticalMsg, QtMsgType.QtFatalMsg):
            desk.active(window).say(f"The window system reports: {message}")

    sys.excepthook = told
    qInstallMessageHandler(heard)


def hear(_kind: QtMsgType, message: str) -> None:
    """Pass on what Qt has to say, less what means nothing."""
    if NOISE not in message:
        print(f"farstead: {message}", file=sys.stderr)
