"""Editions of one code beside each other: where the answer differs, and that the stricter is never milder."""

from __future__ import annotations

import dataclasses

import pytest
from a_wired_site import wired
from hypothesis import given, settings
from hypothesis import strategies as st

from app.places import demo_sites
from engine.codec import load
from engine.design import Design
from engine.editions import Difference, compare, editions, matters
from engine.evaluation import evaluate
from engine.finding import Status
from engine.tables.family import names

NEC = ("nec-2017", "nec-2020", "nec-2023")
ARRAY = "arrays.south"
CARPORT = {  # where all that differs shows: a small array on a carport, all in metal
    f"{ARRAY}.on_building": "yes",
    f"{ARRAY}.structure": "open detached structure",
    f"{ARRAY}.enters": "equipment building",
    f"{ARRAY}.rapid_shutdown": "none",
}
FIELD = {
    f"{ARRAY}.on_building": "no",
    f"{ARRAY}.enters": "no building",
    f"{ARRAY}.arc_fault": "no",
    "circuits.south-string.metal": "yes",
    "circuits.south-run.metal": "yes",
}
SMALL = {
    "arrays.south.modules": "1",
    "arrays.south.strings": "1",
    "modules.m.voc": "25 V",
    "modules.m.vmp": "20 V",
    "modules.m.isc": "6 A",
    "modules.m.imp": "5.5 A",
    f"{ARRAY}.ground_fault": "none",
}
HOT = {"circuits.c-battery.ambient": "70 degC"}


def differences(changes: dict[str, str]) -> dict[tuple[str, str], Difference]:
    return {(each.rule, each.where): each for each in compare(evaluate(wired(changes)))}


@pytest.mark.parametrize(
    ("changes", "rule", "where", "strictest"),
    [
        (CARPORT, "rapid-shutdown", ARRAY, NEC[:2]),
        (FIELD, "arc-fault", ARRAY, NEC[:2]),
        (SMALL, "ground-fault", ARRAY, NEC[:1]),
        (HOT, "earthing-size", "circuits.c-battery", NEC[:1]),
    ],
)
def test_that_each_matter_on_which_editions_differ_is_shown(
    changes: dict[str, str], rule: str, where: str, strictest: tuple[str, ...]
) -> None:
    found = differences(changes)[rule, where]
    assert found.strictest == strictest == matters()[rule].strictest
    assert [answer.edition for answer in found.answers] == list(NEC)
    assert len({(answer.status, answer.text) for answer in found.answers}) >= 2
    assert found.matter is matters()[rule]


def test_that_a_design_that_editions_answer_alike_shows_nothing() -> None:
    for path in sorted(demo_sites().glob("*.toml")):
        assert compare(evaluate(load(path))) == ()


def test_that_it_does_not_matter_which_edition_the_design_is_judged_by() -> None:
    by_each = [differences({**FIELD, "rules": rules}) for rules in NEC]
    told = [{place: (each.strictest, each.answers) for place, each in found.items()} for found in by_each]
    assert told[0] == told[1] == told[2]


def test_that_a_code_with_one_edition_has_nothing_to_compare() -> None:
    assert editions("iec") == ("iec",)
    assert editions("nec-2020") == NEC
    assert compare(evaluate(wired({"rules": "iec"}))) == ()


def test_that_every_matter_says_what_each_edition_wants_and_names_the_strictest() -> None:
    for rule, matter in matters().items():
        assert matter.rule == rule and matter.title
        assert tuple(matter.says) == NEC and all(matter.says.values())
        assert set(matter.strictest) < set(NEC) and matter.strictest
        assert set(matter.says) <= set(names())


def rank(design: Design, rules: str) -> dict[tuple[str, str], Status]:
    judged = evaluate(dataclasses.replace(design, about=dataclasses.replace(design.about, rules=rules)))
    return {(each.rule, each.where): each.status for each in judged.findings}


yes_no = st.sampled_from(["yes", "no", ""])


@settings(max_examples=60, deadline=None)
@given(
    on_building=yes_no,
    structure=st.sampled_from(["enclosed building", "open detached structure", ""]),
    enters=st.sampled_from(["no building", "equipment building", "occupied building", ""]),
    arc_fault=yes_no,
    ground_fault=st.sampled_from(["none", "fuse in the bond", "monitor that interrupts", ""]),
    rapid_shutdown=st.sampled_from(["none", "outside the array", "outside and inside the array", ""]),
    metal=yes_no,
    earthed=st.sampled_from(["negative", "none", ""]),
    strings=st.integers(1, 3),
    voc=st.sampled_from(["25 V", "30 V", "49.5 V"]),
    isc=st.sampled_from(["6 A", "11.2 A"]),
)
def test_that_a_stricter_edition_is_never_the_milder(
    on_building: str,
    structure: str,
    enters: str,
    arc_fault: str,
    ground_fault: str,
    rapid_shutdown: str,
    metal: str,
    earthed: str,
    strings: int,
    voc: str,
    isc: str,
) -> None:
    design = wired(
        {
            f"{ARRAY}.on_building": on_building,
            f"{ARRAY}.structure": structure,
            f"{ARRAY}.enters": enters,
            f"{ARRAY}.arc_fault": arc_fault,
            f"{ARRAY}.ground_fault": ground_fault,
            f"{ARRAY}.rapid_shutdown": rapid_shutdown,
            "circuits.south-string.metal": metal,
            "circuits.south-run.metal": metal,
            "bank.system_earthing": earthed,
            "arrays.south.strings": str(strings),
            "modules.m.voc": voc,
            "modules.m.vmp": "20 V",
            "modules.m.isc": isc,
            "modules.m.imp": "5.5 A",
        }
    )
    judged = {rules: rank(design, rules) for rules in NEC}
    for rule in ("rapid-shutdown", "arc-fault", "ground-fault"):
        strictest = matters()[rule].strictest
        others = [name for name in NEC if name not in strictest]
        for strict in strictest:
            for mild in others:
                assert judged[strict][rule, ARRAY] <= judged[mild][rule, ARRAY]


@settings(max_examples=25, deadline=None)
@given(ambient=st.integers(20, 70), conductors=st.integers(2, 20), length=st.integers(1, 60))
def test_that_the_edition_of_2017_never_takes_a_thinner_earthing_conductor(
    ambient: int, conductors: int, length: int
) -> None:
    design = wired(
        {
            "circuits.c-battery.ambient": f"{ambient} degC",
            "circuits.c-battery.conductors": str(conductors),
            "circuits.c-battery.length": f"{length} m",
        }
    )
    sizes = []
    for rules in NEC:
        judged = evaluate(dataclasses.replace(design, about=dataclasses.replace(design.about, rules=rules)))
        sizes.append(judged.circuits["c-battery"].earthing)
    old, middle, new = sizes
    assert (old is None) == (middle is None) == (new is None)
    if old is not None and middle is not None and new is not None:
        assert old.area_mm2 >= middle.area_mm2 == new.area_mm2
