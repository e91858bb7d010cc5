"""Overcurrent devices in the heat of their box."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal
from engine.rules.judging import Spot, at_least, each_circuit, needed, unknown

HEAT = ("design_high", "device_ambient")


@each_circuit
def device_heat(spot: Spot) -> Iterator[Finding]:
    """In a hot box a breaker trips below its rating: what is left must carry what flows for hours."""
    circuit, where, source = spot.circuit, spot.where, spot.family.clause("device_ambient")
    guards = spot.device is not None and spot.device.kind in ("breaker", "fuse")
    if not circuit.device_needed and not guards:
        return
    step, limit = circuit.steps.get("device_heat"), circuit.current
    if step is None or limit is None:
        heat = needed(circuit.missing, *HEAT)
        missing = (*spot.lacks("current"), *(circuit.missing if limit is None else heat or circuit.missing))
        title = f"{circuit.title}: not known whether its device carries the current in the heat"
        yield unknown("device-heat", where, title, missing, source)
        return
    ambient, value = dict(step.inputs)["ambient"], float(step.result.current)
    carries, flows = spot.apart(value, limit, "A")
    yield at_least(
        rule="device-heat",
        where=where,
        field=f"{where}.device_ambient",
        signal=Signal.CAUTION,
        title=(
            f"{circuit.title}: its device carries {carries} at {spot.show(ambient, 'degC')}, {flows} flow"
        ),
        remedy="A cooler box, or a larger rating that the conductor allows.",
        value=value,
        limit=limit,
        unit="A",
        source=source,
        steps=(step,),
    )
