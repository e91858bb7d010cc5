"""Where the bank stands: air for its gas, distance of sparks, and what its floor bears."""

from __future__ import annotations

from collections.abc import Iterator

from engine.finding import Finding, Signal, Status
from engine.physics.ventilation import IEC_62485_2, OPENING_PER_AIRFLOW
from engine.rules.judging import Case, over, room_above, room_below, steps, under, unknown
from engine.rules.shared.bank import MAKER, said
from engine.sections.results import ask
from engine.sources import COMMON_PRACTICE, Source

LESSON = Source(
    "Hydrogen lessons learned: battery rooms and compartments",
    "Pacific Northwest National Laboratory",
    "2001 to 2009",
    how="read",
)
NEAR = Source("Applied Photovoltaics, 2nd edition", "Earthscan", "2007", "6.8", "read")
GAS = "Charging sets hydrogen free: without air it explodes at the first spark."


def battery_ventilation(case: Case) -> Iterator[Finding]:
    """The air that takes the hydrogen away, through openings or by a fan."""
    bank, house, source = case.design.bank, case.bank.housing, case.family.clause("ventilation")
    if house.gas is None:
        return
    if not house.gas:
        yield said(
            "battery-ventilation",
            "ventilation",
            None,
            "Charging makes no gas; of heat, the gas of a fault and its place maker and fire code decide",
            "",
            value="no gas",
            limit="no gas",
            source=MAKER,
        )
        return
    kind = bank.ventilation
    natural = kind == "natural openings"
    name = "vent_opening" if natural else "vent_airflow"
    value, need = None if bank.vent_airflow is None else float(bank.vent_airflow), house.airflow
    if natural:  # what its openings pass at the natural draught of the standard
        value = None if bank.vent_opening is None else float(bank.vent_opening) / OPENING_PER_AIRFLOW
    if kind == "none":
        yield said(
            "battery-ventilation",
            "ventilation",
            Status.FAILS,
            f"Nothing takes the gas away{'' if house.airflow is None else _needs(case)}",
            f"{GAS} Openings low and high to the outside, or a fan.",
            signal=Signal.DANGER,
            value=0.0,
            limit=house.airflow,
            unit="m^3/h",
            source=source,
            steps=steps(house.steps, "ventilation", "hydrogen"),
        )
        return
    if kind is None or value is None or need is None:
        missing = (*ask("bank", bank, "ventilation", *((name,) if kind else ())), *house.missing)
        title = f"Not known whether air takes the gas away{'' if house.airflow is None else _needs(case)}"
        found = steps(house.steps, "ventilation")
        yield unknown("battery-ventilation", "bank", title, missing, source, Signal.DANGER, found)
        return
    told = f"{case.show(value, 'm^3/h')} from its fan; its gas needs {case.show(need, 'm^3/h')}"
    if natural:
        told = (
            f"{case.show(bank.vent_opening or 0.0, 'cm^2')} of opening, low and high; its gas needs "
            f"{case.show(OPENING_PER_AIRFLOW * need, 'cm^2')} for {case.show(need, 'm^3/h')}"
        )
    yield said(
        "battery-ventilation",
        name,
        Status.FAILS if under(value, need) else None,
        told,
        f"{GAS} Larger openings, a stronger fan, or a lower charging voltage or current.",
        signal=Signal.DANGER,
        value=float(value),
        limit=need,
        unit="m^3/h",
        margin=room_above(float(value), need),
        source=source,
        steps=steps(house.steps, "ventilation", "hydrogen"),
    )


def _needs(case: Case) -> str:
    house = case.bank.housing
    air, opening = case.show(house.airflow or 0.0, "m^3/h"), case.show(house.opening or 0.0, "cm^2")
    return f"; it needs {air} of air, or {opening} of opening low and high"


