"""The verdict: design in, evaluation out. Pure, and it never raises: a fault of this program is a finding."""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from operator import eq
from typing import Any

from engine.design import Design
from engine.finding import Finding, Signal, Status, worst_first
from engine.rules import RULES, watching
from engine.rules.judging import Case
from engine.sections import balance as balance_section
from engine.sections import circuits as circuit_section
from engine.sections import demand as demand_section
from engine.sections import hydro as hydro_section
from engine.sections import relays as relay_section
from engine.sections import sources as source_section
from engine.sections import storage as storage_section
from engine.sections import wind as wind_section
from engine.sections import window as window_section
from engine.sections.balance import Balance
from engine.sections.demand import Demand
from engine.sections.hydro import HydroResult
from engine.sections.memory import Memory, Same
from engine.sections.relays import RelayResult
from engine.sections.results import ArrayResult, CircuitResult, ControllerResult
from engine.sections.storage import BankResult
from engine.sections.wind import WindResult
from engine.sections.yields import yields
from engine.sources import Source
from engine.tables.family import Family, family

_arrays: Memory[Mapping[str, ArrayResult]] = Memory(64)
_controllers: Memory[Mapping[str, ControllerResult]] = Memory(64)
_same: Same[Any] = Same(4)
_whole: Memory[Mapping[str, Any]] = Memory(256)

PROGRAM = Source("this program", how="computed")


@dataclass(frozen=True)
class Evaluation:
    """Everything the engine says about a design; findings stand worst first."""

    design: Design
    family: Family
    arrays: Mapping[str, ArrayResult]
    controllers: Mapping[str, ControllerResult]
    circuits: Mapping[str, CircuitResult]
    findings: tuple[Finding, ...]
    wind: Mapping[str, WindResult] = field(default_factory=dict)
    hydro: Mapping[str, HydroResult] = field(default_factory=dict)
    demand: Demand = Demand()
    balance: Balance = Balance()
    relays: Mapping[str, RelayResult] = field(default_factory=dict)
    bank: BankResult = BankResult()

    def at(self, path: str) -> tuple[Finding, ...]:
        """The findings of a piece, those of its circuits included."""
        return self._by_place.get(path, ())

    def worst(self, path: str) -> Status | None:
        """The worst status of a piece and its circuits, ``None`` where nothing was judged."""
        return next((finding.status for finding in self.at(path)), None)

    def counts(self) -> dict[Status, int]:
        """How many findings of each status."""
        statuses = [finding.status for finding in self.findings]
        return {status: statuses.count(status) for status in Status}

    @property
    def program_failed(self) -> bool:
        return any(finding.rule == "program-failed" for finding in self.findings)

    @cached_property
    def _by_place(self) -> dict[str, tuple[Finding, ...]]:
        found: defaultdict[str, list[Finding]] = defaultdict(list)
        piece_of = {f"circuits.{id}": circuit.piece for id, circuit in self.circuits.items()}
        for finding in self.findings:
            where = finding.where
            found[where].append(finding)
            if where in piece_of:
                found[piece_of[where]].append(finding)
        return {place: tuple(findings) for place, findings in found.items()}


def evaluate(design: Design) -> Evaluation:
    """Compute every section and judge every rule of the design's family."""
    failures: list[Finding] = []
    rules = family(design.rules)
    made_from = (rules, design.site, design.bank, design.modules, design.arrays, design.controllers)
    arrays = _section(
        failures,
        "source voltages",
        lambda: _arrays.recall(made_from, lambda: _as_before("arrays", source_section.arrays(design, rules))),
        {},
    )
    controllers = _section(
        failures,
        "controller match",
        lambda: _controllers.recall(
            (*made_from, arrays),
            lambda: _as_before("controllers", window_section.controllers(design, arrays)),
        ),
        {},
    )
    circuits = _section(
        failures,
        "circuits",
        lambda: _one(circuit_section.circuits(design, rules, arrays, controllers)),
        {},
    )
    wind = _section(failures, "wind turbines", lambda: _one(wind_section.turbines(design, circuits)), {})
    hydro = _section(
        failures, "hydro turbines", lambda: _one(hydro_section.turbines(design, controllers, circuits)), {}
    )
    demand = _section(failures, "demand", lambda: demand_section.demand(design), Demand())
    balance = _section(
        failures,
        "balance",
        lambda: balance_section.balance(
            design, yields(design, arrays, controllers, circuits, wind, hydro), demand
        ),
        Balance(),
    )
    relays = _section(failures, "relays", lambda: _one(relay_section.relays(design)), {})
    bank = _section(
        failures,
        "battery bank",
        lambda: storage_section.bank(design, rules, demand, controllers),
        BankResult(),
    )
    case = Case(
        design, rules, arrays, controllers, circuits, wind, hydro, demand, balance, relays=relays, bank=bank
    )
    findings = [*failures, *_unjudged(design, failures), *_judge(case)]
    ordered = worst_first(tuple(findings))
    return Evaluation(
        design,
        rules,
        arrays,
        controllers,
        circuits,
        ordered,
        wind,
        hydro,
        demand,
        balance,
        relays=relays,
        bank=bank,
    )


def _as_before(name: str, results: Mapping[str, Any]) -> Mapping[str, Any]:
    """The results, each the very same as before where it is equal: what rests on it then stands."""
    return _one({id: _same.of(f"{name}.{id}", result, eq) for id, result in results.items()})


def _one(results: Mapping[str, Any]) -> Mapping[str, Any]:
    """The mapping as it was made before, where all its results are the very same."""
    return _whole.recall(tuple(results.values()), lambda: results)


def _section(failures: list[Finding], name: str, compute: Callable[[], Any], empty: Any) -> Any:
    try:
        return compute()
    except Exception as error:
        failures.append(program_failed(name, error))
        return empty


def _judge(case: Case) -> Iterator[Finding]:
    for rule in RULES[case.family.group]:
        try:
            yield from watching.findings(rule, case)
        except Exception as error:
            yield program_failed(rule.__name__, error)


def _unjudged(design: Design, failures: list[Finding]) -> Iterator[Finding]:
    """After a failed section nothing that leans on it counts as judged."""
    if not failures:
        return
    tables = ("arrays", "wind", "hydro", "controllers")
    pieces = [(table, item) for table in tables for item in getattr(design, table)]
    for table, item in pieces:
        yield Finding(
            rule="not-judged",
            where=f"{table}.{item.id}",
            status=Status.UNKNOWN,
            title=f"{item.label or item.id} is not judged, because this program failed",
            source=PROGRAM,
            remedy="Take no answer about it from here.",
        )


def program_failed(name: str, error: Exception) -> Finding:
    """The one finding that a fault of this program becomes."""
    trace, place = error.__traceback__, ""
    while trace is not None:
        place = f"{os.path.basename(trace.tb_frame.f_code.co_filename)}:{trace.tb_lineno}"
        trace = trace.tb_next
    return Finding(
        rule="program-failed",
        where=name,
        status=Status.UNKNOWN,
        signal=Signal.NOTICE,
        title=f"This program failed in {name}: {type(error).__name__}: {error} ({place})",
        source=PROGRAM,
        remedy="Nothing is lost; undo the last change, and report this with the site file.",
    )
