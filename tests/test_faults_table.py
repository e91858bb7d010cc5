"""The faults that inspectors find, each shown by a rule in a sound demo, by a caution or by the checklist.

The files ``data/faults*.toml`` say which is which. Faults with numbers stand in test_faults_published.py.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from a_wired_site import found

from app import checklist
from app.places import demo_sites
from app.views.caution import cautions
from engine.codec import load
from engine.design import Design
from engine.edit import remove, set_fields
from engine.evaluation import evaluate
from engine.finding import Signal, Status
from engine.sources import HOWS

FILES = sorted((Path(__file__).parent / "data").glob("faults*.toml"))
FAULTS: list[dict[str, Any]] = [
    fault for file in FILES for fault in tomllib.loads(file.read_text("utf-8"))["fault"]
]
RULED = [fault for fault in FAULTS if "rule" in fault]
PARTS = {
    "DC breaker": 12,
    "DC disconnect": 3,
    "DC wiring": 1,
    "fuse": 1,
    "PV string": 3,
    "PV": 9,
    "PV connectors": 1,
    "conductors": 10,
    "grounding": 3,
    "surge": 2,
    "AC panel": 1,
    "generator": 1,
    "hydro": 14,
    "wind": 9,
    "wind cable": 1,
    "controller": 9,
    "battery": 17,
    "diversion": 7,
    "inverter": 3,
    "sizing": 6,
    "system": 3,
}


@cache
def demo(name: str) -> Design:
    return load(demo_sites() / f"{name}.toml")


def test_that_every_part_has_its_faults_and_each_has_something_that_shows_it() -> None:
    assert Counter(fault["part"] for fault in FAULTS) == PARTS
    assert len({fault["id"] for fault in FAULTS}) == len(FAULTS)
    for fault in FAULTS:
        assert fault["wrong"] and fault["source"] and fault["how"] in HOWS
        assert {"rule", "caution", "line"} & set(fault), fault["id"]


@pytest.mark.parametrize("fault", RULED, ids=lambda fault: fault["id"])
def test_that_its_rule_finds_the_fault_in_a_sound_demo(fault: dict[str, Any]) -> None:
    design = demo(fault["demo"])
    key = (fault["rule"], fault["where"])
    before = [each.status for each in evaluate(design).findings if (each.rule, each.where) == key]
    assert before == ([] if fault.get("fresh") else [Status.MEETS])
    for path in fault.get("remove", ()):
        design = remove(design, path)
    got = found(evaluate(set_fields(design, fault["change"])), *key)
    assert got.status.word == fault["status"]
    assert got.remedy and got.source.title
    if "limit" in fault:
        assert got.limit == pytest.approx(fault["limit"])
    if "says" in fault:
        assert fault["says"] in got.remedy
    if got.status is Status.FAILS and fault["part"] not in ("PV",):
        assert got.signal is not Signal.NONE


@pytest.mark.parametrize("name", sorted({fault["demo"] for fault in RULED}))
def test_that_the_sound_demo_itself_has_nothing_to_mend(name: str) -> None:
    assert [each.title for each in evaluate(demo(name)).findings if each.status <= Status.UNKNOWN] == []


def test_that_what_no_design_data_show_is_a_caution_or_on_the_checklist() -> None:
    ids = {line.id for line in checklist.lines()}
    for fault in FAULTS:
        assert fault.get("line", "connectors") in ids, fault["id"]
        assert fault.get("caution", "array") in cautions(), fault["id"]
        assert "rule" in fault or fault.get("line"), fault["id"]
