"""The invented sun site of the tests with its circuits and devices, and short ways to change and judge it."""

from __future__ import annotations

from a_sun_site import SECOND_ARRAY, site

from engine.design import Design
from engine.evaluation import Evaluation, evaluate
from engine.finding import Finding
from engine.sections.results import CircuitResult

WIRED = """
[circuits.south-string]
length = "6 m"
ambient = "45 degC"
wet = true

[circuits.south-run]
length = "15 m"
ambient = "45 degC"
wet = true
device = "run-breaker"

[circuits.bank-string]
length = "1 m"
place = "battery room"
ambient = "30 degC"

[circuits.c-battery]
length = "1 m"
place = "battery room"
ambient = "30 degC"
device = "battery-breaker"

[devices.run-breaker]
kind = "breaker"
supply = "dc"
current = "35 A"
dc_voltage = "150 VDC"
breaking = "5 kA"
polarity = "none"
poles = 1

[devices.battery-breaker]
kind = "breaker"
supply = "dc"
current = "100 A"
dc_voltage = "125 VDC"
breaking = "20 kA"
polarity = "none"
poles = 1

[devices.fuse]
kind = "fuse"
supply = "dc"
current = "20 A"
dc_voltage = "600 VDC"
breaking = "10 kA"
polarity = "none"
curve = "gPV"
"""

SOUND = {
    "site.lightning": "2",
    "site.electrode": "rod",
    "site.electrodes_joined": "yes",
    "arrays.south.on_building": "no",
    "arrays.south.enters": "occupied building",
    "arrays.south.arc_fault": "yes",
    "arrays.south.ground_fault": "monitor that interrupts",
    "arrays.south.rapid_shutdown": "outside the array",
    "bank.system_earthing": "negative",
    "bank.chemistry": "agm",
    "bank.lowest_temperature": "10 degC",
    "bank.highest_temperature": "25 degC",
    "controllers.c.sensor": "on the battery",
    "controllers.c.battery_limit": "40 V",
    "bank.block_voltage": "2 V",
    "bank.series": "12",
    "bank.strings": "1",
    "bank.block_resistance": "0.4 mohm",
    "bank.block_resistance_aged": "0.9 mohm",
    "bank.cells": "12",
    "bank.block_capacity": "400 Ah",
    "bank.depth": "50 %",
    "bank.charge_current": "100 A",
    "bank.overcharge_stop": "yes",
    "bank.ventilation": "natural openings",
    "bank.vent_opening": "4000 cm^2",
    "bank.spark_distance": "2 m",
}
"""What else a sound site says: how it is protected, earthed, and what its battery drives into a fault."""


def wired(changes: dict[str, str] | None = None, more: str = "") -> Design:
    """The wired site with ``changes`` (path to typed text; empty clears) and ``more`` tables."""
    return site({**SOUND, **(changes or {})}, WIRED + more)


def judged(changes: dict[str, str] | None = None, more: str = "") -> Evaluation:
    """What the engine says about the changed site."""
    return evaluate(wired(changes, more))


def circuit(id: str, changes: dict[str, str] | None = None, more: str = "") -> CircuitResult:
    """One circuit of the changed site."""
    return judged(changes, more).circuits[id]


def found(evaluation: Evaluation, rule: str, where: str) -> Finding:
    """The one finding of a rule at a place."""
    (finding,) = [item for item in evaluation.findings if (item.rule, item.where) == (rule, where)]
    return finding


__all__ = ["SECOND_ARRAY", "circuit", "found", "judged", "wired"]
