"""Small readings of tables that several tests share."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from engine.tables import Table


def rises(values: Sequence[float]) -> bool:
    """Whether every value is greater than the one before it, of two at least."""
    return len(values) > 1 and all(a < b for a, b in pairwise(values))


def number(of: Table, key: str, value: str, column: str) -> float:
    """A cell by the text of its row's key."""
    found = [row[column] for row in of.rows() if str(row[key]) == value]
    assert len(found) == 1 and isinstance(found[0], float)
    return found[0]
