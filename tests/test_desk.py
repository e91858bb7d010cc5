"""Several windows, files that are dropped, and the list of recent ones."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QUrl
from PySide6.QtGui import QDragEnterEvent, QDropEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QMenu, QMessageBox, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app import actions, desk, files, state
from app.autosave import left_behind
from app.fields.controls import Line
from app.window import Window
from engine import edit, load
from tests.a_window import Hands, copy_of, over

HERE = Path(__file__).resolve().parent.parent
CONTROL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
BUTTON = QMessageBox.StandardButton
COPY = Qt.DropAction.CopyAction


@pytest.fixture(autouse=True)
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "state"
    monkeypatch.setenv("FARSTEAD_STATE", str(place))
    return place


@pytest.fixture
def cabin(qtbot: QtBot, tmp_path: Path) -> Hands:
    hands = over(qtbot, copy_of("lake_cabin", tmp_path))
    desk.seat(hands.window)
    return hands


@pytest.fixture(autouse=True)
def shut(qtbot: QtBot) -> object:
    """Leave no window open behind a test."""
    yield
    for window in desk.windows():
        window.session.undo_stack.setClean()
        window.unread = lambda: ()  # type: ignore[method-assign]
        window.close()
    QApplication.processEvents()


def answer(monkeypatch: pytest.MonkeyPatch, button: QMessageBox.StandardButton) -> list[str]:
    asked: list[str] = []

    def question(*parts: object) -> QMessageBox.StandardButton:
        asked.append(str(parts[2]))
        return button

    monkeypatch.setattr(QMessageBox, "question", question)
    return asked


def press(window: Window, text: str) -> None:
    """Press a button of the window's notice."""
    button = next(b for b in window.notice.findChildren(QPushButton) if b.text() == text)
    button.click()


# Several windows


def test_that_a_new_window_has_a_site_and_an_undo_of_its_own(cabin: Hands) -> None:
    cabin.session.edit("arrays.south.tilt", "41 deg")
    cabin.press(Qt.Key.Key_N, CONTROL, SHIFT)
    first, second = desk.windows()
    assert first is cabin.window and second.isVisible() and second.session.design.arrays == ()
    second.session.add("arrays", "Roof")
    first.session.undo_stack.undo()
    assert [item.id for item in second.session.design.arrays] == ["roof"] and second.session.dirty
    assert not first.session.dirty and first.pos() != second.pos()


def test_that_closing_one_window_leaves_the_others_and_their_copies(
    cabin: Hands, monkeypatch: pytest.MonkeyPatch
) -> None:
    second = files.new_window(cabin.window)
    for window, text in ((cabin.window, "One"), (second, "Two")):
        window.session.edit("name", text)
        desk.keeper_of(window).settle()
    kept = desk.keeper_of(cabin.window).file
    gone = desk.keeper_of(second).file
    assert kept.exists() and gone.exists() and kept != gone
    answer(monkeypatch, BUTTON.Discard)
    assert second.close()
    assert desk.windows() == (cabin.window,) and cabin.window.isVisible()
    assert kept.exists() and not gone.exists()
    assert cabin.session.design.about.name == "One" and cabin.session.dirty


def test_that_quitting_asks_each_window_and_stops_where_one_stays(
    cabin: Hands, monkeypatch: pytest.MonkeyPatch
) -> None:
    desk._open.clear()  # the first window is the test's own to close
    files.new_window(cabin.window)
    second = files.new_window(cabin.window)
    second.session.edit("name", "Two")
    asked = answer(monkeypatch, BUTTON.Cancel)
    assert not desk.close_all()
    assert asked == ["Two has unsaved changes."] and desk.windows() == (second,)
    answer(monkeypatch, BUTTON.Discard)
    assert desk.close_all() and desk.windows() == ()


def test_that_a_file_is_open_in_one_window_only(
    cabin: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = cabin.session.path
    assert path is not None
    second = files.new_window(cabin.window)
    shown: list[object] = []
    monkeypatch.setattr(desk, "show", shown.append)
    dotted = path.parent / "." / path.name
    assert not files.open_site(second, dotted) and second.session.path is None
    assert second.notice.text == "lake_cabin.toml is open in another window."
    press(second, "Show that window")
    assert shown == [cabin.window]
    assert files.open_beside(second, path) is cabin.window and len(desk.windows()) == 2
    assert not files.save_to(second, path), "nor is it saved over"
    assert load(path) == cabin.design
    assert files.open_site(cabin.window, path), "a window may read its own file again"


def test_that_a_site_opens_in_a_further_window(
    cabin: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    farm = copy_of("mountain_farm", tmp_path)
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(farm), ""))
    cabin.press(Qt.Key.Key_O, CONTROL, SHIFT)
    first, second = desk.windows()
    assert second.session.path == farm and first.session.path != farm
    assert files.recent() == [str(farm)]


def test_that_recovered_work_leaves_unsaved_work_alone(cabin: Hands, tmp_path: Path) -> None:
    second = files.open_beside(cabin.window, copy_of("mountain_farm", tmp_path))
    assert second is not None
    second.session.edit("name", "Farm, unsaved")
    keeper = desk.keeper_of(second)
    keeper.settle()
    keeper._claim.drop()
    second.session.undo_stack.undo = lambda: None  # type: ignore[method-assign]
    (found,) = left_behind()
    cabin.session.edit("name", "Cabin, unsaved")
    files.recover(cabin.window, desk.keeper_of(cabin.window), found)
    third = desk.windows()[-1]
    assert cabin.session.design.about.name == "Cabin, unsaved"
    assert third.session.design.about.name == "Farm, unsaved" and third.session.dirty
    assert not found.file.exists() and desk.keeper_of(third).file.exists()


