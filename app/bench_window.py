"""The figures of the window and of the engine behind it, without a screen, on the demo sites."""

from __future__ import annotations

import itertools
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from statistics import median
from time import thread_time
from typing import TYPE_CHECKING

from app.bench_site import large_site
from app.panes import PLACES
from app.places import demo_sites

if TYPE_CHECKING:
    from app.session import Session
    from app.window import Window

SIZE = (1320, 780)
EDITS = 40
PLAIN = """
import time
begun = time.perf_counter()
import pyqtgraph
from PySide6.QtWidgets import QApplication, QMainWindow
application = QApplication([])
window = QMainWindow()
window.setCentralWidget(pyqtgraph.PlotWidget())
window.resize(1366, 768)
"""
OURS = """
import time
begun = time.perf_counter()
from app.run import make_application, first_window
application = make_application()
window = first_window(None)
"""
EVERY_PANE = """
window.show()
from app.panes import PLACES
for name, _ in PLACES:
    window.show_place(name)
    application.processEvents()
"""
MEMORY = """
import resource
window.show()
application.processEvents()
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""
PAINTED = """
window.show()
application.processEvents()
print(time.perf_counter() - begun)
"""


def panes() -> Iterator[tuple[str, float, float]]:
    """Each pane's name, the time from an edit of modules to its last paint, and that of a bare redraw [s]."""
    with _session() as (window, session):
        for name, _ in PLACES:
            window.show_place(name)
            yield name, *_edited_and_redrawn(window, session)


def large_site_to_paint() -> float:
    """The time from an edit of one array of the large site to the last paint [s]."""
    with _session() as (window, session):
        session.start(large_site(), None)
        window.choose(f"arrays.{session.design.arrays[0].id}")
        return _edited_and_redrawn(window, session)[0]


def _edited_and_redrawn(window: Window, session: Session) -> tuple[float, float]:
    from PySide6.QtWidgets import QApplication

    array, modules = session.design.arrays[0].id, session.design.arrays[0].modules or 1

    def edit() -> None:
        number = next(numbers)
        session.edit(f"arrays.{array}.modules", str(modules + number % 7), drag="step")
        while session.waiting:
            QApplication.processEvents()
        QApplication.processEvents()

    numbers = itertools.count(1)
    return _least(edit), _least(window.grab)


def slide_to_paint() -> float:
    """The time from a slider's step to the window painted anew [s]."""
    with _session() as (_, session):
        from PySide6.QtWidgets import QApplication

        numbers = itertools.count(1)

        def slide() -> None:
            session.look(cell=float(next(numbers)))
            QApplication.processEvents()

        return _least(slide)


def first_paint(repeats: int = 7) -> float:
    """The time to the first paint of our window over that of a bare window with one plot, in turn."""
    _started(OURS)
    return median(_started(OURS) / _started(PLAIN) for _ in range(repeats))


def memory() -> tuple[float, float]:
    """The most memory [MB] of our window with every pane shown once, and of a bare window with one plot."""
    return _started(OURS + EVERY_PANE, MEMORY), _started(PLAIN, MEMORY)


EDITED = (
    ("modules.{module}.voc", "{:.2f} V", 45.0),
    ("site.design_low", "{:.2f} degC", -20.0),
    ("arrays.{array}.tilt", "{:.2f} deg", 30.0),
    ("circuits.{array}-run.length", "{:.2f} m", 20.0),
    ("loads.{load}.hours", "{:.2f} h", 2.0),
    ("bank.voltage", "{:.2f} V", 24.0),
)
"""Fields of the largest demo, how a number is typed there, and one to begin with."""


def evaluations() -> Iterator[tuple[str, float]]:
    """Fields of the demo with the most findings, and the time of a verdict after an edit of each [s]."""
    from engine import edit, evaluate, load

    designs = [load(path) for path in demo_sites().glob("*.toml")]
    largest = max(designs, key=lambda design: len(evaluate(design).findings))
    ids = {"module": largest.modules[0].id, "array": largest.arrays[0].id, "load": largest.loads[0].id}
    for path, typed, first in EDITED:
        field = path.format(**ids)
        changed = [
            edit.set_field(largest, field, typed.format(first + number / 100)) for number in range(EDITS + 1)
        ]
        each = iter(changed)
        yield field, _least(lambda each=each: evaluate(next(each)))  # type: ignore[misc]


def _least(work: Callable[[], object]) -> float:
    """The processor's time of a call [s] that a quarter of ``EDITS`` calls stay under: what other programs
    take from a busy machine is not in it."""
    work()
    times = []
    for _ in range(EDITS):
        begun = thread_time()
        work()
        times.append(thread_time() - begun)
    return sorted(times)[EDITS // 4]


@contextmanager
def _session() -> Iterator[tuple[Window, Session]]:
    os.environ["QT_QPA_PLATFORM"] = "offscreen"
    with tempfile.TemporaryDirectory() as state:
        os.environ["FARSTEAD_STATE"] = state
        from PySide6.QtWidgets import QApplication

        from app.run import first_window, make_application

        make_application()
        window = first_window(None)
        window.resize(*SIZE)
        window.show()
        QApplication.processEvents()
        yield window, window.session
        window.session.undo_stack.setClean()
        window.close()


def _environment() -> dict[str, str]:
    """Without a screen, and with compiled modules kept between starts, as on a user's machine."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "QT_QPA_PLATFORM": "offscreen"}


def _started(script: str, told: str = PAINTED) -> float:
    command = [sys.executable, "-c", script + told]
    done = subprocess.run(command, env=_environment(), capture_output=True, check=True, text=True)
    return float(done.stdout)
