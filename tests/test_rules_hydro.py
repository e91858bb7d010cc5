"""Hydro turbines and penstocks: each rule inside its limit, at it, just over; and the faults of the trade."""

from __future__ import annotations

import math

import pytest
from a_hydro_site import BROOK, brook, brook_judged
from a_wired_site import found

from engine.finding import Finding, Signal, Status

GRAVITY = 9.80665


def finding(rule: str, changes: dict[str, str] | None = None) -> Finding:
    return found(brook_judged(changes), rule, BROOK)


def test_that_the_brook_has_nothing_to_mend() -> None:
    mine = [each for each in brook_judged().findings if each.where == BROOK]
    assert len(mine) >= 15
    assert {each.status for each in mine} == {Status.MEETS}


@pytest.mark.parametrize("rules", ["nec-2017", "nec-2020", "nec-2023", "iec"])
def test_that_every_family_asks_the_same_of_the_water(rules: str) -> None:
    rules_of = {each.rule for each in brook_judged({"rules": rules}).findings if each.where == BROOK}
    assert {"hydro-runaway-speed", "hydro-lock-out", "penstock-pressure", "nozzle-flow"} <= rules_of


# Each numeric rule: the field that holds its limit, its unit, what it answers beyond, the side of the limit.
LIMITS = [
    ("hydro-runaway-speed", "largest_speed", "rpm", Status.FAILS, Signal.DANGER, 1),
    ("hydro-lock-out", "controllers.h.operating_limit", "V", Status.FAILS, Signal.WARNING, 1),
    ("turbine-standoff", "controllers.h.standoff_limit", "V", Status.FAILS, Signal.WARNING, 1),
    ("hydro-alternator-current", "rated_current", "A", Status.FAILS, Signal.WARNING, 1),
    ("hydro-output", "controllers.h.current_limit", "A", Status.MARGINAL, Signal.CAUTION, 1),
    ("penstock-pressure", "pipe_pressure", "Pa", Status.FAILS, Signal.DANGER, 1),
    ("residual-flow", "residual_flow", "m^3/s", Status.MARGINAL, Signal.NOTICE, -1),
]


@pytest.mark.parametrize(("rule", "field", "unit", "beyond", "signal", "side"), LIMITS, ids=lambda v: str(v))
@pytest.mark.parametrize("off", [0.001, 0.0, -0.001])
def test_that_a_limit_is_met_at_it_and_not_beyond(
    rule: str, field: str, unit: str, beyond: Status, signal: Signal, side: int, off: float
) -> None:
    setup = {"controllers.h.operating_limit": "100 V"} if rule == "turbine-standoff" else {}
    setup |= {"nozzles": "8", "nozzle_diameter": "6 mm"} if rule == "penstock-pressure" else {}
    setup |= {"closure_time": "0 s"} if rule == "penstock-pressure" else {}
    value = finding(rule, setup).value
    assert isinstance(value, float)
    for _ in range(2):  # where the cable follows the rating, the value does too
        value = finding(rule, setup | {field: f"{value * (1 + side * off)!r} {unit}"}).value
        assert isinstance(value, float)
    got = finding(rule, setup | {field: f"{value * (1 + side * off)!r} {unit}"})
    bad = off < 0
    assert got.status is (beyond if bad else Status.MEETS)
    assert got.signal is (signal if bad else Signal.NONE)
    assert bool(got.remedy) is bad


