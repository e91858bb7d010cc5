"""How a circuit's conductors lie: what the designer said, and the stricter answer where nothing was said."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from engine.design import COMMON, Circuit, Design
from engine.fields import Record
from engine.sections.notes import Notes, field
from engine.sections.results import Assumed
from engine.tables import table
from engine.tables.family import Family
from engine.tables.lookup import exact
from engine.units import show

CLOSE_TO_ROOF = 23.0  # mm, 7/8 in: closer than this the sun on the roof counts
METHODS = {"raceway": "raceway", "free air": "free-air"}  # the design's word: the family's


@dataclass(frozen=True, slots=True)
class Laying:
    """What a conductor's ampacity depends on beside its size.

    ``insulation``, ``ambient`` and ``terminal`` [degC], the last ``None`` for the family's rule;
    ``conductors`` that carry current together, ``circuits`` grouped; ``parallel`` conductors share the
    current of a pole.
    """

    insulation: float
    material: str
    ambient: float
    method: str
    conductors: int
    circuits: int
    terminal: float | None
    parallel: int


def laying(
    design: Design,
    family: Family,
    circuit: Circuit,
    ends: tuple[Record, ...],
    strings: int,
    notes: Notes,
    phases: int = 1,
    *,
    on_building: bool = False,
) -> Laying | None:
    """The laying of a circuit with the defaults it took; ``None`` where no ambient can be told.

    ``ends`` are the records at whose terminals it ends; ``strings`` how many strings lie together;
    ``phases`` is 3 where three conductors carry the load; ``on_building`` where it starts at an array on one.
    """
    path, habit = f"circuits.{circuit.id}", str(design.about.use("units"))
    ambient = _ambient(design, path, circuit, habit, notes, on_building=on_building)
    if ambient is None:
        return None
    for name in ("insulation", "insulation_voltage", "material"):
        if circuit.is_default(name):
            spec = circuit.specs()[name]
            text = _text(spec.default, spec.unit, habit) if spec.kind == "quantity" else str(spec.default)
            notes.suppose(Assumed(f"{path}.{name}", spec.title, text, spec.why))
    parallel = int(circuit.use("parallel"))
    loaded = 3 if phases == 3 else 2
    together = _together(path, circuit, strings, loaded * parallel, notes)
    nec = family.sizes == "awg"
    return Laying(
        insulation=float(circuit.use("insulation")),
        material=str(circuit.use("material")),
        ambient=ambient,
        method=_method(path, family, circuit, notes),
        conductors=max(together, loaded * (circuit.grouped or 1)) if nec else loaded,
        circuits=1 if nec else max((together + loaded - 1) // loaded, circuit.grouped or 1),
        terminal=_terminal(family, circuit, ends),
        parallel=parallel,
    )


def _terminal(family: Family, circuit: Circuit, ends: tuple[Record, ...]) -> float | None:
    """The terminal that is marked coldest; ``None`` where the family's own rule counts.

    A piece's marking speaks for one end: it only counts where the rule might take a hotter column.
    """
    coldest = None if circuit.terminal is None else float(circuit.terminal)
    for end in ends:
        marked = getattr(end, "terminal", None)
        if marked is not None and (coldest is not None or marked < family.terminal_large):
            coldest = float(marked) if coldest is None else min(coldest, float(marked))
    return coldest


def _together(path: str, circuit: Circuit, strings: int, loaded: int, notes: Notes) -> int:
    """Current-carrying conductors in one raceway: all strings of an array share one unless told otherwise."""
    if circuit.conductors is not None:
        return circuit.conductors
    together = loaded * strings
    why = "all strings in one raceway" if strings > 1 else "one circuit"
    title = circuit.specs()["conductors"].title
    notes.suppose(Assumed(f"{path}.conductors", title, str(together), why))
    return together


def _method(path: str, family: Family, circuit: Circuit, notes: Notes) -> str:
    said = METHODS.get(circuit.method or "", circuit.method or "")
    if said in family.methods:
        return said
    why = f"{circuit.method} is no method of {family.name}" if said else "the stricter of the usual ones"
    notes.suppose(Assumed(f"{path}.method", circuit.specs()["method"].title, family.method, why))
    return family.method


def _ambient(
    design: Design, path: str, circuit: Circuit, habit: str, notes: Notes, *, on_building: bool
) -> float | None:
    """As entered, else the design high with the rise of the place; on a roof the sun's rise on top.

    Unless it is known to stand off: a height that nobody entered counts as none. Where nobody has said where
    it runs nor how hot that is, it runs over the roof of the building that its array is on.
    """
    place = str(circuit.use("place"))
    if on_building and circuit.place is None and circuit.ambient is None:
        place = "roof"
        title = circuit.specs()["place"].title
        notes.suppose(Assumed(f"{path}.place", title, place, "its array is on a building"))
    close = place == "roof" and (circuit.above_roof is None or circuit.above_roof < CLOSE_TO_ROOF)
    title = circuit.specs()["ambient"].title
    if circuit.ambient is not None:
        if not close:
            return float(circuit.ambient)
        hot = float(circuit.ambient) + exact(table("place_ambient"), "place", "on the roof", "rise")
        why = f"{_text(float(circuit.ambient), 'degC', habit)} and the sun on the roof"
        notes.suppose(Assumed(f"{path}.ambient", title, _text(hot, "degC", habit), why))
        return hot
    if design.site.design_high is None:
        notes.lack(field("site", design.site, "design_high"))
        return None
    row = "on the roof" if close else place
    held = table("place_ambient")
    hot = max(
        float(design.site.design_high) + exact(held, "place", row, "rise"), exact(held, "place", row, "floor")
    )
    notes.suppose(Assumed(f"{path}.ambient", title, _text(hot, "degC", habit), f"{row}, {COMMON}"))
    return hot


def allowed_drop(circuit: Circuit, kind: str, notes: Notes) -> float:
    """The drop that is allowed, as a fraction: the designer's, else the share of common practice."""
    if circuit.allowed_drop is not None:
        return float(circuit.allowed_drop)
    share = exact(table("allowed_drop"), "circuit", kind, "share")
    title = circuit.specs()["allowed_drop"].title
    notes.suppose(Assumed(f"circuits.{circuit.id}.allowed_drop", title, _text(share, "%", "metric"), COMMON))
    return share


@lru_cache(maxsize=512)
def _text(value: float, unit: str, habit: str) -> str:
    return show(value, unit, habit)
