"""The starting file of a new site: every table in the order of the job, each field with what it means.

The examples are commented out as ``#name = value``; taking the ``#`` away enters them. The words beside them
come from the fields' own descriptions, so that they can't grow old.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from textwrap import wrap

from engine import units
from engine.design import FORMAT, KEYED, SINGLE, About
from engine.entry import range_text
from engine.fields import Record, Spec

_WORDS_AT = 46
_WIDTH = 116

_HEAD = """\
# A Farstead site file. Everything about one site stands here; comments stay when the program saves.
# Take the # away before a line to enter it. A quantity is a text with its unit: "44.5 V", "190 ft",
# "12 ft 6 in", "-0.28 %/K", "-20 degF", "35 mm2", "2/0 AWG". Counts and plain numbers stand bare.
# What is not entered is unknown, and the verdict says so; some fields have a default, named beside them.
# The examples are no recommendation. Take the numbers from the makers' sheets and the site.
"""

_EXAMPLE = """
# ---- 1. Demand: each thing that draws power; copy the block for the next one

[loads.fridge]
label = "Refrigerator"
power = "75 W"
kind = "ac"
number = 1
hours = "9 h"
days_a_week = 7
months = [1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1]
surge_factor = 5
standby = "0 W"
critical = true

# ---- 2. Place: the coldest air decides which voltages can stand; a mean hides it

[site]
latitude = "47.6 deg"
longitude = "-92.1 deg"
elevation = "430 m"
design_low = "-35 degC"
design_low_from = "weather service"
record_low = "-44 degC"
record_low_from = "weather service"
design_high = "33 degC"
design_high_from = "weather service"
sun = [
    "1.5 kWh/m^2", "2.6 kWh/m^2", "3.9 kWh/m^2", "4.8 kWh/m^2", "5.5 kWh/m^2", "5.9 kWh/m^2",
    "6.0 kWh/m^2", "5.1 kWh/m^2", "3.7 kWh/m^2", "2.3 kWh/m^2", "1.4 kWh/m^2", "1.2 kWh/m^2",
]
wind_speed = "4.7 m/s"
wind_height = "10 m"
lightning = 2
building = "dwelling"
electrode = "rod"
electrodes_joined = true

# ---- 3. Sources

[modules.m1]
label = "400 W module"
voc = "49.6 V"
isc = "10.2 A"
vmp = "41.3 V"
imp = "9.69 A"
beta_voc = "-0.27 %/K"
alpha_isc = "0.048 %/K"
gamma_pmp = "-0.35 %/K"
series_fuse = "20 A"
system_voltage = "1000 VDC"
cells = 72
noct = "45 degC"
silicon = true

[arrays.south]
label = "South array"
module = "m1"
modules = 2
strings = 3
controller = "sun-charger"
tilt = "55 deg"
azimuth = "180 deg"
mounting = "open rack"
on_building = false
enters = "occupied building"
arc_fault = true
ground_fault = "monitor that interrupts"
rapid_shutdown = "outside the array"

[wind.mast]
label = "Turbine on the mast"
controller = "wind-charger"
diameter = "2.5 m"
hub_height = "20 m"
best_cp = "32 %"
best_ratio = 6.3
rated_power = "1 kW"
rated_wind = "11 m/s"
furling_wind = "11.5 m/s"
volts_per_speed = "0.12 V/rpm"
resistance = "0.45 ohm"
rated_current = "19 A"
largest_speed = "950 rpm"
runaway_speed = "900 rpm"
open_voltage = "108 V"
brake = "short circuit"

[hydro.creek]
label = "Turbine on the creek"
controller = "creek-charger"
gross_head = "62 m"
flow = "3.2 L/s"
residual_flow = "6 L/s"
pipe_length = "480 m"
pipe_diameter = "79.2 mm"
pipe_material = "polyethylene"
pipe_wall = "5.4 mm"
pipe_pressure = "10 bar"
fittings = 3.5
closure_time = "20 s"
air_vent = true
turbine = "pelton"
nozzles = 2
nozzle_diameter = "7.8 mm"
wheel_diameter = "195 mm"
efficiency = "68 %"
rated_power = "1.1 kW"
rated_speed = "1500 rpm"
largest_speed = "3200 rpm"
runaway_factor = 1.8
volts_per_speed = "0.165 V/rpm"
resistance = "3.5 ohm"
rated_current = "6 A"
open_voltage = "460 V"

# ---- 4. Charge controllers: one for each kind of source

[controllers.sun-charger]
label = "Sun charger"
kind = "tracking"
standoff_limit = "150 V"
operating_limit = "145 V"
start_above_battery = "5 V"
current_limit = "100 A"
current_points = [
    ["20 V", "100 A"], ["120 V", "85 A"],
]
short_circuit_limit = "60 A"
back_feed = "0 A"
terminal = "75 degC"

[controllers.wind-charger]
kind = "tracking"

[controllers.creek-charger]
kind = "tracking"

[controllers.surplus]
kind = "diversion"

# ---- 5. Storage, and what hangs on it

