"""A pane on paper and on the clipboard: text stays text, pictures stay lines, the screen stays as it was."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from PySide6.QtCore import QSize, QSizeF, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QWidget
from pytestqt.qtbot import QtBot

from app import pictures, print_page
from app.panes import PLACES
from app.pictures import parts, text_of
from app.print_pane import write_class_page, write_pane
from app.views.ladder import LadderView
from engine import edit
from tests.a_window import Hands, copy_of, over

CONTROL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier
reads = pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs pdftotext to read a PDF")


@pytest.fixture(autouse=True)
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path / "state"))


@pytest.fixture
def cabin(qtbot: QtBot, tmp_path: Path) -> Hands:
    return over(qtbot, copy_of("lake_cabin", tmp_path))


def text(pdf: Path) -> str:
    told = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, check=True)
    return told.stdout.decode()


def pages(pdf: Path) -> int:
    return text(pdf).count("\f")


def folded(words: str) -> str:
    return " ".join(words.split())


@reads
@pytest.mark.parametrize("place", [name for name, _ in PLACES])
def test_that_every_place_prints_whose_it_is_under_which_rules_and_who_decides(
    cabin: Hands, tmp_path: Path, place: str
) -> None:
    cabin.window.show_place(place)
    cabin.settle()
    file = tmp_path / "page.pdf"
    write_pane(file, cabin.window)
    read = folded(text(file))
    assert "Lake cabin (invented example)" in read and dict(PLACES)[place] in read
    assert "nec-2023" in read and "US units" in read and "Printed" in read
    assert "NOTICE This is an aid" in read
    assert b"/Subtype /Image" not in file.read_bytes(), "a picture is lines and letters, no bitmap"


@reads
def test_that_a_picture_keeps_its_text_and_its_conditions_and_the_cautions_stand_by(
    cabin: Hands, tmp_path: Path
) -> None:
    cabin.session.look(cell=-20.0)
    cabin.settle()
    file = tmp_path / "page.pdf"
    write_pane(file, cabin.window)
    read = folded(text(file))
    for words in ("Voltage ladder", "operates to 145 V", "record low", "-4 °F", "WARNING"):
        assert words in read
    assert pages(file) == 1


@reads
def test_that_a_lane_that_is_scrolled_away_on_the_screen_stands_on_paper(
    cabin: Hands, tmp_path: Path
) -> None:
    cabin.window.set_look("projector")
    cabin.settle()
    ladder = cabin.window.shown.findChild(LadderView)
    assert ladder is not None and ladder.verticalScrollBar().maximum() > 0
    file = tmp_path / "page.pdf"
    write_pane(file, cabin.window)
    assert "made for 1000 V" in folded(text(file))


def test_that_printing_leaves_the_screen_as_it_was(cabin: Hands, tmp_path: Path) -> None:
    cabin.window.set_look("dark")
    for place, _ in PLACES:
        cabin.window.show_place(place)
        cabin.settle()
        before = cabin.window.grab().toImage()
        write_pane(tmp_path / "page.pdf", cabin.window)
        cabin.settle()
        assert cabin.window.look.name == "dark"
        assert cabin.window.grab().toImage() == before, place
    assert not cabin.session.dirty


@reads
def test_that_the_heads_of_a_long_table_stand_on_every_page(cabin: Hands, tmp_path: Path) -> None:
    design = cabin.design
    for number in range(70):
        design, id = edit.add(design, "loads", f"Lamp {number}")
        design = edit.set_field(design, f"loads.{id}.power", "8 W")
    cabin.session.replace(design, "many lamps")
    cabin.window.show_place("loads")
    cabin.settle()
    file = tmp_path / "page.pdf"
    write_pane(file, cabin.window)
    sheets = text(file).split("\f")[:-1]
    with_lamps = [sheet for sheet in sheets if "Lamp" in sheet]
    assert len(with_lamps) >= 2
    assert all("Power" in sheet and "Hours" in sheet for sheet in with_lamps)
    assert sum(sheet.count("Lamp ") for sheet in sheets) == 70
    assert f"page 2 of {len(sheets)}" in folded(sheets[1])


@reads
@pytest.mark.parametrize("units", ["us", "metric"])
def test_that_the_page_for_the_class_is_one_page_with_ladder_curves_and_formulas(
    cabin: Hands, tmp_path: Path, units: str
) -> None:
    if units != cabin.session.habit:
        cabin.session.swap_habit()
    cabin.settle()
    file = tmp_path / "class.pdf"
    assert write_class_page(file, cabin.window) >= 1
    read = folded(text(file))
    assert pages(file) == 1
    assert "Voltage ladder" in read and "At these conditions" in read
    assert "longest string that stays within a voltage" in read and "= 49.6 V · 1.186" in read


@reads
def test_that_the_page_for_the_class_tells_what_is_held_of_the_source_alone(
    cabin: Hands, tmp_path: Path
) -> None:
    cabin.window.choose("circuits.south-run")
    cabin.window.show_place("sources")
    cabin.session.hold(True)
    cabin.press(Qt.Key.Key_1, Qt.KeyboardModifier.AltModifier)
    file = tmp_path / "class.pdf"
    write_class_page(file, cabin.window)
    read = folded(text(file))
    assert pages(file) == 1 and "Sources: Array by the boathouse" in read
    assert "Held: cell" in read and "Held → now:" in read and "open circuit" in read
    assert "flow" not in read and " wind " not in read.partition("Voltage ladder")[0]


@reads
@pytest.mark.parametrize("face", ["money", "ladder"])
def test_that_the_page_for_the_class_is_of_the_picture_that_is_shown(
    cabin: Hands, tmp_path: Path, face: str
) -> None:
    cabin.window.choose("circuits.south-run")
    cabin.window.shown.faces.show_face(face)
    cabin.window.refresh()
    cabin.settle()
    file = tmp_path / "class.pdf"
    assert write_class_page(file, cabin.window) >= 1
    read = folded(text(file))
    assert pages(file) == 1 and "Wiring: Array by the boathouse, combiner to controller" in read
    assert "Its formula" not in read
    assert face != "money" or "costs least with its loss made good" in read


@reads
def test_that_the_page_for_the_class_begins_with_what_fails(cabin: Hands, tmp_path: Path) -> None:
    cabin.session.edit("arrays.south.modules", "3")
    cabin.settle()
    file = tmp_path / "class.pdf"
    write_class_page(file, cabin.window)
    read = folded(text(file))
    worst = cabin.session.evaluation.at("arrays.south")[0]
    assert "Not ready to build from" in read and pages(file) == 1
    assert f"Fails, {worst.signal.word}: {worst.title}" in read


def test_that_pictures_on_a_page_share_one_scale_so_that_axes_stand_under_axes(cabin: Hands) -> None:
    one, other = QWidget(), QWidget()
    cabin.bot.addWidget(one)
    cabin.bot.addWidget(other)
    drawings = [
        print_page.Drawing((one,), ((760, 300),), 0.2),
        print_page.Drawing((other,), ((760, 100),), 0.2),
    ]
    drawer = print_page._Drawer(drawings, QSizeF(1000, 1000), one)
    first, second = (drawer._size(drawing) for drawing in drawings)
    assert first.width() == pytest.approx(second.width()) and first.height() == pytest.approx(200)


# By keys


def test_that_ctrl_p_prints_to_the_file_that_is_asked_for(
    cabin: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[str] = []

    def ask(_parent: object, title: str, first: str, _kinds: str) -> tuple[str, str]:
        asked.extend((title, Path(first).name))
        return str(tmp_path / "mine"), ""

    monkeypatch.setattr(QFileDialog, "getSaveFileName", ask)
    cabin.press(Qt.Key.Key_P, CONTROL)
    assert asked == ["Print this page", "lake_cabin_sources.pdf"]
    assert (tmp_path / "mine.pdf").read_bytes().startswith(b"%PDF")
    cabin.window.show_place("worksheets")
    cabin.press(Qt.Key.Key_P, CONTROL, SHIFT)
    assert asked[2:] == ["Print one page for the class", "lake_cabin_class.pdf"]
    assert cabin.window.place == "sources" and cabin.session.selected == "arrays.south"


def test_that_a_file_that_can_not_be_written_is_told(
    cabin: Hands, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    nowhere = str(tmp_path / "nowhere" / "page.pdf")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (nowhere, ""))
    cabin.press(Qt.Key.Key_P, CONTROL)
    assert cabin.window.notice.text.startswith("Not saved: page.pdf")


def test_that_the_picture_is_copied_at_twice_its_pixels_with_what_it_says(cabin: Hands) -> None:
    cabin.press(Qt.Key.Key_C, CONTROL, SHIFT)
    board = QGuiApplication.clipboard()
    shown = cabin.window.shown.picture.geometry().size()
    assert board.image().size() == shown * pictures.SCALE != QSize()
    assert "Voltage ladder" in board.text() and "operates 36.8 V to 145 V" in board.text()


def test_that_a_table_is_copied_with_its_words_and_without_a_column_that_judges_nothing(
    cabin: Hands,
) -> None:
    cabin.window.show_place("loads")
    cabin.settle()
    told = text_of(cabin.window.shown)
    assert "Load\tPower" in told and "Refrigerator\t75 W" in told and "not judged" not in told


def test_that_a_table_beside_a_form_is_printed_too(cabin: Hands) -> None:
    cabin.window.show_place("balance")
    cabin.settle()
    assert "Month\tSources\tLoads\tSurplus" in text_of(cabin.window.shown)


def test_that_every_place_has_a_part_to_print(cabin: Hands) -> None:
    for place, _ in PLACES:
        cabin.window.show_place(place)
        cabin.settle()
        assert parts(cabin.window.shown), place
