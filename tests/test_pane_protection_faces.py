"""The faces of the Protection pane by mouse: devices, the editions of the code, the day of commissioning."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from a_wired_site import wired
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from app import checklist
from app.look import LOOKS
from app.panes.protection import ProtectionPane
from app.places import demo_sites
from app.session import Session
from app.views.findings import CardList
from app.views.lettering import letters
from engine import editions, load
from engine.design import Design
from engine.finding import Finding

FIELD = {
    "rules": "nec-2023",
    "arrays.south.on_building": "no",
    "arrays.south.enters": "no building",
    "arrays.south.arc_fault": "no",
    "circuits.south-string.metal": "yes",
    "circuits.south-run.metal": "yes",
}
LEFT = Qt.MouseButton.LeftButton


def shown(qtbot: QtBot, design: Design, face: str, size: tuple[int, int] = (980, 560)) -> ProtectionPane:
    """The pane over a design, turned to a face by a click."""
    pane = ProtectionPane(Session(design))
    qtbot.addWidget(pane)
    pane.set_look(LOOKS["light"])
    pane.resize(*size)
    pane.refresh()
    pane.show()
    qtbot.mouseClick(pane.faces.button(face), LEFT)
    return pane


def cards(held: CardList) -> tuple[Finding, ...]:
    rows: tuple[Finding, ...] = held.model().rows  # type: ignore[attr-defined]
    return rows


def click_line(qtbot: QtBot, pane: ProtectionPane, line: int) -> None:
    """Click a line of the editions."""
    table = pane.editions.table
    at = table.visualRect(table.model().index(line, 1)).center()
    qtbot.mouseClick(table.viewport(), LEFT, pos=at)


def test_that_a_matter_that_editions_judge_differently_stands_first_with_every_answer(qtbot: QtBot) -> None:
    pane = shown(qtbot, wired(FIELD), "editions")
    texts = pane.editions.table.texts()
    assert texts.heads == ("Matter", "2017", "2020", "2023, here", "Strictest")
    status, first = texts.rows[0]
    assert first[0] == "Arc-fault protection of arrays away from buildings (south)"
    assert first[1:] == ("fails", "fails", "meets", "2017, 2020")
    assert status is not None and status.word == "meets"
    assert "One question" in pane.editions.told.text()


def test_that_matters_on_which_nothing_differs_follow_with_what_each_edition_says(qtbot: QtBot) -> None:
    pane = shown(qtbot, wired(FIELD), "editions")
    texts = pane.editions.table.texts()
    alike = [cells for _, cells in texts.rows if cells[1] == "alike"]
    assert len(alike) == len(editions.matters()) - 1
    line = next(at for at, (_, cells) in enumerate(texts.rows) if cells[0].startswith("Ground-fault"))
    click_line(qtbot, pane, line)
    told = pane.editions.says.text()
    for name, says in editions.matters()["ground-fault"].says.items():
        assert f"<b>{name}</b>  {says}" in told
    assert "from memory" in told


def test_that_a_matter_opens_the_findings_that_it_concerns(qtbot: QtBot) -> None:
    pane = shown(qtbot, wired(FIELD), "editions")
    for line, (_, cells) in enumerate(pane.editions.table.texts().rows):
        click_line(qtbot, pane, line)
        (rule,) = [rule for rule, each in editions.matters().items() if cells[0].startswith(each.title)]
        found = pane._session.evaluation.findings
        assert cards(pane.reasons) == tuple(each for each in found if each.rule == rule)


def test_that_editions_follow_an_edit_of_the_site(qtbot: QtBot) -> None:
    pane = shown(qtbot, wired(FIELD), "editions")
    pane._session.edit("arrays.south.arc_fault", "yes")
    pane._session.settle()
    pane.refresh()
    assert all(set(cells[1:4]) == {"alike"} for _, cells in pane.editions.table.texts().rows)
    assert "alike" in pane.editions.told.text()


def test_that_no_edition_is_judged_before_one_looks(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[object] = []

    def compare(evaluation: object) -> tuple[()]:
        asked.append(evaluation)
        return ()

    monkeypatch.setattr("app.views.editions.compare", compare)
    pane = shown(qtbot, wired(), "checklist")
    assert not asked
    qtbot.mouseClick(pane.faces.button("editions"), LEFT)
    pane.refresh()
    assert len(asked) == 1


def test_that_a_code_of_one_edition_says_so_in_a_sentence(qtbot: QtBot) -> None:
    pane = shown(qtbot, load(demo_sites() / "tropical_clinic.toml"), "editions")
    assert "No other edition of it is held here" in pane.editions.told.text()
    assert not pane.editions.table.isVisible() and not pane.reasons.isVisible()
    assert not pane.export.isEnabled()


def test_that_the_checklist_has_a_box_for_each_line_about_the_design(qtbot: QtBot) -> None:
    design = load(demo_sites() / "lake_cabin.toml")
    pane = shown(qtbot, design, "checklist")
    told = " ".join(pane.checklist.text.toPlainText().split())
    found = checklist.lines_for(design)
    assert told.count("\N{BALLOT BOX}") == len(found)
    for line in found:
        assert f"{' '.join(line.text.split())} {line.source}" in told
    for title in checklist.STAGES.values():
        assert title in told
    assert not pane.reasons.isVisible() and pane._caution.isVisible()


def test_that_the_checklist_of_an_empty_site_says_what_brings_lines(qtbot: QtBot) -> None:
    pane = shown(qtbot, Design(), "checklist")
    assert not pane.checklist.text.isVisible() and not pane.export.isEnabled()
    assert "sources" in pane.checklist._told.text()


def test_that_the_checklist_is_copied_with_a_column_for_the_hand(qtbot: QtBot) -> None:
    pane = shown(qtbot, wired(), "checklist")
    pane._copy.trigger()
    head, *lines = QGuiApplication.clipboard().text().splitlines()
    assert head.split("\t") == ["When", "Line", "See to", "Source", "Done by, on"]
    assert len(lines) == len(checklist.lines_for(wired()))


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="no reader of PDF text")
def test_that_the_printed_checklist_can_be_searched_and_signed(
    qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    design = wired(FIELD | {"rules": "nec-2017"})
    pane = shown(qtbot, design, "checklist")
    path = tmp_path / "day.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))
    pane._pdf.trigger()
    text = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, text=True, check=True).stdout
    text = " ".join(text.split())
    for line in checklist.lines_for(design):
        assert " ".join(line.text.split())[:40] in text
    for words in ("Not ready to commission", "Commissioned by", "NOTICE", "2017"):
        assert words in text


def test_that_only_the_checklist_is_printed_here(qtbot: QtBot) -> None:
    pane = shown(qtbot, wired(), "devices")
    assert not pane._pdf.isEnabled() and pane._csv.isEnabled()
    qtbot.mouseClick(pane.faces.button("checklist"), LEFT)
    assert pane._pdf.isEnabled()


@pytest.mark.parametrize("site", ["lake_cabin", "mountain_farm", "tropical_clinic"])
def test_that_no_device_or_circuit_is_cut_where_the_window_is_small(qtbot: QtBot, site: str) -> None:
    pane = shown(qtbot, load(demo_sites() / f"{site}.toml"), "devices", (1006, 560))
    table, look = pane.devices.table, LOOKS["light"]
    QGuiApplication.processEvents()
    type = letters(look, look.small)
    assert table.horizontalScrollBar().maximum() == 0
    heads = table.texts().heads
    for row, (_, cells) in enumerate(table.texts().rows):
        for head in ("Device", "Circuits"):
            column = heads.index(head)
            lines = type.wrap(cells[column], table.columnWidth(column + 1) - 8)
            assert not any("…" in line for line in lines)
            assert len(lines) * type.height <= table.rowHeight(row)


@pytest.mark.parametrize("look", ["light", "dark", "projector"])
def test_that_every_face_fits_beside_form_and_findings(qtbot: QtBot, look: str) -> None:
    pane = ProtectionPane(Session(load(demo_sites() / "mountain_farm.toml")))
    qtbot.addWidget(pane)
    pane.set_look(LOOKS[look])
    pane.refresh()
    pane.show()
    for face in ("devices", "order", "editions", "checklist", "typed"):
        qtbot.mouseClick(pane.faces.button(face), LEFT)
        QGuiApplication.processEvents()
        most = 1366 - 12 * 2 - (404 if look == "projector" else 332) - 5
        assert QWidget.minimumSizeHint(pane).width() <= most
