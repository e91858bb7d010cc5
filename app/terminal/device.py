"""``farstead device``: the breaker in hand against the circuits of a site, a whole order list, or one circuit
that is typed without any site."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from app.terminal.check import CAUTION, MARKS, circuit_json, finding_json, table, told, wrapped
from app.terminal.exits import (
    FAILS,
    FINE,
    PROGRAM_FAILED,
    UNKNOWN,
    read_file,
    refuse,
    show_json,
)
from engine import evaluate, in_hand, load, units
from engine.design import Device
from engine.entry import nearest
from engine.evaluation import Evaluation
from engine.finding import Status
from engine.in_hand import Fit, OrderLine, Typed, Verdict
from engine.in_hand.typed import FIELDS, RUN, STRING
from engine.problems import Problem, Problems
from engine.steps import as_json, lines

EXITS = {Fit.FIT: FINE, Fit.UNFIT: FAILS, Fit.UNKNOWN: UNKNOWN}
STATUS_EXITS = {Status.FAILS: FAILS, Status.UNKNOWN: UNKNOWN}
TYPED_CIRCUITS = {"run": RUN, "string": STRING}


def run(arguments: argparse.Namespace) -> int:
    """Judge what was typed; the exit status of the contract."""
    try:
        site, texts = _words(arguments.words)
        if site is None:
            return _typed(texts, arguments)
        design = load(site)
        return _on_site(evaluate(design), site, texts, arguments)
    except Problems as error:
        return refuse(error.problems)


def _words(words: Iterable[str]) -> tuple[str | None, dict[str, str]]:
    """The site, if one was named, and the ``name=value`` pairs."""
    site, texts, problems = None, dict[str, str](), []
    for word in words:
        name, equals, value = word.partition("=")
        if not equals or name not in (*in_hand.KEYS, *FIELDS):
            if site is None and (not equals or word.lower().endswith(".toml")):
                site = word
            else:
                problems.append(_misread(word, name if equals else ""))
        elif name in texts:
            problems.append(Problem(name, "a second value", "one value"))
        elif not value.strip():
            need = "a value, or the word left out where nothing is printed"
            problems.append(Problem(name, "nothing", need))
        else:
            texts[name] = value
    if problems:
        raise Problems(tuple(problems))
    return site, texts


def _misread(word: str, name: str) -> Problem:
    known = (*in_hand.KEYS, *FIELDS)
    if name:
        return Problem(name, "an unknown word", f"one of {', '.join(known)}", nearest(name, known))
    return Problem("device", f'"{word}"', 'one site file, then name=value such as volts="250 V="')


# A site


def _on_site(
    evaluation: Evaluation, site: str, texts: Mapping[str, str], arguments: argparse.Namespace
) -> int:
    if evaluation.program_failed:
        return _program_failed(evaluation)
    circuits = evaluation.circuits
    problems = [
        Problem(
            name, "a word of a typed circuit", "only what is printed on the device: the site says the rest"
        )
        for name in texts
        if name not in in_hand.KEYS
    ]
    named = arguments.circuit
    if named is not None and named not in circuits:
        hint = nearest(named, tuple(circuits)) or f"there are: {', '.join(circuits) or 'none'}"
        problems.append(Problem("--circuit", f'"{named}"', "the id of a circuit of this site", hint))
    if arguments.list and texts:
        problems.append(Problem("--list", "a device beside it", "either a list or one device"))
    if not arguments.list and not texts:
        need = 'what is printed on the device, such as volts="250 V=" amps="63 A"'
        problems.append(Problem("device", "nothing", need))
    if problems:
        raise Problems(tuple(problems))
    if arguments.list:
        return _list(evaluation, site, arguments)
    device = in_hand.read(texts)
    verdicts = in_hand.judge(evaluation, device)
    fit = _asked(verdicts, named)
    if arguments.json:
        show_json(_head(evaluation, site) | _device_json(device, verdicts, named, evaluation))
    else:
        print("\n".join((*_device_text(device, verdicts, named, _habit(evaluation)), "", wrapped(CAUTION))))
    return EXITS[fit]


def _program_failed(evaluation: Evaluation) -> int:
    """Say where this program failed; nothing is judged on half an evaluation."""
    for finding in evaluation.findings:
        if finding.rule == "program-failed":
            print(f"farstead device: {finding.title}. {finding.remedy}", file=sys.stderr)
    return PROGRAM_FAILED


def _asked(verdicts: Iterable[Verdict], circuit: str | None) -> Fit:
    """The verdict on the named circuit; without one, the best of all: whether it fits anywhere."""
    wanted = [verdict for verdict in verdicts if circuit in (None, verdict.circuit)]
    return in_hand.somewhere(wanted)


def _habit(evaluation: Evaluation) -> str:
    return str(evaluation.design.about.use("units"))


def _device_text(
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


# JSON


def _head(evaluation: Evaluation, site: str | None) -> dict[str, Any]:
    family = evaluation.family
    name = None if site is None else evaluation.design.about.name or site
    return {
        "format": 1,
        "site": name,
        "rules": family.name,
        "edition": f"{family.title}, {family.edition}",
    }


def _device_json(
    device: Device, verdicts: tuple[Verdict, ...], named: str | None, evaluation: Evaluation
) -> dict[str, Any]:
    shown = [verdict for verdict in verdicts if named in (None, verdict.circuit)]
    return {
        "printed": _printed(device),
        "circuit": named,
        "verdict": _asked(verdicts, named).word,
        "verdicts": [_verdict_json(verdict, _habit(evaluation)) for verdict in shown],
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


# An order list


def _list(evaluation: Evaluation, site: str, arguments: argparse.Namespace) -> int:
    found = in_hand.read_list(read_file(arguments.list), tuple(evaluation.circuits))
    if arguments.circuit is not None:
        meant = [item for item in found.lines if item.circuit in ("", arguments.circuit)]
    else:
        meant = list(found.lines)
    judged = in_hand.judge_all(evaluation, (item.device for item in meant))
    rows = [
        (item, item.circuit or arguments.circuit, verdicts)
        for item, verdicts in zip(meant, judged, strict=True)
    ]
    if arguments.json:
        told_lines = [
            {
                "line": item.line,
                "quantity": item.quantity,
                **_device_json(item.device, verdicts, id, evaluation),
            }
            for item, id, verdicts in rows
        ]
        problems = [str(problem) for problem in found.problems]
        show_json(
            _head(evaluation, site)
            | {"lines": told_lines, "problems": problems, "ignored": list(found.ignored)}
        )
    elif rows:
        text = [line for item, id, verdicts in rows for line in _line_text(item, id, verdicts)]
        if found.ignored:
            text.append(f"Columns passed over: {', '.join(found.ignored)}.")
        print("\n".join((*text, "", wrapped(CAUTION))))
    if found.problems:
        return refuse(found.problems)
    if not rows:
        return refuse([Problem(arguments.list, "no line with a device", "one device a line")])
    return EXITS[in_hand.worst(_asked(verdicts, id) for _, id, verdicts in rows)]


def _line_text(item: OrderLine, circuit: str | None, verdicts: tuple[Verdict, ...]) -> Iterator[str]:
    """One line of the list: the verdict on its circuit, or where it fits."""
    head = f"line {item.line}, {item.device.label}"
    if circuit:
        for verdict in verdicts:
            if verdict.circuit == circuit:
                yield wrapped(f"{MARKS[verdict.status]} {verdict.word} · {head}, in {circuit}", "", "    ")
                yield wrapped(verdict.says, "    ")
        return
    best = in_hand.somewhere(verdicts)
    fits = [verdict.circuit for verdict in verdicts if verdict.fit is best]
    if best is Fit.FIT:
        yield wrapped(f"{MARKS[Status.MEETS]} fit · {head}, in {', '.join(fits)}", "", "    ")
        return
    mark, word = (
        (MARKS[Status.FAILS], "unfit everywhere")
        if best is Fit.UNFIT
        else (MARKS[Status.UNKNOWN], "not enough to say")
    )
    yield wrapped(f"{mark} {word} · {head}", "", "    ")
    first = next((verdict for verdict in verdicts if verdict.fit is best), None)
    if first is not None:
        yield wrapped(f"{first.circuit}: {first.says}", "    ")


# One typed circuit


def _typed(texts: Mapping[str, str], arguments: argparse.Namespace) -> int:
    if arguments.list:
        raise Problems((Problem("--list", "no site", "the site whose circuits it is for"),))
    about = {name: text for name, text in texts.items() if name in FIELDS}
    printed = {name: text for name, text in texts.items() if name in in_hand.KEYS}
    if not about:
        need = 'a site file, or a typed circuit: isc="14.2 A" strings=3 voltage="187 V" length="40 m"'
        raise Problems((Problem("device", "no circuit", need),))
    problems: list[Problem] = []
    named = TYPED_CIRCUITS.get(arguments.circuit or "run", "")
    if not named:
        problems.append(Problem("--circuit", f'"{arguments.circuit}"', "run or string without a site"))
    device, typed = None, None
    try:
        device = in_hand.read(printed) if printed else None
    except Problems as error:
        problems += error.problems
    try:
        typed = in_hand.typed_circuit(about)
    except Problems as error:
        problems += error.problems
    if named == STRING and typed is not None and typed.string is None:
        problems.append(
            Problem("--circuit", '"string"', "more than one string", "a single string is the run")
        )
    if problems or typed is None:
        raise Problems(tuple(problems))
    if typed.evaluation.program_failed:
        return _program_failed(typed.evaluation)
    verdicts = () if device is None else in_hand.judge(typed.evaluation, device)
    verdicts = tuple(item for item in verdicts if item.circuit in (RUN, STRING))
    if arguments.json:
        data = _head(typed.evaluation, None) | _typed_json(typed)
        if device is not None:
            data |= _device_json(device, verdicts, named, typed.evaluation)
        show_json(data)
    else:
        print("\n".join(_typed_text(typed, device, verdicts, named)))
    return STATUS_EXITS.get(typed.status, FINE) if device is None else EXITS[_asked(verdicts, named)]


def _typed_json(typed: Typed) -> dict[str, Any]:
    circuit = circuit_json(typed.run)
    keys = ("conductor", "device", "voltage_class", "earthing", "drop")
    return {
        **{key: circuit[key] for key in keys},
        "circuits": [circuit_json(item) for item in (typed.run, typed.string) if item is not None],
        "findings": [finding_json(item, _habit(typed.evaluation)) for item in typed.findings],
        "asks": list(typed.asks),
        "worked": [as_json(step) for step in typed.worked],
    }


def _typed_text(
    typed: Typed, device: Device | None, verdicts: tuple[Verdict, ...], named: str
) -> Iterator[str]:
    habit, family = _habit(typed.evaluation), typed.evaluation.family
    yield wrapped(f"One typed circuit, judged by {family.name} ({family.title}, {family.edition}).")
    taken = typed.assumed(habit)
    if taken:
        yield wrapped(f"Assumed where nothing was typed: {'; '.join(taken)}.")
    yield ""
    yield from (f"{name:<22} {text}" for name, text in typed.answers(habit))
    if device is not None:
        yield ""
        yield from _device_text(device, verdicts, named, habit)
    yield ""
    for finding in typed.findings:
        yield from told(finding)
    if typed.asks:
        yield wrapped(f"Type also, to have the rest: {', '.join(f'{word}=' for word in typed.asks)}")
    for step in typed.worked:
        yield ""
        yield from (line if place == 0 else f"  {line}" for place, line in enumerate(lines(step, habit)))
    yield ""
    yield wrapped(CAUTION)
