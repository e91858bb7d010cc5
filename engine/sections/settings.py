"""The settings sheet as data: for every piece that is set up, each setting, where it is from, and why.

Volts are rounded in the direction that charges no higher and disconnects no later.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.design import Controller, Design, Generator, Inverter, label
from engine.fields import Record
from engine.physics.battery import REFERENCE_TEMPERATURE
from engine.sections import relay_words
from engine.sections.charging import FIELDS, Charging, chargers, charging
from engine.sections.notes import Notes
from engine.sections.plans.battery import greatest_output, straight_current, uncharged
from engine.sections.results import ask
from engine.sections.setting import ENTERED, Setting, down, up
from engine.units import show

COMPUTED = "computed"
USUAL = "usual for the chemistry (common practice); the maker's data sheet overrides it"


def settings(design: Design) -> tuple[Setting, ...]:
    """Every setting of the design, piece by piece in the order of the line."""
    found = charging(design)
    return (
        *(row for item in chargers(design) for row in _charger(design, found, item)),
        *(row for item in design.generators for row in _generator(design, found, item)),
        *_bank(design, found),
        *(row for item in design.inverters for row in _inverter(design, item)),
        *(row for item in design.controllers for row in _diverter(item)),
        *relay_words.settings(design),
    )


class _Piece:
    """Rows of one piece, its path and group said once."""

    def __init__(self, path: str, group: str, record: Record, habit: str = "metric") -> None:
        self.path, self.group, self.record = path, group, record
        self.warm = show(REFERENCE_TEMPERATURE, "degC", habit)

    def row(self, name: str, value: Any, unit: str = "", **more: Any) -> Setting:
        if hasattr(value, "real") and not isinstance(value, str | bool):
            value = float(value)
        return Setting(self.path, self.group, name, value, unit, **more)

    def entered(self, name: str, field: str, unit: str = "", **more: Any) -> Setting:
        """A field as it was entered, or what to enter."""
        value = getattr(self.record, field)
        wanted = "" if value is not None else ask(self.path, self.record, field)[0].title
        if isinstance(value, bool):
            value = "yes" if value else "no"
        return self.row(name, value, unit, wanted=wanted, **more)


def _charger(design: Design, found: Charging, item: Controller) -> Iterator[Setting]:
    piece = _Piece(f"controllers.{item.id}", label(item), item, str(design.about.use("units")))
    yield from _stages(design, found, piece, item)
    if found.lead:
        yield piece.entered(
            "Temperature sensor", "sensor", why="on the case of a middle cell, below the electrolyte's level"
        )
    yield _current(design, piece, greatest_output(item), "current_limit")
    if len(chargers(design)) > 1:
        yield piece.row(
            "Among the chargers",
            ("leads" if item.leads else "follows") + (" by data" if item.network else ", by itself"),
            why="one decides on the stage for all",
        )
    for turbine in design.wind:
        if turbine.controller == item.id:
            told = "as entered" if turbine.load_points is not None else "computed"
            yield piece.row(
                "Load curve",
                f"{told}: farstead turbine SITE --id {turbine.id}",
                source=COMPUTED if told == "computed" else ENTERED,
                why="the power that it asks of the turbine at each voltage",
            )


def _generator(design: Design, found: Charging, item: Generator) -> Iterator[Setting]:
    piece = _Piece(f"generators.{item.id}", f"Charger of {label(item)}", item, str(design.about.use("units")))
    yield from _stages(design, found, piece, None)
    amps = None if item.charger_current is None else float(item.charger_current)
    yield _current(design, piece, amps, "charger_current")


def _stages(design: Design, found: Charging, piece: _Piece, item: Controller | None) -> Iterator[Setting]:
    """What every charger is told of the battery."""
    bank = _Piece("bank", "", design.bank)
    kind, volts = bank.entered("", "chemistry"), bank.entered("", "voltage", "V")
    yield piece.row("Battery type", kind.value, wanted=kind.wanted)
    yield piece.row(
        "Nominal voltage", volts.value, "V", wanted=volts.wanted, why="set by hand, not found by itself"
    )
    if not found.stages:
        wanted = ", ".join(dict.fromkeys(item.title for item in found.missing))
        yield piece.row("Absorption", None, wanted=wanted)
        return
    yield from _stage(found, piece, item, "absorption")
    yield piece.row("Absorption ends after", found.absorption_time, "h", **_from(found, "absorption_time"))
    yield piece.row(
        "or at the end current",
        found.end_current,
        "A",
        **_from(found, "end_current"),
        why="of the bank, not of this charger alone",
        wanted="" if found.end_current is not None else "Block capacity, Battery strings",
    )
    yield from _stage(found, piece, item, "float")
    yield from _equalize(design, found, piece, item)
    yield from _compensation(found, piece)


def _from(found: Charging, name: str) -> dict[str, str]:
    taken = {item.path for item in found.assumed}
    return {"source": USUAL if f"bank.{name}" in taken else ENTERED}


def _stage(found: Charging, piece: _Piece, item: Controller | None, name: str) -> Iterator[Setting]:
    stage, own = found.stage(name), getattr(item, FIELDS[name], None)
    if stage is None:
        return
    source = (
        ENTERED if own is not None or not stage.default else f"{stage.source}; the maker's sheet overrides it"
    )
    value = stage.volts if own is None else float(own)
    why = f"at {piece.warm}; compensation moves it" if found.compensation else ""
    yield piece.row(name.capitalize(), down(value), "V", source=source, why=why)


def _equalize(design: Design, found: Charging, piece: _Piece, item: Controller | None) -> Iterator[Setting]:
    bank = design.bank
    if found.chemistry != "flooded":
        why = f"{found.chemistry} cells are not equalized"
        yield piece.row("Equalize", "off", source="IEEE 1188 and the makers (from memory)", why=why)
        return
    yield from _stage(found, piece, item, "equalize")
    yield piece.row("Equalize for", found.equalize_hours, "h", **_from(found, "equalize_hours"))
    yield piece.row(
        "Equalize every",
        bank.equalize_days,
        "day",
        wanted="" if bank.equalize_days is not None else "Equalize every, days",
    )
    yield piece.row(
        "Grace after a missed day",
        0 if bank.equalize_grace is None else bank.equalize_grace,
        "day",
        source=ENTERED if bank.equalize_grace is not None else "none entered",
        why="then nothing until the next planned day",
    )


def _compensation(found: Charging, piece: _Piece) -> Iterator[Setting]:
    slope, cells = found.slope, found.cells or 1
    if slope is None:
        return
    source = _from(found, "compensation")
    if not slope:
        yield piece.row("Temperature compensation", "off", **source)
        return
    yield piece.row("Temperature compensation, a cell", slope, "V/K", **source)
    yield piece.row("Temperature compensation, the bank", slope * cells, "V/K", source=COMPUTED)
    for name, clamp in (("Highest set point", found.clamp_high), ("Lowest set point", found.clamp_low)):
        if clamp is not None:
            yield piece.row(name, down(clamp * cells), "V", why="compensation stops there")
        else:
            yield piece.row(name, "no clamp", source="none entered", why="compensation never stops")


def _current(design: Design, piece: _Piece, own: float | None, field: str) -> Setting:
    """A charger's current: its own limit, or its share where all together would pass the bank's.

    A turbine's charger is never throttled, since that takes its load away, and nothing throttles a turbine
    straight on the battery; the others share what is left.
    """
    if own is None:
        wanted = ask(piece.path, piece.record, field)
        return piece.row("Current limit", None, wanted=wanted[0].title if wanted else "")
    turning = {f"controllers.{item.controller}" for item in design.wind}
    turning |= {f"controllers.{item.controller}" for item in design.hydro}
    limits = {f"controllers.{item.id}": greatest_output(item) or 0.0 for item in chargers(design)}
    limits |= {f"generators.{item.id}": float(item.charger_current or 0.0) for item in design.generators}
    straight = _straight(design)
    total, most = straight + sum(limits.values()), design.bank.charge_current
    if most is None or total <= float(most):
        return piece.row("Current limit", down(own, 1.0), "A", why="its own limit")
    if piece.path in turning:
        why = "its own limit: throttled, it would take the turbine's load away"
        return piece.row("Current limit", down(own, 1.0), "A", why=why)
    held = straight + sum(limit for path, limit in limits.items() if path in turning)
    left = max(float(most) - held, 0.0)
    return piece.row(
        "Current limit",
        down(own * min(left / (total - held), 1.0), 1.0),
        "A",
        source=COMPUTED,
        why="its share, so that all chargers together stay within what the bank takes",
    )


def _straight(design: Design) -> float:
    """What turbines without a charge controller drive into the battery [A]."""
    each = (straight_current(design.bank, *at, Notes()) for at in uncharged(design))
    return sum(amps for amps in each if amps is not None)


def _bank(design: Design, found: Charging) -> Iterator[Setting]:
    piece = _Piece("bank", "Meter at the battery", design.bank)
    if design.bank.shunt in (None, "none"):
        return
    yield piece.entered("Shunt", "shunt")
    yield piece.row(
        "Capacity",
        found.capacity,
        "Ah",
        wanted="" if found.capacity is not None else "Block capacity, Battery strings",
    )
    absorption = found.stage("absorption")
    if absorption is not None:
        yield piece.row(
            "Full at", down(absorption.volts), "V", source=COMPUTED, why="and at the end current, both"
        )
        yield piece.row("End current", found.end_current, "A", **_from(found, "end_current"))


def _inverter(design: Design, item: Inverter) -> Iterator[Setting]:
    piece = _Piece(f"inverters.{item.id}", label(item), item)
    lowest, own = design.bank.lowest_voltage, item.lowest_voltage
    if lowest is None:
        yield piece.row("Low-voltage cut-out", None, wanted="Lowest voltage of the bank")
    else:
        value = up(max(float(lowest), float(own or 0.0)))
        why = "the bank is used no further" if float(lowest) >= float(own or 0.0) else "its own limit"
        yield piece.row("Low-voltage cut-out", value, "V", source=COMPUTED, why=why)
    high = item.highest_voltage
    yield piece.row(
        "High-voltage cut-out",
        None if high is None else down(float(high)),
        "V",
        wanted="Cuts out above" if high is None else "",
        why="its own limit",
    )
    yield piece.entered("AC voltage", "ac_voltage", "V")


def _diverter(item: Controller) -> Iterator[Setting]:
    if item.use("kind") != "diversion":
        return
    piece = _Piece(f"controllers.{item.id}", label(item), item)
    yield piece.row("Kind", "diversion", why="it regulates by its load and never opens the source")
    limit = greatest_output(item)
    yield piece.row(
        "Current limit",
        None if limit is None else down(limit, 1.0),
        "A",
        wanted="Output current limit" if limit is None else "",
        why="the load draws no more at the highest battery voltage",
    )
