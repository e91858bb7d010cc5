"""What each piece on the battery's bus sees at the extremes, as lanes on one voltage axis."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.design import Design, Device, Load, label
from engine.fields import Record
from engine.sections.charging import Charging
from engine.sections.results import CircuitResult, Lane, Mark, Span
from engine.units import show

ON_BUS = ("output", "bank", "inverter", "panel", "branch", "diversion")
"""The kinds of circuits that the battery's voltage stands on."""
RULES = ("inverter-cut-out-high", "load-voltage-high", "controller-battery-voltage", "battery-side-devices")
"""The rules whose statuses the lanes wear, by the path of their piece; the bank's is of its devices."""


def bus_lanes(
    design: Design,
    found: Charging,
    circuits: Mapping[str, CircuitResult],
    statuses: Mapping[str, str],
    habit: str,
) -> tuple[Lane, ...]:
    """The set points first, then inverters, dc loads, controllers, and the device of the least rating."""
    if not found.stages or found.highest is None or found.lowest is None:
        return ()
    stages = tuple(
        Mark(stage.volts, "limit", f"{stage.name} {show(stage.volts, 'V', habit)}") for stage in found.stages
    )
    span = Span(found.lowest, found.highest, "battery")
    dc = tuple(item for item in design.loads if item.use("kind") == "dc")
    return (
        Lane("Set points, hot to cold", "bank", "battery", (span,), stages),
        *(_range(f"inverters.{item.id}", item, "ink", statuses, habit) for item in design.inverters),
        *(_range(f"loads.{item.id}", item, "loads", statuses, habit) for item in dc),
        *(
            _stands(f"controllers.{item.id}", item, item.battery_limit, statuses, habit)
            for item in design.controllers
        ),
        *_devices(design, circuits, statuses, habit),
    )


def _range(path: str, item: Record, colour: str, statuses: Mapping[str, str], habit: str) -> Lane:
    """An inverter's or a load's range; a load without a lowest voltage is drawn from 0."""
    low, high = (getattr(item, name) for name in ("lowest_voltage", "highest_voltage"))
    status = statuses.get(path, "")
    if high is None:
        title = "Highest supply voltage" if isinstance(item, Load) else "Cuts out above"
        return Lane(label(item), path, colour, empty=f"Enter: {title}.")
    spans = (Span(float(low or 0.0), float(high), "operating"),)
    marks = [Mark(float(high), "rating", f"to {show(high, 'V', habit)}", status)]
    if low is not None:
        marks.append(Mark(float(low), "limit", f"from {show(low, 'V', habit)}"))
    return Lane(label(item), path, colour, spans, tuple(marks))


def _stands(path: str, item: Record, limit: float | None, statuses: Mapping[str, str], habit: str) -> Lane:
    if limit is None:
        return Lane(label(item), path, "ink", empty="Enter: Highest battery voltage.")
    mark = Mark(float(limit), "rating", f"stands {show(limit, 'V', habit)}", statuses.get(path, ""))
    return Lane(label(item), path, "ink", (Span(0.0, float(limit), "operating"),), (mark,))


def _devices(
    design: Design, circuits: Mapping[str, CircuitResult], statuses: Mapping[str, str], habit: str
) -> Iterator[Lane]:
    """The device of the least dc voltage rating on the battery's side."""
    rated: list[tuple[float, str]] = []
    for circuit in circuits.values():
        record = design.circuit(circuit.id)
        for id in (record.device, record.disconnect):
            device = design.find("devices", id)
            if circuit.kind in ON_BUS and isinstance(device, Device) and device.dc_voltage is not None:
                rated.append((float(device.dc_voltage), device.id))
    if rated:
        volts, id = min(rated)
        device = design.find("devices", id)
        name = label(device) if device is not None else id
        mark = Mark(volts, "rating", f"rated {show(volts, 'V', habit)}, the least", statuses.get("bank", ""))
        yield Lane(name, f"devices.{id}", "ink", (Span(0.0, volts, "operating"),), (mark,))
