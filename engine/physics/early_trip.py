"""When an overcurrent device may open soonest: what it surely rides through, and which of two opens alone."""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

from engine.physics.trip import CURVES
from engine.sources import Source
from engine.tables import OutsideTable, table
from engine.tables.family import Family
from engine.worksheet import Output, count, quantity, word, worksheet
from engine.worksheet import family as family_input

KINDS = ("breaker", "fuse")
EXACT = 1e-9  # a limit met to within this, relative, is met
OVERLOAD = (
    1.6  # upper over lower rating, from which the slow parts of two curves keep apart (common practice)
)
ZONES = Source(
    "common practice, after the time zones of IEC 60898-1 and the gates of IEC 60269-1 and -2",
    how="common practice",
)


class EarlyTrip(NamedTuple):
    """Current over rating [1], and the time that the device surely rides through [s]; ``None`` for ever."""

    multiple: float
    time: float | None


@worksheet(
    id="device-early-trip",
    subject="Devices and earthing",
    title="How long a device surely carries a surge",
    inputs=(
        quantity("current", "A", "surge current", "500 A", above=0, symbol="I"),
        quantity("rating", "A", "rating of the device", "250 A", above=0, high=6000, symbol="I_n"),
        word("kind", "kind of device", KINDS, "breaker"),
        word("curve", "curve that is marked on a breaker", CURVES, "unmarked"),
    ),
    outputs=(
        Output("multiple", "surge over rating", "1", "n"),
        Output("time", "surely carried for", "s", "t"),
    ),
    expression=(
        "multiple = current / rating",
        "time = the early end of its zone at multiple (kind, curve, rating); empty: for ever",
    ),
    source=ZONES,
    validity="the early end of usual zones at 40 degC or less; fast and photovoltaic fuses may melt sooner: "
    "the maker's curve decides.",
)
def device_early_trip(
    *, current: float, rating: float, kind: str = "breaker", curve: str = "unmarked"
) -> EarlyTrip:
    """The longest time that a device carries a current without opening, however early its curve lies.

    From the early end of its magnetic zone a breaker may open at once (0 s). Below, and for a fuse, straight
    lines on logarithms join the early ends: (1.13, 1 h) and (2.55, 1 s) of a breaker, (1.25, 1 h) and the
    gates of 10 s and 0.1 s of a fuse. ``current`` and ``rating`` [A]. Raises ``OutsideTable``.

    >>> device_early_trip(current=255, rating=100, curve="C").time
    1.0
    >>> device_early_trip(current=110, rating=100).time is None
    True

    Source: common practice, after IEC 60898-1, Table 7, and IEC 60269-1, Tables 2 and 3 (from memory).
    """
    multiple = current / rating
    if kind == "breaker" and multiple >= early_instant(curve) * (1 - EXACT):
        return EarlyTrip(multiple, 0.0)
    points = _points(kind, rating)
    if multiple <= points[0][0] * (1 + EXACT):
        return EarlyTrip(multiple, None)
    after = next((at for at in range(1, len(points)) if multiple <= points[at][0] * (1 + EXACT)), -1)
    (low, slow), (high, fast) = points[after - 1 if after > 0 else -2], points[after]
    steep = math.log(slow / fast) / math.log(high / low)
    return EarlyTrip(multiple, fast * (high / multiple) ** steep)


class Selectivity(NamedTuple):
    """Upper rating over lower, and the fault current through the upper one to which it stays closed [A].

    ``limit`` is ``None`` where the ratings alone settle it; ``selective`` says whether the lower opens alone.
    """

    ratio: float
    least_ratio: float
    limit: float | None
    selective: bool


