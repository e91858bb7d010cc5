"""Named steps by button and by key in the window, and what is held against what is now."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
from a_window import Hands, copy_of, over
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QPushButton
from pytestqt.qtbot import QtBot

from app.__main__ import main
from app.held_words import difference
from app.session import at_first
from engine import edit, evaluate
from engine.compare import point_at


@pytest.fixture
def cabin(qtbot: QtBot, tmp_path: Path) -> Hands:
    return over(qtbot, copy_of("lake_cabin", tmp_path))


def button(hands: Hands, title: str) -> QPushButton:
    wanted = [item for item in hands.window.strip.findChildren(QPushButton) if item.text() == title]
    assert len(wanted) == 1, title
    return wanted[0]


def told(hands: Hands) -> str:
    return hands.window.strip.difference


def test_that_a_step_sets_every_slider_at_once_and_is_marked_until_one_moves(cabin: Hands) -> None:
    cabin.session.look(cell=60.0, irradiance=300.0, wind=12.0, battery=29.0)
    dawn = button(cabin, "Dawn cold")
    assert not dawn.isChecked()
    cabin.bot.mouseClick(dawn, Qt.MouseButton.LeftButton)
    low = float(cabin.design.site.design_low or 0)
    usual = at_first(cabin.design)
    assert cabin.session.conditions == dataclasses.replace(usual, cell=low, irradiance=100.0)
    assert dawn.isChecked()
    cabin.window.strip.moved.emit("irradiance", 110.0)
    assert not dawn.isChecked()


def test_that_each_step_has_its_key(cabin: Hands) -> None:
    cabin.press(Qt.Key.Key_2, Qt.KeyboardModifier.AltModifier)
    assert button(cabin, "Clear noon").isChecked()
    cabin.press(Qt.Key.Key_6, Qt.KeyboardModifier.AltModifier)
    assert button(cabin, "Full bank").isChecked()
    before = cabin.session.conditions
    cabin.press(Qt.Key.Key_5, Qt.KeyboardModifier.AltModifier)  # no water here
    assert cabin.session.conditions == before
    assert "no water" in cabin.window.notice.text


def test_that_a_step_without_its_datum_is_off_and_says_what_to_enter(cabin: Hands) -> None:
    cabin.session.edit("site.design_low", "")
    cabin.settle()
    dawn = button(cabin, "Dawn cold")
    assert not dawn.isEnabled() and "Design low" in dawn.toolTip()
    cabin.press(Qt.Key.Key_1, Qt.KeyboardModifier.AltModifier)
    assert "Design low" in cabin.window.notice.text


def test_that_what_is_held_is_told_against_what_is_now(cabin: Hands) -> None:
    assert told(cabin) == ""
    cabin.session.hold(True)
    assert "the same point" in told(cabin) and "no verdict turned" in told(cabin)
    then = cabin.session.looks()["south"]
    cabin.press(Qt.Key.Key_1, Qt.KeyboardModifier.AltModifier)
    now = cabin.session.looks()["south"]
    assert f"(+{now.voltage - then.voltage:.3g} V)" in told(cabin)
    assert f"open circuit {then.open_voltage:.3g} → {now.open_voltage:.3g} V" in told(cabin)
    cabin.session.hold(False)
    assert told(cabin) == ""


def test_that_the_held_design_stays_while_the_design_changes(cabin: Hands) -> None:
    cabin.session.hold(True)
    ghost = cabin.session.looks(held=True)["south"]
    cabin.session.edit("arrays.south.modules", "4")
    cabin.settle()
    assert cabin.session.looks(held=True)["south"].open_voltage == ghost.open_voltage
    assert cabin.session.looks()["south"].open_voltage == pytest.approx(2 * ghost.open_voltage)
    assert "meets → fails" in told(cabin) and "tracking → lock-out" in told(cabin)
    cabin.session.undo_stack.undo()
    cabin.settle()
    assert "no verdict turned" in told(cabin)


def test_that_a_turbine_is_told_in_its_own_pane(cabin: Hands) -> None:
    cabin.click_piece("wind.mast")
    cabin.session.hold(True)
    cabin.window.strip.moved.emit("wind", 9.0)
    then = point_at(cabin.session.evaluation, at_first(cabin.design), "wind.mast", "us")
    assert then is not None and f"{then.volts:.3g}" in told(cabin)


def test_that_a_held_design_follows_the_sliders_where_it_is_another_one(cabin: Hands) -> None:
    other = evaluate(edit.set_field(cabin.design, "arrays.south.strings", "2"))
    cabin.session.hold_design(other)
    cabin.window.strip.moved.emit("irradiance", 500.0)
    ghost, now = cabin.session.looks(held=True)["south"], cabin.session.looks()["south"]
    assert ghost.best_voltage == pytest.approx(now.best_voltage)
    assert 3 * ghost.best_current == pytest.approx(2 * now.best_current)  # two strings against three
    other_site = evaluate(edit.empty())
    cabin.session.hold_design(other_site)
    assert "no curve was held" in told(cabin)


def test_that_nothing_held_and_nothing_now_is_told_without_numbers() -> None:
    assert difference(None, None, (), "metric").short == "Held → now: no verdict turned"


@pytest.mark.parametrize(
    ("site", "step", "told"),
    [
        ("lake_cabin", "frozen-intake", "a step of this design: dawn-cold"),
        ("lake_cabin", "dawn-cod", "did you mean dawn-cold?"),
    ],
)
def test_that_a_picture_refuses_a_step_that_the_site_has_not(
    site: str, step: str, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = copy_of(site, tmp_path)
    out = tmp_path / "a.png"
    status = main(["picture", str(file), "--pane", "sources", "--set", f"step={step}", "-o", str(out)])
    assert status == 2 and told in capsys.readouterr().err and not out.exists()


def test_that_a_picture_takes_a_step_and_then_single_conditions(qtbot: QtBot, tmp_path: Path) -> None:
    from app.terminal import picture

    file = copy_of("lake_cabin", tmp_path)
    plain, stepped = tmp_path / "a.png", tmp_path / "b.png"
    for out, extra in ((plain, ()), (stepped, ("--set", "step=dawn-cold", "--set", "wind=9 m/s"))):
        assert main(["picture", str(file), "--pane", "sources", *extra, "-o", str(out)]) == 0
    assert plain.read_bytes() != stepped.read_bytes()
    assert "cell" in picture.UNITS
