"""What every rule uses: the case before it, and how a comparison becomes a finding."""

from __future__ import annotations

import functools
import operator
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import NotRequired, TypedDict, Unpack

from engine import units
from engine.design import Circuit, Controller, Design, Device, label
from engine.fields import Record
from engine.finding import Finding, Signal, Status
from engine.sections.balance import Balance
from engine.sections.charging import Charging, chargers, charging
from engine.sections.demand import Demand
from engine.sections.hydro import HydroResult
from engine.sections.memory import Memory, Same
from engine.sections.relays import RelayResult
from engine.sections.results import ArrayResult, CircuitResult, ControllerResult, Missing, ask
from engine.sections.storage import BankResult
from engine.sections.wind import WindResult
from engine.sources import Source
from engine.tables.family import Family
from engine.worksheet import Worked

TIGHT = 1e-9  # relative: a value that equals its limit meets it, whatever the last bit says


@dataclass(frozen=True)
class Case:
    """A design with its results, before the rules of one family."""

    design: Design
    family: Family
    arrays: Mapping[str, ArrayResult]
    controllers: Mapping[str, ControllerResult]
    circuits: Mapping[str, CircuitResult]
    wind: Mapping[str, WindResult] = field(default_factory=dict)
    hydro: Mapping[str, HydroResult] = field(default_factory=dict)
    demand: Demand = Demand()
    balance: Balance = Balance()
    relays: Mapping[str, RelayResult] = field(default_factory=dict)
    bank: BankResult = BankResult()

    @functools.cached_property
    def habit(self) -> str:
        return str(self.design.about.use("units"))

    def show(self, value: float, unit: str) -> str:
        """A value in the design's unit habit."""
        return _shown(value, unit, self.habit)

    @functools.cached_property
    def charging(self) -> Charging:
        """The set points of the bank; where they are as before they are the same object as before."""
        return _set_points.of("", charging(self.design), operator.eq)

    @functools.cached_property
    def chargers(self) -> tuple[Controller, ...]:
        """The controllers that charge the bank from a source."""
        found = chargers(self.design)
        return _chargers.recall(found, lambda: found)

    @functools.cached_property
    def charged(self) -> bool:
        """Whether anything charges the bank."""
        design = self.design
        return bool(self.chargers or design.generators or design.wind or design.hydro)

    @functools.cached_property
    def spots(self) -> tuple[Spot, ...]:
        """Every circuit with what stands in it; one that is as before is the same object as before."""
        made = tuple(self._made_spots())
        return _all_spots.recall(made, lambda: made)

    def _made_spots(self) -> Iterator[Spot]:
        design, about = self.design, self.design.about
        for circuit in self.circuits.values():
            record = design.circuit(circuit.id)
            device, other = _device(design, record.device), _device(design, record.disconnect)
            owner = _at(design, circuit.piece)
            ends = tuple(end for path in circuit.ends if (end := _at(design, path)) is not None)
            yield _spots.recall(
                (self.family, about, circuit, record, device, other, owner, *ends),
                functools.partial(Spot, self.family, self.habit, circuit, record, device, other, owner, ends),
            )


@dataclass(frozen=True, slots=True, eq=False)
class Spot:
    """One circuit before the rules: what was said of it, the device in hand, another that disconnects it, its
    piece, what it ends at."""

    family: Family
    habit: str
    circuit: CircuitResult
    record: Circuit
    device: Device | None
    other: Device | None
    owner: Record | None
    ends: tuple[Record, ...]
    found: dict[CircuitRule, tuple[Finding, ...]] = field(default_factory=dict, repr=False)

    @property
    def where(self) -> str:
        return f"circuits.{self.circuit.id}"

    @property
    def name(self) -> str:
        """The device in hand and where it is."""
        return f"{label(self.device)} in {self.circuit.title}" if self.device is not None else ""

    def show(self, value: float, unit: str) -> str:
        """A value in the design's unit habit."""
        return _shown(value, unit, self.habit)

    def apart(self, value: float, limit: float, unit: str) -> tuple[str, str]:
        """A value and its limit with the digits that tell them apart."""
        return _apart(value, limit, unit, self.habit)

    def lacks(self, *names: str) -> tuple[Missing, ...]:
        """What is not printed on the device in hand."""
        return ask(f"devices.{self.device.id}", self.device, *names) if self.device is not None else ()


