"""An invented site of the tests with one hydro turbine, complete and sound, and any change in typed text."""

from __future__ import annotations

from engine.codec import loads
from engine.design import Design, HydroTurbine
from engine.edit import set_fields
from engine.evaluation import Evaluation, evaluate
from engine.sections.hydro import HydroResult

SITE = """
format = 1
name = "Test brook"
invented = true
rules = "nec-2023"

[site]
design_low = "-10 degC"
record_low = "-22 degC"
design_high = "35 degC"

[hydro.brook]
label = "Brook"
controller = "h"
gross_head = "40 m"
flow = "6.115 L/s"
flow_months = ["20 L/s", "20 L/s", "20 L/s", "20 L/s", "20 L/s", "20 L/s",
               "20 L/s", "15 L/s", "15 L/s", "20 L/s", "20 L/s", "20 L/s"]
residual_flow = "5 L/s"
pipe_length = "200 m"
pipe_diameter = "102.2 mm"
pipe_material = "PVC"
pipe_wall = "6 mm"
pipe_pressure = "10 bar"
fittings = 2.5
closure_time = "20 s"
air_vent = true
intake_deep = true
turbine = "turgo"
nozzles = 2
nozzle_diameter = "12 mm"
wheel_diameter = "120 mm"
efficiency = "75 %"
rated_power = "1.2 kW"
rated_speed = "1950 rpm"
largest_speed = "4500 rpm"
runaway_factor = 1.8
volts_per_speed = "0.08 V/rpm"
resistance = "1 ohm"
rated_current = "14 A"
open_voltage = "300 V"

[controllers.h]
kind = "tracking"
standoff_limit = "400 V"
operating_limit = "380 V"
start_above_battery = "5 V"
current_limit = "60 A"
short_circuit_limit = "30 A"
back_feed = "0 A"

[bank]
voltage = "48 V"
lowest_voltage = "44 V"
highest_voltage = "58.8 V"

[circuits.brook-alternator]
length = "3 m"
place = "indoors"
ambient = "30 degC"

[circuits.brook-run]
length = "60 m"
place = "buried"
ambient = "30 degC"
"""

BROOK = "hydro.brook"


def hydro_site(changes: dict[str, str] | None = None) -> Design:
    """The site with ``changes``: a field of the turbine, or a whole path, to typed text; empty clears."""
    own = HydroTurbine.specs()
    whole = {f"{BROOK}.{name}" if name in own else name: text for name, text in (changes or {}).items()}
    return set_fields(loads(SITE, "test.toml"), whole)


def brook_judged(changes: dict[str, str] | None = None) -> Evaluation:
    """What the engine says about the changed site."""
    return evaluate(hydro_site(changes))


def brook(changes: dict[str, str] | None = None) -> HydroResult:
    """The turbine's result on the changed site."""
    return brook_judged(changes).hydro["brook"]
