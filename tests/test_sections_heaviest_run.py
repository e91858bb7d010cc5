"""The heaviest run of days: a load of the weekend falls on a weekend, not on two sevenths of each day."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.codec import loads
from engine.evaluation import evaluate
from engine.finding import Finding, Status
from engine.sections.demand import demand
from engine.sections.heaviest_run import days_of_use, heaviest_run

HUT = """
format = 1
[bank]
chemistry = "agm"
voltage = "48 V"
block_voltage = "2 V"
block_capacity = "{capacity} Ah"
capacity_hours = "20 h"
series = 24
strings = 1
autonomy = "{autonomy}"
depth = "50 %"
end_of_life = "100 %"
growth = "0 %"
lowest_temperature = "25 degC"
[loads.fridge]
kind = "dc"
power = "40 W"
hours = "24 h"
[loads.plate]
kind = "dc"
power = "900 W"
hours = "1 h"
starts = "12 h"
days_a_week = {days}
"""


def hut(capacity: float = 420, days: float = 2, autonomy: str = "3 d") -> str:
    return HUT.format(capacity=capacity, days=days, autonomy=autonomy)


def test_that_three_days_may_hold_a_whole_weekend() -> None:
    """By hand: 960 Wh each day, and 900 Wh on two of three, not on two of seven."""
    design = loads(hut())
    mean = demand(design)
    run = heaviest_run(design, mean)
    assert mean.bank_wh is not None and run.bank_wh is not None
    assert mean.bank_wh[0] == pytest.approx(960 + 900 * 2 / 7)
    assert run.bank_wh[0] == pytest.approx((3 * 960 + 2 * 900) / 3)


def test_that_loads_of_every_day_make_no_heavier_run() -> None:
    design = loads(hut(days=7))
    mean = demand(design)
    assert heaviest_run(design, mean) is mean


def bank_of(capacity: float) -> Finding:
    got = [item for item in evaluate(loads(hut(capacity))).findings if item.rule == "bank-capacity"]
    assert len(got) == 1
    return got[0]


# (3 x 960 Wh + 2 x 900 Wh) / 50 % / 48 V = 195 Ah by hand; heaviest hour 940 W: 19.6 A, above the 20 h rate,
# so Peukert's exponent of the chemistry asks for more: the three shots stand about that point.
def test_that_the_weekend_decides_whether_the_bank_carries_three_days() -> None:
    size = evaluate(loads(hut(300))).bank.capacity
    assert size.rate_share is not None and size.needed is not None
    after = {stage.name: stage.energy for stage in size.chain}
    assert after["autonomy"] == pytest.approx(3 * 960 + 2 * 900)
    cold = after["cold"] / after["depth"]
    assert size.needed == pytest.approx((3 * 960 + 2 * 900) / 0.5 * cold / size.rate_share)
    enough = next(ah for ah in range(195, 400) if bank_of(ah).status is Status.MEETS)
    assert enough > 195
    assert bank_of(enough - 2).status is Status.FAILS
    assert bank_of(enough + 1).status is Status.MEETS


@given(st.floats(0.1, 60), st.floats(0, 7))
def test_that_a_run_holds_no_fewer_days_of_use_than_the_mean(run: float, days: float) -> None:
    assert days_of_use(run, days) >= run * days / 7 - 1e-9
    assert days_of_use(run, days) <= max(run, math.ceil(days) - days) + 1e-9


@given(st.floats(0.1, 60), st.floats(0.1, 60), st.floats(0, 7))
def test_that_a_longer_run_never_holds_fewer_days_of_use(one: float, other: float, days: float) -> None:
    assert days_of_use(max(one, other), days) >= days_of_use(min(one, other), days) - 1e-9
