"""What is held against what is now, in one line: the point of the source in view, the verdicts."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from app.compare_words import is_worse
from engine import units
from engine.compare import Point, Turned, moved
from engine.finding import Status


@dataclass(frozen=True, slots=True)
class Difference:
    """A line in parts: whose it is, each change, and whether a verdict got worse."""

    name: str
    parts: tuple[str, ...]
    worse: bool = False

    @property
    def text(self) -> str:
        """The line; whose it is stands first, for who reads or hears it by itself."""
        return f"{self.name}: {self.short}" if self.name else self.short

    @property
    def short(self) -> str:
        """The line under the picture that it is about."""
        return f"Held → now: {' · '.join(self.parts)}"


def difference(then: Point | None, now: Point | None, turned: tuple[Turned, ...], habit: str) -> Difference:
    """The difference in words; a source without a curve, or that was not held, says so."""
    some = now or then
    name = "" if some is None else some.label
    return Difference(name, (*_point(then, now, habit), *_verdicts(turned)), any(map(is_worse, turned)))


def _point(then: Point | None, now: Point | None, habit: str) -> tuple[str, ...]:
    if then is None or now is None:
        return () if then is now else ("no curve was held" if then is None else "no curve now",)
    state = () if then.state == now.state else (f"{then.state} → {now.state}",)
    changes = moved(then, now)
    if all(abs(by) <= 1e-9 * max(abs(was), abs(is_now)) for was, is_now, by, _ in changes):
        return (*state, "the same point")
    volts, *others = (_change(*change, habit) for change in changes)
    return (*state, volts, *_opened(then, now, habit), *others)


def _opened(then: Point, now: Point, habit: str) -> tuple[str, ...]:
    """What it would stand at with its circuit open, where that is not where it stands anyway."""
    if then.opened <= 0 or now.opened <= 0 or (then.amps <= 0 and now.amps <= 0):
        return ()
    word = "open circuit" if now.table == "arrays" else "let go"
    return (f"{word} {_pair(then.opened, now.opened, 'V', habit)}",)


def _change(was: float, is_now: float, by: float, unit: str, habit: str) -> str:
    return f"{_pair(was, is_now, unit, habit)} ({'+' if by > 0 else ''}{units.show(by, unit, habit, 3)})"


def _pair(was: float, is_now: float, unit: str, habit: str) -> str:
    first, last = (units.show(value, unit, habit, 3) for value in (was, is_now))
    first = first.removesuffix(f" {last.rpartition(' ')[2]}")  # one unit, said once
    return f"{first} → {last}"


def _verdicts(turned: tuple[Turned, ...]) -> tuple[str, ...]:
    """How many verdicts turned, and which way, the gravest first."""
    if not turned:
        return ("no verdict turned",)
    ways = Counter((_word(item.this), _word(item.that)) for item in turned)
    told = [f"{count} {was} → {is_now}" for (was, is_now), count in ways.items()]
    return (f"verdicts {', '.join(told)}",)


def _word(finding: object) -> str:
    status = getattr(finding, "status", None)
    return "not asked" if status is None else Status(status).word
