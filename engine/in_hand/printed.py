"""What is printed on a breaker, a fuse or a switch, read as a person types it off the device.

The mark beside the voltage tells ac from dc: ``400 V ~`` is ac, ``250 V=`` and ``250 VDC`` are dc. Nothing is
taken for dc that is not marked so, and one number for both kinds is not taken for the dc one.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping
from typing import Any

from engine import units
from engine.design import Device
from engine.entry import nearest, parse_field
from engine.problems import Problem, Problems
from engine.units import Quantity, UnitError, quoted

ID = "in-hand"
KEYS = ("label", "volts", "amps", "kind", "breaking", "poles", "polarity", "class", "continuous")
SUPPLIES = {"dc": {"dc"}, "ac": {"ac"}, "both": {"ac", "dc"}}
KINDS = {"breaker": "breaker", "fuse": "fuse", "switch": "switch", "disconnect": "switch"}
FILLERS = {"and", "or", "/", "&", "class", "miniature", "moulded-case", "molded-case", "in", "with", "holder"}
FUSE_CLASSES = {name.lower(): name for name in ("gPV", "gG", "gR", "aR", "T", "J", "CC", "RK1", "RK5", "L")}
DC_CLASS = "gPV"  # IEC 60269-6 makes these for dc alone (from memory)
MARKED = ("marked", "+ -", "+-", "+/-", "+ and -", "polarized", "polarised", "yes")
UNMARKED = ("none", "no", "unmarked", "not marked", "without")

_MARKS = (
    ("ac/dc", {"ac", "dc"}),
    ("dc/ac", {"ac", "dc"}),
    ("ac and dc", {"ac", "dc"}),
    ("\u2242", {"ac", "dc"}),
    ("ac", {"ac"}),
    ("a.c.", {"ac"}),
    ("~", {"ac"}),
    ("\u223f", {"ac"}),
    ("dc", {"dc"}),
    ("d.c.", {"dc"}),
    ("=", {"dc"}),
    ("\u2393", {"dc"}),
    ("\u23d3", {"dc"}),
)
_MARK = "|".join(re.escape(mark) for mark, _ in _MARKS)
_NUMBER = r"[0-9]+(?:[.,][0-9]+)?"
_RATING = re.compile(
    rf"(?P<before>{_MARK})?\s*(?P<low>{_NUMBER})(?:\s*/\s*(?P<high>{_NUMBER}))?\s*(?P<unit>k?[VA])\s*"
    rf"(?P<after>{_MARK})?",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r"\s*(?:[/,;]|and\b)?\s*")
_CURVE = re.compile(r"([BCDKZ])\s*([0-9]+(?:\.[0-9]+)?)(?:\s*A)?")
_POLES = re.compile(r"([1-4])\s*-?\s*(?:p|poles?)?", re.IGNORECASE)
_FREQUENCY = re.compile(r"\s*(?:~|\bac\b)?\s*[56]0(?:/[56]0)?\s*Hz", re.IGNORECASE)
VOLTS_NEED = 'what is printed, such as "250 V=", "400 V ~" or "240 V ~ / 125 V ="'


def read(texts: Mapping[str, str], id: str = ID) -> Device:
    """The device that these printed texts describe; empty texts are not printed.

    Keys: ``volts``, ``amps``, ``kind`` (dc, ac, both; breaker, fuse, switch; also two of them), ``breaking``,
    ``poles``, ``polarity`` (none or marked), ``class`` (of a fuse, or the curve), ``continuous`` (yes where
    it is marked for 100 % duty), ``label``. Raises ``Problems`` that name the key, what was read and what is
    accepted.
    """
    given = {name: text.strip() for name, text in texts.items() if text.strip()}
    problems = [
        Problem(name, "an unknown key", f"one of {', '.join(KEYS)}", nearest(name, KEYS))
        for name in given
        if name not in KEYS
    ]
    values: dict[str, Any] = {}
    for name, reader in _READERS.items():
        if name in given:
            try:
                values |= reader(given[name])
            except UnitError as error:
                problems.append(Problem(name, error.got, error.need, error.hint))
    clash = _clash(values, given)
    if problems or clash:
        raise Problems((*problems, *clash))
    return _device(id, given, values)


def _device(id: str, given: Mapping[str, str], values: dict[str, Any]) -> Device:
    """The record; what one marking says about another is drawn here, and nothing milder."""
    curve = values.get("curve")
    is_fuse_class = curve is not None and curve.lower() in FUSE_CLASSES
    kind = values.get("kind") or ("fuse" if is_fuse_class else "breaker" if "breaking" in values else None)
    supply = values.get("supply", set()) | values.get("marks", set())
    if not supply and curve == DC_CLASS:
        supply = {"dc"}
    volts: dict[str, Quantity] = dict(values.get("volts", {}))
    bare = volts.pop("", None)
    if bare is not None and len(supply) < 2:
        volts.setdefault("ac" if supply == {"ac"} else "dc", bare)
    breaking = values.get("breaking", {})
    device = Device(
        id=id,
        kind=kind,
        supply={"acdc": "ac and dc"}.get(word := "".join(sorted(supply)), word) or None,
        current=values.get("current"),
        dc_voltage=volts.get("dc"),
        ac_voltage=volts.get("ac"),
        breaking=_capacity(breaking, supply),
        poles=values.get("poles"),
        polarity=values.get("polarity") or ("none" if kind == "fuse" else None),  # a fuse link has no sides
        continuous=values.get("continuous"),
        curve=curve,
    )
    return dataclasses.replace(device, label=given.get("label") or describe(device))


def _capacity(breaking: Mapping[str, Quantity], supply: set[str]) -> Quantity | None:
    """The breaking capacity that counts: one marked for ac says nothing about a device used on dc."""
    if supply == {"ac"}:
        return breaking.get("ac", breaking.get(""))
    return breaking.get("dc", breaking.get(""))


def describe(device: Device, habit: str = "metric") -> str:
    """A device in a few words: ``63 A ac breaker, 400 V``."""
    amps = units.show(float(device.current), "A", habit) if device.current is not None else ""
    words = [amps, device.supply or "", device.kind or "device"]
    volts = [
        f"{units.show(float(value), 'V', habit)}{mark if device.supply == 'ac and dc' else ''}"
        for value, mark in ((device.dc_voltage, " dc"), (device.ac_voltage, " ac"))
        if value is not None
    ]
    text = ", ".join((" ".join(word for word in words if word), *volts))
    return f"{text}, class {device.curve}" if device.curve and device.kind == "fuse" else text


def facts(device: Device, habit: str = "metric") -> tuple[str, ...]:
    """Everything that was read off a device, in a fixed order, each in a word or two."""

    def show(value: Quantity | None, unit: str, text: str) -> str:
        return "" if value is None else text.format(units.show(float(value), unit, habit))

    told = (
        device.kind or "",
        f"marked for {device.supply}" if device.supply else "",
        show(device.current, "A", "{}"),
        show(device.dc_voltage, "V", "{} dc" if device.supply else "{}, not said whether dc"),
        show(device.ac_voltage, "V", "{} ac"),
        show(device.breaking, "A", "breaks {}"),
        "" if device.poles is None else "1 pole" if device.poles == 1 else f"{device.poles} poles",
        {"marked": "+ and - at its terminals", "none": "no + and -"}.get(device.polarity or "", ""),
        {True: "for 100 % duty", False: "for 80 % duty"}.get(device.continuous, "")
        if device.continuous is not None
        else "",
        f"class {device.curve}" if device.curve else "",
    )
    return tuple(text for text in told if text)


def _clash(values: Mapping[str, Any], given: Mapping[str, str]) -> list[Problem]:
    """A kind that says other than the mark beside the voltage: one of the two was misread."""
    said, marks = values.get("supply"), values.get("marks", set())
    if not said or not marks or marks <= said:
        return []
    told = " and ".join(sorted(marks))
    need = f"what is printed: {quoted(given['volts'])} is marked for {told}"
    return [Problem("kind", quoted(given["kind"]), need, "leave kind out where the voltage is marked")]


def _ratings(text: str, unit: str, need: str) -> list[tuple[frozenset[str], str]]:
    """Each number with its unit and what it is marked for; a slash rating by its lower number."""
    found: list[tuple[frozenset[str], str]] = []
    place = 0
    while place < len(text):
        match = _RATING.match(text, place)
        if match is None or match["unit"].lower().removeprefix("k") != unit.lower():
            raise UnitError(quoted(text), need, _why_not(text, unit))
        if match["before"] and match["after"]:
            raise UnitError(quoted(text), need, "one mark for each number")
        mark = (match["before"] or match["after"] or "").lower()
        marks = frozenset(next((kinds for name, kinds in _MARKS if name == mark), set()))
        number = min(
            (part for part in (match["low"], match["high"]) if part),
            key=lambda part: float(part.replace(",", ".")),
        )
        prefix = "k" if match["unit"].lower().startswith("k") else ""
        found.append((marks, f"{number} {prefix}{unit}"))
        between = _BETWEEN.match(text, match.end())
        place = between.end() if between else match.end()
        if between is not None and place < len(text) and not between[0]:
            raise UnitError(quoted(text), need, _why_not(text, unit))
    return found


def _why_not(text: str, unit: str) -> str:
    """What is wrong with a text of this unit, in the words that the units have for it."""
    if re.search(r"\bpole\b", text, re.IGNORECASE):
        return "the voltage marked for the poles as they will be wired, never a sum of poles"
    if unit == "A" and re.fullmatch(r"[0-9]+", text):
        return "with its unit; a bare number in a box is a household breaker's ac capacity (IEC 60898-1)"
    try:
        units.parse(text, unit)
    except UnitError as error:
        return error.hint
    return ""


def _volts(text: str) -> dict[str, Any]:
    held: dict[str, Quantity] = {}
    for marks, number in _ratings(_FREQUENCY.sub(" ~", text), "V", VOLTS_NEED):
        for mark in marks or {""}:
            if mark in held:
                raise UnitError(quoted(text), "one voltage of each kind", "the one for the poles as wired")
            held[mark] = parse_field(Device.specs()[f"{'ac' if mark == 'ac' else 'dc'}_voltage"], number)
    said = set(held) - {""}
    if said and "" in held:
        raise UnitError(quoted(text), VOLTS_NEED, "mark each number")
    return {"volts": held, "marks": said}


def _breaking(text: str) -> dict[str, Any]:
    need = 'a current such as "10 kA", at the dc voltage of the device'
    held: dict[str, Quantity] = {}
    for marks, number in _ratings(text, "A", need):
        for mark in marks or {""}:
            if mark in held:
                raise UnitError(quoted(text), need, "one for each kind of current")
            held[mark] = parse_field(Device.specs()["breaking"], number)
    return {"breaking": held}


def _amps(text: str) -> dict[str, Any]:
    curve = _CURVE.fullmatch(text)
    number = parse_field(Device.specs()["current"], f"{curve[2]} A" if curve else text)
    return {"current": number} | ({"curve": curve[1]} if curve else {})


def _kind(text: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    supply: set[str] = set()
    for word in re.split(r"[\s,+]+|(?<=\w)/(?=\w)", text):
        low = word.lower()
        if low in SUPPLIES:
            supply |= SUPPLIES[low]
        elif low in KINDS and found.get("kind", KINDS[low]) == KINDS[low]:
            found["kind"] = KINDS[low]
        elif low in FUSE_CLASSES:
            found["curve"] = FUSE_CLASSES[low]
        elif low not in FILLERS:
            known = (*SUPPLIES, *KINDS)
            raise UnitError(quoted(text), f"one of {', '.join(known)}, or two of them", nearest(low, known))
    return found | ({"supply": supply} if supply else {})


def _poles(text: str) -> dict[str, Any]:
    match = _POLES.fullmatch(text)
    if match is None:
        raise UnitError(quoted(text), "a number of poles, 1 to 4")
    return {"poles": int(match[1])}


def _polarity(text: str) -> dict[str, Any]:
    word = " ".join(text.lower().split())
    if word not in MARKED and word not in UNMARKED:
        raise UnitError(quoted(text), "none or marked", "marked where + and - stand at its terminals")
    return {"polarity": "marked" if word in MARKED else "none"}


def _curve(text: str) -> dict[str, Any]:
    name = text.removeprefix("class").strip() or text
    return {"curve": FUSE_CLASSES.get(name.lower(), name)}


def _continuous(text: str) -> dict[str, Any]:
    if text.replace(" ", "") in ("100%", "80%"):
        return {"continuous": text.startswith("100")}
    return {"continuous": units.parse_flag(text)}


_READERS = {
    "volts": _volts,
    "amps": _amps,
    "kind": _kind,
    "breaking": _breaking,
    "poles": _poles,
    "polarity": _polarity,
    "class": _curve,
    "continuous": _continuous,
}
