"""The breaker in hand: where it may go, where not, and the one number that decides."""

from __future__ import annotations

import dataclasses
from functools import cache
from itertools import pairwise

import pytest
from a_wired_site import judged
from hypothesis import given
from hypothesis import strategies as st

from engine.design import Design, Device
from engine.evaluation import Evaluation, evaluate
from engine.finding import Signal, Status
from engine.in_hand import Fit, Verdict, judge, judge_all, read, somewhere, worst

RUN, OUTPUT = "south-run", "c-battery"
SOUND = {
    "volts": "150 V=",
    "amps": "40 A",
    "breaking": "10 kA",
    "poles": "2",
    "polarity": "none",
}
"""Fits the run of the wired site: 28 A times 1.25 is 35 A, 112.4 V open circuit at the record low."""


def on(circuit: str, texts: dict[str, str], changes: dict[str, str] | None = None, more: str = "") -> Verdict:
    """The verdict on one circuit of the changed site; an empty text is not printed."""
    verdicts = judge(judged(changes, more), read(texts))
    (found,) = [item for item in verdicts if item.circuit == circuit]
    return found


def on_run(changes: dict[str, str] | None = None, **texts: str) -> Verdict:
    """The verdict on the run with some of the sound device's texts changed."""
    return on(RUN, {**SOUND, **texts}, changes)


def test_that_a_sound_device_fits_and_its_nearest_limit_decides() -> None:
    verdict = on_run()
    assert (verdict.fit, verdict.status) == (Fit.FIT, Status.MEETS)
    assert verdict.decides is not None
    assert (verdict.decides.rule, verdict.decides.value) == ("device-current", 40.0)
    assert verdict.decides.limit == pytest.approx(1.25 * 1.25 * 11.2 * 2)
    assert verdict.number == "40 A against 35 A"


def test_that_a_device_is_judged_in_every_circuit_in_their_order() -> None:
    evaluation = judged()
    verdicts = judge(evaluation, read(SOUND))
    assert [item.circuit for item in verdicts] == list(evaluation.circuits)


def test_that_an_ac_device_is_unfit_on_dc_whatever_its_numbers() -> None:
    for amps in ("35 A", "40 A", "1000 A"):
        verdict = on_run(volts="1000 V ~", amps=amps, breaking="100 kA")
        assert verdict.fit is Fit.UNFIT and verdict.decides is not None
        assert (verdict.decides.rule, verdict.decides.signal) == ("device-supply", Signal.DANGER)
        assert "arc" in verdict.says


def test_that_polarity_is_unfit_where_current_can_turn_round() -> None:
    assert on_run({"controllers.c.back_feed": "0 A"}, polarity="marked").fit is Fit.FIT
    verdict = on_run({"controllers.c.back_feed": "5 A"}, polarity="marked")
    assert verdict.fit is Fit.UNFIT and verdict.decides is not None
    assert verdict.decides.rule == "device-polarity"
    at_battery = on(OUTPUT, {**SOUND, "amps": "100 A", "breaking": "25 kA", "polarity": "marked"})
    assert at_battery.fit is Fit.UNFIT


def test_that_poles_in_series_add_no_voltage() -> None:
    """Only the marked voltage counts: 100 V with four poles stays 100 V against 106.5 V."""
    verdict = on_run(volts="100 V=", poles="4")
    assert verdict.fit is Fit.UNFIT and verdict.decides is not None
    assert (verdict.decides.rule, verdict.decides.limit) == ("device-voltage", 100.0)


@pytest.mark.parametrize(
    ("volts", "fit", "status"),
    [
        ("108.3 V=", Fit.UNFIT, Status.FAILS),
        ("108.4 V=", Fit.FIT, Status.MARGINAL),
        ("111.5 V=", Fit.FIT, Status.MARGINAL),
        ("111.6 V=", Fit.FIT, Status.MEETS),
    ],
)
def test_that_design_low_decides_and_the_record_low_warns(volts: str, fit: Fit, status: Status) -> None:
    """2 x 49.5 V x (1 + 0.0027 x 35 K) = 108.36 V at -10 degC; with 47 K 111.56 V at -22 degC."""
    verdict = on_run(volts=volts)
    assert (verdict.fit, verdict.status) == (fit, status)


@pytest.mark.parametrize(("amps", "fit"), [("34.9 A", Fit.UNFIT), ("35 A", Fit.FIT), ("41 A", Fit.UNFIT)])
def test_that_the_rating_lies_between_what_flows_and_what_the_wire_stands(amps: str, fit: Fit) -> None:
    """28 A times 1.25 is 35 A; 8 AWG at terminals of 60 degC carries 40 A (NEC Table 310.16)."""
    assert on_run({"circuits.south-run.size": "8 AWG"}, amps=amps).fit is fit


@pytest.mark.parametrize("gone", ["volts", "amps", "breaking", "poles", "polarity"])
def test_that_a_missing_marking_is_never_fit_and_is_named(gone: str) -> None:
    texts = {**SOUND, "kind": "breaker", gone: ""}
    verdict = on(RUN, texts)
    assert verdict.fit is Fit.UNKNOWN and verdict.word == "not enough printed on it to say"
    wanted = {
        "volts": "DC voltage rating",
        "amps": "Rated current",
        "breaking": "Breaking capacity at that voltage",
        "poles": "Poles",
        "polarity": "Polarity",
    }
    assert wanted[gone] in verdict.lacks
    assert gone != "volts" or "Marked for" in verdict.lacks


