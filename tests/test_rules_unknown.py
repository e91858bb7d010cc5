"""What to enter is said once, with how many places want it."""

from engine.rules.judging import unknown
from engine.sections.results import Missing
from engine.sources import COMMON_PRACTICE


def test_that_one_title_wanted_in_two_places_is_said_once() -> None:
    missing = [Missing(f"circuits.{id}.length", "One-way length") for id in ("a", "b", "a")]
    got = unknown(
        "voltage-drop",
        "circuits.a",
        "Not known",
        (*missing, Missing("bank.voltage", "Volts")),
        COMMON_PRACTICE,
    )
    assert got.remedy == "Enter: One-way length (in 2 places), Volts."
    assert got.field == "circuits.a.length"
