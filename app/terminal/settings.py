"""``farstead settings``: the sheet for the day of commissioning, piece by piece, cautions at its end."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from itertools import groupby
from typing import Any

from app.cautions import cautions
from app.terminal import check
from app.terminal.check import CAUTION, wrapped
from app.terminal.exits import FINE, UNKNOWN, refuse, show_json
from engine import evaluate, load
from engine.evaluation import Evaluation
from engine.finding import Status
from engine.problems import Problems
from engine.sections.setting import ENTERED, Setting
from engine.sections.settings import settings

NOTHING = "Nothing to set yet. Add a source with its charge controller, and the battery bank."
PLACES = ("battery", "controller", "ac", "wind", "hydro")
NAME, VALUE = 36, 18  # columns


def run(arguments: argparse.Namespace) -> int:
    """Print the sheet; 1 where the design fails, 3 where a setting or a finding is unknown."""
    try:
        design = load(arguments.site)
    except Problems as error:
        return refuse(error.problems)
    evaluation = evaluate(design)
    rows = settings(design)
    if arguments.json:
        show_json(as_json(evaluation, rows, arguments.site))
    else:
        print("\n".join(as_text(evaluation, rows)))
    status = check.status(evaluation)
    return UNKNOWN if status == FINE and any(row.value is None for row in rows) else status


def as_json(evaluation: Evaluation, rows: tuple[Setting, ...], site: str) -> dict[str, Any]:
    """The sheet as JSON; a setting that isn't known is ``null``, with what to enter."""
    return {
        "format": 1,
        "site": evaluation.design.about.name or site,
        "rules": evaluation.family.name,
        "settings": [
            {
                "piece": row.piece,
                "group": row.group,
                "name": row.name,
                "value": row.as_json(),
                "source": row.source,
                "why": row.why or None,
                "enter": row.wanted or None,
            }
            for row in rows
        ],
    }


def as_text(evaluation: Evaluation, rows: tuple[Setting, ...]) -> Iterator[str]:
    """The sheet as lines that can be read aloud, one setting a line."""
    design = evaluation.design
    habit = str(design.about.use("units"))
    name = design.about.name or "Site without a name"
    invented = ", an invented example" if design.about.invented else ""
    yield wrapped(f"Settings of {name}{invented}, for the day of commissioning.")
    counts = evaluation.counts()
    if counts[Status.FAILS] or counts[Status.UNKNOWN]:
        yield wrapped(
            f"Set nothing by this sheet yet: {counts[Status.FAILS]} findings fail and "
            f"{counts[Status.UNKNOWN]} are unknown. Run farstead check first."
        )
    if not rows:
        yield NOTHING
    for group, of in groupby(rows, key=lambda row: row.group):
        yield ""
        yield group
        for row in of:
            yield from _line(row, habit)
    yield ""
    told = cautions()
    tables = {"ac": design.inverters, "wind": design.wind, "hydro": design.hydro}
    for place in PLACES:
        if tables.get(place, True):
            signal, text = told[place]
            yield wrapped(f"{signal.word}: {text}", "", "  ")
    yield wrapped(CAUTION)


def _line(row: Setting, habit: str) -> Iterator[str]:
    if row.value is None:
        yield wrapped(f"  {row.name:<{NAME}}not known: enter {row.wanted}.", "", " " * (NAME + 2))
        return
    from_where = "" if row.source == ENTERED else row.source
    note = "; ".join(filter(None, (row.why, from_where)))
    value = row.text(habit)
    if not note:
        yield f"  {row.name:<{NAME}}{value}"
        return
    rest = " " * (NAME + VALUE + 2)
    if len(value) >= VALUE:
        yield f"  {row.name:<{NAME}}{value}"
        yield wrapped(note, rest)
    else:
        yield wrapped(f"  {row.name:<{NAME}}{value:<{VALUE}}{note}", "", rest)
