"""``farstead turbine --refine``: a better load curve from a log of the turbine at work."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from app.refine_words import HEADS, rows, summary
from app.table_text import csv_text
from app.terminal.check import CAUTION, table, wrapped
from app.terminal.exits import FINE, show_json
from engine import turbine_log, units
from engine.problems import Problem, Problems
from engine.sections.refine import Proposal, propose
from engine.sections.wind import WindResult
from engine.worksheet import CannotCalculate


def run(result: WindResult, log: str, save: str | None, habit: str, *, json: bool) -> int:
    """Propose one pass over the curve in force; raises Problems where log or turbine can't be used."""
    try:
        proposal = propose(result, turbine_log.read(log))
    except CannotCalculate as error:
        where = log if error.name == "log" else error.name
        raise Problems((Problem(where, error.got, error.need),)) from error
    if save is not None:
        _save(save, proposal)
    if json:
        show_json(as_json(result, proposal))
    else:
        print("\n".join(as_text(result, proposal, habit)))
    return FINE


def _save(file: str, proposal: Proposal) -> None:
    curve = proposal.refined.curve if proposal.helps else None
    volts, watts = proposal.refined.volts, proposal.refined.before if curve is None else curve.watts
    lines = [
        [f"{v:.2f}", f"{w:.1f}", f"{w / v:.2f}"] for v, w in zip(volts.tolist(), watts.tolist(), strict=True)
    ]
    try:
        text = csv_text([["voltage [V]", "power [W]", "current [A]"], *lines])
        Path(file).write_text(text, encoding="utf-8", newline="")
    except OSError as error:
        got = error.strerror or str(error)
        raise Problems((Problem(file, got, "a place where a file can be written"),)) from error


def as_text(result: WindResult, proposal: Proposal, habit: str) -> Iterator[str]:
    """The proposal as lines of text."""
    assert result.machine is not None
    yield wrapped(f"{result.label}: {summary(proposal, result.machine.rotor.best, habit)}")
    yield ""
    told = [(*row[-1:], *row[:-1]) for row in (HEADS, *rows(proposal))]
    yield from table(told, numbers=6)
    yield ""
    yield wrapped(CAUTION)


def as_json(result: WindResult, proposal: Proposal) -> dict[str, Any]:
    """The proposal as JSON."""
    found = proposal.refined
    columns = zip(
        found.volts, found.before, found.after, found.target, found.error, found.rows, found.why, strict=True
    )
    return {
        "format": 1,
        "turbine": result.turbine,
        "helps": proposal.helps,
        "best_ratio": found.rotor.best[0],
        "best_cp": found.rotor.best[1],
        "year_before": units.as_json(proposal.before, "Wh"),
        "year_after": units.as_json(proposal.after, "Wh"),
        "points": [
            {
                "voltage": units.as_json(float(volts), "V"),
                "before": units.as_json(float(before), "W"),
                "after": units.as_json(float(after), "W"),
                "best_by_log": units.as_json(float(best), "W"),
                "standard_error": units.as_json(float(error), "W"),
                "rows": int(near),
                "why": why,
            }
            for volts, before, after, best, error, near, why in columns
        ],
    }
