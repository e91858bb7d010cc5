"""A random user for some seconds over each demo and an empty site, and random edits on the engine alone.

``python -m tests.random_user`` does the first for as long as one likes.
"""

from __future__ import annotations

import dataclasses
import json
import math
import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from app.panes import PLACES
from app.places import demo_sites
from app.session import Session
from app.terminal import check, settings
from engine import edit, load
from engine.codec import loads
from engine.design import KEYED, Design
from engine.evaluation import Evaluation, evaluate
from engine.sections.settings import settings as sheet
from engine.writer import dumps
from tests.a_window import copy_of, over
from tests.random_texts import edited
from tests.random_user import RandomUser, objects

SITES = ("lake_cabin", "mountain_farm", "tropical_clinic", "")
STEPS = 50
DESIGNS = 6
NO_NUMBER = re.compile(r"\b(nan|NaN|inf|Infinity|None(?! of )|True|False)\b|-0(\.0+)? [A-Za-zΩ%]|[0-9]{17}")


@pytest.fixture(autouse=True)
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path / "state"))


@cache
def site(name: str) -> Design:
    return load(demo_sites() / f"{name}.toml") if name else edit.empty()


# In the window


@pytest.mark.slow
@pytest.mark.qt_no_exception_capture
@pytest.mark.parametrize("name", SITES)
def test_that_nothing_a_random_user_does_breaks_the_window(
    name: str, tmp_path: Path, qapp: QApplication
) -> None:
    path = copy_of(name, tmp_path) if name else None
    user = RandomUser(Session(site(name), path), seed=1, folder=tmp_path)
    user.run(lambda steps: steps >= STEPS)
    user.leave()
    assert not user.faults, "\n\n".join(user.faults)


@pytest.mark.slow
def test_that_a_second_tour_of_the_window_makes_no_more_objects(qtbot: QtBot, tmp_path: Path) -> None:
    hands = over(qtbot, copy_of("lake_cabin", tmp_path))
    window, session = hands.window, hands.session

    def settle() -> None:
        hands.settle()
        QApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)

    def tour() -> int:
        for place, _ in PLACES:
            window.show_place(place)
            settle()
        for table in KEYED:
            for item in getattr(session.design, table)[:1]:
                window.choose(f"{table}.{item.id}")
                settle()
        for look in ("dark", "light"):
            window.set_look(look)
            session.swap_habit()
        settle()
        for table in ("loads", "wind"):
            window.choose(session.add(table))
            settle()
        for on in (True, False):
            session.hold(on)
            settle()
        session.undo_stack.setIndex(0)
        session.undo_stack.clear()
        session.select("")
        window.show_place("sources")
        settle()
        return objects()

    tour()
    assert tour() == tour()


# In the engine


def no_numbers(thing: object, path: str = "") -> Iterator[str]:
    """Where an endless number or none at all stands in a result."""
    if isinstance(thing, float):
        if not math.isfinite(thing):
            yield path
    elif isinstance(thing, Mapping):
        for key, value in thing.items():
            yield from no_numbers(value, f"{path}.{key}")
    elif isinstance(thing, tuple):
        for at, value in enumerate(thing):
            yield from no_numbers(value, f"{path}.{at}")
    elif dataclasses.is_dataclass(thing) and not isinstance(thing, Design | type):
        for field in dataclasses.fields(thing):
            yield from no_numbers(getattr(thing, field.name), f"{path}.{field.name}")


def told(evaluation: Evaluation) -> Iterator[str]:
    """Every line that the terminal says about a design, as text and in JSON."""
    rows = sheet(evaluation.design)
    yield from check.as_text(evaluation)
    yield from settings.as_text(evaluation, rows)
    for data in (check.as_json(evaluation, "site"), settings.as_json(evaluation, rows, "site")):
        yield from strings(json.loads(json.dumps(data, allow_nan=False)))


def strings(data: Any) -> Iterator[str]:
    if isinstance(data, str):
        yield data
    elif isinstance(data, dict | list):
        for value in data.values() if isinstance(data, dict) else data:
            yield from strings(value)


@pytest.mark.slow
@pytest.mark.parametrize("name", SITES)
def test_that_the_verdict_stands_whatever_is_edited(name: str) -> None:
    for seed in range(DESIGNS):
        design = edited(Random(seed), site(name))
        evaluation = evaluate(design)
        assert not evaluation.program_failed, (seed, [f.title for f in evaluation.findings])
        assert not list(no_numbers(evaluation)), seed
        for finding in evaluation.findings:
            assert finding.title and finding.where and str(finding.source), (seed, finding)
        assert not [line for line in told(evaluation) if NO_NUMBER.search(line)], seed
        assert loads(dumps(design)) == design, seed
