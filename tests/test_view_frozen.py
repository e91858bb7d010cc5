"""The names of circuits, which stay in sight while the table is scrolled sideways."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from app.look import LOOKS
from app.places import demo_sites
from app.views.circuit_rows import COLUMNS, rows
from app.views.circuit_table import CircuitTable
from engine import evaluate, load

PLACE = {column.key: at for at, column in enumerate(COLUMNS)}
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def table(qtbot: QtBot) -> CircuitTable:
    evaluation = evaluate(load(demo_sites() / "mountain_farm.toml"))
    made = CircuitTable()
    qtbot.addWidget(made)
    made.set_look(LOOKS["light"])
    made.resize(620, 240)
    made.show_rows(rows(evaluation), "metric", next(iter(evaluation.circuits)))
    made.show()
    qtbot.waitExposed(made)
    return made


def scrolled(table: CircuitTable) -> CircuitTable:
    """The table, scrolled as far to the right as it goes."""
    bar = table.view.horizontalScrollBar()
    bar.setValue(bar.maximum())
    assert bar.value() > 0
    return table


def test_that_names_stay_only_while_they_would_be_scrolled_away(table: CircuitTable) -> None:
    assert not table.view.front.isVisible()
    assert scrolled(table).view.front.isVisible()
    table.view.horizontalScrollBar().setValue(0)
    assert not table.view.front.isVisible()


def test_that_a_name_stands_beside_its_own_row(table: CircuitTable) -> None:
    view = scrolled(table).view
    view.verticalScrollBar().setValue(3)
    for row in range(table.order.rowCount()):
        index = table.order.index(row, PLACE["title"])
        assert view.front.rowViewportPosition(row) == view.rowViewportPosition(row)
        assert view.front.rowHeight(row) == view.rowHeight(row)
        assert view.front.visualRect(index).width() == view.columnWidth(PLACE["title"])
    assert view.front.horizontalHeader().height() == view.horizontalHeader().height()


def test_that_both_roll_together(table: CircuitTable) -> None:
    view = scrolled(table).view
    view.front.verticalScrollBar().setValue(2)
    assert view.verticalScrollBar().value() == 2


def test_that_a_click_on_a_name_takes_the_circuit_and_leaves_the_columns_in_sight(
    qtbot: QtBot, table: CircuitTable
) -> None:
    view = scrolled(table).view
    before = view.horizontalScrollBar().value()
    at = view.front.visualRect(table.order.index(2, PLACE["title"])).center()
    with qtbot.waitSignal(table.circuit_chosen) as chosen:
        qtbot.mouseClick(view.front.viewport(), LEFT, pos=at)
    assert chosen.args == [table.order.row(2).circuit.id]
    assert view.horizontalScrollBar().value() == before
    assert [row.circuit.id for row in table.selected()] == chosen.args


def test_that_a_click_on_the_head_that_stays_sorts_up_down_and_as_it_was(
    qtbot: QtBot, table: CircuitTable
) -> None:
    first = [row.circuit.id for row in table.shown()]
    names = {row.circuit.id: row.circuit.title.casefold() for row in table.shown()}
    head = scrolled(table).view.front.horizontalHeader()
    at = QPoint(head.sectionViewportPosition(PLACE["title"]) + 20, head.height() // 2)
    told = []
    for _ in range(3):
        qtbot.mouseClick(head.viewport(), LEFT, pos=at)
        told.append([row.circuit.id for row in table.shown()])
    assert [names[id] for id in told[0]] == sorted(names.values())
    assert [names[id] for id in told[1]] == sorted(names.values(), reverse=True)
    assert told[2] == first


def test_that_a_cell_walked_to_is_never_under_the_names(qtbot: QtBot, table: CircuitTable) -> None:
    view = scrolled(table).view
    view.setFocus()
    view.setCurrentIndex(table.order.index(0, len(COLUMNS) - 1))
    for column in range(len(COLUMNS) - 2, 1, -1):
        qtbot.keyClick(view, Qt.Key.Key_Left)
        assert view.currentIndex().column() == column
        if view.front.isVisible():
            assert view.columnViewportPosition(column) >= view.front.width() - 1
