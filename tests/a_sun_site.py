"""One small invented sun site for the tests, complete and sound, and any change to it in typed text."""

from __future__ import annotations

from engine.codec import loads
from engine.design import Design
from engine.edit import set_fields
from engine.sections import sources, window
from engine.sections.results import ArrayResult, ControllerResult
from engine.tables.family import family

SITE = """
format = 1
name = "Test hut"
invented = true
rules = "nec-2023"

[site]
elevation = "400 m"
design_low = "-10 degC"
record_low = "-22 degC"
design_high = "35 degC"

[modules.m]
voc = "49.5 V"
isc = "11.2 A"
vmp = "41.5 V"
imp = "10.6 A"
beta_voc = "-0.27 %/K"
alpha_isc = "0.05 %/K"
gamma_pmp = "-0.35 %/K"
series_fuse = "20 A"
system_voltage = "1000 V"
cells = 72
silicon = true

[arrays.south]
module = "m"
modules = 2
strings = 2
controller = "c"
mounting = "open rack"

[controllers.c]
kind = "tracking"
standoff_limit = "150 V"
operating_limit = "145 V"
start_above_battery = "5 V"
current_limit = "80 A"
short_circuit_limit = "60 A"
back_feed = "0 A"

[bank]
voltage = "24 V"
lowest_voltage = "22 V"
highest_voltage = "30 V"
"""

SECOND_ARRAY = """
[arrays.west]
module = "m"
modules = 2
strings = 1
controller = "c"
mounting = "open rack"
"""


def site(changes: dict[str, str] | None = None, more: str = "") -> Design:
    """The site with ``changes`` (path to typed text; empty clears) and ``more`` tables."""
    return set_fields(loads(SITE + more, "test.toml"), changes or {})


def results(design: Design) -> tuple[dict[str, ArrayResult], dict[str, ControllerResult]]:
    """The sections' results: arrays and controllers."""
    arrays = sources.arrays(design, family(design.rules))
    return arrays, window.controllers(design, arrays)


def array(changes: dict[str, str] | None = None, more: str = "", id: str = "south") -> ArrayResult:
    """One array's result on the changed site."""
    return results(site(changes, more))[0][id]


def controller(changes: dict[str, str] | None = None, more: str = "") -> ControllerResult:
    """The controller's result on the changed site."""
    return results(site(changes, more))[1]["c"]
