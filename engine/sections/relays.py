"""Relays: what each watches, switches and does to the battery, and whether its own load makes it chatter."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import partial

from engine.design import Design, Diversion, Inverter, Load, Relay, label
from engine.physics.relay import RelayChatter, relay_chatter
from engine.sections.memory import Memory
from engine.sections.notes import Notes
from engine.sections.notes import field as named
from engine.sections.plans.battery import diverted_current, load_current
from engine.sections.relay_uses import BY_PURPOSE, Use
from engine.sections.results import Missing
from engine.sections.starting import entered, starting_factor
from engine.thresholds import threshold
from engine.units import Quantity, UnitError
from engine.worksheet import Worked

DRIVES = {"diversion": "diversions", "load": "loads", "inverter": "inverters", "generator": "generators"}
SOURCES = ("wind", "hydro")


@dataclass(frozen=True, slots=True)
class RelayResult:
    """One relay as logic: what it watches, when its contact shuts and opens, what runs through it.

    ``on`` and ``off`` are its thresholds as read, ``closes`` and ``opens`` the same by what the contact does,
    ``None`` where not known. ``contact_current`` [A] is the most that the contact makes or breaks,
    ``contact_if_motor`` the same if a load of which no starting factor is entered is a motor,
    ``contact_voltage`` [V] the highest across it open. ``pull`` [A] is what the battery gives more while the
    contact is shut, negative where it is charged. ``resistance`` [ohm] of the bank aged and cold.
    ``chatter`` is known for a relay that watches the battery's voltage. ``missing`` is what contact current
    and voltage lack, ``chatter_missing`` what the chatter lacks.
    """

    relay: str
    label: str
    use: Use | None = None
    on: Quantity | str | None = None
    off: Quantity | str | None = None
    closes: Quantity | str | None = None
    opens: Quantity | str | None = None
    drives: str = ""
    contact_current: float | None = None
    contact_voltage: float | None = None
    pull: float | None = None
    resistance: float | None = None
    chatter: RelayChatter | None = None
    missing: tuple[Missing, ...] = ()
    chatter_missing: tuple[Missing, ...] = ()
    steps: Mapping[str, Worked] = field(default_factory=dict)
    contact_if_motor: float | None = None


_results: Memory[RelayResult] = Memory(128)


def relays(design: Design) -> dict[str, RelayResult]:
    """Every relay by its id."""
    return {
        relay.id: _results.recall(_read_by(design, relay), partial(_result, design, relay))
        for relay in design.relays
    }


def _read_by(design: Design, relay: Relay) -> tuple[object, ...]:
    """The records that a relay's result is made from."""
    driven = (design.find(table, getattr(relay, name)) for name, table in DRIVES.items())
    machines = (*design.wind, *design.hydro) if relay.purpose == "brake" else ()
    return (relay, design.bank, *driven, *(design.inverters if relay.load else ()), *machines)


def _result(design: Design, relay: Relay) -> RelayResult:
    path = f"relays.{relay.id}"
    on, off = (_read(relay, name) for name in ("on_at", "off_at"))
    rest = relay.rest_state
    closes, opens = (on, off) if rest == "open" else (off, on) if rest == "closed" else (None, None)
    contact, bus = Notes(), Notes()
    current, voltage = contact_load(design, relay, contact)
    pull = _pull(design, relay, bus)
    resistance = _resistance(design, bus)
    chatter = None
    if relay.watches == "battery voltage":
        bus.ask(path, relay, "purpose", "on_at", "off_at")
        if not relay.use("pulse_width"):
            bus.ask(path, relay, "on_delay", "least_on", "off_delay")
        use = BY_PURPOSE.get(relay.purpose or "")
        numbers = isinstance(on, Quantity) and isinstance(off, Quantity)
        if not bus.missing and numbers and use and pull is not None and resistance is not None:
            chatter = bus.work(
                "chatter",
                named(path, relay, "off_at"),
                relay_chatter,
                current=abs(pull),
                resistance=resistance,
                band=abs(float(on) - float(off)),  # type: ignore[arg-type]
                shortest=use.shortest,
                on_delay=float(relay.on_delay or 0.0),
                least_on=float(relay.least_on or 0.0),
                off_delay=float(relay.off_delay or 0.0),
            )
    return RelayResult(
        relay.id,
        label(relay),
        BY_PURPOSE.get(relay.purpose or ""),
        on,
        off,
        closes,
        opens,
        _drives(design, relay),
        current,
        voltage,
        pull,
        resistance,
        chatter,
        contact.missing,
        bus.missing,
        {**contact.steps, **bus.steps},
        _if_a_motor(design, relay, current),
    )


def _if_a_motor(design: Design, relay: Relay, current: float | None) -> float | None:
    """What a contact makes [A] if its dc load, of which no starting factor is entered, is a motor."""
    load = design.find("loads", relay.load)
    if current is None or relay.power is not None or not isinstance(load, Load) or load.use("kind") != "dc":
        return current
    return current / entered(load) * starting_factor(load)


def _read(relay: Relay, name: str) -> Quantity | str | None:
    text = getattr(relay, name)
    if text is None or relay.watches is None:
        return None
    try:
        return threshold(relay.watches, text)
    except UnitError:
        return None


