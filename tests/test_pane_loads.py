"""The Loads pane in the real window: add from the list, type, see the sum move, undo."""

from __future__ import annotations

from pathlib import Path

import pytest
from a_window import Hands, copy_of, over
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAction, QImage
from PySide6.QtWidgets import QComboBox, QLabel, QMenu, QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app.look import LOOKS
from app.panes.loads import LoadsPane
from app.session import Session
from app.views.stacks import Layer, Stacks, StackView
from app.views.text_table import TextTable
from engine.edit import empty


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Hands:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path / "state"))
    made = over(qtbot, copy_of("lake_cabin", tmp_path))
    made.window.show_place("loads")
    made.settle()
    return made


def pane(hands: Hands) -> LoadsPane:
    shown = hands.window.shown
    assert isinstance(shown, LoadsPane)
    return shown


def table(hands: Hands) -> TextTable:
    found = pane(hands).findChild(TextTable)
    assert isinstance(found, TextTable)
    return found


def view(hands: Hands, name: str) -> StackView:
    return next(each for each in pane(hands).findChildren(StackView) if name in each.accessibleName())


def said(hands: Hands) -> str:
    labels = pane(hands).findChildren(QLabel)
    return " | ".join(label.text() for label in labels if label.isVisibleTo(pane(hands)))


def offered(hands: Hands) -> dict[str, QAction]:
    button = next(each for each in pane(hands).findChildren(QPushButton) if each.menu() is not None)
    menu = button.menu()
    groups = list(menu.findChildren(QMenu))
    return {action.text(): action for each in (menu, *groups) for action in each.actions()}


def image(widget: QWidget) -> QImage:
    picture = QImage(widget.size(), QImage.Format.Format_RGB32)
    widget.render(picture)
    return picture


def test_that_a_usual_load_is_added_typed_over_seen_in_the_sum_and_undone(hands: Hands) -> None:
    before, whole = len(hands.design.loads), sum(view(hands, "hour").stacks().totals)
    offered(hands)["Kettle, 1500 W"].trigger()
    hands.settle()
    assert len(hands.design.loads) == before + 1 and hands.entered("loads.kettle.power") == "1500 W"
    assert table(hands).line() == before  # the new line is in hand
    hands.type_in("loads.kettle.power", "3 kW")
    hands.type_in("loads.kettle.hours", "1 h")
    assert table(hands).texts().rows[before][1][1] == "3 kW"
    after = sum(view(hands, "hour").stacks().totals)
    assert after > whole + 3000  # 3 kW for an hour, and what the inverter loses
    for _ in range(3):
        hands.session.undo_stack.undo()
    hands.settle()
    assert len(hands.design.loads) == before
    assert sum(view(hands, "hour").stacks().totals) == pytest.approx(whole)


def test_that_the_piece_on_the_line_leads_here_and_a_line_of_the_table_to_its_form(hands: Hands) -> None:
    hands.window.show_place("wiring")
    hands.click_piece("loads")
    assert pane(hands).forms()[0].owner == "loads.fridge"
    table(hands).selectRow(2)
    hands.settle()
    assert hands.session.selected == "loads.well-pump"
    assert pane(hands).forms()[0].owner == "loads.well-pump"


def test_that_the_table_is_walked_and_a_line_is_opened_by_keys(hands: Hands) -> None:
    table(hands).setFocus()
    hands.press(Qt.Key.Key_Down)
    assert hands.session.selected == "loads.freezer"
    hands.press(Qt.Key.Key_Return)
    assert hands.line("loads.freezer.power").hasFocus()


def test_that_the_sum_is_that_of_the_engine(hands: Hands) -> None:
    demand = hands.session.evaluation.demand
    assert demand.worst_month is not None and demand.bank_wh is not None
    shown = view(hands, "month").stacks()
    assert shown.totals == pytest.approx(demand.bank_wh)
    assert shown.chosen == demand.worst_month
    assert "1.65 kW" in said(hands) and "Well pump, 1/2 hp starts" in said(hands)


def test_that_a_month_is_chosen_by_list_click_and_key(hands: Hands) -> None:
    months = next(each for each in pane(hands).findChildren(QComboBox) if each.accessibleName() == "Month")
    months.setCurrentIndex(1)
    months.activated.emit(1)
    assert "January" in said(hands) and view(hands, "month").stacks().chosen == 0
    bars = view(hands, "month")
    bars.setFocus()
    hands.press(Qt.Key.Key_Right)
    assert bars.stacks().chosen == 1 and months.currentIndex() == 2
    hands.bot.mouseClick(bars, Qt.MouseButton.LeftButton, pos=QPoint(bars.width() - 20, bars.height() // 2))
    assert bars.stacks().chosen == 11 and "December" in said(hands)


def test_that_a_load_by_its_current_stands_in_the_table(hands: Hands) -> None:
    hands.type_in("loads.radio.power", "")
    hands.type_in("loads.radio.current", "0.5 A")
    row = next(cells for _, cells in table(hands).texts().rows if cells[0] == "Radio link")
    assert row[1] == "12 W"  # 0.5 A of 24 V


def test_that_what_is_missing_is_said_and_the_sum_is_unknown(hands: Hands) -> None:
    hands.type_in("inverters.house.idle", "")
    hands.window.show_place("loads")
    hands.settle()
    assert "unknown" in said(hands) and "Idle draw" in said(hands)
    assert view(hands, "month").stacks().caption == "loads alone"
    hands.type_in("loads.fridge.power", "")
    assert "Power" in view(hands, "hour").stacks().empty
    image(pane(hands))


def test_that_a_removed_load_gives_the_hand_to_its_neighbour(hands: Hands) -> None:
    hands.window.choose("loads.freezer")
    remove = next(each for each in pane(hands).findChildren(QPushButton) if "Remove" in each.text())
    hands.bot.mouseClick(remove, Qt.MouseButton.LeftButton)
    hands.settle()
    assert hands.design.find("loads", "freezer") is None
    assert pane(hands).forms()[0].owner == "loads.well-pump"


def test_that_every_nominal_voltage_is_told_with_its_current(hands: Hands) -> None:
    told = said(hands)
    assert "12 V: inverters 265 A" in told and "too much current" in told
    assert "24 V: inverters 132 A" in told and "48 V: inverters 66.1 A" in told


def test_that_an_empty_site_says_what_to_do(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path))
    made = Hands(qtbot, Session(empty()))
    made.window.show_place("loads")
    made.settle()
    assert "No loads yet" in said(made)
    offered(made)["Empty load"].trigger()
    made.settle()
    assert len(made.design.loads) == 1 and made.session.selected == "loads.load-1"
    image(pane(made))


@pytest.mark.parametrize("look", list(LOOKS))
@pytest.mark.parametrize("size", [(240, 160), (330, 230), (900, 500)])
def test_that_columns_are_drawn_in_every_look_and_size(
    qtbot: QtBot, look: str, size: tuple[int, int]
) -> None:
    made = StackView("columns", pickable=True)
    qtbot.addWidget(made)
    made.set_look(LOOKS[look])
    made.resize(*size)
    layers = (Layer("one", "loads", (1.0, 2.0, 4000.0)), Layer("two", "soft", (0.0, 1.0, 2.0), pale=True))
    made.show_stacks(Stacks("Columns", "all of them", "W", ("a", "b", "c"), layers, chosen=2), "metric")
    assert made.accessibleDescription() == "a 1 W; b 3 W; c 4 kW"
    picture = image(made)
    colours = {picture.pixel(x, y) for x in range(0, size[0], 3) for y in range(0, size[1], 3)}
    assert len(colours) > 3
