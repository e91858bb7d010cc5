"""One typed circuit without any site: conductor, device, class, and a device in hand against it."""

from __future__ import annotations

import pytest

from engine.finding import Status
from engine.in_hand import Fit, judge, read, typed_circuit
from engine.in_hand.typed import RUN, STRING
from engine.problems import Problems

ATTIC = {
    "isc": "14.2 A",
    "strings": "3",
    "voltage": "187 V",
    "length": "40 m",
    "place": "attic",
    "method": "raceway",
    "ambient": "58 degC",
}
WHOLE = {**ATTIC, "running": "150 V", "series_fuse": "25 A", "back_feed": "0 A"}


def size(**texts: str) -> str:
    """The conductor of the changed circuit."""
    conductor = typed_circuit({**ATTIC, **texts}).run.conductor
    assert conductor is not None
    return conductor.text


def test_that_the_hot_attic_asks_for_4_awg_a_70_a_device_and_the_250_v_class() -> None:
    """By hand from NEC 2023: 1.25 x 1.25 x 42.6 A = 66.6 A, so 70 A (240.6(A)). Table 310.16: 4 AWG carries
    70 A at 60 degC; at 90 degC 95 A x 0.71 (56 to 60 degC) = 67.5 A, protected by 70 A (240.4(B))."""
    run = typed_circuit(ATTIC).run
    assert run.conductor is not None and run.conductor.text == "4 AWG"
    assert (run.device, run.voltage_class) == (70, 250)
    assert run.current == pytest.approx(1.25 * 3 * 14.2)
    assert run.design_current == pytest.approx(1.5625 * 3 * 14.2)
    assert run.voltage == 187


def test_that_what_was_not_typed_stays_unknown_and_is_asked_for() -> None:
    typed = typed_circuit(ATTIC)
    assert typed.status is Status.UNKNOWN
    assert set(typed.asks) == {"running", "series_fuse", "back_feed"}
    whole = typed_circuit(WHOLE)
    assert whole.status is Status.MEETS and whole.asks == ()


def test_that_each_string_has_its_fuse_where_the_others_could_overload_it() -> None:
    """Two others push 2 x 1.25 x 14.2 A = 35.5 A into a faulted string of modules for 25 A; 1.5625 x 14.2 A
    is 22.2 A, so 25 A."""
    fuse = typed_circuit(WHOLE).evaluation.arrays["typed"].fuse
    assert fuse is not None and fuse.required and fuse.rating == 25
    assert fuse.reverse_current == pytest.approx(35.5)


def test_that_the_drop_is_that_of_the_running_voltage_and_the_whole_short_circuit_current() -> None:
    """Twice the length has twice the drop in one size, at the most current that can run."""
    short = typed_circuit({**WHOLE, "size": "4 AWG"}).run
    long = typed_circuit({**WHOLE, "size": "4 AWG", "length": "80 m"}).run
    assert short.drop is not None and long.drop == pytest.approx(2 * short.drop)
    assert short.running_current == pytest.approx(3 * 14.2)


def test_that_hotter_longer_and_more_never_give_a_thinner_wire() -> None:
    def area(**texts: str) -> float:
        conductor = typed_circuit({**WHOLE, **texts}).run.conductor
        assert conductor is not None
        return conductor.area_mm2

    for name, rising in (
        ("ambient", ("20 degC", "40 degC", "58 degC", "70 degC")),
        ("length", ("5 m", "40 m", "120 m")),
        ("strings", ("1", "2", "3", "5")),
        ("isc", ("8 A", "14.2 A", "20 A")),
        ("conductors", ("2", "6", "12")),
    ):
        areas = [area(**{name: text}) for text in rising]
        assert areas == sorted(areas), name


def test_that_one_string_has_no_circuit_of_strings() -> None:
    typed = typed_circuit({**WHOLE, "strings": "1"})
    assert typed.string is None and typed.evaluation.circuits[RUN].title.endswith("string to controller")


