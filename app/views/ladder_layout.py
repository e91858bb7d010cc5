"""Where everything of the voltage ladder stands: lanes in, bars, ticks and labels in pixels out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from app.look import Look
from app.views.axis import Axis, from_zero
from app.views.label_room import Place, Spot, Stretch, Want, place_labels
from app.views.lettering import Letters, letters
from app.views.marks import status_of
from engine.finding import Status
from engine.sections.results import Lane, Mark, Span

SIDE, PAD = 16.0, 6.0
NEAR = 1.4  # a rating up to this many times the highest source voltage stands on the axis; others at its edge
AWAY = " →"
LEAST_AXIS = 60.0
LIVE = ("held", "would", "now")  # marks that move with the conditions of looking
REACHES = (1.03, 1.15, 1.3, 1.5, 1.8)  # how far the axis may pass the highest voltage to make room for labels


@dataclass(frozen=True, slots=True)
class Bar:
    low: float
    high: float
    kind: str


@dataclass(frozen=True, slots=True)
class Tick:
    at: float
    kind: str
    status: Status | None


@dataclass(frozen=True, slots=True)
class Label:
    """A text from ``x`` on. ``tone``: soft, ink, status (a colour) or inside (of the bar of kind ``on``)."""

    x: float
    text: str
    tone: str
    on: str = ""
    status: Status | None = None
    icon: float | None = None


@dataclass(frozen=True, slots=True)
class Row:
    """One lane drawn: its height is ``middle``, counted from the top of the lanes."""

    lane: Lane
    title: str
    middle: float
    bars: tuple[Bar, ...]
    ticks: tuple[Tick, ...]
    labels: tuple[Label, ...]
    cramped: int = 0


@dataclass(frozen=True, slots=True)
class Drawing:
    """The whole ladder: ``tall`` is the height that all rows take, which may pass the room for them."""

    axis: Axis
    rows: tuple[Row, ...]
    pitch: float
    tall: float


@dataclass(frozen=True, slots=True)
class _Text:
    """A label before it has a place; the first ``good`` of its spots are as clear as one can wish.

    One with no good spots at all may be left out; it never moves the axis.
    """

    text: str
    tone: str
    spots: tuple[Spot, ...]
    good: int = 1
    on: str = ""
    status: Status | None = None


def lay_out(lanes: Sequence[Lane], look: Look, width: float, room: float) -> Drawing:
    """Lay out the lanes in ``width`` by ``room`` pixels; rows keep a readable height and may pass the room.

    The axis is the shortest on which every label finds a good place, or else the one with the fewest cramped.
    """
    pitch = min(3.4 * look.text, max(1.85 * look.text, room / max(len(lanes), 1)))
    best: tuple[int, Axis, tuple[Row, ...]] | None = None
    for axis in axes_for(lanes, look, width):
        rows = tuple(_row(lane, (n + 0.5) * pitch, axis, look, width) for n, lane in enumerate(lanes))
        cramped = sum(row.cramped for row in rows)
        if best is None or cramped < best[0]:
            best = (cramped, axis, rows)
        if cramped == 0:
            break
    assert best is not None
    return Drawing(best[1], best[2], pitch, pitch * len(lanes))


def axes_for(lanes: Sequence[Lane], look: Look, width: float) -> Iterator[Axis]:
    """Axes from 0 over every source and battery voltage and the ratings near them, shortest first."""
    names = max([letters(look).width(lane.title) for lane in lanes], default=0.0)
    start = math.ceil(SIDE + max(min(names, 0.3 * width), column(look)) + 2 * PAD)
    stop = max(width - 4.2 * look.text, start + LEAST_AXIS)
    most = min(10, max(2, int((stop - start) / (5.6 * look.text))))
    made: list[float] = []
    for reach in REACHES:
        axis = from_zero(reach * highest(lanes), most, start, stop)
        if axis.high not in made:
            made.append(axis.high)
            yield axis


def column(look: Look) -> float:
    """The least width of the titles' column; the curves under the ladder write their state into it."""
    return 12.0 * look.text


def highest(lanes: Sequence[Lane]) -> float:
    """The highest voltage that belongs on the axis; the moving mark of the present never stretches it."""
    marks = [mark for lane in lanes for mark in lane.marks]
    own = [span.high for lane in lanes for span in lane.spans]
    own += [mark.at for mark in marks if mark.kind in ("record", "limit")]
    ratings = [mark.at for mark in marks if mark.kind == "rating"]
    core = max(own, default=0.0) or min(ratings, default=0.0)
    return max([core, *(at for at in ratings if at <= NEAR * core)])


def fit_title(title: str, type: Letters, room: float) -> str:
    """A lane's title in its room; what stands after the last comma is kept as long as it can."""
    head, comma, tail = title.rpartition(", ")
    kept = room - type.width(comma + tail)
    if type.width(title) > room and comma and kept > room / 3:
        return type.fit(head, kept) + comma + tail
    return type.fit(title, room)


