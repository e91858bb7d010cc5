"""What every rule uses: the case before it, and how a comparison becomes a finding."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from engine import units
from engine.design import Design
from engine.finding import Finding, Signal, Status
from engine.sections.results import ArrayResult, CircuitResult, ControllerResult, Missing
from engine.sources import Source
from engine.tables.family import Family
from engine.worksheet import Worked

TIGHT = 1e-9  # relative: a value that equals its limit meets it, whatever the last bit says


@dataclass(frozen=True, slots=True)
class Case:
    """A design with its results, before the rules of one family."""

    design: Design
    family: Family
    arrays: Mapping[str, ArrayResult]
    controllers: Mapping[str, ControllerResult]
    circuits: Mapping[str, CircuitResult]

    @property
    def habit(self) -> str:
        return str(self.design.about.use("units"))

    def show(self, value: float, unit: str) -> str:
        """A value in the design's unit habit."""
        return _shown(value, unit, self.habit)


Rule = Callable[[Case], Iterable[Finding]]
_shown = lru_cache(maxsize=4096)(units.show)  # most values stand from one edit to the next


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
    names = ", ".join(item.title for item in wanted)
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
