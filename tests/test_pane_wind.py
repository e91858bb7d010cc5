"""The pane of a wind turbine in the real window: its pictures answer to the wind, its forms to the hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QLabel, QWidget
from pytestqt.qtbot import QtBot

from app.dialogs.refine_curve import RefineCurve
from app.look import LOOKS
from app.panes.wind import WindPane
from app.views.load_curve_view import LoadCurveView
from app.views.turbine import Curve, Dot, Plot, TurbineView, Upright
from app.window import Window
from engine.edit import FieldError
from engine.sections.harvest import harvest
from engine.sections.wind import WINDS
from tests.a_turbine_log import logged, other_rotor
from tests.a_window import copy_of, over


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Window:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path / "state"))
    made = over(qtbot, copy_of("lake_cabin", tmp_path)).window
    made.choose("wind.mast")
    return made


def plots(pane: WindPane) -> tuple[Plot, Plot]:
    return pane._winds._plot, pane._volts._plot


def cells(window: Window) -> set[str]:
    return {name for name, cell in window.strip._cells.items() if cell.isVisibleTo(window.strip)}


def image(widget: QWidget) -> QImage:
    picture = QImage(widget.size(), QImage.Format.Format_RGB32)
    widget.render(picture)
    return picture


def test_that_a_turbine_on_the_line_or_its_controller_opens_its_pane_with_the_wind_slider(
    window: Window,
) -> None:
    assert isinstance(window.shown, WindPane)
    assert cells(window) == {"wind", "battery"}
    window.choose("controllers.wind-charger")
    assert isinstance(window.shown, WindPane)
    window.choose("arrays.south")
    assert cells(window) == {"cell", "irradiance", "battery"}


def test_that_the_wind_slider_moves_the_points_and_the_curve(window: Window) -> None:
    before = plots(window.shown)
    window.strip.moved.emit("wind", 9.0)
    after = plots(window.shown)
    assert after[0].dots[-2].x == 9.0
    assert after[1].dots[-1].y > before[1].dots[-1].y
    assert after[0].high == before[0].high  # the scale stands still
    assert after[1].told


def test_that_held_curves_stay_as_a_ghost(window: Window) -> None:
    window.strip.hold_toggled.emit(True)
    window.strip.moved.emit("wind", 10.0)
    drawn = plots(window.shown)[1].curves
    names = [curve.name for curve in drawn]
    assert "held" in names
    assert not any(curve.filled for curve in drawn[names.index("held") :])  # nothing is painted over it
    window.strip.hold_toggled.emit(False)
    assert "held" not in [curve.name for curve in plots(window.shown)[1].curves]


def test_that_the_load_curve_is_drawn_and_changes_with_the_turbine(window: Window) -> None:
    def load_curve() -> Curve:
        return next(curve for curve in plots(window.shown)[1].curves if curve.name == "load curve")

    before = load_curve()
    assert before.x.size == 12
    window.session.edit("wind.mast.resistance", "0.8 ohm")
    window.session.settle()
    assert load_curve().y[-1] < before.y[-1]


def test_that_a_missing_datum_is_asked_for_in_the_plots(window: Window) -> None:
    window.session.edit("wind.mast.diameter", "")
    window.session.settle()
    assert [plot.empty for plot in plots(window.shown)] == ["Enter: Rotor diameter."] * 2
    assert window.go_to("wind.mast.diameter")


def test_that_a_second_turbine_is_chosen_from_the_list(window: Window) -> None:
    window.session.add("wind", "Turbine on the hill")
    window.session.settle()
    pane = window.shown
    assert isinstance(pane, WindPane)
    pane._list.activated.emit(1)
    assert window.session.selected == "wind.turbine-on-the-hill"
    assert pane._title.text() == "Turbine on the hill"


@pytest.mark.parametrize("look", LOOKS)
def test_that_every_look_draws_the_pane(window: Window, look: str) -> None:
    before = image(window)
    window.set_look(look)
    window.strip.moved.emit("wind", 12.0)
    assert image(window) != before


@pytest.mark.parametrize("habit", ["metric", "us"])
def test_that_a_point_stands_where_the_axes_say(qtbot: QtBot, habit: str) -> None:
    view = TurbineView()
    qtbot.addWidget(view)
    view.resize(400, 240)
    curve = Curve("power", WINDS, WINDS**3)
    plot = Plot(
        "Power", "", ("m/s", "W", "rpm"), (25, 900, 500), (curve,), (Dot(10, 450, "here"),), habit=habit
    )
    view.show_plot(plot)
    box = view.box()
    left, right = view.at(0, 0), view.at(25, 900)
    assert left.x() == pytest.approx(box.left())
    assert left.y() == pytest.approx(box.bottom())
    assert box.left() < right.x() <= box.right()
    assert box.top() <= right.y() < box.bottom()
    middle = view.at(12.5, 450)
    assert middle.x() == pytest.approx((left.x() + right.x()) / 2)
    assert middle.y() == pytest.approx((left.y() + right.y()) / 2)
    assert view.at(0, 250, right=True).y() > view.at(0, 500, right=True).y() >= box.top() - 1


def test_that_the_values_under_the_pointer_are_told_and_leave_with_it(qtbot: QtBot) -> None:
    view = TurbineView()
    qtbot.addWidget(view)
    view.resize(400, 240)
    uprights = (Upright(5, "mean"), Upright(12, "furls"))
    view.show_plot(
        Plot("Power", "", high=(25, 900, 1), curves=(Curve("power", WINDS, WINDS),), uprights=uprights)
    )
    view.show()
    plain = image(view)
    qtbot.mouseMove(view, QPoint(200, 120))
    qtbot.waitUntil(lambda: image(view) != plain)
    view.leaveEvent(None)
    assert image(view) == plain


def test_that_the_pane_is_described_in_words(window: Window) -> None:
    winds, volts = window.shown._winds, window.shown._volts
    assert winds.accessibleName() == "Power over wind"
    assert "W" in volts.accessibleDescription()
    assert window.shown._list.accessibleName() == "Wind turbine"
    assert window.shown.focusPolicy() == Qt.FocusPolicy.NoFocus


def loss_told(pane: WindPane) -> str:
    """The sentence that says what the load curve gives up."""
    return next(label.text() for label in pane.findChildren(QLabel) if "gives up" in label.text())


def drag(qtbot: QtBot, view: LoadCurveView, point: int, by: QPoint) -> None:
    """Drag a point of the load curve by pixels, in three steps."""
    start = view.at(*view._plot.handles[point]).toPoint()
    qtbot.mousePress(view, Qt.MouseButton.LeftButton, pos=start)
    for share in (1, 2, 3):
        qtbot.mouseMove(view, start + by * share / 3)
    qtbot.mouseRelease(view, Qt.MouseButton.LeftButton, pos=start + by)


def test_that_a_point_of_the_load_curve_is_dragged_as_one_step_to_undo(qtbot: QtBot, window: Window) -> None:
    pane, session = window.shown, window.session
    before = pane._volts._plot.handles
    told = pane.note.text()
    drag(qtbot, pane._volts, 6, QPoint(6, -20))
    entered = session.design.wind[0].load_points
    assert entered is not None
    assert len(entered) == len(before)
    assert float(entered[6][1]) > before[6][1]
    assert float(entered[3][1]) == pytest.approx(before[3][1], abs=0.06)
    assert "load curve entered" in [curve.name for curve in pane._volts._plot.curves]
    assert pane.note.text() != told
    assert session.undo_stack.count() == 1
    session.undo_stack.undo()
    assert session.design.wind[0].load_points is None
    session.settle()
    drag(qtbot, pane._volts, 6, QPoint(6, -20))
    drag(qtbot, pane._volts, 6, QPoint(0, 9))
    assert session.undo_stack.count() == 2


def test_that_a_press_beside_the_points_drags_nothing(qtbot: QtBot, window: Window) -> None:
    view = window.shown._volts
    qtbot.mousePress(view, Qt.MouseButton.LeftButton, pos=view.box().bottomRight().toPoint())
    qtbot.mouseMove(view, QPoint(40, 60))
    assert window.session.design.wind[0].load_points is None


def test_that_the_computed_curve_is_entered_and_taken_again_by_a_button(window: Window) -> None:
    pane, session = window.shown, window.session
    assert pane._bar.enter.isVisible()
    assert not pane._bar.compute.isVisible()
    pane._bar.enter.click()
    session.settle()
    entered = session.design.wind[0].load_points
    assert entered is not None
    assert len(entered) == 12
    assert not pane._bar.enter.isVisible()
    pane._bar.compute.click()
    session.settle()
    assert session.design.wind[0].load_points is None
    assert window.go_to("wind.mast.load_points")  # the points as a table, for the keyboard


def test_that_a_load_curve_that_falls_is_refused_at_its_field(window: Window) -> None:
    with pytest.raises(FieldError, match="no less power"):
        window.session.edit("wind.mast.load_points", "25 V: 100 W; 30 V: 50 W")


def test_that_a_log_is_shown_point_by_point_and_entered_as_one_step(
    window: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pane, session = window.shown, window.session
    result = session.evaluation.wind["mast"]
    assert result.machine is not None
    log = logged(other_rotor(result.machine, 1.15, 0.95), harvest(result).curve, 2)
    rows = zip(log.wind, log.voltage, log.current, strict=True)
    text = "wind [m/s], voltage [V], current [A]\n" + "".join(
        f"{w:.3f},{v:.2f},{a:.3f}\n" for w, v, a in rows
    )
    (tmp_path / "log.csv").write_text(text)
    shown: list[RefineCurve] = []

    def accept(dialog: RefineCurve) -> int:
        shown.append(dialog)
        return 1

    monkeypatch.setattr(RefineCurve, "exec", accept)
    pane.read_log(tmp_path / "log.csv")
    (dialog,) = shown
    assert dialog.table.rowCount() == 12
    assert dialog.take.isEnabled()
    assert "Log again" in dialog.said.text()
    assert session.undo_stack.count() == 1
    entered = session.design.wind[0].load_points
    assert entered is not None
    assert float(entered[6][1]) == pytest.approx(float(dialog.table.item(6, 3).text()), abs=0.06)
    told: list[str] = []
    pane.said.connect(told.append)
    pane.read_log(tmp_path / "none.csv")
    assert "no such file" in told[0]
