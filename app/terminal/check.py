"""``farstead check``: the verdict on a site, worst findings first, with the schedule of its circuits."""

from __future__ import annotations

import argparse
import textwrap
from collections.abc import Iterable, Iterator
from typing import Any

from app import checklist
from app.terminal import balance_text, bank_text, editions
from app.terminal.exits import FAILS, FINE, PROGRAM_FAILED, UNKNOWN, refuse, show_json
from engine import evaluate, load, units
from engine.design import PIECES, Design, label
from engine.editions import compare
from engine.evaluation import Evaluation
from engine.finding import Finding, Status
from engine.needs import needs
from engine.problems import Problems
from engine.sections.results import Assumed, CircuitResult, assume
from engine.steps import lines

MARKS = {Status.FAILS: "▲", Status.UNKNOWN: "○", Status.MARGINAL: "◆", Status.MEETS: "●"}
CAUTION = (
    "This is an aid, not an approval: the authority having jurisdiction, the local code, the makers' "
    "instructions and a licensed person decide."
)
WIDTH = 100


def run(arguments: argparse.Namespace) -> int:
    """Judge a site file; 1 where something fails, 3 where something is unknown."""
    try:
        design = load(arguments.site)
    except Problems as error:
        return refuse(error.problems)
    evaluation = evaluate(design)
    if arguments.json:
        show_json(as_json(evaluation, arguments.site))
    else:
        print("\n".join(as_text(evaluation)))
    return status(evaluation)


def status(evaluation: Evaluation) -> int:
    """The exit status of the contract."""
    counts = evaluation.counts()
    if evaluation.program_failed:
        return PROGRAM_FAILED
    return FAILS if counts[Status.FAILS] else UNKNOWN if counts[Status.UNKNOWN] else FINE


def as_json(evaluation: Evaluation, site: str) -> dict[str, Any]:
    """The verdict as the contract's JSON."""
    design = evaluation.design
    habit = str(design.about.use("units"))
    return {
        "format": 1,
        "site": design.about.name or site,
        "rules": evaluation.family.name,
        "edition": f"{evaluation.family.title}, {evaluation.family.edition}",
        "circuits": [circuit_json(item) for item in evaluation.circuits.values()],
        "findings": [finding_json(item, habit) for item in evaluation.findings],
        "balance": balance_text.as_json(evaluation.balance),
        "bank": bank_text.as_json(evaluation),
        "assumed": [_assumed(item) for item in assumed(evaluation)],
        "needs": [{"path": need.path, "sentence": need.sentence} for need in needs(design)],
        "editions": [editions.as_json(each) for each in compare(evaluation)],
        "checklist": [
            {"id": line.id, "when": line.when, "text": line.text, "source": str(line.source)}
            for line in checklist.lines_for(design)
        ],
    }


