"""The next steps: every line of every step stays in sight."""

from itertools import pairwise
from pathlib import Path

import pytest
from a_window import copy_of, over
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from app import pieces
from app.views.needs import NeedsView, Step


def test_that_no_line_of_a_step_is_squeezed_away(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A new array asks for a whole data sheet, more lines than the column has room for."""
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path / "state"))
    hands = over(qtbot, copy_of("lake_cabin", tmp_path))
    hands.window.resize(1366, 768)
    hands.window.show_place("storage")
    hands.settle()
    for table in ("hydro", "arrays"):
        pieces.add(hands.window, table)
        hands.settle()
        steps = [step for step in hands.window.findChildren(Step) if step.isVisible()]
        assert steps
        for step in steps:
            text = step.findChildren(QLabel)[1]
            assert text.height() >= text.heightForWidth(text.width()), text.text()
        for above, below in pairwise(sorted(steps, key=lambda step: step.y())):
            assert above.geometry().bottom() < below.geometry().top()
        view, findings = hands.window.findChild(NeedsView), hands.window.findings
        assert view is not None and view.geometry().bottom() < findings.geometry().top()
        assert max(step.geometry().bottom() for step in steps) < view.height()