def vent_proven(case: Case) -> Iterator[Finding]:
    """Charging goes on when the fan has stopped and the people have left."""
    bank, house = case.design.bank, case.bank.housing
    if not house.gas or bank.ventilation != "fan":
        return
    if bank.vent_proven is None:
        title = "Not known whether charging waits for the fan"
        missing = ask("bank", bank, "vent_proven")
        yield unknown("vent-proven", "bank", title, missing, LESSON, Signal.DANGER)
        return
    hours = (
        ""
        if house.hours is None
        else f"; without it hydrogen comes to 1 % in {_time(house.hours)} at most gas"
    )
    yield said(
        "vent-proven",
        "vent_proven",
        None if bank.vent_proven else Status.FAILS,
        f"Charging {'waits' if bank.vent_proven else 'goes on without waiting'} for the fan{hours}",
        "A switch in its airflow that holds absorption and equalizing back, and a note on what to do when "
        "the place is given up: charging outlives the people and the fan.",
        signal=Signal.DANGER,
        value="proven" if bank.vent_proven else "not proven",
        limit="proven",
        source=LESSON,
        steps=steps(house.steps, "hydrogen"),
    )


def _time(hours: float) -> str:
    return f"{hours:.2g} h" if hours >= 1 else f"{60 * hours:.2g} min"


def battery_sparks(case: Case) -> Iterator[Finding]:
    """No switch, charger or flame within the distance to which the gas carries."""
    bank, house = case.design.bank, case.bank.housing
    if not house.gas:
        return
    value, need = bank.spark_distance, house.distance
    if value is None or need is None:
        told = "" if need is None else f": none may be within {case.show(need, 'm')} of a vent"
        title = f"Not known how far the nearest spark or flame is{told}"
        missing = (*ask("bank", bank, "spark_distance"), *house.missing)
        yield unknown("battery-sparks", "bank", title, missing, IEC_62485_2, Signal.DANGER)
        return
    yield said(
        "battery-sparks",
        "spark_distance",
        Status.FAILS if under(value, need) else None,
        f"The nearest spark or flame is {case.show(value, 'm')} from a vent; none may be within "
        f"{case.show(need, 'm')}",
        "Chargers, inverters, switches and flames out of its reach, best behind a wall without holes.",
        signal=Signal.DANGER,
        value=float(value),
        limit=need,
        unit="m",
        margin=room_above(float(value), need),
        source=IEC_62485_2,
        steps=steps(house.steps, "ventilation"),
    )


def devices_inside(case: Case) -> Iterator[Finding]:
    """A fuse beside the terminals, but not in the gas."""
    bank, house, kind = case.design.bank, case.bank.housing, case.bank.chemistry
    if not house.gas or kind is None:
        return
    vented = kind.name == "flooded"
    if bank.devices_inside is None:
        if vented:
            title = "Not known whether a fuse, breaker or switch stands in the battery's gas"
            missing = ask("bank", bank, "devices_inside")
            yield unknown("battery-devices-inside", "bank", title, missing, NEAR, Signal.WARNING)
        return
    inside = bank.devices_inside
    yield said(
        "battery-devices-inside",
        "devices_inside",
        None if not inside else Status.FAILS if vented else Status.MARGINAL,
        f"{'A fuse, breaker or switch' if inside else 'No fuse, breaker or switch'} in the battery's own box",
        "As near the terminals as practicable, but outside of the box: it arcs, and acid eats it.",
        signal=Signal.WARNING,
        value="inside" if inside else "outside",
        limit="outside",
        source=NEAR,
    )


def floor_load(case: Case) -> Iterator[Finding]:
    """What the floor takes, where somebody entered it, against the blocks' weight on their own area."""
    bank, body = case.design.bank, case.bank.body
    limit = bank.floor_limit
    if limit is None:
        return
    if body.floor is None:
        title = "Not known whether the floor bears the bank"
        missing = body.floor_missing or ask("bank", bank, "series", "strings")
        yield unknown("floor-load", "bank", title, missing, COMMON_PRACTICE, Signal.WARNING)
        return
    value = float(body.floor.pressure)
    yield said(
        "floor-load",
        "floor_limit",
        Status.FAILS if over(value, limit) else None,
        f"{case.show(body.floor.mass, 'kg')} of battery press {case.show(value, 'Pa')} on the floor; "
        f"it takes {case.show(limit, 'Pa')}",
        "Fewer tiers, a frame that spreads the load, or another floor: ask who built it.",
        signal=Signal.WARNING,
        value=value,
        limit=float(limit),
        unit="Pa",
        margin=room_below(value, float(limit)),
        steps=steps(body.steps, "floor"),
    )
