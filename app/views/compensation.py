"""Set points over the temperature of the battery, with the temperatures of this place shaded."""

from __future__ import annotations

from app.views.charge_plot import ChargePlot, Level, Stretch, Tag, Track
from engine import units
from engine.sections.charge_view import point_curves
from engine.sections.charging import Charging

TITLE = "Set points"
STYLES = {"absorption": (2.2, False), "float": (1.4, False), "equalize": (1.8, True)}


def compensation_plot(found: Charging, highest: float | None, habit: str) -> ChargePlot:
    """The curves of a bank; ``highest`` [V] is what the design is laid out for."""
    curves = point_curves(found)
    if not curves:
        wanted = ", ".join(dict.fromkeys(item.title for item in found.missing))
        return ChargePlot(TITLE, empty=f"Enter: {wanted}." if wanted else "No set points yet.")
    lowest = min(float(curve.volts.min()) for curve in curves)
    top = max([float(curve.volts.max()) for curve in curves] + ([highest] if highest else []))
    room = 0.13 * max(top - lowest, 0.02 * top)
    slope = found.compensation or 0.0
    followed = "alike at every temperature"
    if slope:
        followed = f"over temperature, {units.show(slope, 'V/K', habit)} a cell"
    tags, stretches = [], []
    if slope and found.coldest is not None and found.hottest is not None:
        ends = tuple(units.show(end, "degC", habit) for end in (found.coldest, found.hottest))
        stretches.append(Stretch(found.coldest, found.hottest, f"this bank, {ends[0]} to {ends[1]}"))
        for stage in found.stages:
            if stage.cold is not None and stage.hot is not None:
                told = f"{stage.name} {units.show(stage.cold, 'V', habit)}"
                tags.append(Tag(found.coldest, stage.cold, told))
                tags.append(Tag(found.hottest, stage.hot, units.show(stage.hot, "V", habit)))
    else:
        for stage in found.stages:
            tags.append(Tag(25.0, stage.volts, f"{stage.name} {units.show(stage.volts, 'V', habit)}"))
    levels = []
    if highest is not None:
        levels.append(Level(highest, f"limit {units.show(highest, 'V', habit)}", "fails"))
    return ChargePlot(
        TITLE,
        followed,
        ("degC", "V", ""),
        (float(curves[0].temperatures[0]), float(curves[0].temperatures[-1])),
        (lowest - room, top + 2 * room),
        tracks=[
            Track(curve.name, curve.temperatures, curve.volts, "battery", *STYLES[curve.name])
            for curve in curves
        ],
        tags=tags,
        stretches=stretches,
        levels=levels,
        habit=habit,
    )
