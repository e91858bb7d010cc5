"""A page of the help as rich text in a look: steps with hanging numbers, labels in bold, words dotted."""

from __future__ import annotations

import re
from html import escape
from itertools import count
from urllib.parse import quote

from app.glossary import Term, marked, terms
from app.help_pages import LINK, Block, Page
from app.look import Look
from engine.finding import Signal

LABEL = re.compile(r'"([^"]+)"')
CODE = re.compile(r"`([^`]+)`")
ALERT = "\N{WARNING SIGN} "


def page_html(page: Page, look: Look) -> str:
    """The whole page."""
    seen: set[str] = set() if page.id != "glossary" else set(terms())
    numbers = count(1)
    parts = [_head(page.title, look.large + 4, above=0, below=10)]
    for block in page.blocks:
        if block.kind == "heading":
            numbers = count(1)
        parts.append(_block(block, look, seen, numbers))
    return "".join(parts)


def _block(block: Block, look: Look, seen: set[str], numbers: count[int]) -> str:
    if block.kind == "heading":
        return _head(block.text, look.large, above=18, below=4)
    if block.kind == "caution":
        return _caution(block, look)
    inner = inline(block.text, look, seen)
    if block.kind == "word":
        head = f"<a name='{quote(block.anchor)}'></a><b>{escape(block.anchor)}</b>"
        return f"<p style='margin: 10px 0 0 0;'>{head}<br>{inner}</p>"
    if block.kind in ("step", "point"):
        mark = f"<b>{next(numbers)}</b>" if block.kind == "step" else "•"
        wide = 2 * look.text
        return (
            "<table cellspacing='0' cellpadding='0' style='margin: 6px 0 0 0;'><tr>"
            f"<td width='{wide}'>{mark}</td><td>{inner}</td></tr></table>"
        )
    return f"<p style='margin: 8px 0 0 0;'>{inner}</p>"


def _head(text: str, size: int, *, above: int, below: int) -> str:
    """A heading in a size of pixels, which Qt's own headings do not keep."""
    return (
        f"<p style='margin: {above}px 0 {below}px 0;'>"
        f"<b><span style='font-size: {size}px;'>{escape(text)}</span></b></p>"
    )


def _caution(block: Block, look: Look) -> str:
    signal = Signal[block.anchor]
    colour, letters = look.signal(signal)
    alert = "" if signal is Signal.NOTICE else ALERT
    return (
        "<table width='100%' cellspacing='0' cellpadding='6' "
        f"style='margin: 14px 0 0 0; border: 1px solid {colour}; border-collapse: collapse;'>"
        f"<tr><td style='background-color: {colour}; color: {letters};'><b>{alert}{signal.word}</b></td></tr>"
        f"<tr><td>{escape(block.text)}</td></tr></table>"
    )


def inline(text: str, look: Look, seen: set[str]) -> str:
    """Links, labels, code and trade words of a line of text."""
    parts, at = [], 0
    for match in LINK.finditer(text):
        parts.append(_labels(text[at : match.start()], look, seen))
        parts.append(link(f"{match[2]}:{match[3]}", match[1], look))
        at = match.end()
    return "".join((*parts, _labels(text[at:], look, seen)))


def link(target: str, words: str, look: Look) -> str:
    """A link to a page, a place or a word."""
    return f"<a href='{escape(quote(target, safe=':'))}' style='color: {look.water};'>{escape(words)}</a>"


def _labels(text: str, look: Look, seen: set[str]) -> str:
    parts, at = [], 0
    for match in re.finditer(rf"{LABEL.pattern}|{CODE.pattern}", text):
        parts.append(_words(text[at : match.start()], look, seen))
        bold = match[1] is not None
        parts.append(f"<b>{escape(match[1])}</b>" if bold else f"<code>{escape(match[2])}</code>")
        at = match.end()
    return "".join((*parts, _words(text[at:], look, seen)))


def _words(text: str, look: Look, seen: set[str]) -> str:
    """Trade words, each once a page: dotted, with a tooltip, and a link to the glossary."""

    def linked(words: str, term: Term) -> str:
        style = f"color: {look.ink}; text-underline-style: dotted;"
        target, told = quote(f"word:{term.word}", safe=":"), escape(term.told)
        return f"<a href='{target}' title='{told}' style='{style}'>{escape(words)}</a>"

    return marked(text, seen, linked)
