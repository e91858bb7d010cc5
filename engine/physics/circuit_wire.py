"""The conductor of a circuit: every check of one size, the least size that passes, the heat of a fault."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.physics.ampacity import (
    ampacity_sizes,
    insulation_input,
    place_inputs,
    terminal_base,
    wire_ampacity,
)
from engine.physics.devices import device_rating, small_ceiling, terminal_rating
from engine.physics.wire import power_sizes
from engine.sizes import Size
from engine.sources import Source
from engine.tables import OutsideTable, table
from engine.tables.family import Family
from engine.worksheet import CannotCalculate, Output, flag, quantity, size, word, worksheet
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
    there is none.
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
            device = device_rating(current=duty.current, continuous=duty.continuous, rules=rules).rating
        ceiling = small_ceiling(rules, size, duty.material)
        if ceiling is not None:
            checks.append(_check("small-conductor", ceiling * duty.parallel, device))
        allowed = terminal_rating(
            rules, size, duty.material, carried * duty.parallel, insulation, duty.terminal, duty.parallel
        )
        checks.append(_check("device", allowed or 0.0, device))
    return tuple(checks)


def _check(name: str, capacity: float, need: float) -> Check:
    return Check(name, capacity, need, "A", need <= capacity * (1 + TIGHT))


class WireForCircuit(NamedTuple):
    """The least size, its derated ampacity [A], and the check that the next size down fails first."""

    size: Size
    ampacity: float
    governed_by: str


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
        family_input(),
    ),
    outputs=(
        Output("size", "least size"),
        Output("ampacity", "its derated ampacity", "A"),
        Output("governed_by", "what the next size down fails"),
    ),
    expression=("size = least size that passes terminal, ampacity, small-conductor and device checks",),
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
) -> WireForCircuit:
    """The least size of the table that passes every check; ``governed_by`` is ``smallest`` for the first row.

    Raises ``CannotCalculate`` where no size of the table is enough.
    """
    duty = Duty(current, continuous, terminal, insulation, ambient, conductors, circuits, material, method)
    return least_size(duty, rules)


def least_size(duty: Duty, rules: Family) -> WireForCircuit:
    """The least size for a duty; raises ``CannotCalculate`` where the table has none."""
    method = duty.method or rules.method
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
            carried = next(check.capacity for check in checks if check.name == "ampacity")
            return WireForCircuit(candidate, carried, governing(before))
        before = checks
    if not sizes:
        wire_ampacity(
            size=_any_size(rules),
            insulation=duty.insulation,
            rules=rules,
            material=duty.material,
            method=method,
            conductors=duty.conductors,
        )
    raise CannotCalculate(
        "current",
        f"{duty.current:.4g} A",
        f"conductors in parallel: {governing(before)} fails for every size",
    )


def _loaded(rules: Family, duty: Duty) -> int:
    return duty.conductors if rules.sizes == "mm2" else 2


def _any_size(rules: Family) -> Size:
    return power_sizes(rules)[0]


def governing(checks: tuple[Check, ...]) -> str:
    """The failed check with the least capacity for its need; ``smallest`` where there is none."""
    failed = [check for check in checks if not check.ok]
    if not failed:
        return "smallest"
    return min(failed, key=lambda check: check.capacity / check.need).name


class FaultWithstand(NamedTuple):
    """Whether the size stands the fault, the least area [mm²], and k [A sqrt(s)/mm²]."""

    withstands: bool
    minimum_area: float
    k: float
    area: float


@worksheet(
    id="fault-withstand",
    subject="Wire",
    title="Whether a conductor stands the heat of a fault",
    inputs=(
        size("size", "conductor size", "35 mm2"),
        word("material", "conductor material", ("copper", "aluminium"), "copper"),
        insulation_input(),
        quantity("fault_current", "A", "fault current", "4 kA", above=0, symbol="I"),
        quantity("time", "s", "time until it is broken", "0.4 s", above=0, high=5, symbol="t"),
        word("role", "role of the conductor", ("live", "earthing"), "live"),
    ),
    outputs=(
        Output("withstands", "stands it"),
        Output("minimum_area", "least area", "mm^2", "S_min"),
        Output("k", "factor k, A·√s/mm²", "1", "k"),
        Output("area", "area of the size", "mm^2", "S"),
    ),
    expression=("minimum_area = fault_current * sqrt(time) / k", "withstands = area not below minimum_area"),
    source=Source(
        "IEC 60364-4-43; IEC 60364-5-54", "IEC", "2023; 2011", "434.5.2, Table 43A; 543.1.2, Table A.54.2"
    ),
    validity="up to 5 s, no heat leaves the conductor; below 0.1 s the device's let-through energy counts",
)
def fault_withstand(
    *,
    size: Size,
    insulation: float,
    fault_current: float,
    time: float,
    material: str = "copper",
    role: str = "live",
) -> FaultWithstand:
    """The adiabatic rule ``S = I sqrt(t) / k``. ``insulation`` 70 or 90 [degC], ``time`` up to 5 [s].

    Raises ``CannotCalculate`` for an insulation without a k.
    """
    wanted = (role, material, float(insulation))
    for row in table("adiabatic_k").rows():
        if (row["role"], row["material"], row["insulation_C"]) == wanted:
            k = float(str(row["k"]))
            least = fault_current * math.sqrt(time) / k
            return FaultWithstand(least <= size.area_mm2 * (1 + TIGHT), least, k, size.area_mm2)
    raise CannotCalculate("insulation", f"{insulation:g} degC", "70 degC (PVC) or 90 degC (XLPE, EPR)")
