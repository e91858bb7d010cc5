"""An entered value: what a person typed into a field, read by the field's description, and back to text.

The file's reader and every edit pass through ``parse_field``, so that a field means one thing everywhere.
"""

from __future__ import annotations

import datetime
import difflib
import re
import tomllib
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import Any

from engine import units
from engine.fields import Spec
from engine.sizes import Size, parse_size
from engine.units import Coefficient, Quantity, UnitError, quoted

LONGEST_TEXT = 20_000
ID = re.compile(r"[A-Za-z0-9_-]{1,40}")
ID_NEED = "letters, digits, - and _, 40 at most"
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")


class FileNumber(float):
    """A number of a file that remembers its digits as written, so that 0.10 stays 0.10."""

    text: str

    def __new__(cls, text: str) -> FileNumber:
        self = super().__new__(cls, text)
        self.text = text.replace("_", "")
        return self


def nearest(name: str, known: Sequence[str]) -> str:
    """A hint with the nearest known name; empty where none is near."""
    return _nearest(name.lower(), tuple(known))


@lru_cache(maxsize=1024)
def _nearest(name: str, known: tuple[str, ...]) -> str:
    folded = {item.lower(): item for item in known}
    close = difflib.get_close_matches(name, list(folded), n=1, cutoff=0.6)
    return f"did you mean {folded[close[0]]}?" if close else ""


def parse_field(spec: Spec, raw: object, habit: str = "metric") -> Any:
    """Read one field: ``raw`` is typed text, or a value of a TOML file.

    A list is a TOML array, in typed text also ``a; b; c``, with pairs as ``a: b; c: d``. Whether a ``ref``
    points at a record is not looked at here. Raises UnitError with what was got and needed; ranges are
    named in the unit ``habit``.
    """
    return _READERS[spec.kind](spec, raw, habit)


