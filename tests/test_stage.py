"""The place of the panes: the window never needs more than a screen, in whatever size of type."""

from __future__ import annotations

from pathlib import Path

import pytest
from a_window import Hands, copy_of, over
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.panes import PLACES
from app.run import open_at_size

LOW, NARROW = 700, 1280  # pixels: a projector of 1280 by 720 less a title


@pytest.fixture
def cabin(qtbot: QtBot, tmp_path: Path) -> Hands:
    return over(qtbot, copy_of("lake_cabin", tmp_path))


@pytest.mark.parametrize("look", ["light", "projector"])
def test_that_no_pane_makes_the_window_larger_than_a_small_screen(cabin: Hands, look: str) -> None:
    window = cabin.window
    window.set_look(look)
    cabin.session.hold(True)
    for place in (name for name, _ in PLACES):
        window.show_place(place)
    window.choose("wind.mast")
    cabin.settle()
    least = window.minimumSizeHint()
    assert least.height() <= LOW and least.width() <= NARROW


def test_that_a_pane_without_room_is_scrolled_and_the_sliders_stay_in_sight(cabin: Hands) -> None:
    window = cabin.window
    window.set_look("projector")
    window.choose("wind.mast")
    window.resize(NARROW, LOW)
    cabin.settle()
    assert window.height() <= LOW
    bottom = window.strip.mapTo(window, window.strip.rect().bottomLeft()).y()
    assert bottom < window.height()
    assert window._stage.verticalScrollBar().maximum() > 0


def test_that_a_window_without_room_for_its_frame_takes_the_whole_screen(cabin: Hands) -> None:
    room = QApplication.primaryScreen().availableGeometry()
    assert room.width() < 1366  # of the screenless platform
    open_at_size(cabin.window)
    assert cabin.window.isMaximized()
