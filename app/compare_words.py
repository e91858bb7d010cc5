"""In what two designs differ, in rows of words: for the window and for the terminal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from engine import units
from engine.compare import CircuitChange, Comparison, FieldChange, Total, Turned
from engine.finding import Finding, Status

NONE = "—"
UNASKED = "not asked"
SAME = "No field, verdict, size or total differs."


@dataclass(frozen=True, slots=True)
class Row:
    """One difference: what it is, the two sides in words, where it leads. ``statuses`` of a verdict."""

    what: str
    this: str
    that: str
    go_to: str = ""
    more: str = ""
    statuses: tuple[Status | None, Status | None] | None = None


@dataclass(frozen=True, slots=True)
class Group:
    """Rows of one kind under a heading."""

    heading: str
    rows: tuple[Row, ...]


def groups(found: Comparison, habit: str, currency: str = "") -> tuple[Group, ...]:
    """What differs, in groups that are not empty, verdicts first."""
    both = [item for item in found.turned if not item.asked_once]
    once = [item for item in found.turned if item.asked_once]
    made = (
        Group("Verdicts that turned", tuple(map(_turned, both))),
        Group("Fields", tuple(map(_field, found.fields))),
        Group("Circuits", tuple(_circuit(item, habit) for item in found.circuits)),
        Group("Totals", tuple(_total(item, habit, currency) for item in found.totals)),
        Group("Asked of one design only", tuple(map(_turned, once))),
    )
    return tuple(group for group in made if group.rows)


def summary(found: Comparison) -> str:
    """The differences counted, in a sentence."""
    if found.empty:
        return SAME
    worse = sum(is_worse(item) for item in found.turned)
    better = sum(
        item.this is not None and item.that is not None and item.that.status > item.this.status
        for item in found.turned
    )
    counts = [
        f"{len(part)} {one if len(part) == 1 else more}"
        for part, one, more in (
            (found.fields, "field", "fields"),
            (found.circuits, "size or rating", "sizes and ratings"),
            (found.totals, "total", "totals"),
        )
        if part
    ]
    turned = f"{worse} verdicts are worse and {better} better in the other"
    return f"{turned}; {', '.join(counts) or 'nothing else'} differ."


def is_worse(item: Turned) -> bool:
    """Whether the second answers less well, or is asked a new question that it does not meet."""
    if item.that is None:
        return False
    return item.that.status < (Status.MEETS if item.this is None else item.this.status)


def lines(found: Comparison, habit: str, currency: str = "") -> Iterator[str]:
    """The rows as text, one a line, for the terminal and the clipboard."""
    for group in groups(found, habit, currency):
        yield ""
        yield group.heading
        for row in group.rows:
            yield f"  {row.what}: {row.this} → {row.that}"


def _turned(item: Turned) -> Row:
    one, two = item.this, item.that
    return Row(
        f"{item.owner}: {item.rule.replace('-', ' ')}",
        _word(one),
        _word(two),
        item.go_to,
        "\n".join(f"{_word(each).capitalize()}: {each.title}." for each in (one, two) if each is not None),
        (None if one is None else one.status, None if two is None else two.status),
    )


def _word(finding: Finding | None) -> str:
    return UNASKED if finding is None else finding.status.word


def _circuit(item: CircuitChange, habit: str) -> Row:
    what = f"{item.title}: {item.what}" if item.what else item.title
    one, two = (_sized(value, item.unit, habit) for value in (item.this, item.that))
    return Row(what, one, two, f"circuits.{item.circuit}")


def _sized(value: object, unit: str, habit: str) -> str:
    if value is None:
        return NONE
    if unit in ("", "1") or not isinstance(value, float | int):
        return str(value)
    return units.show(float(value), unit, habit)


def _total(item: Total, habit: str, currency: str) -> Row:
    one, two = (_figure(value, item.unit, habit, currency) for value in (item.this, item.that))
    more = ""
    if isinstance(item.this, float) and isinstance(item.that, float):
        by = item.that - item.this
        more = f"{'+' if by > 0 else ''}{_figure(by, item.unit, habit, currency)}"
    return Row(f"{item.group}: {item.name}", one, two, item.go_to, more)


def _figure(value: float | str | None, unit: str, habit: str, currency: str) -> str:
    if value is None:
        return NONE
    if isinstance(value, str):
        return value
    if unit == "money":
        return f"{value:,.0f} {currency}".rstrip()
    return f"{value:.0f}" if unit == "1" else units.show(value, unit, habit, 3)


def _field(item: FieldChange) -> Row:
    what = f"{item.owner}: {item.title}" if item.title else item.owner
    return Row(what, item.this or NONE, item.that or NONE, item.path, item.path)
