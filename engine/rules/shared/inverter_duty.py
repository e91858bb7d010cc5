"""The dc side of an inverter: whether its device rides through a surge, and what ripple heats."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Inverter
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Spot, at_most, each_circuit, over, room_below, steps, unknown
from engine.sections.results import ask
from engine.sources import COMMON_PRACTICE
from engine.units import show_apart


def _inverter(spot: Spot) -> Inverter | None:
    if spot.circuit.kind != "inverter":
        return None
    return next((end for end in spot.ends if isinstance(end, Inverter)), None)


@each_circuit
def device_surge(spot: Spot) -> Iterator[Finding]:
    """A device that opens in a surge leaves the house dark; no code asks, so it warns."""
    circuit, inverter = spot.circuit, _inverter(spot)
    if inverter is None:
        return
    trip, lasts = circuit.steps.get("surge_trip"), inverter.use("surge_time")
    if trip is None or lasts is None:
        title = f"{circuit.title}: not known whether its device rides through a surge"
        missing = (*ask(f"inverters.{inverter.id}", inverter, "surge"), *circuit.missing)
        yield unknown("device-surge", spot.where, title, missing, COMMON_PRACTICE)
        return
    carried, current = trip.result.time, float(dict(trip.inputs)["current"])
    short = carried is not None and over(float(lasts), carried)
    told = "for ever" if carried is None else f"for {spot.show(carried, 's')}" if carried else "for no time"
    yield Finding(
        rule="device-surge",
        where=spot.where,
        field=f"inverters.{inverter.id}.surge_time",
        status=Status.MARGINAL if short else Status.MEETS,
        signal=Signal.NOTICE if short else Signal.NONE,
        title=(
            f"{circuit.title}: a surge draws {spot.show(current, 'A')} for {spot.show(lasts, 's')}, "
            f"{trip.result.multiple:.3g} times its device, which surely carries it {told}"
        ),
        remedy=(
            "It may open when a motor starts. A slower curve or a larger device that the conductor allows, "
            "or the surge that the loads really have."
        )
        if short
        else "",
        value=float(lasts),
        limit=carried,
        unit="s",
        margin=room_below(float(lasts), carried) if carried else None,
        source=COMMON_PRACTICE,
        steps=steps(circuit.steps, "surge", "surge_trip"),
    )


@each_circuit
def inverter_ripple(spot: Spot) -> Iterator[Finding]:
    """The rms of a rippled current against what conductor and device carry: codes size by the mean."""
    circuit, inverter = spot.circuit, _inverter(spot)
    if inverter is None:
        return
    step = circuit.steps.get("ripple")
    carried = [check.capacity for check in circuit.checks if check.name == "ampacity"]
    rating = circuit.device if spot.device is None else spot.device.current
    if step is None or not carried or rating is None:
        title = f"{circuit.title}: not known whether it carries the ripple of its inverter"
        missing = (*circuit.missing, *spot.lacks("current"))
        yield unknown("inverter-ripple", spot.where, title, missing, COMMON_PRACTICE)
        return
    value, limit = float(step.result.rms), min(*carried, float(rating))
    rms, most = show_apart(value, limit, "A", spot.habit)
    what = "device" if limit == rating else "conductor"
    yield at_most(
        rule="inverter-ripple",
        where=spot.where,
        field=f"{spot.where}.size" if what == "conductor" else f"{spot.where}.device",
        worse=Status.MARGINAL,
        signal=Signal.NOTICE,
        title=f"{circuit.title}: up to {rms} rms with the ripple of its inverter, its {what} carries {most}",
        remedy=(
            "At full power for hours it runs hot, or opens: the next size up, unless the inverter's maker "
            "states a smaller rms current."
        ),
        value=value,
        limit=limit,
        unit="A",
        source=COMMON_PRACTICE,
        steps=steps(circuit.steps, "ripple"),
    )
