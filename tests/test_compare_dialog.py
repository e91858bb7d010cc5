"""The page that compares designs: what it offers, how it follows, and where its rows lead."""

from __future__ import annotations

from pathlib import Path

import pytest
from a_window import Hands, copy_of, over
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QTreeWidgetItem
from pytestqt.qtbot import QtBot

from app import comparing
from app.dialogs.compare import CompareDialog
from app.look import LOOKS
from app.places import demo_sites


@pytest.fixture
def cabin(qtbot: QtBot, tmp_path: Path) -> Hands:
    return over(qtbot, copy_of("lake_cabin", tmp_path))


def opened(hands: Hands) -> CompareDialog:
    hands.press(Qt.Key.Key_D, Qt.KeyboardModifier.ControlModifier)
    page = hands.window.findChild(CompareDialog)
    assert isinstance(page, CompareDialog) and page.isVisible()
    return page


def offered(page: CompareDialog) -> list[str]:
    return [page.choice.itemText(at) for at in range(page.choice.count())]


def choose(page: CompareDialog, name: str) -> None:
    at = offered(page).index(name)
    page.choice.setCurrentIndex(at)
    page.choice.activated.emit(at)


def rows(page: CompareDialog) -> dict[str, QTreeWidgetItem]:
    found = {}
    for at in range(page.view.tree.topLevelItemCount()):
        heading = page.view.tree.topLevelItem(at)
        assert heading is not None
        found |= {item.text(0): item for item in (heading.child(n) for n in range(heading.childCount()))}
    return found


def edit_string(hands: Hands, modules: str = "4") -> None:
    hands.session.edit("arrays.south.modules", modules)
    hands.settle()


def test_that_the_saved_file_and_each_step_of_undo_are_offered(cabin: Hands) -> None:
    edit_string(cabin)
    cabin.session.edit("site.elevation", "900 m")
    cabin.settle()
    page = opened(cabin)
    assert offered(page) == [
        "lake_cabin.toml, as saved",
        "before: change Elevation",
        "before: change Modules in a string",
        "another site file…",
    ]
    assert not rows(page) and not page.hold.isEnabled()
    choose(page, "before: change Elevation")
    assert "Site: Elevation" in rows(page)
    assert "Array by the boathouse: Modules in a string" not in rows(page)
    choose(page, "lake_cabin.toml, as saved")
    both = rows(page)
    assert {"Site: Elevation", "Array by the boathouse: Modules in a string"} <= both.keys()
    standoff = both["Array by the boathouse: standoff limit"]
    assert (standoff.text(1), standoff.text(2)) == ("fails", "meets")


def test_that_the_page_follows_each_edit_and_undo(cabin: Hands) -> None:
    page = opened(cabin)
    choose(page, "lake_cabin.toml, as saved")
    assert page.said.text().startswith("No field")
    edit_string(cabin)
    assert "verdicts are worse" in page.said.text()
    assert page.choice.currentText() == "lake_cabin.toml, as saved"
    cabin.session.undo_stack.undo()
    cabin.settle()
    assert page.said.text().startswith("No field") and not rows(page)


def test_that_a_row_leads_to_its_field_and_a_total_to_its_place(cabin: Hands) -> None:
    edit_string(cabin)
    page = opened(cabin)
    choose(page, "lake_cabin.toml, as saved")
    page.view.tree.itemActivated.emit(rows(page)["Array by the boathouse: Modules in a string"], 0)
    cabin.settle()
    assert cabin.line("arrays.south.modules").hasFocus()
    page.view.tree.itemActivated.emit(rows(page)["Energy left over in a day: January"], 0)
    cabin.settle()
    assert cabin.window.place == "balance"


def test_that_a_row_that_is_chosen_is_told_whole(cabin: Hands) -> None:
    edit_string(cabin)
    page = opened(cabin)
    choose(page, "lake_cabin.toml, as saved")
    page.view.tree.setCurrentItem(rows(page)["Array by the boathouse: standoff limit"])
    told = page.view.told.text()
    assert "Fails: " in told and "Meets: " in told and "record low" in told


def test_that_another_file_is_compared_and_a_bad_one_is_refused_with_its_reason(
    cabin: Hands, tmp_path: Path
) -> None:
    page = opened(cabin)
    page.open_file(demo_sites() / "tropical_clinic.toml")
    assert page.view.tree.headerItem().text(2) == "tropical_clinic.toml"
    before = len(rows(page))
    assert before > 100
    bad = tmp_path / "bad.toml"
    bad.write_text("format = 1\n[site]\nlatitude = 3\n")
    page.open_file(bad)
    assert "bad.toml was refused" in page.said.text() and len(rows(page)) == before


def test_that_what_only_the_other_design_has_is_not_gone_to(cabin: Hands) -> None:
    page = opened(cabin)
    page.open_file(demo_sites() / "mountain_farm.toml")
    for path in ("hydro.creek.flow", "circuits.creek-run", "hydro.creek", "controllers.nix.standby"):
        cabin.window.say("")
        comparing.go_to(cabin.window, path)
        assert cabin.window.notice.text == "Only the other design has that."


def test_that_every_row_of_two_sites_can_be_gone_to(cabin: Hands) -> None:
    page = opened(cabin)
    page.open_file(demo_sites() / "tropical_clinic.toml")
    for item in list(rows(page).values())[::9]:
        comparing.go_to(cabin.window, str(item.data(0, Qt.ItemDataRole.UserRole)))
    cabin.settle()


def test_that_its_curves_are_held_as_the_ghost(cabin: Hands) -> None:
    edit_string(cabin)
    page = opened(cabin)
    choose(page, "before: change Modules in a string")
    cabin.bot.mouseClick(page.hold, Qt.MouseButton.LeftButton)
    ghost, now = cabin.session.looks(held=True)["south"], cabin.session.looks()["south"]
    assert 2 * ghost.open_voltage == pytest.approx(now.open_voltage)


def test_that_the_differences_are_copied_as_text(cabin: Hands) -> None:
    edit_string(cabin)
    page = opened(cabin)
    choose(page, "lake_cabin.toml, as saved")
    cabin.bot.mouseClick(page.copy, Qt.MouseButton.LeftButton)
    assert "Modules in a string: 4 → 2" in QGuiApplication.clipboard().text()


@pytest.mark.parametrize("look", LOOKS)
def test_that_it_wears_each_look_and_keeps_what_is_folded(cabin: Hands, look: str) -> None:
    edit_string(cabin)
    cabin.window.set_look(look)
    page = opened(cabin)
    choose(page, "lake_cabin.toml, as saved")
    heading = page.view.tree.topLevelItem(0)
    assert heading is not None
    heading.setExpanded(False)
    edit_string(cabin, "5")
    again = page.view.tree.topLevelItem(0)
    assert again is not None and not again.isExpanded()
    page.grab()