Rule = Callable[[Case], Iterable[Finding]]
CircuitRule = Callable[[Spot], Iterable[Finding]]
_spots: Memory[Spot] = Memory(2048)
_set_points: Same[Charging] = Same(4)
_chargers: Memory[tuple[Controller, ...]] = Memory(64)
_all_spots: Memory[tuple[Spot, ...]] = Memory(64)
_apart = lru_cache(maxsize=4096)(units.show_apart)
_shown = lru_cache(maxsize=4096)(units.show)  # most values stand from one edit to the next


def each_circuit(rule: CircuitRule) -> Rule:
    """A rule on one circuit as a rule on the case; its findings are kept as long as the circuit stands."""

    @functools.wraps(rule)
    def on_case(case: Case) -> Iterator[Finding]:
        for spot in case.spots:
            kept = spot.found.get(rule)
            if kept is None:
                kept = spot.found[rule] = tuple(rule(spot))
            yield from kept

    return on_case


def _device(design: Design, id: str | None) -> Device | None:
    found = design.find("devices", id)
    return found if isinstance(found, Device) else None


def _at(design: Design, path: str) -> Record | None:
    table, _, id = path.partition(".")
    if not id:
        return getattr(design, table, None)
    return design.find(table, id)


def over(value: float, limit: float) -> bool:
    """Whether a value passes its upper limit."""
    return value > limit * (1 + TIGHT)


def under(value: float, limit: float) -> bool:
    """Whether a value falls short of its lower limit."""
    return value < limit * (1 - TIGHT)


def room_below(value: float, limit: float) -> float:
    """What is left under an upper limit, as a fraction of it."""
    return (limit - value) / limit if limit else 0.0


def room_above(value: float, limit: float) -> float:
    """What is left above a lower limit, as a fraction of it."""
    return (value - limit) / limit if limit else 0.0


class Told(TypedDict):
    """What a comparison's finding says beside its numbers; ``worse`` (fails) is its status past the limit,
    where alone it has its ``signal`` and its ``remedy``."""

    rule: str
    where: str
    field: str
    title: str
    remedy: str
    source: Source
    unit: NotRequired[str]
    worse: NotRequired[Status]
    signal: NotRequired[Signal]
    steps: NotRequired[tuple[Worked, ...]]


def at_most(*, value: float, limit: float, **told: Unpack[Told]) -> Finding:
    """The finding on a value with an upper limit: it meets below it and at it."""
    return _compared(over(value, limit), value, limit, room_below(value, limit), told)


def at_least(*, value: float, limit: float, **told: Unpack[Told]) -> Finding:
    """The finding on a value with a lower limit: it meets above it and at it."""
    return _compared(under(value, limit), value, limit, room_above(value, limit), told)


def _compared(bad: bool, value: float, limit: float, margin: float, told: Told) -> Finding:
    return Finding(
        rule=told["rule"],
        where=told["where"],
        field=told["field"],
        status=told.get("worse", Status.FAILS) if bad else Status.MEETS,
        signal=told.get("signal", Signal.NONE) if bad else Signal.NONE,
        title=told["title"],
        remedy=told["remedy"] if bad else "",
        value=float(value),
        limit=float(limit),
        unit=told.get("unit", ""),
        margin=margin,
        source=told["source"],
        steps=told.get("steps", ()),
    )


def steps(results: Mapping[str, Worked], *names: str) -> tuple[Worked, ...]:
    """The worked steps among ``names`` that a result has."""
    return tuple(results[name] for name in names if name in results)


def unknown(
    rule: str,
    where: str,
    title: str,
    missing: Iterable[Missing],
    source: Source,
    signal: Signal = Signal.NONE,
    steps: tuple[Worked, ...] = (),
) -> Finding:
    """A question that can't be answered yet, with what to enter; never passed in silence."""
    wanted = tuple(dict.fromkeys(missing))
    named = Counter(item.title for item in wanted)
    names = ", ".join(title if many == 1 else f"{title} (in {many} places)" for title, many in named.items())
    return Finding(
        rule=rule,
        where=where,
        status=Status.UNKNOWN,
        title=title,
        source=source,
        signal=signal,
        remedy=f"Enter: {names}." if names else "Nothing is missing: first mend what fails beside it.",
        field=wanted[0].path if wanted else "",
        steps=steps,
    )


def needed(missing: Iterable[Missing], *names: str) -> tuple[Missing, ...]:
    """The missing data whose field has one of these names."""
    return tuple(item for item in missing if item.path.rpartition(".")[2] in names)
