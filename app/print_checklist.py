"""The checklist for the day of commissioning on paper: a box a line, who did it and when at the foot."""

from __future__ import annotations

from html import escape
from itertools import groupby
from pathlib import Path

from PySide6.QtGui import QPageLayout

from app.checklist import STAGES, lines_for
from app.print_page import decides, heading, line, name_of, page, write_page
from app.terminal.check import CAUTION
from engine.evaluation import Evaluation
from engine.finding import Status

BOX = "\N{BALLOT BOX}"
HEADS = ("When", "Line", "See to", "Source", "Done by, on")
SIGNED = ("Commissioned by", "Date", "Weather, and battery voltage at the start")
CELL = "style='padding-bottom: 3px;'"


def exported(evaluation: Evaluation) -> list[tuple[str, ...]]:
    """Heads and lines as cells of text; the last column is left for a hand."""
    found = lines_for(evaluation.design)
    return [HEADS, *((STAGES[each.when], each.id, each.text, str(each.source), "") for each in found)]


def list_html(evaluation: Evaluation, soft: str) -> str:
    """The lines with their boxes, grouped by the order of the day; sources in the soft colour."""
    parts = []
    for when, group in groupby(lines_for(evaluation.design), key=lambda each: each.when):
        rows = "".join(
            f"<tr><td width='18' {CELL}>{BOX}</td><td {CELL}>{escape(each.text)} "
            f"<span style='color: {soft};'>{escape(str(each.source))}</span></td></tr>"
            for each in group
        )
        parts.append(f"<p style='font-weight: bold; margin-top: 8px;'>{escape(STAGES[when])}</p>")
        parts.append(f"<table width='100%' cellspacing='0' cellpadding='0'>{rows}</table>")
    return "".join(parts)


def as_html(evaluation: Evaluation) -> str:
    """The page: what stands against a start, the lines, who signs, who decides."""
    family, counts = evaluation.family, evaluation.counts()
    stops = [f"{counts[status]} {status.word}" for status in (Status.FAILS, Status.UNKNOWN) if counts[status]]
    warned = [line(f"Not ready to commission: of its findings {', '.join(stops)}.", bold=True)]
    return page(
        heading(f"Day of commissioning, {name_of(evaluation.design)}"),
        line(f"Judged by {family.name}: {family.title}, {family.edition}."),
        *(warned if stops else []),
        list_html(evaluation, "#555555"),
        *(f"<p style='margin-top: 14px;'>{escape(words)}: {'_' * 40}</p>" for words in SIGNED),
        decides(CAUTION),
    )


def write_pdf(path: Path, evaluation: Evaluation, habit: str) -> None:
    """Print the checklist to a file. Raises ``OSError`` where it can't be written."""
    title = f"Day of commissioning, {name_of(evaluation.design)}"
    write_page(path, title, as_html(evaluation), habit, QPageLayout.Orientation.Portrait)
