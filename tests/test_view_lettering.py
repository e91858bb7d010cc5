"""Room for labels, axes, marks and colours that text can be read on: the laws behind the drawn views."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPointF
from PySide6.QtGui import QColor, QImage, QPainter
from pytestqt.qtbot import QtBot

from app.look import LOOKS, Look
from app.views.axis import figure, from_zero, nice_step
from app.views.label_room import GAP, Spot, Want, place_labels
from app.views.lettering import blend, contrast, letters, readable_on
from app.views.marks import draw_mark, mark_icon, mark_path, mark_word, status_of
from engine.finding import Status

READABLE = 4.5  # W3C, Web Content Accessibility Guidelines 2.1, 1.4.3 Contrast (Minimum), level AA
ROOM = (0.0, 400.0)

pixels = st.floats(0, 400)
stretches = st.tuples(pixels, st.floats(1, 60)).map(lambda pair: (pair[0], min(pair[0] + pair[1], 400.0)))
spots = st.builds(Spot, pixels, st.booleans(), st.just(ROOM))
wants = st.builds(
    Want, st.floats(5, 150), st.floats(5, 20), st.lists(spots, min_size=1, max_size=3).map(tuple)
)


@given(st.lists(wants, max_size=6), st.lists(stretches, max_size=3), st.lists(stretches, max_size=3))
def test_that_placed_labels_touch_neither_each_other_nor_bars_nor_the_edge(
    asked: list[Want], bars: list[tuple[float, float]], ticks: list[tuple[float, float]]
) -> None:
    placed = [place for place in place_labels(asked, bars, ticks) if place is not None]
    for place in placed:
        assert ROOM[0] <= place.low < place.high <= ROOM[1]
        assert not any(place.low < high and low < place.high for low, high in [*bars, *ticks])
    for one, other in combinations(placed, 2):
        assert one.high <= other.low or other.high <= one.low


@given(wants)
def test_that_a_label_takes_its_first_free_place_whole_or_is_cut_to_no_less_than_asked(want: Want) -> None:
    (place,) = place_labels([want], [], [])
    if place is None:
        return
    assert place.high - place.low == pytest.approx(want.width if not place.cut else place.high - place.low)
    if place.cut:
        assert place.high - place.low >= want.least
    else:
        taken = want.spots[place.spot]
        assert place.high == taken.anchor if taken.leftward else place.low == taken.anchor


def test_that_a_label_inside_its_bar_gives_way_to_ticks_but_not_to_the_bar() -> None:
    inside = Want(40, 10, (Spot(190, True, (105, 195), inside=True),))
    (free,) = place_labels([inside], [(100, 200)], [])
    (ticked,) = place_labels([inside], [(100, 200)], [(165, 169)])
    assert free is not None and (free.low, free.high) == (150, 190)
    assert ticked is not None and ticked.cut and ticked.low == 169 + GAP


@given(st.floats(1e-3, 1e6), st.integers(2, 10))
def test_that_an_axis_starts_at_zero_reaches_its_highest_and_counts_in_whole_steps(
    highest: float, most: int
) -> None:
    axis = from_zero(highest, most, 100, 600)
    ticks = axis.ticks()
    assert ticks[0] == 0
    assert highest <= axis.high * (1 + 1e-9) < highest + axis.step
    assert len(ticks) <= most + 1
    assert axis.value(axis.at(highest)) == pytest.approx(highest)
    assert all(float(figure(tick, axis.step)) == pytest.approx(tick, rel=1e-9) for tick in ticks)


@given(st.floats(1e-4, 1e7))
def test_that_steps_are_ones_twos_and_fives(span: float) -> None:
    digits = f"{nice_step(span, 7):.6e}".split("e")[0].rstrip("0").rstrip(".")
    assert digits in {"1", "2", "2.5", "5"}


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS.keys())
def test_that_every_text_colour_reads_on_sheet_paper_and_field(look: Look) -> None:
    for colour in (look.ink, look.soft, *(look.status(status) for status in Status)):
        for ground in (look.sheet, look.paper, look.field):
            assert contrast(QColor(colour), QColor(ground)) >= READABLE


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS.keys())
def test_that_text_inside_a_bar_reads_on_it(look: Look) -> None:
    fills = [QColor(colour) for colour in (look.sun, look.wind, look.water, look.battery, look.loads)]
    fills += [blend(colour, look.sheet, 0.45) for colour in (look.sun, look.wind, look.water, look.soft)]
    assert all(contrast(readable_on(fill), fill) >= READABLE for fill in fills)


def test_that_black_on_white_has_the_contrast_that_the_guidelines_give() -> None:
    """W3C, Web Content Accessibility Guidelines 2.1, "contrast ratio": from 1 to 21."""
    assert contrast(QColor("#000000"), QColor("#FFFFFF")) == pytest.approx(21)
    assert contrast(QColor("#777777"), QColor("#777777")) == 1


def test_that_each_status_has_its_own_shape_and_word() -> None:
    areas = [mark_path(status).elementCount() for status in (Status.FAILS, Status.MARGINAL, Status.MEETS)]
    assert areas[0] != areas[1] != areas[2]
    assert [mark_word(status) for status in Status] == ["fails", "unknown", "marginal", "meets"]
    assert all(status_of(mark_word(status)) is status for status in Status)
    assert status_of("") is None
    assert mark_word(None) == "not judged"


def test_that_an_unknown_mark_is_a_ring_with_nothing_in_it(qtbot: QtBot) -> None:
    look = LOOKS["light"]
    middles = {}
    for status in (Status.UNKNOWN, Status.MEETS):
        image = QImage(40, 40, QImage.Format.Format_RGB32)
        image.fill(QColor(look.sheet))
        painter = QPainter(image)
        draw_mark(painter, QPointF(20, 20), status, look, 24)
        painter.end()
        middles[status] = image.pixelColor(20, 20).name().upper()
    assert middles == {Status.UNKNOWN: look.sheet, Status.MEETS: look.meets}
    assert not mark_icon(Status.FAILS, look).isNull()


def test_that_a_cut_text_fits_its_room_and_wrapped_lines_keep_every_word(qtbot: QtBot) -> None:
    type = letters(LOOKS["light"])
    text = "Held to 93.3 A into the battery at the present voltage"
    assert type.fit(text, 1e6) == text
    assert type.width(type.fit(text, 120)) <= 120
    assert type.fit(text, 3) == ""
    lines = type.wrap(text, 120)
    assert " ".join(lines) == text
    assert all(type.width(line) <= 120 for line in lines)
