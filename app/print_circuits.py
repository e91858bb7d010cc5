"""The circuits on paper: a PDF with text that can be searched, heads on every page, and what was assumed."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from pathlib import Path

from PySide6.QtGui import QPageLayout

from app.print_page import decides, heading, line, name_of, page, write_page
from app.terminal.check import CAUTION, assumed
from app.views.circuit_rows import COLUMNS, Row, text
from engine.evaluation import Evaluation
from engine.finding import Finding, Status

PRINTED = (
    *("status", "title", "id", "conductor", "earthing", "governed", "device", "class"),
    *("current", "voltage", "length", "drop", "loss"),
)
TABLE = "margin-top: 8px; margin-bottom: 8px; border-collapse: collapse;"
LINE = "border-bottom: 1px solid #999999;"


def write_pdf(path: Path, evaluation: Evaluation, rows: Sequence[Row], habit: str, note: str = "") -> None:
    """Print circuits to a file, on the paper of the habit. Raises ``OSError`` where it can't be written."""
    title = f"Circuits, {name_of(evaluation.design)}"
    html = as_html(evaluation, rows, habit, note)
    write_page(path, title, html, habit, QPageLayout.Orientation.Landscape)


def as_html(evaluation: Evaluation, rows: Sequence[Row], habit: str, note: str = "") -> str:
    """The schedule as rich text: head, table, what is open, what was assumed, who decides."""
    family, count = evaluation.family, len(rows)
    all_of_them = count == len(evaluation.circuits)
    shown = f"{count} circuits" if all_of_them else f"{count} of {len(evaluation.circuits)} circuits"
    return page(
        heading(f"Circuits, {name_of(evaluation.design)}"),
        line(f"Judged by {family.name}: {family.title}, {family.edition}. {shown}{note and f', {note}'}."),
        *_open(evaluation, rows),
        _table(rows, habit),
        *_assumed(evaluation),
        decides(CAUTION),
    )


def _table(rows: Sequence[Row], habit: str) -> str:
    columns = [next(column for column in COLUMNS if column.key == key) for key in PRINTED]

    def cell(words: str, number: bool, tag: str) -> str:
        side = "right" if number else "left"
        return f"<{tag} align='{side}' style='{LINE}'>{escape(words)}</{tag}>"

    head = "".join(cell(column.title or column.help, bool(column.unit), "th") for column in columns)
    body = "".join(
        "<tr>"
        + "".join(cell(text(row, column, habit), bool(column.unit), "td") for column in columns)
        + "</tr>"
        for row in rows
    )
    return (
        f"<table width='100%' cellspacing='0' cellpadding='3' style='{TABLE}'>"
        f"<thead><tr>{head}</tr></thead>{body}</table>"
    )


def _open(evaluation: Evaluation, rows: Sequence[Row]) -> list[str]:
    """What stands between these circuits and a licensed person's hands, worst first."""
    places = {f"circuits.{row.circuit.id}" for row in rows}
    still = [finding for finding in evaluation.findings if finding.status is not Status.MEETS]
    here = [f for f in still if f.where in places or f.rule == "program-failed"]
    stops = [f for f in still if f.status in (Status.FAILS, Status.UNKNOWN)]
    elsewhere = len([f for f in stops if f not in here])
    parts = [line("Not ready to build from: something fails or is not known.", bold=True)] if stops else []
    parts += [line(_told(finding)) for finding in here]
    if elsewhere:
        parts.append(line(f"Elsewhere in the design {elsewhere} more fail or are not known."))
    return parts


def _told(finding: Finding) -> str:
    signal = f", {finding.signal.word}" if finding.signal.word else ""
    remedy = f" {finding.remedy}" if finding.remedy else ""
    return f"{finding.status.word}{signal}: {finding.title}.{remedy}"


def _assumed(evaluation: Evaluation) -> list[str]:
    """Each default that was taken and why, with the ids of what took it."""
    taken: dict[str, list[str]] = {}
    for item in assumed(evaluation):
        owner = item.path.rpartition(".")[0]
        taken.setdefault(f"{item.title} {item.text} ({item.why})", []).append(owner.rpartition(".")[2])
    told = (f"{words}: {', '.join(filter(None, ids))}".removesuffix(": ") for words, ids in taken.items())
    return [line("Assumed where nothing was entered", bold=True), *map(line, told)] if taken else []