@pytest.mark.parametrize(
    ("rule", "field", "signal"),
    [
        ("hydro-runaway-speed", "largest_speed", Signal.DANGER),
        ("hydro-runaway-speed", "runaway_factor", Signal.DANGER),
        ("hydro-runaway-speed", "gross_head", Signal.DANGER),
        ("hydro-runaway-factor", "runaway_factor", Signal.WARNING),
        ("hydro-runaway-factor", "turbine", Signal.WARNING),
        ("hydro-lock-out", "controllers.h.operating_limit", Signal.NONE),
        ("open-voltage", "open_voltage", Signal.WARNING),
        ("turbine-standoff", "controllers.h.standoff_limit", Signal.WARNING),
        ("hydro-rated-power", "rated_power", Signal.NONE),
        ("hydro-rated-power", "gross_head", Signal.NONE),
        ("hydro-wheel-speed", "wheel_diameter", Signal.NONE),
        ("hydro-alternator-current", "rated_current", Signal.NONE),
        ("hydro-alternator-current", "efficiency", Signal.NONE),
        ("hydro-output", "controllers.h.current_limit", Signal.NONE),
        ("penstock-pressure", "pipe_pressure", Signal.DANGER),
        ("penstock-pressure", "pipe_diameter", Signal.DANGER),
        ("penstock-flow", "pipe_length", Signal.NONE),
        ("nozzle-flow", "nozzle_diameter", Signal.NONE),
        ("residual-flow", "residual_flow", Signal.NONE),
        ("residual-flow", "flow_months", Signal.NONE),
        ("jet-and-wheel", "wheel_diameter", Signal.NONE),
        ("air-vent", "air_vent", Signal.CAUTION),
        ("intake-ice", "intake_deep", Signal.CAUTION),
        ("intake-ice", "site.design_low", Signal.CAUTION),
    ],
)
def test_that_a_missing_datum_is_unknown_and_asked_for(rule: str, field: str, signal: Signal) -> None:
    got = finding(rule, {field: ""})
    assert (got.status, got.signal) == (Status.UNKNOWN, signal)
    assert got.field and got.remedy.startswith("Enter: ")


# Runaway


def test_that_a_half_shut_nozzle_runs_away_faster_than_the_rated_speed_says() -> None:
    """Torricelli: the jet follows the root of the head, and with little flow friction leaves it all."""
    result = brook()
    head = result.water.head
    assert head is not None and result.water.runaway is not None and result.water.wheel is not None
    expected = 1.8 * result.water.wheel.best_speed * math.sqrt(40 / head.net_head)
    assert result.water.runaway.speed == pytest.approx(expected)
    assert result.water.runaway.voltage == pytest.approx(0.08 * expected)
    assert result.water.runaway.speed > 1.8 * 1950


def test_that_a_wheel_held_slow_runs_away_as_fast_as_its_jet_lets_it() -> None:
    slow, right = brook({"rated_speed": "1000 rpm"}), brook({"rated_speed": "1900 rpm"})
    assert slow.water.runaway is not None and right.water.runaway is not None
    assert slow.water.runaway.speed == pytest.approx(right.water.runaway.speed)


def test_that_an_understated_voltage_fails_and_the_higher_counts() -> None:
    """A fault of the trade: alternator and converter not rated for runaway."""
    changes = {"open_voltage": "150 V", "controllers.h.operating_limit": "200 V"}
    assert finding("open-voltage", changes).status is Status.FAILS
    locked = finding("hydro-lock-out", changes)
    assert (locked.status, locked.value) == (Status.FAILS, brook(changes).free_voltage)
    assert isinstance(locked.value, float) and locked.value > 280


def test_that_a_limiter_below_the_operating_limit_makes_a_lock_out_marginal() -> None:
    changes = {"controllers.h.operating_limit": "200 V", "limiter_on": "190 V"}
    assert finding("hydro-lock-out", changes).status is Status.MARGINAL
    assert finding("hydro-lock-out", changes | {"limiter_on": "210 V"}).status is Status.FAILS


@pytest.mark.parametrize(("factor", "status"), [(1.81, "meets"), (1.8, "meets"), (1.79, "marginal")])
def test_that_a_runaway_factor_below_its_kind_warns(factor: float, status: str) -> None:
    """European Small Hydropower Association, small-hydro guide, 2004, chapter 6 (from memory): 1.8 to 1.9."""
    assert finding("hydro-runaway-factor", {"runaway_factor": f"{factor}"}).status.word == status


# Water


def test_that_no_turbine_gives_more_than_the_water_has() -> None:
    water = 1000 * GRAVITY * 40 * 0.006115
    for power, status in (
        (water * 1.001, Status.FAILS),
        (water * 0.999, Status.MARGINAL),  # from the gross head: more than pipe, nozzle and wheel leave
        (1400.0, Status.MEETS),
        (water * 0.19, Status.MARGINAL),  # a flow in the wrong unit looks like this
    ):
        assert finding("hydro-rated-power", {"rated_power": f"{power!r} W"}).status is status, power


