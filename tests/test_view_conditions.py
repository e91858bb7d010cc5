"""The conditions strip: moved by hand, by keys or by typing, in any unit, and never by the program."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from app.look import LOOKS, Look
from app.views.conditions import KINDS, ConditionsStrip
from engine.sections.results import Conditions

EVERY = tuple(KINDS)


@pytest.fixture
def strip(qtbot: QtBot) -> ConditionsStrip:
    made = ConditionsStrip(names=EVERY)
    qtbot.addWidget(made)
    made.set_ranges({"battery": (44.0, 62.0)}, Conditions(), "us")
    made.resize(1340, 60)
    made.show()
    return made


def moves(strip: ConditionsStrip) -> list[tuple[str, float]]:
    """What the strip says was moved, kept up as a window would."""
    seen: list[tuple[str, float]] = []
    state = {name: getattr(Conditions(), name) for name in EVERY}

    def move(name: str, value: float) -> None:
        seen.append((name, value))
        state[name] = value
        strip.show_conditions(Conditions(**state), "us")

    strip.moved.connect(move)
    return seen


def test_that_only_a_person_moves_a_slider(strip: ConditionsStrip) -> None:
    seen = moves(strip)
    strip.show_conditions(Conditions(cell=-20.0, irradiance=870.0, battery=55.2), "us")
    strip.set_ranges({"cell": (-40.0, 80.0)}, Conditions(cell=12.0), "metric")
    assert seen == []


def test_that_a_click_and_a_drag_go_where_the_pointer_is(qtbot: QtBot, strip: ConditionsStrip) -> None:
    seen = moves(strip)
    slider = strip._cells["irradiance"].slider
    row = slider.height() // 2
    qtbot.mousePress(slider, Qt.MouseButton.LeftButton, pos=QPoint(round(slider.pixel(40)), row))
    assert seen[-1][1] == pytest.approx(400, abs=10)
    qtbot.mouseMove(slider, QPoint(round(slider.pixel(90)), row))
    qtbot.mouseRelease(slider, Qt.MouseButton.LeftButton, pos=QPoint(slider.width() + 50, row))
    assert {name for name, _ in seen} == {"irradiance"}


@pytest.mark.parametrize(
    ("key", "value"),
    [
        (Qt.Key.Key_Right, 1010.0),
        (Qt.Key.Key_Down, 990.0),
        (Qt.Key.Key_PageUp, 1100.0),
        (Qt.Key.Key_Home, 0.0),
        (Qt.Key.Key_End, 1400.0),
    ],
)
def test_that_keys_move_a_slider_by_round_steps(
    qtbot: QtBot, strip: ConditionsStrip, key: Qt.Key, value: float
) -> None:
    seen = moves(strip)
    qtbot.keyClick(strip._cells["irradiance"].slider, key)
    assert seen == [("irradiance", pytest.approx(value))]


def test_that_steps_are_whole_degrees_of_the_habit(qtbot: QtBot, strip: ConditionsStrip) -> None:
    seen = moves(strip)
    qtbot.keyClick(strip._cells["cell"].slider, Qt.Key.Key_Left)
    assert seen == [("cell", pytest.approx((76 - 32) / 1.8))]
    assert strip._cells["cell"].value.text() == "76 °F"
    strip.show_conditions(Conditions(cell=24.0), "metric")
    qtbot.keyClick(strip._cells["cell"].slider, Qt.Key.Key_Left)
    assert seen[-1] == ("cell", pytest.approx(23.0))


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("cell", "-20 degC", -20.0),
        ("cell", "14 °F", -10.0),
        ("irradiance", "0.5 kW/m^2", 500.0),
        ("wind", "36 km/h", 10.0),
        ("flow", "90 gpm", 90 * 3.785411784e-3 / 60),  # the US gallon is 231 cubic inches
        ("battery", "55.2 V", 55.2),
    ],
)
def test_that_a_value_can_be_typed_in_any_unit(
    qtbot: QtBot, strip: ConditionsStrip, name: str, text: str, value: float
) -> None:
    seen = moves(strip)
    line = strip._cells[name].value
    line.selectAll()
    qtbot.keyClicks(line, text)
    qtbot.keyClick(line, Qt.Key.Key_Return)
    assert seen == [(name, pytest.approx(value))]


@pytest.mark.parametrize("text", ["warm", "20 V", "1,5 degC 3", "400 degC"])
def test_that_a_bad_text_is_refused_with_its_reason_and_changes_nothing(
    qtbot: QtBot, strip: ConditionsStrip, text: str
) -> None:
    seen = moves(strip)
    cell = strip._cells["cell"]
    cell.value.selectAll()
    qtbot.keyClicks(cell.value, text)
    qtbot.keyClick(cell.value, Qt.Key.Key_Return)
    assert seen == []
    assert "need" in cell._title.text()
    assert cell.value.property("bad")
    qtbot.keyClick(cell.value, Qt.Key.Key_Escape)
    assert cell.value.text() == "77 °F"
    assert cell._title.text() == KINDS["cell"].title


def test_that_what_is_being_typed_outlives_an_update(qtbot: QtBot, strip: ConditionsStrip) -> None:
    line = strip._cells["cell"].value
    line.selectAll()
    qtbot.keyClicks(line, "-2")
    strip.show_conditions(Conditions(cell=30.0), "us")
    assert line.text() == "-2"


def test_that_a_slider_is_hidden_where_nothing_answers_to_it(strip: ConditionsStrip) -> None:
    strip.set_sources({"sun"})
    shown = [name for name, cell in strip._cells.items() if cell.isVisible()]
    assert shown == ["cell", "irradiance", "battery"]
    assert list(ConditionsStrip()._cells) == ["cell", "irradiance", "battery"]


def test_that_hold_is_toggled_by_hand_and_shown_without_a_signal(
    qtbot: QtBot, strip: ConditionsStrip
) -> None:
    heard: list[bool] = []
    strip.hold_toggled.connect(heard.append)
    strip.show_held(True)
    assert heard == [] and strip._hold.text() == "Held"
    qtbot.mouseClick(strip._hold, Qt.MouseButton.LeftButton)
    assert heard == [False]


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS.keys())
def test_that_every_control_has_a_name_and_takes_the_focus(strip: ConditionsStrip, look: Look) -> None:
    strip.set_look(look)
    for cell in strip._cells.values():
        for control in (cell.slider, cell.value):
            assert control.accessibleName()
            assert control.focusPolicy() & Qt.FocusPolicy.TabFocus
    strip.grab()
