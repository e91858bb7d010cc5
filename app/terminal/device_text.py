"""What ``farstead device`` prints of a device and its verdicts, in text and JSON."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from typing import Any

from app.terminal.check import MARKS, finding_json, table, wrapped
from app.terminal.exits import PROGRAM_FAILED
from engine import in_hand, units
from engine.design import Device
from engine.evaluation import Evaluation
from engine.in_hand import Fit, Verdict


def program_failed(evaluation: Evaluation) -> int:
    """Say where this program failed; nothing is judged on half an evaluation."""
    for finding in evaluation.findings:
        if finding.rule == "program-failed":
            print(f"farstead device: {finding.title}. {finding.remedy}", file=sys.stderr)
    return PROGRAM_FAILED


def asked(verdicts: Iterable[Verdict], circuit: str | None) -> Fit:
    """The verdict on the named circuit; without one, the best of all: whether it fits anywhere."""
    wanted = [verdict for verdict in verdicts if circuit in (None, verdict.circuit)]
    return in_hand.somewhere(wanted)


def habit_of(evaluation: Evaluation) -> str:
    """The unit habit of the design."""
    return str(evaluation.design.about.use("units"))


def device_text(
    device: Device, verdicts: tuple[Verdict, ...], named: str | None, habit: str
) -> Iterator[str]:
    """What was read off it; the named circuit at length, or a table of all with a sentence for each."""
    yield wrapped(
        f"In hand: {device.label}. Read as: {', '.join(in_hand.facts(device, habit)) or 'nothing'}."
    )
    yield ""
    if named is not None:
        for verdict in verdicts:
            if verdict.circuit == named:
                yield from _at_length(verdict, habit)
        return
    yield wrapped(in_hand.tally(verdicts))
    yield ""
    yield from table(
        [("Circuit", "Verdict", "Decided by", "Clause"), *(_row(item) for item in verdicts)], numbers=0
    )
    yield ""
    for says in dict.fromkeys(verdict.says for verdict in verdicts):
        where = ", ".join(verdict.circuit for verdict in verdicts if verdict.says == says)
        yield wrapped(f"{where}: {says}", "", "    ")


def _row(verdict: Verdict) -> tuple[str, str, str, str]:
    clause = verdict.decides.source.clause if verdict.decides is not None else ""
    return verdict.circuit, f"{MARKS[verdict.status]} {verdict.word}", verdict.number or "-", clause or "-"


def _at_length(verdict: Verdict, habit: str) -> Iterator[str]:
    """A verdict with all its reasons, worst first, each with its number and its clause."""
    yield wrapped(f"{MARKS[verdict.status]} {verdict.word} · {verdict.circuit}: {verdict.title}", "", "    ")
    yield wrapped(verdict.says, "    ")
    if verdict.number:
        yield wrapped(f"Decided by: {verdict.number}", "    ")
    for reason in verdict.reasons:
        signal = f" {reason.signal.word}:" if reason.signal.word else ""
        says = in_hand.saying(reason, habit)
        yield wrapped(f"{MARKS[reason.status]} {reason.status.word}{signal} {says}", "", "    ")
        yield wrapped(f"{reason.rule} · {reason.source}", "    ")


def head_json(evaluation: Evaluation, site: str | None) -> dict[str, Any]:
    """What every JSON answer begins with: the site, the rules and their edition."""
    family = evaluation.family
    name = None if site is None else evaluation.design.about.name or site
    return {
        "format": 1,
        "site": name,
        "rules": family.name,
        "edition": f"{family.title}, {family.edition}",
    }


def device_json(
    device: Device, verdicts: tuple[Verdict, ...], named: str | None, evaluation: Evaluation
) -> dict[str, Any]:
    """What was read off a device and its verdicts, on the named circuit or on all."""
    shown = [verdict for verdict in verdicts if named in (None, verdict.circuit)]
    return {
        "printed": _printed(device),
        "circuit": named,
        "verdict": asked(verdicts, named).word,
        "verdicts": [_verdict_json(verdict, habit_of(evaluation)) for verdict in shown],
    }


def _printed(device: Device) -> dict[str, Any]:
    plain = ("label", "kind", "supply", "poles", "polarity", "continuous")
    measured = {"current": "A", "dc_voltage": "V", "ac_voltage": "V", "breaking": "A"}
    return {
        **{name: getattr(device, name) for name in plain},
        **{name: units.as_json(getattr(device, name), unit) for name, unit in measured.items()},
        "class": device.curve,
    }


def _verdict_json(verdict: Verdict, habit: str) -> dict[str, Any]:
    decides = None if verdict.decides is None else finding_json(verdict.decides, habit)
    return {
        "circuit": verdict.circuit,
        "title": verdict.title,
        "verdict": verdict.fit.word,
        "word": verdict.word,
        "status": verdict.status.word,
        "says": verdict.says,
        "number": verdict.number or None,
        "use": "disconnect" if verdict.disconnect else "overcurrent device",
        "rule": decides and decides["rule"],
        "value": decides and decides["value"],
        "limit": decides and decides["limit"],
        "clause": decides and decides["source"],
        "lacks": list(verdict.lacks),
        "asks": list(verdict.asks),
        "reasons": [finding_json(reason, habit) for reason in verdict.reasons],
    }
