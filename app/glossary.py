"""The trade words of ``assets/glossary.toml``: found in a text, told in a tooltip, marked in rich text.

The file is read when a word is first asked for, so that the window starts without it.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache
from html import escape

from app.places import assets

MOST = 3  # words told in one tooltip


@dataclass(frozen=True, slots=True)
class Term:
    """One trade word: its sentence, its other spellings, the words to read next.

    A ``common`` word means something else in running text too, and is found only where it is asked for.
    """

    word: str
    sentence: str
    also: tuple[str, ...] = ()
    see: tuple[str, ...] = ()
    common: bool = False

    @property
    def told(self) -> str:
        """The word and its sentence."""
        return f"{self.word[0].upper()}{self.word[1:]}: {self.sentence}"


Found = tuple[int, int, Term]


@cache
def terms() -> dict[str, Term]:
    """Every trade word by itself, in the order of the file."""
    read = tomllib.loads((assets() / "glossary.toml").read_text("utf-8"))["word"]
    made = (
        Term(
            one["word"],
            one["is"],
            tuple(one.get("also", ())),
            tuple(one.get("see", ())),
            one.get("common", False),
        )
        for one in read
    )
    return {term.word: term for term in made}


@cache
def _forms() -> tuple[re.Pattern[str], dict[str, Term]]:
    """A pattern of all spellings, the longest first, and the word of each."""
    spelt = {
        form.lower(): term for term in terms().values() if not term.common for form in (term.word, *term.also)
    }
    longest = sorted(spelt, key=len, reverse=True)
    pattern = rf"(?<![\w-])({'|'.join(re.escape(form) for form in longest)})(?:s|es)?(?![\w-])"
    return re.compile(pattern, re.IGNORECASE), spelt


@lru_cache(maxsize=4096)
def found(text: str) -> tuple[Found, ...]:
    """Where trade words stand in a text: from, to and the word; of overlapping ones the longest."""
    pattern, spelt = _forms()
    return tuple((match.start(), match.end(), spelt[match[1].lower()]) for match in pattern.finditer(text))


def words_in(text: str) -> tuple[Term, ...]:
    """The trade words of a text, each once, in the order of the text."""
    return tuple(dict.fromkeys(term for _, _, term in found(text)))


def words_of_field(title: str, help: str = "") -> tuple[Term, ...]:
    """The trade words of a field's title; of its help where the title has none."""
    return (words_in(title) or words_in(help))[:MOST]


def tooltip(said: str, words: tuple[Term, ...]) -> str:
    """A wrapped tooltip: what is said, a line each, and then the sentences of the words."""
    lines = [escape(line) for line in said.splitlines() if line]
    told = [f"<b>{escape(term.word)}</b>: {escape(term.sentence)}" for term in words[:MOST]]
    parts = ["<br>".join(lines), *told] if lines else told
    return "".join(f"<p style='margin: 2px 0;'>{part}</p>" for part in parts)


def marked(text: str, seen: set[str], wrap: Callable[[str, Term], str] | None = None) -> str:
    """A plain text as rich text, each trade word dotted under with its sentence as tooltip.

    ``seen`` holds the words that were marked before, as each is marked once; ``wrap(words, term)`` gives the
    rich text of a word where it is more than that.
    """
    parts, at = [], 0
    for start, stop, term in found(text):
        if term.word in seen:
            continue
        seen.add(term.word)
        parts.append(escape(text[at:start]))
        parts.append((wrap or _dotted)(text[start:stop], term))
        at = stop
    return "".join((*parts, escape(text[at:])))


def _dotted(words: str, term: Term) -> str:
    told = escape(term.told)
    return f"<span title='{told}' style='text-underline-style: dotted;'>{escape(words)}</span>"
