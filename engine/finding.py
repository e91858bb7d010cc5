"""What a finding is: the answer of one rule at one place, with its number, its limit and its reason."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import IntEnum

from engine.sources import Source
from engine.worksheet import Worked


class Status(IntEnum):
    """Worst first, so that sorting puts what matters on top."""

    FAILS = 0
    UNKNOWN = 1
    MARGINAL = 2
    MEETS = 3

    @property
    def word(self) -> str:
        return self.name.lower()


class Signal(IntEnum):
    """The signal words of ANSI Z535.4 and ISO 3864-2, worst first; ``NONE`` where nobody can be hurt."""

    DANGER = 0
    WARNING = 1
    CAUTION = 2
    NOTICE = 3
    NONE = 4

    @property
    def word(self) -> str:
        return "" if self is Signal.NONE else self.name


@dataclass(frozen=True, slots=True)
class Finding:
    """What a rule found.

    ``rule`` is a stable id; ``where`` the path of the piece or circuit; ``field`` the path of the design
    field that mends it (what "go to" opens). ``value`` and ``limit`` share ``unit``; ``margin`` is what is
    left, as a fraction of the limit, negative where the limit is passed. A missing datum is ``UNKNOWN``
    with ``remedy`` saying what to enter.
    """

    rule: str
    where: str
    status: Status
    title: str
    source: Source
    value: float | str | None = None
    limit: float | str | None = None
    unit: str = ""
    margin: float | None = None
    signal: Signal = Signal.NONE
    remedy: str = ""
    steps: tuple[Worked, ...] = ()
    field: str = ""
    count: int = 1


def worst_first(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """Order by status, then signal word, then the least margin (none stands last), then place and rule."""
    return tuple(sorted(findings, key=_rank))


def _rank(finding: Finding) -> tuple[Status, Signal, float, str, str]:
    margin = math.inf if finding.margin is None else finding.margin
    return finding.status, finding.signal, margin, finding.where, finding.rule
