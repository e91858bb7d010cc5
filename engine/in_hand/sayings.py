"""A finding about a device, as one tells it to an apprentice; the numbers are the finding's own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from engine import units
from engine.finding import Finding, Status

FAILS, MARGINAL, MEETS = Status.FAILS, Status.MARGINAL, Status.MEETS
ARC = "On dc an arc does not go out by itself"

SAYINGS: dict[tuple[str, Status], str] = {
    ("device-supply", FAILS): "Marked for {value} and this is {limit}: never here, whatever its numbers.",
    ("device-supply", MEETS): "It is marked for {value}.",
    (
        "device-voltage",
        FAILS,
    ): "{value} can stand across it and it is good for {limit}: it may burn, not open.",
    (
        "device-voltage",
        MARGINAL,
    ): "In the record cold {value} stands across its {limit}: take the next class up.",
    ("device-voltage", MEETS): "{value} can stand across it, and it is good for {limit}.",
    ("device-current", MEETS): "{value} is right for what it carries here, {limit} at least.",
    (
        "device-polarity",
        FAILS,
    ): "The + and - at its terminals say which way it breaks. In a fault the current turns round here, and "
    "that it can't break: it burns in the very fault it is there for.",
    ("device-polarity", MEETS): "It breaks the current in the directions it can have here.",
    (
        "device-kind",
        FAILS,
    ): "A {value} does not open by itself in a fault; here it takes a fuse or a breaker.",
    ("device-kind", MEETS): "A {value} opens by itself in a fault.",
    (
        "device-pv-class",
        FAILS,
    ): "It is marked {value}, not for PV: it may neither melt at what strings give nor break it. It takes "
    "a PV fuse, {limit}.",
    ("device-pv-class", MEETS): "It is made for PV.",
    ("device-breaking", FAILS): "A fault drives {value} through it and it breaks {limit}: it can burst.",
    (
        "device-poles",
        FAILS,
    ): "It opens {value} pole and {limit} conductors are live: one stays live behind it.",
    ("device-poles", MEETS): "It opens every live conductor.",
    ("device-heat", FAILS): "In the hottest air it carries {value} and {limit} flow: it trips at work.",
    ("device-heat", MEETS): "In the hottest air it still carries {value}, and {limit} flow.",
    (
        "device-trip",
        FAILS,
    ): "The weakest fault drives {value}, and it is sure to open from {limit} only: it may never open.",
    ("device-trip", MARGINAL): "The weakest fault drives {value}; at once it opens from {limit}: it is late.",
    ("device-trip", MEETS): "The weakest fault drives {value}, and from {limit} it opens at once.",
    ("device-breaking", MEETS): "A fault drives {value} through it, and it breaks {limit}.",
}
TOO_SMALL = "{value} is too small: it takes {limit} or more here, or it trips at work and runs hot."
TOO_LARGE = "{value} is too large: {limit} is the most that the wire, or the modules, let it be."
NUMBERS: dict[tuple[str, Status], str] = {
    ("device-supply", FAILS): "marked for {value}, {volts} {limit} on the circuit",
    ("device-polarity", FAILS): "marked + and -, current both ways in a fault",
}
AC_ON_DC = (
    f"Marked for ac only. {ARC}, and this one can burn when it opens: never here, whatever its numbers."
)


AGAINST = {
    "device-supply": "ac or dc",
    "device-voltage": "volts",
    "device-current": "amps",
    "device-breaking": "breaking capacity",
    "device-polarity": "+ and -",
    "device-poles": "poles",
    "device-kind": "its kind",
    "device-pv-class": "its class",
    "device-heat": "heat",
}
"""What speaks against a device, in a word or two, by the rule that decides."""


def against(rules: Iterable[str]) -> str:
    """How many circuits each of these deciding rules shuts a device out of: ``ac or dc 13, amps 2``."""
    counts = Counter(AGAINST.get(rule, "other") for rule in rules)
    return ", ".join(f"{word} {count}" for word, count in counts.most_common())


def saying(finding: Finding, habit: str) -> str:
    """What a finding says of a device, in one sentence; for a rule without words of its own its title."""
    value, limit = shown(finding, habit)
    template = SAYINGS.get((finding.rule, finding.status))
    if finding.rule == "device-current" and finding.status is FAILS:
        template = (
            TOO_SMALL if _numbers(finding) and float(finding.value or 0) < _limit(finding) else TOO_LARGE
        )
    if finding.rule == "device-supply" and finding.status is FAILS and finding.value == "ac":
        template = AC_ON_DC
    if template is None or not value:
        return _own_words(finding)
    return template.format(value=value, limit=limit)


def number(finding: Finding, volts: float | None, habit: str) -> str:
    """The one number that decides: a value against its limit, or where a word decides, the word.

    ``volts`` [V] is the highest that can stand on the circuit.
    """
    value, limit = shown(finding, habit)
    template = NUMBERS.get((finding.rule, finding.status))
    if template is not None and volts is not None:
        return template.format(value=value, limit=limit, volts=units.show(volts, "V", habit))
    if finding.rule == "selectivity":
        return f"{value} to 1 against {limit} to 1"
    if value and limit:
        return f"{value} against {limit}" if _numbers(finding) else f"{value}, should be {limit}"
    return value


def shown(finding: Finding, habit: str) -> tuple[str, str]:
    """Value and limit as text, with the digits that tell them apart; empty where there is none."""
    if _numbers(finding):
        return units.show_apart(float(finding.value or 0), _limit(finding), finding.unit or "1", habit)
    return _plain(finding.value, finding.unit, habit), _plain(finding.limit, finding.unit, habit)


def _plain(value: float | str | None, unit: str, habit: str) -> str:
    return value if isinstance(value, str) else "" if value is None else units.show(value, unit or "1", habit)


def _numbers(finding: Finding) -> bool:
    return isinstance(finding.value, int | float) and isinstance(finding.limit, int | float)


def _limit(finding: Finding) -> float:
    assert finding.limit is not None
    return float(finding.limit)


def _own_words(finding: Finding) -> str:
    """A finding's title without the name of the device and the circuit before it, and its remedy."""
    told = finding.title.partition(": ")[2] or finding.title
    remedy = f" {finding.remedy}" if finding.remedy else ""
    return f"{told[:1].upper()}{told[1:]}.{remedy}"
