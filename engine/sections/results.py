"""What the sections hand on: plain frozen results that rules compare and panes show.

``None`` stands where a datum is missing; ``missing`` then names the design fields to enter. Volts, amps,
watts and degrees Celsius throughout.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt

from engine.fields import Spec
from engine.sizes import Size
from engine.units import show
from engine.worksheet import Worked

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Missing:
    """A datum that a result needs: the path of its field and what it is called there."""

    path: str
    title: str


@dataclass(frozen=True, slots=True)
class Assumed:
    """A default that a result used: the path of its field, its title, the value as text and why."""

    path: str
    title: str
    text: str
    why: str


@dataclass(frozen=True, slots=True)
class StringFuse:
    """Whether each string needs its own overcurrent device, and which.

    ``limit`` is the reverse current that its modules stand, their largest series fuse.
    """

    reverse_current: float
    required: bool
    minimum: float
    maximum: float
    rating: float | None
    limit: float | None = None


@dataclass(frozen=True, slots=True)
class ArrayResult:
    """The voltages and currents of one array.

    Open-circuit voltages are of a string: ``open_standard`` at 25 degC, ``open_design`` at design low,
    ``open_record`` at record low. Running voltages are of a string at maximum power: ``running_standard``,
    ``running_hot`` at the hottest cell, ``running_cold`` at design low. Currents: ``isc`` of a string,
    ``string_current`` and ``array_current`` are what rules take as "current" (1.25 Isc and so on),
    ``string_design`` and ``array_design`` with the second factor, once; ``running_current`` at maximum power
    of the whole array. ``longest`` and ``shortest`` are module counts that the controller allows
    (``longest_operating`` by its operating limit at design low, ``longest`` by standoff at record low).
    ``back_feed`` is what the controller and its other arrays can push into a fault on this one.
    """

    array: str
    label: str
    controller: str | None
    modules: int | None = None
    strings: int | None = None
    power: float | None = None
    cell_hot: float | None = None
    open_standard: float | None = None
    open_design: float | None = None
    open_record: float | None = None
    running_standard: float | None = None
    running_hot: float | None = None
    running_cold: float | None = None
    isc: float | None = None
    string_current: float | None = None
    string_design: float | None = None
    array_current: float | None = None
    array_design: float | None = None
    running_current: float | None = None
    longest: int | None = None
    longest_operating: int | None = None
    shortest: int | None = None
    back_feed: float | None = None
    fuse: StringFuse | None = None
    missing: tuple[Missing, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ControllerResult:
    """How one controller meets its sources and the battery.

    ``start`` is the source voltage it needs to start over the battery's highest charging voltage;
    ``standoff`` the limit that counts, at the lowest battery voltage where it follows the battery, and
    ``standoff_battery_open`` the same with the battery breaker open (0 V). ``limits`` and ``efficiency`` are
    the small tables against source voltage less (over) battery voltage; ``output_current`` is its limit at
    the array's standard running voltage, ``largest_output`` its limit at the best spread (what its output
    circuit must carry), ``array_output`` what its arrays could drive at the nominal battery voltage.
    ``nominal_step`` is array nominal over battery nominal, 2.0 for 48 V on 24 V.
    """

    controller: str
    label: str
    arrays: tuple[str, ...] = ()
    battery_low: float | None = None
    battery_nominal: float | None = None
    battery_high: float | None = None
    start: float | None = None
    operating: float | None = None
    standoff: float | None = None
    standoff_battery_open: float | None = None
    output_current: float | None = None
    largest_output: float | None = None
    array_output: float | None = None
    array_short_circuit: float | None = None
    limits: tuple[tuple[float, float], ...] = ()
    efficiency: tuple[tuple[float, float], ...] = ()
    conversion_efficiency: float | None = None
    nominal_step: float | None = None
    missing: tuple[Missing, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Check:
    """One check of a conductor: what it can do against what it must, and whether it does."""

    name: str
    capacity: float
    need: float
    unit: str
    ok: bool


@dataclass(frozen=True, slots=True)
class CircuitResult:
    """One derived circuit with its conductor, device and voltage class, and the reason for each.

    ``kind`` is ``string``, ``run`` (combiner to controller), ``output`` (controller or charger to battery),
    ``bank`` (battery string to bus), ``inverter`` (battery to inverter), ``panel``, ``branch``, ``diversion``
    (battery to its controller, controller to its load), ``ac`` (inverter output) or ``generator``;
    of a turbine ``alternator`` (to its brake or rectifier), ``brake``, ``turbine`` (rectifier to controller)
    and ``limiter``. ``piece`` is the path of what it belongs to, ``ends`` those of the records at whose
    terminals it ends. A device is a ``fuse`` or a ``breaker``: ``device_kind``, as in hand or to be ordered.
    ``voltage`` is the highest that can stand on it (open circuit at design low, or the highest charging
    voltage), ``voltage_record`` at record low; ``current`` what the rules take as current, ``design_current``
    with the continuous factor, ``running_current`` and ``running_voltage`` for drop and loss. ``smaller`` and
    ``smaller_fails`` name the next size down and the check that it fails. ``device`` is the chosen standard
    rating, ``device_largest`` the most the conductor allows, ``voltage_class`` the least standard class.
    ``pinned`` where the designer fixed the size, ``least`` the least size by the rules, without regard to the
    drop; ``parallel`` conductors share the current of a pole.

    ``system`` is ``dc`` or ``ac``, ``phases`` 3 where three conductors carry the load; ``poles`` how many
    live conductors a device must open, ``None`` where what decides it is not entered. ``fault_most`` [A] is
    the prospective fault current at the device with the source at its strongest, ``fault_least`` at the far
    end with the source at its weakest and the conductors hot; ``breaking_least`` [A] the least usual breaking
    capacity not below the first. ``trip_stands`` says whether the conductor stands the weakest fault until
    the device opens, ``None`` where it isn't known or takes longer than 5 s. ``reverses`` says whether a
    fault can turn the current round in the device, ``fault_missing`` what these lack. ``nearest`` says where
    a battery's device stands, ``unprotected`` [m] the length before it, if entered. ``conduit`` is the least
    trade size, ``None`` where it lies in none or in none that is wide enough. ``behind`` is the circuit whose
    device feeds this one, ``shared`` how many such devices share its current.
    """

    id: str
    kind: str
    title: str
    origin: str
    target: str
    array: str | None = None
    controller: str | None = None
    voltage: float | None = None
    voltage_record: float | None = None
    current: float | None = None
    design_current: float | None = None
    running_current: float | None = None
    running_voltage: float | None = None
    length: float | None = None
    conductor: Size | None = None
    pinned: bool = False
    least: Size | None = None
    checks: tuple[Check, ...] = ()
    governed_by: str = ""
    smaller: Size | None = None
    smaller_fails: str = ""
    device: float | None = None
    device_least: float | None = None
    device_largest: float | None = None
    device_needed: bool = True
    device_kind: str = "breaker"
    voltage_class: float | None = None
    earthing: Size | None = None
    drop: float | None = None
    drop_fraction: float | None = None
    drop_allowed: float | None = None
    loss: float | None = None
    piece: str = ""
    ends: tuple[str, ...] = ()
    system: str = "dc"
    phases: int = 1
    parallel: int = 1
    poles: int | None = None
    fault_most: float | None = None
    fault_least: float | None = None
    breaking_least: float | None = None
    trip_stands: bool | None = None
    reverses: bool | None = None
    nearest: str = ""
    unprotected: float | None = None
    conduit: str | None = None
    behind: str = ""
    shared: int = 1
    missing: tuple[Missing, ...] = ()
    fault_missing: tuple[Missing, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Conditions:
    """The conditions of looking; not part of the design."""

    cell: float = 25.0
    irradiance: float = 1000.0
    wind: float = 6.0
    flow: float = 0.005
    battery: float = 52.0


@dataclass(frozen=True, slots=True)
class ArrayLook:
    """One array at the conditions: its curve, its maximum-power point and where it is held.

    ``output_current`` is its share of the current into the battery. ``state`` is ``tracking``, ``direct``
    (held at the battery's voltage), ``current limit``, ``lock-out`` (above the operating limit), ``below
    start``, ``dark``, ``no controller`` or ``no curve``; ``why`` says it in words. Curves are arrays [point],
    from short circuit to open circuit, empty where there is no curve.
    """

    array: str
    volts: Floats
    amps: Floats
    watts: Floats
    open_voltage: float
    best_voltage: float
    best_current: float
    best_power: float
    voltage: float
    current: float
    power: float
    output_current: float
    state: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of a ladder lane. ``kind``: battery, operating, standoff, running, open."""

    low: float
    high: float
    kind: str
    text: str = ""
    text_low: str = ""


@dataclass(frozen=True, slots=True)
class Mark:
    """A single voltage of a ladder lane. ``kind``: now, would, held, rating, record, limit; ``status`` a word
    or empty."""

    at: float
    kind: str
    text: str = ""
    status: str = ""


@dataclass(frozen=True, slots=True)
class Lane:
    """One lane of the voltage ladder; ``path`` is the piece or circuit it belongs to, ``colour`` sun, wind,
    water, battery or ink."""

    title: str
    path: str
    colour: str
    spans: tuple[Span, ...] = ()
    marks: tuple[Mark, ...] = ()
    empty: str = ""


def ask(record_path: str, record: Any, *names: str) -> tuple[Missing, ...]:
    """The fields among ``names`` that a record has no value for."""
    specs = record.specs()
    return tuple(
        Missing(f"{record_path}.{name}" if record_path else name, specs[name].title)
        for name in names
        if record.use(name) is None
    )


def assume(record_path: str, record: Any, *names: str) -> tuple[Assumed, ...]:
    """The fields among ``names`` whose default was used, as text in metric units."""
    specs = record.specs()
    return tuple(
        Assumed(
            f"{record_path}.{name}" if record_path else name,
            specs[name].title,
            _default_text(specs[name]),
            specs[name].why,
        )
        for name in names
        if record.is_default(name)
    )


@cache
def _default_text(spec: Spec) -> str:
    return show(spec.default, spec.unit) if spec.kind == "quantity" else str(spec.default)
