"""Every rule in three shots: inside its limit, exactly at it, just over it. Never its wording."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import pytest
from a_wired_site import found, judged

from engine.evaluation import Evaluation
from engine.finding import Finding, Signal, Status

FAMILIES = ("nec-2017", "nec-2020", "nec-2023", "iec")
ARRAY, CONTROLLER, RUN, OUTPUT = "arrays.south", "controllers.c", "circuits.south-run", "circuits.c-battery"
AS_COLD_AS_USUAL = {"site.record_low": "-10 degC"}  # the design low's own: nothing beyond it


@dataclass(frozen=True)
class Limit:
    """A rule at a place with the field that holds its limit, the value it compares, and its answer beyond.

    ``upper`` says that the value may not pass the limit; ``setup`` clears other limits out of the way.
    """

    rule: str
    where: str
    path: str
    unit: str
    value: Callable[[Evaluation], float | None]
    beyond: Status
    upper: bool = True
    setup: dict[str, str] = field(default_factory=dict)

    def at(self, share: float, rules: str) -> tuple[Finding, float, float]:
        """The finding with the limit at a share of the value, the value and that limit."""
        setup = {**self.setup, "rules": rules}
        value = self.value(judged(setup))
        assert value is not None
        limit = value * share
        evaluation = judged({**setup, self.path: f"{limit!r} {self.unit}"})
        return found(evaluation, self.rule, self.where), value, limit


def array(name: str) -> Callable[[Evaluation], float | None]:
    return lambda evaluation: getattr(evaluation.arrays["south"], name)


def controller(name: str) -> Callable[[Evaluation], float | None]:
    return lambda evaluation: getattr(evaluation.controllers["c"], name)


def run(name: str) -> Callable[[Evaluation], float | None]:
    return lambda evaluation: getattr(evaluation.circuits["south-run"], name)


def reverse_current(evaluation: Evaluation) -> float | None:
    fuse = evaluation.arrays["south"].fuse
    return None if fuse is None else fuse.reverse_current


LIMITS = (
    Limit(
        "standoff-limit",
        ARRAY,
        f"{CONTROLLER}.standoff_limit",
        "V",
        array("open_record"),
        Status.FAILS,
        setup={f"{CONTROLLER}.operating_limit": "90 V"},
    ),
    Limit(
        "standoff-battery-open",
        ARRAY,
        f"{CONTROLLER}.standoff_above_battery",
        "V",
        array("open_record"),
        Status.MARGINAL,
    ),
    Limit(
        "operating-limit",
        ARRAY,
        f"{CONTROLLER}.operating_limit",
        "V",
        array("open_design"),
        Status.MARGINAL,
    ),
    Limit(
        "module-system-voltage",
        ARRAY,
        "modules.m.system_voltage",
        "V",
        array("open_design"),
        Status.FAILS,
        setup=AS_COLD_AS_USUAL,
    ),
    Limit(
        "start-voltage",
        ARRAY,
        f"{CONTROLLER}.start_voltage",
        "V",
        array("running_hot"),
        Status.MARGINAL,
        upper=False,
    ),
    Limit(
        "controller-output",
        CONTROLLER,
        f"{CONTROLLER}.current_limit",
        "A",
        controller("array_output"),
        Status.MARGINAL,
    ),
    Limit(
        "controller-short-circuit",
        CONTROLLER,
        f"{CONTROLLER}.short_circuit_limit",
        "A",
        controller("array_short_circuit"),
        Status.FAILS,
    ),
    Limit("string-fuse", ARRAY, "modules.m.series_fuse", "A", reverse_current, Status.FAILS),
    Limit(
        "insulation-voltage",
        RUN,
        f"{RUN}.insulation_voltage",
        "V",
        run("voltage"),
        Status.FAILS,
        setup=AS_COLD_AS_USUAL,
    ),
    Limit(
        "device-voltage",
        RUN,
        "devices.run-breaker.dc_voltage",
        "V",
        run("voltage"),
        Status.FAILS,
        setup=AS_COLD_AS_USUAL,
    ),
    Limit(
        "device-breaking",
        RUN,
        "devices.run-breaker.breaking",
        "A",
        controller("array_short_circuit"),
        Status.FAILS,
    ),
)


@pytest.mark.parametrize("rules", FAMILIES)
@pytest.mark.parametrize("limit", LIMITS, ids=lambda limit: limit.rule)
def test_that_a_rule_meets_inside_and_at_its_limit_and_turns_just_over_it(limit: Limit, rules: str) -> None:
    for share, wanted in ((1.01, Status.MEETS), (1.0, Status.MEETS), (0.9999, limit.beyond)):
        finding, value, bound = limit.at(share if limit.upper else 1 / share, rules)
        assert finding.status is wanted
        assert finding.value == pytest.approx(value)
        assert finding.limit == pytest.approx(bound)
        assert finding.margin is None or (finding.margin >= -1e-9) == (wanted is Status.MEETS)
        assert finding.remedy or wanted is Status.MEETS


def size(rules: str) -> str:
    """A conductor of about 8 mm² in the family's series."""
    return "10 mm2" if rules == "iec" else "8 AWG"


