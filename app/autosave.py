"""A copy of unsaved work that survives a kill, and how it is found again at the next start.

Each window keeps one recovery file in the program's data folder: a first comment line with the path of the
site file, then the site file's text as it would be saved. The window claims it as long as it lives.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import datetime
from itertools import count
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from app.preferences import copy_after
from app.schedule import Background, Coalescer
from app.session import Session
from app.state import Claim, folder
from engine.codec import loads
from engine.design import Design
from engine.problems import Problems
from engine.writer import dumps

MARK = "# unsaved work on: "
_NUMBERS = count(1)


@dataclass(frozen=True, slots=True)
class Recovered:
    """Work that a killed window left behind; claimed, so that no other window offers it too."""

    file: Path
    site: Path | None
    design: Design
    when: datetime
    claim: Claim

    def discard(self) -> None:
        """Throw the copy away."""
        self.file.unlink(missing_ok=True)
        self.claim.drop()

    def keep(self) -> None:
        """Leave the copy for another start."""
        self.claim.drop()


class Autosave(QObject):
    """Writes the recovery file a while after a change, off the GUI thread; removes it once saved.

    The while is a preference; later changes don't put the write off.

    ``failed(why)`` where the copy could not be written.
    """

    failed = Signal(str)

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self._session = session
        self.file = folder() / f"recovery-{os.getpid()}-{next(_NUMBERS)}.toml"
        self._claim = Claim(self.file)
        self._background = Background(self)
        self._background.failed.connect(lambda error: self.failed.emit(str(error)))
        self._coalescer = Coalescer(self._write, self, copy_after())
        session.changed.connect(self._changed)

    def _changed(self) -> None:
        if not self._session.dirty:
            self.clear()
        elif not self._coalescer.waiting:
            self._coalescer.ask()

    def set_delay(self, delay_ms: int) -> None:
        """Write so long after a change from now on."""
        self._coalescer.set_delay(delay_ms)

    def _write(self) -> None:
        design, site, file, claim = self._session.design, self._session.path, self.file, self._claim
        self._background.start(lambda: write(file, site, design, claim))

    def clear(self) -> None:
        """Remove the copy: the work is saved, or thrown away knowingly."""
        self._coalescer.cancel()
        self._background.wait()
        self.file.unlink(missing_ok=True)
        self._claim.drop()

    def settle(self) -> None:
        """Write now if a write is waiting, and wait for it."""
        if self._coalescer.waiting:
            self._coalescer.cancel()
            self._write()
        self._background.wait()


def write(file: Path, site: Path | None, design: Design, claim: Claim) -> None:
    """Write a recovery file, whole or not at all. Raises ``OSError``."""
    claim.take()
    beside = file.with_suffix(".writing")
    beside.write_bytes(f"{MARK}{site.resolve() if site else ''}\n{dumps(design)}".encode())
    os.replace(beside, file)


def left_behind() -> tuple[Recovered, ...]:
    """What windows that no longer run left, newest first. A file that can't be read stays where it is."""
    files = [(file.stat().st_mtime, file) for file in folder().glob("recovery-*.toml")]
    found = (_recover(file, when) for when, file in sorted(files, reverse=True))
    return tuple(each for each in found if each is not None)


def _recover(file: Path, when: float) -> Recovered | None:
    claim = Claim(file)
    if not claim.take():
        return None
    first, _, text = file.read_bytes().decode("utf-8", errors="replace").partition("\n")
    site = first.removeprefix(MARK).strip()
    try:
        design = loads(text, file.name)
    except Problems:
        claim.drop()
        return None
    return Recovered(file, Path(site) if site else None, design, datetime.fromtimestamp(when), claim)
