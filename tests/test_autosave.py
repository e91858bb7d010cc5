"""Unsaved work survives a kill, is found again, and belongs to one window at a time."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from app import autosave, state
from app.autosave import Autosave, left_behind
from app.places import demo_sites
from app.schedule import Background
from app.session import Session
from engine import edit, load
from engine.codec import loads

CABIN = demo_sites() / "lake_cabin.toml"
HERE = Path(__file__).resolve().parent.parent


@pytest.fixture(autouse=True)
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "state"
    monkeypatch.setenv("FARSTEAD_STATE", str(place))
    return place


@pytest.fixture
def session(qtbot: QtBot) -> Session:
    return Session(load(CABIN), CABIN)


def test_that_a_copy_is_written_a_moment_after_a_change(session: Session, qtbot: QtBot) -> None:
    keeper = Autosave(session)
    assert not keeper.file.exists()
    session.edit("arrays.south.tilt", "41 deg")
    qtbot.waitUntil(keeper.file.exists, timeout=5000)
    keeper.settle()
    first, _, text = keeper.file.read_text("utf-8").partition("\n")
    assert first.endswith(str(CABIN)) and loads(text) == session.design
    assert "# steep: sheds snow" in text


def test_that_the_copy_goes_once_the_work_is_saved_or_undone(session: Session, tmp_path: Path) -> None:
    keeper = Autosave(session)
    session.edit("arrays.south.tilt", "41 deg")
    keeper.settle()
    assert keeper.file.exists()
    session.save(tmp_path / "site.toml")
    assert not keeper.file.exists() and not list(state.folder().glob("*.lock"))
    session.edit("arrays.south.tilt", "42 deg")
    keeper.settle()
    assert keeper.file.exists()
    session.undo_stack.undo()
    assert not keeper.file.exists()


def test_that_a_living_window_keeps_its_copy_to_itself(session: Session) -> None:
    first, second = Autosave(session), Autosave(session)
    session.edit("arrays.south.tilt", "41 deg")
    first.settle()
    second.settle()
    assert first.file.exists() and second.file.exists() and first.file != second.file
    assert left_behind() == ()
    second.clear()
    assert first.file.exists()


KILLED = """
import sys
from pathlib import Path
from PySide6.QtCore import QCoreApplication
from app.autosave import Autosave
from app.session import Session
from engine import load

application = QCoreApplication([])
site = Path(sys.argv[1])
session = Session(load(site), site)
keeper = Autosave(session)
session.edit("arrays.south.tilt", sys.argv[2])
application.exec()
"""


def _start(tilt: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen([sys.executable, "-c", KILLED, str(CABIN), tilt], cwd=HERE)


def _wait_for(number: int) -> None:
    end = time.monotonic() + 20
    while len(list(state.folder().glob("recovery-*.toml"))) < number:
        assert time.monotonic() < end, "no copy was written"
        time.sleep(0.05)


@pytest.mark.skipif(os.name != "posix", reason="kills a process")
def test_that_work_of_a_killed_window_is_found_and_that_of_a_living_one_is_not(qtbot: QtBot) -> None:
    killed, living = _start("33 deg"), _start("44 deg")
    try:
        _wait_for(2)
        assert left_behind() == ()
        killed.send_signal(signal.SIGKILL)
        killed.wait()
        (found,) = left_behind()
        assert edit.typed(found.design, "arrays.south.tilt") == "33 deg"
        assert found.site == CABIN and found.file.exists()
        assert left_behind() == (), "offered once at a time"
        found.keep()
        (again,) = left_behind()
        again.discard()
        assert left_behind() == () and len(list(state.folder().glob("recovery-*.toml"))) == 1
    finally:
        living.kill()
        living.wait()
        killed.kill()


def test_that_a_copy_that_can_not_be_read_is_left_where_it_is(qtbot: QtBot) -> None:
    state.folder().mkdir()
    bad = state.folder() / "recovery-1-1.toml"
    bad.write_text("# unsaved work on: \nformat = 99\n")
    assert left_behind() == () and bad.exists()


def test_that_a_copy_that_can_not_be_written_is_told(
    session: Session, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    blocked = tmp_path / "a file"
    blocked.write_text("")
    monkeypatch.setenv("FARSTEAD_STATE", str(blocked))
    keeper = Autosave(session)
    session.edit("arrays.south.tilt", "41 deg")
    with qtbot.waitSignal(keeper.failed, timeout=5000):
        keeper.settle()


def test_that_a_killed_write_leaves_the_copy_before_it_whole(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    keeper = Autosave(session)
    session.edit("arrays.south.tilt", "41 deg")
    keeper.settle()
    before = keeper.file.read_bytes()
    monkeypatch.setattr(autosave.os, "replace", lambda *_: (_ for _ in ()).throw(OSError("killed")))
    session.edit("arrays.south.tilt", "42 deg")
    keeper.settle()
    assert keeper.file.read_bytes() == before


def test_that_a_background_job_runs_off_the_gui_thread_and_the_last_wins(
    session: Session, qtbot: QtBot
) -> None:
    jobs = Background(session)
    results: list[object] = []
    jobs.finished.connect(results.append)
    for number in range(5):
        jobs.start(lambda number=number: (number, threading.current_thread() is threading.main_thread()))
    jobs.wait()
    qtbot.waitUntil(lambda: bool(results))
    assert results == [(4, False)]
    jobs.start(lambda: "cancelled")
    jobs.cancel()
    jobs.wait()
    qtbot.wait(20)
    assert results == [(4, False)]


def test_that_a_fault_in_a_background_job_is_told(session: Session, qtbot: QtBot) -> None:
    jobs = Background(session)
    with qtbot.waitSignal(jobs.failed) as caught:
        jobs.start(lambda: 1 / 0)
    assert caught.args is not None and isinstance(caught.args[0], ZeroDivisionError)


def test_that_faults_are_noted_in_a_file_that_does_not_grow_for_ever(qtbot: QtBot) -> None:
    try:
        raise ValueError("here")
    except ValueError as error:
        file = state.note_fault(ValueError, error, error.__traceback__)
        assert file is not None and "ValueError: here" in file.read_text()
        file.write_text("x" * (state.LONGEST_LOG + 1))
        state.note_fault(ValueError, error, error.__traceback__)
    assert len(file.read_text()) < 5000
