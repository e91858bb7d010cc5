"""The curves of a source: on the ladder's axis, with its point, its limits, its state and a lasting zoom."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QWheelEvent
from pytestqt.qtbot import QtBot

from app.look import LIGHT, LOOKS
from app.views.axis import Axis
from app.views.curves import STATES, CurvesView
from app.views.curves_layout import free_box, line, reading, scales
from app.views.curves_paint import point_text
from app.views.ladder import LadderView
from app.views.lettering import Letters, line_colour
from engine.sections.results import ArrayLook, Lane, Span

VOLTS = np.linspace(0, 134, 200)


def source(amps: float = 20.0, state: str = "tracking", array: str = "south") -> ArrayLook:
    """A curve with a knee, and a point on it."""
    current = amps * (1 - np.expm1(VOLTS / 8) / np.expm1(134 / 8))
    power = VOLTS * current
    best = int(np.argmax(power))
    voltage, held = float(VOLTS[best]), float(current[best])
    best_point = (voltage, held, voltage * held)
    return ArrayLook(
        array, VOLTS, current, power, 134.0, *best_point, *best_point, 40.0, state, "at maximum power"
    )


@pytest.fixture
def view(qtbot: QtBot) -> CurvesView:
    made = CurvesView()
    qtbot.addWidget(made)
    made.resize(660, 240)
    made.show_look(source(), None, 145.0, 68.0, "us", "-4 °F cell · 870 W/m²")
    made.show()
    return made


def roll(view: CurvesView, at: QPointF, steps: int) -> None:
    none = Qt.MouseButton.NoButton
    turn = QPoint(0, 120 * steps)
    event = QWheelEvent(
        at, at, QPoint(), turn, none, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False
    )
    view.wheelEvent(event)


def test_that_the_curves_stand_on_the_axis_of_the_ladder(qtbot: QtBot, view: CurvesView) -> None:
    ladder = LadderView()
    qtbot.addWidget(ladder)
    ladder.resize(660, 200)
    ladder.axis_moved.connect(view.set_axis)
    with qtbot.waitSignal(ladder.axis_moved) as caught:
        ladder.show_lanes([Lane("Battery", "bank", "battery", (Span(44, 262, "battery"),))], "us")
    volts, left, right = caught.args
    assert view.view == (0.0, volts)
    assert (view._box().left(), view._box().right()) == pytest.approx((left, right))


def test_that_the_point_stands_on_the_curve_at_its_own_voltage(qtbot: QtBot, view: CurvesView) -> None:
    look = source()
    to = scales(view.view, *view._seen[1:], view._box())
    at = to.current_at(look.voltage, look.current)
    image = view.grab().toImage()
    assert image.pixelColor(at.toPoint()) == QColor(LIGHT.ink)
    near = to.current_at(30.0, reading(look.volts, look.amps, 30.0)).toPoint()
    column = [image.pixelColor(near.x(), near.y() + shift).name().upper() for shift in (-1, 0, 1)]
    assert line_colour(LIGHT, "sun").name().upper() in column


def test_that_the_point_is_told_in_three_figures(view: CurvesView) -> None:
    look = replace(source(), voltage=126.04, current=18.43, power=2323.0)
    assert point_text(look, "us") == "126 V · 18.4 A · 2.32 kW"


@pytest.mark.parametrize("state", STATES)
def test_that_every_state_of_the_engine_has_plain_words(qtbot: QtBot, view: CurvesView, state: str) -> None:
    view.show_look(source(state=state), None, 145.0, 68.0, "metric", "")
    view.grab()
    assert view.accessibleDescription().startswith(STATES[state])


def test_that_a_source_without_a_curve_says_what_to_enter(qtbot: QtBot, view: CurvesView) -> None:
    none = np.zeros(0)
    lacking = ArrayLook("south", none, none, none, *(0.0,) * 8, state="no curve", why="enter strings")
    view.show_look(lacking, None, None, None, "metric", "")
    view.grab()
    assert view.accessibleDescription() == "No curve, enter strings"
    view.show_look(None, None, None, None, "metric", "")
    view.grab()
    assert "add an array" in view.accessibleDescription()


def test_that_a_dark_curve_and_a_limit_off_the_axis_are_drawn_without_complaint(view: CurvesView) -> None:
    dark = replace(
        source(), amps=0 * VOLTS, watts=0 * VOLTS, current=0.0, power=0.0, best_power=0.0, state="dark"
    )
    view.show_look(dark, source(), 1000.0, 900.0, "metric", "")
    view.grab()


def test_that_a_zoom_outlives_updates_and_a_double_click_ends_it(qtbot: QtBot, view: CurvesView) -> None:
    whole = view.view
    at = view._box().center()
    held = view.view[0] + (view.view[1] - view.view[0]) / 2
    roll(view, at, 3)
    near = view.view
    assert near[1] - near[0] == pytest.approx((whole[1] - whole[0]) * 0.8**3)
    assert sum(near) / 2 == pytest.approx(held)
    view.show_look(source(12.0), None, 145.0, 68.0, "us", "")
    assert view.view == near
    qtbot.mouseDClick(view, Qt.MouseButton.LeftButton, pos=at.toPoint())
    assert view.view == whole


def test_that_zooming_out_and_dragging_never_leave_the_axis(qtbot: QtBot, view: CurvesView) -> None:
    whole = view.view
    at = view._box().center()
    roll(view, at, 4)
    qtbot.mousePress(view, Qt.MouseButton.LeftButton, pos=at.toPoint())
    qtbot.mouseMove(view, at.toPoint())
    for _ in range(30):
        qtbot.keyClick(view, Qt.Key.Key_Left)
    assert view.view[0] == pytest.approx(0.0)
    for _ in range(60):
        qtbot.keyClick(view, Qt.Key.Key_Right)
    assert view.view[1] == pytest.approx(whole[1])
    for _ in range(20):
        qtbot.keyClick(view, Qt.Key.Key_Minus)
    assert view.view == whole


def test_that_the_scale_stands_still_while_the_sun_fades_and_starts_anew_with_another_source(
    view: CurvesView,
) -> None:
    bright = view._seen[1:]
    view.show_look(source(2.0), None, 145.0, 68.0, "us", "")
    assert view._seen[1:] == bright
    view.show_look(source(2.0, array="north"), None, 145.0, 68.0, "us", "")
    assert view._seen[1] == pytest.approx(2.0)
    view.show_look(source(2.0), None, 145.0, 68.0, "us", "", full=(25.0, 3000.0))
    assert view._seen[1:] == (25.0, 3000.0)


@given(
    st.lists(st.tuples(st.floats(0, 300), st.floats(0, 200)), min_size=2, max_size=30),
    st.tuples(st.floats(0, 300), st.floats(0, 200), st.floats(5, 120), st.floats(5, 30)),
)
def test_that_a_crossed_box_is_seen_wherever_the_curve_runs(
    points: list[tuple[float, float]], corner: tuple[float, float, float, float]
) -> None:
    xs, ys = np.array(sorted({x for x, _ in points})), np.array([y for _, y in points])
    ys = ys[: xs.size]
    drawn = line(xs, ys, Axis(0, 300, 50, 0, 300), Axis(0, 200, 50, 0, 200))
    box = QRectF(*corner)
    fine = np.linspace(box.left(), box.right(), 400)
    fine = fine[(fine >= drawn.x[0]) & (fine <= drawn.x[-1])]
    heights = np.interp(fine, drawn.x, drawn.y)
    if np.any((heights > box.top() + 1e-6) & (heights < box.bottom() - 1e-6)):
        assert drawn.crosses(box)


def test_that_a_drawn_curve_has_few_points_and_keeps_its_shape() -> None:
    look = source()
    across, up = Axis(0, 150, 25, 100, 500), Axis(0, 25, 5, 200, 20)
    drawn = line(look.volts, look.amps, across, up)
    assert len(drawn.x) < look.volts.size
    exact = np.interp(drawn.x, across.start + look.volts * 400 / 150, up.start - look.amps * 180 / 25)
    assert np.abs(exact - drawn.y).max() < 0.01
    missed = np.interp(across.start + look.volts * 400 / 150, drawn.x, drawn.y) - (200 - look.amps * 180 / 25)
    assert np.abs(missed).max() < 1.0  # a pixel


@given(st.floats(0, 400), st.floats(0, 200), st.floats(10, 160))
def test_that_a_label_by_a_point_stays_in_the_plot_and_off_other_labels(
    x: float, y: float, wide: float
) -> None:
    plot, other = QRectF(0, 0, 400, 200), QRectF(150, 60, 120, 40)
    found = free_box(QPointF(x, y), (wide, 14), plot, [other], [])
    assert found is None or (plot.contains(found[1]) and not found[1].intersects(other))


def test_that_the_held_curve_and_the_current_limit_change_the_picture(view: CurvesView) -> None:
    pictures = [view.grab().toImage()]
    view.show_look(source(), source(14.0), 145.0, 68.0, "us", "-4 °F cell · 870 W/m²")
    pictures.append(view.grab().toImage())
    view.show_look(source(state="current limit"), None, 145.0, 68.0, "us", "-4 °F cell · 870 W/m²")
    pictures.append(view.grab().toImage())
    assert pictures[0] != pictures[1] != pictures[2] != pictures[0]


Drawn = list[tuple[str, QRectF]]


@pytest.fixture
def drawn(monkeypatch: pytest.MonkeyPatch) -> Drawn:
    """Every text that is drawn, with the box that its letters fill."""
    held: Drawn = []
    draw = Letters.draw

    def note(type: Letters, painter: QPainter, x: float, middle: float, text: str, colour: str) -> None:
        held.append((text, QRectF(x, middle - 0.4 * type.height, type.width(text), 0.8 * type.height)))
        draw(type, painter, x, middle, text, colour)

    monkeypatch.setattr(Letters, "draw", note)
    return held


@pytest.mark.parametrize("look", ["light", "dark", "projector"])
@pytest.mark.parametrize("limit", [100.0, 118.0, 130.0, 145.0])
@pytest.mark.parametrize("wide", [540, 660, 900])
def test_that_no_label_touches_another(
    view: CurvesView, drawn: Drawn, look: str, limit: float, wide: int
) -> None:
    view.set_look(LOOKS[look])
    view.show_look(source(), None, limit, 68.0, "us", "-4 °F cell · 870 W/m²", full=(20.0, 2400.0))
    view.resize(wide, 192 if look == "projector" else 216)
    view.grab()
    drawn.clear()
    view.grab()
    assert len(drawn) > 8
    for at, (text, box) in enumerate(drawn):
        for other, beside in drawn[:at]:
            assert not box.intersects(beside), f"{text} on {other}"


@pytest.mark.parametrize("look", ["light", "dark", "projector"])
def test_that_point_and_limits_are_told_in_the_least_room(view: CurvesView, drawn: Drawn, look: str) -> None:
    view.set_look(LOOKS[look])
    view.resize(536, 12 * LOOKS[look].text)
    view.grab()
    drawn.clear()
    view.grab()
    told = [text for text, _ in drawn]
    watts = point_text(source(), "us").rpartition(" · ")[2]
    assert any(text.endswith(watts) for text in told)
    assert any(text.endswith("145 V") for text in told) and any(text.endswith("68 V") for text in told)
