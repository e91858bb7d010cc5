"""Reading a weather file off the GUI thread: progress, cancel, and what is taken as one step to undo."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from threading import Event

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QWidget

from app.dialogs.take_weather import TakeWeather
from app.schedule import Background
from app.session import Session
from engine.problems import Problems
from engine.weather.offer import take
from engine.weather.read import Reading, read


class Stopped(Exception):
    """A person called the reading off."""


class WeatherReading(QObject):
    """One file at a time; ``read`` once its hours are there to look at. ``dialog`` is what is open."""

    read = Signal()
    progress = Signal(float)

    def __init__(self, session: Session, over: QWidget) -> None:
        super().__init__(over)
        self._session, self._over = session, over
        self._jobs = Background(self)
        self._jobs.finished.connect(self._finished)
        self._jobs.failed.connect(self._failed)
        self._stop = Event()
        self._reading: Reading | None = None
        self.dialog: TakeWeather | None = None

    def start(self, path: Path) -> None:
        """Read a file, and show how far it is; one that is being read is called off."""
        self._leave()
        self._stop = Event()
        self.dialog = dialog = TakeWeather(path.name, self._over)
        self.progress.connect(dialog.tell)
        dialog.rejected.connect(self._leave)
        dialog.taken.connect(self._take)
        dialog.looked.connect(self._look)
        dialog.open()
        self._jobs.start(partial(read, path, partial(self._tick, self._stop)))

    def wait(self) -> None:
        """Wait until nothing is read; for closing and for tests."""
        self._jobs.wait()

    def _tick(self, stop: Event, share: float) -> None:
        """In the other thread: say how far it is, or leave."""
        if stop.is_set():
            raise Stopped
        self.progress.emit(share)

    def _finished(self, reading: Reading) -> None:
        self._reading = reading
        if self.dialog is not None:
            self.dialog.show_reading(reading, self._session.design, self._session.habit)

    def _failed(self, error: Exception) -> None:
        if self.dialog is None:
            return
        if not isinstance(error, Problems):
            raise error
        self.dialog.show_failure(str(error))

    def _take(self) -> None:
        """Put what is ticked into the site; what contradicts what stays is said and nothing is taken."""
        if self.dialog is None or self._reading is None:
            return
        try:
            after = take(self._session.design, self._reading, self.dialog.chosen())
        except Problems as error:
            self.dialog.refuse(str(error))
            return
        self._session.replace(after, f"take {self._reading.header.file}")
        self._look()

    def _look(self) -> None:
        if self._reading is not None and self._reading.weather is not None:
            self._session.weather = self._reading.weather
        self._leave()
        self.read.emit()

    def _leave(self) -> None:
        """Call off what is read and close the dialog."""
        self._stop.set()
        self._jobs.cancel()
        self._reading = None
        dialog, self.dialog = self.dialog, None
        if dialog is not None:
            self.progress.disconnect(dialog.tell)
            dialog.close()
            dialog.deleteLater()
