"""What a person at a field means by a text that the field itself does not take, in the design's context.

A site file keeps its one strict reading; at the keyboard, what stands in the field's own title needs no unit,
and a data sheet's energy or starting power is turned into the hours or the factor that a load keeps.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable

from engine.design import Design, Load
from engine.units import fits, parse

_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_PLACE = re.compile(r"(\d+(?:\.\d+)?)\s*°?\s*([NSEW])", re.IGNORECASE)
DIGITS = 4  # significant ones of a number that was worked out here, rounded up


def meant(design: Design, path: str, text: str) -> str:
    """The text that a field takes for what was typed; the typed text where it is taken as it stands.

    ``loads.*.hours``: "5" is 5 h, "0.9 kWh" the hours that take so much a day. ``loads.*.surge_factor``:
    "2.6 kW" is that start over the running power. ``site.latitude`` and ``longitude``: "47.3 N", "70.2 W",
    a plain number are degrees. What is worked out is rounded up, never to less than was meant.
    """
    table, _, rest = path.partition(".")
    read = _READERS.get((table, rest.rpartition(".")[2]))
    return text if read is None else read(design, path, text.strip())


def _hours(design: Design, path: str, text: str) -> str:
    if _NUMBER.fullmatch(text):
        return f"{text} h"
    watts = _running(design, path)
    if not watts or not fits(text, "Wh") or fits(text, "h"):
        return text
    return f"{_up(float(parse(text, 'Wh')) / watts)} h"


def _surge(design: Design, path: str, text: str) -> str:
    watts = _running(design, path, pieces=False)
    if not watts or not fits(text, "W") or fits(text, "1"):
        return text
    return _up(float(parse(text, "W")) / watts)


def _running(design: Design, path: str, *, pieces: bool = True) -> float:
    """What a load takes while it runs [W]; 0 where that is not entered."""
    load = design.find("loads", path.split(".")[1])
    if not isinstance(load, Load):
        return 0.0
    if load.power is not None:
        watts = float(load.power)
    elif load.use("kind") == "dc":
        watts = float(load.current or 0.0) * float(design.bank.voltage or 0.0)
    else:
        return 0.0
    return watts * int(load.use("number")) if pieces else watts


def _up(number: float) -> str:
    """A number of a few digits, rounded up."""
    if number <= 0 or not math.isfinite(number):
        return f"{number:g}"
    step = 10.0 ** (math.floor(math.log10(number)) + 1 - DIGITS)
    return f"{math.ceil(number / step - 1e-9) * step:.{DIGITS}g}"


def _latitude(_design: Design, _path: str, text: str) -> str:
    return _degrees(text, "NS")


def _longitude(_design: Design, _path: str, text: str) -> str:
    return _degrees(text, "EW")


def _degrees(text: str, ends: str) -> str:
    """Degrees with a letter of the compass, or none; the second of ``ends`` counts negative."""
    if re.fullmatch(rf"[-−]?{_NUMBER.pattern}", text):
        return f"{text} deg"
    match = _PLACE.fullmatch(text)
    if match is None or match[2].upper() not in ends:
        return text
    return f"{'-' if match[2].upper() == ends[1] else ''}{match[1]} deg"


_READERS: dict[tuple[str, str], Callable[[Design, str, str], str]] = {
    ("loads", "hours"): _hours,
    ("loads", "surge_factor"): _surge,
    ("site", "latitude"): _latitude,
    ("site", "longitude"): _longitude,
}
