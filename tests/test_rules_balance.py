"""The balance of the months: its rules in three shots, its laws on the demos, and what it does not know."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import prod

import pytest

from app.places import demo_sites
from engine import load
from engine.design import Design
from engine.edit import remove, set_fields
from engine.evaluation import Evaluation, evaluate
from engine.finding import Finding, Status
from engine.rules.judging import Case
from engine.rules.shared import balance as rules
from engine.sections.balance import Balance, BalanceMonth
from engine.sections.source_yield import MONTHS, SourceYield

SUN = SourceYield("arrays.south", "South", "sun", "sun on the plane")
MEETS, MARGINAL, FAILS, UNKNOWN = Status.MEETS, Status.MARGINAL, Status.FAILS, Status.UNKNOWN
NAMES = ("lake_cabin", "mountain_farm", "tropical_clinic")


@cache
def demo(name: str) -> Design:
    return load(demo_sites() / f"{name}.toml")


def changed(name: str, changes: dict[str, str], *gone: str) -> Evaluation:
    design = demo(name)
    for path in gone:
        design = remove(design, path)
    return evaluate(set_fields(design, changes))


def found(evaluation: Evaluation, rule: str) -> Finding:
    return next(each for each in evaluation.findings if each.rule == rule)


def case(worst: BalanceMonth, name: str = "lake_cabin", **more: object) -> Case:
    """A demo's case with a hand-made balance: one source, December as given, plenty in other months."""
    months = [replace(worst, name=month, sources=(9000.0,), demand=1000.0, generator=0.0) for month in MONTHS]
    months[11] = replace(worst, name="December")
    held = Balance((SUN,), tuple(months), 11, generator="Set", **more)  # type: ignore[arg-type]
    got = evaluate(demo(name))
    return Case(
        got.design, got.family, got.arrays, got.controllers, got.circuits, got.wind, got.hydro, balance=held
    )


def month(brought: float, demand: float, generator: float | None = 0.0) -> BalanceMonth:
    return BalanceMonth("", (brought,), demand, generator)


@pytest.mark.parametrize(
    ("brought", "generator", "status"),
    [
        (2001.0, 0.0, MEETS),
        (2000.0, 0.0, MEETS),  # exactly what the loads take
        (1999.0, None, FAILS),
        (1500.0, 24.0, MEETS),  # a whole day of generator is the limit
        (1500.0, 24.1, FAILS),
    ],
)
def test_that_the_sum_of_the_sources_carries_the_loads_in_its_worst_month(
    brought: float, generator: float | None, status: Status
) -> None:
    (got,) = rules.energy_balance(case(month(brought, 2000.0, generator)))
    assert (got.rule, got.status, got.value, got.limit, got.unit) == (
        "energy-balance",
        status,
        brought,
        2000.0,
        "Wh",
    )
    assert got.title.startswith("December")
    assert bool(got.remedy) == (status is FAILS)
    assert got.margin is None or (got.margin < 0) == (status is FAILS)  # what a generator carries has none


@pytest.mark.parametrize(
    ("hours", "status"), [(3.9, MEETS), (4.0, MEETS), (4.01, MARGINAL)], ids=["under", "at", "over"]
)
def test_that_many_hours_of_generator_are_told(hours: float, status: Status) -> None:
    short = case(month(1500.0, 2000.0, hours))
    (got,) = rules.generator_hours(short)
    assert (got.rule, got.status, got.value, got.limit, got.unit) == (
        "generator-hours",
        status,
        hours,
        4.0,
        "h",
    )
    (worst,) = rules.worst_month(short)
    assert worst.status is (MARGINAL if status is MARGINAL else MEETS)
    assert worst.value == 0.75


@pytest.mark.parametrize(("brought", "status"), [(2100.0, MEETS), (2000.0, MEETS), (1990.0, MARGINAL)])
def test_that_a_good_mean_of_the_year_does_not_hide_the_worst_month(brought: float, status: Status) -> None:
    (got,) = rules.worst_month(case(month(brought, 2000.0, None if status is MARGINAL else 0.0)))
    assert (got.status, got.value, got.limit) == (status, brought / 2000, 1.0)
    assert ("hides it" in got.title) == (status is MARGINAL)


