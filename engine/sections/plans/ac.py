"""The ac side: each inverter to the ac panel, and each generator to its battery charger.

Inverter ``house`` has ``house-output``, generator ``shed`` has ``shed-charger``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from engine.design import Design, Generator, Inverter, label
from engine.physics.ac_current import ac_current
from engine.sections.notes import Notes, field
from engine.sections.plans.plan import Plan, plain
from engine.sections.results import ArrayResult, ControllerResult, Missing, ask
from engine.tables.family import Family

LINE_TO_NEUTRAL = 150.0  # V: a single phase above it stands between two lines where sizes are AWG
BONDED = ("in inverter", "in panel", "switched", "bonded", "bonded, neutral switched")


def plans(
    design: Design,
    family: Family,
    arrays: Mapping[str, ArrayResult],
    controllers: Mapping[str, ControllerResult],
) -> Iterator[Plan]:
    """The outputs of inverters, then of generators."""
    for inverter in design.inverters:
        path = f"inverters.{inverter.id}"
        most = plain(inverter.fault_current)
        lacks = ask(path, inverter, "fault_current")
        title, target = f"{label(inverter)} to ac panel", "ac-panel"
        yield _plan(family, path, inverter, "ac", "output", title, target, most, most, lacks)
    for generator in design.generators:
        path = f"generators.{generator.id}"
        most, least = plain(generator.fault_current), plain(generator.sustained_current)
        lacks = ask(path, generator, "fault_current", "sustained_current")
        title, target = f"{label(generator)} to its charger", f"{generator.id}-charger"
        yield _plan(family, path, generator, "generator", "charger", title, target, most, least, lacks)


def _plan(
    family: Family,
    path: str,
    source: Inverter | Generator,
    kind: str,
    end: str,
    title: str,
    target: str,
    most: float | None,
    least: float | None,
    lacks: tuple[Missing, ...],
) -> Plan:
    """Rated power at the nominal voltage; a fault gets what the source itself can give."""
    notes, phases = Notes(), int(source.use("phases"))
    voltage = plain(source.ac_voltage)
    notes.assume(path, source, "phases")
    current = None
    if notes.ask(path, source, "power", "ac_voltage"):
        blame = field(path, source, "ac_voltage")
        given = {"power": source.power, "voltage": voltage, "phases": phases}
        found = notes.work("current", blame, ac_current, **given, rules=family)
        current = None if found is None else float(found.current)
    return Plan(
        id=f"{source.id}-{end}",
        kind=kind,
        title=title,
        origin=source.id,
        target=target,
        piece=path,
        system="ac",
        phases=phases,
        voltage=voltage,
        current=current,
        running_current=current,
        running_voltage=voltage,
        fault_most=most,
        fault_least=least,
        poles=_poles(family, voltage, phases, source.neutral_bond),
        reverses=True,
        missing=notes.missing,
        fault_missing=lacks,
        assumed=notes.assumed,
        steps=notes.steps,
    )


def _poles(family: Family, voltage: float | None, phases: int, bond: str | None) -> int | None:
    """Every line; the neutral too where it is not known to be earthed."""
    if voltage is None:
        return None
    if phases == 3:
        return 3
    between_lines = phases == 2 or (family.sizes == "awg" and voltage > LINE_TO_NEUTRAL)
    return 1 if not between_lines and bond in BONDED else 2