def test_that_too_low_a_voltage_is_unfit_even_if_nobody_knows_whether_it_is_for_dc() -> None:
    assert on_run(volts="60 V").fit is Fit.UNFIT
    assert on_run(volts="600 V").fit is Fit.UNKNOWN


def test_that_a_gap_in_the_site_is_not_blamed_on_the_device() -> None:
    verdict = on_run({"controllers.c.back_feed": ""})
    assert verdict.fit is Fit.UNKNOWN and verdict.lacks == ()
    assert verdict.word == "not enough known of the circuit to say"
    assert "controllers.c.back_feed" in verdict.asks


def test_that_an_unknown_conductor_leaves_the_largest_rating_open() -> None:
    nowhere = {"circuits.south-run.ambient": "", "site.design_high": ""}
    assert on_run(nowhere, amps="100 A").fit is Fit.UNKNOWN
    assert on_run(nowhere, amps="20 A").fit is Fit.UNFIT


def test_that_a_switch_is_no_overcurrent_device_but_may_be_a_disconnect() -> None:
    switch = {**SOUND, "kind": "switch", "breaking": "", "amps": "100 A"}
    assert on(OUTPUT, switch).fit is Fit.UNFIT
    verdict = on(RUN, switch)
    assert verdict.fit is Fit.FIT and verdict.disconnect and "disconnect" in verdict.says


def test_that_a_device_already_in_a_circuit_does_not_count() -> None:
    """The run of the site has a breaker that fails; the one in hand is judged in its place."""
    bad = {"devices.run-breaker.supply": "ac", "devices.run-breaker.current": "3 A"}
    assert on_run(bad).fit is Fit.FIT


def test_that_devices_are_judged_alone() -> None:
    evaluation, good, bad = judged(), read(SOUND), read({**SOUND, "volts": "400 V ~"})
    both = judge_all(evaluation, (bad, good))
    assert both == (judge(evaluation, bad), judge(evaluation, good))


def test_that_the_site_itself_is_left_alone() -> None:
    evaluation = judged()
    before = evaluation.design
    judge(evaluation, read(SOUND))
    assert evaluation.design is before and before == judged().design


def test_that_a_site_without_circuits_has_no_verdicts() -> None:
    assert judge(evaluate(Design()), read(SOUND)) == ()
    assert somewhere(()) is Fit.UNKNOWN


def test_that_somewhere_is_the_best_and_worst_the_worst() -> None:
    verdicts = judge(judged(), read(SOUND))
    assert somewhere(verdicts) is max(item.fit for item in verdicts)
    assert worst([Fit.FIT, Fit.UNKNOWN, Fit.UNFIT]) is Fit.UNFIT and worst(()) is Fit.FIT


def test_that_every_reason_names_its_clause() -> None:
    for verdict in judge(judged(), read({**SOUND, "volts": "400 V ~"})):
        assert verdict.reasons and all(str(reason.source) for reason in verdict.reasons)
        statuses = [reason.status for reason in verdict.reasons]
        assert statuses == sorted(statuses)


def test_that_both_families_answer() -> None:
    for rules in ("nec-2017", "nec-2020", "nec-2023", "iec"):
        changes = {"rules": rules, "circuits.south-run.ambient": "30 degC"}
        assert on_run(changes, amps="40 A", volts="400 V ~").fit is Fit.UNFIT
        assert on_run(changes, amps="40 A").word != ""


# Laws

VOLTS = st.floats(20, 1500).map(lambda number: round(number, 2))


@cache
def wired_site() -> Evaluation:
    """The wired site, judged once."""
    return judged()


def fits(texts: dict[str, str]) -> tuple[Fit, ...]:
    """The verdicts on the wired site."""
    return tuple(item.fit for item in judge(wired_site(), read(texts)))


@given(st.lists(VOLTS, min_size=2, max_size=4), st.sampled_from(["20 A", "40 A", "100 A"]))
def test_that_a_higher_printed_voltage_never_turns_fit_into_unfit(volts: list[float], amps: str) -> None:
    rising = [fits({**SOUND, "amps": amps, "volts": f"{number} V="}) for number in sorted(volts)]
    for lower, higher in pairwise(rising):
        assert all(one <= other for one, other in zip(lower, higher, strict=True))


@given(st.lists(st.floats(100, 60000), min_size=2, max_size=4))
def test_that_a_higher_breaking_capacity_never_turns_fit_into_unfit(amps: list[float]) -> None:
    rising = [fits({**SOUND, "breaking": f"{number:.1f} A"}) for number in sorted(amps)]
    for lower, higher in pairwise(rising):
        assert all(one <= other for one, other in zip(lower, higher, strict=True))


MARKINGS = ("supply", "dc_voltage", "current", "breaking", "poles", "polarity")


@given(st.sets(st.sampled_from(MARKINGS), min_size=1))
def test_that_whatever_markings_are_missing_nothing_fits(gone: set[str]) -> None:
    bare: dict[str, object] = dict.fromkeys(gone)
    device: Device = dataclasses.replace(read(SOUND), **bare)  # type: ignore[arg-type]
    assert all(item.fit is not Fit.FIT for item in judge(wired_site(), device))
