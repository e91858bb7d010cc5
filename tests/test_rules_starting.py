"""Starts: what nobody said of a load counts as a motor, and a lithium bank must bear the surge."""

from __future__ import annotations

import pytest
from a_wired_site import found

from app.places import demo_sites
from engine.codec import load, loads
from engine.design import Design
from engine.edit import add, set_fields
from engine.evaluation import evaluate
from engine.finding import Finding, Signal, Status
from engine.usual_loads import usual_loads

SITE = """
format = 1
[bank]
voltage = "24 V"
lowest_voltage = "20 V"
[loads.lights]
power = "100 W"
hours = "5 h"
surge_factor = 1
[loads.thing]
power = "500 W"
hours = "2 h"
[inverters.house]
power = "1 kW"
surge = "3100 W"
efficiency = "90 %"
idle = "10 W"
"""


def judged(design: Design, rule: str, changes: dict[str, str], where: str = "bank") -> Finding:
    return found(evaluate(set_fields(design, changes)), rule, where)


@pytest.mark.parametrize(
    ("surge", "factor", "status", "value"),
    [
        ("3100 W", "", "meets", 600),  # 100 W + 6 x 500 W = 3.1 kW, were it a motor
        ("3200 W", "", "meets", 600),
        ("3090 W", "", "marginal", 3100),
        ("3090 W", "1", "meets", 600),
        ("2090 W", "4", "fails", 2100),
    ],
)
def test_that_a_load_whose_start_nobody_entered_never_passes_as_no_motor(
    surge: str, factor: str, status: str, value: float
) -> None:
    changes = {"inverters.house.surge": surge, "loads.thing.surge_factor": factor}
    got = judged(loads(SITE), "inverter-surge", changes, "inverters.house")
    assert (got.status.word, got.value) == (status, value)
    if status == "marginal":
        assert got.field == "loads.thing.surge_factor" and "6" in got.remedy


def test_that_a_usual_load_says_how_it_starts() -> None:
    assert all(dict(each.texts).get("surge_factor") for each in usual_loads())


@pytest.mark.parametrize(
    ("rated", "factor", "status"),
    [
        ("6 A", "", "meets"),
        ("5.625 A", "", "meets"),
        ("5.6 A", "", "marginal"),
        ("0.93 A", "", "fails"),
        ("0.94 A", "1", "meets"),
    ],
)
def test_that_a_contact_bears_the_start_of_what_may_be_a_motor(rated: str, factor: str, status: str) -> None:
    """The clinic's link takes 45 W / 48 V = 0.9375 A at the bank's lowest voltage, six times that 5.625 A."""
    clinic = load(demo_sites() / "tropical_clinic.toml")
    changes = {"bank.cut_off_current": rated, "loads.link.surge_factor": factor}
    assert judged(clinic, "cut-off-current", changes).status.word == status


@pytest.mark.parametrize(
    ("rated", "factor", "status"),
    [
        ("5.625 A", "", "meets"),
        ("5.62 A", "", "marginal"),
        ("0.93 A", "", "fails"),
        ("1.875 A", "2", "meets"),
        ("1.87 A", "2", "fails"),
    ],
)
def test_that_a_relay_bears_the_start_of_what_may_be_a_motor(rated: str, factor: str, status: str) -> None:
    clinic = load(demo_sites() / "tropical_clinic.toml")
    design, id = add(clinic, "relays", "Link relay")
    path = f"relays.{id}"
    changes = {
        f"{path}.load": "link",
        f"{path}.contact_current": rated,
        f"{path}.purpose": "low-voltage disconnect",
    }
    changes["loads.link.surge_factor"] = factor
    assert judged(design, "relay-contact-current", changes, path).status.word == status


def surge_of_the_clinic() -> float:
    """By hand: 16 kW at 93 % and the lower of both cut-outs, and the link's start."""
    design = load(demo_sites() / "tropical_clinic.toml")
    (inverter,) = design.inverters
    lowest = min(float(inverter.lowest_voltage or 0), float(design.bank.lowest_voltage or 0))
    return 16000 / float(inverter.efficiency or 0) / lowest + 6 * 45 / float(design.bank.lowest_voltage or 0)


@pytest.mark.parametrize(
    ("share", "field", "status"),
    [
        (1.001, "discharge_surge", Status.MEETS),
        (1.0, "discharge_surge", Status.MEETS),
        (0.999, "discharge_surge", Status.MARGINAL),
        (1.0, "discharge_current", Status.MEETS),
        (0.999, "discharge_current", Status.UNKNOWN),
    ],
)
def test_that_a_lithium_bank_is_held_against_the_surge(share: float, field: str, status: Status) -> None:
    clinic = load(demo_sites() / "tropical_clinic.toml")
    other = {"bank.discharge_current": "200 A"} if field == "discharge_surge" else {}
    changes = {**other, f"bank.{field}": f"{share * surge_of_the_clinic()!r} A"}
    got = judged(clinic, "discharge-surge", changes)
    assert got.status is status, got.title
    assert (got.signal is Signal.CAUTION) == (status is Status.MARGINAL)
    if status is Status.UNKNOWN:
        assert got.field == "bank.discharge_surge"
    else:
        assert got.value == pytest.approx(surge_of_the_clinic())


def test_that_a_lead_bank_is_asked_for_no_surge_that_nobody_entered() -> None:
    cabin = load(demo_sites() / "lake_cabin.toml")
    assert not [each for each in evaluate(cabin).findings if each.rule == "discharge-surge"]
    assert judged(cabin, "discharge-surge", {"bank.discharge_surge": "100 A"}).status is Status.MARGINAL
