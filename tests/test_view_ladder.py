"""The voltage ladder: what it says, where it says it, and how one chooses a lane."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from app.look import DARK, LIGHT, LOOKS, PROJECTOR, Look
from app.views.ladder import LadderView
from app.views.ladder_layout import Drawing, Row, highest, lay_out
from app.views.ladder_pins import draw_key
from app.views.lettering import letters
from engine.sections.results import Lane, Mark, Span

LANES = (
    Lane("Battery", "bank", "battery", (Span(44, 62, "battery", "44 to 62 V"),)),
    Lane(
        "Sun charger, 160 V class",
        "controllers.a",
        "ink",
        (
            Span(68, 145, "operating", "operates to 145 V", "starts 68 V"),
            Span(145, 160, "standoff", "survives 160 V"),
        ),
    ),
    Lane(
        "South array, running",
        "arrays.south",
        "sun",
        (Span(94, 135, "running", "cold 135 V", "hot 94 V"),),
        (Mark(126, "now", "now 126 V"),),
    ),
    Lane(
        "South array, open circuit",
        "arrays.south",
        "sun",
        (Span(134, 158, "open", "record low 158 V", "77 °F 134 V · design low 156 V"),),
        (Mark(158, "record", "", "meets"),),
    ),
    Lane(
        "Array breaker",
        "circuits.south-run",
        "ink",
        marks=(Mark(150, "rating", "rated 150 V DC, one pole, 6 V too low", "fails"),),
    ),
    Lane("Combiner", "circuits.south-string", "ink", marks=(Mark(600, "rating", "rated 600 V DC", "meets"),)),
    Lane("Battery breaker", "circuits.a-battery", "ink", empty="Enter: DC voltage rating"),
)


def boxes(row: Row, look: Look) -> list[tuple[float, float]]:
    """The stretch that each label of a row takes."""
    small, bold = letters(look, look.small), letters(look, look.small, bold=True)
    return [
        (label.x, label.x + (bold if label.tone == "status" else small).width(label.text))
        for label in row.labels
    ]


def words(drawing: Drawing, lane: int) -> list[str]:
    return [label.text for label in drawing.rows[lane].labels]


@pytest.fixture
def view(qtbot: QtBot) -> LadderView:
    made = LadderView()
    qtbot.addWidget(made)
    made.resize(660, 300)
    made.show_lanes(LANES, "us")
    made.show()
    return made


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS.keys())
@pytest.mark.parametrize("width", [560, 660, 900, 1220])
def test_that_no_labels_of_a_lane_collide_or_leave_the_view(qtbot: QtBot, look: Look, width: int) -> None:
    for row in lay_out(LANES, look, width, 230).rows:
        taken = boxes(row, look)
        assert all(one[1] <= other[0] or other[1] <= one[0] for one, other in combinations(taken, 2))
        assert all(low >= 0 and high <= width for low, high in taken)


@given(st.floats(20, 400), st.floats(0, 1), st.floats(0, 1), st.floats(0, 2))
def test_that_a_lane_of_any_voltages_keeps_its_labels_apart(
    standard: float, design: float, record: float, rating: float
) -> None:
    low, middle, high = standard, standard * (1 + design / 4), standard * (1 + design / 4 + record / 4)
    lane = Lane(
        "Array, open circuit",
        "arrays.a",
        "sun",
        (
            Span(
                low,
                high,
                "open",
                f"record low {high:.4g} V",
                f"25 °C {low:.4g} V · design low {middle:.4g} V",
            ),
        ),
        (Mark(high, "record", "3 V over what it survives", "fails"), Mark(low * 0.9, "now", "now")),
    )
    other = Lane(
        "Breaker", "circuits.a", "ink", marks=(Mark(low * rating + 1, "rating", "rated, too low", "fails"),)
    )
    drawing = lay_out((lane, other), LIGHT, 640, 200)
    assert drawing.axis.high >= high
    for row in drawing.rows:
        taken = boxes(row, LIGHT)
        assert all(a[1] <= b[0] + 0.6 or b[1] <= a[0] + 0.6 for a, b in combinations(taken, 2))
        assert all(start >= 0 and end <= 640.5 for start, end in taken)


def test_that_every_label_stands_whole_at_the_width_of_a_small_screen(qtbot: QtBot) -> None:
    drawing = lay_out(LANES, LIGHT, 660, 230)
    assert words(drawing, 0) == ["44 to 62 V"]
    assert sorted(words(drawing, 1)) == ["operates to 145 V", "starts 68 V", "survives 160 V"]
    assert sorted(words(drawing, 3)) == ["77 °F 134 V · design low 156 V", "record low 158 V"]
    assert words(drawing, 6) == ["Enter: DC voltage rating"]


def test_that_what_fails_stands_apart_from_its_rating_with_mark_and_colour(qtbot: QtBot) -> None:
    labels = {label.text: label for label in lay_out(LANES, LIGHT, 660, 230).rows[4].labels}
    assert set(labels) == {"6 V too low", "rated 150 V DC, one pole"}
    assert labels["6 V too low"].tone == "status"
    assert labels["6 V too low"].icon is not None
    assert labels["rated 150 V DC, one pole"].tone == "ink"


def test_that_a_far_rating_stands_at_the_edge_and_leaves_the_axis_to_the_source(qtbot: QtBot) -> None:
    drawing = lay_out(LANES, LIGHT, 660, 230)
    assert 158 <= drawing.axis.high < 300
    assert words(drawing, 5) == ["rated 600 V DC →"]
    assert drawing.rows[5].ticks == ()


def test_that_one_axis_serves_every_lane(qtbot: QtBot) -> None:
    drawing = lay_out(LANES, LIGHT, 660, 230)
    (battery,) = drawing.rows[0].bars
    (running,) = drawing.rows[2].bars
    per_volt = (running.high - running.low) / (135 - 94)
    assert battery.high - battery.low == pytest.approx((62 - 44) * per_volt)
    assert battery.low - drawing.axis.start == pytest.approx(44 * per_volt)


def test_that_the_moving_mark_never_moves_the_axis(qtbot: QtBot) -> None:
    moved = Lane(
        "South array, running", "arrays.south", "sun", LANES[2].spans, (Mark(400, "now", "now 400 V"),)
    )
    assert highest([moved]) == highest([LANES[2]]) == 135


def test_that_many_lanes_keep_a_readable_height_and_can_be_scrolled(qtbot: QtBot) -> None:
    view = LadderView()
    qtbot.addWidget(view)
    view.resize(660, 240)
    view.show_lanes(LANES * 3, "us")
    view.show()
    assert lay_out(LANES * 3, LIGHT, 660, 180).pitch >= 1.8 * LIGHT.text
    assert view.verticalScrollBar().maximum() > 0
    for _ in range(len(LANES) * 3):
        qtbot.keyClick(view, Qt.Key.Key_Down)
    assert view.verticalScrollBar().value() == view.verticalScrollBar().maximum()


def test_that_a_clicked_lane_names_its_piece(qtbot: QtBot, view: LadderView) -> None:
    drawing = lay_out(LANES, LIGHT, view.viewport().width(), 300 - 38 - 29)
    at = QPoint(300, round(38 + drawing.rows[4].middle))
    with qtbot.waitSignal(view.piece_chosen) as caught:
        qtbot.mouseClick(view.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert caught.args == ["circuits.south-run"]


def test_that_the_keyboard_walks_the_lanes_and_enters_one(qtbot: QtBot, view: LadderView) -> None:
    view.setFocus()
    for key in (Qt.Key.Key_Down, Qt.Key.Key_Down, Qt.Key.Key_Up):
        qtbot.keyClick(view, key)
    with qtbot.waitSignal(view.piece_chosen) as caught:
        qtbot.keyClick(view, Qt.Key.Key_Return)
    assert caught.args == ["controllers.a"]


def test_that_a_reader_of_the_screen_hears_every_number_and_what_is_missing(view: LadderView) -> None:
    told = view.accessibleDescription()
    for part in ("Battery", "44 V to 62 V", "(fails)", "600 V", "Enter: DC voltage rating"):
        assert part in told


def test_that_an_empty_ladder_says_what_to_do_next(qtbot: QtBot) -> None:
    view = LadderView()
    qtbot.addWidget(view)
    view.show_lanes((), "metric")
    assert "Add a source" in view.accessibleDescription()
    qtbot.keyClick(view, Qt.Key.Key_Return)  # nothing to enter, nothing breaks


def test_that_unchanged_lanes_draw_nothing_anew(view: LadderView) -> None:
    before = view._drawing
    view.show_lanes(list(LANES), "us")
    assert view._drawing is before


@pytest.mark.parametrize(
    ("look", "colour"), [(LIGHT, LIGHT.fails), (DARK, DARK.fails), (PROJECTOR, PROJECTOR.fails)]
)
def test_that_only_a_failing_lane_shows_the_failing_colour(
    qtbot: QtBot, view: LadderView, look: Look, colour: str
) -> None:
    view.set_look(look)

    def reds() -> int:
        image = view.viewport().grab().toImage()
        return sum(
            image.pixelColor(x, y).name().upper() == colour
            for x in range(image.width())
            for y in range(0, image.height(), 3)
        )

    assert reds() > 5
    sound = Mark(150, "rating", "rated 150 V DC, one pole", "meets")
    view.show_lanes([Lane("Array breaker", "circuits.south-run", "ink", marks=(sound,))], "us")
    assert reds() == 0


def test_that_the_key_names_the_pointers_that_stand_on_the_lanes_and_no_others() -> None:
    plain = Lane(
        "South array, running", "arrays.south", "sun", LANES[2].spans, (Mark(126, "now", "now 126 V"),)
    )
    held = Lane(
        "South array, open circuit", "arrays.south", "sun", (), (Mark(140, "held"), Mark(150, "would"))
    )
    image = QImage(700, 40, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    begins = [draw_key(painter, lanes, 20, 690, LIGHT) for lanes in ((), (plain,), (plain, held))]
    painter.end()
    assert begins[0] == 690 > begins[1] > begins[2] > 400
