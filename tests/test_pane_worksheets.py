"""The Worksheets pane: every calculation opens, answers, says what is wrong, and can be taken along."""

from __future__ import annotations

import json
import math
import shlex
from typing import Any

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QFontMetrics, QGuiApplication, QTextDocumentFragment
from PySide6.QtWidgets import QComboBox, QFrame, QLabel, QLineEdit, QPushButton
from pytestqt.qtbot import QtBot

from app.__main__ import main
from app.look import LIGHT, PROJECTOR, Look, style_sheet
from app.panes.worksheets import WorksheetsPane
from app.views.worksheet_form import command, example, run_typed, texts_of
from engine.physics import pv
from engine.physics.worksheets import BY_ID, WORKSHEETS
from engine.steps import as_json, lines
from engine.worksheet import Worksheet, work
from engine.worksheet_text import value_json

EVERY = pytest.mark.parametrize("sheet", WORKSHEETS, ids=lambda sheet: sheet.id)


@pytest.fixture
def pane(qtbot: QtBot) -> WorksheetsPane:
    made = WorksheetsPane()
    qtbot.addWidget(made)
    made.resize(1000, 560)
    made.show()
    return made


def control(pane: WorksheetsPane, name: str) -> QLineEdit:
    found = pane.form.rows[name].control
    assert isinstance(found, QLineEdit)
    return found


def type_in(qtbot: QtBot, pane: WorksheetsPane, name: str, text: str) -> None:
    line = control(pane, name)
    line.selectAll()
    qtbot.keyClicks(line, text) if text else qtbot.keyClick(line, Qt.Key.Key_Delete)
    qtbot.keyClick(line, Qt.Key.Key_Return)


def press(qtbot: QtBot, pane: WorksheetsPane, text: str) -> None:
    (button,) = (b for b in pane.findChildren(QPushButton) if b.text() == text)
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def same(one: Any, other: Any) -> bool:
    """Equal, numbers to a part in a million: a text in the other habit carries twelve digits."""
    if isinstance(one, float) and isinstance(other, float):
        return math.isclose(one, other, rel_tol=1e-6, abs_tol=1e-9)
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(same, one, other))
    return bool(one == other)


@EVERY
def test_that_every_worksheet_answers_with_its_example(sheet: Worksheet, pane: WorksheetsPane) -> None:
    pane.open(sheet.id)
    assert "No result" not in pane.result.answer.text()
    assert pane.result.worked.plain().startswith(sheet.title)
    shown = QTextDocumentFragment.fromHtml(pane.result.answer.text()).toPlainText()
    assert all(output.title[1:] in shown for output in sheet.outputs)
    assert all(row.note.isHidden() for row in pane.form.rows.values())


@EVERY
@pytest.mark.parametrize("habit", ["us", "metric"])
def test_that_a_worked_step_opens_with_its_own_numbers_in_any_habit(sheet: Worksheet, habit: str) -> None:
    first = run_typed(sheet, example(sheet))
    again = run_typed(sheet, texts_of(sheet, dict(first.inputs), habit))
    for name, value in first.outputs.items():
        assert same(value, again.outputs[name]), name


