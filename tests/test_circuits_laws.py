"""Laws of circuits: no harder condition ever gets a milder answer."""

from __future__ import annotations

from typing import Any

from a_wired_site import circuit
from hypothesis import given
from hypothesis import strategies as st

from engine.sections.results import CircuitResult

FAMILIES = ("nec-2017", "nec-2020", "nec-2023", "iec")


def area(circuit: CircuitResult) -> float:
    """Metal area of the conductor [mm²]; a circuit that no size carries counts as endless."""
    return circuit.conductor.area_mm2 if circuit.conductor is not None else float("inf")


def more(rules: str, name: str, low: Any, high: Any, id: str, other: dict[str, str]) -> tuple[Any, Any]:
    """A circuit with the lower and with the higher of two values of a field."""
    changes = {"rules": rules, "circuits.south-run.device": "", **other}
    return circuit(id, {**changes, name: low}), circuit(id, {**changes, name: high})


TWO = st.tuples(st.floats(0, 1), st.floats(0, 1)).map(sorted)


@given(rules=st.sampled_from(FAMILIES), at=TWO)
def test_that_a_colder_place_never_gets_a_lower_class(rules: str, at: list[float]) -> None:
    cold, mild = (f"{-60 + 80 * each:.2f} degC" for each in at)
    lower, higher = more(rules, "site.design_low", mild, cold, "south-run", {"site.record_low": ""})
    assert lower.voltage <= higher.voltage and lower.voltage_class <= higher.voltage_class


@given(rules=st.sampled_from(FAMILIES), at=TWO)
def test_that_a_longer_run_never_gets_a_smaller_conductor(rules: str, at: list[float]) -> None:
    near, far = (f"{0.1 + 1500 * each**3:.3f} m" for each in at)
    lower, higher = more(rules, "circuits.south-run.length", near, far, "south-run", {})
    assert area(lower) <= area(higher)


@given(rules=st.sampled_from(FAMILIES), at=TWO)
def test_that_hotter_air_never_gives_a_smaller_conductor_or_a_larger_device(
    rules: str, at: list[float]
) -> None:
    cool, hot = (f"{-20 + 105 * each:.2f} degC" for each in at)
    lower, higher = more(rules, "circuits.south-run.ambient", cool, hot, "south-run", {})
    assert area(lower) <= area(higher)
    pinned = {"circuits.south-run.size": "16 mm2" if rules == "iec" else "6 AWG"}
    lower, higher = more(rules, "circuits.south-run.ambient", cool, hot, "south-run", pinned)
    assert (higher.device_largest or 0) <= (lower.device_largest or 0)


@given(rules=st.sampled_from(FAMILIES), at=st.lists(st.integers(1, 12), min_size=2, max_size=2).map(sorted))
def test_that_more_strings_never_relax_a_fuse_or_a_conductor(rules: str, at: list[int]) -> None:
    few, many = map(str, at)
    lower, higher = more(rules, "arrays.south.strings", few, many, "south-run", {})
    assert area(lower) <= area(higher)
    if few != "1":
        lower, higher = more(rules, "arrays.south.strings", few, many, "south-string", {})
        assert not lower.device_needed or higher.device_needed
        assert higher.device_largest <= 20.0


@given(rules=st.sampled_from(FAMILIES), at=TWO)
def test_that_more_current_never_gives_a_smaller_conductor(rules: str, at: list[float]) -> None:
    weak, strong = (f"{11 + 30 * each:.3f} A" for each in at)
    lower, higher = more(rules, "modules.m.isc", weak, strong, "south-run", {})
    assert area(lower) <= area(higher)
