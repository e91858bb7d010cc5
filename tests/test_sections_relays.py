"""Relays in words, on the settings sheet, and over a day."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from app.places import demo_sites
from engine.codec import load
from engine.design import Design
from engine.edit import set_fields
from engine.evaluation import evaluate
from engine.physics.relay import Logic, chatters, simulate
from engine.sections.relay_day import RelayDay, day, voltage
from engine.sections.relay_uses import BY_PURPOSE
from engine.sections.relay_words import sentence, settings

LAKE = load(demo_sites() / "lake_cabin.toml")
BARE = {f"relays.divert.{name}": "0 s" for name in ("on_delay", "least_on", "off_delay")}
WEAK = {**BARE, "relays.divert.off_at": "29.3 V"}


def a_day(changes: dict[str, str], weather: str = "cloudy", id: str = "divert") -> tuple[Design, RelayDay]:
    design = set_fields(LAKE, changes)
    relay = next(item for item in design.relays if item.id == id)
    return design, day(design, relay, evaluate(design).relays[id], weather)


def test_that_each_purpose_of_a_relay_has_its_consequences() -> None:
    assert set(BY_PURPOSE) == set(LAKE.relays[0].specs()["purpose"].words)
    for use in BY_PURPOSE.values():
        assert use.shut.endswith(".") and use.open.endswith(".") and use.shortest > 0


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({}, "on above 29.6 V after 1 s, off below 28.4 V after 5 s, at least 20 s on"),
        (BARE, "on above 29.6 V, off below 28.4 V"),
        (
            {"relays.divert.pulse_width": "yes"},
            "drives from nothing at 28.4 V to the whole at 29.6 V, by pulses",
        ),
        ({"relays.divert.off_at": ""}, "Enter: Off at."),
    ],
)
def test_that_a_relay_is_told_in_one_sentence(changes: dict[str, str], told: str) -> None:
    assert sentence(set_fields(LAKE, changes).relays[0], "us") == told


def test_that_a_falling_relay_and_a_clock_are_told_as_they_are() -> None:
    start = next(item for item in LAKE.relays if item.id == "start-shed")
    assert sentence(start, "us").startswith("on below 55 % after 2 min, off above 80 %")
    clock = dataclasses.replace(start, watches="time of day", on_at="22:30", off_at="6:00", least_on=None)
    assert sentence(clock, "us") == "on at 22:30 after 2 min, off at 6:00 after 1 min"


def test_that_the_settings_sheet_has_every_threshold_and_delay_of_every_relay() -> None:
    rows = {(row.piece, row.name): row for row in settings(LAKE)}
    for relay in LAKE.relays:
        for name in ("Watches", "On at", "On-delay", "Off at", "Off-delay", "Least on-time", "At rest"):
            assert rows[f"relays.{relay.id}", name].value is not None
    assert rows["relays.divert", "On at"].text("us") == "29.6 V"
    assert rows["relays.start-shed", "On at"].text("us") == "55 %"
    lacking = {row.name: row for row in settings(set_fields(LAKE, {"relays.divert.least_on": ""}))}
    assert next(row for row in settings(set_fields(LAKE, {"relays.divert.least_on": ""})) if row.wanted)
    assert lacking["Least on-time"]


@pytest.mark.parametrize("weather", ["cloudy", "clear"])
def test_that_the_day_runs_from_the_lowest_to_the_highest_voltage_of_the_bank(weather: str) -> None:
    volts = voltage(24, 22, 31, weather)
    assert volts.min() == pytest.approx(22) and volts[6 * 3600] == pytest.approx(22)
    assert volts.max() <= 31 + 1e-9
    assert abs(np.diff(volts)).max() < 0.1  # nothing jumps by itself
    if weather == "clear":
        assert volts.max() == pytest.approx(31, abs=0.01)


@pytest.mark.parametrize("weather", ["cloudy", "clear"])
def test_that_the_delay_found_for_a_day_stops_its_chatter_and_a_second_less_does_not(weather: str) -> None:
    _, seen = a_day(WEAK, weather)
    assert seen.chatters and seen.least_on is not None
    _, held = a_day({**WEAK, "relays.divert.least_on": f"{seen.least_on} s"}, weather)
    assert not held.chatters and held.least_on is None
    _, short = a_day({**WEAK, "relays.divert.least_on": f"{seen.least_on - 1} s"}, weather)
    assert short.chatters


def test_that_the_voltage_of_the_day_is_the_one_without_the_load_less_its_sag() -> None:
    """58.4 A (2 kW at 33 V, at 31.8 V) over 12 blocks of 0.6 mohm: 0.42 V (Ohm's law)."""
    _, seen = a_day({})
    _, idle = a_day({"relays.divert.on_at": "31.79 V"})
    on = seen.closed > 0
    assert on.any() and seen.switchings > 1
    assert (idle.volts - seen.volts)[on & (idle.closed == 0)] == pytest.approx(0.4205, abs=1e-3)
    assert (idle.volts - seen.volts)[~on & (idle.closed == 0)] == pytest.approx(0)


def test_that_a_contact_that_rests_shut_is_shut_while_the_relay_is_off() -> None:
    _, seen = a_day({}, id="vent-fan")
    assert seen.run is not None
    assert seen.closed == pytest.approx(1 - seen.run.on())
    noon, dawn = seen.closed[12 * 3600], seen.closed[6 * 3600]
    assert (noon, dawn) == (1, 0)  # the fan runs while the bank gasses


def test_that_pulses_hold_the_voltage_between_the_thresholds_without_switching() -> None:
    _, seen = a_day({"relays.divert.pulse_width": "yes"})
    assert seen.run is None and not seen.chatters
    part = (seen.closed > 0) & (seen.closed < 1)
    assert part.any()
    share = (seen.volts - seen.off_at) / (seen.on_at - seen.off_at)
    assert seen.closed[part] == pytest.approx(share[part], abs=1e-9)


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        (
            {"relays.divert.on_at": "", "relays.divert.off_at": "", "relays.divert.watches": "daylight"},
            "daylight",
        ),
        ({"bank.block_resistance_aged": ""}, "Block resistance, aged and cold"),
        ({"relays.divert.least_on": ""}, "Least on-time"),
        ({"relays.divert.rest_state": ""}, "At rest"),
    ],
)
def test_that_a_day_that_can_not_be_drawn_says_why(changes: dict[str, str], why: str) -> None:
    _, seen = a_day(changes)
    assert why in seen.why and not seen.volts.size


def test_that_the_section_passes_no_relay_that_a_steady_source_makes_chatter() -> None:
    """Just above the threshold, where its own load carries it through the band, second by second."""
    for off_at in ("28.4 V", "29.1 V", "29.2 V", "29.5 V"):
        for least in ("5 s", "18 s", "19 s", "30 s"):
            changes = {"relays.divert.off_at": off_at, "relays.divert.least_on": least}
            design = set_fields(LAKE, changes)
            result = evaluate(design).relays["divert"]
            assert result.chatter is not None
            steady = np.full(3600, 29.6 + 0.05)
            logic = Logic(29.6, float(result.off or 0), 1, float(least.split()[0]), 5)  # type: ignore[arg-type]
            assert chatters(simulate(steady, -result.chatter.swing, logic), 20) <= result.chatter.chatters
