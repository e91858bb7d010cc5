"""Where editions of the code answer a design differently, as text and as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.editions import Answer, Difference
from engine.finding import Status


def as_json(difference: Difference) -> dict[str, Any]:
    """One difference with every edition's answer."""
    matter = difference.matter
    return {
        "rule": difference.rule,
        "where": difference.where,
        "matter": matter.title if matter is not None else None,
        "strictest": list(difference.strictest),
        "answers": [_answer(answer, difference) for answer in difference.answers],
    }


def _answer(answer: Answer, difference: Difference) -> dict[str, Any]:
    matter = difference.matter
    return {
        "rules": answer.edition,
        "answer": answer.text,
        "status": None if answer.status is None else answer.status.word,
        "signal": answer.signal.word or None,
        "source": None if answer.source is None else str(answer.source),
        "says": None if matter is None else matter.says.get(answer.edition),
    }


def as_text(difference: Difference, marks: dict[Status, str]) -> Iterator[str]:
    """One difference: what it is about, then a line an edition, its mark first."""
    matter = difference.matter
    yield f"{matter.title if matter is not None else difference.title} ({difference.where})"
    for answer in difference.answers:
        mark = "·" if answer.status is None else f"{marks[answer.status]} {answer.status.word}"
        says = "" if matter is None else f" {matter.says.get(answer.edition, '')}"
        yield f"  {answer.edition}  {mark} {answer.text}.{says}".rstrip()
