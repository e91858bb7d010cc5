"""When an overcurrent device opens in a fault: at once, late, or never for certain."""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from engine.sources import COMMON_PRACTICE
from engine.tables import OutsideTable, table
from engine.worksheet import Output, quantity, word, worksheet

CURVES = ("unmarked", "B", "C", "D", "K", "Z")
SMALL_RATING = 32.0  # A: below it the thermal zone of a breaker is the quicker one
EXACT = 1e-9  # a limit met to within this, relative, is met


class DeviceTrip(NamedTuple):
    """Fault current over rating, the multiples that decide, and the longest time until it opens [s].

    ``time`` is ``None`` where it may never open.
    """

    multiple: float
    conventional: float
    instant: float
    time: float | None
    thermal_time: float
    thermal_multiple: float


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
        Output("thermal_time", "longest time at the thermal point", "s"),
        Output("thermal_multiple", "multiple of the thermal point", "1"),
    ),
    expression=(
        "multiple = fault_current / rating",
        "conventional, instant, thermal_multiple and thermal_time = the table (kind, curve, system, rating)",
        "time = thermal_time * (thermal_multiple / multiple)^2, at once from instant up",
    ),
    source=COMMON_PRACTICE,
    validity="the late end of usual time zones; the maker's curve at this voltage decides",
)
def device_trip(
    *, fault_current: float, rating: float, kind: str = "breaker", curve: str = "unmarked", system: str = "dc"
) -> DeviceTrip:
    """The longest time until a device has opened at a fault current.

    From ``instant`` times its rating a breaker opens at once, and a fuse limits the current: its time is the
    one in which the full current would make the energy that it lets through. Below it heat opens either, the
    sooner the more, ``t = t_0 (n_0 / n)^2``; below ``conventional`` it need not open at all.
    ``fault_current`` and ``rating`` [A]. Raises ``OutsideTable`` for a kind or a curve without a row.

    >>> device_trip(fault_current=2000, rating=100, curve="C").time
    0.02
    >>> device_trip(fault_current=140, rating=100).time is None
    True

    Source: common practice, after the time zones of IEC 60898-1 and IEC 60269-1.
    """
    row = _row(kind, "any" if kind == "fuse" else curve)
    multiple = fault_current / rating
    instant = row.instant_dc if system == "dc" else row.instant_ac
    thermal = row.thermal_small if rating <= SMALL_RATING else row.thermal_large
    time: float | None
    if multiple < row.conventional * (1 - EXACT):
        time = None
    elif multiple >= instant * (1 - EXACT):
        time = _at_once(kind, rating, multiple)
    else:
        time = thermal * (row.thermal_multiple / multiple) ** 2
    return DeviceTrip(multiple, row.conventional, instant, time, thermal, row.thermal_multiple)


def _at_once(kind: str, rating: float, multiple: float) -> float:
    """How long a fault far above the rating lasts [s]; a fuse's by the energy that it lets through."""
    for held, largest, time, let_through in _times():
        if held == kind and rating <= largest:
            return time if let_through is None else let_through / multiple**2
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
def _row(kind: str, curve: str) -> _Row:
    for row in table("trip_multiple").rows():
        if (row["kind"], row["curve"]) == (kind, curve):
            return _Row(*(float(str(row[name])) for name in _Row._fields))
    raise OutsideTable("trip_multiple", "curve", f"{kind} {curve}", "a breaker with a curve, or a fuse")


@cache
def _times() -> tuple[tuple[str, float, float, float | None], ...]:
    """Kind, rating up to, time and let-through, from the table."""
    return tuple(
        (
            str(row["kind"]),
            float(str(row["rating_to_A"])),
            float(str(row["time"] or 0)),
            None if row["let_through"] is None else float(str(row["let_through"])),
        )
        for row in table("breaking_time").rows()
    )
