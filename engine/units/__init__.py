"""Quantities at the two ends of the program: strict text in, habit-wise text and JSON out.

Inside, every value is a float in the one canonical unit of its kind (``kinds.py`` lists them). This package
is the only place that knows another unit. It carries its own exact table of the units that it accepts instead
of a general units library, because a person's input needs a stricter reading than such a library gives, and
because importing one would double the time to the first window. The tests hold the table against one.
"""

from engine.units.kinds import KINDS, describe
from engine.units.showing import as_json, belongs, convert, show, show_apart, shown_in, unconvert
from engine.units.text import (
    Coefficient,
    Quantity,
    UnitError,
    fits,
    parse,
    parse_coefficient,
    parse_count,
    parse_flag,
    quoted,
)

__all__ = [
    "KINDS",
    "Coefficient",
    "Quantity",
    "UnitError",
    "as_json",
    "belongs",
    "convert",
    "describe",
    "fits",
    "parse",
    "parse_coefficient",
    "parse_count",
    "parse_flag",
    "quoted",
    "show",
    "show_apart",
    "shown_in",
    "unconvert",
]
