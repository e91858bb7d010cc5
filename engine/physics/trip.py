"""When an overcurrent device opens in a fault: at once, late, or never for certain."""

from __future__ import annotations

import math
import re
from functools import cache
from typing import NamedTuple

from engine.sources import Source
from engine.tables import OutsideTable, table
from engine.tables.lookup import at_least, at_most, exact
from engine.worksheet import Output, quantity, word, worksheet

CURVES = ("unmarked", "B", "C", "D", "K", "Z")
SMALL_RATING = 32.0  # A: below it the thermal zone of a breaker is the quicker one
EXACT = 1e-9  # a limit met to within this, relative, is met


class DeviceTrip(NamedTuple):
    """Fault current over rating, the multiples that decide [1], and the longest time until it opens [s].

    ``time`` is ``None`` where it may never open.
    """

    multiple: float
    conventional: float
    instant: float
    time: float | None


@worksheet(
    id="device-trip",
    subject="Devices and earthing",
    title="Whether a device opens at a fault current, and how late",
    inputs=(
        quantity("fault_current", "A", "least fault current", "900 A", above=0, symbol="I"),
        quantity("rating", "A", "rating of the device", "100 A", above=0, high=6000, symbol="I_n"),
        word("kind", "kind of device", ("breaker", "fuse"), "breaker"),
        word("curve", "curve that is marked on a breaker", CURVES, "unmarked"),
        word("system", "dc or ac", ("dc", "ac"), "dc"),
    ),
    outputs=(
        Output("multiple", "fault current over rating", "1", "n"),
        Output("conventional", "least multiple at which it opens at all", "1", "n_c"),
        Output("instant", "least multiple at which it opens at once", "1", "n_i"),
        Output("time", "longest time until it opens", "s", "t"),
    ),
    expression=(
        "multiple = fault_current / rating",
        "conventional and instant = the table (kind, curve, system, rating)",
        "time = the late end of its zone (kind, curve, rating, multiple); at once from instant up",
    ),
    source=Source(
        "common practice, after the time zones of IEC 60898-1 and the gates of IEC 60269-1",
        how="common practice",
    ),
    validity="the late end of usual zones; the maker's curve at this voltage decides",
)
def device_trip(
    *, fault_current: float, rating: float, kind: str = "breaker", curve: str = "unmarked", system: str = "dc"
) -> DeviceTrip:
    """The longest time until a device has opened at a fault current.

    From ``instant`` times its rating a breaker opens at once; below, heat opens it the sooner the more,
    ``t = t_0 (n_0 / n)^2``. A fuse melts by its gates, a straight line on logarithms, but lets the energy of
    ``breaking_time`` through at least: its time is the one in which the full current makes that energy.
    Below ``conventional`` neither need open at all. ``fault_current`` and ``rating`` [A]. Raises
    ``OutsideTable`` for a curve or a rating without a row.

    >>> device_trip(fault_current=2000, rating=100, curve="C").time
    0.02
    >>> device_trip(fault_current=140, rating=100).time is None
    True

    Source: common practice, after IEC 60898-1 (breakers) and IEC 60269-1, Table 3 (fuses, from memory).
    """
    multiple = fault_current / rating
    if kind == "fuse":
        return _fuse(rating, multiple)
    row = _row(curve)
    instant = row.instant_dc if system == "dc" else row.instant_ac
    thermal = row.thermal_small if rating <= SMALL_RATING else row.thermal_large
    time: float | None = thermal * (row.thermal_multiple / multiple) ** 2
    if multiple < row.conventional * (1 - EXACT):
        time = None
    elif multiple >= instant * (1 - EXACT):
        time = _at_once("breaker", rating)[0]
    return DeviceTrip(multiple, row.conventional, instant, time)


def _fuse(rating: float, multiple: float) -> DeviceTrip:
    conventional = _printed("iec_60269_1_fusing", "rating_from_A", rating, "multiple")
    five, tenth = _gates(rating)
    steep = math.log(5 / 0.1) / math.log(tenth / five)
    melted = 5 * (five / multiple) ** steep
    energy = _at_once("fuse", rating)[1] / multiple**2
    time = None if multiple < conventional * (1 - EXACT) else max(melted, energy)
    return DeviceTrip(multiple, conventional, tenth, time)


def _gates(rating: float) -> tuple[float, float]:
    """Multiples that melt a fuse within 5 s and within 0.1 s, those of the next rating up."""
    held = table("iec_60269_1_gates")
    next_up = at_least(held, "rating_A", rating)
    five, tenth = (exact(held, "rating_A", next_up, name) for name in ("five_seconds_A", "tenth_second_A"))
    return five / next_up, tenth / next_up


def _printed(name: str, key: str, value: float, column: str) -> float:
    held = table(name)
    return exact(held, key, at_most(held, key, value), column)


def _at_once(kind: str, rating: float) -> tuple[float, float]:
    """A breaker's time for a fault far above its rating [s], a fuse's energy over the rating squared [s]."""
    for held, largest, time, let_through in _times():
        if held == kind and rating <= largest:
            return time, let_through
    raise OutsideTable("breaking_time", "rating_to_A", f"{rating:g}", "up to 6000 A")


def breaking_class(fault_current: float) -> float | None:
    """The least usual breaking capacity not below a fault current [A]; ``None`` beyond the largest."""
    usual = table("breaking_classes").numbers("breaking_A")
    return next((each for each in usual if fault_current <= each * (1 + EXACT)), None)


def curve_of(marking: str | None) -> str:
    """The curve that a marking names (``C16``, ``curve B``, ``type D``), else ``unmarked``."""
    found = re.search(r"(?<![A-Za-z])([BCDKZ])(?![A-Za-z])", marking or "")
    return found.group(1) if found else "unmarked"


class _Row(NamedTuple):
    conventional: float
    instant_ac: float
    instant_dc: float
    thermal_multiple: float
    thermal_small: float
    thermal_large: float


@cache
def _row(curve: str) -> _Row:
    for row in table("trip_multiple").rows():
        if row["curve"] == curve:
            return _Row(*(float(str(row[name])) for name in _Row._fields))
    raise OutsideTable("trip_multiple", "curve", curve, f"one of {', '.join(CURVES)}")


@cache
def _times() -> tuple[tuple[str, float, float, float], ...]:
    """Kind, rating up to, time and let-through, from the table; nothing where it prints none."""
    return tuple(
        (
            str(row["kind"]),
            float(str(row["rating_to_A"])),
            float(str(row["time"] or 0)),
            float(str(row["let_through"] or 0)),
        )
        for row in table("breaking_time").rows()
    )
