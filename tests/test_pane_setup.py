"""The Set-up pane in the real window: its pictures answer to the hand, and jumps to its fields end in it."""

from __future__ import annotations

from pathlib import Path

import pytest
from a_window import Hands, copy_of, over
from PySide6.QtCore import QPointF, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from app.look import LOOKS
from app.panes.setup import SetupPane
from app.views.bus_lanes import BusLanes
from app.views.charge_plot import ChargePlotView
from app.views.equalize_calendar import EqualizeCalendar, day_told, turn_told
from engine.physics.equalize import Turn


@pytest.fixture
def hands(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Hands:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path))
    made = over(qtbot, copy_of("lake_cabin", tmp_path))
    made.window.show_place("setup")
    made.settle()
    return made


def pane(hands: Hands) -> SetupPane:
    shown = hands.window.shown
    assert isinstance(shown, SetupPane)
    return shown


def view(hands: Hands, kind: type[QWidget], name: str = "") -> QWidget:
    (found,) = [each for each in pane(hands).findChildren(kind) if not name or each.accessibleName() == name]
    assert isinstance(found, QWidget)
    return found


def told(hands: Hands, kind: type[QWidget], name: str = "") -> str:
    return view(hands, kind, name).accessibleDescription()


def image(widget: QWidget) -> QImage:
    picture = QImage(widget.size(), QImage.Format.Format_RGB32)
    widget.render(picture)
    return picture


def test_that_a_clamp_that_is_taken_away_shows_in_the_curves_and_in_the_findings(hands: Hands) -> None:
    assert "equalize 31.8 V" in told(hands, ChargePlotView, "Set points")
    hands.type_in("bank.clamp_high", "")
    assert "equalize 32.16 V" in told(hands, ChargePlotView, "Set points")
    assert "setpoint-highest" in {
        finding.rule for finding in hands.session.evaluation.at("bank") if finding.status == 0
    }
    hands.session.undo_stack.undo()
    hands.settle()
    assert "equalize 31.8 V" in told(hands, ChargePlotView, "Set points")


def test_that_the_day_of_a_charge_answers_to_the_end_current(hands: Hands) -> None:
    assert "ends at 22 A" in told(hands, ChargePlotView, "One charge")
    hands.type_in("bank.absorption_time", "1 h")
    assert "ends after 1 h" in told(hands, ChargePlotView, "One charge")


def test_that_another_chemistry_changes_defaults_and_takes_the_calendar_away(hands: Hands) -> None:
    assert "March 1: done" in told(hands, EqualizeCalendar)
    for name in ("absorption", "equalize", "equalize_days", "equalize_grace", "equalize_hours"):
        hands.session.edit(f"bank.{name}", "")
    hands.session.edit("bank.chemistry", "gel")
    hands.settle()
    assert told(hands, EqualizeCalendar) == "Cells of gel are never equalized."
    taken = hands.row("bank.absorption")
    assert "2.37" in " ".join(
        filter(None, (hands.line("bank.absorption").placeholderText(), taken.toolTip()))
    )


def test_that_fewer_sources_miss_planned_days_and_the_calendar_says_so(hands: Hands) -> None:
    hands.session.edit("arrays.south.strings", "1")
    hands.settle()
    assert "missed, the sources did not suffice on that day and 10 of grace" in told(hands, EqualizeCalendar)


def test_that_each_piece_on_the_bus_has_its_lane_and_a_click_leads_to_it(hands: Hands) -> None:
    said = told(hands, BusLanes)
    assert "Radio link: to 32 V, from 20 V, meets" in said and "15 A branch fuse: rated 58 V" in said
    faces = pane(hands)._faces
    faces.button("bus").click()
    lanes = view(hands, BusLanes)
    assert isinstance(lanes, BusLanes)
    row = next(at for at, lane in enumerate(lanes._lanes) if lane.path == "inverters.house")
    at = QPointF(40, lanes._top() + (row + 0.5) * lanes._pitch())
    hands.bot.mouseClick(lanes, Qt.MouseButton.LeftButton, pos=at.toPoint())
    assert hands.session.selected == "inverters.house"


def test_that_a_load_that_does_not_stand_the_bank_is_marked(hands: Hands) -> None:
    hands.session.edit("loads.radio.highest_voltage", "30 V")
    hands.settle()
    assert "Radio link: to 30 V, from 20 V, fails" in told(hands, BusLanes)
    hands.session.edit("loads.radio.highest_voltage", "")
    hands.settle()
    assert "Radio link: Enter: Highest supply voltage." in told(hands, BusLanes)


@pytest.mark.parametrize(
    "path", ["bank.equalize_days", "bank.shunt", "controllers.wind-charger.sensor", "bank.end_current"]
)
def test_that_a_jump_to_a_field_of_setting_up_ends_in_this_pane(hands: Hands, path: str) -> None:
    hands.window.show_place("wiring")
    assert hands.window.go_to(path)
    hands.settle()
    assert pane(hands).isVisible() and hands.row(path).isVisible()


def test_that_a_charger_that_goes_takes_its_form_along(hands: Hands) -> None:
    assert {form.owner for form in pane(hands).forms()} == {
        "bank",
        "controllers.sun-charger",
        "controllers.wind-charger",
    }
    hands.session.edit("wind.mast.controller", "")
    hands.settle()
    assert "controllers.wind-charger" not in {form.owner for form in pane(hands).forms()}


def test_that_a_bank_without_chemistry_says_what_to_do_next(hands: Hands) -> None:
    hands.session.edit("bank.chemistry", "")
    hands.settle()
    assert "Enter: Chemistry." in told(hands, ChargePlotView, "Set points")
    assert "Choose the bank's chemistry" in told(hands, EqualizeCalendar)
    assert "chemistry" in told(hands, BusLanes)
    image(pane(hands))


@pytest.mark.parametrize("look", list(LOOKS))
@pytest.mark.parametrize("size", [(1100, 620), (1366, 768), (1920, 1080)])
def test_that_it_is_drawn_in_every_look_and_size(hands: Hands, look: str, size: tuple[int, int]) -> None:
    hands.window.set_look(look)
    hands.window.resize(*size)
    hands.settle()
    shown = ((ChargePlotView, "Set points"), (ChargePlotView, "One charge"), (EqualizeCalendar, ""))
    for kind, name in shown:
        picture = image(view(hands, kind, name))
        colours = {
            picture.pixel(x, y) for x in range(0, picture.width(), 5) for y in range(0, picture.height(), 3)
        }
        assert len(colours) > 5


def test_that_days_and_turns_are_told_in_words() -> None:
    assert [day_told(day) for day in (0, 31, 59, 364)] == [
        "January 1",
        "February 1",
        "March 1",
        "December 31",
    ]
    assert turn_told(Turn(27, (27,), 27)) == "January 28: done"
    assert turn_told(Turn(27, (27, 28), 28)) == "January 28: done on January 29, in grace"
    assert "and 1 of grace" in turn_told(Turn(27, (27, 28), None))
