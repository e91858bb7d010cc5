"""A small invented battery site without sources: one bank, an inverter, a generator and two dc loads."""

from __future__ import annotations

from engine.codec import loads
from engine.design import Design
from engine.edit import set_fields
from engine.evaluation import Evaluation, evaluate
from engine.finding import Finding
from engine.sections.results import CircuitResult

SITE = """
format = 1
name = "Test bench"
invented = true
rules = "nec-2023"

[site]
design_high = "30 degC"

[bank]
voltage = "24 V"
lowest_voltage = "22 V"
highest_voltage = "30 V"
block_voltage = "2 V"
block_resistance = "0.5 mohm"
block_resistance_aged = "1 mohm"
series = 12
strings = 2
system_earthing = "negative"

[inverters.house]
power = "2500 W"
efficiency = "85 %"
ac_voltage = "120 V"
fault_current = "60 A"
neutral_bond = "in panel"
residual_device = "class A"

[generators.set]
power = "3000 W"
ac_voltage = "120 V"
charger_current = "50 A"
fault_current = "200 A"
sustained_current = "80 A"
neutral_bond = "bonded"
residual_device = "class A"
feeds = "its charger only"

[loads.lamp]
kind = "dc"
power = "110 W"

[loads.radio]
kind = "dc"
power = "22 W"
number = 2

[circuits.bank-string]
length = "1 m"

[circuits.house-battery]
length = "2 m"
device = "fuse"

[circuits.panel-battery]
length = "2 m"

[circuits.lamp-branch]
length = "10 m"

[circuits.radio-branch]
length = "5 m"

[circuits.set-charger]
length = "20 m"

[circuits.set-battery]
length = "2 m"

[circuits.house-output]
length = "10 m"
device = "breaker"

[devices.fuse]
kind = "fuse"
supply = "dc"
current = "175 A"
dc_voltage = "80 VDC"
breaking = "20 kA"
poles = 1
polarity = "none"

[devices.breaker]
kind = "breaker"
supply = "ac"
current = "30 A"
ac_voltage = "120 VAC"
breaking = "10 kA"
poles = 1
"""


def bench(changes: dict[str, str] | None = None, more: str = "") -> Design:
    """The site with ``changes`` (path to typed text; empty clears) and ``more`` tables."""
    return set_fields(loads(SITE + more, "bench.toml"), changes or {})


def judged(changes: dict[str, str] | None = None, more: str = "") -> Evaluation:
    """What the engine says about the changed site."""
    return evaluate(bench(changes, more))


def circuit(id: str, changes: dict[str, str] | None = None, more: str = "") -> CircuitResult:
    """One circuit of the changed site."""
    return judged(changes, more).circuits[id]


def found(evaluation: Evaluation, rule: str, where: str) -> Finding:
    """The one finding of a rule at a place."""
    (finding,) = [item for item in evaluation.findings if (item.rule, item.where) == (rule, where)]
    return finding
