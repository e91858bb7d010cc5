"""The pane of the bank in the window: the line leads to it, each edit redraws it, no field is left out."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QLabel, QWidget
from pytestqt.qtbot import QtBot

from app.look import LOOKS
from app.panes.storage import StoragePane
from app.places import demo_sites
from app.session import Session
from app.views.bank_bars import ChainBars, GaugeRows
from app.views.bank_drawing import BankDrawing, _fit
from app.window import Window
from engine import load
from engine.design import Bank, Design


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Window:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path))
    session = Session(load(demo_sites() / "mountain_farm.toml"))
    made = Window(session)
    qtbot.addWidget(made, before_close_func=lambda _window: session.undo_stack.setClean())
    made.resize(1366, 768)
    made.show()
    made.choose("bank")
    return made


def part(window: Window, kind: type[QWidget]) -> QWidget:
    found = window.shown.findChild(kind)
    assert isinstance(found, kind)
    return found


def image(widget: QWidget) -> QImage:
    picture = QImage(widget.size(), QImage.Format.Format_RGB32)
    widget.render(picture)
    return picture


def test_that_the_bank_on_the_line_opens_storage_with_every_field_of_the_bank(window: Window) -> None:
    assert isinstance(window.shown, StoragePane)
    held = {path for form in window.shown.forms() for path in form._specs}
    assert {f"bank.{name}" for name in Bank.specs()} <= held
    assert all(window.go_to(path) for path in ("bank.autonomy", "bank.spark_distance", "bank.absorption"))


def test_that_an_edit_redraws_chain_drawing_and_limits_and_undo_puts_them_back(window: Window) -> None:
    views = [part(window, kind) for kind in (BankDrawing, ChainBars, GaugeRows)]
    before, pictures = [view.accessibleDescription() for view in views], [image(view) for view in views]
    window.session.edit("bank.strings", "3")
    window.session.settle()
    after = [view.accessibleDescription() for view in views]
    assert all(one != other for one, other in zip(before, after, strict=True))
    assert all(image(view) != picture for view, picture in zip(views, pictures, strict=True))
    window.session.undo_stack.undo()
    window.session.settle()
    assert [view.accessibleDescription() for view in views] == before


def test_that_shock_and_acid_are_told_where_they_threaten(window: Window) -> None:
    cautions = window.shown._cautions
    assert [name for name, each in cautions.items() if each.isVisibleTo(window.shown)] == ["battery"]
    window.session.edit("bank.chemistry", "flooded")
    window.session.edit("bank.highest_voltage", "63.6 V")
    window.session.settle()
    shown = [name for name, each in cautions.items() if each.isVisibleTo(window.shown)]
    assert shown == ["battery", "acid", "shock"]


@pytest.mark.parametrize("look", LOOKS)
def test_that_a_bank_without_data_says_what_to_enter_in_every_look(window: Window, look: str) -> None:
    window.session.replace(Design(), "emptied")
    window.session.settle()
    window.set_look(look)
    assert "Enter how many blocks" in part(window, BankDrawing).accessibleDescription()
    assert "Enter the loads" in part(window, ChainBars).accessibleDescription()
    for kind in (BankDrawing, ChainBars, GaugeRows):
        assert not image(part(window, kind)).isNull()


@pytest.mark.parametrize(("count", "room"), [(1, 500.0), (24, 500.0), (24, 90.0), (200, 300.0), (4, 1.0)])
def test_that_no_block_is_lost_from_the_count_when_the_room_is_small(count: int, room: float) -> None:
    drawn = _fit(count, room, 15.0)
    assert sum(-number if number < 0 else 1 for number in drawn) == count
    assert drawn[0] == 1 and drawn[-1] == count


def test_that_each_usual_voltage_is_told_where_the_voltage_is_chosen(window: Window) -> None:
    window.session.edit("bank.voltage", "")
    said = " ".join(label.text() for label in window.shown.findChildren(QLabel) if label.isVisible())
    assert "Ac at full power" in said
    assert all(f"{volts} V: inverters" in said for volts in (12, 24, 48))
