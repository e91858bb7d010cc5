"""Devices in series: whether the one nearest a fault opens alone."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.physics.early_trip import device_selectivity
from engine.physics.trip import curve_of
from engine.rules.judging import Case, Spot, room_above, room_below, under, unknown
from engine.sections.memory import Memory
from engine.tables import OutsideTable
from engine.units import show_apart
from engine.worksheet import work

SMALL = ("panel", "branch", "string")  # circuits whose faults should leave the rest alive
_found: Memory[tuple[Finding, ...]] = Memory(512)


def selectivity(case: Case) -> Iterator[Finding]:
    """A fault behind a small device should not take what feeds it with it; advice: no code asks it here.

    Two ratings are compared as ``selectivity`` [1]; where they differ enough and the fault current decides,
    it is ``selectivity-current`` [A].
    """
    spots = {spot.circuit.id: spot for spot in case.spots}
    for spot in spots.values():
        upper = spots.get(spot.circuit.behind)
        if spot.circuit.kind in SMALL and upper is not None and _guarded(spot) and _guarded(upper):
            yield from _found.recall((spot, upper), lambda s=spot, u=upper: tuple(_pair(s, u)))  # type: ignore[misc]


def _guarded(spot: Spot) -> bool:
    """Whether an overcurrent device stands there, in hand or to be ordered."""
    held = spot.device is not None and spot.device.kind in ("breaker", "fuse")
    return held or (spot.circuit.device_needed and spot.device is None)


def _rating(spot: Spot) -> float | None:
    amps = spot.circuit.device if spot.device is None else spot.device.current
    return None if amps is None else float(amps)


def _pair(lower: Spot, upper: Spot) -> Iterator[Finding]:
    circuit, where, source = lower.circuit, lower.where, lower.family.clause("selectivity")
    small, large, fault = _rating(lower), _rating(upper), circuit.fault_most
    fuses = circuit.device_kind == upper.circuit.device_kind == "fuse"
    title = f"{circuit.title}: not known whether a fault there opens the device of {upper.circuit.title} too"
    if small is None or large is None or (fault is None and not fuses):
        missing = (*lower.lacks("current"), *upper.lacks("current"), *circuit.fault_missing)
        yield unknown("selectivity", where, title, missing or circuit.missing, source)
        return
    through, abreast = fault or small, max(1, circuit.shared - 1)  # with one battery string out for repair
    curve = curve_of(upper.device.curve) if upper.device is not None else "unmarked"
    try:
        step = work(
            device_selectivity,
            fault_current=through,
            upper=large,
            lower=small,
            rules=lower.family,
            upper_kind=upper.circuit.device_kind,
            lower_kind=circuit.device_kind,
            upper_curve=curve,
            abreast=abreast,
        )
    except OutsideTable:
        yield unknown("selectivity", where, title, (), source)
        return
    found = step.result
    by_ratio = found.limit is None or under(found.ratio, found.least_ratio)
    value, limit = (found.ratio, found.least_ratio) if by_ratio else (through, found.limit)
    ok = bool(found.selective)
    both = f"{upper.circuit.title}'s {lower.show(large, 'A')} {upper.circuit.device_kind}"
    own = f"{lower.show(small, 'A')} {circuit.device_kind}"
    if by_ratio:
        told = f"{found.ratio:.3g} to 1, {limit:.3g} to 1 for the nearer one to open alone"
    else:
        flows, stays = show_apart(through, found.limit, "A", lower.habit)
        told = f"{flows} flow through it in a fault, it stays closed to {stays}"
    yield Finding(
        rule="selectivity" if by_ratio else "selectivity-current",
        where=where,
        field=f"{where}.device",
        status=Status.MEETS if ok else Status.MARGINAL,
        signal=Signal.NONE if ok else Signal.NOTICE,
        title=f"{circuit.title}: its {own} under {both}: {told}",
        remedy=""
        if ok
        else "Both may open, and all behind the upper one is dark. The makers' tables of pairs.",
        value=value,
        limit=limit,
        unit="1" if by_ratio else "A",
        margin=room_above(value, limit) if by_ratio else room_below(value, limit),
        source=source,
        steps=(step,),
    )