def circuit_json(circuit: CircuitResult) -> dict[str, Any]:
    """A circuit as JSON."""
    return {
        "id": circuit.id,
        "title": circuit.title,
        "kind": circuit.kind,
        "from": circuit.origin,
        "to": circuit.target or None,
        "length": units.as_json(circuit.length, "m"),
        "current": units.as_json(circuit.current, "A"),
        "design_current": units.as_json(circuit.design_current, "A"),
        "running_current": units.as_json(circuit.running_current, "A"),
        "voltage": units.as_json(circuit.voltage, "V"),
        "voltage_record": units.as_json(circuit.voltage_record, "V"),
        "running_voltage": units.as_json(circuit.running_voltage, "V"),
        "voltage_class": units.as_json(circuit.voltage_class, "V"),
        "conductor": _size(circuit.conductor),
        "pinned": circuit.pinned,
        "governed_by": circuit.governed_by or None,
        "smaller": _size(circuit.smaller),
        "smaller_fails": circuit.smaller_fails or None,
        "checks": [
            {
                "name": check.name,
                "capacity": units.as_json(check.capacity, check.unit),
                "need": units.as_json(check.need, check.unit),
                "ok": check.ok,
            }
            for check in circuit.checks
        ],
        "device": units.as_json(circuit.device, "A"),
        "device_needed": circuit.device_needed,
        "device_kind": circuit.device_kind,
        "device_least": units.as_json(circuit.device_least, "A"),
        "device_largest": units.as_json(circuit.device_largest, "A"),
        "earthing": _size(circuit.earthing),
        "drop": circuit.drop_fraction,
        "drop_allowed": circuit.drop_allowed,
        "loss": units.as_json(circuit.loss, "W"),
        "system": circuit.system,
        "phases": circuit.phases,
        "parallel": circuit.parallel,
        "poles": circuit.poles,
        "fault_most": units.as_json(circuit.fault_most, "A"),
        "fault_least": units.as_json(circuit.fault_least, "A"),
        "breaking_least": units.as_json(circuit.breaking_least, "A"),
        "conduit": circuit.conduit,
        "nearest": circuit.nearest or None,
        "unprotected": units.as_json(circuit.unprotected, "m"),
        "missing": [{"path": item.path, "title": item.title} for item in circuit.missing],
        "assumed": [_assumed(item) for item in circuit.assumed],
    }


def _size(size: Any) -> str | None:
    return None if size is None else str(size.text)


def _assumed(item: Assumed) -> dict[str, str]:
    return {"path": item.path, "title": item.title, "value": item.text, "why": item.why}


def finding_json(finding: Finding, habit: str) -> dict[str, Any]:
    """A finding as JSON; its worked steps as lines of text."""
    return {
        "rule": finding.rule,
        "where": finding.where,
        "status": finding.status.word,
        "signal": finding.signal.word or None,
        "title": finding.title,
        "value": _value(finding.value, finding.unit),
        "limit": _value(finding.limit, finding.unit),
        "margin": finding.margin,
        "remedy": finding.remedy or None,
        "source": str(finding.source),
        "steps": [lines(step, habit) for step in finding.steps],
        "count": finding.count,
        "field": finding.field or None,
    }


def _value(value: float | str | None, unit: str) -> Any:
    return value if isinstance(value, str) else units.as_json(value, unit or "1")


def as_text(evaluation: Evaluation) -> Iterator[str]:
    """The verdict as lines of text; the last one counts."""
    design = evaluation.design
    habit = str(design.about.use("units"))
    yield from _summary(evaluation)
    if evaluation.findings:
        yield ""
    for finding in evaluation.findings:
        yield from told(finding)
    if evaluation.circuits:
        yield ""
        yield from table(_rows(evaluation.circuits.values(), habit))
    yield from _balance(evaluation, habit)
    differing = compare(evaluation)
    if differing:
        yield ""
        yield "Editions of this code answer differently:"
    for each in differing:
        yield from (wrapped(line, "  ", "        ") for line in editions.as_text(each, MARKS))
    yield from _checklist(design)
    wanted = needs(design)
    if wanted:
        yield ""
        yield "Next:"
        yield from (wrapped(need.sentence, "  - ") for need in wanted)
    yield ""
    counts = evaluation.counts()
    yield ", ".join(f"{counts[each]} {each.word}" for each in Status)


def _balance(evaluation: Evaluation, habit: str) -> Iterator[str]:
    balance = evaluation.balance
    if balance.months:
        yield ""
        yield "By month, the mean day at the battery:"
        rows = balance_text.rows(balance, habit)
        yield from table(rows, len(rows[0]) - 1)
        yield from (wrapped(line, "", "    ") for line in balance_text.told(balance, habit))


def _checklist(design: Design) -> Iterator[str]:
    held = checklist.lines_for(design)
    for when, stage in checklist.STAGES.items():
        due = [line for line in held if line.when == when]
        if due:
            yield ""
            yield f"{stage}, on the place:"
            yield from (wrapped(f"{line.text} ({line.source})", "  [ ] ") for line in due)


