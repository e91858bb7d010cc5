"""Where each table, key and value of a TOML text stands, so that a message can name its line and a save can
change one value and leave every other byte alone. The text has to be valid TOML (``tomllib`` has read it).
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from dataclasses import dataclass
from functools import cached_property

Keys = tuple[str, ...]

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_BASIC = re.compile(r'"(?:[^"\\]|\\.)*"')
_LITERAL = re.compile(r"'[^']*'")
_OTHER = re.compile(r"[^,\]}#\r\n]+")
_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")


@dataclass(frozen=True, slots=True)
class Place:
    """One header or one ``key = value`` of a text, by offsets.

    ``start`` is where its first line begins, ``end`` where the line after it begins; ``value`` to
    ``value_end`` is the value alone (empty for a header). ``inner`` tells a key inside an inline table.
    """

    keys: Keys
    start: int
    value: int
    value_end: int
    end: int
    header: bool = False
    inner: bool = False


class Places:
    """The places of a text in their order, and the line of any key."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.all: list[Place] = []
        self._scan()

    def line(self, keys: Keys) -> int | None:
        """The line of a key or table, else of the nearest one that holds it; lines count from 1."""
        found = next(
            (self._first[keys[:n]] for n in range(len(keys), 0, -1) if keys[:n] in self._first), None
        )
        return None if found is None else bisect_right(self._breaks, found) + 1

    @cached_property
    def _first(self) -> dict[Keys, int]:
        """The offset of the first mention of each key and of each table that holds one."""
        first: dict[Keys, int] = {}
        for place in self.all:
            for length in range(1, len(place.keys) + 1):
                first.setdefault(place.keys[:length], place.start)
        return first

    @cached_property
    def _breaks(self) -> list[int]:
        """The offset behind each line end."""
        return [found.end() for found in re.finditer("\n", self.text)]

    def _scan(self) -> None:
        text, at = self.text, 0
        table: Keys = ()
        while True:
            at = _match(_BLANK, text, at)
            if at >= len(text):
                return
            start = text.rfind("\n", 0, at) + 1
            if text[at] == "[":
                at += 2 if text.startswith("[[", at) else 1
                table, at = self._key(at)
                end = self._line_end(at)
                self.all.append(Place(table, start, at, at, end, header=True))
            else:
                keys, at = self._key(at)
                value = _match(_SPACE, text, at + 1)
                slot = len(self.all)
                value_end = self._value(value, table + keys)
                end = self._line_end(value_end)
                self.all.insert(slot, Place(table + keys, start, value, value_end, end))
            at = end

    def _line_end(self, at: int) -> int:
        newline = self.text.find("\n", at)
        return len(self.text) if newline < 0 else newline + 1

    def _key(self, at: int) -> tuple[Keys, int]:
        """A dotted key; the offset behind it and its spaces."""
        keys = []
        while True:
            at = _match(_SPACE, self.text, at)
            pattern = {'"': _BASIC, "'": _LITERAL}.get(self.text[at], _BARE)
            end = _match(pattern, self.text, at)
            written = self.text[at:end]
            keys.append(written if pattern is _BARE else str(tomllib.loads(f"k = {written}")["k"]))
            at = _match(_SPACE, self.text, end)
            if self.text[at : at + 1] != ".":
                return tuple(keys), at
            at += 1

    def _value(self, at: int, keys: Keys) -> int:
        """The offset behind a value; keys of an inline table are noted."""
        text = self.text
        for quotes in ('"""', "'''"):
            if text.startswith(quotes, at):
                return _long_string(text, at, quotes)
        if text[at] == "[":
            at = _match(_BLANK, text, at + 1)
            while text[at] != "]":
                at = _match(_BLANK, text, self._value(at, keys))
                at = _match(_BLANK, text, at + 1) if text[at] == "," else at
            return at + 1
        if text[at] == "{":
            at = _match(_BLANK, text, at + 1)
            while text[at] != "}":
                start = at
                own, at = self._key(at)
                value = _match(_BLANK, text, at + 1)
                slot = len(self.all)
                value_end = self._value(value, keys + own)
                self.all.insert(slot, Place(keys + own, start, value, value_end, value_end, inner=True))
                at = _match(_BLANK, text, value_end)
                at = _match(_BLANK, text, at + 1) if text[at] == "," else at
            return at + 1
        pattern = {'"': _BASIC, "'": _LITERAL}.get(text[at], _OTHER)
        return at + len(text[at : _match(pattern, text, at)].rstrip())


def _match(pattern: re.Pattern[str], text: str, at: int) -> int:
    found = pattern.match(text, at)
    return found.end() if found else at


def _long_string(text: str, at: int, quotes: str) -> int:
    """The offset behind a string over several lines; up to two quotes may stand before its closing ones."""
    at += 3
    while not text.startswith(quotes, at):
        at += 2 if text[at] == "\\" and quotes == '"""' else 1
    at += 3
    for _ in range(2):
        at += text[at : at + 1] == quotes[0]
    return at