def status(rule: str, where: str, changes: dict[str, str]) -> Status:
    """How a rule answers at a place of the changed site."""
    return found(judged(changes), rule, where).status


@pytest.mark.parametrize("rules", FAMILIES)
def test_that_a_fixed_conductor_meets_the_drop_that_it_has_and_no_less(rules: str) -> None:
    fixed = {"rules": rules, f"{RUN}.size": size(rules)}
    share = judged(fixed).circuits["south-run"].drop_fraction
    assert share is not None
    for factor, wanted in ((1.01, Status.MEETS), (1.0, Status.MEETS), (0.9999, Status.MARGINAL)):
        finding = found(
            judged({**fixed, f"{RUN}.allowed_drop": f"{100 * share * factor!r} %"}), "voltage-drop", RUN
        )
        assert (finding.status, finding.value) == (wanted, pytest.approx(share))
        assert finding.limit == pytest.approx(share * factor)


@pytest.mark.parametrize(("isc", "wanted"), [(23.9, "meets"), (24.0, "meets"), (24.01, "fails")])
def test_that_a_small_conductor_stands_under_its_ceiling(isc: float, wanted: str) -> None:
    """NEC 240.4(D): a 30 A device at most on 10 AWG, so 24 A of current with 1.25 for continuous duty."""
    changes = {
        "arrays.south.strings": "1",
        "modules.m.isc": f"{isc / 1.25!r} A",
        f"{RUN}.size": "10 AWG",
        f"{RUN}.ambient": "30 degC",
        f"{RUN}.device": "",
        f"{RUN}.terminal": "75 degC",
        "modules.m.imp": "10 A",
    }
    assert status("conductor", RUN, changes).word == wanted


@pytest.mark.parametrize(("largest", "wanted"), [("4 AWG", "meets"), ("6 AWG", "meets"), ("8 AWG", "fails")])
def test_that_a_conductor_must_go_into_its_terminal(largest: str, wanted: str) -> None:
    changes = {f"{RUN}.size": "6 AWG", f"{CONTROLLER}.largest_wire": largest}
    assert status("terminal-size", RUN, changes).word == wanted


@pytest.mark.parametrize(("warmer", "wanted"), [(0.5, "meets"), (0.0, "meets"), (-0.01, "marginal")])
def test_that_a_class_that_only_the_record_low_passes_is_marginal(warmer: float, wanted: str) -> None:
    record = 25 - (125 / 99 - 1) / 0.0027  # two modules of 49.5 V at -0.27 %/K stand at 125 V there
    finding = found(judged({"site.record_low": f"{record + warmer!r} degC"}), "voltage-class", RUN)
    assert (finding.status.word, finding.limit) == (wanted, 125.0)
    assert finding.signal is (Signal.WARNING if wanted == "marginal" else Signal.NONE)


@pytest.mark.parametrize("path", [f"{RUN}.insulation_voltage", "devices.run-breaker.dc_voltage"])
def test_that_a_rating_between_design_low_and_record_low_is_marginal(path: str) -> None:
    rule = "insulation-voltage" if path.startswith(RUN) else "device-voltage"
    finding = found(judged({path: "110 V"}), rule, RUN)  # 108.4 V at the design low, 111.6 V at the record
    assert (finding.status, finding.signal) == (Status.MARGINAL, Signal.WARNING)


@pytest.mark.parametrize(("modules", "wanted"), [(1, "marginal"), (2, "meets"), (3, "fails")])
def test_that_a_string_has_a_shortest_and_a_longest_length(modules: int, wanted: str) -> None:
    changes = {"arrays.south.modules": str(modules), f"{CONTROLLER}.start_voltage": "50 V"}
    finding = found(judged(changes), "string-length", ARRAY)
    assert (finding.status.word, finding.value) == (wanted, float(modules))


@pytest.mark.parametrize(("cells", "wanted"), [(72, "meets"), (54, "meets"), (53, "marginal")])
def test_that_an_array_without_a_step_above_the_battery_is_marginal(cells: int, wanted: str) -> None:
    """12 V for each 36 cells: two modules of 54 make 36 V on 24 V, half a step (common practice)."""
    finding = found(judged({"modules.m.cells": str(cells)}), "nominal-step", CONTROLLER)
    assert (finding.status.word, finding.value) == (wanted, pytest.approx(12 * cells * 2 / 36 / 24))
