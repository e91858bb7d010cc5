"""What a planned circuit is, and what the makers of plans share.

A maker is ``plans(design, family, arrays, controllers) -> Iterator[Plan]``; ``engine.sections.circuits``
lists the makers and gives every plan its conductor, device, class, earthing conductor and fault currents.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from engine.sections.results import ArrayResult, Assumed, Missing, StringFuse
from engine.worksheet import Worked

VOLTAGE_DATA = ("module", "modules", "voc", "beta_voc", "silicon", "design_low")
CURRENT_DATA = ("module", "strings", "isc")
RUNNING_DATA = ("module", "modules", "strings", "vmp", "imp")
FUSE_DATA = ("series_fuse", "back_feed")


@dataclass(frozen=True, slots=True)
class Supply:
    """A battery as what drives a fault: ``voltage`` [V] of a string, ``resistance`` [ohm] of one block.

    ``series`` blocks make a string, ``strings`` of them feed the fault together, and ``added`` [A] comes from
    chargers beside them.
    """

    voltage: float
    resistance: float
    series: int
    strings: int
    added: float = 0.0


@dataclass(frozen=True, slots=True)
class Plan:
    """One circuit before its conductor and device: what stands on it and what flows in it.

    ``piece`` is the path of what it belongs to, ``ends`` the paths of the records at whose terminals it ends.
    ``system`` is ``dc`` or ``ac``, ``phases`` 3 where three conductors carry the load. ``current`` [A] is
    what the rules take as current; where ``continuous`` is true the family's factor comes on top.

    ``strings`` lie together. ``guards_modules`` where the circuit's device guards the modules: ``fuse`` is
    then the string's fuse and ``fuse_largest`` [A] the most that they stand. ``back`` [A] can flow back
    through the circuit from beyond it. ``protected`` is false where no overcurrent device is asked for.

    A fault is driven by ``most`` and ``least``, the battery at both ends of its resistance, or by a source
    that limits itself: ``fault_most`` and ``fault_least`` [A]. ``way`` names the circuits that its current
    passes before this one, each with how many of them share it. ``reverses`` says whether a fault can drive
    current through the circuit's device against its usual direction, ``poles`` how many live conductors a
    device must open (``None`` where nobody has said what decides it). ``nearest`` says where a battery's
    device stands. ``fault_missing`` is what the fault currents and ``reverses`` lack, ``missing`` all else.
    """

    id: str
    kind: str
    title: str
    origin: str
    target: str
    piece: str = ""
    ends: tuple[str, ...] = ()
    system: str = "dc"
    phases: int = 1
    array: str | None = None
    controller: str | None = None
    strings: int = 1
    voltage: float | None = None
    voltage_record: float | None = None
    current: float | None = None
    continuous: bool = True
    design_current: float | None = None
    running_current: float | None = None
    running_voltage: float | None = None
    guards_modules: bool = False
    fuse: StringFuse | None = None
    fuse_largest: float | None = None
    back: float | None = None
    protected: bool = True
    most: Supply | None = None
    least: Supply | None = None
    fault_most: float | None = None
    fault_least: float | None = None
    way: tuple[tuple[str, int], ...] = ()
    reverses: bool | None = None
    poles: int | None = None
    nearest: str = ""
    missing: tuple[Missing, ...] = ()
    fault_missing: tuple[Missing, ...] = ()
    assumed: tuple[Assumed, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict, compare=False)


def needed(missing: tuple[Missing, ...], *names: str) -> tuple[Missing, ...]:
    """The missing data whose field has one of these names."""
    return tuple(item for item in missing if item.path.rpartition(".")[2] in names)


def array_steps(array: ArrayResult, **names: str) -> dict[str, Worked]:
    """An array's worked steps under the names that a circuit gives them."""
    held, names = array.steps, {"voltage": "open_design", "voltage_record": "open_record", **names}
    return {own: held[name] for own, name in names.items() if name in held}


def plain(value: float | None) -> float | None:
    """A quantity of the design as a plain number."""
    return None if value is None else float(value)
