"""One picture alone over the whole screen: there and back, by key and by hand, following every slider."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from a_window import Hands, copy_of, over
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractScrollArea, QSplitter
from pytestqt.qtbot import QtBot

from app.alone import pictures_of
from app.look import LOOKS

PANES = [
    ("sources", ""),
    ("sources", "wind.mast"),
    ("site", ""),
    ("loads", ""),
    ("balance", ""),
    ("storage", ""),
    ("setup", ""),
    ("wiring", ""),
]


@pytest.fixture
def cabin(qtbot: QtBot, tmp_path: Path) -> Hands:
    return over(qtbot, copy_of("lake_cabin", tmp_path))


def named(hands: Hands, name: str) -> Any:
    found = [each for each in pictures_of(hands.window.shown) if each.accessibleName() == name]
    assert len(found) == 1, [each.accessibleName() for each in pictures_of(hands.window.shown)]
    return found[0]


def double_click(hands: Hands, picture: Any) -> None:
    touched = picture.viewport() if isinstance(picture, QAbstractScrollArea) else picture
    hands.bot.mouseDClick(touched, Qt.MouseButton.LeftButton)
    hands.settle()


def test_that_f11_shows_the_picture_in_hand_and_escape_puts_it_back(cabin: Hands) -> None:
    ladder = named(cabin, "Voltage ladder")
    parent, size = ladder.parentWidget(), cabin.window._middle.size()
    ladder.setFocus()
    cabin.press(Qt.Key.Key_F11)
    assert cabin.window.alone.picture is ladder
    assert cabin.window.isFullScreen() and not cabin.window._middle.isVisible()
    assert not cabin.window.line.isVisible() and ladder.isVisible()
    cabin.press(Qt.Key.Key_Escape)
    assert cabin.window.alone.picture is None and ladder.parentWidget() is parent
    assert not cabin.window.isFullScreen() and cabin.window._middle.isVisible()
    assert cabin.window.line.isVisible() and not cabin.window.alone.isVisible()
    assert cabin.window._middle.size().width() == size.width()


def test_that_the_sliders_stay_within_reach_and_the_picture_follows(cabin: Hands) -> None:
    curves = named(cabin, "Current and power over voltage, at these conditions")
    double_click(cabin, curves)
    assert cabin.window.alone.picture is curves
    assert cabin.window.strip.isVisible()
    before = curves.accessibleDescription()
    cabin.press(Qt.Key.Key_1, Qt.KeyboardModifier.AltModifier)
    assert curves.accessibleDescription() != before
    cabin.press(Qt.Key.Key_F4)
    assert cabin.window.strip.difference
    double_click(cabin, curves)
    assert cabin.window.alone.picture is None


def test_that_type_and_strokes_are_larger_alone_and_as_before_after(cabin: Hands) -> None:
    curves = named(cabin, "Current and power over voltage, at these conditions")
    cabin.window.alone.show_alone(cabin.window.shown, curves)
    look = cabin.window.look
    assert curves._look.text >= look.text + 4 and curves._look.stroke > look.stroke
    cabin.window.set_look("dark")
    assert curves._look.paper == LOOKS["dark"].paper and curves._look.text > LOOKS["dark"].text
    cabin.window.alone.leave()
    assert curves._look == LOOKS["dark"]


def test_that_a_zoomed_plot_keeps_its_double_click(cabin: Hands) -> None:
    curves = named(cabin, "Current and power over voltage, at these conditions")
    curves.setFocus()
    cabin.bot.keyClick(curves, Qt.Key.Key_Plus)
    assert curves.zoomed
    double_click(cabin, curves)
    assert not curves.zoomed and cabin.window.alone.picture is None


@pytest.mark.parametrize(("place", "piece"), PANES)
def test_that_every_picture_of_a_pane_goes_and_comes_back_to_its_place(
    cabin: Hands, place: str, piece: str
) -> None:
    cabin.session.select(piece)
    cabin.window.show_place(place)
    cabin.settle()
    pane = cabin.window.shown
    places = {each: each.parentWidget() for each in pictures_of(pane)}
    seen = [each for each in places if each.isVisible()]
    assert seen
    for picture in seen:
        above = picture.parentWidget()
        order = [above.widget(at) for at in range(above.count())] if isinstance(above, QSplitter) else []
        cabin.window.alone.show_alone(pane, picture)
        assert picture.isVisible() and picture.window() is cabin.window
        assert cabin.window.alone.choice.count() == len(seen)
        cabin.window.alone.leave()
        if order and isinstance(above, QSplitter):
            assert [above.widget(at) for at in range(above.count())] == order
    cabin.settle()
    assert {each: each.parentWidget() for each in pictures_of(pane)} == places
    assert [each for each in places if each.isVisible()] == seen


def test_that_another_picture_of_the_pane_is_chosen_in_the_list(cabin: Hands) -> None:
    alone, ladder = cabin.window.alone, named(cabin, "Voltage ladder")
    alone.show_alone(cabin.window.shown, ladder)
    other = next(at for at in range(alone.choice.count()) if alone.choice.itemText(at) != "Voltage ladder")
    alone.choice.setCurrentIndex(other)
    alone.choice.activated.emit(other)
    assert alone.picture is not ladder and alone.picture.isVisible()
    alone.leave()
    assert ladder.isVisible() and len(pictures_of(cabin.window.shown)) == 2


def test_that_going_to_another_place_brings_the_window_back(cabin: Hands) -> None:
    ladder = named(cabin, "Voltage ladder")
    cabin.window.alone.show_alone(cabin.window.shown, ladder)
    cabin.press(Qt.Key.Key_3, Qt.KeyboardModifier.ControlModifier)
    assert cabin.window.alone.picture is None and cabin.window.place == "balance"
    assert cabin.window._middle.isVisible()


def test_that_a_picture_goes_back_where_its_source_is_removed(cabin: Hands) -> None:
    cabin.click_piece("wind.mast")
    pane = cabin.window.shown
    cabin.window.alone.show_alone(pane, named(cabin, "Power over wind"))
    cabin.session.remove("wind.mast")
    cabin.settle()
    assert cabin.window.alone.picture is None and cabin.window.shown is not pane
    assert cabin.window._middle.isVisible()


def test_that_where_a_pane_has_no_picture_nothing_happens(cabin: Hands) -> None:
    cabin.window.show_place("worksheets")
    cabin.press(Qt.Key.Key_F11)
    assert cabin.window.alone.picture is None and not cabin.window.isFullScreen()


def test_that_what_the_money_says_stands_over_its_bars_alone(cabin: Hands) -> None:
    cabin.window.choose("circuits.south-run")
    cabin.window.shown.faces.show_face("money")
    cabin.window.refresh()
    cabin.settle()
    money = named(cabin, "What the money says")
    double_click(cabin, money)
    assert cabin.window.alone.picture is money
    assert "costs least" in money._told.text() and money._told.isVisible()
    assert money._told.font().pixelSize() > cabin.window.look.text


def test_that_a_place_without_a_picture_says_where_there_are_some(cabin: Hands) -> None:
    cabin.window.show_place("worksheets")
    cabin.settle()
    cabin.press(Qt.Key.Key_F11)
    assert cabin.window.alone.picture is None and "No picture here" in cabin.window.notice.text


def test_that_a_worksheet_in_large_type_has_the_room_of_the_findings(cabin: Hands) -> None:
    window = cabin.window
    window.set_look("projector")
    window.show_place("worksheets")
    assert not window.findings.isVisible()
    window.show_place("wiring")
    assert window.findings.isVisible()
