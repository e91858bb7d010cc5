"""What a pane shows on paper: its pictures as lines and letters, its tables and words as text."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from contextlib import ExitStack
from datetime import datetime
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtGui import QPageLayout
from PySide6.QtWidgets import QWidget

from app.look import LIGHT
from app.looking import answers
from app.pane import Pane
from app.panes import PLACES
from app.pictures import Part, Row, Table, Words, parts, rows, sized, worn
from app.print_page import (
    BODY_PT,
    NARROW,
    USUAL,
    Drawing,
    as_points,
    decides,
    heading,
    line,
    name_of,
    page,
    placed,
    write_page,
)
from app.terminal.check import CAUTION
from app.views.caution import CautionPanel
from app.views.finding_body import measured
from app.views.worked import worked_html
from engine import units
from engine.design import KEYED, label
from engine.finding import Finding, Status
from engine.sections.results import Conditions

if TYPE_CHECKING:
    from app.session import Session
    from app.window import Window

UPRIGHT, LYING = QPageLayout.Orientation.Portrait, QPageLayout.Orientation.Landscape
ACROSS = {UPRIGHT: 760, LYING: 1100}  # pixels that the pictures of a row are laid out in, together
LETTERS = ((12, 6), (9, 7))
"""Points of the letters of a table with more than so many columns."""
MANY = 7  # columns from which on a table wants the paper lying
SMALL = 0.8  # of the usual letters, for worked steps beside each other
MOST = 8  # findings on a page for the class
LOW = 0.2  # of the paper's height: as much as a picture may take where a page is for the class
HABITS = {"us": "US units", "metric": "Metric units"}
TABLE = "margin-top: 6px; margin-bottom: 6px; border-collapse: collapse;"
EDGE = "border-bottom: 1px solid #999999;"


def write_pane(path: Path, window: Window) -> None:
    """Print the pane that is shown. Raises ``OSError`` where the file can't be written."""
    session, pane = window.session, window.shown
    with worn(pane, LIGHT, window.look), ExitStack() as held:
        found = parts(pane)
        wide = any(isinstance(part, Table) and len(part.heads) > MANY for part in found)
        way = LYING if wide else UPRIGHT
        body, drawings = _body(rows(found), held, way)
        title = f"{_title(window)}, {name_of(session.design)}"
        html = page(*_head(title, window), *body, *_cautions(pane), decides(CAUTION))
        write_page(path, title, html, session.habit, way, drawings, NARROW if wide else USUAL)


def write_class_page(path: Path, window: Window) -> int:
    """Print one page for the class: the pictures that are shown with their verdict, and the worst findings of
    what is selected with their formulas; how many findings. Where the page has no room for formulas, one
    stands with its numbers alone. Raises ``OSError`` where the file can't be written."""
    session, pane = window.session, window.shown
    with worn(pane, LIGHT, window.look), ExitStack() as held:
        pictures = tuple(part for part in parts(pane) if isinstance(part, QWidget) or _is_verdict(part))
        body, drawings = _body(rows(pictures), held, UPRIGHT, LOW)
        title = f"{_title(window)}, {name_of(session.design)}"
        head, foot = tuple(_head(title, window)), (*_cautions(pane), decides(CAUTION))

        def write(told: Sequence[str]) -> bool:
            html = page(*head, *body, *told, *foot)
            return write_page(path, title, html, session.habit, UPRIGHT, drawings, NARROW) == 1

        told: list[str] = []
        for finding in (session.evaluation.at(_piece(session)) or session.evaluation.findings)[:MOST]:
            short = _short(finding, session.habit)
            forms = dict.fromkeys((short + _formulas(finding, session.habit), short))
            form = next((form for form in forms if write((*told, form))), None)
            if form is None:
                break
            told.append(form)
        write(told)
        return len(told)


def _is_verdict(part: Part) -> bool:
    """Sentences that begin in bold, over a picture, say what it shows; a heading has no full stop."""
    return isinstance(part, Words) and part.html.startswith("<b>") and "." in part.html


def _title(window: Window) -> str:
    """The place, and the piece that it shows."""
    place, design = dict(PLACES)[window.place], window.session.design
    circuit = window.session.evaluation.circuits.get(window.session.selected.removeprefix("circuits."))
    if window.place == "wiring" and circuit is not None:
        return f"{place}: {circuit.title}"
    path = window.shown.source if isinstance(window.shown, Pane) else ""
    table, _, id = (path or _piece(window.session)).partition(".")
    record = design.find(table, id) if window.place == "sources" and table in KEYED else None
    return f"{place}: {label(record)}" if record is not None else place


def _looked(at: Conditions, sources: Collection[str], habit: str) -> str:
    """The conditions that the sources answer to."""
    shown = (
        ("sun", f"cell {units.show(at.cell, 'degC', habit)}"),
        ("sun", f"irradiance {units.show(at.irradiance, 'W/m^2', habit)}"),
        ("wind", f"wind {units.show(at.wind, 'm/s', habit)}"),
        ("water", f"flow {units.show(at.flow, 'm^3/s', habit, 3)}"),
    )
    told = [text for source, text in shown if source in sources]
    return ", ".join((*told, f"battery {units.show(at.battery, 'V', habit)}"))


