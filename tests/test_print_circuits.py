"""The printed schedule of circuits: text that can be searched, whole, and honest about what is open."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest
from a_wired_site import judged
from pytestqt.qtbot import QtBot

from app.places import demo_sites
from app.print_circuits import PRINTED, as_html, write_pdf
from app.terminal.check import CAUTION
from app.views.circuit_rows import COLUMNS, rows, text
from engine import evaluate, load
from engine.evaluation import Evaluation

HEADS = [next(column.title for column in COLUMNS if column.key == key) or "Status" for key in PRINTED]


@pytest.fixture(scope="module")
def clinic() -> Evaluation:
    return evaluate(load(demo_sites() / "tropical_clinic.toml"))


def words(html: str) -> str:
    """Rich text as plain words."""
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", html))


def test_that_the_schedule_names_the_site_its_edition_and_who_decides(clinic: Evaluation) -> None:
    told = words(as_html(clinic, rows(clinic), "metric"))
    assert "Tropical clinic (invented example)" in told
    assert clinic.family.name in told and clinic.family.edition in told
    assert "NOTICE" in told and CAUTION.replace("'", "&#x27;") in told


def test_that_every_circuit_is_printed_with_every_column(clinic: Evaluation) -> None:
    told = as_html(clinic, rows(clinic), "us")
    for row in rows(clinic):
        for column in COLUMNS:
            if column.key in PRINTED:
                assert f">{text(row, column, 'us')}<" in told


def test_that_each_assumption_stands_with_its_reason_and_with_what_took_it(clinic: Evaluation) -> None:
    lines = [words(line).strip() for line in as_html(clinic, rows(clinic), "metric").split("</p>")]
    for circuit in clinic.circuits.values():
        for item in circuit.assumed:
            (line,) = [each for each in lines if each.startswith(f"{item.title} {item.text} ({item.why}): ")]
            owner = item.path.rpartition(".")[0].rpartition(".")[2]
            assert owner in line.partition("): ")[2].split(", ")


def test_that_a_schedule_of_some_circuits_says_so(clinic: Evaluation) -> None:
    told = words(as_html(clinic, rows(clinic)[:2], "metric", "those with the words “roof”"))
    assert f"2 of {len(clinic.circuits)} circuits, those with the words “roof”" in told


def test_that_what_fails_is_told_above_the_table_and_a_sound_design_says_nothing(clinic: Evaluation) -> None:
    assert "Not ready" not in as_html(clinic, rows(clinic), "metric")
    bad = judged({"circuits.south-run.size": "14 AWG"})
    told = as_html(bad, rows(bad), "metric")
    assert 0 < told.index("Not ready to build from") < told.index("fails, WARNING") < told.index("<table")


def test_that_what_is_open_elsewhere_is_counted_where_only_other_circuits_are_printed() -> None:
    bad = judged({"circuits.south-run.size": "14 AWG"})
    others = tuple(row for row in rows(bad) if row.circuit.id != "south-run")
    told = words(as_html(bad, others, "metric"))
    assert "Not ready to build from" in told and "Elsewhere in the design" in told


def test_that_a_name_with_markup_in_it_stays_text() -> None:
    evaluation = judged({"arrays.south.label": "<b>South</b> & co"})
    assert "&lt;b&gt;South&lt;/b&gt; &amp; co, string" in as_html(evaluation, rows(evaluation), "metric")


@pytest.mark.parametrize(("habit", "width"), [("metric", 842), ("us", 792)])
def test_that_the_file_is_a_pdf_on_the_paper_of_the_habit(
    clinic: Evaluation, tmp_path: Path, habit: str, width: int, qtbot: QtBot
) -> None:
    path = tmp_path / "circuits.pdf"
    write_pdf(path, clinic, rows(clinic), habit)
    data = path.read_bytes()
    assert data.startswith(b"%PDF-")
    assert re.search(rb"/MediaBox \[0(?:\.0+)? 0(?:\.0+)? %d" % width, data)
    assert b"/ToUnicode" in data  # letters, not outlines


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="no reader of PDF text here")
def test_that_the_text_can_be_searched_and_every_page_repeats_the_heads(
    clinic: Evaluation, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "circuits.pdf"
    write_pdf(path, clinic, rows(clinic) * 8, "metric")
    read = subprocess.run(
        ["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True
    )
    pages = [page for page in read.stdout.split("\f") if "meets" in page]
    assert len(pages) > 2
    for page in pages:
        assert all(head in page for head in HEADS)
    flat = re.sub(r"\s+", " ", read.stdout)
    assert "Tropical clinic (invented example)" in flat
    assert all(id in flat for id in clinic.circuits)
    assert CAUTION in flat  # whole words: no ligatures


def test_that_a_file_that_cannot_be_written_says_why(clinic: Evaluation, tmp_path: Path) -> None:
    with pytest.raises(OSError, match="No such file"):
        write_pdf(tmp_path / "no" / "circuits.pdf", clinic, rows(clinic), "metric")
