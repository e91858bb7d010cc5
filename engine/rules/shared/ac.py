"""The ac side: what opens in an earth fault, which residual-current device, and one neutral-to-earth bond."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Generator, Inverter, label
from engine.finding import Finding, Signal, Status
from engine.rules.judging import Case, Spot, each_circuit, room_above, steps, unknown
from engine.sections.results import Missing, ask

AC = ("ac", "generator")
LATE = 5.0  # s: IEC 60364-4-41, 411.3.2.3, the longest of its disconnection times


@each_circuit
def ac_disconnection(spot: Spot) -> Iterator[Finding]:
    """An inverter may not feed enough to trip its breaker: then only a residual-current device opens."""
    circuit, where = spot.circuit, spot.where
    if circuit.kind not in AC:
        return
    source, trip = spot.family.clause("ac_disconnection"), circuit.steps.get("trip")
    residual = _residual(spot)
    if residual:
        yield _opened(spot, residual)
        return
    if trip is None:
        wanted = (*circuit.fault_missing, *(() if circuit.fault_missing else circuit.missing))
        title = f"{circuit.title}: not known whether anything opens in an earth fault"
        yield unknown("ac-disconnection", where, title, wanted, source, Signal.WARNING)
        return
    found, value = trip.result, circuit.fault_least or 0.0
    limit = value / found.multiple * found.instant
    soon = found.time is not None and found.time <= LATE
    bad = not soon and spot.family.disconnection
    told = "it may never open" if found.time is None else f"it opens within {found.time:.3g} s"
    yield Finding(
        rule="ac-disconnection",
        where=where,
        field=f"{circuit.piece}.residual_device"
        if circuit.kind == "ac"
        else f"{circuit.piece}.sustained_current",
        status=Status.MEETS if soon else Status.FAILS if bad else Status.MARGINAL,
        signal=Signal.NONE if soon else Signal.WARNING,
        title=(
            f"{circuit.title}: {spot.show(value, 'A')} in an earth fault, its breaker opens at once from "
            f"{spot.show(limit, 'A')}: {told}"
        ),
        remedy="" if soon else "A residual-current device, which opens on an earth fault however weak.",
        value=value,
        limit=limit,
        unit="A",
        margin=room_above(value, limit),
        source=source,
        steps=steps(circuit.steps, "trip"),
    )


def _residual(spot: Spot) -> str:
    """The residual-current device on a source's output; empty where there is none, or nobody said."""
    said = getattr(spot.owner, "residual_device", None)
    return said if isinstance(said, str) and said != "none" else ""


def _opened(spot: Spot, residual: str) -> Finding:
    return Finding(
        rule="ac-disconnection",
        where=spot.where,
        field=f"{spot.circuit.piece}.residual_device",
        status=Status.MEETS,
        title=f"{spot.circuit.title}: a residual-current device ({residual}) opens in an earth fault",
        value=residual,
        source=spot.family.clause("ac_disconnection"),
    )


def residual_type(case: Case) -> Iterator[Finding]:
    """Behind an inverter that is not isolated from the battery, dc can blind a residual-current device."""
    for inverter in case.design.inverters:
        said = inverter.residual_device
        if said is None or said in ("none", "class A"):
            continue
        where, source = f"inverters.{inverter.id}", case.family.clause("residual_type")
        if said != "type B" and inverter.isolated is None:
            title = f"{label(inverter)}: not known whether dc can blind its residual-current device"
            yield unknown(
                "residual-type", where, title, ask(where, inverter, "isolated"), source, Signal.WARNING
            )
            continue
        blind = said != "type B" and inverter.isolated is False
        worst = blind and said == "type AC"
        told = "isolated from the battery" if inverter.isolated else "not isolated from the battery"
        yield Finding(
            rule="residual-type",
            where=where,
            field=f"{where}.residual_device",
            status=Status.FAILS if worst else Status.MARGINAL if blind else Status.MEETS,
            signal=Signal.WARNING if blind else Signal.NONE,
            title=f"{label(inverter)}: residual-current device of {said}, output {told}",
            remedy="Type B, unless the maker of the inverter says that another is enough." if blind else "",
            value=said,
            limit="type B",
            source=source,
        )


def neutral_bond(case: Case) -> Iterator[Finding]:
    """Exactly one neutral-to-earth bond, while an inverter feeds and while a generator does."""
    inverters = case.design.inverters
    for inverter in inverters[:1]:
        where = f"inverters.{inverter.id}"
        open_ = _unsaid("inverters", inverters)
        yield _bonds(case, where, "While the inverter feeds", _inverting(inverters), open_)
    for generator in case.design.generators:
        where, path = f"generators.{generator.id}", "generators"
        alone = generator.feeds == "its charger only" or not inverters
        bonds = int(generator.neutral_bond != "floating") if alone else _generating(inverters, generator)
        open_ = _unsaid(path, (generator,))
        if not alone:
            open_ = (*open_, *_unsaid("inverters", inverters), *ask(where, generator, "feeds"))
        yield _bonds(case, where, f"While {label(generator)} feeds", bonds, open_)


def _inverting(inverters: tuple[Inverter, ...]) -> int:
    """Bonds of the panel, once, and of every inverter that makes one while it inverts."""
    own = sum(item.neutral_bond in ("in inverter", "switched") for item in inverters)
    return own + any(item.neutral_bond == "in panel" for item in inverters)


def _generating(inverters: tuple[Inverter, ...], generator: Generator) -> int:
    """A switched bond is open then; the panel's counts, the generator's, and one that stands in an inverter.

    The last does not where the transfer switch parts its neutral from the generator's.
    """
    panel = any(item.neutral_bond == "in panel" for item in inverters)
    parted = generator.neutral_bond == "bonded, neutral switched"
    own = 0 if parted else sum(item.neutral_bond == "in inverter" for item in inverters)
    return own + panel + (generator.neutral_bond in ("bonded", "bonded, neutral switched"))


def _unsaid(table: str, records: tuple[Inverter, ...] | tuple[Generator, ...]) -> tuple[Missing, ...]:
    return tuple(missing for item in records for missing in ask(f"{table}.{item.id}", item, "neutral_bond"))


def _bonds(case: Case, where: str, when: str, bonds: int, open_: tuple[Missing, ...]) -> Finding:
    source = case.family.clause("neutral_bond")
    if open_:
        title = f"{when}: not known whether neutral meets earth just once"
        return unknown("neutral-bond", where, title, open_, source, Signal.WARNING)
    none, many = bonds == 0, bonds > 1
    bad = none or many
    remedy = (
        "Without a bond no earth fault opens anything: make one, at the first disconnect."
        if none
        else "Neutral current flows in the earthing conductors: keep one bond and take the others out."
    )
    return Finding(
        rule="neutral-bond",
        where=where,
        field=f"{where}.neutral_bond",
        status=Status.FAILS if bad else Status.MEETS,
        signal=(Signal.DANGER if none else Signal.WARNING) if bad else Signal.NONE,
        title=f"{when}, neutral meets earth {'once' if bonds == 1 else f'{bonds} times'}",
        remedy=remedy if bad else "",
        value=float(bonds),
        limit=1.0,
        unit="1",
        source=source,
    )