[bank]
chemistry = "flooded"
voltage = "24 V"
lowest_voltage = "22.2 V"
highest_voltage = "31.8 V"
block_voltage = "2 V"
block_capacity = "1100 Ah"
block_resistance = "0.25 mohm"
block_resistance_aged = "0.6 mohm"
series = 12
strings = 1
cells = 12
lowest_temperature = "5 degC"
autonomy = "72 h"
depth = "50 %"
charge_current = "165 A"
absorption = "2.44 V"
float_voltage = "2.25 V"
equalize = "2.58 V"
compensation = "-5 mV/K"
clamp_low = "2.2 V"
clamp_high = "2.65 V"
equalize_days = 60
system_earthing = "negative"
covered = true

[inverters.house]
power = "2.5 kW"
surge = "6 kW"
efficiency = "90 %"
idle = "18 W"
lowest_voltage = "21 V"
highest_voltage = "34 V"
ac_voltage = "120 V"

[generators.shed]
power = "3.5 kW"
ac_voltage = "120 V"
charger_current = "60 A"
feeds = "its charger only"

# ---- 6. Wiring: circuits are derived from what they join; here stands what a drawing can't know.
# An array south has south-string and south-run; a controller has one to the battery, sun-charger-battery.
# A turbine mast has mast-alternator, mast-brake, mast-run and mast-limiter; check lists all that there are.

[circuits.south-run]
length = "26 m"
place = "buried"
method = "raceway"
ambient = "20 degC"
conductors = 2
insulation = "90 degC"
insulation_voltage = "600 V"
wet = true
allowed_drop = "2 %"
surge = "both ends"
surge_voltage = "180 V"
size = "4 AWG"
device = "b1"

# ---- 7. Protection: breakers, fuses and switches in hand, what is printed on them

[devices.b1]
label = "50 A breaker"
kind = "breaker"
supply = "dc"
current = "50 A"
dc_voltage = "150 VDC"
breaking = "10 kA"
poles = 1
polarity = "none"
continuous = false

# ---- 8. Set-up: diversion and relays; the set points stand with the bank

[diversions.heater]
controller = "surplus"
rated_power = "2 kW"
rated_voltage = "33 V"
resistance = "0.545 ohm"
kind = "air heater"
own_thermostat = false
diverts_at = "29.6 V"

[relays.divert]
purpose = "diversion load"
watches = "battery voltage"
on_at = "29.6 V"
off_at = "28.4 V"
on_delay = "1 s"
least_on = "20 s"
off_delay = "5 s"
diversion = "heater"
rest_state = "open"
solid_state = true
solid_state_dc = true
contact_voltage = "80 VDC"
contact_current = "100 A"

# ---- Prices, in your own money

[wires.w1]
size = "4 AWG"
price = 4.8

[prices]
currency = "dollars"
array_watt = 0.7
stored_kwh = 210
generator_kwh = 1.1
"""

_IEC = {'"raceway"': '"D1"', '"4 AWG"': '"25 mm2"', '"120 V"': '"230 V"', '"600 V"': '"1000 V"'}
_FIELD = re.compile(r"([a-z_]+) = ")
_HEADER = re.compile(r"\[([a-z]+)(?:\.[a-z0-9-]+)?\]")


def text(rules: str = "nec-2023") -> str:
    """The starting file for a rule family: it opens as it stands, with nothing entered but its head."""
    habit = "metric" if rules == "iec" else "us"
    head = {"name": "New site", "rules": rules, "units": habit}
    lines = [_HEAD, f"format = {FORMAT}"]
    for name, value in head.items():
        lines += _explained(f'{name} = "{value}"', About.specs()[name], habit)
    return "\n".join([*lines, *_body(habit)]) + "\n"


def _body(habit: str) -> Iterator[str]:
    """The example with its fields commented out and explained."""
    kind: type[Record] = About
    for line in _EXAMPLE.splitlines():
        if header := _HEADER.fullmatch(line):
            kind = SINGLE.get(header[1]) or KEYED[header[1]]
            yield line if header[1] in SINGLE else f"#{line}"
        elif field := _FIELD.match(line):
            if habit == "metric":
                line = re.sub(r'"[^"]*"', lambda found: _IEC.get(found[0], found[0]), line)
            yield from _explained(f"#{line}", kind.specs()[field[1]], habit)
        else:
            yield line if not line or line.startswith("#") else f"#{line}"


def _explained(line: str, spec: Spec, habit: str) -> Iterator[str]:
    """A line with what its field means beside it, in the words of the field's description."""
    parts = [spec.title]
    if spec.words:
        parts.append("one of " + ", ".join(spec.words))
    elif reach := range_text(spec, habit):
        parts.append(reach)
    if spec.default is not None:
        parts.append(f"default {_default(spec, habit)}")
    words = ". ".join(filter(None, ("; ".join(parts), spec.help)))
    for row in wrap(words, _WIDTH - _WORDS_AT):
        yield f"{line:<{_WORDS_AT - 2}}  # {row}"
        line = ""


def _default(spec: Spec, habit: str) -> str:
    if spec.kind == "flag":
        return str(spec.default).lower()
    if spec.kind == "quantity":
        return units.show(spec.default, spec.unit, habit)
    return str(spec.default)
