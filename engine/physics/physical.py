"""Physical constants and the standard conditions of photovoltaic data sheets, each with its source."""

from __future__ import annotations

# Exact by definition: "The International System of Units (SI)", BIPM, 9th edition, 2019.
BOLTZMANN = 1.380649e-23  # J/K
ELEMENTARY_CHARGE = 1.602176634e-19  # C
ZERO_CELSIUS = 273.15  # K

# Exact by convention: 3rd General Conference on Weights and Measures, 1901.
GRAVITY = 9.80665  # m/s^2

# "U.S. Standard Atmosphere, 1976", NOAA, NASA and USAF, 1976, table 1 (ISO 2533 has the same).
STANDARD_PRESSURE = 101_325.0  # Pa
STANDARD_LAPSE = 0.0065  # K/m
STANDARD_SEA_LEVEL = 288.15  # K
GAS_CONSTANT_AIR = 287.05287  # J/(kg K)

# Standard test conditions: "IEC 60904-3, Photovoltaic devices, part 3", IEC (from memory).
STC_TEMPERATURE = 25.0  # degC, of the cell
STC_IRRADIANCE = 1000.0  # W/m^2

# Nominal operating cell temperature: "IEC 61215-2, Terrestrial photovoltaic modules", IEC (from memory).
NOCT_AMBIENT = 20.0  # degC
NOCT_IRRADIANCE = 800.0  # W/m^2
