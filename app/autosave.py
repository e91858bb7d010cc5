"""A copy of unsaved work that survives a kill, and how it is found again at the next start.

Each window keeps one recovery file in the program's data folder: a first comment line with the path of the site
file, then the site file's text as it would be saved.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QObject, QStandardPaths

from app.schedule import Background, Coalescer
from app.session import Session
from engine.codec import loads
from engine.design import Design
from engine.problems import Problems
from engine.writer import dumps

DELAY_MS = 800
MARK = "# unsaved work on: "


def folder() -> Path:
    """Where recovery files lie; ``FARSTEAD_STATE`` moves it."""
    place = os.environ.get("FARSTEAD_STATE")
    if place:
        return Path(place)
    kind = QStandardPaths.StandardLocation.AppDataLocation
    return Path(QStandardPaths.writableLocation(kind) or Path.home()) / "farstead"


@dataclass(frozen=True, slots=True)
class Recovered:
    """Work that a killed window left behind."""

    file: Path
    site: Path | None
    design: Design

    def discard(self) -> None:
        """Throw the copy away."""
        self.file.unlink(missing_ok=True)


class Autosave(QObject):
    """Writes the recovery file a moment after each change, off the GUI thread; removes it once saved."""

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self.file = folder() / f"recovery-{os.getpid()}-{id(self):x}.toml"
        self._background = Background(self)
        self._coalescer = Coalescer(self._write, self, DELAY_MS)
        session.changed.connect(self._changed)

    def _changed(self) -> None:
        if self._session.dirty:
            self._coalescer.ask()
        else:
            self._coalescer.cancel()
            self.clear()

    def _write(self) -> None:
        design, site, file = self._session.design, self._session.path, self.file
        self._background.start(lambda: write(file, site, design))

    def clear(self) -> None:
        """Remove the copy: the work is saved, or thrown away knowingly."""
        self._coalescer.cancel()
        self._background.wait()
        self.file.unlink(missing_ok=True)

    def settle(self) -> None:
        """Write now if a write is waiting."""
        if self._coalescer.waiting:
            self._coalescer.cancel()
            self._write()
        self._background.wait()


def write(file: Path, site: Path | None, design: Design) -> None:
    """Write a recovery file, whole or not at all."""
    file.parent.mkdir(parents=True, exist_ok=True)
    beside = file.with_suffix(".writing")
    beside.write_text(f"{MARK}{site or ''}\n{dumps(design)}", "utf-8")
    os.replace(beside, file)


def left_behind() -> tuple[Recovered, ...]:
    """What windows that no longer run left, newest first; a file that can't be read is left where it is."""
    found = []
    for file in sorted(folder().glob("recovery-*.toml"), key=lambda each: each.stat().st_mtime, reverse=True):
        if _running(file):
            continue
        first, _, text = file.read_text("utf-8", errors="replace").partition("\n")
        site = first.removeprefix(MARK).strip()
        try:
            found.append(Recovered(file, Path(site) if site else None, loads(text, file.name)))
        except Problems:
            continue
    return tuple(found)


def _running(file: Path) -> bool:
    """Whether the process that wrote it still lives (where the system can tell)."""
    number = file.name.split("-")[1]
    if not number.isdigit() or os.name != "posix":
        return False
    if int(number) == os.getpid():
        return True
    try:
        os.kill(int(number), 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True
