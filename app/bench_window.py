"""The figures of the window and of the engine behind it, without a screen, on the demo sites."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from statistics import median
from time import perf_counter
from typing import TYPE_CHECKING

from app.places import demo_sites

if TYPE_CHECKING:
    from app.session import Session

SIZE = (1320, 780)
EDITS = 60
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
PAINTED = """
window.show()
application.processEvents()
print(time.perf_counter() - begun)
"""


def edit_to_paint() -> float:
    """The median time from an edit of modules in a string to the window painted anew [s]."""
    with _session() as session:
        from PySide6.QtWidgets import QApplication

        array = session.design.arrays[0].id
        times = []
        for number in range(EDITS):
            begun = perf_counter()
            session.edit(f"arrays.{array}.modules", str(1 + number % 2), drag="step")
            while session.waiting:
                QApplication.processEvents()
            QApplication.processEvents()
            times.append(perf_counter() - begun)
        return median(times[EDITS // 4 :])


def slide_to_paint() -> float:
    """The median time from a slider's step to the window painted anew [s]."""
    with _session() as session:
        from PySide6.QtWidgets import QApplication

        times = []
        for number in range(EDITS):
            begun = perf_counter()
            session.look(cell=float(number))
            QApplication.processEvents()
            times.append(perf_counter() - begun)
        return median(times[EDITS // 4 :])


def first_paint(repeats: int = 7) -> float:
    """The time to the first paint of our window over that of a bare window with one plot, in turn."""
    _started(OURS)
    return median(_started(OURS) / _started(PLAIN) for _ in range(repeats))


def largest_demo() -> float:
    """The median time of a verdict on the demo with the most findings, each with other modules [s]."""
    from engine import edit, evaluate, load

    designs = [load(path) for path in demo_sites().glob("*.toml")]
    largest = max(designs, key=lambda design: len(evaluate(design).findings))
    module = largest.modules[0]
    assert module.voc is not None
    times = []
    for number in range(EDITS):
        changed = edit.set_field(largest, f"modules.{module.id}.voc", f"{module.voc - number / 100:.2f} V")
        begun = perf_counter()
        evaluate(changed)
        times.append(perf_counter() - begun)
    return median(times[EDITS // 4 :])


@contextmanager
def _session() -> Iterator[Session]:
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
        yield window.session
        window.session.undo_stack.setClean()
        window.close()


def _environment() -> dict[str, str]:
    """Without a screen, and with compiled modules kept between starts, as on a user's machine."""
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "QT_QPA_PLATFORM": "offscreen"}


def _started(script: str) -> float:
    command = [sys.executable, "-c", script + PAINTED]
    done = subprocess.run(command, env=_environment(), capture_output=True, check=True, text=True)
    return float(done.stdout)
