"""The pages of the help: text files of ``assets/help``, and those made from glossary, cautions and tables.

``assets/help/index.toml`` says how a page is written. A page is read into blocks; ``app.help_html`` gives
them their look.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache

from app.cautions import cautions
from app.glossary import terms
from app.places import assets
from engine.sources import Source

LINK = re.compile(r"\[([^\]]+)\]\((\w+):([^)]+)\)")
STEP = re.compile(r"\d+\. ")
PANE = "pane-"
HOWS = {
    "read": "read on the page itself",
    "partly from memory": "partly read, partly from memory: check it against the text at hand",
    "from memory": "from memory: check it against the text at hand",
    "computed": "computed from a formula that was read",
    "common practice": "common practice of the trade, with no single page",
}
"""How a number reached us, in words, in the order of the page of sources."""


@dataclass(frozen=True, slots=True)
class Block:
    """A part of a page: ``kind`` is heading, text, step, point, caution or word; ``anchor`` names a word."""

    kind: str
    text: str
    anchor: str = ""


@dataclass(frozen=True, slots=True)
class Page:
    """One page."""

    id: str
    title: str
    blocks: tuple[Block, ...]

    @property
    def plain(self) -> str:
        """All its text without links, as it is searched."""
        return "\n".join(unlinked(block.text) for block in self.blocks)


def unlinked(text: str) -> str:
    """A text with the words of its links only."""
    return LINK.sub(r"\1", text)


@cache
def groups() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The groups of the list with the ids of their pages, in order."""
    read = tomllib.loads((assets() / "help" / "index.toml").read_text("utf-8"))["group"]
    return tuple((group["title"], tuple(group["pages"])) for group in read)


def ids() -> tuple[str, ...]:
    """The ids of all pages, in order."""
    return tuple(id for _, pages in groups() for id in pages)


@cache
def page(id: str) -> Page:
    """A page by its id; raises ``KeyError`` where there is none."""
    if id not in ids():
        raise KeyError(id)
    if id in MADE:
        title, blocks = MADE[id]
        return Page(id, title, tuple(blocks()))
    title, *lines = (assets() / "help" / f"{id}.txt").read_text("utf-8").splitlines()
    return Page(id, title.removeprefix("# "), tuple(_blocks(lines)))


def page_of_pane(name: str) -> str:
    """The id of a pane's page; that of the line where it has none."""
    id = f"{PANE}{name}"
    return id if id in ids() else "line"


def _blocks(lines: list[str]) -> Iterator[Block]:
    running: list[str] = []
    for line in [*lines, ""]:
        kind, text = _read(line)
        if kind != "text" and running:
            yield Block("text", " ".join(running))
            running = []
        if kind == "text":
            running.append(text)
        elif kind == "caution":
            signal, said = cautions()[text]
            yield Block("caution", said, signal.name)
        elif kind:
            yield Block(kind, text)


def _read(line: str) -> tuple[str, str]:
    if line.startswith("## "):
        return "heading", line[3:]
    if line.startswith("! "):
        return "caution", line[2:]
    if line.startswith("- "):
        return "point", line[2:]
    if STEP.match(line):
        return "step", line.partition(" ")[2]
    return ("text", line) if line else ("", "")


def _glossary() -> Iterator[Block]:
    for word in sorted(terms(), key=str.lower):
        term = terms()[word]
        see = ", ".join(f"[{other}](word:{other})" for other in term.see)
        yield Block("word", f"{term.sentence}{f' See {see}.' if see else ''}", word)


def _cautions() -> Iterator[Block]:
    yield Block("text", "Each stands beside the work as well, where the hand is.")
    for place, (signal, said) in cautions().items():
        yield Block("heading", place.capitalize())
        yield Block("caution", said, signal.name)


def _sources() -> Iterator[Block]:
    from engine import tables
    from engine.physics.worksheets import WORKSHEETS

    yield Block(
        "text",
        "Where each table and formula is from, and how it reached us. What is not said to be read has to be "
        "checked against the text at hand.",
    )
    found = {name: tables.table(name) for name in tables.names()}
    for how, meaning in HOWS.items():
        rows = [(table.title, table.source) for table in found.values() if table.source.how == how]
        if rows:
            yield Block("heading", f"Tables: {meaning}")
            yield from (Block("point", _told(title, source)) for title, source in sorted(rows, key=_by_title))
    for how, meaning in HOWS.items():
        sheets = [(sheet.title, sheet.source) for sheet in WORKSHEETS if sheet.source.how == how]
        if sheets:
            yield Block("heading", f"Worksheets: {meaning}")
            yield from (
                Block("point", _told(title, source)) for title, source in sorted(sheets, key=_by_title)
            )


def _by_title(row: tuple[str, Source]) -> str:
    return row[0].lower()


def _told(title: str, source: Source) -> str:
    named = source.title if source.title != title else ""
    parts = (named, source.publisher, source.year, source.clause)
    return f"{title}: {', '.join(part for part in parts if part) or source.how}."


MADE: dict[str, tuple[str, Callable[[], Iterator[Block]]]] = {
    "glossary": ("Glossary", _glossary),
    "cautions": ("Cautions", _cautions),
    "sources": ("Sources", _sources),
}
"""The pages that are made: title, and what gives their blocks."""


@dataclass(frozen=True, slots=True)
class Hit:
    """One thing found: a page, or a word of the glossary where ``word`` names it."""

    page: str
    title: str
    word: str = ""


def search(words: str) -> tuple[Hit, ...]:
    """What holds all words, the best first: in the title, then by how thickly they stand in the text."""
    asked = words.lower().split()
    if not asked:
        return ()
    ranked: list[tuple[tuple[int, float], Hit]] = []
    for id in ids():
        made = page(id)
        if id != "glossary" and (rank := _rank(asked, made.title, made.plain)):
            ranked.append((rank, Hit(id, made.title)))
    for term in terms().values():
        if rank := _rank(asked, " ".join((term.word, *term.also)), term.sentence):
            ranked.append((rank, Hit("glossary", term.word, term.word)))
    return tuple(hit for _, hit in sorted(ranked, key=lambda one: one[0]))


def _rank(asked: list[str], title: str, text: str) -> tuple[int, float] | None:
    title, text = title.lower(), text.lower()
    whole = f"{title}\n{text}"
    if not all(word in whole for word in asked):
        return None
    in_title = all(word in title for word in asked)
    at_start = in_title and title.startswith(asked[0])
    share = sum(whole.count(word) for word in asked) / len(whole)
    return (0 if at_start else 1 if in_title else 2, -share)
