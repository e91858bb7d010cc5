"""The Wiring pane in the window, by mouse and keyboard: find a circuit, change it, see why, price, print."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from PySide6.QtCore import Qt, QUrl
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QFileDialog, QPushButton
from pytestqt.qtbot import QtBot

from app.panes.wiring import WiringPane, caution_of, circuit_of
from app.views.circuit_rows import COLUMNS, exported, rows
from engine import edit, evaluate
from tests.a_window import Hands, copy_of, over

CONTROL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture(autouse=True)
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path / "state"))


@pytest.fixture
def cabin(qtbot: QtBot, tmp_path: Path) -> Hands:
    hands = over(qtbot, copy_of("lake_cabin", tmp_path))
    hands.window.show_place("wiring")
    hands.settle()
    return hands


def pane(hands: Hands) -> WiringPane:
    shown = hands.window.shown
    assert isinstance(shown, WiringPane)
    return shown


def take(hands: Hands, id: str) -> None:
    """Walk the table down to a circuit by the keyboard."""
    table = pane(hands).table
    table.view.setFocus()
    hands.press(Qt.Key.Key_Home, CONTROL)
    for _ in range(table.order.place_of(id) - table.view.currentIndex().row()):
        hands.press(Qt.Key.Key_Down)
    assert hands.session.selected == f"circuits.{id}"


def face(hands: Hands, name: str) -> None:
    hands.bot.mouseClick(pane(hands).faces.button(name), Qt.MouseButton.LeftButton)
    hands.settle()


def saving(monkeypatch: pytest.MonkeyPatch, path: Path | str) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_args: (str(path), ""))


# Finding and changing a circuit


def test_that_a_circuit_taken_in_the_table_is_the_one_in_the_form_and_the_findings(cabin: Hands) -> None:
    take(cabin, "sun-charger-battery")
    assert pane(cabin)._title.text() == cabin.session.evaluation.circuits["sun-charger-battery"].title
    assert cabin.line("circuits.sun-charger-battery.length").text() == "8 ft"


def test_that_control_f_filters_and_the_arrow_goes_down_to_the_circuit(cabin: Hands) -> None:
    pane(cabin).table.view.setFocus()
    cabin.press(Qt.Key.Key_F, CONTROL)
    assert pane(cabin).table.filter.hasFocus()
    cabin.bot.keyClicks(pane(cabin).table.filter, "combiner controller")
    cabin.press(Qt.Key.Key_Down)
    assert cabin.session.selected == "circuits.south-run"


def test_that_enter_goes_to_the_fields_and_a_longer_run_gets_a_thicker_conductor(cabin: Hands) -> None:
    take(cabin, "south-run")
    before = cabin.session.evaluation.circuits["south-run"].conductor
    cabin.press(Qt.Key.Key_Return)
    assert cabin.line("circuits.south-run.length").hasFocus()
    cabin.type_in("circuits.south-run.length", "85 m")
    after = cabin.session.evaluation.circuits["south-run"].conductor
    assert before is not None and after is not None and after > before
    (row,) = [row for row in pane(cabin).table.shown() if row.circuit.id == "south-run"]
    assert row.circuit.conductor == after
    cabin.press(Qt.Key.Key_Z, CONTROL)
    assert cabin.session.evaluation.circuits["south-run"].conductor == before


def test_that_the_hand_stays_in_the_form_and_in_the_table_over_an_edit(cabin: Hands) -> None:
    take(cabin, "south-run")
    cabin.type_in("circuits.south-run.length", "90 ft")
    assert cabin.line("circuits.south-run.length").hasFocus()
    assert [row.circuit.id for row in pane(cabin).table.selected()] == ["south-run"]


def test_that_what_is_not_entered_is_shown_as_the_default_that_is_taken(cabin: Hands) -> None:
    take(cabin, "south-run")
    for name in ("ambient", "conductors", "method"):
        cabin.session.edit(f"circuits.south-run.{name}", "")
    cabin.settle()
    taken = {item.path: item.text for item in cabin.session.evaluation.circuits["south-run"].assumed}
    for name in ("ambient", "conductors"):
        path = f"circuits.south-run.{name}"
        assert cabin.line(path).placeholderText() == f"default: {taken[path]}"
    assert cabin.choice("circuits.south-run.method").currentText() == "default: raceway"
    cabin.type_in("circuits.south-run.ambient", "100 degF")
    take(cabin, "south-string")
    assert cabin.line("circuits.south-string.size").placeholderText() == "not entered"


def test_that_a_device_lane_on_the_ladder_takes_its_circuit(cabin: Hands) -> None:
    take(cabin, "south-run")
    lanes = pane(cabin)._ladder._lanes
    assert "circuits.south-run" in [lane.path for lane in lanes]
    assert {"bank", "arrays.south", "controllers.sun-charger", "modules.m400"} <= {
        lane.path for lane in lanes
    }


# Which circuit, which caution


def test_that_the_pane_keeps_its_circuit_where_it_is_of_the_selected_piece(cabin: Hands) -> None:
    evaluation = cabin.session.evaluation
    assert circuit_of(evaluation, "", "") == next(iter(evaluation.circuits))
    assert circuit_of(evaluation, "circuits.house-battery", "south-run") == "house-battery"
    assert circuit_of(evaluation, "arrays.south", "south-run") == "south-run"
    assert circuit_of(evaluation, "arrays.south", "house-battery") == "south-string"
    assert circuit_of(evaluation, "loads.fridge", "house-battery") == "house-battery"
    assert circuit_of(evaluation, "arrays.gone", "gone-run") == next(iter(evaluation.circuits))


def test_that_a_turbine_s_circuit_never_goes_without_the_turbine_s_caution(cabin: Hands) -> None:
    for circuit in cabin.session.evaluation.circuits.values():
        if circuit.piece.startswith("wind."):
            assert caution_of(circuit) == "wind"
        if circuit.array:
            assert caution_of(circuit) in ("array", "combiner")
        if circuit.kind in ("ac", "generator"):
            assert caution_of(circuit) == "ac"


# Reasons


def test_that_an_assumption_in_the_reasons_leads_to_its_field(cabin: Hands) -> None:
    take(cabin, "south-run")
    face(cabin, "why")
    pane(cabin)._reasons.anchorClicked.emit(QUrl("field:circuits.south-run.material"))
    cabin.settle()
    assert cabin.choice("circuits.south-run.material").hasFocus()


def test_that_where_the_drop_turns_is_found_by_a_click_and_true(cabin: Hands) -> None:
    take(cabin, "south-run")
    face(cabin, "why")
    pane(cabin)._reasons.anchorClicked.emit(QUrl("turn:voltage-drop"))
    told = pane(cabin)._reasons.toPlainText()
    line = next(line for line in told.splitlines() if line.startswith("Voltage drop: One-way length"))
    feet = float(line.rpartition("right up to ")[2].removesuffix(" ft"))
    size = cabin.session.evaluation.circuits["south-run"].conductor
    assert size is not None
    for length, meets in ((feet, True), (feet * 1.01, False)):
        texts = {"circuits.south-run.length": f"{length} ft", "circuits.south-run.size": size.text}
        circuit = evaluate(edit.set_fields(cabin.design, texts)).circuits["south-run"]
        assert circuit.drop_fraction is not None and circuit.drop_allowed is not None
        assert (circuit.drop_fraction <= circuit.drop_allowed) is meets


def test_that_a_number_opens_in_its_worksheet(cabin: Hands) -> None:
    take(cabin, "south-run")
    face(cabin, "why")
    pane(cabin)._reasons.anchorClicked.emit(QUrl("worksheet:drop"))
    cabin.settle()
    assert cabin.window.place == "worksheets"


# Money


def test_that_money_asks_for_a_price_and_takes_it_beside_the_bars(cabin: Hands) -> None:
    for wire in cabin.design.wires:
        cabin.session.remove(f"wires.{wire.id}")
    cabin.settle()
    take(cabin, "south-run")
    face(cabin, "money")
    assert "Price a metre of 4 AWG" in pane(cabin)._money._told.text()
    pane(cabin)._money._told.linkActivated.emit("price:4 AWG")
    cabin.settle()
    (wire,) = cabin.design.wires
    assert wire.size is not None and wire.size.text == "4 AWG"
    assert cabin.line(f"wires.{wire.id}.price").hasFocus()
    cabin.type_in(f"wires.{wire.id}.price", "4.8")
    button = next(each for each in pane(cabin).findChildren(QPushButton) if each.text() == "Price of 6 AWG")
    button.setFocus()
    cabin.bot.keyClick(button, Qt.Key.Key_Space)
    cabin.settle()
    cabin.type_in(f"wires.{cabin.design.wires[-1].id}.price", "3.1")
    told = pane(cabin)._money._told.text()
    assert "6 AWG costs least" in told and "Enter" not in told
    for _ in range(2):  # the price and its record are a step each
        cabin.press(Qt.Key.Key_Z, CONTROL)
    assert len(cabin.design.wires) == 1


def test_that_a_price_that_can_not_be_read_says_why_and_changes_nothing(cabin: Hands) -> None:
    take(cabin, "south-run")
    face(cabin, "money")
    before = cabin.entered("prices.array_watt")
    cabin.type_in("prices.array_watt", "seventy cents")
    assert cabin.entered("prices.array_watt") == before
    assert cabin.row("prices.array_watt").note.isVisible()


def test_that_the_run_of_an_array_and_of_a_turbine_offer_another_voltage(cabin: Hands) -> None:
    take(cabin, "south-run")
    face(cabin, "voltage")
    assert "in series" in pane(cabin)._voltage._told.text()
    take(cabin, "mast-run")
    face(cabin, "voltage")
    told = pane(cabin)._voltage._told.text()
    assert "As wound" in told and "twice the turns" in told and "ac before the rectifier" in told
    cabin.type_in("circuits.mast-run.length", "400 ft")
    assert pane(cabin)._voltage._told.text() != told
    take(cabin, "south-string")
    assert not pane(cabin).faces.button("voltage").isEnabled() and pane(cabin).faces.shown == "ladder"


def test_that_a_jump_to_a_price_from_elsewhere_in_the_pane_turns_to_the_money(cabin: Hands) -> None:
    take(cabin, "south-run")
    assert cabin.window.go_to("prices.array_watt")
    assert pane(cabin).faces.shown == "money" and cabin.line("prices.array_watt").hasFocus()


# Taking it along


def test_that_the_table_is_copied_whole_by_its_button(cabin: Hands) -> None:
    button = next(each for each in pane(cabin).table._buttons if each.text() == "Copy")
    cabin.bot.mouseClick(button, Qt.MouseButton.LeftButton)
    copied = [line.split("\t") for line in QGuiApplication.clipboard().text().splitlines()]
    assert copied == [list(cells) for cells in exported(rows(cabin.session.evaluation), "us")]
    assert copied[0][0] == "Status" and len(copied[0]) == len(COLUMNS) + 1


def test_that_a_csv_is_saved_with_what_is_shown(
    cabin: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    saving(monkeypatch, tmp_path / "mine")  # no ending typed
    cabin.bot.keyClicks(pane(cabin).table.filter, "boathouse")
    pane(cabin).table.csv_asked.emit()
    with (tmp_path / "mine.csv").open(newline="", encoding="utf-8") as file:
        read = list(csv.reader(file))
    assert [cells[-2] for cells in read[1:]] == ["south-string", "south-run"]


def test_that_a_pdf_is_printed_and_says_what_was_left_out(
    cabin: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    saving(monkeypatch, tmp_path / "mine.pdf")
    pane(cabin).table.print_asked.emit()
    assert (tmp_path / "mine.pdf").read_bytes().startswith(b"%PDF-")


def test_that_a_file_that_can_not_be_written_is_said_and_one_that_was_not_chosen_is_not(
    cabin: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    saving(monkeypatch, tmp_path / "no" / "mine.csv")
    pane(cabin).table.csv_asked.emit()
    assert "Not saved: mine.csv" in cabin.window.notice.text
    saving(monkeypatch, "")
    pane(cabin).table.print_asked.emit()
    assert not list(tmp_path.glob("*.pdf"))


# Holding up


def test_that_an_empty_site_says_what_makes_a_circuit(qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "empty.toml"
    path.write_text("format = 1\n", "utf-8")
    hands = over(qtbot, path)
    hands.window.show_place("wiring")
    for name in ("why", "money", "ladder"):
        face(hands, name)
    assert pane(hands).table._empty.isVisible()


def test_that_circuits_of_every_side_can_be_looked_at_with_every_face_in_every_look(cabin: Hands) -> None:
    for look in ("dark", "projector", "light"):
        cabin.window.set_look(look)
        for id in list(cabin.session.evaluation.circuits)[::5]:
            cabin.window.choose(f"circuits.{id}")
            for name in ("ladder", "why", "money", "voltage"):
                if pane(cabin).faces.button(name).isEnabled():
                    face(cabin, name)
                    cabin.window.grab()


def test_that_three_hundred_edits_leave_no_widget_behind(cabin: Hands) -> None:
    take(cabin, "south-run")
    face(cabin, "money")

    def edits(times: int) -> int:
        for at in range(times):
            cabin.session.edit("circuits.south-run.length", f"{80 + at % 7} ft")
            cabin.session.settle()
        QApplication.sendPostedEvents(None, 52)  # deferred deletes
        return len(pane(cabin).findChildren(QPushButton)) + len(QApplication.allWidgets())

    before = edits(20)
    assert edits(300) <= before
