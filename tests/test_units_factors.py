"""Every unit's factor, held against an independent units library (pint) and against published factors."""

from __future__ import annotations

import math
from fractions import Fraction
from functools import cache
from typing import Any

import pint
import pytest

from engine.units import parse
from engine.units.names import expression, known_names


@cache
def registry() -> Any:
    """Pint, taught only the names that the trade has and pint has not."""
    found: Any = pint.UnitRegistry()
    for definition in (
        "gpm = gallon / minute",
        "ft_min = foot ** 3 / minute",
        "VDC = volt = _ = Vdc",
        "VAC = volt = _ = Vac",
        "Wp = watt",
        "y = year",
    ):
        found.define(definition)
    return found


def by_pint(unit: str) -> Any:
    """One of ``unit`` in pint's base units; a degree is a difference, as in a coefficient."""
    text = unit.replace("cfm", "ft_min").replace("%", "percent").replace("Ω", "ohm")
    text = text.replace("²", "**2").replace("³", "**3").replace("·", "*")
    text = text.replace("mm2", "mm**2").replace("degC", "kelvin").replace("degF", "(5/9*kelvin)")
    text = text.replace("°C", "kelvin").replace("°F", "(5/9*kelvin)").replace("°", "degree")
    return registry().parse_expression(f"1*{text}" if not text.startswith("1/") else text).to_base_units()


EXPRESSIONS = (
    "A*s A*h ohm/m ohm/km ohm/ft ohm/kft mohm/m m^2 cm^2 mm^2 mm2 mm² ft^2 in^2 L/s m^3/s m^3/h m³/hour "
    "gal/min gallon/min ft^3/min m/s km/h km/hour rad/s J/m^2 MJ/m^2 W/m^2 kWh/m^2 kWh/m²  kg/m^3 lb/ft^3 "
    "Pa*s mPa·s %/K %/degC %/degF V/K mV/K mV/degC mV/°C 1/K 1/degF mA/Ah V/rpm mV/rpm V/krpm W/K A/K 1/h "
    "1/day %/h kΩ kWh/day"
).split()


@pytest.mark.parametrize("unit", [*known_names(), *EXPRESSIONS])
def test_that_every_unit_accepted_is_what_an_independent_library_says(unit: str) -> None:
    theirs = by_pint(unit)
    ours = expression(unit).factor
    if any(base == "deg" for base, _ in expression(unit).dims):  # pint counts an angle in radians
        ours *= Fraction(math.pi / 180) ** dict(expression(unit).dims)["deg"]
    assert float(ours) == pytest.approx(theirs.magnitude, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("1 gal", "m^3", 3.785412e-3),
        ("1 gal/min", "m^3/s", 6.309020e-5),
        ("1 cfm", "m^3/s", 4.719474e-4),
        ("1 psi", "Pa", 6.894757e3),
        ("1 lb", "kg", 4.535924e-1),
        ("1 mi", "m", 1.609344e3),
        ("1 mph", "m/s", 4.4704e-1),
        ("1 knot", "m/s", 5.144444e-1),
        ("1 atm", "Pa", 1.01325e5),
        ("1 ft^2", "m^2", 9.290304e-2),
        ("1 lb/ft^3", "kg/m^3", 1.601846e1),
    ],
)
def test_that_factors_are_the_published_ones(text: str, unit: str, value: float) -> None:
    """Guide for the Use of the SI, NIST, 2008, SP 811 appendix B.8 (from memory), seven digits printed."""
    assert parse(text, unit) == pytest.approx(value, rel=5e-7)
