"""The worksheets that callers count on: their ids, inputs, defaults, outputs and words."""

from __future__ import annotations

from engine.worksheet import Worksheet

# What callers count on: id | inputs, the default behind "=" | outputs. More may be added, none renamed.
PROMISED = """
pv-cold-voltage | voc, beta_voc, temperature, modules=1 | module_voltage, voltage, factor
pv-table-voltage | voc, temperature, modules=1 | factor, module_voltage, voltage
pv-hot-voltage | vmp, beta_vmp, temperature, modules=1, drop=0 % | module_voltage, voltage
pv-longest-string | voc, beta_voc, temperature, limit, method=coefficient | modules, voltage, headroom
pv-shortest-string | vmp, beta_vmp, temperature, floor, drop=0 %, margin=0 % | modules, module_voltage
pv-cell-temperature | ambient, irradiance, noct | temperature
pv-cell-temperature-wind | ambient, irradiance, wind_speed, u0=25, u1=6.84 | temperature
pv-power-at-temperature | power, gamma, temperature | power
pv-circuit-current | isc, strings=1, gain=0 %, rules=nec-2023 | maximum_current, design_current
pv-string-fuse | isc, module_fuse, strings, back_feed=0 A, irradiance_factor, rules=nec-2023 \
| reverse_current, required, minimum, maximum, rating
pv-one-diode | photocurrent, saturation_current, series_resistance, shunt_resistance, ideality, cells, \
cell_temperature | isc, voc, imp, vmp, pmp
sun-declination | day | declination
sun-incidence | latitude, day, hour_angle, tilt, azimuth | incidence
sun-extraterrestrial | latitude, day, solar_constant=1367 W/m^2 | energy, daylight
sun-hour-share | latitude, day, hour_angle | share
wire-geometry | size | diameter, area
wire-resistance | size, material=copper, strand=stranded, temperature=75 degC, rules=nec-2023 | resistance
voltage-drop | length, current, voltage, size, material=copper, temperature=75 degC, rules=nec-2023, \
resistance, conductors=2 | drop, fraction, loss
wire-ampacity | size, insulation, material=copper, ambient=30 degC, conductors=2, circuits=1, method, \
rules=nec-2023 | base, ambient_factor, bundling_factor, ampacity
wire-for-circuit | current, continuous=true, terminal, insulation=90 degC, ambient, conductors, material, \
rules=nec-2023, method | size, ampacity, governed_by
wire-for-drop | current, length, voltage, allowed, material, temperature, rules=nec-2023 | size, fraction
fault-withstand | size, material, insulation, fault_current, time, role=live | withstands, minimum_area
wire-saving | current, length, voltage, sizes, prices, temperature, rules=nec-2023 | losses, price_per_watt
device-rating | current, continuous=true, rules=nec-2023 | minimum, rating
device-limit | size, insulation, material, ambient=30 degC, conductors=2, rules=nec-2023 | rating
device-voltage-class | voltage, rules=nec-2023 | voltage_class
earthing-conductor | device, material, baseline_size, circuit_size, kind, rules=nec-2023 | size
electrode-conductor | size, material, electrode, system, rules=nec-2023 | size
inverter-dc-current | power, efficiency, lowest_voltage | current, design_current
battery-fault-current | voltage, resistance, series, strings, circuit_resistance=0 ohm \
| string_current, current
battery-capacity | daily_energy, autonomy, depth, voltage, temperature_multiplier=1, efficiency=100 % \
| energy, capacity
battery-bank | capacity, block_capacity, block_voltage, voltage \
| series, parallel, blocks, installed_capacity, installed_energy
battery-runtime | capacity, rated_time, current, exponent | time, delivered
charge-setpoint | per_cell, cells, coefficient, temperature, reference=25 degC, minimum, maximum \
| per_cell, voltage, clamped
battery-ventilation | cells, capacity, gas_current, charge_current, vents=1 | airflow, opening, distance
hydrogen-rate | cells, current | airflow
two-well-battery | capacity, available_share, rate, current | lifetime, delivered
cycle-count | history | ranges, counts
diversion-load | controller_current, highest_voltage, source_power, rules=nec-2023 \
| load_current_limit, load_power, resistance_low, resistance_high, conductor_current
resistor-power | rated_power, rated_voltage, voltage | power
air-density | temperature, pressure, elevation | density, pressure
wind-power | speed, density, diameter, cp=1 | power, power_density
wind-shear | speed, height, target, exponent, roughness, displacement=0 m | speed
wind-mean-power | mean_speed, shape=2, density | power_density, pattern_factor
wind-annual-energy | power_density, diameter, efficiency | energy
tip-speed-ratio | rotor_speed, diameter, wind_speed | ratio
rotor-speed | ratio, diameter, wind_speed | rotor_speed
rotor-coefficient | ratio, pitch=0 deg | cp
hydro-power | head, flow, efficiency, density=1000 kg/m^3 | power
hydro-jet | head, coefficient=0.98, flow, jets=1 | velocity, diameter
hydro-best-flow | gross_head | friction_loss
pipe-loss | flow, diameter, length, roughness, density=1000 kg/m^3, viscosity=1.31e-3 Pa*s \
| velocity, reynolds, friction_factor, head_loss
pipe-loss-hazen | flow, diameter, length, c | velocity, head_loss
pipe-friction-factor | reynolds, relative_roughness | friction_factor
pipe-surge | velocity_change, density, bulk_modulus, diameter, wall, youngs_modulus, length, closure_time, \
static_head | celerity, pressure, total_pressure, critical_time
three-phase-rectifier | dc_voltage, dc_current | line_voltage, line_current
source-limiter | source_power, turn_on, turn_off, resistance, source_resistance | current, power, latches
alternator-voltage | rotor_speed, volts_per_speed, factor=1 | voltage
"""
LINES = [line.split("|") for line in PROMISED.strip().splitlines()]
# Words that may be typed for an input, among others.
WORDS = {
    ("pv-longest-string", "method"): "coefficient table",
    ("wire-resistance", "rules"): "nec-2023 nec-2020 nec-2017 iec",
    ("wire-ampacity", "method"): "A1 A2 B1 B2 C D1 E F G raceway free-air",
    ("fault-withstand", "role"): "live earthing",
    ("earthing-conductor", "kind"): "pv other",
    ("electrode-conductor", "electrode"): "rod concrete-encased water-pipe",
    ("electrode-conductor", "system"): "dc ac",
}


def example(sheet: Worksheet) -> dict[str, str]:
    """The examples of a sheet's own inputs; of inputs that stand for each other the first."""
    others = {name for group in sheet.one_of for name in group[1:]}
    return {item.name: item.example for item in sheet.inputs if item.name not in others}