def test_that_a_flow_ten_times_too_large_shows() -> None:
    """A consultant's case-study page of 2002 (read) prints 0.28 m3/s for 28 L/s: 4 % of the water's power."""
    got = finding("hydro-rated-power", {"gross_head": "20 m", "flow": "0.28 m^3/s", "rated_power": "2.2 kW"})
    assert got.status is Status.MARGINAL
    assert isinstance(got.value, float) and isinstance(got.limit, float)
    assert got.value / got.limit == pytest.approx(0.040, abs=0.0005)


@pytest.mark.parametrize(("share", "status"), [(0.999, "meets"), (1.001, "marginal")])
def test_that_more_flow_than_the_pipes_best_is_marginal(share: float, status: str) -> None:
    best = brook().water.best
    assert best is not None
    assert finding("penstock-flow", {"flow": f"{best.flow * share!r} m^3/s"}).status.word == status


@pytest.mark.parametrize(
    ("share", "status"), [(1.0, "meets"), (1.0099, "meets"), (0.9901, "meets"), (1.0101, "marginal")]
)
def test_that_flow_and_nozzles_agree_within_a_hundredth(share: float, status: str) -> None:
    nozzle = brook().water.nozzle
    assert nozzle is not None
    assert finding("nozzle-flow", {"flow": f"{nozzle.flow * share!r} m^3/s"}).status.word == status


def test_that_a_coefficient_counted_twice_is_named() -> None:
    """PCF-CAL-001 v0.5, public design repository, 2026 (read) counts its 0.97 twice: in head and power."""
    nozzle = brook().water.nozzle
    assert nozzle is not None
    got = finding("nozzle-flow", {"flow": f"{nozzle.flow * 0.98!r} m^3/s"})
    assert (got.status, got.signal) == (Status.MARGINAL, Signal.NOTICE)
    assert "twice" in got.remedy
    assert "twice" not in finding("nozzle-flow", {"flow": f"{nozzle.flow * 0.9!r} m^3/s"}).remedy


def test_that_a_quarter_turn_valve_bursts_a_pipe_that_a_slow_one_spares() -> None:
    """Joukowsky; PCF-CAL-001 (read): an instant stop adds a v/g."""
    weak = {"pipe_pressure": "5 bar", "nozzles": "8", "nozzle_diameter": "6 mm"}
    fast = finding("penstock-pressure", weak | {"closure_time": "0.2 s"})
    assert (fast.status, fast.signal) == (Status.FAILS, Signal.DANGER)
    assert finding("penstock-pressure", weak | {"closure_time": "60 s"}).status is Status.MEETS
    unsaid = finding("penstock-pressure", weak | {"closure_time": ""})
    assert (unsaid.status, unsaid.value) == (Status.FAILS, fast.value)


def test_that_one_of_two_plugged_nozzles_makes_half_the_surge() -> None:
    """PCF-CAL-001 (read): half the rise of a sudden stop."""
    surge = brook({"closure_time": "0 s"}).surge
    assert surge is not None
    assert surge.plug - surge.still == pytest.approx((surge.valve - surge.still) / 2)
    between = f"{(surge.plug + surge.still) / 2!r} Pa"
    got = finding("penstock-pressure", {"pipe_pressure": between, "closure_time": "600 s"})
    assert (got.status, got.signal) == (Status.MARGINAL, Signal.WARNING)


def test_that_an_unknown_pipe_counts_as_rigid_and_surges_most() -> None:
    known, unknown = (
        brook({"closure_time": "0 s"}).surge,
        brook({"closure_time": "0 s", "pipe_wall": ""}).surge,
    )
    assert known is not None and unknown is not None
    assert unknown.valve > known.valve
    assert unknown.celerity == pytest.approx(math.sqrt(2.2e9 / 1000))


@pytest.mark.parametrize(
    ("jet", "status"), [("30 mm", "marginal"), ("36 mm", "marginal"), ("24 mm", "meets")]
)
def test_that_a_jet_too_thick_for_a_pelton_is_marginal(jet: str, status: str) -> None:
    """PCF-CAL-001 (read): 0.10 to 0.12 of a Pelton, 0.25 to 0.3 of a turgo; 55 mm on 150 mm is too much."""
    sized = {"turbine": "pelton", "wheel_diameter": "200 mm", "nozzle_diameter": jet}
    assert finding("jet-and-wheel", sized).status.word == status
    assert finding("jet-and-wheel", sized | {"turbine": "turgo"}).status is Status.MEETS
    thick = {"turbine": "turgo", "wheel_diameter": "150 mm", "nozzle_diameter": "55 mm"}
    assert finding("jet-and-wheel", thick).status is Status.MARGINAL


