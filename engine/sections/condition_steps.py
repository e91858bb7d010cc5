"""Named steps of the conditions of looking: each sets all of them at once, from the design's own site.

They are for looking only. What decides a rating is computed by the rules, never read at a step.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from engine import units
from engine.design import Design, WindTurbine
from engine.sections.charging import charging
from engine.sections.results import ArrayResult, Conditions, Missing, ask
from engine.sections.wind_class import gust_at_hub, stands_gust

UNITS = {"cell": "degC", "irradiance": "W/m^2", "wind": "m/s", "flow": "m^3/s", "battery": "V"}
"""The conditions and their canonical units."""
MOST_WIND = 80.0  # m/s, the most that the conditions go to


@dataclass(frozen=True, slots=True)
class Step:
    """A step as the table has it: ``source`` is what it says something about, ``settings`` a text for each
    condition that does not stay at its usual place."""

    id: str
    title: str
    source: str
    why: str
    settings: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Stand:
    """A step of this design: its conditions, ``None`` where ``missing`` data are asked for."""

    step: Step
    conditions: Conditions | None
    missing: tuple[Missing, ...] = ()


def stands(
    design: Design, arrays: Mapping[str, ArrayResult], usual: Conditions, steps: tuple[Step, ...]
) -> tuple[Stand, ...]:
    """The steps that say something about the pieces of a design; ``usual`` are those looked at first.

    Raises ``UnitError`` for a setting that is neither a quantity nor a known word.
    """
    there = {
        "sun": bool(design.arrays),
        "wind": bool(design.wind),
        "water": bool(design.hydro),
        "battery": design.bank.voltage is not None,
    }
    return tuple(_stand(design, arrays, usual, step) for step in steps if there[step.source])


def wind_range(design: Design, usual: float) -> tuple[float, float]:
    """The winds to look at [m/s]: none, to ``usual`` or to the gust that the place has, if that is more."""
    return (0.0, max([usual, *_gusts(design)]))


def _stand(design: Design, arrays: Mapping[str, ArrayResult], usual: Conditions, step: Step) -> Stand:
    values: dict[str, float] = {}
    missing: tuple[Missing, ...] = ()
    for name, text in step.settings.items():
        if text in WORDS:
            value, lacking = WORDS[text](design, arrays)
            missing += lacking
        else:
            value = float(units.parse(text, UNITS[name]))
        if value is not None:
            values[name] = value
    return Stand(step, None if missing else replace(usual, **values), missing)


Answer = tuple[float | None, tuple[Missing, ...]]


def _design_low(design: Design, _arrays: Mapping[str, ArrayResult]) -> Answer:
    low = design.site.design_low
    return (None, ask("site", design.site, "design_low")) if low is None else (float(low), ())


def _hottest_cell(design: Design, arrays: Mapping[str, ArrayResult]) -> Answer:
    known = [result.cell_hot for result in arrays.values() if result.cell_hot is not None]
    if known:
        return max(known), ()
    lacking = tuple(item for result in arrays.values() for item in result.missing)
    return None, ask("site", design.site, "design_high") or lacking


def _gust(design: Design, _arrays: Mapping[str, ArrayResult]) -> Answer:
    gusts = _gusts(design)
    if gusts:
        return max(gusts), ()
    return None, ask("site", design.site, "gust") or ask(
        f"wind.{design.wind[0].id}", design.wind[0], "hub_height"
    )


def _gusts(design: Design) -> list[float]:
    """The gust at each hub [m/s]; what the turbine is made for, where the place has none entered."""
    found = [_gust_of(design, turbine) for turbine in design.wind]
    return [min(gust, MOST_WIND) for gust in found if gust is not None]


def _gust_of(design: Design, turbine: WindTurbine) -> float | None:
    known = gust_at_hub(design.site, turbine)
    return stands_gust(turbine) if known is None and design.site.gust is None else known


def _full_bank(design: Design, _arrays: Mapping[str, ArrayResult]) -> Answer:
    found = charging(design)
    stage = found.stage("equalize") or found.stage("absorption")
    if stage is not None:
        return stage.volts, ()
    return None, found.missing or ask("bank", design.bank, "chemistry")


WORDS: dict[str, Callable[[Design, Mapping[str, ArrayResult]], Answer]] = {
    "design low": _design_low,
    "hottest cell": _hottest_cell,
    "gust": _gust,
    "full bank": _full_bank,
}
"""What a setting can ask the design for."""