def _head(title: str, window: Window) -> Iterator[str]:
    session, pane = window.session, window.shown
    evaluation, habit = session.evaluation, session.habit
    family, at, counts = evaluation.family, session.conditions, evaluation.counts()
    yield heading(title)
    when = f"{datetime.now():%d %B %Y, %H:%M}".lstrip("0")
    yield line(f"Judged by {family.name}: {family.title}, {family.edition}. {HABITS[habit]}. Printed {when}.")
    if getattr(pane, "live", False):
        yield line(f"Looked at with {_looked(at, answers(pane), habit)}.")
        if session.held is not None:
            yield line(f"Held: {_looked(session.held, answers(pane), habit)}. {window.strip.difference}.")
    stops = [f"{counts[status]} {status.word}" for status in (Status.FAILS, Status.UNKNOWN) if counts[status]]
    if stops:
        yield line(f"Not ready to build from: of the findings {', '.join(stops)}.", bold=True)


def _body(
    found: Sequence[Row], held: ExitStack, way: QPageLayout.Orientation, most: float = 0.9
) -> tuple[list[str], list[Drawing]]:
    """The parts as rich text with places for the pictures, which stay at their size as long as held."""
    html: list[str] = []
    drawings: list[Drawing] = []
    for row in found:
        if isinstance(row, Table):
            html.append(table_html(row))
            continue
        pictures = tuple(part for part in row if isinstance(part, QWidget))
        if pictures:
            across = sum(widget.width() for widget in pictures) or 1
            shares = [max(1, round(ACROSS[way] * widget.width() / across)) for widget in pictures]
            held_at = [held.enter_context(sized(*each)) for each in zip(pictures, shares, strict=True)]
            html.append(placed(len(drawings)))
            drawings.append(Drawing(pictures, tuple((size.width(), size.height()) for size in held_at), most))
        else:
            html.append(_words([part for part in row if isinstance(part, Words)]))
    return html, drawings


def _words(row: Sequence[Words]) -> str:
    """Words, or a line of them side by side."""
    if len(row) == 1:
        return f"<p style='margin: 4px 0;'>{as_points(row[0].html)}</p>"
    share = 100 // len(row)
    cells = "".join(f"<td width='{share}%'>{as_points(each.html)}</td>" for each in row)
    return f"<table width='100%' cellspacing='0' cellpadding='2'><tr>{cells}</tr></table>"


def table_html(table: Table) -> str:
    """A table whose heads stand on every page that it reaches."""

    points = next((size for columns, size in LETTERS if len(table.heads) > columns), BODY_PT)

    def cells(texts: Sequence[str], tag: str) -> str:
        kept = " white-space: nowrap;" if tag == "th" else ""
        sides = ("right" if right else "left" for right in table.right)
        made = (
            f"<{tag} align='{side}' style='{EDGE} font-size: {points}pt;{kept}'>{escape(text)}</{tag}>"
            for text, side in zip(texts, sides, strict=True)
        )
        return f"<tr>{''.join(made)}</tr>"

    head, body = cells(table.heads, "th"), "".join(cells(row, "td") for row in table.rows)
    shape = f"width='100%' cellspacing='0' cellpadding='3' style='{TABLE}'"
    return f"<table {shape}><thead>{head}</thead>{body}</table>"


def _short(finding: Finding, habit: str) -> str:
    """A finding with its numbers."""
    signal = f", {finding.signal.word}" if finding.signal.word else ""
    facts = ", ".join(f"{name} {text}" for name, text in measured(finding, habit))
    head = f"{finding.status.word.capitalize()}{signal}: {finding.title}"
    return f"<p style='margin: 8px 0 0 0;'><b>{escape(head)}</b></p><p style='margin: 0;'>{escape(facts)}</p>"


def _formulas(finding: Finding, habit: str) -> str:
    """The worked steps of a finding, side by side."""
    share = 100 // max(len(finding.steps), 1)
    cells = "".join(
        f"<td width='{share}%' style='font-size: {SMALL * BODY_PT}pt;'>"
        f"{as_points(worked_html(worked, habit, LIGHT), SMALL)}</td>"
        for worked in finding.steps
    )
    return f"<table width='100%' cellspacing='0' cellpadding='4'><tr>{cells}</tr></table>" if cells else ""


def _cautions(pane: QWidget) -> list[str]:
    """The cautions that stand in the pane."""
    panels = [panel for panel in pane.findChildren(CautionPanel) if panel.isVisibleTo(pane)]
    told = (panel.accessibleName().partition(": ") for panel in panels)
    return [f"<p style='margin: 4px 0;'><b>{escape(word)}</b> {escape(text)}</p>" for word, _, text in told]


def _piece(session: Session) -> str:
    """The source that the page is about: what is selected, else the first array."""
    first = next((f"arrays.{array.id}" for array in session.design.arrays), "")
    return session.selected or first
