"""The battery side: what is joined to the bank's bus."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.design import Design
from engine.sections.notes import Notes
from engine.sections.notes import field as datum
from engine.sections.plans.plan import Plan, plain
from engine.sections.results import ArrayResult, ControllerResult
from engine.tables.family import Family


def plans(
    design: Design,
    family: Family,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
) -> Iterator[Plan]:
    """The circuits that meet at the battery's bus."""
    for controller in controllers.values():
        if controller.arrays:
            yield _output(design, family, controller)


def _output(design: Design, family: Family, controller: ControllerResult) -> Plan:
    """From the controller to the battery: its output limit, without any factor for bright hours."""
    record = design.find("controllers", controller.controller)
    bank, notes = design.bank, Notes()
    limit = _greatest_output(record)
    if limit is None and record is not None:
        notes.lack(datum(f"controllers.{controller.controller}", record, "current_limit"))
    notes.ask("bank", bank, "highest_voltage", "voltage")
    driven = controller.array_output
    return Plan(
        id=f"{controller.controller}-battery",
        kind="output",
        title=f"{controller.label} to battery",
        origin=controller.controller,
        target="battery",
        piece=f"controllers.{controller.controller}",
        ends=(f"controllers.{controller.controller}",),
        controller=controller.controller,
        voltage=plain(bank.highest_voltage),
        current=limit,
        design_current=limit * family.continuous_factor if limit is not None else None,
        running_current=limit if driven is None or limit is None else min(limit, driven),
        running_voltage=plain(bank.voltage),
        reverses=True,
        missing=notes.missing,
    )


def _greatest_output(record: object) -> float | None:
    """The most that a controller ever passes: its flat limit, or the top of its table."""
    flat = getattr(record, "current_limit", None)
    points = getattr(record, "current_points", None) or ()
    limits = [float(amps) for _, amps in points] + ([float(flat)] if flat is not None else [])
    return max(limits, default=None)
