"""What cannot be true: pairs of fields that contradict each other, as data with a sentence each.

These are no rules of a code: no real place or piece of equipment has such data, so one of the entries is a
slip, and a slip in a limit can hide a danger. A pair is looked at only where both were entered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from engine.entry import entered_text
from engine.fields import Record
from engine.problems import Problem
from engine.thresholds import threshold
from engine.units import Coefficient, UnitError


@dataclass(frozen=True, slots=True)
class Sense:
    """Fields of one record that must agree: ``holds`` takes their values in order."""

    table: str
    fields: tuple[str, ...]
    holds: Callable[..., bool]
    sentence: str


def _below(left: float, right: float) -> bool:
    return left < right


def _at_most(left: float, right: float) -> bool:
    return left <= right


def _moderate(coefficient: Coefficient, reference: float) -> bool:
    """A relative coefficient that a module of today can have: 0.1 to 1 % per kelvin, falling."""
    return -0.01 <= coefficient.relative(reference) <= -0.001


def _small(coefficient: Coefficient, reference: float) -> bool:
    return abs(coefficient.relative(reference)) <= 0.005


def _rising_power(curve: Sequence[tuple[float, float]]) -> bool:
    """Volts above zero, and no power that is negative or less than that of a lower voltage."""
    watts = [float(power) for _, power in curve]
    return (
        float(curve[0][0]) > 0 and watts[0] >= 0 and all(a <= b for a, b in pairwise(watts)) and watts[-1] > 0
    )


SENSE: tuple[Sense, ...] = (
    Sense("site", ("record_low", "design_low"), _at_most, "the 50-year low is no warmer than a usual year's"),
    Sense("site", ("design_low", "design_high"), _below, "the design low is colder than the design high"),
    Sense("modules", ("vmp", "voc"), _below, "a module runs below its open-circuit voltage"),
    Sense("modules", ("imp", "isc"), _below, "a module runs below its short-circuit current"),
    Sense(
        "modules", ("voc", "system_voltage"), _at_most, "a module's own voltage is within its system voltage"
    ),
    Sense(
        "modules",
        ("beta_voc", "voc"),
        _moderate,
        "a module's voltage falls by 0.1 to 1 % per kelvin; the value for one cell counts once for each cell",
    ),
    Sense(
        "modules",
        ("beta_vmp", "vmp"),
        _moderate,
        "a module's voltage falls by 0.1 to 1 % per kelvin; the value for one cell counts once for each cell",
    ),
    Sense(
        "modules",
        ("gamma_pmp", "vmp", "imp"),
        lambda gamma, vmp, imp: _moderate(gamma, vmp * imp),
        "a module's power falls by 0.1 to 1 % per kelvin",
    ),
    Sense("modules", ("alpha_isc", "isc"), _small, "a module's current changes by at most 0.5 % per kelvin"),
    Sense(
        "controllers",
        ("operating_limit", "standoff_limit"),
        _at_most,
        "a controller stops operating before it is destroyed",
    ),
    Sense(
        "controllers",
        ("start_voltage", "operating_limit"),
        _below,
        "a controller starts below the voltage where it stops",
    ),
    Sense("loads", ("power", "current"), lambda *_: False, "a load has a power or a current, so empty one"),
    Sense("bank", ("lowest_voltage", "highest_voltage"), _below, "the lowest voltage is below the highest"),
    Sense("bank", ("lowest_voltage", "voltage"), _at_most, "the lowest voltage is not above the nominal one"),
    Sense("bank", ("voltage", "highest_voltage"), _below, "charging takes more than the nominal voltage"),
    Sense(
        "bank", ("lowest_temperature", "highest_temperature"), _at_most, "the lowest is not above the highest"
    ),
    Sense(
        "bank",
        ("block_resistance", "block_resistance_aged"),
        _at_most,
        "a block's resistance grows with age and cold",
    ),
    Sense("bank", ("float_voltage", "absorption"), _at_most, "float is not above absorption"),
    Sense("bank", ("absorption", "equalize"), _at_most, "absorption is not above equalize"),
    Sense("bank", ("clamp_low", "clamp_high"), _below, "the low clamp is below the high clamp"),
    Sense(
        "inverters",
        ("lowest_voltage", "highest_voltage"),
        _below,
        "it cuts out lower before it cuts out upper",
    ),
    Sense("inverters", ("power", "surge"), _at_most, "the surge power is not below the power"),
    Sense(
        "wind",
        ("load_points",),
        _rising_power,
        "a load curve asks for no less power at a higher voltage, and for none below zero: else the rotor "
        "is held at two speeds in one wind",
    ),
    Sense("wind", ("limiter_off", "limiter_on"), _at_most, "a limiter lets go below where it begins"),
    Sense("hydro", ("limiter_off", "limiter_on"), _at_most, "a limiter lets go below where it begins"),
    Sense("hydro", ("nozzle_diameter", "pipe_diameter"), _below, "a nozzle is narrower than its penstock"),
    Sense("hydro", ("nozzle_diameter", "wheel_diameter"), _below, "a jet is narrower than its wheel"),
)


def contradictions(
    table: str, path: str, record: Record, touched: frozenset[str] | None = None
) -> Iterator[Problem]:
    """The contradictions within one record, where at least one of ``touched`` takes part (``None``: any).

    The problem stands at the field that was touched, or at the first of the fields.
    """
    for sense in SENSE:
        if sense.table != table or (touched is not None and not touched & set(sense.fields)):
            continue
        values: list[Any] = [getattr(record, name) for name in sense.fields]
        if any(value is None for value in values) or sense.holds(*values):
            continue
        at = next((name for name in sense.fields if touched and name in touched), sense.fields[0])
        others = " and ".join(
            f"{name} {entered_text(value)}"
            for name, value in zip(sense.fields, values, strict=True)
            if name != at
        )
        typed = entered_text(values[sense.fields.index(at)])
        yield Problem(
            f"{path}.{at}",
            f'"{typed}" beside {others}' if others else f'"{typed}"',
            "values that agree",
            sense.sentence,
        )
    if table == "relays":
        yield from _unreadable(path, record, touched)


def _unreadable(path: str, relay: Any, touched: frozenset[str] | None) -> Iterator[Problem]:
    """The thresholds of a relay that say nothing about what it watches."""
    if relay.watches is None:
        return
    for name in ("on_at", "off_at"):
        text = getattr(relay, name)
        if text is None or (touched is not None and not touched & {name, "watches"}):
            continue
        try:
            threshold(relay.watches, text)
        except UnitError as error:
            watched = f"the relay watches {relay.watches}"
            if touched is None or name in touched:
                hint = f"{error.hint}; {watched}" if error.hint else watched
                yield Problem(f"{path}.{name}", error.got, error.need, hint)
            else:
                got = f'"{relay.watches}" beside {name} {text}'
                yield Problem(f"{path}.watches", got, "values that agree", f"first empty {name}")
