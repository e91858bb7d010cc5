"""A relay in words: the sentence that says when it switches, and its lines on the settings sheet."""

from __future__ import annotations

from collections.abc import Iterator

from engine.design import Design, Relay, label
from engine.fields import Record
from engine.sections.relay_uses import BY_PURPOSE
from engine.sections.setting import Setting
from engine.thresholds import MEASURED, threshold
from engine.units import Quantity, UnitError, belongs, show


def sentence(relay: Relay, habit: str) -> str:
    """When it comes on and goes off: "on above 29.6 V after 1 s, off below 28.4 V after 5 s, ..."."""
    if relay.watches is None or relay.on_at is None or relay.off_at is None:
        wanted = (title for name, title in _WANTED if getattr(relay, name) is None)
        return f"Enter: {', '.join(wanted)}."
    on, off = (_threshold(relay, name, habit) for name in ("on_at", "off_at"))
    if relay.use("pulse_width"):
        return f"drives from nothing at {off} to the whole at {on}, by pulses"
    rise, fall = _sides(relay)
    parts = [f"on {rise}{on}{_after(relay, 'on_delay')}", f"off {fall}{off}{_after(relay, 'off_delay')}"]
    if relay.least_on:
        parts.append(f"at least {_typed(relay, 'least_on')} on")
    return ", ".join(parts)


_WANTED = (("watches", "Watches"), ("on_at", "On at"), ("off_at", "Off at"))


def _sides(relay: Relay) -> tuple[str, str]:
    """The words before on and off: above and below by which is the higher, else a plain "at" or "in"."""
    if relay.watches not in MEASURED:
        word = "in " if relay.watches == "stage" else "at "
        return word, word
    try:
        on, off = (threshold(relay.watches, str(text)) for text in (relay.on_at, relay.off_at))
    except UnitError:
        return "at ", "at "
    rising = isinstance(on, Quantity) and isinstance(off, Quantity) and on > off
    return ("above ", "below ") if rising else ("below ", "above ")


def _threshold(relay: Relay, name: str, habit: str) -> str:
    """A threshold as typed, or in the habit's units where it was typed in the other's."""
    text, unit = str(getattr(relay, name)), MEASURED.get(str(relay.watches))
    if unit is None or belongs(text, unit, habit):
        return text
    try:
        return show(float(threshold(str(relay.watches), text)), unit, habit)
    except UnitError:
        return text


def _typed(record: Record, name: str) -> str:
    value = getattr(record, name)
    return getattr(value, "text", "") or show(float(value), "s")


def _after(relay: Relay, name: str) -> str:
    return f" after {_typed(relay, name)}" if getattr(relay, name) else ""


def settings(design: Design) -> Iterator[Setting]:
    """The lines of every relay on the settings sheet, in the order in which they are typed in."""
    for relay in design.relays:
        yield from _lines(relay, str(design.about.use("units")))


def _lines(relay: Relay, habit: str) -> Iterator[Setting]:
    path, group = f"relays.{relay.id}", label(relay)
    titles = {name: spec.title for name, spec in relay.specs().items()}

    def line(name: str, value: float | str | None, unit: str = "", why: str = "") -> Setting:
        wanted = titles[name] if value is None else ""
        source = "entered" if getattr(relay, name) is not None or value is None else relay.specs()[name].why
        return Setting(path, group, titles[name], value, unit, source=source, why=why, wanted=wanted)

    yield line("purpose", relay.purpose, why=f"{sentence(relay, habit)}")
    yield line("watches", relay.watches)
    pulses = bool(relay.use("pulse_width"))
    for name, delay, why in (
        ("on_at", "on_delay", "the whole drive" if pulses else "its coil has power from here"),
        ("off_at", "off_delay", "no drive" if pulses else "its hysteresis lies between"),
    ):
        text = getattr(relay, name)
        value, unit = _value(relay, text)
        yield line(name, value, unit, why)
        if not pulses:
            seconds = getattr(relay, delay)
            yield line(delay, None if seconds is None else float(seconds), "s")
    if not pulses:
        least = None if relay.least_on is None else float(relay.least_on)
        yield line("least_on", least, "s", "so that it does not chatter")
    use = BY_PURPOSE.get(relay.purpose or "")
    why = f"{use.protects} is what protects here" if use is not None else ""
    yield line("rest_state", relay.rest_state, why=why)


def _value(relay: Relay, text: str | None) -> tuple[float | str | None, str]:
    """A threshold for the sheet: a number with its unit where it is measured, else its word or time."""
    unit = MEASURED.get(relay.watches or "")
    if text is None or unit is None:
        return text, ""
    try:
        return float(threshold(str(relay.watches), text)), unit
    except UnitError:
        return text, ""
