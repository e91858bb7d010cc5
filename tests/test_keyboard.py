"""The window without a mouse: Tab reaches all, the focus is seen, each shortcut is on the page of keys."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAction, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app.dialogs.keys import KeysDialog
from app.fields.row import FieldRow
from app.look import LOOKS
from app.panes import PLACES
from app.views.line_canvas import LineCanvas
from app.views.source_slider import SourceSlider
from tests.a_window import Hands, copy_of, over

TYPED = (QAbstractButton, QLineEdit, QPlainTextEdit, QComboBox, QAbstractItemView, SourceSlider)
PIECES = ("wind.mast", "inverters.house", "relays.divert")


@pytest.fixture
def cabin(qtbot: QtBot, tmp_path: Path) -> Hands:
    return over(qtbot, copy_of("lake_cabin", tmp_path))


def shown(hands: Hands, place: str) -> QWidget:
    """The pane of a place, or of a piece."""
    if place in dict(PLACES):
        hands.window.show_place(place)
    else:
        hands.window.choose(place)
    hands.settle()
    pane: QWidget = hands.window.shown
    return pane


def ways(hands: Hands) -> list[QWidget]:
    """What Tab leads to, from the line on, once round."""
    first = hands.window.line.findChild(LineCanvas)
    assert first is not None
    met: list[QWidget] = []
    first.setFocus()
    while True:
        focus = QApplication.focusWidget()
        assert focus is not None
        if focus in met:
            return met
        met.append(focus)
        hands.bot.keyClick(focus, Qt.Key.Key_Tab)


@pytest.mark.slow
@pytest.mark.parametrize("place", [*(name for name, _ in PLACES), *PIECES])
def test_that_tab_leads_to_all_that_can_be_pressed_or_typed_in(cabin: Hands, place: str) -> None:
    shown(cabin, place)
    met = set(ways(cabin))
    window = cabin.window
    wanted = [
        each
        for kind in TYPED
        for each in window.findChildren(kind)
        if each.isVisible() and each.isEnabled() and each.window() is window
        if not isinstance(each.parentWidget(), QComboBox) and each.focusPolicy() != Qt.FocusPolicy.NoFocus
    ]
    missed = [
        f"{type(each).__name__} {each.accessibleName()}"
        for each in wanted
        if each not in met and each.focusProxy() not in met and not _in_a_row(each, met)
    ]
    assert not missed


def _in_a_row(button: QWidget, met: set[QWidget]) -> bool:
    """Whether it is one of a row of which one is down: Tab leads to that, arrow keys to the others."""
    if not isinstance(button, QAbstractButton):
        return False
    group, parent = button.group(), button.parentWidget()
    if group is not None and group.exclusive():
        return any(each in met for each in group.buttons())
    alone = not button.autoExclusive() or parent is None
    return not alone and any(each in met for each in parent.findChildren(QAbstractButton))


@pytest.mark.parametrize("place", [*(name for name, _ in PLACES), *PIECES])
def test_that_every_field_takes_the_focus_by_its_path(cabin: Hands, place: str) -> None:
    pane = shown(cabin, place)
    rows = [row for row in pane.findChildren(FieldRow) if row.isVisibleTo(pane)]
    for row in rows:
        assert row.control.focusPolicy() & Qt.FocusPolicy.TabFocus or row.control.focusProxy(), row.path
        assert row.control.accessibleName(), row.path


@pytest.mark.slow
@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("place", ["sources", "wiring", "protection"])
def test_that_the_focus_is_seen_wherever_it_is(cabin: Hands, place: str, look: str) -> None:
    cabin.window.set_look(look)
    shown(cabin, place)
    unseen = []
    for each in ways(cabin):
        each.setFocus(Qt.FocusReason.TabFocusReason)
        cabin.settle()
        if not each.isVisible():
            continue
        with_focus = each.grab().toImage()
        each.clearFocus()
        cabin.settle()
        if each.isVisible() and each.grab().toImage() == with_focus:
            unseen.append(f"{type(each).__name__} {each.accessibleName()}")
    assert not unseen


def test_that_the_page_of_keys_has_every_shortcut_of_the_window_and_no_two_share_one(cabin: Hands) -> None:
    for place, _title in PLACES:
        shown(cabin, place)
    page = KeysDialog(cabin.window.actions_made)
    cabin.bot.addWidget(page)
    cells = [page.table.item(row, 1) for row in range(page.table.rowCount())]
    listed = [cell.text() for cell in cells if cell is not None]
    native = QKeySequence.SequenceFormat.NativeText
    actions = [action for action in cabin.window.findChildren(QAction) if not action.shortcut().isEmpty()]
    keys = [action.shortcut().toString(native) for action in actions]
    assert len(keys) > 20 and not set(keys) - set(listed)
    assert len(set(keys)) == len(keys)
    told = " ".join(listed)
    others = [each.key().toString(native) for each in cabin.window.findChildren(QShortcut)]
    assert not [key for key in others if key and key not in told and key != "Esc"]
