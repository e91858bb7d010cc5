"""The conductor of a circuit: every check of one size, and the least size that passes them all."""

from __future__ import annotations

from typing import NamedTuple

from engine.physics.ampacity import (
    ampacity_sizes,
    method_of,
    place_inputs,
    terminal_base,
    wire_ampacity,
)
from engine.physics.devices import KINDS, DeviceRating, device_rating, small_ceiling, terminal_rating
from engine.physics.wire import power_sizes
from engine.sizes import Size
from engine.sources import Source
from engine.tables import OutsideTable
from engine.tables.family import Family
from engine.worksheet import CannotCalculate, Output, flag, quantity, word, worksheet
from engine.worksheet import family as family_input

TIGHT = 1e-9


class Check(NamedTuple):
    """One check of a conductor: what it can do against what it must [``unit``], and whether it does."""

    name: str
    capacity: float
    need: float
    unit: str
    ok: bool


class Duty(NamedTuple):
    """What a circuit asks of its conductor: ``current`` [A] as the rules take it, duty, heat and company.

    ``terminal`` [degC] is ``None`` for the family's own rule, ``method`` ``None`` for its default.
    ``device`` [A] is the device that protects it, ``None`` for the standard one, ``protected`` False where
    there is none; ``device_kind`` is a breaker, which a gPV fuse counts as, or any other fuse.
    """

    current: float
    continuous: bool = True
    terminal: float | None = None
    insulation: float = 90.0
    ambient: float = 30.0
    conductors: int = 2
    circuits: int = 1
    material: str = "copper"
    method: str | None = None
    device: float | None = None
    protected: bool = True
    parallel: int = 1
    device_kind: str = "breaker"


def terminal_temperature(rules: Family, duty: Duty) -> float:
    """The terminal's temperature [degC]: as given, else the family's rule by the size of the circuit."""
    if duty.terminal is not None:
        return duty.terminal
    need = duty.current * (rules.continuous_factor if duty.continuous else 1.0)
    return rules.terminal_small if need <= rules.terminal_limit * (1 + TIGHT) else rules.terminal_large


def wire_checks(size: Size, duty: Duty, rules: Family) -> tuple[Check, ...]:
    """Every ampacity check of one size (``duty.parallel`` of them together).

    ``terminal``: the terminal's column against the current with its continuous factor, before conditions of
    use. ``ampacity``: the corrected insulation column against the current itself. ``small-conductor`` and
    ``device``: the device that the circuit needs, or has, against what conductor and terminals allow.
    Raises as ``wire_ampacity``.
    """
    method = duty.method or rules.method
    factor = rules.continuous_factor if duty.continuous else 1.0
    insulation = duty.insulation
    at_terminal = terminal_base(
        rules,
        size,
        terminal_temperature(rules, duty),
        insulation,
        duty.material,
        method,
        loaded=_loaded(rules, duty),
    )
    carried = wire_ampacity(
        size=size,
        insulation=insulation,
        rules=rules,
        material=duty.material,
        ambient=duty.ambient,
        conductors=duty.conductors,
        circuits=duty.circuits,
        method=method,
    ).ampacity
    checks = [
        _check("terminal", at_terminal * duty.parallel, factor * duty.current),
        _check("ampacity", carried * duty.parallel, duty.current),
    ]
    if duty.protected:
        device = duty.device
        if device is None:
            device = _rated(duty, rules).rating
        ceiling = small_ceiling(rules, size, duty.material)
        if ceiling is not None:
            checks.append(_check("small-conductor", ceiling * duty.parallel, device))
        allowed = terminal_rating(
            rules,
            size,
            duty.material,
            carried * duty.parallel,
            insulation,
            duty.terminal,
            duty.parallel,
            duty.device_kind,
        )
        checks.append(_check("device", allowed or 0.0, device))
    return tuple(checks)


def _rated(duty: Duty, rules: Family) -> DeviceRating:
    return device_rating(
        current=duty.current, continuous=duty.continuous, device_kind=duty.device_kind, rules=rules
    )


def _check(name: str, capacity: float, need: float) -> Check:
    return Check(name, capacity, need, "A", need <= capacity * (1 + TIGHT))


class WireForCircuit(NamedTuple):
    """The least size, its derated ampacity, and the check that the next size down fails first.

    Then what it was held against: the least rating with its factor, the standard device, the terminal's
    temperature and what the size carries in that column [A, 1, A, degC, A].
    """

    size: Size
    ampacity: float
    governed_by: str
    minimum: float
    factor: float
    device: float
    terminal_temperature: float
    at_terminal: float