@pytest.mark.parametrize(("speed", "status"), [(0.39, "marginal"), (0.46, "meets"), (0.51, "marginal")])
def test_that_a_wheel_too_slow_or_fast_for_its_jet_is_marginal(speed: float, status: str) -> None:
    wheel = brook().water.wheel
    assert wheel is not None
    rated = f"{wheel.best_speed * speed / 0.46!r} rpm"
    assert finding("hydro-wheel-speed", {"rated_speed": rated}).status.word == status


def test_that_a_direct_turbine_is_held_at_the_lowest_battery_voltage() -> None:
    """Reasoned: tied to the battery the wheel turns slowly, and its torque and current are near the most."""
    changes = {"controllers.h.kind": "direct"}
    got, line = finding("hydro-alternator-current", changes), brook(changes).line
    assert line is not None
    assert got.value == pytest.approx((line.open_voltage - 44) / line.resistance)
    assert (got.status, got.signal) == (Status.FAILS, Signal.WARNING)


def test_that_a_low_head_needs_its_fittings_counted() -> None:
    """PCF-CAL-001 (read): a reduced-bore valve takes 4 % of a head of 2 m."""
    low = {"gross_head": "4.9 m", "fittings": ""}
    assert finding("fittings-counted", low).status is Status.UNKNOWN
    assert brook(low).water.head is None
    assert finding("fittings-counted", {"gross_head": "4.9 m"}).status is Status.MEETS
    assert brook({"fittings": ""}).water.head is not None


@pytest.mark.parametrize(("below", "status"), [("1.9 m", "meets"), ("2.0 m", "meets"), ("2.1 m", "marginal")])
def test_that_head_below_the_nozzle_is_lost_and_told(below: str, status: str) -> None:
    """PCF-CAL-001 (read): 0.28 m of 2.28 m lay below the jet."""
    assert finding("tailwater", {"below_nozzle": below}).status.word == status
    pipe = brook({"below_nozzle": below}).water.pipe
    assert pipe is not None and pipe.gross_head == pytest.approx(40 - float(below[:3]))


@pytest.mark.parametrize(("vent", "status"), [("yes", "meets"), ("no", "marginal")])
def test_that_a_penstock_without_a_vent_is_marginal(vent: str, status: str) -> None:
    """A. Inversin, Micro-Hydropower Sourcebook, NRECA, 1986 (from memory)."""
    assert finding("air-vent", {"air_vent": vent}).status.word == status


@pytest.mark.parametrize(
    ("low", "deep", "status"),
    [
        ("-10 degC", "no", "marginal"),
        ("-10 degC", "yes", "meets"),
        ("1 degC", "no", "meets"),
        ("1 degC", "", "meets"),
    ],
)
def test_that_an_intake_that_ices_is_marginal(low: str, deep: str, status: str) -> None:
    assert finding("intake-ice", {"site.design_low": low, "intake_deep": deep}).status.word == status


# The year


def test_that_a_lean_month_gives_what_is_left_of_the_stream() -> None:
    lean = "; ".join(["20 L/s"] * 7 + ["8 L/s", "4 L/s"] + ["20 L/s"] * 3)
    result = brook({"flow_months": lean})
    taken = [month.taken for month in result.months]
    assert taken[7:9] == pytest.approx([0.003, 0.0])
    assert taken[:7] == pytest.approx([result.water.flow] * 7)
    assert result.months[8].energy == 0.0
    got = finding("residual-flow", {"flow_months": lean})
    assert got.status is Status.MARGINAL and "Shut it" in got.remedy


def test_that_a_month_in_which_the_stream_stands_still_takes_nothing_from_it() -> None:
    frozen = "; ".join(["0 L/s"] * 3 + ["20 L/s"] * 8 + ["0 L/s"])
    even = finding("residual-flow", {"flow_months": "; ".join(["20 L/s"] * 12)})
    got = finding("residual-flow", {"flow_months": frozen})
    assert (got.status, got.value) == (Status.MEETS, even.value)


def test_that_the_months_make_the_year() -> None:
    result = brook()
    assert result.year == pytest.approx(sum(month.energy for month in result.months))
    assert result.year == pytest.approx(result.months[0].power * 24 * 365.25)
