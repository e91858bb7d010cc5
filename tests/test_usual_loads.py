"""Usual loads: sound records with every figure of the table, in a design of their own."""

from __future__ import annotations

import pytest

from engine.edit import empty
from engine.sections.demand import demand
from engine.tables import table
from engine.usual_loads import UsualLoad, add_usual, usual_loads


@pytest.mark.parametrize("load", usual_loads(), ids=lambda load: load.name)
def test_that_a_usual_load_becomes_a_record_with_its_figures(load: UsualLoad) -> None:
    row = next(row for row in table("usual_loads").rows() if row["name"] == load.name)
    design, path = add_usual(empty(), load)
    (made,) = design.loads
    assert (path, made.label) == (f"loads.{made.id}", load.name)
    for field, column in (("power", "power_W"), ("hours", "hours_h"), ("standby", "standby_W")):
        assert float(made.use(field)) == row[column]
    for field in ("kind", "days_a_week", "surge_factor"):
        assert made.use(field) == row[field]
    assert made.starts == row["starts_h"]
    assert demand(design).loads_missing == ()


def test_that_the_same_load_twice_is_two_records() -> None:
    design, first = add_usual(empty(), usual_loads()[0])
    design, second = add_usual(design, usual_loads()[0])
    assert first != second and len(design.loads) == 2


def test_that_groups_stand_together() -> None:
    groups = [load.group for load in usual_loads()]
    runs = [group for at, group in enumerate(groups) if at == 0 or groups[at - 1] != group]
    assert len(runs) == len(set(runs))
