"""Money and metal: published economics of a long run, and laws that no price list can break."""

from __future__ import annotations

import dataclasses
import itertools

import pytest
from a_wired_site import found, judged, wired
from hypothesis import given
from hypothesis import strategies as st

from app.places import demo_sites
from engine import edit, evaluate, load
from engine.design import Wire
from engine.evaluation import Evaluation
from engine.finding import Status
from engine.money.sizes import Money, money, sun_hours, with_size
from engine.money.voltage import Trade, trade
from engine.sizes import parse_size
from engine.units import Quantity

FOOT = 0.3048
PRICES = {"12 AWG": 620.0, "10 AWG": 950.0, "8 AWG": 1540.0, "6 AWG": 2370.0}
DEMOS = {path.stem: evaluate(load(path)) for path in sorted(demo_sites().glob("*.toml"))}
EVERY = [(name, id) for name, evaluation in DEMOS.items() for id in evaluation.circuits]
RUNS = [
    (name, id)
    for name, id in EVERY
    if DEMOS[name].circuits[id].kind == "run" and DEMOS[name].circuits[id].array
]


def priced(evaluation: Evaluation, metres: float, prices: dict[str, float], watt: float | None) -> Evaluation:
    """A design with whole-run prices of each size turned into prices a metre of conductor."""
    wires = tuple(
        Wire(id=f"w{at}", size=parse_size(text), price=Quantity(price / metres))
        for at, (text, price) in enumerate(prices.items())
    )
    design = dataclasses.replace(evaluation.design, wires=wires)
    return evaluate(edit.set_field(design, "prices.array_watt", "" if watt is None else str(watt)))


def long_run(watt: float | None, prices: dict[str, float] = PRICES) -> Evaluation:
    """One string at 350 V and 10 A over 500 ft: the circuit of the published table."""
    changes = {
        "modules.m.voc": "420 V",
        "modules.m.vmp": "350 V",
        "modules.m.isc": "10.5 A",
        "modules.m.imp": "10 A",
        "arrays.south.modules": "1",
        "arrays.south.strings": "1",
        "controllers.c.operating_limit": "590 V",
        "controllers.c.standoff_limit": "600 V",
        "circuits.south-run.length": "500 ft",
        "circuits.south-run.ambient": "30 degC",
        "circuits.south-run.device": "",
    }
    return priced(judged(changes), 2 * 500 * FOOT, prices, watt)


def money_of(evaluation: Evaluation, id: str = "south-run") -> Money:
    result = money(evaluation, id)
    assert result is not None
    return result


# The published table: posting on conductor economics (K. Osterberg), a professional mailing list, April 2010
# (read): 350 V, 10 A, 500 ft; "stop enlarging when the next step costs more per watt than another PV watt".


@pytest.mark.parametrize(("watt", "best"), [(5, "10 AWG"), (15, "8 AWG"), (40, "6 AWG")])
def test_that_the_published_economics_of_a_long_run_come_out(watt: float, best: str) -> None:
    result = money_of(long_run(watt))
    options = {option.size.text: option for option in result.options}
    steps = [options[text].step for text in ("10 AWG", "8 AWG", "6 AWG")]
    assert steps == pytest.approx([4.71, 12.83, 29.64], abs=0.8)
    assert [options[text].loss for text in ("10 AWG", "8 AWG", "6 AWG")] == pytest.approx(
        [122.5, 77, 49.1], rel=0.015
    )
    assert [options[text].price for text in PRICES] == pytest.approx(list(PRICES.values()))
    assert result.best is not None and result.best.text == best
    assert result.why == "" and result.missing == ()


def test_that_the_metal_of_a_run_weighs_what_its_volume_does() -> None:
    option = next(option for option in money_of(long_run(5)).options if option.size.text == "10 AWG")
    # 10 AWG is 5.26 mm2; copper 8.96 g/cm3; 1000 ft of it weigh 31.4 lb bare (wire tables, from memory).
    assert option.mass == pytest.approx(31.4 * 0.4536, rel=0.01)


# Laws


@pytest.mark.parametrize(("name", "id"), EVERY)
def test_that_a_thicker_conductor_never_loses_more_nor_weighs_less(name: str, id: str) -> None:
    options = money_of(DEMOS[name], id).options
    assert len(options) > 1
    for thin, thick in itertools.pairwise(options):
        assert thin.size < thick.size and thin.mass < thick.mass
        assert thin.loss > thick.loss and thin.fraction > thick.fraction