@pytest.mark.parametrize(
    ("critical", "ratio", "status"),
    [
        (True, 1.31, MEETS),
        (True, 1.3, MEETS),
        (True, 1.29, MARGINAL),
        (False, 1.11, MEETS),
        (False, 1.1, MEETS),
        (False, 1.09, MARGINAL),
    ],
)
def test_that_an_array_alone_brings_more_than_the_loads_take(
    critical: bool, ratio: float, status: Status
) -> None:
    # IEEE 1562 (from memory): array to load 1.1 to 1.2, for critical loads 1.3 to 1.4.
    held = case(month(ratio * 2000, 2000.0), "tropical_clinic")
    loads = tuple(replace(each, critical=critical) for each in held.design.loads)
    alone = replace(held, design=replace(held.design, generators=(), loads=loads))
    (got,) = rules.array_to_load(alone)
    assert (got.status, got.limit) == (status, 1.3 if critical else 1.1)
    assert list(rules.array_to_load(held)) == []  # a generator stands by


@pytest.mark.parametrize(
    ("losses", "status"), [("4 %", MEETS), ("3 %", MEETS), ("2 %", MARGINAL), ("0 %", FAILS)]
)
def test_that_an_array_without_losses_is_found(losses: str, status: Status) -> None:
    got = found(changed("lake_cabin", {"arrays.south.losses": losses}), "losses-named")
    assert (got.status, got.limit) == (status, 0.03)


def test_that_losses_taken_by_default_are_said() -> None:
    got = found(changed("lake_cabin", {"arrays.south.losses": ""}), "losses-named")
    assert got.status is MEETS
    assert "none was entered" in got.title


@pytest.mark.parametrize(
    ("snow", "bare"),
    [
        ("0.1; 0.1; 0.1; 0; 0; 0; 0; 0; 0; 0; 0.1; 0.1", 0.0),
        ("0.1; 0.1; 0.1; 0; 0; 0; 0; 0; 0; 0; 0.1; 0", 1.0),
        ("", 5.0),
    ],
)
def test_that_each_month_that_freezes_counts_its_snow(snow: str, bare: float) -> None:
    got = found(changed("lake_cabin", {"arrays.south.snow": snow}), "snow-named")
    assert (got.status, got.value) == (MARGINAL if bare else MEETS, bare)


# The sections, on whole designs


@pytest.mark.parametrize("name", NAMES)
def test_that_the_parts_make_the_whole(name: str) -> None:
    got = evaluate(demo(name))
    assert got.demand.bank_wh is not None
    for at, each in enumerate(got.balance.months):
        chains = [source.months[at] for source in got.balance.sources]
        assert each.brought == pytest.approx(
            sum(chain.given * prod(link.share for link in chain.links) for chain in chains)
        )
        assert each.surplus == pytest.approx(each.brought - got.demand.bank_wh[at])
        assert all(0 <= link.share <= 1 for chain in chains for link in chain.links)


@pytest.mark.parametrize("name", NAMES)
def test_that_the_worst_month_is_that_of_the_sum(name: str) -> None:
    got = evaluate(demo(name)).balance
    assert got.worst is not None
    assert got.months[got.worst].ratio == min(each.ratio for each in got.months)


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("lake_cabin", {"arrays.south.losses": "20 %"}),
        ("lake_cabin", {"arrays.south.snow": "; ".join(["0.5"] * 12)}),
        ("lake_cabin", {"circuits.south-run.size": "8 AWG"}),
        ("lake_cabin", {"bank.chemistry": ""}),
        ("mountain_farm", {"bank.chemistry": "flooded"}),
        ("tropical_clinic", {"arrays.roof.mounting": "insulated"}),
        ("tropical_clinic", {"site.air_temperature": ""}),
        ("tropical_clinic", {"controllers.roof-charger.efficiency_points": "1: 90 %; 4: 88 %"}),
        ("lake_cabin", {"controllers.sun-charger.kind": "direct"}),
        ("lake_cabin", {"controllers.wind-charger.kind": "direct"}),
        ("mountain_farm", {"hydro.creek.residual_flow": "10 L/s"}),
    ],
    ids=lambda part: next(iter(part)) if isinstance(part, dict) else part,
)
def test_that_another_loss_never_gives_more(name: str, change: dict[str, str]) -> None:
    before, after = evaluate(demo(name)).balance, changed(name, change).balance
    assert after.months
    pairs = list(zip(before.months, after.months, strict=True))
    assert all(then.brought <= now.brought * (1 + 1e-9) for now, then in pairs)
    assert sum(then.brought for _, then in pairs) <= sum(now.brought for now, _ in pairs)