@EVERY
def test_that_the_copied_command_gives_the_same_answer_in_a_terminal(
    sheet: Worksheet, capsys: pytest.CaptureFixture[str]
) -> None:
    program, *arguments = shlex.split(command(sheet, example(sheet)))
    assert program == "farstead"
    assert main([*arguments, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["outputs"] == as_json(run_typed(sheet, example(sheet)))["outputs"]


def test_that_a_typed_input_changes_the_result_at_once(pane: WorksheetsPane, qtbot: QtBot) -> None:
    pane.open("pv-cold-voltage")
    type_in(qtbot, pane, "temperature", "14 degF")
    type_in(qtbot, pane, "modules", "11")
    by_hand = 49.5 * (1 - 0.0027 * (-10 - 25)) * 11
    expected = work(pv.cold_voltage, voc=49.5, beta_voc=-0.0027, temperature=-10.0, modules=11)
    assert expected.outputs["voltage"] == pytest.approx(by_hand)
    assert "596 V" in pane.result.answer.text()
    assert "11 · 54.1778" in pane.result.worked.plain()


def test_that_a_wrong_input_says_why_where_it_stands_and_there_is_no_result(
    pane: WorksheetsPane, qtbot: QtBot
) -> None:
    pane.open("pv-cold-voltage")
    type_in(qtbot, pane, "voc", "49,5,1 A")
    row = pane.form.rows["voc"]
    assert row.note.isVisible()
    assert "49,5,1 A" in row.note.text()
    assert control(pane, "voc").text() == "49,5,1 A"
    assert "No result" in pane.result.answer.text()
    assert not pane.result.worked.isVisible()
    (copy,) = (b for b in pane.findChildren(QPushButton) if b.text() == "Copy steps")
    assert not copy.isEnabled()
    type_in(qtbot, pane, "voc", "49.5 V")
    assert row.note.isHidden()
    assert "54.18 V" in pane.result.answer.text()


def test_that_every_wrong_input_is_marked_not_only_the_first(pane: WorksheetsPane, qtbot: QtBot) -> None:
    pane.open("pv-cold-voltage")
    type_in(qtbot, pane, "voc", "high")
    type_in(qtbot, pane, "temperature", "cold")
    wrong = [name for name, row in pane.form.rows.items() if row.note.isVisible()]
    assert wrong == ["voc", "temperature"]


def test_that_an_end_of_a_table_is_told_although_no_input_is_wrong(
    pane: WorksheetsPane, qtbot: QtBot
) -> None:
    pane.open("pv-table-voltage")
    type_in(qtbot, pane, "temperature", "-60 degC")
    assert "No result" in pane.result.answer.text()
    assert "690.7(A)" in pane.result.answer.text()


def test_that_an_emptied_input_takes_its_default_again(pane: WorksheetsPane, qtbot: QtBot) -> None:
    pane.open("pv-cold-voltage")
    type_in(qtbot, pane, "modules", "4")
    assert control(pane, "modules").property("default") is False
    type_in(qtbot, pane, "modules", "")
    assert control(pane, "modules").text() == ""
    assert control(pane, "modules").placeholderText() == "default: 1"
    assert control(pane, "modules").property("default") is True


def test_that_an_emptied_input_without_a_default_is_asked_for(pane: WorksheetsPane, qtbot: QtBot) -> None:
    pane.open("pv-cold-voltage")
    type_in(qtbot, pane, "voc", "")
    assert "got nothing" in pane.form.rows["voc"].note.text()


def test_that_the_rule_family_is_chosen_from_its_words_with_keys(pane: WorksheetsPane, qtbot: QtBot) -> None:
    pane.open("wire-resistance")
    before = pane.result.answer.text()
    combo = pane.form.rows["rules"].control
    assert isinstance(combo, QComboBox)
    offered = [combo.itemText(n) for n in range(combo.count())]
    assert offered == ["nec-2023", "nec-2020", "nec-2017", "iec"]
    combo.setFocus()
    qtbot.keyClick(combo, Qt.Key.Key_End)
    type_in(qtbot, pane, "size", "6 mm2")
    assert combo.currentText() == "iec"
    assert pane.result.answer.text() != before


def test_that_what_was_typed_is_there_when_one_comes_back_and_the_example_can_be_had_again(
    pane: WorksheetsPane, qtbot: QtBot
) -> None:
    pane.open("pv-cold-voltage")
    type_in(qtbot, pane, "voc", "60 V")
    pane.open("wind-power")
    pane.open("pv-cold-voltage")
    assert control(pane, "voc").text() == "60 V"
    press(qtbot, pane, "Back to the example")
    assert control(pane, "voc").text() == BY_ID["pv-cold-voltage"].input("voc").example


def test_that_a_finding_opens_its_worksheet_with_the_design_s_numbers(pane: WorksheetsPane) -> None:
    step = work(pv.cold_voltage, voc=44.5, beta_voc=-0.0028, temperature=-33.9, modules=3)
    pane.set_habit("us")
    pane.open_with("pv-cold-voltage", dict(step.inputs))
    assert control(pane, "temperature").text() == "-29.02 °F"
    assert pane.result.worked.plain() == "\n".join(lines(step, "us"))
    assert pane.tree.currentItem().text(0) == step.sheet.title


def test_that_results_stand_in_the_habit_with_the_other_beside(pane: WorksheetsPane) -> None:
    pane.open("wire-geometry")
    pane.set_habit("us")
    assert " in<" in pane.result.answer.text()
    assert "mm<" in pane.result.answer.text()
    us = pane.result.answer.text()
    pane.set_habit("metric")
    assert pane.result.answer.text() != us


def test_that_words_find_a_worksheet_and_enter_opens_it(pane: WorksheetsPane, qtbot: QtBot) -> None:
    (search,) = (w for w in pane.findChildren(QLineEdit) if w.accessibleName() == "Find a calculation")
    search.setFocus()
    qtbot.keyClicks(search, "peukert")
    shown = [id for id, item in pane.items.items() if not item.isHidden()]
    assert shown == ["battery-runtime"]
    visible = [pane.tree.topLevelItem(n) for n in range(pane.tree.topLevelItemCount())]
    assert [item.text(0) for item in visible if not item.isHidden()] == ["Storage"]
    qtbot.keyClick(search, Qt.Key.Key_Return)
    assert pane.result.worked.plain().startswith(BY_ID["battery-runtime"].title)
    qtbot.keyClicks(search, " xyzzy")
    told = next(
        label.text() for label in pane.findChildren(QLabel) if f"0 of {len(WORKSHEETS)}" in label.text()
    )
    assert "Protection, One circuit" in told


def test_that_the_list_is_walked_with_the_arrow_keys(pane: WorksheetsPane, qtbot: QtBot) -> None:
    pane.open(WORKSHEETS[0].id)
    pane.tree.setFocus()
    qtbot.keyClick(pane.tree, Qt.Key.Key_Down)
    assert pane.result.worked.plain().startswith(WORKSHEETS[1].title)


def test_that_steps_and_command_are_copied(pane: WorksheetsPane, qtbot: QtBot) -> None:
    pane.open("pv-cold-voltage")
    press(qtbot, pane, "Copy steps")
    assert QGuiApplication.clipboard().text() == pane.result.worked.plain()
    press(qtbot, pane, "Copy command")
    line = 'farstead work pv-cold-voltage voc="49.5 V" beta_voc="-0.27 %/K" temperature="-10 degC"'
    assert QGuiApplication.clipboard().text() == line


@pytest.mark.parametrize("look", [LIGHT, PROJECTOR], ids=lambda look: look.name)
def test_that_no_title_and_no_field_is_cut(look: Look, pane: WorksheetsPane, qtbot: QtBot) -> None:
    pane.setStyleSheet(style_sheet(look))
    pane.set_look(look)
    qtbot.wait(1)
    for item in pane.items.values():
        need = pane.tree.itemDelegate().sizeHint(None, pane.tree.indexFromItem(item)).height()  # type: ignore[arg-type]
        assert pane.tree.visualItemRect(item).height() >= need
    for sheet in WORKSHEETS:
        pane.open(sheet.id)
        qtbot.waitUntil(lambda: assert_uncut(pane))


def assert_uncut(pane: WorksheetsPane) -> None:
    inside = pane.form.parentWidget()
    for row in pane.form.rows.values():
        assert row.control.accessibleName()
        assert row.title.height() >= row.title.heightForWidth(row.title.width())
        right = row.control.mapTo(inside, QPoint(row.control.width(), 0)).x()
        assert right <= inside.parentWidget().width()
        if isinstance(row.control, QComboBox):
            words = QFontMetrics(row.control.font()).horizontalAdvance(row.control.currentText())
            assert words <= row.control.width() - 34


@pytest.mark.parametrize("width", [900, 1000, 1400])
@pytest.mark.parametrize("look", [LIGHT, PROJECTOR], ids=lambda look: look.name)
def test_that_form_and_result_never_overlap(
    look: Look, width: int, pane: WorksheetsPane, qtbot: QtBot
) -> None:
    pane.setStyleSheet(style_sheet(look))
    pane.set_look(look)
    pane.resize(width, 560)
    qtbot.wait(1)
    sheets = [frame.geometry() for frame in pane.findChildren(QFrame, "sheet")]
    assert len(sheets) == 3
    for place, sheet in enumerate(sheets):
        assert pane.rect().contains(sheet)
        assert not any(sheet.intersects(other) for other in sheets[place + 1 :])
    for button in pane.findChildren(QPushButton):
        assert button.width() >= button.sizeHint().width()


def test_that_unrounded_results_reach_json_through_the_same_words() -> None:
    worked = run_typed(BY_ID["pv-cold-voltage"], example(BY_ID["pv-cold-voltage"]))
    assert value_json(worked.outputs["module_voltage"], "V")["value"] == pytest.approx(54.17775, abs=1e-9)
