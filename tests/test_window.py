"""The window by mouse and keyboard: a person's sittings, from the first field to the saved file."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QObject, QPoint, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QFileDialog,
    QHeaderView,
    QLineEdit,
    QMessageBox,
    QPushButton,
    QWidget,
)
from pytestqt.qtbot import QtBot

from app import files, pieces, run
from app.autosave import Autosave, left_behind
from app.dialogs.module_finder import ModuleFinder
from app.panes import PLACES
from app.panes.sources import SourcesPane
from app.session import Session
from app.state import settings
from app.views.needs import Step
from app.views.notice import NoticeBar
from app.views.source_slider import SourceSlider
from engine import edit, load, module_table
from engine.finding import Status
from engine.sections import window as window_section
from tests.a_window import Hands, copy_of, over

CONTROL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
BUTTON = QMessageBox.StandardButton


@pytest.fixture(autouse=True)
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "state"
    monkeypatch.setenv("FARSTEAD_STATE", str(place))
    return place


@pytest.fixture
def cabin(qtbot: QtBot, tmp_path: Path) -> Hands:
    return over(qtbot, copy_of("lake_cabin", tmp_path))


def answer(monkeypatch: pytest.MonkeyPatch, button: QMessageBox.StandardButton) -> list[str]:
    """Answer every question with one button; what was asked."""
    asked: list[str] = []

    def question(*parts: object) -> QMessageBox.StandardButton:
        asked.append(str(parts[2]))
        return button

    monkeypatch.setattr(QMessageBox, "question", question)
    return asked


# Typing


def test_that_a_temperature_typed_in_site_reaches_the_findings(cabin: Hands) -> None:
    cabin.press(Qt.Key.Key_1, CONTROL)
    assert cabin.window.place == "site" and not cabin.counts()[Status.FAILS]
    standoff = {f.value for f in cabin.session.evaluation.findings if f.limit == 150}
    cabin.type_in("site.record_low", "-60 degF")
    colder = {f.value for f in cabin.session.evaluation.findings if f.limit == 150}
    assert max(colder) > max(standoff)
    assert cabin.window.windowTitle().startswith("Lake cabin*")


def test_that_modules_in_a_string_are_changed_undone_and_done_again_by_keys(cabin: Hands) -> None:
    cabin.type_in("arrays.south.modules", "3")
    assert cabin.entered("arrays.south.modules") == "3" and cabin.counts()[Status.FAILS]
    cabin.press(Qt.Key.Key_Z, CONTROL)
    assert cabin.line("arrays.south.modules").text() == "2" and not cabin.counts()[Status.FAILS]
    assert "*" not in cabin.window.windowTitle()
    cabin.press(Qt.Key.Key_Z, CONTROL, SHIFT)
    assert cabin.line("arrays.south.modules").text() == "3" and cabin.counts()[Status.FAILS]


def test_that_bad_text_leaves_design_and_findings_alone(cabin: Hands) -> None:
    before = cabin.session.evaluation
    cabin.type_in("arrays.south.modules", "two and a half")
    assert cabin.session.evaluation is before and cabin.row("arrays.south.modules").note.isVisible()


def test_that_a_missing_datum_is_unknown_and_its_step_leads_to_the_field(cabin: Hands) -> None:
    cabin.window.show_place("site")
    cabin.type_in("site.record_low", "")
    assert cabin.counts()[Status.UNKNOWN] > 0
    cabin.click_piece("arrays.south")
    steps = [step for step in cabin.window.findChildren(Step) if step.isVisible()]
    assert steps and "record low" in steps[0].accessibleName()
    cabin.bot.mouseClick(steps[0], Qt.MouseButton.LeftButton)
    assert cabin.window.place == "site" and cabin.line("site.record_low").hasFocus()


def test_that_f2_changes_what_is_shown_and_not_the_file(cabin: Hands) -> None:
    cabin.window.show_place("site")
    assert cabin.line("site.elevation").text() == "1400 ft"
    cabin.press(Qt.Key.Key_F2)
    assert cabin.line("site.elevation").text() == "426.7 m"
    assert not cabin.session.dirty and cabin.design.about.units == "us"
    cabin.press(Qt.Key.Key_F2)
    assert cabin.line("site.elevation").text() == "1400 ft"


def test_that_the_rule_family_changes_what_judges(cabin: Hands) -> None:
    cabin.window.show_place("site")
    choice = cabin.choice("rules")
    choice.setFocus()
    cabin.bot.keyClick(choice, Qt.Key.Key_End)
    cabin.settle()
    assert cabin.design.rules == "iec" and cabin.session.evaluation.family.name == "iec"


def test_that_a_refresh_keeps_the_place_in_a_long_form(cabin: Hands) -> None:
    cabin.window.go_to("bank.highest_voltage")
    cabin.settle()
    bar = cabin.window.shown.fields.parentWidget().parentWidget().parentWidget().verticalScrollBar()
    before = bar.value()
    assert before > 0
    cabin.session.edit("site.design_high", "95 degF")
    cabin.settle()
    assert bar.value() == before and cabin.line("bank.highest_voltage").hasFocus()


def test_that_the_form_follows_what_an_array_points_at(cabin: Hands) -> None:
    cabin.window.choose("arrays.south")
    assert cabin.row("modules.m400.voc").isVisible()
    cabin.window.go_to("arrays.south.module")
    cabin.bot.keyClick(cabin.choice("arrays.south.module"), Qt.Key.Key_Home)
    cabin.settle()
    assert cabin.design.arrays[0].module is None
    shown = {form.owner for form in cabin.window.shown.forms() if form.isVisibleTo(cabin.window)}
    assert not any(owner.startswith("modules.") for owner in shown)
    offers = [b for b in cabin.row("arrays.south.module").findChildren(QPushButton) if b.isVisible()]
    cabin.bot.mouseClick(offers[0], Qt.MouseButton.LeftButton)
    cabin.settle()
    assert cabin.row("modules.module-1.voc").isVisible() and cabin.session.undo_stack.count() == 2


# The line, the findings and the panes


def test_that_a_click_on_the_line_opens_each_piece(cabin: Hands) -> None:
    for path in (
        "wind.mast",
        "arrays.south",
        "controllers.wind-charger",
        "controllers.sun-charger",
        "bank",
        "loads",
        "inverters.house",
        "generators.shed",
    ):
        cabin.click_piece(path)
        assert cabin.session.selected == path
        owners = [form.owner for form in cabin.window.shown.forms() if form.isVisibleTo(cabin.window)]
        assert any(owner == path or owner.startswith(f"{path}.") for owner in owners), path


def test_that_a_turbine_is_edited_in_a_pane_of_its_own_with_its_caution(cabin: Hands) -> None:
    cabin.click_piece("wind.mast")
    texts = " ".join(child.accessibleName() for child in cabin.window.shown.findChildren(QWidget))
    assert "DANGER" in texts and "spinning turbine" in texts
    cabin.type_in("wind.mast.diameter", "2.6 m")
    assert cabin.design.wind[0].diameter == 2.6


def test_that_selecting_a_controller_scrolls_to_its_fields(cabin: Hands) -> None:
    cabin.click_piece("controllers.sun-charger")
    cabin.bot.waitUntil(lambda: _seen(cabin.line("controllers.sun-charger.standoff_limit")))
    cabin.click_piece("arrays.south")
    cabin.bot.waitUntil(lambda: _seen(cabin.line("arrays.south.modules")))


def _seen(widget: QWidget) -> bool:
    return not widget.visibleRegion().isEmpty()


def test_that_a_field_that_is_folded_away_is_scrolled_to(cabin: Hands) -> None:
    for path in ("site.air_temperature", "controllers.sun-charger.current_points", "bank.clamp_high"):
        assert cabin.window.go_to(path)
        cabin.bot.waitUntil(lambda path=path: _seen(cabin.row(path).control))


def test_that_go_to_finds_the_field_of_every_finding(cabin: Hands) -> None:
    cabin.session.edit("arrays.south.modules", "3")
    cabin.session.edit("site.record_low", "")
    cabin.settle()
    fields = {f.field for f in cabin.session.evaluation.findings if f.field}
    assert fields
    lost = [path for path in fields if not cabin.window.go_to(path)]
    assert lost == []


def test_that_a_field_is_jumped_to_from_a_finding_by_the_keyboard(cabin: Hands) -> None:
    cabin.session.edit("arrays.south.modules", "3")
    cabin.settle()
    rows = cabin.window.findings.list
    rows.setFocus()
    cabin.press(Qt.Key.Key_Home)
    cabin.press(Qt.Key.Key_G)
    focus = QApplication.focusWidget()
    assert focus is not None and cabin.window.shown.isAncestorOf(focus) and focus.property("lit")


def test_that_a_removed_piece_leaves_the_line_and_comes_back(cabin: Hands) -> None:
    cabin.click_piece("wind.mast")
    cabin.press(Qt.Key.Key_Backspace, CONTROL)
    assert cabin.design.wind == () and cabin.session.selected == ""
    assert "Removed wind.mast" in cabin.window.notice.text
    cabin.press(Qt.Key.Key_Z, CONTROL)
    assert [item.id for item in cabin.design.wind] == ["mast"]


@pytest.mark.parametrize("table", [table for table, _ in pieces.ADDED])
def test_that_an_added_piece_opens_with_its_first_field_in_hand(cabin: Hands, table: str) -> None:
    before = len(getattr(cabin.design, table))
    pieces.add(cabin.window, table)
    cabin.settle()
    assert len(getattr(cabin.design, table)) == before + 1
    assert cabin.session.undo_stack.count() == 1
    focus = QApplication.focusWidget()
    assert focus is not None and cabin.window.shown.isAncestorOf(focus)


@pytest.mark.parametrize("place", [name for name, _ in PLACES])
def test_that_everything_to_press_or_type_in_has_a_name_and_takes_the_focus(cabin: Hands, place: str) -> None:
    cabin.window.show_place(place)
    cabin.settle()
    kinds = (QAbstractButton, QLineEdit, QComboBox, QAbstractItemView, SourceSlider)
    nameless = [
        child
        for kind in kinds
        for child in cabin.window.findChildren(kind)
        if child.isVisible() and not (child.accessibleName() or getattr(child, "text", str)())
    ]
    unreachable = [
        child
        for child in cabin.window.findChildren(QAbstractButton)
        if child.isVisible() and child.isEnabled() and not child.focusPolicy() & Qt.FocusPolicy.TabFocus
    ]
    outer = [child for child in nameless if not isinstance(child, QHeaderView)]
    assert [type(child).__name__ for child in outer] == []
    assert [child.text() for child in unreachable if child.objectName() != "qt_toolbar_ext_button"] == []


def test_that_nothing_flashes_up_as_a_window_of_its_own(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shown: list[str] = []

    class Watch(QObject):
        def eventFilter(self, watched: QObject, event: QEvent) -> bool:
            if event.type() == QEvent.Type.Show and isinstance(watched, QWidget) and watched.isWindow():
                shown.append(type(watched).__name__)
            return False

    watch = Watch()
    application = QApplication.instance()
    assert application is not None
    application.installEventFilter(watch)
    cabin = over(qtbot, copy_of("lake_cabin", tmp_path))
    for name, _ in PLACES:
        cabin.window.show_place(name)
    for path in ("arrays.south", "wind.mast", "bank", "loads"):
        cabin.window.choose(path)
    cabin.session.edit("arrays.south.module", "")
    cabin.session.edit("site.record_low", "")
    cabin.settle()
    application.removeEventFilter(watch)
    assert shown == ["Window"]


# Modules


def test_that_the_module_finder_fills_the_module_and_leaves_what_the_table_lacks_unknown(
    cabin: Hands,
) -> None:
    finder = ModuleFinder(cabin.window)
    words = finder.findChild(QLineEdit)
    assert words is not None
    cabin.bot.keyClicks(words, "mono 300")
    table = finder.findChild(QAbstractItemView)
    assert table is not None and table.model().rowCount() > 0
    table.selectRow(0)  # type: ignore[attr-defined]
    use = next(b for b in finder.findChildren(QPushButton) if b.text() == "Use this module")
    assert use.isEnabled()
    cabin.bot.mouseClick(use, Qt.MouseButton.LeftButton)
    row = finder.chosen
    assert row is not None
    pieces.take_module(cabin.window, "arrays.south", row)
    cabin.settle()
    module = cabin.design.modules[0]
    assert module.voc == row.voc and module.series_fuse is None and module.system_voltage is None
    assert "the maker's sheet decides" in str(module.data_from)
    assert cabin.counts()[Status.UNKNOWN] > 0
    assert cabin.line("modules.m400.voc").text() == edit.typed(cabin.design, "modules.m400.voc")
    cabin.press(Qt.Key.Key_Z, CONTROL)
    assert cabin.design.modules[0].voc == 49.6


def test_that_a_module_that_arrays_share_is_not_changed_for_the_other(cabin: Hands) -> None:
    other = cabin.session.add("arrays", "Porch")
    cabin.session.edit(f"{other}.module", "m400")
    pieces.take_module(cabin.window, other, module_table.find(["mono"], 1)[0])
    modules = {item.id: item.module for item in cabin.design.arrays}
    assert modules["south"] == "m400" and modules["porch"] != "m400"
    assert cabin.entered("modules.m400.voc") == "49.6 V"


# An empty site


def test_that_an_empty_site_says_what_to_do_and_a_click_does_it(cabin: Hands) -> None:
    cabin.press(Qt.Key.Key_N, CONTROL)
    assert cabin.design == edit.empty() and cabin.session.path is None
    steps = [step for step in cabin.window.shown.findChildren(Step) if step.isVisible()]
    assert len(steps) >= 4 and "loads" in steps[0].accessibleName()
    source = next(step for step in steps if "source" in step.accessibleName())
    source.setFocus()
    cabin.press(Qt.Key.Key_Return)
    assert len(cabin.design.arrays) == len(cabin.design.modules) == len(cabin.design.controllers) == 1
    assert isinstance(cabin.window.shown, SourcesPane)
    for path, text in (
        ("modules.module.voc", "49.6 V"),
        ("arrays.array.modules", "2"),
        ("controllers.controller.standoff_limit", "150 V"),
        ("bank.voltage", "24 V"),
        ("site.record_low", "-20 degC"),
    ):
        cabin.type_in(path, text)
        assert cabin.entered(path) == text


# Files


def test_that_a_saved_site_opens_the_same(cabin: Hands) -> None:
    path = cabin.session.path
    assert path is not None
    cabin.type_in("arrays.south.tilt", "41 deg")
    cabin.press(Qt.Key.Key_S, CONTROL)
    assert not cabin.session.dirty and load(path) == cabin.design
    assert "saved" in cabin.window._state.text()
    assert files.open_site(cabin.window, path)
    assert cabin.entered("arrays.south.tilt") == "41 deg"
    assert files.recent()[0] == str(path)


def test_that_what_is_being_typed_is_saved_too(cabin: Hands) -> None:
    cabin.window.go_to("arrays.south.tilt")
    cabin.bot.keyClicks(cabin.line("arrays.south.tilt"), "42 deg")
    cabin.press(Qt.Key.Key_S, CONTROL)
    assert cabin.session.path is not None
    assert edit.typed(load(cabin.session.path), "arrays.south.tilt") == "42 deg"


def test_that_a_text_that_can_not_be_read_is_named_when_saving(cabin: Hands) -> None:
    cabin.type_in("arrays.south.modules", "3")
    cabin.type_in("arrays.south.tilt", "steep")
    cabin.press(Qt.Key.Key_S, CONTROL)
    assert "Tilt" in cabin.window.notice.text and not cabin.session.dirty


def test_that_an_example_is_a_copy_and_save_asks_for_a_file(
    cabin: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    example = copy_of("tropical_clinic", tmp_path)
    before = example.read_bytes()
    assert files.open_site(cabin.window, example, example=True)
    assert cabin.session.path is None and "no file yet" in cabin.window._state.text()
    chosen = tmp_path / "mine"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(chosen), ""))
    cabin.session.edit("name", "Mine")
    cabin.press(Qt.Key.Key_S, CONTROL)
    assert load(tmp_path / "mine.toml").about.name == "Mine" and example.read_bytes() == before


def test_that_changes_of_another_program_are_not_saved_over_unasked(
    cabin: Hands, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = cabin.session.path
    assert path is not None
    path.write_text(path.read_text("utf-8").replace("Lake cabin", "Lake house"), "utf-8")
    cabin.session.edit("arrays.south.tilt", "41 deg")
    asked = answer(monkeypatch, BUTTON.Cancel)
    cabin.press(Qt.Key.Key_S, CONTROL)
    assert "Another program" in asked[0] and "Lake house" in path.read_text("utf-8") and cabin.session.dirty
    answer(monkeypatch, BUTTON.Save)
    cabin.press(Qt.Key.Key_S, CONTROL)
    assert load(path).about.name == "Lake cabin" and not cabin.session.dirty
    cabin.session.edit("arrays.south.tilt", "42 deg")
    asked = answer(monkeypatch, BUTTON.Cancel)
    cabin.press(Qt.Key.Key_S, CONTROL)
    assert asked == [] and not cabin.session.dirty


def test_that_a_save_that_fails_says_so_and_loses_nothing(cabin: Hands, tmp_path: Path) -> None:
    cabin.session.edit("arrays.south.tilt", "41 deg")
    assert not files.save_to(cabin.window, tmp_path / "nowhere" / "site.toml")
    assert "Not saved" in cabin.window.notice.text and cabin.session.dirty


def test_that_a_bad_file_is_refused_whole_and_the_site_stays(
    cabin: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("format = 1\nnmae = 'x'\n[site]\nlatitude = 3\n")
    told: list[str] = []
    monkeypatch.setattr(QMessageBox, "exec", lambda box: told.append(box.informativeText()))
    before = cabin.design
    assert not files.open_site(cabin.window, bad)
    assert cabin.design is before and "nmae" in told[0] and "latitude" in told[0]


def test_that_leaving_unsaved_work_asks(cabin: Hands, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = answer(monkeypatch, BUTTON.Cancel)
    cabin.session.edit("arrays.south.tilt", "41 deg")
    assert not cabin.window.close() and cabin.window.isVisible() and len(asked) == 1
    cabin.press(Qt.Key.Key_N, CONTROL)
    assert cabin.session.dirty and len(asked) == 2
    answer(monkeypatch, BUTTON.Save)
    assert cabin.window.close()
    assert cabin.session.path is not None
    assert edit.typed(load(cabin.session.path), "arrays.south.tilt") == "41 deg"


def test_that_leaving_a_text_that_can_not_be_read_asks(cabin: Hands, monkeypatch: pytest.MonkeyPatch) -> None:
    cabin.type_in("arrays.south.tilt", "steep")
    asked = answer(monkeypatch, BUTTON.Cancel)
    assert not cabin.window.close() and "Tilt" in asked[0]
    assert cabin.line("arrays.south.tilt").text() == "steep"
    answer(monkeypatch, BUTTON.Discard)
    assert cabin.window.close()


def test_that_discarded_work_is_left_out_of_the_file(cabin: Hands, monkeypatch: pytest.MonkeyPatch) -> None:
    assert cabin.session.path is not None
    before = cabin.session.path.read_bytes()
    answer(monkeypatch, BUTTON.Discard)
    cabin.session.edit("arrays.south.tilt", "41 deg")
    assert cabin.window.close() and cabin.session.path.read_bytes() == before


def test_that_a_look_is_worn_and_remembered(cabin: Hands) -> None:
    for name in ("dark", "projector", "light"):
        cabin.window.wear(name)
        cabin.settle()
        assert cabin.window.look.name == name and settings().value("look") == name


# Recovery


def _left(tmp_path: Path, qtbot: QtBot) -> Session:
    """Work that a window left behind: its claim is gone, its copy is there."""
    path = copy_of("mountain_farm", tmp_path)
    session = Session(load(path), path)
    keeper = Autosave(session)
    session.edit("name", "Farm, unsaved")
    keeper.settle()
    keeper._claim.drop()
    return session


def test_that_recovered_work_is_offered_and_opens_as_unsaved(
    cabin: Hands, tmp_path: Path, qtbot: QtBot
) -> None:
    left = _left(tmp_path, qtbot)
    keeper = Autosave(cabin.session)
    files.offer_recovery(cabin.window, keeper)
    (bar,) = [bar for bar in cabin.window.findChildren(NoticeBar) if bar.isVisible()]
    assert "Farm, unsaved" in bar.text
    open_it = next(b for b in bar.findChildren(QPushButton) if b.text() == "Open it")
    cabin.bot.mouseClick(open_it, Qt.MouseButton.LeftButton)
    cabin.settle()
    assert cabin.design == left.design and cabin.session.dirty and not bar.isVisible()
    assert cabin.session.path == left.path
    assert keeper.file.exists(), "the new copy stands before the old one goes"
    assert left_behind() == ()
    cabin.press(Qt.Key.Key_Z, CONTROL)
    assert cabin.design.about.name != "Farm, unsaved"
    cabin.press(Qt.Key.Key_Z, CONTROL, SHIFT)
    assert cabin.design.about.name == "Farm, unsaved"


@pytest.mark.parametrize(("button", "kept"), [("Keep for later", 1), ("Discard", 0)])
def test_that_recovered_work_can_be_kept_or_thrown_away(
    cabin: Hands, tmp_path: Path, qtbot: QtBot, button: str, kept: int
) -> None:
    _left(tmp_path, qtbot)
    files.offer_recovery(cabin.window, Autosave(cabin.session))
    (bar,) = [bar for bar in cabin.window.findChildren(NoticeBar) if bar.isVisible()]
    chosen = next(b for b in bar.findChildren(QPushButton) if b.text() == button)
    cabin.bot.mouseClick(chosen, Qt.MouseButton.LeftButton)
    found = left_behind()
    assert len(found) == kept and not cabin.session.dirty
    for each in found:
        each.keep()


# Faults


def test_that_a_fault_in_a_slot_is_one_notice_and_the_window_stays(
    cabin: Hands, monkeypatch: pytest.MonkeyPatch, shelf: Path
) -> None:
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    run.guard(cabin.window)

    def fault() -> None:
        raise ValueError("made on purpose")

    cabin.session.looked.connect(fault)
    for cell in range(5):
        cabin.session.look(cell=float(cell))
    cabin.settle()
    assert "ValueError: made on purpose" in cabin.window.notice.text and cabin.window.isVisible()
    assert (shelf / "faults.log").read_text().count("Traceback") == 1
    cabin.session.looked.disconnect(fault)
    cabin.type_in("arrays.south.modules", "3")
    assert cabin.counts()[Status.FAILS]


def test_that_a_fault_while_closing_leaves_the_window_open(
    cabin: Hands, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fault(_window: object) -> bool:
        raise RuntimeError("made on purpose")

    with monkeypatch.context() as patch:
        patch.setattr(files, "may_leave", fault)
        with pytest.raises(RuntimeError, match="made on purpose"):
            cabin.window.close()
    assert cabin.window.isVisible() and not cabin.window.left


def test_that_a_fault_of_the_engine_is_a_finding_and_every_pane_still_draws(
    cabin: Hands, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fault(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(window_section, "controllers", fault)
    cabin.session.edit("arrays.south.tilt", "41 deg")
    cabin.settle()
    failed = [f for f in cabin.session.evaluation.findings if f.rule == "program-failed"]
    assert len(failed) == 1
    for name, _ in PLACES:
        cabin.window.show_place(name)
        cabin.window.grab()
    for path in ("arrays.south", "bank", "wind.mast"):
        cabin.window.choose(path)
        cabin.window.grab()


# Looking


def _slide(cabin: Hands, slider: SourceSlider, ticks: int) -> None:
    for tick in range(ticks):
        at = QPoint(10 + 7 * tick % (slider.width() - 20), slider.height() // 2)
        cabin.bot.mouseClick(slider, Qt.MouseButton.LeftButton, pos=at)


def test_that_a_slider_moves_the_picture_and_no_file(cabin: Hands) -> None:
    sliders = [slider for slider in cabin.window.findChildren(SourceSlider) if slider.isVisible()]
    assert [slider.accessibleName() for slider in sliders] == [
        "Cell temperature",
        "Irradiance",
        "Battery voltage",
    ]
    before, looked = cabin.session.conditions, cabin.window.shown.grab().toImage()
    _slide(cabin, sliders[0], 3)
    cabin.settle()
    assert cabin.session.conditions != before and not cabin.session.dirty
    assert cabin.window.shown.grab().toImage() != looked
    cabin.press(Qt.Key.Key_F4)
    assert cabin.session.held == cabin.session.conditions


@pytest.mark.slow
def test_that_3000_slider_ticks_and_300_edits_leave_no_growing_pile(cabin: Hands) -> None:
    resource = pytest.importorskip("resource")
    slider = next(s for s in cabin.window.findChildren(SourceSlider) if s.isVisible())

    def weigh() -> tuple[int, int]:
        cabin.settle()
        return len(cabin.window.findChildren(QWidget)), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss

    _slide(cabin, slider, 300)
    for n in range(40):
        cabin.session.edit("arrays.south.modules", str(1 + n % 3), drag="step")
        cabin.settle()
    widgets, heaviest = weigh()
    for tick in range(3000):
        _slide(cabin, slider, 1)
        if tick % 50 == 0:
            cabin.window.repaint()
            QApplication.processEvents()
    for n in range(300):
        cabin.session.edit("arrays.south.modules", str(1 + n % 3), drag="step")
        cabin.settle()
    after, heavier = weigh()
    assert after == widgets
    assert heavier - heaviest < 12_000, "kB more at the peak"
