"""The electrician's counter: five devices against every circuit of the mountain farm.

By hand from the demo's data: four modules of 49.6 V at -0.27 %/K stand at 226.8 V at -28 degC, at 232.1 V at
-38 degC. The creek's turbine runs away to 446 V at least. Each battery string drives
48 V / (24 x 0.4 mohm) = 5 kA into a short circuit at the bus, both together 10 kA, and the chargers' 240 A at
least come on top.
"""

from __future__ import annotations

from functools import cache

import pytest

from app.places import demo_sites
from engine import evaluate, load
from engine.evaluation import Evaluation
from engine.finding import Signal, Status
from engine.in_hand import Fit, Verdict, as_finding, judge, read, tally

MINIATURE = {"volts": "400 V ~", "amps": "63 A", "poles": "2", "kind": "miniature breaker"}
MARKED = {"volts": "125 V=", "amps": "100 A", "breaking": "5 kA", "polarity": "+ and -", "poles": "1"}
PLAIN = {"volts": "250 V=", "amps": "80 A", "breaking": "10 kA", "polarity": "none", "poles": "2"}
GPV = {"volts": "1000 V", "class": "gPV", "amps": "15 A", "breaking": "20 kA"}
CLASS_T = {"volts": "125 V DC", "class": "T", "amps": "200 A", "breaking": "20 kA"}
ARRAY = ("pasture-string", "pasture-run")
ON_THE_BUS = (
    "sun-charger-battery",
    "creek-charger-battery",
    "surplus-battery",
    "standby-battery",
    "farm-battery",
)
AC = ("farm-output", "standby-charger")


@cache
def farm() -> Evaluation:
    """The mountain farm, judged once."""
    return evaluate(load(str(demo_sites() / "mountain_farm.toml")))


@cache
def on(*texts: tuple[str, str]) -> dict[str, Verdict]:
    """The verdicts on a device by circuit."""
    return {item.circuit: item for item in judge(farm(), read(dict(texts)))}


def decided(verdict: Verdict) -> tuple[Fit, str]:
    """The verdict and the rule that decides it."""
    assert verdict.decides is not None
    return verdict.fit, verdict.decides.rule


def test_that_every_device_has_a_verdict_a_sentence_a_clause_and_a_number_in_every_circuit() -> None:
    for texts in (MINIATURE, MARKED, PLAIN, GPV, CLASS_T):
        found = on(*texts.items())
        assert found.keys() == farm().circuits.keys()
        for verdict in found.values():
            assert verdict.says and verdict.decides is not None and verdict.decides.source.clause
            assert verdict.number or verdict.fit is Fit.UNKNOWN


def test_that_the_miniature_breaker_for_ac_goes_on_no_dc_circuit() -> None:
    found = on(*MINIATURE.items())
    dc = [id for id, circuit in farm().circuits.items() if circuit.system == "dc"]
    assert len(dc) >= 12
    for id in dc:
        assert decided(found[id]) == (Fit.UNFIT, "device-supply")
        assert found[id].decides.signal is Signal.DANGER and "arc" in found[id].says  # type: ignore[union-attr]


def test_that_on_ac_the_miniature_breaker_fails_by_its_numbers_alone() -> None:
    found = on(*MINIATURE.items())
    for id in AC:
        assert "device-supply" not in {item.rule for item in found[id].reasons if item.status.word == "fails"}


@pytest.mark.parametrize("id", ARRAY)
def test_that_the_marked_125_v_breaker_fails_the_array_by_volts(id: str) -> None:
    verdict = on(*MARKED.items())[id]
    assert decided(verdict) == (Fit.UNFIT, "device-voltage")
    assert verdict.number == "232.1 V against 125 V"


@pytest.mark.parametrize("id", ON_THE_BUS)
def test_that_the_marked_5_ka_breaker_can_burst_on_the_bus_and_breaks_one_way_only(id: str) -> None:
    verdict = on(*MARKED.items())[id]
    assert decided(verdict) == (Fit.UNFIT, "device-breaking")
    assert verdict.decides is not None
    assert float(verdict.decides.value or 0) >= 10240 and verdict.decides.limit == 5000
    assert ("device-polarity", "fails") in {(item.rule, item.status.word) for item in verdict.reasons}


def test_that_the_marked_breaker_goes_nowhere() -> None:
    assert {verdict.fit for verdict in on(*MARKED.items()).values()} == {Fit.UNFIT}


def test_that_the_plain_80_a_breaker_stands_the_array_volts_and_not_the_creek_or_the_bus() -> None:
    found = on(*PLAIN.items())
    for id in ARRAY:
        assert "device-voltage" not in {
            item.rule for item in found[id].reasons if item.status.word == "fails"
        }
    creek = found["creek-run"]
    assert decided(creek) == (Fit.UNFIT, "device-voltage") and creek.decides is not None
    assert float(creek.decides.value or 0) >= 446 and creek.decides.limit == 250
    for id in ON_THE_BUS:
        assert decided(found[id]) == (Fit.UNFIT, "device-breaking")