@pytest.mark.parametrize(("name", "id"), EVERY)
def test_that_the_chosen_size_loses_what_the_circuit_says(name: str, id: str) -> None:
    result, circuit = money_of(DEMOS[name], id), DEMOS[name].circuits[id]
    (chosen,) = [option for option in result.options if option.size == circuit.conductor]
    strings = DEMOS[name].design.bank.strings if circuit.kind == "bank" else 1
    if circuit.kind == "string":
        strings = DEMOS[name].arrays[circuit.array or ""].strings
    assert result.abreast == strings
    assert circuit.loss is not None and chosen.loss == pytest.approx(circuit.loss * (strings or 0))
    assert chosen.fraction == pytest.approx(circuit.drop_fraction)


@pytest.mark.parametrize(("name", "id"), EVERY)
def test_that_money_never_proposes_a_size_which_the_rules_refuse(name: str, id: str) -> None:
    evaluation = DEMOS[name]
    best = money_of(evaluation, id).best
    if best is not None:
        checks = with_size(evaluation, id, best).checks
        assert [check.name for check in checks if not check.ok and check.name != "drop"] == []


@pytest.mark.parametrize(("name", "id"), EVERY)
def test_that_the_next_size_down_fails_by_the_check_that_is_named(name: str, id: str) -> None:
    circuit = DEMOS[name].circuits[id]
    if circuit.smaller is not None and circuit.smaller_fails:
        other = with_size(DEMOS[name], id, circuit.smaller)
        assert circuit.smaller_fails in [check.name for check in other.checks if not check.ok]


@given(
    prices=st.lists(st.floats(1, 5000), min_size=4, max_size=4),
    watt=st.floats(0, 50),
)
def test_that_the_best_size_has_the_least_total_whatever_the_prices(prices: list[float], watt: float) -> None:
    result = money_of(long_run(watt, dict(zip(PRICES, prices, strict=True))))
    totals = {option.size: option.total for option in result.options if option.total is not None}
    for option in result.options:
        if option.price is not None:
            assert option.total == pytest.approx(option.price + option.loss * watt)
    assert result.best is not None and totals[result.best] == min(totals.values())


def test_that_dearer_array_never_makes_the_conductor_thinner() -> None:
    best = [money_of(long_run(watt)).best for watt in (0, 2, 5, 10, 20, 40)]
    assert all(
        one is not None and other is not None and one <= other for one, other in itertools.pairwise(best)
    )


# What is missing


def test_that_a_missing_price_says_which() -> None:
    result = money_of(long_run(None, {"12 AWG": 620}))
    assert result.best is None and result.why
    titles = [item.title for item in result.missing]
    chosen = result.chosen
    assert chosen is not None
    assert f"Price a metre of {chosen.text}" in titles and "A watt of array" in titles


def test_that_without_prices_the_losses_stand_all_the_same() -> None:
    result = money_of(judged())
    assert result.best is None and len(result.options) > 1
    assert all(option.price is None and option.loss > 0 for option in result.options)


def test_that_a_run_whose_length_is_not_known_asks_for_it() -> None:
    result = money_of(judged({"circuits.south-run.length": ""}))
    assert result.options == () and result.why
    assert "circuits.south-run.length" in [item.path for item in result.missing]


def test_that_a_watt_lost_where_nobody_knows_the_hours_has_no_price() -> None:
    evaluation = DEMOS["lake_cabin"]
    for id in ("house-battery", "radio-branch"):
        result = money_of(evaluation, id)
        assert result.best is None and "hours" in result.why


def test_that_the_prices_of_another_metal_do_not_count() -> None:
    evaluation = long_run(5)
    wires = tuple(dataclasses.replace(wire, material="aluminium") for wire in evaluation.design.wires)
    result = money_of(evaluate(dataclasses.replace(evaluation.design, wires=wires)))
    assert all(option.price is None for option in result.options)


def test_that_the_hours_of_full_sun_are_those_of_the_months() -> None:
    sun = "; ".join(["4 kWh/m^2"] * 12)
    assert sun_hours(wired({"site.sun": sun})) == pytest.approx(4 * 365.25)
    assert sun_hours(wired()) is None


# The voltage of a long run


def trade_of(name: str, id: str) -> Trade:
    result = trade(DEMOS[name], id)
    assert result is not None
    return result


def copper(result: Trade, evaluation: Evaluation, modules: int, at: int) -> float:
    """The watts lost in the conductors alone: what is left of a point's loss without the conversion's."""
    level = next(level for level in result.levels if level.count == modules)
    circuit = evaluation.circuits[result.circuit]
    assert circuit.running_current is not None and circuit.running_voltage is not None
    power = circuit.running_current * circuit.running_voltage
    return (level.points[at].loss - power * (1 - level.efficiency)) / level.efficiency


