"""The fields of a form by mouse and keyboard: what is typed, taken, refused, kept and undone."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QGuiApplication, QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QApplication, QLineEdit, QPushButton, QToolButton, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from app.bind import Form, tip
from app.fields.cells import Cells
from app.fields.controls import Block, Choice, Line
from app.fields.row import FieldRow
from app.places import demo_sites
from app.session import Session
from engine import edit, load
from engine.design import KEYED, SINGLE, About, Array, Controller, Module, Site

CABIN = demo_sites() / "lake_cabin.toml"


class Desk(QWidget):
    """A form over a session, and a field beside it to move the focus to."""

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.form = Form(session)
        self.elsewhere = QLineEdit()
        column = QVBoxLayout(self)
        column.addWidget(self.form)
        column.addWidget(self.elsewhere)
        session.evaluated.connect(self.form.refresh)

    def row(self, path: str) -> FieldRow:
        row = self.form.row(path)
        assert row is not None
        return row

    def line(self, path: str) -> Line:
        control = self.row(path).control
        assert isinstance(control, Line)
        return control

    def choice(self, path: str) -> Choice:
        control = self.row(path).control
        assert isinstance(control, Choice)
        return control

    def cells(self, path: str) -> list[Line]:
        control = self.row(path).control
        assert isinstance(control, Cells)
        return control.findChildren(Line)

    def entered(self, path: str) -> str:
        return edit.typed(self.session.design, path)


@pytest.fixture
def desk(qtbot: QtBot) -> Desk:
    made = Desk(Session(load(CABIN), CABIN))
    qtbot.addWidget(made)
    made.resize(360, 900)
    made.show()
    made.activateWindow()
    qtbot.waitUntil(made.isActiveWindow)
    return made


Type = Callable[..., None]


@pytest.fixture
def type_in(qtbot: QtBot) -> Type:
    """Click into a field, clear it, type, and leave it by Enter or Tab."""

    def do(control: Line | Block, text: str, leave: Qt.Key = Qt.Key.Key_Return) -> None:
        qtbot.mouseClick(control, Qt.MouseButton.LeftButton)
        control.selectAll()
        qtbot.keyClick(control, Qt.Key.Key_Delete)
        qtbot.keyClicks(control, text)
        if leave is not Qt.Key.Key_unknown:
            qtbot.keyClick(control, leave)

    return do


def test_that_every_field_of_every_record_has_a_row_with_a_name_and_a_tip(desk: Desk) -> None:
    session = desk.session
    for table, kind in (("", About), *SINGLE.items(), *KEYED.items()):
        if table in KEYED and table != "circuits" and not getattr(session.design, table):
            session.add(table)
        owner = f"{table}.{getattr(session.design, table)[0].id}" if table in KEYED else table
        desk.form.set_paths(owner, kind.specs())
        for name in kind.specs():
            row = desk.row(f"{owner}.{name}" if owner else name)
            assert row.control.accessibleName() and row.title.text()
            assert row.toolTip() or row.spec.kind not in ("quantity", "count")
            assert row.control.focusPolicy() & Qt.FocusPolicy.TabFocus or row.control.focusProxy()


@pytest.mark.parametrize("leave", [Qt.Key.Key_Return, Qt.Key.Key_Tab])
def test_that_a_typed_temperature_reaches_the_design_in_any_unit(
    desk: Desk, type_in: Type, leave: Qt.Key
) -> None:
    desk.form.set_paths("site", Site.specs())
    type_in(desk.line("site.design_low"), "-38 degC", leave)
    assert desk.session.design.site.design_low == -38
    assert desk.line("site.design_low").text() == "-36.4 °F"
    assert "Typed: -38 degC" in desk.row("site.design_low").toolTip()
    desk.session.undo_stack.undo()
    desk.session.settle()
    assert desk.line("site.design_low").text() == "-31 degF"


def test_that_the_habit_changes_what_fields_show_and_nothing_else(desk: Desk) -> None:
    desk.form.set_paths("site", Site.specs())
    before = desk.session.design
    assert desk.line("site.elevation").text() == "1400 ft"
    assert "= 426.7 m" in desk.row("site.elevation").toolTip()
    desk.session.swap_habit()
    assert desk.line("site.elevation").text() == "426.7 m"
    assert "Typed: 1400 ft" in desk.row("site.elevation").toolTip()
    desk.elsewhere.setFocus()
    desk.line("site.elevation").setFocus()
    desk.elsewhere.setFocus()
    assert desk.session.design is before and not desk.session.dirty


def test_that_bad_text_says_what_was_read_and_needed_and_the_old_value_stays(
    desk: Desk, type_in: Type
) -> None:
    desk.form.set_paths("modules.m400", Module.specs())
    row, line = desk.row("modules.m400.voc"), desk.line("modules.m400.voc")
    type_in(line, "5 A")
    assert row.note.isVisible() and row.note.objectName() == "error"
    for part in ('"5 A"', "a voltage such as 44.5 V", "49.6 V stays"):
        assert part in row.note.text()
    assert line.text() == "5 A" and line.property("bad")
    assert desk.entered("modules.m400.voc") == "49.6 V" and not desk.session.dirty
    assert desk.form.unread() == ("Open circuit",)
    type_in(desk.line("modules.m400.isc"), "10.4 A")
    desk.session.settle()
    assert line.text() == "5 A" and row.note.isVisible()
    type_in(line, "49.9 V")
    assert not row.note.isVisible() and not line.property("bad") and desk.form.unread() == ()


def test_that_escape_puts_the_old_value_back(desk: Desk, type_in: Type, qtbot: QtBot) -> None:
    desk.form.set_paths("modules.m400", Module.specs())
    line = desk.line("modules.m400.voc")
    type_in(line, "abc")
    qtbot.keyClick(line, Qt.Key.Key_Escape)
    assert line.text() == "49.6 V" and not desk.row("modules.m400.voc").note.isVisible()


def test_that_a_value_that_contradicts_another_field_is_refused(desk: Desk, type_in: Type) -> None:
    desk.form.set_paths("modules.m400", Module.specs())
    type_in(desk.line("modules.m400.vmp"), "52 V")
    assert desk.row("modules.m400.vmp").note.isVisible()
    assert desk.entered("modules.m400.vmp") == "41.3 V"


def test_that_a_field_being_typed_in_is_not_overwritten_by_a_change_elsewhere(
    desk: Desk, type_in: Type
) -> None:
    desk.form.set_paths("arrays.south", Array.specs())
    line = desk.line("arrays.south.tilt")
    type_in(line, "12", Qt.Key.Key_unknown)
    desk.session.edit("arrays.south.modules", "3")
    desk.session.settle()
    assert line.text() == "12" and line.hasFocus()
    assert desk.line("arrays.south.modules").text() == "3"
    desk.session.edit("arrays.south.tilt", "20 deg")
    desk.session.settle()
    assert line.text() == "20 deg"


def test_that_a_refresh_keeps_the_widgets_and_the_focus(desk: Desk) -> None:
    desk.form.set_paths("arrays.south", Array.specs())
    rows = [desk.row(f"arrays.south.{name}") for name in Array.specs()]
    line = desk.line("arrays.south.tilt")
    line.setFocus()
    line.setCursorPosition(1)
    desk.session.edit("arrays.south.modules", "3")
    desk.session.settle()
    desk.form.set_paths("arrays.south", Array.specs())
    assert [desk.row(f"arrays.south.{name}") for name in Array.specs()] == rows
    assert line.hasFocus() and line.cursorPosition() == 1


def test_that_another_record_of_the_same_kind_takes_over_the_rows(desk: Desk, type_in: Type) -> None:
    desk.form.set_paths("controllers.sun-charger", Controller.specs())
    line = desk.line("controllers.sun-charger.standoff_limit")
    type_in(line, "bad")
    desk.form.set_paths("controllers.wind-charger", Controller.specs())
    assert desk.line("controllers.wind-charger.standoff_limit") is line
    assert line.text() == "150 V" and not line.property("bad")
    type_in(line, "160 V")
    assert desk.entered("controllers.wind-charger.standoff_limit") == "160 V"
    assert desk.entered("controllers.sun-charger.standoff_limit") == "150 V"


def test_that_undo_belongs_to_the_design_unless_something_is_being_typed(desk: Desk, type_in: Type) -> None:
    desk.form.set_paths("arrays.south", Array.specs())
    line = desk.line("arrays.south.tilt")
    type_in(line, "30 deg")
    undo = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    undo.ignore()
    QApplication.sendEvent(line, undo)
    assert not undo.isAccepted()
    type_in(line, "31", Qt.Key.Key_unknown)
    undo = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    QApplication.sendEvent(line, undo)
    assert undo.isAccepted()


def test_that_up_and_down_step_a_count_as_one_step_to_undo(desk: Desk, qtbot: QtBot) -> None:
    desk.form.set_paths("arrays.south", Array.specs())
    line = desk.line("arrays.south.modules")
    qtbot.mouseClick(line, Qt.MouseButton.LeftButton)
    for _ in range(3):
        qtbot.keyClick(line, Qt.Key.Key_Up)
    qtbot.keyClick(line, Qt.Key.Key_Down)
    assert desk.entered("arrays.south.modules") == line.text() == "4"
    assert desk.session.undo_stack.count() == 1
    for _ in range(5):
        qtbot.keyClick(line, Qt.Key.Key_Down)
    assert desk.entered("arrays.south.modules") == "1" and line.text() == "0"
    assert desk.row("arrays.south.modules").note.isVisible()


def test_that_an_empty_field_takes_its_value_away_and_a_default_stands_as_one(
    desk: Desk, type_in: Type
) -> None:
    desk.form.set_paths("site", Site.specs())
    desk.form.findChildren(QToolButton)[0].click()
    line = desk.line("site.wind_height")
    type_in(line, "")
    assert desk.entered("site.wind_height") == "" and line.text() == ""
    assert line.placeholderText() == "default: 32.81 ft"
    assert "common practice" in desk.row("site.wind_height").toolTip()
    record = desk.line("site.record_low")
    type_in(record, "")
    assert record.placeholderText() == "not entered"
    assert "unknown" in desk.row("site.record_low").toolTip()


def test_that_a_word_is_chosen_by_keyboard_and_its_default_can_come_back(desk: Desk, qtbot: QtBot) -> None:
    desk.form.set_paths("arrays.south", Array.specs())
    choice = desk.choice("arrays.south.mounting")
    assert choice.currentText() == "open rack"
    choice.setFocus()
    qtbot.keyClick(choice, Qt.Key.Key_Up)
    assert desk.entered("arrays.south.mounting") == "" and choice.currentText() == "default: close roof"
    assert choice.property("default")
    qtbot.keyClick(choice, Qt.Key.Key_End)
    assert desk.entered("arrays.south.mounting") == "insulated" and not choice.property("default")


def test_that_a_flag_is_yes_no_or_not_entered(desk: Desk, qtbot: QtBot) -> None:
    desk.form.set_paths("arrays.south", Array.specs())
    choice = desk.choice("arrays.south.on_building")
    assert [choice.itemText(at) for at in range(choice.count())] == ["not entered", "yes", "no"]
    choice.setFocus()
    qtbot.keyClick(choice, Qt.Key.Key_Home)
    assert desk.session.design.arrays[0].on_building is None


def test_that_the_wheel_scrolls_the_form_and_never_a_value(desk: Desk) -> None:
    desk.form.set_paths("arrays.south", Array.specs())
    choice = desk.choice("arrays.south.mounting")
    choice.setFocus()
    turn = QWheelEvent(
        QPointF(4, 4),
        choice.mapToGlobal(QPointF(4, 4)),
        QPoint(0, -120),
        QPoint(0, -120),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(choice, turn)
    assert choice.currentText() == "open rack" and not desk.session.dirty


def test_that_a_field_that_points_nowhere_offers_a_new_record_as_one_step(desk: Desk, qtbot: QtBot) -> None:
    desk.form.set_paths("arrays.south", Array.specs())
    row = desk.row("arrays.south.module")
    offer = row.findChildren(QPushButton)[0]
    assert not offer.isVisible() and offer.text() == "New module"
    desk.session.edit("arrays.south.module", "")
    desk.session.settle()
    assert offer.isVisible()
    qtbot.mouseClick(offer, Qt.MouseButton.LeftButton)
    desk.session.settle()
    made = desk.session.design.arrays[0].module
    assert made and desk.session.design.find("modules", made) is not None and not offer.isVisible()
    desk.session.undo_stack.undo()
    assert desk.session.design.arrays[0].module is None and len(desk.session.design.modules) == 1


def test_that_choices_follow_the_records_that_there_are(desk: Desk) -> None:
    desk.form.set_paths("arrays.south", Array.specs())
    choice = desk.choice("arrays.south.controller")
    desk.session.edit("controllers.sun-charger.label", "Renamed")
    desk.session.settle()
    assert choice.currentText() == "Renamed"
    desk.session.remove("controllers.sun-charger")
    desk.session.settle()
    assert choice.currentText() == "not entered" and choice.findText("Renamed") < 0


def test_that_advanced_fields_are_folded_until_one_is_jumped_to(desk: Desk, qtbot: QtBot) -> None:
    desk.form.set_paths("controllers.sun-charger", Controller.specs())
    row = desk.row("controllers.sun-charger.largest_wire")
    assert not row.isVisible()
    assert desk.form.go_to("controllers.sun-charger.largest_wire")
    assert row.isVisible() and row.control.hasFocus() and row.control.property("lit")
    qtbot.waitUntil(lambda: not row.control.property("lit"), timeout=4000)
    assert not desk.form.go_to("controllers.wind-charger.largest_wire")


def test_that_a_story_keeps_its_lines(desk: Desk, qtbot: QtBot) -> None:
    desk.form.set_paths("", About.specs())
    block = desk.row("story").control
    assert isinstance(block, Block)
    block.setFocus()
    block.selectAll()
    qtbot.keyClicks(block, "One line.")
    qtbot.keyClick(block, Qt.Key.Key_Return)
    qtbot.keyClicks(block, "Another.")
    assert not desk.session.dirty
    qtbot.keyClick(block, Qt.Key.Key_Tab)
    assert desk.entered("story") == "One line.\nAnother."


def test_that_twelve_months_are_cells_in_one_unit_and_one_is_changed_alone(desk: Desk, type_in: Type) -> None:
    desk.form.set_paths("site", Site.specs())
    desk.form.go_to("site.air_temperature")
    cells = desk.cells("site.air_temperature")
    assert len(cells) == 12 and cells[0].text() == "10"
    assert cells[0].accessibleName() == "Air by month, January"
    type_in(cells[1], "17", Qt.Key.Key_Tab)
    assert desk.entered("site.air_temperature").split("; ")[:3] == ["10 degF", "17 degF", "26 degF"]
    desk.session.swap_habit()
    assert cells[0].text() == "-12.22"
    type_in(cells[0], "-11", Qt.Key.Key_Tab)
    assert desk.entered("site.air_temperature").split("; ")[:3] == ["-11 °C", "17 degF", "26 degF"]


def test_that_months_wait_until_all_twelve_are_there(desk: Desk, type_in: Type) -> None:
    desk.session.edit("site.sun", "")
    desk.session.swap_habit()
    desk.form.set_paths("site", Site.specs())
    desk.form.go_to("site.sun")
    cells, row = desk.cells("site.sun"), desk.row("site.sun")
    type_in(cells[0], "1.5 kWh/m^2", Qt.Key.Key_Tab)
    assert row.note.isVisible() and "11 more" in row.note.text() and row.note.objectName() == "note"
    for at, cell in enumerate(cells[1:], 1):
        type_in(cell, f"{at}.5", Qt.Key.Key_Tab)
    assert not row.note.isVisible()
    assert desk.session.design.site.sun == tuple(1000 * at + 500 for at in [1, *range(1, 12)])
    type_in(cells[4], "", Qt.Key.Key_Tab)
    assert row.note.isVisible() and desk.session.design.site.sun is not None
    for cell in cells:
        type_in(cell, "", Qt.Key.Key_Tab)
    assert desk.session.design.site.sun is None


def test_that_twelve_values_are_pasted_at_once(desk: Desk, qtbot: QtBot) -> None:
    desk.form.set_paths("site", Site.specs())
    desk.form.go_to("site.sun")
    cells = desk.cells("site.sun")
    QGuiApplication.clipboard().setText("\t".join(f"{n} kWh/m^2" for n in range(12)))
    cells[0].setFocus()
    qtbot.keyClick(cells[0], Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert desk.session.design.site.sun == tuple(1000 * n for n in range(12))


def test_that_points_are_pairs_that_grow_and_shrink(desk: Desk, type_in: Type) -> None:
    path = "controllers.sun-charger.current_points"
    desk.form.set_paths("controllers.sun-charger", Controller.specs())
    desk.form.go_to(path)
    cells = desk.cells(path)
    assert [cell.text() for cell in cells] == ["20", "100", "60", "100", "90", "92", "120", "85", "", ""]
    type_in(cells[8], "140", Qt.Key.Key_Tab)
    assert desk.row(path).note.isVisible()
    type_in(cells[9], "70", Qt.Key.Key_Tab)
    assert desk.entered(path).endswith("120 V: 85 A; 140 V: 70 A") and len(desk.cells(path)) == 12
    type_in(desk.cells(path)[2], "", Qt.Key.Key_Tab)
    type_in(desk.cells(path)[3], "", Qt.Key.Key_Tab)
    assert desk.entered(path).startswith("20 V: 100 A; 90 V: 92 A")
    cells = desk.cells(path)
    type_in(cells[0], "500", Qt.Key.Key_Tab)
    assert desk.row(path).note.isVisible() and "rising" in desk.row(path).note.text()
    assert desk.entered(path).startswith("20 V: 100 A")


def test_that_a_row_that_goes_away_while_typed_in_leaves_no_fault(desk: Desk, type_in: Type) -> None:
    desk.form.set_paths("controllers.sun-charger", Controller.specs())
    type_in(desk.line("controllers.sun-charger.standoff_limit"), "155", Qt.Key.Key_unknown)
    desk.session.remove("controllers.sun-charger")
    desk.form.set_paths("arrays.south", Array.specs())
    QApplication.processEvents()
    assert desk.session.undo_stack.count() == 1


def test_that_300_edits_make_no_new_widgets(desk: Desk) -> None:
    desk.form.set_paths("arrays.south", Array.specs())
    QApplication.processEvents()
    before = len(desk.findChildren(QWidget))
    for n in range(300):
        desk.session.edit("arrays.south.modules", str(1 + n % 4), drag="step")
        desk.session.settle()
        desk.form.set_paths("arrays.south", Array.specs())
    assert len(desk.findChildren(QWidget)) == before


def test_that_a_tip_tells_range_and_what_missing_means() -> None:
    spec = Site.specs()["elevation"]
    told = tip(spec, "", "", False, "us")
    assert "Range: -1411 ft to 19685 ft." in told and "unknown" in told
