"""Preferences: kept between starts, at once in effect, copied into new sites, and never into an open one."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog
from pytestqt.qtbot import QtBot

from app import desk, files, preferences, run
from app.autosave import Autosave
from app.dialogs.preferences import PreferencesDialog
from app.fields.controls import Choice, Line
from app.session import Session
from app.state import settings
from engine import edit, load
from engine.codec import loads
from engine.edit import empty
from engine.writer import dumps
from tests.a_window import Hands, copy_of, over


@pytest.fixture(autouse=True)
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "state"
    monkeypatch.setenv("FARSTEAD_STATE", str(place))
    return place


@pytest.fixture
def cabin(qtbot: QtBot, tmp_path: Path) -> Hands:
    return over(qtbot, copy_of("lake_cabin", tmp_path))


@pytest.fixture
def dialog(cabin: Hands) -> PreferencesDialog:
    made = PreferencesDialog(cabin.session, cabin.window)
    cabin.bot.addWidget(made)
    made.show()
    return made


def control(dialog: PreferencesDialog, path: str) -> Line | Choice:
    row = next(row for form in dialog.forms() if (row := form.row(path)) is not None)
    assert isinstance(row.control, Line | Choice)
    return row.control


def choose(cabin: Hands, choice: Line | Choice, text: str) -> None:
    assert isinstance(choice, Choice)
    choice.setCurrentIndex(choice.findData(text))
    choice.activated.emit(choice.currentIndex())
    cabin.settle()


def type_in(cabin: Hands, line: Line | Choice, text: str) -> None:
    assert isinstance(line, Line)
    line.selectAll()
    cabin.bot.keyClicks(line, text)
    cabin.bot.keyClick(line, Qt.Key.Key_Return)


def test_that_a_new_site_begins_with_what_the_preferences_say(
    cabin: Hands, dialog: PreferencesDialog
) -> None:
    before, written = cabin.design, dumps(cabin.design)
    choose(cabin, control(dialog, "rules"), "iec")
    choose(cabin, control(dialog, "units"), "us")
    type_in(cabin, control(dialog, "prices.currency"), "EUR")
    type_in(cabin, control(dialog, "prices.array_watt"), "0.55")
    dialog.close()
    assert cabin.design is before and dumps(cabin.design) == written
    assert not cabin.session.dirty and cabin.session.undo_stack.count() == 0
    files.new_site(cabin.window)
    assert (cabin.design.rules, cabin.session.habit) == ("iec", "us")
    assert cabin.design.prices.currency == "EUR" and edit.typed(cabin.design, "prices.array_watt") == "0.55"
    assert cabin.design.about.name is None and not cabin.session.dirty
    assert loads(dumps(cabin.design)) == cabin.design


def test_that_preferences_stand_at_the_next_start(cabin: Hands, dialog: PreferencesDialog) -> None:
    choose(cabin, control(dialog, "rules"), "nec-2017")
    dialog.close()
    again = PreferencesDialog(cabin.session, cabin.window)
    cabin.bot.addWidget(again)
    assert control(again, "rules").now() == "nec-2017"


def test_that_a_price_that_can_not_be_read_is_refused_and_not_kept(
    cabin: Hands, dialog: PreferencesDialog
) -> None:
    type_in(cabin, control(dialog, "prices.array_watt"), "cheap")
    row = next(row for form in dialog.forms() if (row := form.row("prices.array_watt")) is not None)
    assert row.note.isVisible() and "cheap" in row.note.text()
    assert preferences.new_site().prices.array_watt is None


def test_that_the_prices_of_the_open_site_are_taken_with_those_of_its_wire(
    cabin: Hands, dialog: PreferencesDialog
) -> None:
    design, id = edit.add(cabin.design, "wires", "10 AWG")
    cabin.session.replace(
        edit.set_fields(design, {f"wires.{id}.size": "10 AWG", f"wires.{id}.price": "1.2"}), "price it"
    )
    stands = cabin.design
    cabin.bot.mouseClick(dialog.take_button, Qt.MouseButton.LeftButton)
    kept = preferences.new_site()
    assert kept.prices == stands.prices and kept.wires == stands.wires
    assert kept.arrays == () and kept.about.name is None and cabin.design is stands
    told = [label.text() for label in dialog.findChildren(type(dialog._wires))]
    assert any("10 AWG copper" in text for text in told)


def test_that_what_is_kept_and_can_not_be_read_is_an_empty_site(cabin: Hands) -> None:
    settings().setValue(preferences.NEW_SITE, "format = 99\n")
    assert preferences.new_site() == empty()
    settings().setValue(preferences.COPY_AFTER, "soon")
    assert preferences.copy_after() == 800
    settings().setValue(preferences.LOOK, "neon")
    assert preferences.look() == "light"


def test_that_a_look_is_worn_at_once_by_every_window_and_at_the_next_start(
    cabin: Hands, dialog: PreferencesDialog, tmp_path: Path
) -> None:
    farm = load(copy_of("mountain_farm", tmp_path))
    both = [desk.open_beside(cabin.window, farm, None) for _ in range(2)]
    choose(cabin, dialog.look_choice, "dark")
    assert [window.look.name for window in both] == ["dark", "dark"]
    assert all(window.close() for window in both)
    assert run.first_window(None).look.name == "dark"


def test_that_the_recovery_copy_waits_as_long_as_is_preferred(
    cabin: Hands, dialog: PreferencesDialog, qtbot: QtBot
) -> None:
    window = files.new_window(cabin.window)
    keeper = desk.keeper_of(window)
    window.session.edit("name", "Two")
    choose(cabin, dialog.copy_choice, "60000")
    qtbot.wait(1000)
    assert not keeper.file.exists()
    keeper.settle()
    assert keeper.file.exists()
    later = Autosave(Session(load(cabin.session.path)))  # type: ignore[arg-type]
    assert later._coalescer._timer.interval() == 60_000
    window.session.undo_stack.undo()
    assert window.close() and not keeper.file.exists()


def test_that_the_menu_opens_the_preferences(cabin: Hands, monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[str] = []
    monkeypatch.setattr(QDialog, "exec", lambda box: opened.append(box.windowTitle()))
    action = next(a for a in cabin.window.actions_made if a.text() == "Preferences…")
    action.trigger()
    assert opened == ["Preferences"]
    assert files.recent() == []
