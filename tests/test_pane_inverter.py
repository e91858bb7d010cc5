"""An inverter's form: what the loads ask of it stands beside it, and no empty sheet."""

from pathlib import Path

import pytest
from a_window import copy_of, over
from PySide6.QtWidgets import QFrame, QLabel
from pytestqt.qtbot import QtBot

from engine import units


def test_that_what_the_loads_ask_of_it_stands_beside_an_inverter(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path / "state"))
    hands = over(qtbot, copy_of("lake_cabin", tmp_path))
    session = hands.window.session
    hands.window.go_to(f"inverters.{session.design.inverters[0].id}")
    hands.settle()
    said = " ".join(label.text() for label in hands.window.shown.findChildren(QLabel) if label.isVisible())
    demand = session.evaluation.demand
    assert demand.peak_ac_w is not None and demand.surge_w is not None
    for watts in (demand.peak_ac_w, demand.surge_w):
        assert units.show(watts, "W", session.habit, 3) in said


@pytest.mark.parametrize("table", ["inverters", "generators"])
def test_that_no_sheet_stands_empty(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, table: str
) -> None:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path / "state"))
    hands = over(qtbot, copy_of("lake_cabin", tmp_path))
    session = hands.window.session
    for load in session.design.loads:
        session.edit(f"loads.{load.id}.power", "")
    hands.window.go_to(f"{table}.{getattr(session.design, table)[0].id}")
    hands.settle()
    for frame in hands.window.shown.findChildren(QFrame, "sheet"):
        if frame.isVisible():
            assert any(child.isVisible() for child in frame.findChildren(QLabel))