def test_that_iec_answers_in_its_own_sizes() -> None:
    run = typed_circuit({**ATTIC, "rules": "iec", "method": "B2"}).run
    assert run.conductor is not None and run.conductor.text.endswith("mm2")
    assert run.design_current == pytest.approx(1.25 * 3 * 14.2)


def test_that_the_worked_steps_leave_out_the_voltage_that_was_typed() -> None:
    ids = [step.sheet.id for step in typed_circuit(WHOLE).worked]
    assert "pv-cold-voltage" not in ids and len(ids) == len(set(ids))
    assert {"device-rating", "device-voltage-class", "wire-ampacity", "wire-for-circuit"} <= set(ids)


def test_that_a_device_in_hand_is_judged_on_the_typed_circuit() -> None:
    typed = typed_circuit(WHOLE)
    texts = {"volts": "250 V=", "amps": "70 A", "breaking": "10 kA", "poles": "2", "polarity": "none"}
    verdicts = {item.circuit: item.fit for item in judge(typed.evaluation, read(texts))}
    assert (verdicts[RUN], verdicts[STRING]) == (Fit.FIT, Fit.UNFIT)
    fuse = {"volts": "1000 V=", "class": "gPV", "amps": "25 A", "breaking": "20 kA"}
    verdicts = {item.circuit: item.fit for item in judge(typed.evaluation, read(fuse))}
    assert (verdicts[RUN], verdicts[STRING]) == (Fit.UNFIT, Fit.FIT)


@pytest.mark.parametrize(
    ("word", "text", "needed"),
    [
        ("isc", "", "such as 14.2 A"),
        ("voltage", "", "such as 187 V"),
        ("isc", "14.2", "unit"),
        ("voltage", "187 A", "voltage"),
        ("voltage", "187 VAC", "DC"),
        ("strings", "two", "whole number"),
        ("place", "moon", "attic"),
        ("rules", "nec-1999", "nec-2023"),
        ("ambient", "200 degC", "90"),
        ("lenght", "4 m", "length"),
    ],
)
def test_that_bad_words_are_told_with_what_is_accepted(word: str, text: str, needed: str) -> None:
    with pytest.raises(Problems) as caught:
        typed_circuit({**ATTIC, word: text})
    (problem,) = caught.value.problems
    assert problem.where == word and needed in str(problem)


def test_that_the_typed_circuit_reads_in_other_units() -> None:
    assert size(length="131 ft", ambient="136.4 degF") == size()


def test_that_a_device_is_taken_to_be_as_hot_as_the_conductor_unless_told() -> None:
    assert any("58 °C (as about the conductor)" in text for text in typed_circuit(ATTIC).assumed("metric"))
    cooler = typed_circuit({**ATTIC, "device_ambient": "30 degC"})
    assert not any("as about the conductor" in text for text in cooler.assumed("metric"))
    heat = {item.rule: item.value for item in cooler.findings}["device-heat"]
    assert heat == 70


def test_that_the_conductor_says_in_words_what_decides_it() -> None:
    """At 60 degC terminals 6 AWG carries 55 A of 66.6 A; at 150 V the drop over 40 m asks for more."""
    assert dict(typed_circuit(ATTIC).answers("metric"))["conductor"] == "4 AWG, decided by its terminals"
    assert dict(typed_circuit(WHOLE).answers("metric"))["conductor"] == "3 AWG, decided by voltage drop"


def test_that_a_verdict_says_up_to_which_height_it_holds_where_nobody_entered_one() -> None:
    """IEC 60947-1, 6.1.3: ratings hold up to 2000 m (from memory)."""
    typed = typed_circuit(WHOLE)
    texts = {"kind": "breaker", "volts": "250 V=", "amps": "70 A", "breaking": "10 kA", "poles": "2"}
    verdict = next(
        each for each in judge(typed.evaluation, read({**texts, "polarity": "none"})) if each.circuit == RUN
    )
    assert verdict.fit is Fit.FIT and "2,000 m" in verdict.says.replace("2000", "2,000")
    assert any("elevation" in each for each in typed.assumed("metric"))