def test_that_the_15_a_fuse_is_short_of_1_56_times_the_short_circuit_current() -> None:
    """1.25 x 1.25 x 10.2 A = 15.94 A (NEC 690.8, 690.9(B))."""
    verdict = on(*GPV.items())["pasture-string"]
    assert decided(verdict) == (Fit.UNFIT, "device-current") and verdict.number == "15 A against 15.94 A"


def test_that_no_dc_fuse_goes_on_ac_or_before_a_limiter() -> None:
    for texts in (GPV, CLASS_T):
        found = on(*texts.items())
        assert {found[id].fit for id in (*AC, "creek-limiter", "creek-alternator")} == {Fit.UNFIT}


def test_that_the_class_t_fuse_goes_to_the_inverter_and_not_to_the_array() -> None:
    """6 kW / 93 % / 42 V x 1.25 = 192 A; 125 V over 58.8 V; 20 kA over some 12 kA."""
    found = on(*CLASS_T.items())
    assert found["farm-battery"].fit is Fit.FIT and "switch" in found["farm-battery"].says
    for id in ARRAY:
        assert found[id].number == "232.1 V against 125 V"
    assert decided(found["bank-string"]) == (Fit.UNFIT, "device-current")


def test_that_a_device_is_tried_beside_the_designs_own_devices_never_behind_itself() -> None:
    """The panel's fuse is 30 A and the fence's 15 A: 30 / 15 = 2 to 1, which common practice asks for."""
    found = on(*{**GPV, "breaking": "30 kA"}.items())
    step = next(item for item in found["fence-branch"].reasons if item.rule == "selectivity")
    assert (step.value, step.limit, step.status) == (2.0, 2.0, Status.MEETS)


def test_that_a_device_over_a_branch_of_its_own_rating_warns_of_that_branch() -> None:
    """15 A over the fence's 15 A: 1 to 1, and a fault at the fence darkens the whole panel."""
    verdict = on(*{**GPV, "breaking": "30 kA"}.items())["panel-battery"]
    assert decided(verdict) == (Fit.FIT, "selectivity") and verdict.status is Status.MARGINAL
    assert verdict.number == "1 to 1 against 2 to 1" and "Fence energizer" in verdict.says


def test_that_a_fuse_too_small_for_two_strings_says_that_they_need_none() -> None:
    assert "No overcurrent device is needed here" in on(*GPV.items())["pasture-string"].says


def test_that_a_fuse_that_is_not_for_pv_goes_into_no_circuit_of_the_array() -> None:
    """Volts, amps and breaking capacity would do: 400 V over 232.1 V, 20 A over 15.94 A."""
    general = {"volts": "400 V=", "class": "gG", "amps": "20 A", "breaking": "20 kA"}
    assert decided(on(*general.items())["pasture-string"]) == (Fit.UNFIT, "device-pv-class")
    bare = {**general, "class": "", "kind": "fuse"}
    verdict = on(*bare.items())["pasture-string"]
    assert verdict.fit is Fit.UNKNOWN and verdict.lacks == ("Class or curve",)


def test_that_a_breaker_that_fits_an_array_is_to_be_looked_at_for_its_listing() -> None:
    breaker = {"volts": "300 V=", "amps": "40 A", "breaking": "5 kA", "polarity": "none", "poles": "2"}
    found = on(*breaker.items())
    assert found["pasture-run"].fit is Fit.FIT and "listed for PV" in found["pasture-run"].says


def test_that_a_line_says_where_a_device_fits_and_what_shuts_it_out_elsewhere() -> None:
    """The miniature breaker: 13 circuits are dc; 460 V on the alternator; 40 A and 60 A on the other two."""
    told = tally(tuple(on(*MINIATURE.items()).values()))
    assert told == "Fits 0 of 16 circuits. Against it: ac or dc 13, amps 2, volts 1."
    assert tally(tuple(on(*CLASS_T.items()).values())).startswith("Fits 1 of 16 circuits. Against it: amps ")


def test_that_what_is_not_printed_is_counted_as_not_known() -> None:
    assert "Not known: 3." in tally(tuple(on(*{**GPV, "breaking": ""}.items()).values()))


def test_that_what_is_to_be_minded_of_a_fit_stands_on_its_card_unopened() -> None:
    card = as_finding(on(*CLASS_T.items())["farm-battery"])
    assert card.status is Status.MEETS and "A fuse is no disconnect" in card.title
    breaker = {"volts": "300 V=", "amps": "40 A", "breaking": "5 kA", "polarity": "none", "poles": "2"}
    assert "listed for PV" in as_finding(on(*breaker.items())["pasture-run"]).title
