"""``farstead device``: the breaker in hand against the circuits of a site, a whole order list, or one circuit
that is typed without any site."""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from app.terminal.check import CAUTION, MARKS, circuit_json, finding_json, told, wrapped
from app.terminal.device_text import asked, device_json, device_text, habit_of, head_json, program_failed
from app.terminal.exits import (
    FAILS,
    FINE,
    UNKNOWN,
    read_file,
    refuse,
    show_json,
)
from engine import evaluate, in_hand, load
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
        return program_failed(evaluation)
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
    fit = asked(verdicts, named)
    if arguments.json:
        show_json(head_json(evaluation, site) | device_json(device, verdicts, named, evaluation))
    else:
        print("\n".join((*device_text(device, verdicts, named, habit_of(evaluation)), "", wrapped(CAUTION))))
    return EXITS[fit]


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
                **device_json(item.device, verdicts, id, evaluation),
            }
            for item, id, verdicts in rows
        ]
        problems = [str(problem) for problem in found.problems]
        show_json(
            head_json(evaluation, site)
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
    return EXITS[in_hand.worst(asked(verdicts, id) for _, id, verdicts in rows)]


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
        return program_failed(typed.evaluation)
    verdicts = () if device is None else in_hand.judge(typed.evaluation, device)
    verdicts = tuple(item for item in verdicts if item.circuit in (RUN, STRING))
    if arguments.json:
        data = head_json(typed.evaluation, None) | _typed_json(typed)
        if device is not None:
            data |= device_json(device, verdicts, named, typed.evaluation)
        show_json(data)
    else:
        print("\n".join(_typed_text(typed, device, verdicts, named)))
    return STATUS_EXITS.get(typed.status, FINE) if device is None else EXITS[asked(verdicts, named)]


def _typed_json(typed: Typed) -> dict[str, Any]:
    circuit = circuit_json(typed.run)
    keys = ("conductor", "device", "voltage_class", "earthing", "drop")
    return {
        **{key: circuit[key] for key in keys},
        "circuits": [circuit_json(item) for item in (typed.run, typed.string) if item is not None],
        "findings": [finding_json(item, habit_of(typed.evaluation)) for item in typed.findings],
        "asks": list(typed.asks),
        "worked": [as_json(step) for step in typed.worked],
    }


def _typed_text(
    typed: Typed, device: Device | None, verdicts: tuple[Verdict, ...], named: str
) -> Iterator[str]:
    habit, family = habit_of(typed.evaluation), typed.evaluation.family
    yield wrapped(f"One typed circuit, judged by {family.name} ({family.title}, {family.edition}).")
    taken = typed.assumed(habit)
    if taken:
        yield wrapped(f"Assumed where nothing was typed: {'; '.join(taken)}.")
    yield ""
    yield from (f"{name:<22} {text}" for name, text in typed.answers(habit))
    if device is not None:
        yield ""
        yield from device_text(device, verdicts, named, habit)
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
