"""A table of texts as tab-separated or comma-separated values, safe to open in a spreadsheet."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence

FORMULA = ("=", "+", "-", "@")
NUMBER = re.compile(r"[-+]?[0-9.]+(e[-+]?[0-9]+)?")


def tsv(rows: Iterable[Sequence[str]]) -> str:
    """Rows for the clipboard: a tab between cells, a line each."""
    return "".join("\t".join(" ".join(_plain(cell).split()) for cell in row) + "\n" for row in rows)


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Rows as comma-separated values (RFC 4180): lines end in CR LF, cells are quoted where they must be."""
    held = io.StringIO()
    csv.writer(held).writerows([_plain(cell) for cell in row] for row in rows)
    return held.getvalue()


def _plain(cell: str) -> str:
    """A text that a spreadsheet would run as a formula gets an apostrophe before it; numbers stay."""
    runs = cell.lstrip().startswith(FORMULA) and not NUMBER.fullmatch(cell)
    return f"'{cell}" if runs else cell
