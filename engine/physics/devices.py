"""Devices: the rating a circuit asks for, the most its conductor allows, and the dc voltage class."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from functools import cache
from typing import NamedTuple

from engine.physics.ampacity import insulation_input, place_inputs, terminal_base, wire_ampacity
from engine.sizes import Size
from engine.sources import COMMON_PRACTICE, Source
from engine.tables import OutsideTable, table
from engine.tables.family import Family, family
from engine.tables.lookup import at_least, at_most, exact
from engine.worksheet import Output, flag, quantity, size, word, worksheet
from engine.worksheet import family as family_input

KINDS = ("breaker", "fuse")
OVERLOAD = 1.45  # IEC 60364-4-43, 433.1: what surely operates a device, over what its conductor carries
RATINGS = Source(
    "NFPA 70, National Electrical Code; IEC 60364-4-43",
    "National Fire Protection Association; IEC",
    "2017 to 2023; 2023",
    "210.20(A), 215.3, 240.6(A); 433.1",
)
PROTECTION = Source(
    "NFPA 70, National Electrical Code; IEC 60364-4-43",
    "National Fire Protection Association; IEC",
    "2017 to 2023; 2023",
    "240.4(B), (C) and (D), 110.14(C); 433.1",
)


@cache
def standard_ratings(rules: str, kind: str = "breaker") -> tuple[float, ...]:
    """The standard ratings of a kind of device, ``breaker`` or ``fuse``, in a family [A], rising."""
    held = family(rules)
    wanted = held.ratings[kind]
    rows = table(held.tables["ratings"]).rows()
    return tuple(sorted({float(str(row["rating_A"])) for row in rows if row["device"] in wanted}))


def next_rating(rules: Family, current: float, kind: str = "breaker") -> float:
    """The least standard rating not below a current [A]. Raises ``OutsideTable`` above the largest."""
    ratings = standard_ratings(rules.name, kind)
    place = bisect_left(ratings, current * (1 - 1e-9))
    if place == len(ratings):
        raise OutsideTable(rules.tables["ratings"], "rating_A", f"{current:g}", f"up to {ratings[-1]:g} A")
    return ratings[place]


def rating_below(rules: Family, current: float, kind: str = "breaker") -> float | None:
    """The greatest standard rating not above a current [A], ``None`` below the least."""
    ratings = standard_ratings(rules.name, kind)
    place = bisect_right(ratings, current * (1 + 1e-9))
    return ratings[place - 1] if place else None


class DeviceRating(NamedTuple):
    """The least rating and the standard one [A]."""

    minimum: float
    rating: float
    factor: float


@worksheet(
    id="device-rating",
    subject="Devices and earthing",
    title="Rating of an overcurrent device for a current",
    inputs=(
        quantity(
            "current", "A", "current of the circuit, as the rules take it", "14 A", above=0, symbol="I_b"
        ),
        flag("continuous", "continuous duty (three hours or more)", True),
        word("device_kind", "breaker or fuse, which come in other ratings", KINDS, "breaker"),
        family_input(),
    ),
    outputs=(
        Output("minimum", "least rating", "A", "I_min"),
        Output("rating", "next standard rating", "A", "I_n"),
        Output("factor", "factor for continuous duty", "1", "k"),
    ),
    expression=("minimum = factor * current", "rating = the next standard size from minimum up"),
    source=RATINGS,
    validity="a device that is not rated for 100 % duty; ratings below 15 A are for fuses only (NEC)",
)
def device_rating(
    *, current: float, rules: Family, continuous: bool = True, device_kind: str = "breaker"
) -> DeviceRating:
    """The standard rating for a current [A]: 125 % of it under NEC if continuous, itself under IEC.

    Raises ``OutsideTable`` above the largest standard rating.
    """
    factor = rules.continuous_factor if continuous else 1.0
    return DeviceRating(factor * current, next_rating(rules, factor * current, device_kind), factor)


class DeviceLimit(NamedTuple):
    """The largest device that a conductor allows [A], the same with its terminals, its ampacity and ceiling.

    A rating is ``None`` where the conductor is too small for any standard device, ``ceiling`` where it is no
    small conductor.
    """

    rating: float | None
    at_terminals: float | None
    ampacity: float
    ceiling: float | None


@worksheet(
    id="device-limit",
    subject="Devices and earthing",
    title="Largest overcurrent device that a conductor allows",
    inputs=(
        size("size", "conductor size", "2 AWG"),
        insulation_input(),
        word("material", "conductor material", ("copper", "aluminium"), "copper"),
        *place_inputs(),
        quantity(
            "terminal",
            "degC",
            "terminal temperature (empty: the family's rule)",
            "75 degC",
            None,
            low=50,
            high=150,
        ),
        word("device_kind", "breaker (or gPV fuse), or any other fuse", KINDS, "breaker"),
        family_input(),
    ),
    outputs=(
        Output("rating", "largest standard device for the conductor", "A"),
        Output("at_terminals", "the same where its terminals count too", "A"),
        Output("ampacity", "derated ampacity", "A", "I_z"),
        Output("ceiling", "small-conductor ceiling", "A"),
    ),
    expression=(
        "ampacity = the table, derated (size, material, insulation, ambient, conductors)",
        "rating = the next standard one above ampacity (iec, beyond 800 A: not above it), to 240.4(D)",
        "at_terminals = the same from the column of its terminals, where that is less",
    ),
    source=PROTECTION,
    validity="not for cord-and-plug multi-outlet branch circuits, which may not round up. IEC: breakers and "
    "gPV fuses operate at 1.45 times their rating, other fuses, taken as gG, at 1.6 times or more, which may "
    "not be above 1.45 times the ampacity.",
)
def device_limit(
    *,
    size: Size,
    insulation: float,
    rules: Family,
    material: str = "copper",
    ambient: float = 30.0,
    conductors: int = 2,
    circuits: int = 1,
    method: str | None = None,
    terminal: float | None = None,
    device_kind: str = "breaker",
) -> DeviceLimit:
    """The largest standard device after derating, of the conductor alone and with its terminals.

    NEC 240.4(B): the next standard rating up to 800 A, 240.4(C): none above the ampacity beyond, 240.4(D):
    small conductors have a ceiling whatever their ampacity. IEC: In not above Iz, I2 not above 1.45 Iz, which
    counts for a ``device_kind`` of fuse. ``insulation``, ``ambient`` and ``terminal`` [degC]. Returns
    [A, A, A, A]. Raises as ``wire_ampacity``.

    >>> from engine.sizes import parse_size
    >>> limit = device_limit(size=parse_size("8 AWG"), insulation=90, rules=family("nec-2023"))
    >>> limit.rating, limit.at_terminals
    (60.0, 40.0)

    Source: NFPA 70, 240.4 and 110.14(C); IEC 60364-4-43, 433.1.
    """
    carried = wire_ampacity(
        size=size,
        insulation=insulation,
        rules=rules,
        material=material,
        ambient=ambient,
        conductors=conductors,
        circuits=circuits,
        method=method,
    ).ampacity
    return limit_for(
        rules, size, material, carried, insulation=insulation, terminal=terminal, device_kind=device_kind
    )


def limit_for(
    rules: Family,
    size: Size,
    material: str,
    ampacity: float,
    *,
    insulation: float,
    terminal: float | None = None,
    parallel: int = 1,
    device_kind: str = "breaker",
) -> DeviceLimit:
    """The largest standard device for a derated ampacity [A] of one size, or of parallel ones together."""
    ceiling = small_ceiling(rules, size, material)
    rating = protecting_rating(rules, ampacity, device_kind)
    joined = terminal_rating(rules, size, material, ampacity, insulation, terminal, parallel, device_kind)
    if ceiling is not None:
        rating = None if rating is None else min(rating, ceiling)
        joined = None if joined is None else min(joined, ceiling)
    return DeviceLimit(rating, joined, ampacity, ceiling)


def protecting_rating(rules: Family, ampacity: float, device_kind: str = "breaker") -> float | None:
    """The largest standard rating [A] that protects an ampacity [A], small-conductor ceiling aside.

    NEC: fuses' ratings count among the next ones up: a conductor for 8 A has its 10 A fuse, not a 15 A
    breaker. IEC: a fuse is taken as gG, which needs more than its rating to melt.
    """
    if rules.sizes != "awg":
        return _melting_below(rules, ampacity) if device_kind == "fuse" else rating_below(rules, ampacity)
    if ampacity <= rules.round_up_to:
        up = next_rating(rules, ampacity, "fuse")
        if up <= rules.round_up_to:
            return up
    return rating_below(rules, ampacity, "fuse")


def _melting_below(rules: Family, ampacity: float) -> float | None:
    """The largest gG fuse [A] that surely melts at ``OVERLOAD`` times an ampacity [A]."""
    fusing = table(rules.tables["fusing"])
    for rating in reversed(standard_ratings(rules.name, "fuse")):
        multiple = exact(fusing, "rating_from_A", at_most(fusing, "rating_from_A", rating), "multiple")
        if multiple * rating <= OVERLOAD * ampacity * (1 + 1e-9):
            return rating
    return None


def terminal_rating(
    rules: Family,
    size: Size,
    material: str,
    ampacity: float,
    insulation: float,
    terminal: float | None,
    parallel: int = 1,
    device_kind: str = "breaker",
) -> float | None:
    """The largest standard rating [A] that protects a conductor and does not overheat its terminals.

    NEC 110.14(C): the ampacity at a terminal is that of its column. Unless the terminal is marked, the column
    turns on the device itself: the large one's where the device is beyond the limit of small circuits. IEC
    asks a terminal to stand the circuit's own current, which is another check.
    """
    if rules.sizes != "awg":
        return protecting_rating(rules, ampacity, device_kind)

    def at(temperature: float) -> float | None:
        column = terminal_base(rules, size, temperature, insulation, material, "raceway")
        return protecting_rating(rules, min(ampacity, parallel * column))

    if terminal is not None:
        return at(terminal)
    large = at(rules.terminal_large)
    return large if large is not None and large > rules.terminal_limit else at(rules.terminal_small)


def small_ceiling(rules: Family, size: Size, material: str) -> float | None:
    """The ceiling of NEC 240.4(D) for a small conductor [A], ``None`` for a larger one or another family."""
    name = rules.tables.get("small_conductors")
    return _ceilings(name, material).get(size.text) if name else None


@cache
def _ceilings(name: str, material: str) -> dict[str, float]:
    rows = table(name).rows()
    column = f"{material}_max_ocpd_A"
    return {str(row["size"]): float(str(row[column])) for row in rows if row[column] is not None}


class DeviceVoltageClass(NamedTuple):
    """The least voltage class [V]."""

    voltage_class: float


@worksheet(
    id="device-voltage-class",
    subject="Devices and earthing",
    title="Least voltage class of a device",
    inputs=(
        quantity("voltage", "V", "highest voltage that can stand across it", "156 V", above=0, symbol="U"),
        word("system", "dc or ac (the nominal voltage counts)", ("dc", "ac"), "dc"),
        family_input(),
    ),
    outputs=(Output("voltage_class", "least class", "V"),),
    expression=("voltage_class = least class of the table that is not below voltage",),
    source=COMMON_PRACTICE,
    validity="classes met in practice; the device's own marking decides",
)
def device_voltage_class(*, voltage: float, rules: Family, system: str = "dc") -> DeviceVoltageClass:
    """The least class met in practice, not below a voltage [V].

    Raises ``OutsideTable`` above 1500 V dc or 1000 V ac.
    """
    classes = table(rules.tables["voltage_classes" if system == "dc" else "ac_voltage_classes"])
    return DeviceVoltageClass(at_least(classes, "class_V", voltage))
