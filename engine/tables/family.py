"""What a rule family is in numbers: factors, table names, terminal rule and clauses, read from a data file.

A formula takes a family as data, so that a new edition or family is a file here and no edit elsewhere.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from engine.sources import Source

FOLDER = Path(__file__).parent / "families"


@dataclass(frozen=True, slots=True)
class Protection:
    """Where a family asks for the protection of a source, in numbers.

    ``..._voltage`` [V]: the most on or in a dwelling, on or in another building, on none. Arc-fault
    protection is asked from ``arc_fault_voltage`` on, ground-fault protection above either of its two figures
    [V, A].
    ``arc_fault_spares_fields`` where arrays on no building, their conductors buried or in metal, go without;
    ``ground_fault_spared_strings`` is the most strings of a solidly earthed one that does;
    ``rapid_shutdown_spares_open`` where open detached structures count as no building. Where ``arc_fault``,
    ``rapid_shutdown`` or ``surge`` is false the matter is sound practice, and no rule. ``surge_length_...``
    [m/(km2 a)] over the ground flash density is the run from which surge devices are asked, ``surge_factor``
    times the standard open-circuit voltage the least that they stand. ``exposed_earthing`` is the least
    earthing conductor that may run without mechanical protection; up to ``isolator_current`` [A] a fuse that
    can be pulled is enough to isolate. From ``touch_voltage`` [V] on live parts must be covered.
    ``earthing_grows_with_heat`` where an earthing conductor grows with a circuit enlarged for its ambient or
    bundling too, and not for drop alone.
    """

    dwelling_voltage: float
    building_voltage: float
    open_voltage: float
    arc_fault: bool
    arc_fault_voltage: float
    arc_fault_spares_fields: bool
    ground_fault: bool
    ground_fault_voltage: float
    ground_fault_current: float
    ground_fault_spared_strings: int
    rapid_shutdown: bool
    rapid_shutdown_spares_open: bool
    surge: bool
    surge_wind: bool
    surge_length_building: float
    surge_length_open: float
    surge_factor: float
    exposed_earthing: str
    isolator_current: float
    touch_voltage: float
    earthing_grows_with_heat: bool


@dataclass(frozen=True, slots=True)
class Enclosed:
    """Conduit in a family: the ``methods`` of laying that mean single conductors in one, those that mean
    whole ``cables`` in one, and the insulation that counts where nobody says which, the thickest usual one:
    ``covering``, of PV circuits ``pv_covering``."""

    methods: tuple[str, ...]
    cables: tuple[str, ...]
    covering: str
    pv_covering: str


@dataclass(frozen=True, slots=True, eq=False)
class Family:
    """One rule family and edition.

    ``group`` names its folder of rules, ``sizes`` its conductor series (``awg`` or ``mm2``). Factors are
    plain numbers: ``irradiance_factor`` for bright hours, ``continuous_factor`` for continuous duty of
    devices and terminals, ``pv_continuous_factor`` the second factor of PV currents, taken once.
    Up to ``round_up_to`` [A] a device may be the next standard one above an ampacity.
    ``terminal_small`` and ``terminal_large`` [degC] hold up to and above ``terminal_limit`` [A]. Resistance
    is tabled at ``resistance_reference`` [degC] and rises by ``alpha`` [1/K] of the material. ``tables``
    maps a use to a table's name, ``ratings`` a kind of device to the rows of the ratings table it comes in.
    """

    name: str
    title: str
    edition: str
    publisher: str
    group: str
    sizes: str
    irradiance_factor: float
    continuous_factor: float
    pv_continuous_factor: float
    string_fuse_irradiance_factor: float
    string_fuse_minimum: float
    string_fuse_maximum: float | None
    diversion_load_factor: float
    diversion_conductor_factor: float
    round_up_to: float
    terminal_small: float
    terminal_large: float
    terminal_limit: float
    resistance_reference: float
    alpha: Mapping[str, float]
    method: str
    methods: tuple[str, ...]
    tables: Mapping[str, str]
    ratings: Mapping[str, tuple[str, ...]]
    protection: Protection
    conduit: Enclosed
    disconnection: bool
    clauses: Mapping[str, Source]

    def clause(self, matter: str) -> Source:
        """Where this family settles a matter; raises ``KeyError`` for one it has no clause for."""
        return self.clauses[matter]


def names() -> tuple[str, ...]:
    """The names of all families."""
    return tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))


@cache
def family(name: str) -> Family:
    """Read a family; raises ``KeyError`` that names the known ones."""
    path = FOLDER / f"{name}.toml"
    if name not in names():
        raise KeyError(f"no rule family {name}; there are {', '.join(names())}")
    data = tomllib.loads(path.read_text("utf-8"))
    how = data["how"]
    clauses = {
        matter: Source(data["title"], data["publisher"], data["edition"], text, how)
        for matter, text in data["clauses"].items()
    }
    return Family(
        name=name,
        title=data["title"],
        edition=data["edition"],
        publisher=data["publisher"],
        group=data["group"],
        sizes=data["sizes"],
        **data["factors"],
        string_fuse_maximum=data["string_fuse"].get("maximum"),
        string_fuse_minimum=data["string_fuse"]["minimum"],
        string_fuse_irradiance_factor=data["string_fuse"]["irradiance_factor"],
        terminal_small=data["terminals"]["small"],
        terminal_large=data["terminals"]["large"],
        terminal_limit=data["terminals"]["limit"],
        resistance_reference=data["resistance"]["reference"],
        alpha=MappingProxyType({name: data["resistance"][name] for name in ("copper", "aluminium")}),
        method=data["methods"]["default"],
        methods=tuple(data["methods"]["known"]),
        tables=MappingProxyType(data["tables"]),
        ratings=MappingProxyType({kind: tuple(rows) for kind, rows in data["ratings"].items()}),
        protection=Protection(**data["protection"]),
        conduit=_enclosed(**data["conduit"]),
        disconnection=data["ac"]["disconnection"],
        clauses=MappingProxyType(clauses),
    )


def _enclosed(methods: list[str], cables: list[str], covering: str, pv_covering: str) -> Enclosed:
    return Enclosed(tuple(methods), tuple(cables), covering, pv_covering)