def test_that_wind_by_month_adds_to_the_same_year_as_its_even_months() -> None:
    evens = "; ".join(["10.5 mph"] * 12)
    got = changed("lake_cabin", {"site.wind_months": evens})
    turbine, mast = got.wind["mast"], got.balance.sources[1]
    assert turbine.energy_battery is not None
    year = 365 * mast.bank[0] / mast.months[0].links[-1].share  # before what charging takes
    assert year == pytest.approx(turbine.energy_battery, rel=1e-6)


def test_that_a_creeks_year_is_that_of_its_months() -> None:
    got = evaluate(demo("mountain_farm"))
    creek = next(each for each in got.balance.sources if each.colour == "water")
    days = (31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    year = sum(a * b for a, b in zip(creek.bank, days, strict=True)) / creek.months[0].links[-1].share
    assert year == pytest.approx(got.hydro["creek"].year)


def test_that_a_generator_closes_the_gap_and_costs_what_it_makes() -> None:
    got = changed("lake_cabin", {"prices.generator_kwh": "0.5"}, "wind.mast", "arrays.south").balance
    assert got.worst is None  # without any source there is nothing to balance
    got = changed(
        "lake_cabin", {"prices.generator_kwh": "0.5", "arrays.south.strings": "1"}, "wind.mast"
    ).balance
    short = got.short
    assert short
    for each in short:
        assert each.generator is not None
        into = 60 * 24 * 0.75  # the charger's current, nominal voltage, what a flooded bank gives back
        assert each.generator == pytest.approx(-each.surplus / into)
        assert each.made == pytest.approx(each.generator * 60 * 24 / 0.85)
    assert got.cost == pytest.approx(0.5 * got.made / 1000)
    assert all(each.generator == 0 for each in got.months if each not in short)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"site.sun": "", "site.longitude": ""}, "site.sun"),
        ({"site.wind_months": ""}, "site.wind_months"),
        ({"arrays.south.tilt": ""}, "arrays.south.tilt"),
        ({"loads.fridge.hours": ""}, "loads.fridge.hours"),
    ],
    ids=lambda part: next(iter(part)) if isinstance(part, dict) else part,
)
def test_that_what_is_not_entered_leaves_the_balance_unknown(change: dict[str, str], field: str) -> None:
    got = changed("lake_cabin", change)
    balance = found(got, "energy-balance")
    assert (balance.status, balance.field) == (UNKNOWN, field)
    assert got.balance.worst is None


def test_that_a_creek_whose_months_nobody_entered_is_not_taken_for_full() -> None:
    got = found(changed("mountain_farm", {"hydro.creek.flow_months": ""}), "energy-balance")
    assert (got.status, got.field) == (UNKNOWN, "hydro.creek.flow_months")


def test_that_a_generator_of_unknown_charger_leaves_a_short_month_unknown() -> None:
    change = {"arrays.south.strings": "1", "generators.shed.charger_current": ""}
    got = changed("lake_cabin", change, "wind.mast")
    assert found(got, "energy-balance").status is UNKNOWN
    assert found(got, "generator-hours").status is UNKNOWN


def test_that_an_edit_elsewhere_gives_back_the_same_balance() -> None:
    before = evaluate(demo("lake_cabin")).balance
    assert changed("lake_cabin", {"devices.bank-fuse.price": "50"}).balance is before


def test_that_loads_that_take_nothing_are_carried_and_no_share_of_nothing_is_told() -> None:
    """Hours of 0 everywhere, in inverters and controllers too: a ratio to nothing is no number."""
    design = demo("lake_cabin")
    changes = {f"loads.{load.id}.hours": "0 h" for load in design.loads}
    changes |= {f"loads.{load.id}.standby": "" for load in design.loads}
    changes |= {f"inverters.{item.id}.idle": "0 W" for item in design.inverters}
    changes |= {f"controllers.{item.id}.standby": "0 W" for item in design.controllers}
    got = changed("lake_cabin", changes)
    assert not got.program_failed
    assert found(got, "energy-balance").status is MEETS
    assert not {"worst-month", "bank-capacity"} & {each.rule for each in got.findings}


def test_that_an_array_without_a_controller_asks_for_it_and_for_no_circuit_behind_it() -> None:
    evaluation = changed("lake_cabin", {f"arrays.{demo('lake_cabin').arrays[0].id}.controller": ""})
    asked = {item.path for source in evaluation.balance.sources for item in source.missing}
    assert f"arrays.{demo('lake_cabin').arrays[0].id}.controller" in asked
    assert not any("None" in path for path in asked)
