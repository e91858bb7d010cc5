"""Saving a design: the text it was read from, with only what differs changed, so that comments stay.

A value is replaced where it stands. A new field goes behind its neighbour in the order of declaration, a new
record behind the one before it. A record that was written inline or with dotted keys gets a table of its own
once a field is added to it or taken away. What is written is read again before it is given out.
"""

from __future__ import annotations

import contextlib
import dataclasses
import os
import re
import stat
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from engine.codec import BadFile, loads
from engine.design import FORMAT, Design, records
from engine.entry import entered_text, same
from engine.fields import Record
from engine.toml_edit import add_table, drop_table, set_keys, written_inline
from engine.toml_places import Keys

_NUMBER = re.compile(r"(?!-0$)-?(0|[1-9][0-9]{0,15})(\.[0-9]{1,15})?")
_LONG = 100


def dump(design: Design, path: str | os.PathLike[str]) -> Design:
    """Save a design to a file, whole or not at all; the same design with the saved text as its origin.

    The text goes to a new file beside the old one, reaches the disk, and takes its place and permissions.
    Raises ``OSError``.
    """
    text = dumps(design)
    target = Path(os.path.realpath(path))
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.", suffix=".saving")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(text.encode("utf-8"))
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, _permissions(target))
        os.replace(name, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
    return dataclasses.replace(design, origin=text)


def _permissions(target: Path) -> int:
    """Those of the file that is replaced; for a new one what the system gives new files."""
    with contextlib.suppress(OSError):
        return stat.S_IMODE(target.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def dumps(design: Design) -> str:
    """The text of a design's file. Read again it gives the same design, down to each text as typed."""
    if not design.origin:
        return _fresh(design)
    try:
        before = loads(design.origin)
    except BadFile:
        return _fresh(design)
    if equal(before, design):
        return design.origin
    ends = "\r\n" if "\r\n" in design.origin else "\n"
    text = _changed(design.origin.replace("\r\n", "\n"), before, design).replace("\n", ends)
    with contextlib.suppress(BadFile):
        if equal(loads(text), design):
            return text
    return _fresh(design)  # nothing typed is lost, even where a strange layout could not be kept


def equal(left: Design, right: Design) -> bool:
    """Whether two designs are the same, down to each text as typed."""
    pairs = list(zip(records(left), records(right), strict=False))
    return left == right and all(
        same(getattr(old, name), getattr(new, name))
        for (_, old), (_, new) in pairs
        for name in type(old).specs()
    )


def _fresh(design: Design) -> str:
    """A file without a history."""
    blocks = [f"format = {FORMAT}\n" + "".join(_lines(design.about))]
    for path, record in records(design):
        lines = list(_lines(record))
        if path and (lines or "." in path):
            blocks.append(f"[{path}]\n" + "".join(lines))
    return "\n".join(blocks)


def _lines(record: Record) -> Iterator[str]:
    for name in type(record).specs():
        value = getattr(record, name)
        if value is not None:
            yield f"{name} = {_toml(record, name, value)}\n"


def _toml(record: Record, name: str, value: Any) -> str:
    """A field's value as TOML."""
    kind = type(record).specs()[name].kind
    if kind in ("flag", "count"):
        return str(value).lower()
    if kind not in ("quantities", "points"):
        return _scalar(kind, value)
    items = [
        f"[{_scalar('quantity', item[0])}, {_scalar('quantity', item[1])}]"
        if kind == "points"
        else _scalar("quantity", item)
        for item in value
    ]
    line = ", ".join(items)
    if len(line) <= _LONG - len(name) - 5:
        return f"[{line}]"
    width = 6 if kind == "quantities" else 4
    rows = [", ".join(items[at : at + width]) for at in range(0, len(items), width)]
    return "[\n" + "".join(f"    {row},\n" for row in rows) + "]"


def _scalar(kind: str, value: Any) -> str:
    text = entered_text(value)
    if kind == "quantity" and _NUMBER.fullmatch(text):
        return text
    escaped = text.replace("\\", "\\\\").replace("\t", "\\t")
    if kind == "text" and "\n" in text:
        return (
            '"""\n'
            + escaped.replace('"""', '""\\"').removesuffix('"')
            + ('\\"' if text[-1] == '"' else "")
            + '"""'
        )
    return '"' + escaped.replace('"', '\\"').replace("\n", "\\n") + '"'


def _changed(text: str, before: Design, after: Design) -> str:
    """The text with what differs between two designs changed."""
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    text = text.removeprefix("\ufeff")
    text += "" if text.endswith("\n") else "\n"
    old, new = dict(records(before)), dict(records(after))
    anew = _moved(list(old), list(new))
    for path, record in new.items():
        if path not in old or path in anew:
            continue
        names = list(type(record).specs())
        values = {
            name: None if getattr(record, name) is None else _toml(record, name, getattr(record, name))
            for name in names
            if not same(getattr(old[path], name), getattr(record, name))
        }
        done = set_keys(text, _keys(path), values, names) if values else text
        text = text if done is None else done
        anew |= {path} if done is None else set()
    gone = {path for path in old if path not in new}
    for table in {path.partition(".")[0] for path in anew | gone}:
        if written_inline(text, table):
            anew |= {path for path in new if path.partition(".")[0] == table}
    for path in old:
        if path in gone or path in anew:
            text = drop_table(text, _keys(path))
    order = [_keys(path) for path in new]
    for at, (path, record) in enumerate(new.items()):
        body = "".join(_lines(record))
        if (path in anew or path not in old) and (body or "." in path):
            text = add_table(text, _keys(path), body, order[:at])
    return mark + text


def _keys(path: str) -> Keys:
    return tuple(path.split(".")) if path else ()


def _moved(old: list[str], new: list[str]) -> set[str]:
    """Records that stand in another order than in the text."""
    moved, last = set(), dict[str, int]()
    for path in new:
        table = path.partition(".")[0]
        at = old.index(path) if path in old else -1
        if at < 0:
            continue
        if at < last.get(table, -1):
            moved.add(path)
        else:
            last[table] = at
    return moved
