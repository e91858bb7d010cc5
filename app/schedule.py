"""When work runs: a coalescer for the GUI thread and background jobs with generations."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from PySide6.QtCore import QObject, QRunnable, QThreadPool, QTimer, Signal


class Coalescer(QObject):
    """Run one function once control returns to the event loop, however often it was asked for."""

    def __init__(self, function: Callable[[], None], parent: QObject, delay_ms: int = 0) -> None:
        super().__init__(parent)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(delay_ms)
        self._timer.timeout.connect(function)

    def ask(self) -> None:
        """Ask for a run; a waiting one is put off to after this ask."""
        self._timer.start()

    def set_delay(self, delay_ms: int) -> None:
        """Wait so long from now on; a waiting run waits anew."""
        self._timer.setInterval(delay_ms)

    def cancel(self) -> None:
        """Drop a waiting run."""
        self._timer.stop()

    @property
    def waiting(self) -> bool:
        return self._timer.isActive()


class _Bell(QObject):
    done = Signal(int, object, object)


class _Run(QRunnable):
    def __init__(self, bell: _Bell, generation: int, function: Callable[[], Any]) -> None:
        super().__init__()
        self._bell, self._generation, self._function = bell, generation, function

    def run(self) -> None:
        result, error = None, None
        try:
            result = self._function()
        except Exception as caught:
            error = caught
        self._bell.done.emit(self._generation, result, error)


class Background(QObject):
    """Run functions off the GUI thread, one at a time; a result overtaken by a newer job is dropped."""

    finished = Signal(object)
    failed = Signal(object)

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._generation = 0
        self._pool = QThreadPool(self)
        self._pool.setMaxThreadCount(1)
        self._bell = _Bell(self)
        self._bell.done.connect(self._done)

    def start(self, function: Callable[[], Any]) -> None:
        """Start a job; the result of an earlier one still running will be dropped."""
        self._generation += 1
        self._pool.start(_Run(self._bell, self._generation, function))

    def cancel(self) -> None:
        """Drop the result of the running job."""
        self._generation += 1

    def wait(self) -> None:
        """Wait until nothing runs; for closing and for tests."""
        self._pool.waitForDone()

    def _done(self, generation: int, result: object, error: object) -> None:
        if generation != self._generation:
            return
        if error is not None:
            self.failed.emit(error)
        else:
            self.finished.emit(result)
