"""One design under the editions of one code: matter by matter, where the answer differs."""

from __future__ import annotations

import dataclasses
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from engine.design import Design
from engine.evaluation import Evaluation, evaluate
from engine.finding import Finding, Signal, Status
from engine.sources import Source
from engine.tables.family import FOLDER, family, names

PROGRAM_OWN = ("program-failed", "not-judged")
SIZED = {
    "conductor": ("conductor", "conductor"),
    "earthing": ("earthing-size", "earthing conductor"),
    "device": ("device-rating", "device"),
}
"""What is chosen for a circuit: the rule that judges it, and what it is called."""


@dataclass(frozen=True, slots=True)
class Matter:
    """What the editions say on one matter, and which of them are the strictest; ``how`` as in a source."""

    rule: str
    title: str
    how: str
    strictest: tuple[str, ...]
    says: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Answer:
    """One edition's answer: ``text`` in a sentence, ``status`` ``None`` where it is a size, no verdict."""

    edition: str
    text: str
    status: Status | None = None
    signal: Signal = Signal.NONE
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class Difference:
    """A question of the design that editions answer differently; ``strictest`` are the hardest answers."""

    rule: str
    where: str
    title: str
    answers: tuple[Answer, ...]
    strictest: tuple[str, ...]
    matter: Matter | None = None


@cache
def matters() -> Mapping[str, Matter]:
    """The matters on which editions are known to differ, by the rule that judges them."""
    data = tomllib.loads((FOLDER / "matters" / "nec.toml").read_text("utf-8"))
    held = {
        rule: Matter(
            rule,
            item["title"],
            item["how"],
            tuple(item["strictest"]),
            MappingProxyType({name: item[name] for name in names() if name in item}),
        )
        for rule, item in data.items()
    }
    return MappingProxyType(held)


def editions(rules: str) -> tuple[str, ...]:
    """The families that are editions of the same code as ``rules``, oldest first; itself alone where none."""
    group = family(rules).group
    return tuple(name for name in names() if family(name).group == group)


def compare(evaluation: Evaluation) -> tuple[Difference, ...]:
    """Every finding and circuit that the editions of this code answer differently, the gravest first."""
    design = evaluation.design
    judged = {
        name: evaluation if name == design.rules else evaluate(_under(design, name))
        for name in editions(design.rules)
    }
    if len(judged) < 2:
        return ()
    found = (*_verdicts(judged), *_circuits(judged))
    return tuple(sorted(found, key=_gravity))


def _under(design: Design, rules: str) -> Design:
    return dataclasses.replace(design, about=dataclasses.replace(design.about, rules=rules))


def _gravity(difference: Difference) -> tuple[int, int, str, str]:
    statuses = [answer.status for answer in difference.answers if answer.status is not None]
    signals = [answer.signal for answer in difference.answers]
    return min(statuses, default=Status.MEETS), min(signals), difference.where, difference.rule


def _verdicts(judged: Mapping[str, Evaluation]) -> Iterator[Difference]:
    """Findings whose status, value or limit differ, or that some editions do not ask for."""
    by_edition = {
        name: {(each.rule, each.where): each for each in held.findings if each.rule not in PROGRAM_OWN}
        for name, held in judged.items()
    }
    places = dict.fromkeys(place for held in by_edition.values() for place in held)
    for rule, where in places:
        found = {name: held.get((rule, where)) for name, held in by_edition.items()}
        if len({_told(finding) for finding in found.values()}) < 2:
            continue
        worst = min(finding.status for finding in found.values() if finding is not None)
        strictest = tuple(name for name, each in found.items() if each is not None and each.status == worst)
        answers = tuple(_answer(name, finding) for name, finding in found.items())
        title = next(finding.title for finding in found.values() if finding is not None)
        yield Difference(rule, where, title, answers, strictest, matters().get(rule))


def _told(finding: Finding | None) -> object:
    return finding and (finding.status, finding.signal, finding.value, finding.limit)


def _answer(edition: str, finding: Finding | None) -> Answer:
    if finding is None:
        return Answer(edition, "not asked for")
    return Answer(edition, finding.title, finding.status, finding.signal, finding.source)


def _circuits(judged: Mapping[str, Evaluation]) -> Iterator[Difference]:
    """Circuits whose conductor, earthing conductor or device differ: the largest is the strictest."""
    first = next(iter(judged.values()))
    for id, circuit in first.circuits.items():
        results = {name: held.circuits.get(id) for name, held in judged.items()}
        for what, (rule, called) in SIZED.items():
            sizes = {name: getattr(result, what, None) for name, result in results.items()}
            if len(set(sizes.values())) < 2:
                continue
            known = [size for size in sizes.values() if size is not None]
            strictest = tuple(name for name, size in sizes.items() if size == max(known))
            answers = tuple(Answer(name, _size(size)) for name, size in sizes.items())
            title = f"{circuit.title}: {called}"
            yield Difference(rule, f"circuits.{id}", title, answers, strictest, matters().get(rule))


def _size(value: object) -> str:
    if value is None:
        return "unknown"
    return f"{value:g} A" if isinstance(value, float) else str(value)
