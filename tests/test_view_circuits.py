"""The table of circuits: what it says, how it is sorted, filtered, copied and walked by hand."""

from __future__ import annotations

import csv
import io

import pytest
from a_wired_site import judged
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QGuiApplication
from pytestqt.qtbot import QtBot

from app.places import demo_sites
from app.views.circuit_rows import COLUMNS, end_name, exported, rows, sorted_by
from app.views.circuit_table import EMPTY, CircuitTable
from engine import evaluate, load
from engine.evaluation import Evaluation
from engine.finding import Status

PLACE = {column.key: at for at, column in enumerate(COLUMNS)}


@pytest.fixture(scope="module")
def clinic() -> Evaluation:
    return evaluate(load(demo_sites() / "tropical_clinic.toml"))


@pytest.fixture
def table(qtbot: QtBot, clinic: Evaluation) -> CircuitTable:
    made = CircuitTable()
    qtbot.addWidget(made)
    made.resize(900, 300)
    made.show_rows(rows(clinic), "metric", next(iter(clinic.circuits)))
    made.show()
    return made


def ids(table: CircuitTable) -> list[str]:
    return [row.circuit.id for row in table.shown()]


def test_that_every_circuit_has_a_row_in_the_order_of_the_line(
    table: CircuitTable, clinic: Evaluation
) -> None:
    assert ids(table) == list(clinic.circuits)


def test_that_a_row_wears_the_worst_status_of_its_circuit() -> None:
    evaluation = judged({"circuits.south-run.size": "14 AWG"})
    worst = {row.circuit.id: row.status for row in rows(evaluation)}
    assert worst["south-run"] is Status.FAILS is evaluation.worst("circuits.south-run")
    assert worst["c-battery"] is evaluation.worst("circuits.c-battery")


def test_that_what_is_missing_is_called_unknown_and_never_left_empty() -> None:
    evaluation = judged({"circuits.south-run.length": "", "site.design_high": ""})
    for cells in list(exported(rows(evaluation), "us"))[1:]:
        assert all(cells[: len(COLUMNS)])
    (run,) = [row for row in rows(evaluation) if row.circuit.id == "south-run"]
    lacking = [column.key for column in COLUMNS if column.value(run) is None]
    assert lacking == ["length", "drop", "loss"] or {"length", "drop"} <= set(lacking)


def test_that_a_fuse_which_is_not_needed_is_told_from_one_that_is_not_known(clinic: Evaluation) -> None:
    device = COLUMNS[PLACE["device"]]
    absent = {r.circuit.id: device.absent(r) for r in rows(clinic) if device.value(r) is None}
    assert absent
    assert all((text == "none") is (not clinic.circuits[id].device_needed) for id, text in absent.items())


def test_that_exported_numbers_are_plain_in_the_unit_of_their_head(clinic: Evaluation) -> None:
    for habit, unit, metres in (("metric", "m", 1.0), ("us", "ft", 0.3048)):
        head, *body = exported(rows(clinic), habit)
        at = head.index(f"Length [{unit}]")
        for cells, circuit in zip(body, clinic.circuits.values(), strict=True):
            assert circuit.length is not None
            assert float(cells[at]) * metres == pytest.approx(circuit.length, rel=1e-5)


def test_that_an_export_says_what_was_assumed(clinic: Evaluation) -> None:
    for cells, circuit in zip(
        list(exported(rows(clinic), "metric"))[1:], clinic.circuits.values(), strict=True
    ):
        assert all(f"{item.title} {item.text}" in cells[-1] for item in circuit.assumed)


def test_that_the_ends_of_a_circuit_are_called_by_their_labels(clinic: Evaluation) -> None:
    array = clinic.design.arrays[0]
    assert end_name(clinic.design, array.id) == array.label
    assert end_name(clinic.design, f"{array.id}-combiner") == f"{array.label}, combiner"
    assert end_name(clinic.design, "dc-panel") == "dc panel"
    assert end_name(clinic.design, "roof-charger") == "Roof charger, 250 V 100 A class"  # not of array "roof"


