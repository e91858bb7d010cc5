"""What a source is: the place outside this program where a number, a formula or a rule was found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

HOWS = ("read", "from memory", "partly from memory", "computed", "common practice")


@dataclass(frozen=True, slots=True)
class Source:
    """A published place, named closely enough that a reader can go and look.

    ``how`` says how the number reached us: ``read`` on the page itself, ``from memory`` or partly so,
    ``computed`` from a formula that was read, or ``common practice`` for a fact of the trade that has no
    single page.
    """

    title: str
    publisher: str = ""
    year: str = ""
    clause: str = ""
    how: str = "from memory"

    def __str__(self) -> str:
        parts = [self.title, self.publisher, self.year, self.clause]
        text = ", ".join(part for part in parts if part)
        return text if self.how in ("read", text) else f"{text} ({self.how})"


COMMON_PRACTICE = Source("common practice", how="common practice")


def from_mapping(data: dict[str, Any]) -> Source:
    """Read a source from a table of a data file; ``where`` and ``section`` are taken as the clause."""
    clause = data.get("clause") or data.get("where") or data.get("section") or ""
    return Source(
        title=str(data["title"]),
        publisher=str(data.get("publisher", "")),
        year=str(data.get("year", "")),
        clause=str(clause),
        how=str(data.get("how", "from memory")),
    )
