"""Rich text on paper: a PDF whose text can be searched, on the paper of the habit."""

from __future__ import annotations

from html import escape
from pathlib import Path

from PySide6.QtCore import QMarginsF
from PySide6.QtGui import QFont, QPageLayout, QPageSize, QPdfWriter, QTextDocument

from engine.design import Design

PAPER = {"us": QPageSize.PageSizeId.Letter, "metric": QPageSize.PageSizeId.A4}


def write_page(path: Path, title: str, html: str, habit: str, way: QPageLayout.Orientation) -> None:
    """Print rich text to a file; heads of tables stand on every page. Raises ``OSError`` where it can't."""
    with path.open("wb"):
        pass  # says why a file can't be written, which the writer does not
    writer = QPdfWriter(str(path))
    writer.setPageLayout(QPageLayout(QPageSize(PAPER[habit]), way, QMarginsF(0, 0, 0, 0)))
    writer.setResolution(300)
    writer.setTitle(title)
    writer.setCreator("Farstead")
    document = QTextDocument()
    letters = QFont("DejaVu Sans", 8)
    letters.setFeature(QFont.Tag("liga"), 0)  # a ligature can't be searched for
    document.setDefaultFont(letters)
    document.setHtml(html)
    document.print_(writer)


def page(*parts: str) -> str:
    """Parts of a page as one text."""
    return f"<html><body>{''.join(parts)}</body></html>"


def heading(words: str) -> str:
    """The head of a page."""
    return f"<p style='font-size: 14pt; font-weight: bold;'>{escape(words)}</p>"


def line(words: str, *, bold: bool = False) -> str:
    """A line of a page."""
    return f"<p style='margin: 2px 0;{' font-weight: bold;' if bold else ''}'>{escape(words)}</p>"


def decides(caution: str) -> str:
    """Who decides, at the foot."""
    return f"<p style='margin-top: 8px;'><b>NOTICE</b> {escape(caution)}</p>"


def name_of(design: Design) -> str:
    """What a site is called on paper."""
    name = design.about.name or "a site without a name"
    return f"{name} (invented example)" if design.about.invented else name