def entered_text(value: Any) -> str:
    """The text of a field's value as it was entered; computed numbers as plain digits."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Quantity | Coefficient):
        return value.text or format(float(value) if isinstance(value, Quantity) else value.value, ".12g")
    if isinstance(value, Size):
        return value.text
    if isinstance(value, tuple):
        pairs = bool(value) and isinstance(value[0], tuple)
        return "; ".join(
            ": ".join(map(entered_text, item)) if pairs else entered_text(item) for item in value
        )
    return "" if value is None else str(value)


def same(left: Any, right: Any) -> bool:
    """Whether two values of a field are equal, down to the text as typed."""
    return bool(left == right) and entered_text(left) == entered_text(right)


def range_text(spec: Spec, habit: str = "metric") -> str:
    """The range of a field in words, such as ``0.1 m to 5 km``; empty where it has none."""
    unit = "1/K" if spec.kind == "coefficient" else spec.unit
    text = {
        name: str(end) if spec.kind == "count" else units.show(float(end), unit, habit)
        for name, end in (("low", spec.low), ("high", spec.high), ("above", spec.above))
        if end is not None
    }
    if "above" in text:
        return f"more than {text['above']}" + (f", up to {text['high']}" if "high" in text else "")
    if {"low", "high"} <= text.keys():
        return f"{text['low']} to {text['high']}"
    return f"{text['low']} or more" if "low" in text else f"up to {text['high']}" if text else ""


def got(raw: object) -> str:
    """What was read, for a message."""
    if isinstance(raw, str):
        return quoted(raw)
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, FileNumber):
        return raw.text
    if isinstance(raw, list):
        return "a list"
    if isinstance(raw, dict):
        return "a table"
    if isinstance(raw, datetime.date | datetime.time):
        return f"the date or time {raw}"
    return str(raw)


def _written(raw: object, need: str, numbers: bool) -> str:
    """The text of a plain value; a bare number passes only where ``numbers`` says so."""
    if isinstance(raw, str):
        return raw
    if isinstance(raw, bool) or not isinstance(raw, int | float):
        raise UnitError(got(raw), need)
    text = raw.text if isinstance(raw, FileNumber) else str(raw)
    if not numbers:
        raise UnitError(text, need, "write it in quotes, with its unit")
    return text


def _quantity(spec: Spec, raw: object, habit: str) -> Quantity:
    plain, need = spec.unit in ("1", "%", "money"), units.describe(spec.unit, spec.example)
    try:
        value = units.parse(_written(raw, need, plain), spec.unit)
    except UnitError as error:
        raise UnitError(error.got, need, error.hint) from None
    _refuse_wrong_supply(spec, value)
    _refuse_outside(spec, float(value), value.text, habit)
    return value


def _refuse_wrong_supply(spec: Spec, value: Quantity) -> None:
    """A rating printed for AC must not pass for a DC one, nor the other way."""
    if spec.unit != "V" or value.kind not in ("ac", "dc") or spec.name == "insulation_voltage":
        return
    wanted = "ac" if spec.name.startswith("ac_") else "dc"
    if value.kind != wanted:
        hint = f"the {value.kind.upper()} number of a data sheet says nothing about {wanted.upper()}"
        raise UnitError(quoted(value.text), {"ac": "an AC voltage", "dc": "a DC voltage"}[wanted], hint)


def _refuse_outside(spec: Spec, number: float, text: str, habit: str) -> None:
    slack = 1e-12 * abs(number)
    below = spec.low is not None and number < spec.low - slack
    over = spec.high is not None and number > spec.high + slack
    if below or over or (spec.above is not None and number <= spec.above):
        raise UnitError(quoted(text), range_text(spec, habit), spec.title)


def _count(spec: Spec, raw: object, habit: str) -> int:
    need = f"a whole number, {range_text(spec)}"
    if isinstance(raw, float):
        raise UnitError(got(raw), need)
    try:
        number = units.parse_count(_written(raw, need, numbers=True))
    except UnitError as error:
        raise UnitError(error.got, need, error.hint) from None
    _refuse_outside(spec, number, str(number), habit)
    return number


def _flag(_spec: Spec, raw: object, _habit: str) -> bool:
    if isinstance(raw, bool):
        return raw
    if not isinstance(raw, str):
        raise UnitError(got(raw), "yes or no")
    return units.parse_flag(raw)


def _word(spec: Spec, raw: object, _habit: str) -> str:
    need = f"one of {', '.join(spec.words)}"
    if not isinstance(raw, str):
        raise UnitError(got(raw), need)
    word = " ".join(raw.split())
    if word not in spec.words:
        raise UnitError(quoted(raw), need, nearest(word, spec.words))
    return word


def _text(_spec: Spec, raw: object, _habit: str) -> str | None:
    if not isinstance(raw, str):
        raise UnitError(got(raw), "text in quotes")
    clean = raw.replace("\r\n", "\n").strip()
    if len(clean) > LONGEST_TEXT:
        raise UnitError(f"{len(clean)} characters", f"{LONGEST_TEXT} at most")
    if _CONTROL.search(clean):
        raise UnitError(quoted(clean), "text without control characters")
    return clean or None


def _size(_spec: Spec, raw: object, _habit: str) -> Size:
    need = "a conductor size such as 10 AWG, 2/0 AWG, 250 kcmil or 35 mm2"
    return parse_size(_written(raw, need, numbers=False))


def _coefficient(spec: Spec, raw: object, habit: str) -> Coefficient:
    need = f"a temperature coefficient such as -0.28 %/K or one in {spec.unit}"
    value = units.parse_coefficient(_written(raw, need, numbers=False), spec.unit)
    if value.unit == "1/K":
        _refuse_outside(spec, value.value, value.text, habit)
    elif spec.high is not None and spec.high <= 0 < value.value:
        raise UnitError(quoted(value.text), "a value below zero", f"{spec.title}: it falls as cells warm")
    return value


def _ref(spec: Spec, raw: object, _habit: str) -> str:
    if not isinstance(raw, str) or not ID.fullmatch(raw.strip()):
        raise UnitError(got(raw), f"the id of a record in {spec.to}")
    return raw.strip()


def _quantities(spec: Spec, raw: object, habit: str) -> tuple[Quantity, ...]:
    one = f"{units.describe(spec.unit)}"
    need = f"a list of {spec.length}, each {one}" if spec.length else f"a list, each {one}"
    items = _list(raw, need)
    if spec.length and len(items) != spec.length:
        raise UnitError(f"a list of {len(items)}", need)
    return tuple(_element(spec, item, at, habit) for at, item in enumerate(items, 1))


def _points(spec: Spec, raw: object, habit: str) -> tuple[tuple[Quantity, Quantity], ...]:
    first, second = units.describe(spec.unit), units.describe(spec.unit2)
    need = f"pairs of {first} and {second}"
    rows = []
    for item in _list(raw, need):
        pair = item if isinstance(item, list) else str(item).replace("\t", ":").split(":")
        if len(pair) != 2:
            raise UnitError(got(item), need, "two values in each")
        rows.append(pair)
    if not 2 <= len(rows) <= 200:
        raise UnitError(f"a list of {len(rows)}", f"2 to 200 {need}")
    at = Spec(spec.name, "quantity", spec.title, unit=spec.unit)
    to = Spec(spec.name, "quantity", spec.title, unit=spec.unit2)
    read = tuple(
        (_element(at, left, row, habit), _element(to, right, row, habit))
        for row, (left, right) in enumerate(rows, 1)
    )
    for (left, _), (right, _) in pairwise(read):
        if right <= left:
            raise UnitError(f"{quoted(right.text)} after {quoted(left.text)}", "pairs in rising order")
    return read


def _element(spec: Spec, raw: object, at: int, habit: str) -> Quantity:
    try:
        return _quantity(spec, raw, habit)
    except UnitError as error:
        raise UnitError(f"{error.got} as number {at}", error.need, error.hint) from None


def _list(raw: object, need: str) -> list[Any]:
    if isinstance(raw, str) and raw.strip().startswith("["):
        try:
            raw = tomllib.loads(f"list = {raw}", parse_float=FileNumber)["list"]
        except (ValueError, RecursionError):
            raise UnitError(quoted(str(raw)), need, "as a list in brackets, or separated by ;") from None
    elif isinstance(raw, str):
        raw = [item.strip() for item in re.split(r"[;\n]", raw.strip())]
    if not isinstance(raw, list):
        raise UnitError(got(raw), need)
    return raw


_READERS = {
    "quantity": _quantity,
    "count": _count,
    "flag": _flag,
    "word": _word,
    "text": _text,
    "size": _size,
    "coefficient": _coefficient,
    "ref": _ref,
    "quantities": _quantities,
    "points": _points,
}