def _drives(design: Design, relay: Relay) -> str:
    """What it drives, in words."""
    for name, table in DRIVES.items():
        record = design.find(table, getattr(relay, name))
        if record is not None:
            return label(record)
    return ""


def contact_load(design: Design, relay: Relay, notes: Notes) -> tuple[float | None, float | None]:
    """The most current that a contact makes or breaks [A], and the highest voltage across it [V].

    A power through the contact counts at the battery's lowest voltage; a load and an inverter with what they
    surge to, since that is what the contact makes.
    """
    path, bank = f"relays.{relay.id}", design.bank
    if relay.purpose == "brake" and relay.power is None:
        return _brake(design, notes)
    notes.ask("bank", bank, "highest_voltage")
    highest = None if bank.highest_voltage is None else float(bank.highest_voltage)
    return _through(design, relay, path, notes), highest


def _through(design: Design, relay: Relay, path: str, notes: Notes) -> float | None:
    if relay.power is not None:
        return _at_lowest(design, float(relay.power), notes)
    load = design.find("loads", relay.load)
    if load is not None and load.use("kind") == "dc":
        running = _load_current(design, relay, notes)
        return None if running is None else running * float(load.use("surge_factor"))
    if load is None and (relay.diversion is not None or relay.inverter is not None):
        return _driven(design, relay, notes)
    notes.ask(path, relay, "power")
    return None


def _driven(design: Design, relay: Relay, notes: Notes) -> float | None:
    """What a diversion load draws at the highest voltage, or an inverter in its surge at the lowest [A]."""
    diversion = design.find("diversions", relay.diversion)
    if isinstance(diversion, Diversion):
        owner = f"diversions.{diversion.id}"
        if diversion.resistance is None:
            notes.ask(owner, diversion, "rated_power", "rated_voltage")
        known = notes.ask("bank", design.bank, "highest_voltage")
        return diverted_current(diversion, float(design.bank.highest_voltage or 0.0) if known else None)
    inverter = design.find("inverters", relay.inverter)
    if not isinstance(inverter, Inverter):
        return None
    notes.ask(f"inverters.{inverter.id}", inverter, "surge", "efficiency")
    if inverter.surge is None or inverter.efficiency is None:
        return None
    return _at_lowest(design, float(inverter.surge) / float(inverter.efficiency), notes)


def _brake(design: Design, notes: Notes) -> tuple[float | None, float | None]:
    """The largest short-circuit current and free-running voltage of the turbines."""
    amps, volts = [], []
    for turbine in design.wind:
        notes.ask(f"wind.{turbine.id}", turbine, "short_current", "open_voltage")
        amps.append(turbine.short_current)
        volts.append(turbine.open_voltage)
    for machine in design.hydro:
        notes.ask(f"hydro.{machine.id}", machine, "open_voltage", "rated_current")
        amps.append(machine.rated_current)
        volts.append(machine.open_voltage)
    if notes.missing or not amps:
        return None, None
    return max(float(each or 0.0) for each in amps), max(float(each or 0.0) for each in volts)


def _at_lowest(design: Design, watts: float, notes: Notes) -> float | None:
    bank = design.bank
    if not notes.ask("bank", bank, "lowest_voltage") or bank.lowest_voltage is None:
        return None
    return watts / float(bank.lowest_voltage)


def _load_current(design: Design, relay: Relay, notes: Notes) -> float | None:
    """What the load draws from the battery, running [A]; an ac load through the least good inverter."""
    load = next(item for item in design.loads if item.id == relay.load)
    drawn = load_current(design.bank, load, notes)
    if drawn is None or load.use("kind") == "dc":
        return drawn
    for inverter in design.inverters:
        notes.ask(f"inverters.{inverter.id}", inverter, "efficiency")
    shares = [float(each.efficiency) for each in design.inverters if each.efficiency is not None]
    return drawn / min(shares) if shares else None


def _pull(design: Design, relay: Relay, notes: Notes) -> float | None:
    """What the battery gives more while the contact is shut [A], negative where it is charged instead."""
    if relay.generator is not None:
        generator = next(item for item in design.generators if item.id == relay.generator)
        notes.ask(f"generators.{generator.id}", generator, "charger_current")
        return None if generator.charger_current is None else -float(generator.charger_current)
    if relay.load is not None:
        return _load_current(design, relay, notes)
    if relay.purpose == "brake":
        watts = 0.0
        for table in SOURCES:
            for turbine in getattr(design, table):
                notes.ask(f"{table}.{turbine.id}", turbine, "rated_power")
                watts += float(turbine.rated_power or 0.0)
        return _at_lowest(design, watts, notes)
    if relay.diversion is not None or relay.inverter is not None:
        return _driven(design, relay, notes)
    if relay.purpose == "generator start":
        notes.ask(f"relays.{relay.id}", relay, "generator")
        return None
    return _through(design, relay, f"relays.{relay.id}", notes)


def _resistance(design: Design, notes: Notes) -> float | None:
    """The bank's resistance aged and cold, which makes the widest swing [ohm]."""
    bank = design.bank
    if not notes.ask("bank", bank, "block_resistance_aged", "series", "strings"):
        return None
    if bank.block_resistance_aged is None or bank.series is None or bank.strings is None:
        return None
    return float(bank.block_resistance_aged) * bank.series / bank.strings