@lru_cache(maxsize=512)
def _row(lane: Lane, middle: float, axis: Axis, look: Look, width: float) -> Row:
    title = fit_title(lane.title, letters(look), axis.start - SIDE - 2 * PAD)
    small, bold = letters(look, look.small), letters(look, look.small, bold=True)
    if lane.empty and not lane.spans and not lane.marks:
        text = small.fit(lane.empty, width - SIDE - axis.start - PAD)
        return Row(lane, title, middle, (), (), (Label(axis.start + PAD, text, "soft"),))
    bars = tuple(Bar(axis.at(s.low), max(axis.at(s.high), axis.at(s.low) + 2), s.kind) for s in lane.spans)
    shown = [mark for mark in lane.marks if mark.at <= axis.high]
    ticks = tuple(Tick(axis.at(mark.at), mark.kind, status_of(mark.status)) for mark in shown)
    room = (axis.start + 2, width - PAD)
    texts = _texts(lane, axis, bars, room)
    icon = look.text + 4.0
    wants = [_want(text, bold if text.tone == "status" else small, icon) for text in texts]
    edges = [
        (tick.at - 2.0, tick.at + 2.0) for tick in ticks if tick.kind not in LIVE or _over(tick.at, bars)
    ]
    places = place_labels(wants, [(bar.low, bar.high) for bar in bars], edges)
    labels = tuple(
        _label(text, place, bold if text.tone == "status" else small, icon)
        for text, place in zip(texts, places, strict=True)
        if place is not None
    )
    cramped = sum(
        2 if place is None or place.cut else int(place.spot >= text.good)
        for text, place in zip(texts, places, strict=True)
        if text.good
    )
    return Row(lane, title, middle, bars, ticks, labels, cramped)


def _want(text: _Text, type: Letters, icon: float) -> Want:
    icon = icon if text.status is not None else 0.0
    width = icon + type.width(text.text)
    return Want(width, icon + type.width(text.text[:4] + "…") if text.good else width, text.spots)


def _label(text: _Text, place: Place, type: Letters, icon: float) -> Label:
    icon = icon if text.status is not None else 0.0
    written = type.fit(text.text, place.high - place.low - icon + 0.5) if place.cut else text.text
    on = text.on if text.spots[place.spot].inside else ""
    tone = "inside" if on else text.tone
    return Label(place.low + icon, written, tone, on, text.status, place.low + icon / 2 if icon else None)


def _texts(lane: Lane, axis: Axis, bars: tuple[Bar, ...], room: Stretch) -> list[_Text]:
    """The lane's labels, those that matter most first: verdicts, ratings, then the ends of the bars."""
    texts = []
    live = [mark for mark in lane.marks if mark.kind in LIVE and mark.text and mark.at <= axis.high]
    live.sort(key=lambda mark: LIVE.index(mark.kind), reverse=True)
    for mark in sorted(lane.marks, key=lambda mark: mark.status == ""):
        if mark.kind not in LIVE:
            texts += _mark_texts(mark, axis, bars, room)
    ends = list(zip(lane.spans, bars, strict=True))
    texts += [_high_end(span, bar, room) for span, bar in reversed(ends) if span.text]
    texts += [_low_end(span, bar, room) for span, bar in ends if span.text_low]
    texts += [_now(mark.text, axis.at(mark.at), bars, room) for mark in live]
    if lane.empty:
        last = max([bar.high for bar in bars] + [axis.at(min(mark.at, axis.high)) for mark in lane.marks])
        texts.append(_Text(lane.empty, "soft", (Spot(last + 2 * PAD, False, room),), 0))
    return texts


def _mark_texts(mark: Mark, axis: Axis, bars: tuple[Bar, ...], room: Stretch) -> list[_Text]:
    status = status_of(mark.status)
    judged = status in (Status.FAILS, Status.MARGINAL)
    name, _, verdict = mark.text.rpartition(", ") if judged else ("", "", mark.text)
    if mark.at > axis.high:
        edge = (Spot(room[1], True, room),)
        return [_Text(mark.text + AWAY, "ink", edge, status=status)] if mark.text else []
    at = axis.at(mark.at)
    left, right = Spot(at - PAD, True, room), Spot(at + PAD, False, room)
    beyond = tuple(
        spot
        for bar in bars
        if bar.low <= at <= bar.high
        for spot in (Spot(bar.high + PAD, False, room), Spot(bar.low - PAD, True, room))
    )
    texts = []
    if verdict:
        tone, spots = ("status", (right, left, *beyond)) if judged else ("ink", (left, right, *beyond))
        texts.append(_Text(verdict, tone, spots, 1 if judged else 2, status=status))
    if name:
        texts.append(_Text(name, "ink", (left, right, *beyond)))
    return texts


def _now(text: str, at: float, bars: tuple[Bar, ...], room: Stretch) -> _Text:
    """The moving mark's own voltage, beside it where that is free, in its bar or out of it."""
    over = _over(at, bars)
    if over is None:
        return _Text(text, "ink", (Spot(at + PAD, False, room), Spot(at - PAD, True, room)), 0)
    within = (over.low + PAD, over.high - PAD)
    spots = (Spot(at - PAD, True, within, inside=True), Spot(at + PAD, False, within, inside=True))
    return _Text(text, "ink", spots, 0, on=over.kind)


def _over(at: float, bars: tuple[Bar, ...]) -> Bar | None:
    return next((bar for bar in bars if bar.low <= at <= bar.high), None)


def _high_end(span: Span, bar: Bar, room: Stretch) -> _Text:
    within = (bar.low + PAD, bar.high - PAD)
    spots = (
        Spot(bar.high + PAD, False, room),
        Spot(within[1], True, within, inside=True),
        Spot(bar.low - PAD, True, room),
    )
    return _Text(span.text, "soft", spots, 2, on=span.kind)


def _low_end(span: Span, bar: Bar, room: Stretch) -> _Text:
    within = (bar.low + PAD, bar.high - PAD)
    spots = (
        Spot(bar.low - PAD, True, room),
        Spot(within[0], False, within, inside=True),
        Spot(bar.high + PAD, False, room),
    )
    return _Text(span.text_low, "soft", spots, 2, on=span.kind)
