"""One rule, one unit: who reads findings by their rule never meets square centimetres where air was."""

from __future__ import annotations

from collections import defaultdict

import pytest

from app.places import demo_sites
from engine.codec import load
from engine.edit import set_fields
from engine.evaluation import evaluate
from engine.finding import Status

WAYS: tuple[tuple[str, dict[str, str]], ...] = (
    ("lake_cabin", {}),
    ("lake_cabin", {"bank.ventilation": "natural openings", "bank.vent_opening": "40 cm^2"}),
    ("lake_cabin", {"bank.ventilation": "none"}),
    ("lake_cabin", {"diversions.heater.contact_voltage": "20 V"}),
    ("lake_cabin", {"devices.panel-fuse.kind": "breaker"}),
    ("mountain_farm", {}),
    ("mountain_farm", {"rules": "iec"}),
    ("tropical_clinic", {}),
)


def test_that_a_rule_counts_in_one_unit() -> None:
    units: dict[str, set[str]] = defaultdict(set)
    for name, changes in WAYS:
        design = load(demo_sites() / f"{name}.toml")
        for finding in evaluate(set_fields(design, changes)).findings:
            if isinstance(finding.value, float) or isinstance(finding.limit, float):
                units[finding.rule].add(finding.unit)
    assert {rule: sorted(each) for rule, each in units.items() if len(each) > 1} == {}
    assert {"selectivity", "selectivity-current", "battery-ventilation"} <= units.keys()


@pytest.mark.parametrize(
    ("opening", "status"), [("270 cm^2", "meets"), ("268.8 cm^2", "meets"), ("268 cm^2", "fails")]
)
def test_that_openings_are_counted_by_the_air_that_they_pass(opening: str, status: str) -> None:
    """By hand, IEC 62485-2: 0.05 x 48 cells x 8 mA/Ah x 500 Ah = 9.6 m3/h, times 28 is 268.8 cm2."""
    design = set_fields(load(demo_sites() / "mountain_farm.toml"), {"bank.vent_opening": opening})
    (got,) = (each for each in evaluate(design).findings if each.rule == "battery-ventilation")
    assert (got.status.word, got.unit, got.limit) == (status, "m^3/h", pytest.approx(9.6))
    assert got.value == pytest.approx(float(opening.split()[0]) / 28)


@pytest.mark.parametrize("rule", ["diversion-contact", "diversion-contact-voltage"])
def test_that_both_ratings_of_a_diversion_load_s_contact_are_judged(rule: str) -> None:
    ratings = {"diversions.heater.contact_voltage": "600 V", "diversions.heater.contact_current": "600 A"}
    design = set_fields(load(demo_sites() / "lake_cabin.toml"), ratings)
    assert [each.status for each in evaluate(design).findings if each.rule == rule] == [Status.MEETS]
    unset = {
        "bank.highest_voltage": "",
        "diversions.heater.rated_power": "",
        "diversions.heater.resistance": "",
    }
    found = [each for each in evaluate(set_fields(design, unset)).findings if each.rule == rule]
    assert [each.status for each in found] == [Status.UNKNOWN] and found[0].field
