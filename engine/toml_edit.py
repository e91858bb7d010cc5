"""Small changes to a TOML text that leave every other byte alone: keys set, added or dropped, and tables.

Every function takes a text with ``\\n`` line ends that ``tomllib`` reads, and gives such a text.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from engine.toml_places import Keys, Place, Places

_COMMENTS = re.compile(r"(?:[ \t]*#[^\n]*(?:\n|\Z))*")
_INDENT = re.compile(r"[ \t]*")
_BLANKS = re.compile(r"(?:[ \t]*\n)*")


def set_keys(text: str, table: Keys, values: Mapping[str, str | None], order: Sequence[str]) -> str | None:
    """Set keys of one table to TOML values, or drop those that are ``None``.

    A new key goes behind the nearest key before it in ``order``, else right behind the header. ``None`` where
    the table is not written under a header of its own, so that keys can't come or go; ``()`` is the head of
    the file.
    """
    places = Places(text).all
    block = block_of(places, table)
    here = {place.keys: place for place in places if not place.header}
    splices: list[tuple[int, int, str]] = []
    for name, value in values.items():
        found = here.get((*table, name))
        if found and value is not None:
            splices.append((found.value, found.value_end, value))
        elif not block or (found and found not in block):
            return None
        elif found:
            splices.append((found.start, found.end, ""))
        elif value is not None:
            at, indent = _behind(text, block, table, name, order)
            splices.append((at, at, f"{indent}{name} = {value}\n"))
    return _apply(text, splices)


def block_of(places: Sequence[Place], table: Keys) -> list[Place]:
    """The header of a table and its keys below; for the head of the file the keys before any header."""
    if not table:
        first = next((at for at, place in enumerate(places) if place.header), len(places))
        return [place for place in places[:first] if not place.inner]
    start = next((at for at, place in enumerate(places) if place.header and place.keys == table), None)
    if start is None:
        return []
    block = [places[start]]
    for place in places[start + 1 :]:
        if place.header:
            break
        block += [] if place.inner else [place]
    return block


def add_table(text: str, table: Keys, body: str, behind: Sequence[Keys]) -> str:
    """Add ``[table]`` and its lines behind the last of the tables ``behind`` with a header, else the head."""
    places = Places(text).all
    block = next((found for keys in reversed(behind) if (found := block_of(places, keys))), [])
    block = block or block_of(places, ())
    at = _comments_end(text, block[-1].end) if block else 0
    before = text[:at] if not at or text[:at].endswith("\n") else text[:at] + "\n"
    after = text[at:]
    gap = "" if not after or after.startswith("\n") else "\n"
    return f"{before}\n[{'.'.join(table)}]\n{body}{gap}{after}"


def drop_table(text: str, table: Keys) -> str:
    """Drop a table however it is written, with the comments inside it and right above its header."""
    while True:
        places = Places(text).all
        found = next(
            (
                place
                for place in places
                if place.keys[: len(table)] == table
                or (table[: len(place.keys)] == place.keys and not place.header)
            ),
            None,
        )
        if found is None:
            return text
        start, end = found.start, found.end
        if found.header:
            start = _comments_start(text, start)
            end = _comments_end(text, block_of(places, found.keys)[-1].end)
            end = _match(_BLANKS, text, end)
        rest = text[end:]
        text = text[:start] + rest if rest else text[:start].rstrip("\n") + "\n"


def written_inline(text: str, table: str) -> bool:
    """Whether a whole table of tables stands as one value: ``arrays = { south = { ... } }``."""
    return any(place.keys == (table,) and not place.header for place in Places(text).all)


def _behind(
    text: str, block: Sequence[Place], table: Keys, name: str, order: Sequence[str]
) -> tuple[int, str]:
    """Where a new key goes in a block, and its indent."""
    before = order[: order.index(name)]
    own = [place for place in block if not place.header]
    rank = {key: at for at, key in enumerate(before)}
    neighbours = [place for place in own if place.keys[-1] in rank and len(place.keys) == len(table) + 1]
    last = max(neighbours, key=lambda place: rank[place.keys[-1]]) if neighbours else block[0]
    model = neighbours or own
    indent = text[model[0].start : _match(_INDENT, text, model[0].start)] if model else ""
    return last.end, indent


def _comments_end(text: str, at: int) -> int:
    """Past the comment lines right below, unless they stand right above the next header."""
    end = _match(_COMMENTS, text, at)
    return at if text[end : end + 1] not in ("\n", "") and end > at else end


def _comments_start(text: str, at: int) -> int:
    """Before the comment lines right above."""
    while at:
        start = text.rfind("\n", 0, at - 1) + 1
        if not text[start:at].lstrip().startswith("#"):
            break
        at = start
    return at


def _match(pattern: re.Pattern[str], text: str, at: int) -> int:
    found = pattern.match(text, at)
    return found.end() if found else at


def _apply(text: str, splices: list[tuple[int, int, str]]) -> str:
    """The text with its splices done; additions at one place keep their order."""
    out, at = [], 0
    for start, end, new in sorted(splices, key=lambda splice: splice[:2]):
        out += [text[at:start], new]
        at = end
    return "".join([*out, text[at:]])
