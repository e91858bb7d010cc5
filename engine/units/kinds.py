"""The kinds of quantity: one canonical unit each, what to call it, an example, and the units it shows in."""

from __future__ import annotations

from dataclasses import dataclass

from engine.units.names import Dims, expression

Steps = tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Scale:
    """The units that a quantity is shown in.

    ``main`` stands on axes. In running text a small one is used below a value, a large one from a value on;
    these values are in the main unit.
    """

    main: str
    small: Steps = ()
    large: Steps = ()


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of quantity. ``noun`` with its article, ``example`` as a person would type it."""

    unit: str
    noun: str
    example: str
    metric: Scale
    us: Scale
    also: tuple[Dims, ...] = ()

    @property
    def dims(self) -> tuple[Dims, ...]:
        """The dimensions that text of this kind may have."""
        return () if self.unit == "money" else (expression(self.canonical).dims, *self.also)

    @property
    def canonical(self) -> str:
        """The canonical unit as a unit expression: empty for plain numbers, fractions and money."""
        return "" if self.unit in PLAIN else self.unit

    def scale(self, habit: str) -> Scale:
        """The units shown in a habit, "metric" or "us", or in formulas, "si"; any other raises KeyError."""
        return {"metric": self.metric, "us": self.us, "si": Scale(self.written)}[habit]

    @property
    def written(self) -> str:
        """The unit that stands in a formula: canonical, but lengths in m, coefficients in %/K."""
        if self.unit in (*PLAIN, "1/K", "degC", "deg"):
            return self.metric.main
        if self.unit == "mm":
            return "m"
        return self.unit.replace("^2", "²").replace("^3", "³").replace("*", "·")


PLAIN = ("1", "%", "money")  # canonical units whose values are plain numbers, in JSON too


def _kind(unit: str, noun: str, example: str, metric: Scale, us: Scale | None = None, also: str = "") -> Kind:
    others = (expression(also).dims,) if also else ()
    return Kind(unit, noun, example, metric, us or metric, others)


def _scale(main: str, *small: tuple[str, float], large: Steps = ()) -> Scale:
    return Scale(main, small, large)


def _kilo(unit: str) -> Scale:
    return Scale(unit, large=(("k" + unit, 1e3), ("M" + unit, 1e6)))


_ROWS = (
    _kind("1", "a plain number", "1.25", _scale("")),
    _kind("%", "a share", "3 %", _scale("%")),
    _kind("money", "a sum of money, as a plain number,", "12.50", _scale("")),
    _kind("V", "a voltage", "44.5 V", _scale("V", ("mV", 0.1), large=(("kV", 1e4),))),
    _kind("A", "a current", "13.2 A", _scale("A", ("mA", 0.1), large=(("kA", 1e4),))),
    _kind("W", "a power", "300 W", _kilo("W")),
    _kind("VA", "an apparent power", "3000 VA", _kilo("VA")),
    _kind("Wh", "an energy", "2.4 kWh", _kilo("Wh")),
    _kind("J", "an energy", "5 MJ", _kilo("J")),
    _kind("Ah", "a capacity", "200 Ah", _scale("Ah"), also="A*s"),
    _kind("ohm", "a resistance", "2.2 ohm", _scale("ohm", ("mohm", 1), large=(("kohm", 1e3),))),
    _kind("ohm/m", "a resistance per length", "1.24 ohm/kft", _scale("ohm/km"), _scale("ohm/kft")),
    _kind("s", "a time", "2 s", _scale("s", ("ms", 0.1))),
    _kind("h", "a time", "20 h", _scale("h")),
    _kind("day", "a time", "3 day", _scale("day")),
    _kind("m", "a length", "190 ft", _scale("m", ("mm", 0.1)), _scale("ft", ("in", 1))),
    _kind("mm", "a length", "11.7 mm", _scale("mm"), _scale("in")),
    _kind("m^2", "an area", "2.6 m^2", _scale("m²"), _scale("ft²")),
    _kind("cm^2", "an area", "28 cm^2", _scale("cm²"), _scale("in²")),
    _kind("mm^2", "an area", "35 mm^2", _scale("mm²")),
    _kind("m^3", "a volume", "200 L", _scale("L", large=(("m³", 1e4),)), _scale("gal")),
    _kind("m^3/s", "a flow", "5.2 L/s", _scale("L/s", large=(("m³/s", 1e4),)), _scale("gal/min")),
    _kind("m^3/h", "an air flow", "12 m^3/h", _scale("m³/h"), _scale("cfm")),
    _kind("m/s", "a speed", "5.5 m/s", _scale("m/s"), _scale("mph")),
    _kind("kg", "a mass", "27 kg", _scale("kg", ("g", 0.1)), _scale("lb")),
    _kind("kg/m^3", "a density", "1.225 kg/m^3", _scale("kg/m³"), _scale("lb/ft³")),
    _kind(
        "Pa",
        "a pressure",
        "4.5 bar",
        _scale("kPa", ("Pa", 1), large=(("bar", 1e3), ("GPa", 1e6))),
        _scale("psi"),
    ),
    _kind("Pa*s", "a viscosity", "1.31e-3 Pa*s", _scale("mPa·s", large=(("Pa·s", 1e3),))),
    _kind("J/m^2", "an energy per area", "18 MJ/m^2", _scale("MJ/m²", ("kJ/m²", 1))),
    _kind("Wh/m^2", "an energy per area", "4.6 kWh/m^2", _scale("Wh/m²", large=(("kWh/m²", 1e3),))),
    _kind("W/m^2", "an irradiance", "1000 W/m^2", _scale("W/m²")),
    _kind("rpm", "a rotor speed", "320 rpm", _scale("rpm")),
    _kind("deg", "an angle", "35 deg", _scale("°")),
    _kind("V/rpm", "a voltage per rotor speed", "0.12 V/rpm", _scale("V/rpm", ("mV/rpm", 0.1))),
    _kind("degC", "a temperature", "-12 degC", _scale("°C"), _scale("°F")),
    _kind("K", "a temperature difference", "25 K", _scale("K"), _scale("°F")),
    _kind("1/K", "a temperature coefficient", "-0.28 %/K", _scale("%/K"), _scale("%/°C")),
    _kind(
        "V/K",
        "a voltage per degree",
        "-170 mV/K",
        _scale("V/K", ("mV/K", 1)),
        _scale("V/°C", ("mV/°C", 1)),
    ),
    _kind("A/K", "a current per degree", "5 mA/K", _scale("A/K", ("mA/K", 1)), _scale("A/°C", ("mA/°C", 1))),
    _kind("W/K", "a power per degree", "-1.4 W/K", _scale("W/K"), _scale("W/°C")),
    _kind("A/Ah", "a current per capacity", "1 mA/Ah", _scale("mA/Ah")),
    _kind("1/h", "a rate", "C/10", _scale("1/h")),
)

KINDS: dict[str, Kind] = {row.unit: row for row in _ROWS}


def kind_of(unit: str) -> Kind:
    """The kind whose canonical unit this is; an unknown one is a programmer's mistake (KeyError)."""
    try:
        return KINDS[unit]
    except KeyError:
        raise KeyError(
            f"engine.units has no canonical unit {unit!r}: add it to engine/units/kinds.py"
        ) from None


def noun_of(dims: Dims) -> str:
    """What a person calls a quantity of these dimensions: ``"a current"``; empty where there is no name."""
    return next((row.noun for row in _ROWS if row.unit != "money" and dims in row.dims), "")


def describe(unit: str, example: str = "") -> str:
    """What is wanted, for messages: ``"a voltage such as 44.5 V"``; with an example of one's own."""
    kind = kind_of(unit)
    return f"{kind.noun} such as {example or kind.example}"