@worksheet(
    id="device-selectivity",
    subject="Devices and earthing",
    title="Whether the nearer of two devices opens alone",
    inputs=(
        quantity(
            "fault_current", "A", "fault current through the upper device", "900 A", above=0, symbol="I"
        ),
        quantity("upper", "A", "rating of the upper device", "100 A", above=0, high=6000, symbol="I_u"),
        quantity("lower", "A", "rating of the lower one, nearer the fault", "20 A", above=0, symbol="I_l"),
        word("upper_kind", "kind of the upper one", KINDS, "breaker"),
        word("lower_kind", "kind of the lower one", KINDS, "breaker"),
        word("upper_curve", "curve that is marked on the upper one", CURVES, "unmarked"),
        count("abreast", "upper devices that share the current", "1", 1, high=1000),
        family_input(),
    ),
    outputs=(
        Output("ratio", "upper over lower", "1"),
        Output("least_ratio", "least ratio", "1"),
        Output("limit", "fault current to which the upper one stays closed", "A"),
        Output("selective", "only the lower one opens"),
    ),
    expression=(
        "ratio = abreast * upper / lower",
        "least_ratio = two fuses: 1.6 (iec), 2 (nec); else 1.6",
        "limit = abreast times: a breaker's magnetic zone; a fuse's early gate of 0.1 s over a breaker",
        "selective = ratio from least_ratio up, and fault_current to limit",
    ),
    source=ZONES,
    validity="orientation: the makers' tables of pairs decide. Fuses of one class.",
)
def device_selectivity(
    *,
    fault_current: float,
    upper: float,
    lower: float,
    rules: Family,
    upper_kind: str = "breaker",
    lower_kind: str = "breaker",
    upper_curve: str = "unmarked",
    abreast: int = 1,
) -> Selectivity:
    """Whether a fault beyond ``lower`` leaves ``upper`` closed: all [A].

    Two fuses by their ratio: 1.6 for gG (IEC 60269-2), 2 for other classes. A breaker above stays closed
    below its magnetic zone; a fuse above a breaker, which opens within 0.1 s, below its early gate of 0.1 s.
    Their slow parts keep apart from a ratio of ``OVERLOAD`` on: nearer ratings trip in any order. Upper ones
    ``abreast`` share the current evenly.

    >>> from engine.tables.family import family
    >>> device_selectivity(fault_current=299, upper=100, lower=20, rules=family("iec")).selective
    True

    Source: common practice, after IEC 60898-1, IEC 60269-1 and -2 (from memory).
    """
    ratio, fuses = abreast * upper / lower, upper_kind == lower_kind == "fuse"
    least = fuse_ratio(rules) if fuses else OVERLOAD
    apart = ratio >= least * (1 - EXACT)
    if fuses:
        return Selectivity(ratio, least, None, apart)
    multiple = early_instant(upper_curve) if upper_kind == "breaker" else _gates(upper)[1]
    limit = abreast * upper * multiple
    if upper_kind == "breaker":
        return Selectivity(ratio, least, limit, apart and fault_current < limit * (1 - EXACT))
    return Selectivity(ratio, least, limit, apart and fault_current <= limit * (1 + EXACT))


def early_instant(curve: str) -> float:
    """The multiple of its rating from which a breaker may open at once."""
    try:
        return _instants()[curve]
    except KeyError:
        raise OutsideTable("early_trip", "curve", curve, f"one of {', '.join(CURVES)}") from None


def fuse_ratio(rules: Family) -> float:
    """The least ratio of two fuses' ratings of which only the lower opens."""
    return _ratios()[rules.group]


def _points(kind: str, rating: float) -> tuple[tuple[float, float], ...]:
    """Multiples of the rating, and how long they are surely carried [s], rising."""
    if kind == "breaker":
        return _heat(kind)
    ten, tenth = _gates(rating)
    return (*_heat(kind), (ten, 10.0), (tenth, 0.1))


@cache
def _heat(kind: str) -> tuple[tuple[float, float], ...]:
    rows = table("early_heat").rows()
    return tuple(
        (float(str(row["multiple"])), float(str(row["time"]))) for row in rows if row["kind"] == kind
    )


def _gates(rating: float) -> tuple[float, float]:
    """Multiples that a fuse surely stands for 10 s and for 0.1 s, the lesser of those about its rating."""
    rows = _early_gates()
    below = [row for row in rows if row[0] <= rating * (1 + EXACT)][-1:] or [rows[0]]
    above = [row for row in rows if row[0] >= rating * (1 - EXACT)][:1] or [rows[-1]]
    both = [*below, *above]
    return min(ten / own for own, ten, _ in both), min(tenth / own for own, _, tenth in both)


@cache
def _early_gates() -> tuple[tuple[float, float, float], ...]:
    held = table("iec_60269_1_early_gates")
    columns = (held.numbers(name) for name in ("rating_A", "ten_seconds_A", "tenth_second_A"))
    return tuple(zip(*columns, strict=True))


@cache
def _instants() -> dict[str, float]:
    held = table("early_trip")
    return {
        str(curve): float(str(multiple))
        for curve, multiple in zip(held.column("curve"), held.column("instant"), strict=True)
    }


@cache
def _ratios() -> dict[str, float]:
    held = table("fuse_ratio")
    return {
        str(group): float(str(ratio))
        for group, ratio in zip(held.column("rules"), held.column("ratio"), strict=True)
    }
