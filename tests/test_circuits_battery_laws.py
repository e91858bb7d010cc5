"""Laws of the battery side: what may never grow, and what may never shrink."""

from __future__ import annotations

import math
from collections.abc import Callable

from a_battery_site import circuit
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.sections.results import CircuitResult

FAMILIES = st.sampled_from(("nec-2017", "nec-2020", "nec-2023", "iec"))
IDS = st.sampled_from(("bank-string", "house-battery", "panel-battery", "lamp-branch"))
EXACT = 1 + 1e-9
few = settings(max_examples=30)


def both(
    id: str, rules: str, path: str, low: float, high: float, unit: str
) -> tuple[CircuitResult, CircuitResult]:
    """A circuit with a field at its lower and at its higher value."""

    def at(value: float) -> CircuitResult:
        return circuit(id, {"rules": rules, path: f"{value!r} {unit}".strip()})

    return at(low), at(high)


def least(circuit: CircuitResult) -> float:
    assert circuit.fault_least is not None
    return circuit.fault_least


def most(circuit: CircuitResult) -> float:
    assert circuit.fault_most is not None
    return circuit.fault_most


def area(circuit: CircuitResult) -> float:
    return math.inf if circuit.conductor is None else circuit.conductor.area_mm2


def never_more(value: Callable[[CircuitResult], float], first: CircuitResult, then: CircuitResult) -> bool:
    return value(then) <= value(first) * EXACT


@few
@given(IDS, FAMILIES, st.floats(0.5, 5), st.floats(1, 4))
def test_that_an_older_or_colder_battery_never_drives_more(
    id: str, rules: str, ohms: float, more: float
) -> None:
    young, old = both(id, rules, "bank.block_resistance_aged", ohms, ohms * more, "mohm")
    # the same size in both: a conductor grows with the most, which stays
    assert never_more(least, young, old) and most(young) == most(old)
    new, worn = both(id, rules, "bank.block_resistance", ohms / 10, min(ohms / 10 * more, 1), "mohm")
    assert never_more(most, new, worn)


@few
@given(IDS, FAMILIES, st.floats(0.5, 100), st.floats(1, 5))
def test_that_a_longer_cable_never_lets_more_flow(id: str, rules: str, length: float, more: float) -> None:
    size = "35 mm2" if rules == "iec" else "2 AWG"

    def at(metres: float) -> CircuitResult:
        return circuit(
            id, {"rules": rules, f"circuits.{id}.size": size, f"circuits.{id}.length": f"{metres!r} m"}
        )

    assert never_more(least, at(length), at(length * more))


@few
@given(st.sampled_from(("house-battery", "panel-battery")), FAMILIES, st.integers(1, 20), st.integers(0, 20))
def test_that_more_battery_strings_never_drive_less(id: str, rules: str, strings: int, more: int) -> None:
    few_, many = both(id, rules, "bank.strings", strings, strings + more, "")
    assert never_more(most, many, few_)
    size = "35 mm2" if rules == "iec" else "2 AWG"
    fixed = {"rules": rules, f"circuits.{id}.size": size, "circuits.bank-string.size": size}

    def at(count: int) -> CircuitResult:
        return circuit(id, {**fixed, "bank.strings": str(count)})

    assert never_more(least, at(strings + more), at(strings))


@few
@given(FAMILIES, st.floats(500, 4000), st.floats(1, 1.5))
def test_that_a_stronger_inverter_never_gets_a_thinner_conductor(
    rules: str, watts: float, more: float
) -> None:
    weak, strong = both("house-battery", rules, "inverters.house.power", watts, watts * more, "W")
    assert weak.current is not None and strong.current is not None and strong.current >= weak.current
    assert weak.device is None or strong.device is None or strong.device >= weak.device


@few
@given(FAMILIES, st.floats(25, 60), st.floats(1, 3))
def test_that_a_higher_charging_voltage_never_gives_a_lower_class_or_a_smaller_fault(
    rules: str, volts: float, more: float
) -> None:
    low, high = both("house-battery", rules, "bank.highest_voltage", volts, volts * more, "V")
    assert low.voltage_class is not None and high.voltage_class is not None
    assert high.voltage_class >= low.voltage_class
    assert never_more(most, high, low)


@few
@given(FAMILIES, st.floats(0.02, 0.5), st.floats(1, 5))
def test_that_a_stronger_fault_never_gets_a_thinner_conductor(rules: str, ohms: float, more: float) -> None:
    strong, weak = both("house-battery", rules, "bank.block_resistance", ohms, min(ohms * more, 1), "mohm")
    assert never_more(area, strong, weak)
