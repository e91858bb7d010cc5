"""Where the program keeps what is its own: recovery files, settings, a record of its faults."""

from __future__ import annotations

import contextlib
import os
import sys
import traceback
from pathlib import Path
from types import TracebackType
from typing import IO

from PySide6.QtCore import QSettings, QStandardPaths

LONGEST_LOG = 200_000


def folder() -> Path:
    """The program's data folder; ``FARSTEAD_STATE`` moves it. It need not exist yet."""
    place = os.environ.get("FARSTEAD_STATE")
    if place:
        return Path(place)
    kind = QStandardPaths.StandardLocation.GenericDataLocation
    return Path(QStandardPaths.writableLocation(kind) or Path.home()) / "farstead"


def settings() -> QSettings:
    """What the program remembers between starts: recent files, the look, the rule family for new sites."""
    return QSettings(str(folder() / "settings.ini"), QSettings.Format.IniFormat)


def note_fault(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> Path | None:
    """Write a fault of this program down; the file that holds it, or ``None`` where that fails too."""
    file = folder() / "faults.log"
    with contextlib.suppress(OSError):
        file.parent.mkdir(parents=True, exist_ok=True)
        mode = "w" if file.exists() and file.stat().st_size > LONGEST_LOG else "a"
        with file.open(mode, encoding="utf-8") as log:
            log.write("".join(traceback.format_exception(kind, error, trace)) + "\n")
        return file
    return None


class Claim:
    """A claim on a file by the process that holds it; the system ends it with the process."""

    def __init__(self, file: Path) -> None:
        self._lock = file.with_suffix(".lock")
        self._handle: IO[str] | None = None

    def take(self) -> bool:
        """Claim the file; ``False`` where another living window holds it. Raises ``OSError``."""
        if self._handle is not None:
            return True
        self._lock.parent.mkdir(parents=True, exist_ok=True)
        handle = self._lock.open("a", encoding="utf-8")
        if not _lock(handle):
            handle.close()
            return False
        self._handle = handle
        return True

    def drop(self) -> None:
        """Let go of the file; what is left of the claim goes too."""
        if self._handle is None:
            return
        if sys.platform != "win32":
            self._lock.unlink(missing_ok=True)
        self._handle.close()
        self._handle = None
        if sys.platform == "win32":
            self._lock.unlink(missing_ok=True)


def _lock(handle: IO[str]) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(handle.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
