"""What the job needs next, in the order of the job."""

from __future__ import annotations

import pytest
from a_wired_site import SECOND_ARRAY, judged, wired

from app.places import demo_sites
from engine.codec import load
from engine.design import Array, Design
from engine.needs import needs


def paths(design: Design) -> list[str]:
    """The paths of the needs, in order."""
    return [need.path for need in needs(design)]


def test_that_an_empty_site_begins_with_demand_and_place() -> None:
    assert paths(Design()) == ["loads", "bank.voltage", "site.design_low", "arrays"]


@pytest.mark.parametrize("path", sorted(demo_sites().glob("*.toml")), ids=lambda path: path.stem)
def test_that_a_complete_site_needs_nothing(path: object) -> None:
    assert needs(load(str(path))) == ()


@pytest.mark.parametrize(
    "path",
    [
        "site.record_low",
        "arrays.south.strings",
        "modules.m.series_fuse",
        "controllers.c.back_feed",
        "bank.lowest_voltage",
        "circuits.south-run.length",
        "devices.run-breaker.dc_voltage",
    ],
)
def test_that_a_cleared_field_is_asked_for(path: str) -> None:
    assert path in paths(wired({path: ""}))
    assert path not in paths(wired())


def test_that_every_circuit_of_the_verdict_is_asked_for_its_length() -> None:
    for more, changes in (("", {}), (SECOND_ARRAY, {}), ("", {"arrays.south.strings": "1"})):
        circuits = judged(changes, more).circuits
        bare = {f"circuits.{id}.length": "" for id in circuits}
        asked = {path for path in paths(wired({**changes, **bare}, more)) if path.startswith("circuits")}
        assert asked == set(bare)


def test_that_a_first_array_leads_to_its_module_and_controller() -> None:
    design = Design(arrays=(Array(id="south"),))
    assert paths(design)[-4:-1] == ["modules", "arrays.south.module", "controllers"]


def test_that_a_sentence_keeps_abbreviations() -> None:
    (need,) = [n for n in needs(wired({"devices.run-breaker.dc_voltage": ""})) if "devices" in n.path]
    assert "DC voltage rating" in need.sentence
