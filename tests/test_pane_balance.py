"""The balance in the real window: bars, chain, table and fields answer to one another."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QGuiApplication, QImage
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.look import LOOKS
from app.panes.balance import BalancePane
from app.places import demo_sites
from app.session import Session
from app.views.balance import BalanceView
from app.views.loss_chain import LossChainView
from app.views.text_table import TextTable
from app.window import Window
from engine import load
from engine.design import Design
from engine.edit import remove, set_fields
from engine.sections.source_yield import MONTHS


def opened(qtbot: QtBot, design: Design) -> Window:
    session = Session(design)
    made = Window(session)
    qtbot.addWidget(made, before_close_func=lambda _window: session.undo_stack.setClean())
    made.resize(1366, 768)
    made.show()
    made.show_place("balance")
    return made


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Window:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path))
    return opened(qtbot, load(demo_sites() / "lake_cabin.toml"))


def view(window: Window, kind: type[QWidget]) -> QWidget:
    found = window.shown.findChild(kind)
    assert isinstance(found, QWidget)
    return found


def image(widget: QWidget) -> QImage:
    picture = QImage(widget.size(), QImage.Format.Format_RGB32)
    widget.render(picture)
    return picture


def test_that_the_worst_month_is_in_hand_at_first(window: Window) -> None:
    pane = window.shown
    assert isinstance(pane, BalancePane)
    balance = window.session.evaluation.balance
    table = view(window, TextTable)
    assert isinstance(table, TextTable)
    assert table.line() == balance.worst
    assert [cells[0] for _, cells in table.texts().rows] == [name[:3] for name in MONTHS]
    assert "counts at the battery" in view(window, LossChainView).accessibleDescription()


def test_that_arrows_walk_months_and_sources(qtbot: QtBot, window: Window) -> None:
    bars, chain, table = (view(window, kind) for kind in (BalanceView, LossChainView, TextTable))
    assert "sun on the plane" in chain.accessibleDescription()
    qtbot.keyClick(bars, Qt.Key.Key_Right)  # from December to January
    assert isinstance(table, TextTable)
    assert table.line() == 0
    qtbot.keyClick(bars, Qt.Key.Key_Up)
    assert "wind through the rotor" in chain.accessibleDescription()


def test_that_a_click_takes_the_month_and_the_source_that_is_there(qtbot: QtBot, window: Window) -> None:
    bars, chain = view(window, BalanceView), view(window, LossChainView)
    assert isinstance(bars, BalanceView)
    month = window.session.evaluation.balance.months[3]
    height = bars._axis().at(month.sources[0] + month.sources[1] / 2)
    place = QPoint(round(bars._left() + 3.5 * bars._slot()), round(height))
    qtbot.mouseClick(bars, Qt.MouseButton.LeftButton, pos=place)
    assert "wind through the rotor" in chain.accessibleDescription()
    table = view(window, TextTable)
    assert isinstance(table, TextTable)
    assert table.line() == 3


def test_that_a_line_of_the_table_takes_its_month(window: Window) -> None:
    table, chain = view(window, TextTable), view(window, LossChainView)
    assert isinstance(table, TextTable)
    before = chain.accessibleDescription()
    table.selectRow(6)
    assert chain.accessibleDescription() != before
    assert table.line() == 6


def test_that_what_is_copied_has_every_source(window: Window) -> None:
    table = view(window, TextTable)
    assert isinstance(table, TextTable)
    table.copy_all()
    lines = QGuiApplication.clipboard().text().splitlines()
    assert len(lines) == 13
    assert "Array by the boathouse" in lines[0] and "Turbine on the point" in lines[0]


def test_that_an_edit_of_a_loss_lowers_the_bars(qtbot: QtBot, window: Window) -> None:
    bars = view(window, BalanceView)
    before, drawn = bars.accessibleDescription(), image(bars)
    with qtbot.waitSignal(window.session.evaluated):
        window.session.edit("arrays.south.losses", "40 %")
    assert bars.accessibleDescription() != before
    assert image(bars) != drawn
    assert window.go_to("arrays.south.losses")
    assert isinstance(window.shown, BalancePane)  # the field stands here too


def test_that_short_months_are_hatched_with_their_hours(qtbot: QtBot, window: Window) -> None:
    design = remove(window.session.design, "wind.mast")
    short = opened(qtbot, set_fields(design, {"arrays.south.strings": "1"}))
    table = view(short, TextTable)
    assert isinstance(table, TextTable)
    assert "Gen." in table.texts().heads and "Gen." not in table.texts().aside
    fails = short.look.fails
    picture = image(view(short, BalanceView))
    colours = {picture.pixelColor(x, y).name() for x in range(picture.width()) for y in range(60, 200)}
    assert fails.lower() in colours


@pytest.mark.parametrize("look", LOOKS)
def test_that_every_look_draws_it_and_an_empty_site_says_what_to_do(
    qtbot: QtBot, window: Window, look: str
) -> None:
    window.set_look(look)
    assert not image(view(window, BalanceView)).isNull()
    bare = opened(qtbot, Design())
    bare.set_look(look)
    assert "loads" in view(bare, BalanceView).accessibleDescription()
    assert view(bare, TextTable).isHidden()
    assert not image(view(bare, LossChainView)).isNull()