def test_that_a_click_on_a_head_sorts_by_size_and_a_second_one_the_other_way(
    table: CircuitTable, qtbot: QtBot
) -> None:
    head = table.view.horizontalHeader()
    at = PLACE["conductor"]
    spot = QPoint(head.sectionViewportPosition(at) + 12, head.height() // 2)
    for again in (False, True):
        qtbot.mouseClick(head.viewport(), Qt.MouseButton.LeftButton, pos=spot)
        areas = [row.circuit.conductor.area_mm2 for row in table.shown() if row.circuit.conductor]
        assert areas == sorted(areas, reverse=again)
    qtbot.mouseClick(head.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    assert ids(table) == [row.circuit.id for row in table.model.rows]


@pytest.mark.parametrize("falling", [False, True])
def test_that_what_is_not_known_is_sorted_last_either_way(
    table: CircuitTable, qtbot: QtBot, falling: bool
) -> None:
    table.view.setCurrentIndex(table.order.index(0, PLACE["device"]))
    for _ in range(1 + falling):
        qtbot.keyClick(table.view, Qt.Key.Key_S)
    values = [sorted_by(row, COLUMNS[PLACE["device"]]) for row in table.shown()]
    known = [value for value in values if value is not None]
    assert known == sorted(known, key=lambda value: float(str(value)), reverse=falling)
    assert None in values and values[len(known) :] == [None] * (len(values) - len(known))


def test_that_typing_keeps_the_circuits_that_have_every_word(table: CircuitTable, qtbot: QtBot) -> None:
    before = ids(table)
    qtbot.keyClicks(table.filter, "ROOF combiner")
    assert 0 < len(ids(table)) < len(before)
    for row in table.shown():
        told = " ".join(table.model.cell(table.model.rows.index(row), at) for at in range(len(COLUMNS)))
        assert "roof" in told.casefold() and "combiner" in told.casefold()
    qtbot.keyClick(table.filter, Qt.Key.Key_Escape)
    assert ids(table) == before


def test_that_walking_with_the_keys_chooses_circuits(table: CircuitTable, qtbot: QtBot) -> None:
    chosen: list[str] = []
    table.circuit_chosen.connect(chosen.append)
    table.view.setFocus()
    for key in (Qt.Key.Key_Down, Qt.Key.Key_Down, Qt.Key.Key_Up):
        qtbot.keyClick(table.view, key)
    assert chosen == [ids(table)[at] for at in (1, 2, 1)]


def test_that_showing_another_evaluation_tells_nobody_and_keeps_the_hand(
    table: CircuitTable, clinic: Evaluation
) -> None:
    chosen: list[str] = []
    table.circuit_chosen.connect(chosen.append)
    third = ids(table)[2]
    for habit in ("us", "metric"):
        table.show_rows(rows(clinic), habit, third)
    table.show_rows(rows(clinic)[1:], "metric", third)
    assert chosen == []
    assert [row.circuit.id for row in table.selected()] == [third]


def test_that_a_filter_which_hides_the_hand_chooses_nothing_else(table: CircuitTable, qtbot: QtBot) -> None:
    chosen: list[str] = []
    table.circuit_chosen.connect(chosen.append)
    qtbot.keyClicks(table.filter, "yard")
    assert table.selected() == () and chosen == []
    qtbot.keyClick(table.filter, Qt.Key.Key_Down)
    assert chosen == [ids(table)[0]]


def test_that_control_c_copies_the_selected_circuits_with_their_heads(
    table: CircuitTable, qtbot: QtBot
) -> None:
    table.view.setFocus()
    qtbot.keyClick(table.view, Qt.Key.Key_Down)
    qtbot.keyClick(table.view, Qt.Key.Key_Down, Qt.KeyboardModifier.ShiftModifier)
    qtbot.keyClick(table.view, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    copied = [line.split("\t") for line in QGuiApplication.clipboard().text().splitlines()]
    assert [cells[PLACE["id"]] for cells in copied[1:]] == ids(table)[1:3]
    assert copied[0][: len(COLUMNS)] == list(next(exported((), "metric")))[: len(COLUMNS)]


def test_that_the_copy_button_copies_what_is_shown_and_no_more(table: CircuitTable, qtbot: QtBot) -> None:
    qtbot.keyClicks(table.filter, "yard")
    (button,) = [each for each in table._buttons if each.text() == "Copy"]
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)
    lines = QGuiApplication.clipboard().text().splitlines()
    assert [line.split("\t")[PLACE["id"]] for line in lines[1:]] == ids(table)


def test_that_the_saved_text_reads_back_as_the_table(table: CircuitTable, qtbot: QtBot) -> None:
    table.view.setCurrentIndex(table.order.index(0, PLACE["current"]))
    qtbot.keyClick(table.view, Qt.Key.Key_S)
    read = list(csv.reader(io.StringIO(table.csv(), newline="")))
    assert read == [list(cells) for cells in exported(table.shown(), "metric")]


def test_that_an_empty_design_says_what_makes_a_circuit(qtbot: QtBot) -> None:
    table = CircuitTable()
    qtbot.addWidget(table)
    table.show_rows((), "us", "")
    table.show()
    assert table._empty.isVisible() and table._empty.text() == EMPTY
    assert not any(button.isEnabled() for button in table._buttons)


def test_that_every_cell_can_be_spoken(table: CircuitTable) -> None:
    for at in range(len(COLUMNS)):
        spoken = table.order.index(0, at).data(Qt.ItemDataRole.AccessibleTextRole)
        assert spoken.partition(": ")[2]
