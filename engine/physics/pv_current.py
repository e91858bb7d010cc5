"""Currents of PV circuits as the rules count them, and whether strings need their own fuses."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from engine.sources import Source
from engine.tables import table
from engine.tables.family import Family
from engine.worksheet import Output, count, family, quantity, worksheet

_ISC = quantity("isc", "A", "short-circuit current of a string at 25 degC", "11.2 A", above=0, symbol="Isc")


class CircuitCurrent(NamedTuple):
    """What a rule takes as the current, what a device and conductor are chosen for, and the two factors."""

    maximum_current: float
    design_current: float
    irradiance_factor: float
    continuous_factor: float


@worksheet(
    id="pv-circuit-current",
    subject="PV",
    title="Current of a PV circuit, as the rules take it",
    inputs=(
        _ISC,
        count("strings", "strings in parallel", "2", 1, high=1000),
        quantity("gain", "1", "extra current: both faces, snow, cloud edge", "10 %", 0.0, low=0, high=1),
        family(),
    ),
    outputs=(
        Output("maximum_current", "maximum current, which rules take as the current", "A", "I_max"),
        Output("design_current", "current for device and conductor before derating", "A", "I_design"),
        Output("irradiance_factor", "factor for bright hours", "1"),
        Output("continuous_factor", "factor for continuous duty", "1"),
    ),
    expression=(
        "maximum_current = irradiance_factor * isc * (1 + gain) * strings",
        "design_current = continuous_factor * maximum_current",
    ),
    source=Source(
        "NFPA 70, National Electrical Code; IEC 62548-1, Photovoltaic arrays",
        "National Fire Protection Association; IEC",
        "2017 to 2023; 2023",
        "690.8(A) and (B); current-carrying capacity of cables",
    ),
    validity="sun only; each factor counts once: 1.56 in all (NEC), 1.25 (IEC), never 1.95",
)
def circuit_current(isc: float, rules: Family, strings: int = 1, gain: float = 0.0) -> CircuitCurrent:
    """Maximum and design current of a circuit of ``strings`` parallel strings.

    ``I_max = 1.25 Isc (1 + gain) n`` and for continuous duty 1.25 times that under NEC, no more under IEC;
    both factors come from the family. ``isc`` [A], ``gain`` a fraction. Returns [A, A, 1, 1].
    """
    maximum = rules.irradiance_factor * isc * (1 + gain) * strings
    continuous = rules.pv_continuous_factor
    return CircuitCurrent(maximum, continuous * maximum, rules.irradiance_factor, continuous)


class StringFuse(NamedTuple):
    """Whether a string needs its own overcurrent device, and which rating it takes."""

    reverse_current: float
    required: bool
    minimum: float
    maximum: float
    rating: float | None
    factor: float
    limit: float
    minimum_factor: float
    maximum_factor: float | None


@worksheet(
    id="pv-string-fuse",
    subject="PV",
    title="Whether strings in parallel need their own fuses, and which",
    inputs=(
        _ISC,
        quantity("module_fuse", "A", "largest series fuse of the module", "20 A", above=0),
        count("strings", "strings in parallel", "3", high=1000),
        quantity("back_feed", "A", "current that the controller can push back", "0 A", 0.0, low=0),
        quantity(
            "irradiance_factor",
            "1",
            "factor for bright hours, if not that of the rule family",
            "1.25",
            None,
            low=1,
            high=2,
        ),
        quantity("conductor_ampacity", "A", "ampacity of the string's conductor", "30 A", None, above=0),
        family(),
    ),
    outputs=(
        Output("reverse_current", "current that the others can push into a failed string", "A", "I_reverse"),
        Output("required", "a fuse in each string is needed"),
        Output("minimum", "smallest rating that a string's current allows", "A"),
        Output("maximum", "largest rating that the module allows", "A"),
        Output("rating", "smallest standard rating between them", "A"),
        Output("factor", "factor for bright hours, as taken", "1"),
        Output("limit", "what module and conductor stand", "A"),
        Output("minimum_factor", "smallest rating over the string's current", "1"),
        Output("maximum_factor", "largest rating over the string's current, where there is one", "1"),
    ),
    expression=(
        "reverse_current = (strings - 1) * factor * isc + back_feed",
        "limit = module_fuse, or conductor_ampacity if that is less",
        "required = reverse_current above limit",
        "minimum = minimum_factor * isc",
        "maximum = module_fuse, or maximum_factor * isc if that is less",
        "rating = the next standard size from minimum up, none above maximum",
    ),
    source=Source(
        "NFPA 70, National Electrical Code; IEC 62548-1, Photovoltaic arrays",
        "National Fire Protection Association; IEC",
        "2017 to 2023; 2023",
        "690.9(A) and (B), 690.8(B), 240.6(A); overcurrent protection of strings",
    ),
    validity="equal strings; IEC as published has factor 1.0: a design takes 1.25, the stricter",
)
def string_fuse(
    isc: float,
    module_fuse: float,
    strings: int,
    rules: Family,
    back_feed: float = 0.0,
    irradiance_factor: float | None = None,
    conductor_ampacity: float | None = None,
) -> StringFuse:
    """Whether each of ``strings`` parallel strings needs a fuse, and the rating that fits.

    ``I_reverse = (n - 1) k Isc + back_feed``; a fuse is needed where that is above the module's largest
    series fuse or the conductor's ampacity. NEC takes 1.25 twice and the next standard rating up; IEC takes
    1.5 to 2.4 Isc and the preferred ratings of photovoltaic fuses. Neither may be above the module's limit;
    where no standard rating fits, ``rating`` is ``None``. Currents [A], factors [1].
    """
    factor = rules.string_fuse_irradiance_factor if irradiance_factor is None else irradiance_factor
    reverse = (strings - 1) * factor * isc + back_feed
    limit = module_fuse if conductor_ampacity is None else min(module_fuse, conductor_ampacity)
    lowest, highest = rules.string_fuse_minimum, rules.string_fuse_maximum
    minimum = lowest * isc
    maximum = module_fuse if highest is None else min(module_fuse, highest * isc)
    fitting = [rating for rating in _fuse_ratings(rules.tables["ratings"]) if minimum <= rating <= maximum]
    rating = min(fitting, default=None)
    return StringFuse(reverse, reverse > limit, minimum, maximum, rating, factor, limit, lowest, highest)


@cache
def _fuse_ratings(name: str) -> tuple[float, ...]:
    """The ratings [A] of a table of standard ratings that fuses are made in."""
    rows = table(name).rows()
    return tuple(float(str(row["rating_A"])) for row in rows if "fuse" in str(row["device"]))