@pytest.mark.parametrize(("name", "id"), RUNS)
def test_that_the_same_modules_are_wired_in_every_way(name: str, id: str) -> None:
    array = DEMOS[name].design.find("arrays", DEMOS[name].circuits[id].array)
    total = getattr(array, "modules") * getattr(array, "strings")  # noqa: B009
    levels = trade_of(name, id).levels
    assert all(level.count * level.strings == total for level in levels)
    assert getattr(array, "modules") in [level.count for level in levels]  # noqa: B009
    assert [level.voltage for level in levels] == sorted(level.voltage for level in levels)


@pytest.mark.parametrize(("name", "id"), RUNS)
def test_that_copper_loses_with_the_square_of_the_current(name: str, id: str) -> None:
    result, evaluation = trade_of(name, id), DEMOS[name]
    for lower, higher in zip(result.levels, result.levels[1:], strict=False):
        shared = [point.size for point in higher.points if point.size in [each.size for each in lower.points]]
        places = [[point.size for point in level.points].index(shared[-1]) for level in (lower, higher)]
        lost = [
            copper(result, evaluation, level.count, at)
            for level, at in zip((lower, higher), places, strict=True)
        ]
        assert lost[0] / lost[1] == pytest.approx((higher.voltage / lower.voltage) ** 2, rel=1e-6)


@pytest.mark.parametrize(("name", "id"), RUNS)
def test_that_a_higher_voltage_needs_no_thicker_conductor_and_converts_no_better(name: str, id: str) -> None:
    for lower, higher in zip(trade_of(name, id).levels, trade_of(name, id).levels[1:], strict=False):
        assert higher.points[0].size <= lower.points[0].size
        assert higher.efficiency <= lower.efficiency


@pytest.mark.parametrize(("name", "id"), RUNS)
def test_that_a_level_is_allowed_where_the_rules_find_nothing_against_it(name: str, id: str) -> None:
    evaluation, result = DEMOS[name], trade_of(name, id)
    array = evaluation.circuits[id].array
    for level in result.levels:
        changes = {
            f"arrays.{array}.modules": str(level.count),
            f"arrays.{array}.strings": str(level.strings),
        }
        other = evaluate(edit.set_fields(evaluation.design, changes))
        assert (found(other, "standoff-limit", f"arrays.{array}").status is Status.FAILS) is (
            not level.allowed
        )


@pytest.mark.parametrize(("name", "id"), RUNS)
def test_that_the_best_level_is_the_cheapest_that_the_controller_allows(name: str, id: str) -> None:
    result = trade_of(name, id)
    totals = {
        (level.count, point.size): point.total
        for level in result.levels
        for point in level.points
        if level.allowed and point.total is not None
    }
    assert result.best is not None and totals[result.best] == min(totals.values())


@pytest.mark.parametrize(("name", "id"), RUNS)
def test_that_two_curves_meet_where_they_are_said_to_cross(name: str, id: str) -> None:
    result = trade_of(name, id)

    def loss(modules: int, cost: float) -> float:
        (level,) = [level for level in result.levels if level.count == modules]
        for one, other in zip(level.points, level.points[1:], strict=False):
            assert one.price is not None and other.price is not None
            if one.price <= cost <= other.price:
                return one.loss + (other.loss - one.loss) * (cost - one.price) / (other.price - one.price)
        raise AssertionError(f"{cost} is off the curve of {modules}")

    for crossing in result.crossings:
        assert loss(crossing.lower, crossing.cost) == pytest.approx(crossing.loss)
        assert loss(crossing.higher, crossing.cost) == pytest.approx(crossing.loss)
        assert loss(crossing.higher, crossing.cost * 0.98) < loss(crossing.lower, crossing.cost * 0.98)


def test_that_only_the_run_of_an_array_has_another_voltage_to_choose() -> None:
    for name, id in EVERY:
        assert (trade(DEMOS[name], id) is not None) is ((name, id) in RUNS)


def test_that_a_direct_controller_leaves_no_voltage_to_choose() -> None:
    result = trade(judged({"controllers.c.kind": "direct"}), "south-run")
    assert result is not None and result.levels == () and "track" in result.why


def test_that_without_sun_or_prices_the_levels_stand_and_ask_for_them() -> None:
    result = trade(
        judged({"controllers.c.standoff_limit": "400 V", "controllers.c.operating_limit": "390 V"}),
        "south-run",
    )
    assert result is not None and len(result.levels) > 1 and not result.priced
    assert {item.path for item in result.missing} == {"prices.array_watt", "wires", "site.sun"}
    assert all(point.price is None and point.mass > 0 for level in result.levels for point in level.points)
