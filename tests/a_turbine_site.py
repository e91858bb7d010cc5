"""An invented site of the tests with a wind and a hydro turbine, and any change to it in typed text."""

from __future__ import annotations

from engine.codec import loads
from engine.design import Design
from engine.edit import set_fields
from engine.evaluation import Evaluation, evaluate

SITE = """
format = 1
name = "Test mill"
invented = true
rules = "nec-2023"

[site]
design_low = "-10 degC"
record_low = "-22 degC"
design_high = "35 degC"
lightning = 2
electrode = "rod"
electrodes_joined = true

[wind.mast]
controller = "w"
rated_power = "1 kW"
rated_current = "20 A"
volts_per_speed = "0.12 V/rpm"
runaway_speed = "900 rpm"
resistance = "0.5 ohm"
open_voltage = "108 V"
brake = "short circuit"
furling_wind = "11 m/s"
limiter_on = "100 V"
limiter_off = "85 V"
limiter_resistance = "6 ohm"
limiter_power = "1.8 kW"

[hydro.creek]
controller = "h"
rated_power = "1.1 kW"
rated_current = "6 A"
rated_speed = "1500 rpm"
runaway_factor = 1.8
volts_per_speed = "0.165 V/rpm"
resistance = "3.5 ohm"
open_voltage = "446 V"

[controllers.w]
standoff_limit = "150 V"
operating_limit = "145 V"
start_above_battery = "5 V"
current_limit = "60 A"
short_circuit_limit = "60 A"
back_feed = "0 A"

[controllers.h]
standoff_limit = "600 V"
operating_limit = "550 V"
start_above_battery = "5 V"
current_limit = "60 A"
short_circuit_limit = "30 A"
back_feed = "0 A"

[bank]
voltage = "48 V"
lowest_voltage = "44 V"
highest_voltage = "58.8 V"
system_earthing = "negative"
covered = true

[circuits.mast-alternator]
length = "20 m"
place = "outdoors"
ambient = "30 degC"
wet = true

[circuits.mast-brake]
length = "1 m"
place = "indoors"
ambient = "30 degC"

[circuits.mast-run]
length = "60 m"
place = "buried"
ambient = "30 degC"
wet = true
surge = "both ends"
surge_voltage = "150 V"

[circuits.mast-limiter]
length = "2 m"
place = "indoors"
ambient = "30 degC"

[circuits.creek-alternator]
length = "3 m"
place = "indoors"
ambient = "30 degC"

[circuits.creek-run]
length = "50 m"
place = "buried"
ambient = "30 degC"
wet = true

[devices.breaker]
kind = "breaker"
supply = "dc"
current = "30 A"
dc_voltage = "600 V"
breaking = "10 kA"
polarity = "none"
poles = 2

[devices.switch]
kind = "switch"
supply = "dc"
current = "40 A"
dc_voltage = "600 V"
polarity = "none"
poles = 2
"""


def turbines(changes: dict[str, str] | None = None, more: str = "") -> Design:
    """The site with ``changes`` (path to typed text; empty clears) and ``more`` tables."""
    return set_fields(loads(SITE + more, "test.toml"), changes or {})


def turbines_judged(changes: dict[str, str] | None = None, more: str = "") -> Evaluation:
    """What the engine says about the changed site."""
    return evaluate(turbines(changes, more))