KILLED = """
import sys
from pathlib import Path
from app import desk, files
from app.run import first_window, make_application

application = make_application()
first = first_window(sys.argv[1])
desk.seat(first)
first.show()
second = files.open_beside(first, Path(sys.argv[2]))
first.session.edit("name", "One, unsaved")
second.session.edit("name", "Two, unsaved")
application.exec()
"""


@pytest.mark.skipif(os.name != "posix", reason="kills a process")
def test_that_a_kill_loses_nothing_of_either_window(qtbot: QtBot, tmp_path: Path) -> None:
    sites = [str(copy_of(name, tmp_path)) for name in ("lake_cabin", "mountain_farm")]
    process = subprocess.Popen([sys.executable, "-c", KILLED, *sites], cwd=HERE)
    try:
        end = time.monotonic() + 40
        while len(list(state.folder().glob("recovery-*.toml"))) < 2:
            assert time.monotonic() < end and process.poll() is None, "no copies were written"
            time.sleep(0.05)
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
    found = left_behind()
    assert {each.design.about.name for each in found} == {"One, unsaved", "Two, unsaved"}
    assert {str(each.site) for each in found} == set(sites)
    for each in found:
        each.discard()


# Dropping files


def drop(cabin: Hands, target: QWidget, *paths: Path) -> bool:
    """Drag files over a widget and let them fall on the window; whether the widget itself took them."""
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(path)) for path in paths])
    mime.setText("\n".join(map(str, paths)))
    none, left = Qt.KeyboardModifier.NoModifier, Qt.MouseButton.LeftButton
    enter = QDragEnterEvent(QPoint(5, 5), COPY, mime, left, none)
    if isinstance(target, Line):
        target.dragEnterEvent(enter)
        return enter.isAccepted()
    QApplication.sendEvent(target, enter)
    assert enter.isAccepted()
    QApplication.sendEvent(target, QDropEvent(QPointF(5, 5), COPY, mime, left, none))
    cabin.settle()
    return True


def test_that_a_dropped_site_opens_once_unsaved_work_may_go(
    cabin: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    farm = copy_of("mountain_farm", tmp_path)
    cabin.session.edit("arrays.south.tilt", "41 deg")
    asked = answer(monkeypatch, BUTTON.Cancel)
    drop(cabin, cabin.window, farm)
    assert len(asked) == 1 and cabin.session.path != farm and cabin.session.dirty
    answer(monkeypatch, BUTTON.Discard)
    drop(cabin, cabin.window, farm)
    assert cabin.session.path == farm and cabin.design == load(farm)


def test_that_a_dropped_weather_file_goes_to_the_place(cabin: Hands, monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[Path] = []
    weather = HERE / "tests" / "data" / "port_header.epw"
    cabin.window.pane("site").read_weather = read.append
    drop(cabin, cabin.window, weather)
    assert read == [weather] and cabin.window.place == "site"


def test_that_other_files_are_refused_with_what_is_needed(cabin: Hands, tmp_path: Path) -> None:
    photo = tmp_path / "roof.png"
    photo.write_bytes(b"")
    before, need = cabin.design, "need one site file (.toml) or one weather file (.epw)"
    for paths, got in (
        ((photo,), "got roof.png"),
        ((tmp_path / "gone.toml",), "got gone.toml"),
        ((tmp_path,), f"got {tmp_path.name}"),
        ((photo, photo), "got 2 files"),
    ):
        drop(cabin, cabin.window, *paths)
        assert got in cabin.window.notice.text and need in cabin.window.notice.text
    assert cabin.design is before


def test_that_a_field_leaves_dropped_files_to_the_window(cabin: Hands, tmp_path: Path) -> None:
    field = next(line for line in cabin.window.findChildren(Line) if line.isVisible())
    assert not drop(cabin, field, tmp_path / "site.toml")


# Recent files


def entries(cabin: Hands) -> dict[str, bool]:
    menu = QMenu(cabin.window)
    actions._fill_recent(cabin.window, menu)
    return {action.text(): action.isEnabled() for action in menu.actions() if action.text()}


def test_that_a_recent_file_that_is_gone_is_grey_and_can_be_removed(cabin: Hands, tmp_path: Path) -> None:
    assert entries(cabin) == {"No file opened yet": False}
    kept, lost = copy_of("lake_cabin", tmp_path), copy_of("tropical_clinic", tmp_path)
    files.remember(kept)
    files.remember(lost)
    lost.unlink()
    place = tmp_path.name
    assert entries(cabin) == {
        f"tropical_clinic.toml  ({place}), not found": False,
        f"lake_cabin.toml  ({place})": True,
        "Remove what is not found": True,
    }
    files.forget_missing()
    assert entries(cabin) == {f"lake_cabin.toml  ({place})": True}


def test_that_what_is_typed_is_kept_when_a_window_is_opened_over_it(cabin: Hands) -> None:
    cabin.type_in("arrays.south.tilt", "41 deg")
    files.new_window(cabin.window)
    assert edit.typed(cabin.design, "arrays.south.tilt") == "41 deg"
