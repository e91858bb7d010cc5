"""One charge through its stages: volts and amps over the hours, with this design's numbers."""

from __future__ import annotations

from app.views.charge_plot import ChargePlot, Stretch, Tag, Track
from engine import units
from engine.physics.setpoints import ChargeDay
from engine.sections.charging import Charging
from engine.sections.results import Missing

TITLE = "One charge"


def stages_plot(found: Charging, day: ChargeDay | tuple[Missing, ...], habit: str) -> ChargePlot:
    """The stages of a charge at 25 °C from the allowed depth, or what it lacks."""
    if isinstance(day, tuple):
        wanted = ", ".join(dict.fromkeys(item.title for item in day))
        return ChargePlot(TITLE, empty=f"Enter: {wanted}." if wanted else "No set points yet.")
    end, top = float(day.hours[-1]), float(day.volts.max())
    low = float(day.volts.min())
    room = 0.16 * max(top - low, 0.01 * top)
    amps = float(day.amps[0])
    last = units.show(found.end_current or 0.0, "A", habit)
    hours = units.show(day.float_at - day.absorption_at, "h", habit, 2)
    ended = f"ends at {last}" if day.ended_by == "end current" else f"ends after {hours}"
    tags = [
        Tag(day.absorption_at, top, units.show(top, "V", habit), leftward=True),
        Tag(end, float(day.volts[-1]), units.show(float(day.volts[-1]), "V", habit), leftward=True),
    ]
    return ChargePlot(
        TITLE,
        f"{units.show(amps, 'A', habit, 3)} from all chargers; {ended}",
        ("h", "V", "A"),
        (0.0, end),
        (low - room, top + 2 * room),
        (0.0, 1.25 * amps),
        tracks=[
            Track("current", day.hours, day.amps, "soft", 1.4, right=True, filled=True),
            Track("battery", day.hours, day.volts, "battery", 2.2),
        ],
        tags=tags,
        stretches=[
            Stretch(0.0, day.absorption_at, "bulk", shaded=False),
            Stretch(day.absorption_at, day.float_at, "absorption", shaded=False),
            Stretch(day.float_at, end, "float", shaded=False),
        ],
        habit=habit,
    )
