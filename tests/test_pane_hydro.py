"""The pane of a hydro turbine in the real window: its pictures answer to the water, its forms to the hand."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QLabel, QWidget
from pytestqt.qtbot import QtBot

from app.look import LOOKS
from app.panes.hydro import HydroPane
from app.places import demo_sites
from app.session import Session
from app.views.turbine import Plot
from app.views.water import WaterView
from app.window import Window
from engine import load


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Window:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path))
    session = Session(load(demo_sites() / "mountain_farm.toml"))
    made = Window(session)
    qtbot.addWidget(made, before_close_func=lambda _window: session.undo_stack.setClean())
    made.resize(1366, 768)
    made.show()
    made.choose("hydro.creek")
    return made


def plot(window: Window) -> Plot:
    return window.shown._volts._plot  # type: ignore[no-any-return]


def water(window: Window) -> WaterView:
    found = window.shown.findChild(WaterView)
    assert isinstance(found, WaterView)
    return found


def cells(window: Window) -> set[str]:
    return {name for name, cell in window.strip._cells.items() if cell.isVisibleTo(window.strip)}


def image(widget: QWidget) -> QImage:
    picture = QImage(widget.size(), QImage.Format.Format_RGB32)
    widget.render(picture)
    return picture


def test_that_a_turbine_on_the_line_or_its_controller_opens_its_pane_with_the_flow_slider(
    window: Window,
) -> None:
    assert isinstance(window.shown, HydroPane)
    assert cells(window) == {"flow", "battery"}
    window.choose("controllers.creek-charger")
    assert isinstance(window.shown, HydroPane)
    window.choose("arrays.pasture")
    assert cells(window) == {"cell", "irradiance", "battery"}


def test_that_one_looks_first_at_the_full_flow_and_the_slider_reaches_beyond_it(window: Window) -> None:
    turbine = window.session.design.hydro[0]
    assert window.session.conditions.flow == turbine.flow
    low, high = window.strip._cells["flow"]._range
    assert low == 0.0 and high > turbine.flow


def test_that_the_flow_slider_moves_curve_point_and_head(window: Window) -> None:
    before, head = plot(window), water(window).accessibleDescription()
    window.session.look(flow=0.0015)
    after = plot(window)
    assert after.dots[0].y < before.dots[0].y
    assert after.curves[0].y.max() < before.curves[0].y.max()
    assert water(window).accessibleDescription() != head
    assert after.high == before.high  # the scales stand still


def test_that_a_held_flow_stays_as_a_ghost(window: Window) -> None:
    window.session.hold(True)
    window.session.look(flow=0.001)
    names = [curve.name for curve in plot(window).curves]
    assert names.index("held") > names.index("power")  # over what that one fills


def test_that_without_water_there_is_no_curve_and_the_view_says_so(window: Window) -> None:
    window.session.look(flow=0.0)
    assert not plot(window).curves
    assert "no water" in plot(window).caption


def test_that_an_edit_moves_the_ladder_the_plot_and_the_months(window: Window) -> None:
    months = water(window).accessibleDescription()
    before = plot(window).dots[0].y
    window.session.edit("hydro.creek.gross_head", "40 m")
    window.session.settle()
    assert plot(window).dots[0].y < before
    assert water(window).accessibleDescription() != months
    window.session.undo_stack.undo()
    window.session.settle()
    assert plot(window).dots[0].y == pytest.approx(before)


def test_that_missing_data_are_asked_for_in_the_picture(window: Window) -> None:
    window.session.edit("hydro.creek.efficiency", "")
    window.session.settle()
    assert "Wheel and drive efficiency" in plot(window).empty
    image(window.shown)


def test_that_what_tracking_gains_and_what_runs_free_is_told(window: Window) -> None:
    told = " ".join(label.text() for label in window.shown.findChildren(QLabel))
    assert "Tracking gives 2.4" in told and "Without load it runs at" in told


@pytest.mark.parametrize("look", list(LOOKS))
@pytest.mark.parametrize("size", [(220, 170), (300, 230), (700, 400)])
def test_that_the_view_of_the_water_is_drawn_in_every_look_and_size(
    window: Window, look: str, size: tuple[int, int]
) -> None:
    view = water(window)
    view.set_look(LOOKS[look])
    view.resize(*size)
    picture = image(view)
    assert len({picture.pixel(x, 3 * LOOKS[look].text) for x in range(0, size[0], 3)}) > 1


def test_that_the_view_of_the_water_can_be_read_aloud(window: Window) -> None:
    said = water(window).accessibleDescription()
    assert "left" in said and "pipe" in said and said.count("W") >= 12


def test_that_the_pipe_and_its_money_are_a_face_away(window: Window) -> None:
    pane = window.shown
    assert not pane._pipe.isVisible()
    pane._faces.button("pipe").click()
    assert pane._pipe.isVisible()
    assert "a kWh" in pane.note.text()
    before = pane.note.text()
    window.session.edit("prices.generator_kwh", "0.02")
    window.session.settle()
    assert pane.note.text() != before
    assert window.go_to("prices.pipe_metre")
