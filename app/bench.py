"""Measured figures against their goals: ``python3 start.py bench``, or ``python -m app.bench WORD`` for some.

Goals are ratios where a ratio says it, since machines differ, and times are of the processor, since other
programs run too. No test times anything; this does.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from statistics import median
from time import perf_counter

WIDE = 64  # characters of a figure's name in the report


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
        bound = "at least" if self.more_is_better else "at most"
        measured = f"{self.value:10.3g} {self.unit:14}"
        return f"{self.name:{WIDE}}{measured}{bound:>9} {self.goal:<5g}{verdict}"


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


def first_paint() -> Figure:
    """Starting our window, against a bare one with one plot in it."""
    from app.bench_window import first_paint

    name = "first paint against a bare PySide6 and pyqtgraph window"
    return Figure(name, first_paint(), "times as long", 2)


def memory() -> Iterator[Figure]:
    """Our window with every pane shown once, against a bare one with one plot in it."""
    from app.bench_window import memory

    ours, plain = memory()
    yield Figure("memory with every pane shown", ours, "MB", 250)
    yield Figure("memory against a bare window", ours / plain, "times as much", 2)


def edit_to_paint() -> Iterator[Figure]:
    """An edit of the design, its verdict, and the window painted anew, with each pane shown."""
    from app.bench_window import panes

    for name, edited, bare in panes():
        yield Figure(f"{name}: edit to the last paint", 1000 * edited, "ms", 16)
        yield Figure(f"{name}: the same against a bare redraw", edited / bare, "times as long", 1.5)


def large_site_to_paint() -> Figure:
    """The same on a site of 12 arrays, 6 turbines and some 80 circuits."""
    from app.bench_window import large_site_to_paint

    return Figure("edit of the large site to the last paint", 1000 * large_site_to_paint(), "ms", 33)


def slide_to_paint() -> Figure:
    """One step of a slider: 60 a second."""
    from app.bench_window import slide_to_paint

    return Figure("slider step to the last paint at 1320x780", 1000 * slide_to_paint(), "ms", 16)


def evaluation() -> Iterator[Figure]:
    """The verdict on the demo with the most findings, after edits of several fields."""
    from app.bench_window import evaluations

    for field, time in evaluations():
        yield Figure(f"evaluate after an edit of {field}", 1000 * time, "ms", 3)


def solver() -> Figure:
    """Our maximum-power solver against the library's, on a year of hours; 0 where they differ by 1e-9 W."""
    import numpy as np
    from pvlib.singlediode import bishop88_mpp

    from engine.physics.mpp import bench_points, max_power

    points = bench_points()
    light, saturation, series, shunt, ideality = points
    theirs = partial(bishop88_mpp, light, saturation, series, 1 / shunt, ideality, method="newton")
    apart = float(np.max(np.abs(max_power(points).power - theirs()[2])))
    ratio = seconds(theirs) / seconds(partial(max_power, points)) if apart < 1e-9 else 0.0
    name = "maximum-power solver against bishop88_mpp newton on 8760 points"
    return Figure(name, ratio, "times as fast", 8, more_is_better=True)


def wind_year() -> Figure:
    """8760 winds through a turbine's steady state, straight on the battery and tracked; a general curve."""
    import numpy as np

    from engine.physics.wind_rotor import Furling, heier_rotor
    from engine.physics.wind_turbine import Machine, direct, drag_of, tracked

    rotor = heier_rotor(2.5, 0.32, 6.3)
    machine = Machine(rotor, 1.2, 0.95, 0.12, 0.45, 0.15, 1.4, drag_of(35, 11, rotor), Furling(11.5, 0.4))
    winds = 6 * np.random.default_rng(1).weibull(2, 8760)

    def both() -> None:
        direct(machine, winds, 24.0)
        tracked(machine, winds, 24.0)

    return Figure("8760 winds through the steady state, both ways", 1000 * seconds(both), "ms", 50)


def weather_file() -> Figure:
    """A year of hours read from an EPW file, strictly, with every cell checked."""
    from engine.weather.epw import hours
    from engine.weather.hours import LENGTHS

    head = ["LOCATION,Bench,-,-,-,0,48.0,-120.0,-8.0,300", *[""] * 7]
    days = [(month, day) for month, last in enumerate(LENGTHS, 1) for day in range(1, last + 1)]
    rest = ",".join(["0"] * 13)
    rows = [
        f"2001,{month},{day},{hour},0,?9,9.5,1,60,97000,0,0,300,{20 * hour},300,90,0,0,0,0,180,4.1,{rest}"
        for month, day in days
        if (month, day) != (2, 29)
        for hour in range(1, 25)
    ]
    read = partial(hours, [*head, *rows], "bench.epw")
    return Figure("a year of hours read from an EPW file", seconds(read), "s", 1)


FIGURES: tuple[Callable[[], Figure | Iterator[Figure]], ...] = (
    cold_import,
    first_paint,
    memory,
    edit_to_paint,
    large_site_to_paint,
    slide_to_paint,
    evaluation,
    solver,
    wind_year,
    weather_file,
)


def main(words: list[str]) -> int:
    """Measure the figures whose function has one of ``words`` in its name, or all; 1 if one is missed."""
    chosen = [figure for figure in FIGURES if not words or any(word in figure.__name__ for word in words)]
    met = []
    print(f"{'':{WIDE}}  measured {'':14}goal")
    for measure in chosen:
        made = measure()
        for figure in (made,) if isinstance(made, Figure) else made:
            met.append(figure.met)
            print(figure, flush=True)
    print(f"{sum(met)} of {len(met)} goals met")
    return int(not all(met))


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