@worksheet(
    id="wire-for-circuit",
    subject="Wire",
    title="Least conductor for a circuit",
    inputs=(
        quantity(
            "current", "A", "current, as the rules take it (PV: 1.25 Isc)", "14 A", above=0, symbol="I_b"
        ),
        flag("continuous", "continuous duty", True),
        quantity(
            "terminal",
            "degC",
            "terminal temperature (empty: the family's rule)",
            "75 degC",
            None,
            low=50,
            high=150,
        ),
        quantity("insulation", "degC", "insulation temperature", "90 degC", 90.0, low=50, high=150),
        word("material", "conductor material", ("copper", "aluminium"), "copper"),
        *place_inputs(),
        word("device_kind", "breaker (or gPV fuse), or any other fuse", KINDS, "breaker"),
        family_input(),
    ),
    outputs=(
        Output("size", "least size"),
        Output("ampacity", "its derated ampacity", "A"),
        Output("governed_by", "what the next size down fails"),
        Output("minimum", "least rating of the device", "A", "I_min"),
        Output("factor", "factor for continuous duty", "1", "k"),
        Output("device", "next standard device", "A", "I_n"),
        Output("terminal_temperature", "column of the terminals", "degC"),
        Output("at_terminal", "what the size carries in that column", "A"),
    ),
    expression=(
        "minimum = factor * current",
        "device = next standard rating from minimum up",
        "at_terminal = the table (size, material) at terminal_temperature, no less than minimum",
        "ampacity = the table, derated (insulation, ambient, conductors), no less than current",
        "size = the least that carries both, and that device may protect",
    ),
    source=Source(
        "NFPA 70, National Electrical Code; IEC 60364-5-52, 60364-4-43",
        "National Fire Protection Association; IEC",
        "2017 to 2023; 2009, 2023",
        "110.14(C), 690.8(B), 310.15, 240.4(B) and (D); 523, 433.1",
    ),
    validity="ampacity and protection; voltage drop and fault withstand are other worksheets",
)
def wire_for_circuit(
    *,
    current: float,
    rules: Family,
    continuous: bool = True,
    terminal: float | None = None,
    insulation: float = 90.0,
    material: str = "copper",
    ambient: float = 30.0,
    conductors: int = 2,
    circuits: int = 1,
    method: str | None = None,
    device_kind: str = "breaker",
) -> WireForCircuit:
    """The least size of the table that passes every check of ``wire_checks``.

    ``governed_by`` is ``terminal``, ``ampacity``, ``small-conductor``, ``device``, or ``smallest`` for the
    table's first row. ``current`` [A] is the rules' own (sun: 1.25 Isc), before the factor for continuous
    duty. A circuit just above 100 A may have a smaller conductor than one just below: NEC 110.14(C) lets its
    terminals run hotter. Raises ``CannotCalculate`` where no size of the table is enough.

    >>> from engine.tables.family import family
    >>> wire_for_circuit(current=14, ambient=45, rules=family("nec-2023")).size.text
    '12 AWG'

    Source: NFPA 70, 110.14(C), 310.15, 240.4; IEC 60364-5-52, 523 and 60364-4-43, 433.1.
    """
    duty = Duty(
        current,
        continuous,
        terminal,
        insulation,
        ambient,
        conductors,
        circuits,
        material,
        method,
        device_kind=device_kind,
    )
    return least_size(duty, rules)


def least_size(duty: Duty, rules: Family) -> WireForCircuit:
    """The least size for a duty; raises ``CannotCalculate`` where the table has none."""
    method = method_of(rules, duty.method)
    sizes = ampacity_sizes(rules, duty.material, duty.insulation, _loaded(rules, duty), method)
    before: tuple[Check, ...] = ()
    for candidate in sizes:
        try:
            checks = wire_checks(candidate, duty, rules)
        except OutsideTable as error:
            if error.column == "size":  # no terminal column is printed for this one
                continue
            raise
        if all(check.ok for check in checks):
            return _chosen(candidate, checks, before, duty, rules)
        before = checks
    if not sizes:
        wire_ampacity(
            size=_any_size(rules),
            insulation=duty.insulation,
            rules=rules,
            material=duty.material,
            method=method,
            conductors=duty.conductors,
            circuits=duty.circuits,
        )
    raise CannotCalculate(
        "current",
        f"{duty.current:.4g} A",
        f"conductors in parallel: {governing(before)} fails for every size",
    )


def _chosen(
    size: Size, checks: tuple[Check, ...], before: tuple[Check, ...], duty: Duty, rules: Family
) -> WireForCircuit:
    capacity = {check.name: check.capacity for check in checks}
    rated = _rated(duty, rules)
    return WireForCircuit(
        size=size,
        ampacity=capacity["ampacity"],
        governed_by=governing(before),
        minimum=rated.minimum,
        factor=rated.factor,
        device=rated.rating,
        terminal_temperature=min(terminal_temperature(rules, duty), duty.insulation),
        at_terminal=capacity["terminal"],
    )


def _loaded(rules: Family, duty: Duty) -> int:
    return duty.conductors if rules.sizes == "mm2" else 2


def _any_size(rules: Family) -> Size:
    return power_sizes(rules)[0]


def governing(checks: tuple[Check, ...]) -> str:
    """The first check that fails, in the order in which a person goes through them; else ``smallest``."""
    return next((check.name for check in checks if not check.ok), "smallest")
