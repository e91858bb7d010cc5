"""What a circuit takes where nobody said it: the stricter place, the coldest terminal, what stays open."""

from __future__ import annotations

import pytest
from a_wired_site import circuit, found, judged

from engine.finding import Status

RUN = "circuits.south-run"
BARE = {f"{RUN}.ambient": "", "arrays.south.on_building": "yes"}
SWITCH = """
[devices.isolator]
kind = "switch"
supply = "dc"
current = "60 A"
dc_voltage = "600 VDC"
poles = 2
"""


def taken(changes: dict[str, str]) -> dict[str, str]:
    """What the run assumed, by field."""
    run = circuit("south-run", changes)
    return {item.path.rpartition(".")[2]: item.text for item in run.assumed}


def test_that_an_array_on_a_building_runs_over_its_roof_unless_told_otherwise() -> None:
    assert (taken(BARE)["place"], taken(BARE)["ambient"]) == ("roof", "68 °C")  # 35 and 33 degC, 310.15(B)(2)
    assert taken({**BARE, f"{RUN}.place": "outdoors"})["ambient"] == "35 °C"
    assert taken({**BARE, "arrays.south.on_building": "no"})["ambient"] == "35 °C"


def test_that_an_ambient_that_was_entered_counts_where_no_place_was() -> None:
    assert "place" not in taken({**BARE, f"{RUN}.ambient": "45 degC"})
    assert "ambient" not in taken({**BARE, f"{RUN}.ambient": "45 degC"})


@pytest.mark.parametrize(("marked", "allowed"), [("", 75.0), ("60 degC", 60.0)])
def test_that_the_terminals_of_a_separate_disconnect_count(marked: str, allowed: float) -> None:
    """110.14(C): the coldest marking of all terminals; 3 AWG carries 85 A at 60 degC, 100 A at 75 degC."""
    changes = {
        f"{RUN}.size": "3 AWG",
        f"{RUN}.disconnect": "isolator",
        "devices.run-breaker.terminal": "75 degC",
        "controllers.c.terminal": "75 degC",
        f"{RUN}.terminal": "75 degC",
        "devices.isolator.terminal": marked,
    }
    run = found(judged(changes, SWITCH), "conductor", RUN)
    assert run.status is Status.MEETS
    checks = {check.name: check.capacity for check in circuit("south-run", changes, SWITCH).checks}
    assert checks["terminal"] == {75.0: 100.0, 60.0: 85.0}[allowed]


@pytest.mark.parametrize(("largest", "wanted"), [("3 AWG", "meets"), ("4 AWG", "fails")])
def test_that_a_conductor_goes_into_the_terminals_of_a_separate_disconnect(largest: str, wanted: str) -> None:
    changes = {
        f"{RUN}.size": "3 AWG",
        f"{RUN}.disconnect": "isolator",
        "devices.isolator.largest_wire": largest,
    }
    assert found(judged(changes, SWITCH), "terminal-size", RUN).status.word == wanted


def test_that_insulation_says_where_the_record_low_is_missing() -> None:
    told = "the record low is not known"
    assert told in found(judged({"site.record_low": ""}), "insulation-voltage", RUN).title
    assert told not in found(judged(), "insulation-voltage", RUN).title


def test_that_a_value_and_its_limit_are_told_apart() -> None:
    finding = found(judged({"devices.run-breaker.current": "34.9999 A"}), "device-current", RUN)
    assert finding.status is Status.FAILS
    assert "34.9999 A" in finding.title and "35 A" in finding.title