def _summary(evaluation: Evaluation) -> Iterator[str]:
    design, family = evaluation.design, evaluation.family
    name = design.about.name or "Site without a name"
    invented = ", an invented example" if design.about.invented else ""
    yield wrapped(f"{name}{invented}: judged by {family.name} ({family.title}, {family.edition}).")
    taken = dict.fromkeys(f"{item.title} {item.text}" for item in assumed(evaluation))
    if taken:
        yield wrapped(f"Assumed where nothing was entered: {'; '.join(taken)}.")
    pieces = ((f"{table}.{item.id}", item) for table in PIECES for item in getattr(design, table))
    left = [label(item) for path, item in pieces if evaluation.worst(path) is None]
    if left:
        yield wrapped(f"Not judged here: {'; '.join(left)}.")
    yield wrapped(CAUTION)


def assumed(evaluation: Evaluation) -> tuple[Assumed, ...]:
    """Every default that was used, the rule family first, then in the order of the line."""
    results: tuple[Any, ...] = (
        *evaluation.arrays.values(),
        *evaluation.wind.values(),
        *evaluation.hydro.values(),
        *evaluation.controllers.values(),
        *evaluation.circuits.values(),
        evaluation.balance,
        evaluation.bank.capacity,
    )
    every = (item for result in results for item in result.assumed)
    return tuple(dict.fromkeys((*assume("", evaluation.design.about, "rules"), *every)))


def told(finding: Finding) -> Iterator[str]:
    """A finding as lines of text; where and by which clause, unless it meets."""
    signal = f" {finding.signal.word}:" if finding.signal.word else ""
    yield wrapped(f"{MARKS[finding.status]} {finding.status.word}{signal} {finding.title}", "", "    ")
    if finding.remedy:
        yield wrapped(finding.remedy, "    ")
    if finding.status is not Status.MEETS:
        yield wrapped(f"{finding.where} · {finding.rule} · {finding.source}", "    ")


HEAD = ("Circuit", "Conductor", "Governed by", "Device", "DC class", "Earthing", "Current", "Voltage", "Drop")


def _rows(circuits: Iterable[CircuitResult], habit: str) -> list[tuple[str, ...]]:
    return [HEAD, *(_row(circuit, habit) for circuit in circuits)]


def _row(circuit: CircuitResult, habit: str) -> tuple[str, ...]:
    def show(value: float | None, unit: str) -> str:
        return "unknown" if value is None else units.show(value, unit, habit)

    size = circuit.conductor.text if circuit.conductor else "unknown"
    device = show(circuit.device, "A") if circuit.device is not None or circuit.device_needed else "none"
    return (
        circuit.id,
        f"{size}, fixed" if circuit.pinned else size,
        circuit.governed_by or "-",
        device,
        show(circuit.voltage_class, "V"),
        circuit.earthing.text if circuit.earthing else "unknown",
        show(circuit.current, "A"),
        show(circuit.voltage, "V"),
        show(circuit.drop_fraction, "%"),
    )


def table(rows: list[tuple[str, ...]], numbers: int = 3) -> Iterator[str]:
    """Rows in columns, the first of them the head; the last ``numbers`` columns stand at the right."""
    widths = [max(len(row[place]) for row in rows) for place in range(len(rows[0]))]
    first = len(rows[0]) - numbers
    for row in rows:
        cells = (
            cell.rjust(width) if place >= first else cell.ljust(width)
            for place, (cell, width) in enumerate(zip(row, widths, strict=True))
        )
        yield "  ".join(cells).rstrip()


def wrapped(text: str, first: str = "", rest: str | None = None) -> str:
    """A sentence folded to the width of a terminal."""
    following = " " * len(first) if rest is None else rest
    return textwrap.fill(text, WIDTH, initial_indent=first, subsequent_indent=following)
