"""Measured figures against their goals: ``python3 start.py bench``, or ``python -m app.bench WORD`` for some.

Goals are ratios where a ratio says it, since machines differ. No test times anything; this does.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from time import perf_counter


@dataclass(frozen=True)
class Figure:
    """One measured number. ``goal`` is the most that is good, or the least where ``more_is_better``."""

    name: str
    value: float
    unit: str
    goal: float
    more_is_better: bool = False

    @property
    def met(self) -> bool:
        """Whether the goal is reached; exactly on it is."""
        return self.value >= self.goal if self.more_is_better else self.value <= self.goal

    def __str__(self) -> str:
        verdict = "met" if self.met else "missed"
        return f"{self.name}: {self.value:.3g} {self.unit} (goal {self.goal:g}) {verdict}"


def seconds(work: Callable[[], object], repeats: int = 7) -> float:
    """The median time of a call [s]; the first call is not counted, so that caches are warm."""
    work()
    times = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return median(times)


def cold_import() -> Figure:
    """Starting Python and importing the engine, against importing numpy alone."""

    def starting(module: str) -> Callable[[], object]:
        return lambda: subprocess.run([sys.executable, "-c", f"import {module}"], check=True)

    ratio = seconds(starting("engine")) / seconds(starting("numpy"))
    return Figure("cold import of the engine", ratio, "times numpy's", 3)


FIGURES: tuple[Callable[[], Figure], ...] = (cold_import,)


def main(words: list[str]) -> int:
    """Measure the figures whose function has one of ``words`` in its name, or all; 1 if one is missed."""
    chosen = [figure for figure in FIGURES if not words or any(word in figure.__name__ for word in words)]
    missed = False
    for measure in chosen:
        figure = measure()
        missed |= not figure.met
        print(figure, flush=True)
    return int(missed)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
