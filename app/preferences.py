"""What a person prefers: what a new site begins with, the look, how soon a recovery copy is written.

A new site is a copy of a design that is kept in the settings: its rule family, its habit of units, its
prices. Sites that are open are never touched by it.
"""

from __future__ import annotations

import dataclasses

from app.look import LOOKS
from app.state import settings
from engine.codec import loads
from engine.design import Design
from engine.edit import empty
from engine.problems import Problems
from engine.writer import dumps

NEW_SITE, LOOK, COPY_AFTER = "new_site", "look", "copy_after"
COPIES = (
    (800, "a moment after each change"),
    (10_000, "10 seconds after a change"),
    (60_000, "a minute after a change"),
)
"""Milliseconds from a change to its recovery copy, and what they are called; the first until chosen."""


def new_site() -> Design:
    """What a new site begins with; an empty design where nothing is kept, or what is kept can't be read."""
    text = settings().value(NEW_SITE, "")
    try:
        return loads(str(text), NEW_SITE) if text else empty()
    except Problems:
        return empty()


def keep_new_site(design: Design) -> None:
    """Keep the rule family, the units and the prices of a design for new sites, and nothing else of it."""
    settings().setValue(NEW_SITE, dumps(beginning(design, design)))


def beginning(heads: Design, priced: Design) -> Design:
    """A design with the rule family and units of one and the prices of another."""
    about = dataclasses.replace(empty().about, rules=heads.about.rules, units=heads.about.units)
    return dataclasses.replace(empty(), about=about, prices=priced.prices, wires=priced.wires)


def look() -> str:
    """The name of the look that a window wears at first."""
    name = str(settings().value(LOOK))
    return name if name in LOOKS else "light"


def copy_after() -> int:
    """Milliseconds from a change to its recovery copy."""
    try:
        kept = int(str(settings().value(COPY_AFTER)))
    except ValueError:
        kept = 0
    return kept if kept in dict(COPIES) else COPIES[0][0]


def keep_copy_after(delay: int) -> None:
    """Keep how long after a change its recovery copy is written."""
    settings().setValue(COPY_AFTER, delay)
