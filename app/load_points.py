"""The points of a load curve as typed text: entered from a curve, moved by hand, emptied."""

from __future__ import annotations

from app.session import Session
from engine.physics.load_curve import LoadCurve, moved


def text_of(curve: LoadCurve) -> str:
    """A curve's points as they are typed into the field."""
    return "; ".join(
        f"{volts:.2f} V: {watts:.1f} W" for volts, watts in zip(curve.volts, curve.watts, strict=True)
    )


def enter(session: Session, turbine: str, curve: LoadCurve, drag: str = "") -> None:
    """Put a curve into a turbine's field, as one step to undo; steps of one drag are one."""
    session.edit(f"wind.{turbine}.load_points", text_of(curve), drag)


def move(
    session: Session, turbine: str, curve: LoadCurve, point: int, volts: float, watts: float, drag: str
) -> None:
    """Move a point of the curve in force to volts and watts, as far as its neighbours allow."""
    enter(session, turbine, moved(curve, point, volts, watts), drag)


def empty(session: Session, turbine: str) -> None:
    """Back to the computed curve."""
    session.edit(f"wind.{turbine}.load_points", "")
