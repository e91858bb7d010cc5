"""``farstead turbine``: what a turbine gives at its site; a wind turbine's load curve for its controller."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from app.table_text import csv_text
from app.terminal import hydro, refine
from app.terminal.check import CAUTION, finding_json, table, told, wrapped
from app.terminal.exits import FAILS, FINE, PROGRAM_FAILED, UNKNOWN, refuse, show_json
from app.turbine_words import gain_told
from engine import evaluate, load, units
from engine.design import Design
from engine.entry import nearest
from engine.evaluation import Evaluation
from engine.finding import Finding, Status
from engine.physics.wind_turbine import Steady
from engine.problems import Problem, Problems
from engine.sections.harvest import Harvest, harvest, in_force
from engine.sections.wind import WINDS, WindResult
from engine.units import UnitError
from engine.worksheet import CannotCalculate

SHOWN_WINDS = (3, 4, 5, 6, 7, 8, 10, 12, 15, 20, 25)  # m/s
POINTS = 12
COLUMNS = ("voltage", "power", "current", "rotor_speed", "wind")
UNITS = ("V", "W", "A", "rpm", "m/s")
QUANTITIES = {
    **dict.fromkeys(("mean_wind", "reference", "gust", "strongest", "holds"), "m/s"),
    **dict.fromkeys(("cap", "shorted_speed"), "rpm"),
    **dict.fromkeys(("shorted_current", "shorted_line"), "A"),
    **dict.fromkeys(
        ("energy_direct", "energy_tracked", "energy_load", "energy_battery", "energy_maker"), "Wh"
    ),
}


def run(arguments: argparse.Namespace) -> int:
    """Tell of one turbine; the exit status is that of the findings on it."""
    try:
        design = load(arguments.site)
        id = _id(design, arguments.id)
        cap = _cap(arguments.cap)
        evaluation = evaluate(design)
        if not evaluation.program_failed and id in evaluation.hydro:
            return _hydro(arguments, evaluation, id)
        if evaluation.program_failed or id not in evaluation.wind:
            return PROGRAM_FAILED
        result = evaluation.wind[id]
        if arguments.refine is not None:
            habit = str(design.about.use("units"))
            return refine.run(result, arguments.refine, arguments.load_curve, habit, json=arguments.json)
        curve, why = _curve(result, arguments.points, cap)
        if arguments.load_curve is not None:
            _save(arguments.load_curve, curve, why)
    except Problems as error:
        return refuse(error.problems)
    if arguments.json:
        show_json(as_json(evaluation, result, curve))
    else:
        print("\n".join(as_text(evaluation, result, curve, why)))
    return _status(found_of(evaluation, id), result)


def _hydro(arguments: argparse.Namespace, evaluation: Evaluation, id: str) -> int:
    """Tell of a hydro turbine; its best voltage hardly moves with the flow, so that it has no load curve."""
    result = evaluation.hydro[id]
    for name in ("load_curve", "cap", "refine"):
        if getattr(arguments, name) is not None:
            at = "" if result.line is None else f"; this one is best held at {result.line.best_voltage:.0f} V"
            option = f"--{name.replace('_', '-')}"
            problem = Problem(option, str(getattr(arguments, name)), "a wind turbine", f"not {id}, hydro{at}")
            raise Problems((problem,))
    if arguments.json:
        show_json(hydro.as_json(evaluation, result))
    else:
        print("\n".join(hydro.as_text(evaluation, result)))
    return hydro.status(evaluation, result)


def _id(design: Design, asked: str | None) -> str:
    ids = [item.id for item in design.wind] + [item.id for item in design.hydro]
    if asked in ids:
        return str(asked)
    if asked is None and len(ids) == 1:
        return ids[0]
    hint = nearest(asked or "", tuple(ids)) or f"there are: {', '.join(ids) or 'none'}"
    got = "nothing" if asked is None else f'"{asked}"'
    raise Problems((Problem("--id", got, "the id of a turbine of this site", hint),))


def _cap(text: str | None) -> float | None:
    if text is None:
        return None
    try:
        return float(units.parse(text, "rpm"))
    except UnitError as error:
        raise Problems(
            (Problem("--cap", f'"{text}"', f"a rotor speed, such as 450 rpm ({error})"),)
        ) from error


def _curve(result: WindResult, points: int | None, cap: float | None) -> tuple[Harvest | None, str]:
    """The load curve in force, or the computed one of so many points or under a cap; or why there is none.

    Raises Problems where the command line asked for a bad one.
    """
    try:
        if points is None and cap is None:
            return in_force(result), ""
        return harvest(result, POINTS if points is None else points, cap), ""
    except CannotCalculate as error:
        if error.name == "points" or (error.name == "cap" and cap is not None):
            raise Problems((Problem(f"--{error.name}", error.got, error.need),)) from error
        return None, error.need


def _save(file: str, curve: Harvest | None, why: str) -> None:
    if curve is None:
        raise Problems((Problem("--load-curve", "no load curve of this turbine", why),))
    head = [f"{name} [{unit}]" for name, unit in zip(COLUMNS, UNITS, strict=True)]
    rows = [
        [f"{value:.{places}f}" for value, places in zip(row, (2, 1, 2, 1, 2), strict=True)]
        for row in points(curve)
    ]
    try:
        Path(file).write_text(csv_text([head, *rows]), encoding="utf-8", newline="")
    except OSError as error:
        got = error.strerror or str(error)
        raise Problems((Problem(file, got, "a place where a file can be written"),)) from error


def points(curve: Harvest) -> list[tuple[float, ...]]:
    """The rows of a load curve: volts, watts, amperes, rotor speed [rpm], wind [m/s]."""
    columns = (curve.curve.volts, curve.curve.watts, curve.curve.amps, curve.speeds, curve.winds)
    return [tuple(float(value) for value in row) for row in zip(*columns, strict=True)]


def found_of(evaluation: Evaluation, id: str) -> tuple[Finding, ...]:
    """The findings of a turbine and of its circuits."""
    circuits = {
        f"circuits.{circuit.id}" for circuit in evaluation.circuits.values() if circuit.piece == f"wind.{id}"
    }
    return tuple(f for f in evaluation.findings if f.where == f"wind.{id}" or f.where in circuits)


def _status(findings: tuple[Finding, ...], result: WindResult) -> int:
    statuses = {finding.status for finding in findings}
    open_ = result.best is None or result.mean_wind is None
    return FAILS if Status.FAILS in statuses else UNKNOWN if Status.UNKNOWN in statuses or open_ else FINE


# JSON


def as_json(evaluation: Evaluation, result: WindResult, curve: Harvest | None) -> dict[str, Any]:
    """The turbine as JSON, each quantity with its unit."""
    habit = str(evaluation.design.about.use("units"))
    return {
        "format": 1,
        "turbine": result.turbine,
        "label": result.label,
        "wind_class": result.wind_class or None,
        **{name: units.as_json(getattr(result, name), unit) for name, unit in QUANTITIES.items()},
        "gain": result.gain,
        "direct": _steady_json(result.tied),
        "tracked": _steady_json(result.best),
        "load_curve": None if curve is None else _curve_json(curve),
        "findings": [finding_json(item, habit) for item in found_of(evaluation, result.turbine)],
        "missing": [{"path": item.path, "title": item.title} for item in result.missing],
        "assumed": [
            {"path": item.path, "title": item.title, "value": item.text, "why": item.why}
            for item in result.assumed
        ],
    }


def _steady_json(steady: Steady | None) -> list[dict[str, Any]] | None:
    if steady is None:
        return None
    rows = []
    for at in _places():
        pairs = (("wind", "m/s"), ("rotor_speed", "rpm"), ("voltage", "V"), ("current", "A"), ("power", "W"))
        row: dict[str, Any] = {
            name: units.as_json(float(getattr(steady, name)[at]), unit) for name, unit in pairs
        }
        flags = {
            name: bool(getattr(steady, name)[at]) for name in ("stalled", "furled", "capped", "over_cap")
        }
        rows.append(row | {"ratio": float(steady.ratio[at])} | flags)
    return rows


def _curve_json(curve: Harvest) -> dict[str, Any]:
    rows = [
        {name: units.as_json(value, unit) for name, unit, value in zip(COLUMNS, UNITS, row, strict=True)}
        for row in points(curve)
    ]
    year = {name: units.as_json(getattr(curve, name), "Wh") for name in ("uncapped", "capped", "followed")}
    return {
        "entered": curve.curve.entered,
        "points": rows,
        "error": units.as_json(curve.curve.error, "W"),
        "fastest": units.as_json(curve.fastest, "rpm"),
        "slips_from": units.as_json(curve.slips_from, "m/s"),
        "over_cap_from": units.as_json(curve.over_cap_from, "m/s"),
        **year,
    }


def _places() -> list[int]:
    return [int(np.searchsorted(WINDS, wind - 1e-6)) for wind in SHOWN_WINDS]


# Text


def as_text(evaluation: Evaluation, result: WindResult, curve: Harvest | None, why: str) -> Iterator[str]:
    """The turbine as lines of text."""
    habit = str(evaluation.design.about.use("units"))

    def show(value: float, unit: str, figures: int = 4) -> str:
        return units.show(value, unit, habit, figures)

    yield wrapped(f"{result.label}: {_site_told(result, show)}")
    taken = "; ".join(f"{item.title} {item.text} ({item.why})" for item in result.assumed)
    if taken:
        yield wrapped(f"Assumed where nothing was entered: {taken}.")
    if result.missing:
        yield wrapped(f"Enter: {', '.join(item.title for item in result.missing)}.")
    if result.tied is not None and result.best is not None:
        yield ""
        yield from table(_rows(result.tied, result.best, show), numbers=11)
        yield ""
        yield from _year_told(result, show, habit)
    yield ""
    if curve is None:
        yield wrapped(f"No load curve: {why}.")
    else:
        yield from _curve_told(curve, show, entered=curve.curve.entered)
    yield ""
    for finding in found_of(evaluation, result.turbine):
        if finding.where == f"wind.{result.turbine}" or finding.status is not Status.MEETS:
            yield from told(finding)
    yield ""
    yield wrapped(CAUTION)


def _site_told(result: WindResult, show: Any) -> str:
    if result.mean_wind is None:
        return "mean wind not known."
    return (
        f"mean wind {show(result.mean_wind, 'm/s')} at the hub; least class {result.wind_class} of "
        f"IEC 61400-2, with {show(result.reference, 'm/s')} for ten minutes and {show(result.gust, 'm/s')} "
        "in gusts."
    )


def _rows(tied: Steady, best: Steady, show: Any) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = [
        ("Wind", "direct", "rpm", "ratio", "V", "", "tracked", "rpm", "ratio", "V", "A", "")
    ]
    for at in _places():
        row = [show(float(tied.wind[at]), "m/s", 3)]
        for state in (tied, best):
            row += [
                show(float(state.power[at]), "W", 3),
                f"{state.rotor_speed[at]:.0f}",
                f"{state.ratio[at]:.1f}",
                f"{state.voltage[at]:.1f}",
            ]
            row += [f"{state.current[at]:.1f}"] if state is best else []
            row.append(_word(state, at))
        rows.append(tuple(row))
    return rows


def _word(state: Steady, at: int) -> str:
    for name, word in (
        ("over_cap", "over its cap"),
        ("capped", "capped"),
        ("stalled", "stalled"),
        ("furled", "furled"),
    ):
        if getattr(state, name)[at]:
            return word
    return "" if state.current[at] > 0 else "free" if state.rotor_speed[at] > 0 else "stands"


def _year_told(result: WindResult, show: Any, habit: str) -> Iterator[str]:
    if result.energy_direct is None or result.energy_tracked is None:
        return
    parts = [f"straight on the battery {show(result.energy_direct, 'Wh')}"]
    parts.append(f"tracked {show(result.energy_tracked, 'Wh')}")
    if result.energy_load is not None:
        parts.append(f"on the load curve entered {show(result.energy_load, 'Wh')}")
    if result.energy_battery is not None:
        parts.append(f"{show(result.energy_battery, 'Wh')} of it into the battery")
    if result.energy_maker is not None:
        parts.append(f"by the entered power curve {show(result.energy_maker, 'Wh')}")
    yield wrapped(f"In a year: {', '.join(parts)}.")
    yield wrapped(gain_told(result, habit))


def _curve_told(curve: Harvest, show: Any, *, entered: bool) -> Iterator[str]:
    rows: list[tuple[str, ...]] = [("Point", "V", "W", "A", "rpm", "m/s")]
    for number, row in enumerate(points(curve), 1):
        volts, watts, amps, speed, wind = row
        rows.append(
            (str(number), f"{volts:.2f}", f"{watts:.1f}", f"{amps:.2f}", f"{speed:.0f}", f"{wind:.1f}")
        )
    which = "entered" if entered else "computed"
    yield f"Load curve, {which}: at each voltage this power; straight lines between, nothing below."
    yield from table(rows, numbers=5)
    yield wrapped(f"Off the ideal by {show(curve.curve.error, 'W', 3)} at most.")
    if curve.uncapped and curve.capped is not None and curve.followed is not None:
        lost = 1 - curve.followed / curve.capped if curve.capped else 0.0
        given = 1 - curve.capped / curve.uncapped
        capped = f" The cap gives up {units.show(given, '%')} of the harvest." if given > 1e-9 else ""
        yield wrapped(
            f"Following it gives up {units.show(max(lost, 0.0), '%', 'metric', 2)} of the ideal.{capped}"
        )
    yield wrapped(f"The fastest that the rotor runs on it: {show(curve.fastest, 'rpm')}.")
    if curve.slips_from is not None:
        yield wrapped(
            f"From {show(curve.slips_from, 'm/s')} on the rotor is held in stall: a gust can break it loose, "
            "and then only furling or the brake holds it."
        )
    if curve.over_cap_from is not None:
        yield wrapped(
            f"From {show(curve.over_cap_from, 'm/s')} on the cap can't be held: the battery's voltage is too "
            "near."
        )
