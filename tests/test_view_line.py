"""The line: every piece once, none over another, and each can be chosen by mouse and by keyboard."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QPoint, Qt
from pytestqt.qtbot import QtBot

from app.look import DARK, LIGHT, PROJECTOR, Look
from app.views.line import ADDABLE, LineView
from app.views.line_canvas import FIRST, LOOSE
from app.views.line_layout import SOURCES, Plan, plan
from engine.design import (
    Array,
    Bank,
    Controller,
    Design,
    Diversion,
    Generator,
    HydroTurbine,
    Inverter,
    Load,
    WindTurbine,
)
from engine.finding import Status

CABIN = Design(
    bank=Bank(label="Bank"),
    arrays=(
        Array(id="south", label="South array", controller="sun"),
        Array(id="east", label="East array", controller="sun"),
    ),
    wind=(WindTurbine(id="mast", label="Turbine on the point", controller="gale"),),
    controllers=(
        Controller(id="gale", label="Wind charger"),
        Controller(id="sun", label="Sun charger"),
        Controller(id="surplus", label="Surplus switch", kind="diversion"),
    ),
    inverters=(Inverter(id="house", label="House inverter"),),
    generators=(Generator(id="shed", label="Generator"),),
    diversions=(Diversion(id="heater", label="Air heater", controller="surplus"),),
    loads=(Load(id="lights"), Load(id="pump")),
)
BADGES = {"arrays.south": (126.0, 18.4), "arrays.east": (126.0, 0.0), "controllers.sun": (52.0, 40.1)}
STATUSES = {"arrays.south": Status.FAILS, "controllers.sun": Status.MARGINAL}


def system(arrays: list[int], wind: list[int], hydro: list[int], controllers: int, others: int) -> Design:
    """A design of many pieces; a source's number picks its controller, beyond the last none."""
    name = [f"c{n}" for n in range(controllers)]

    def at(pick: int) -> str | None:
        return name[pick] if pick < controllers else None

    return Design(
        arrays=tuple(Array(id=f"a{n}", controller=at(pick)) for n, pick in enumerate(arrays)),
        wind=tuple(WindTurbine(id=f"w{n}", controller=at(pick)) for n, pick in enumerate(wind)),
        hydro=tuple(HydroTurbine(id=f"h{n}", controller=at(pick)) for n, pick in enumerate(hydro)),
        controllers=tuple(
            Controller(id=id, kind="diversion" if n % 3 == 2 else None) for n, id in enumerate(name)
        ),
        inverters=tuple(Inverter(id=f"i{n}") for n in range(others)),
        generators=tuple(Generator(id=f"g{n}") for n in range(others // 2)),
        diversions=tuple(Diversion(id=f"d{n}", controller=at(n)) for n in range(others)),
        loads=(Load(id="lamp"),) if others % 2 else (),
    )


picks = st.lists(st.integers(0, 5), max_size=6)
systems = st.builds(system, picks, picks, picks, st.integers(0, 5), st.integers(0, 3))


@given(systems)
def test_that_every_piece_stands_once_in_a_row_of_its_own(design: Design) -> None:
    made: Plan = plan(design, "metric")
    tables = (*SOURCES, "controllers", "inverters", "generators", "diversions")
    wanted = {f"{table}.{item.id}" for table in tables for item in getattr(design, table)} | {"bank"}
    wanted |= {"loads"} if design.loads else set()
    assert sorted(piece.path for piece in made.pieces) == sorted(wanted)
    for one, other in combinations(made.pieces, 2):
        assert one.column != other.column or abs(one.row - other.row) >= 1 - 1e-9
    assert all(0.5 <= piece.row <= made.rows - 0.5 for piece in made.pieces)


@given(systems)
def test_that_wires_run_from_each_source_through_its_controller_to_the_bank(design: Design) -> None:
    made = plan(design, "metric")
    joins = {(wire.start.path, wire.end.path) for wire in made.wires}
    known = {item.id for item in design.controllers}
    for table in SOURCES:
        for item in getattr(design, table):
            path = f"{table}.{item.id}"
            if item.controller in known:
                assert (path, f"controllers.{item.controller}") in joins
                assert (f"controllers.{item.controller}", "bank") in joins
            else:
                assert path in {piece.path for piece in made.loose}
                assert path not in {start for start, _ in joins}


@given(systems)
def test_that_sources_of_one_controller_stand_together_so_that_no_wires_cross(design: Design) -> None:
    made = plan(design, "metric")
    sources = sorted((piece for piece in made.pieces if piece.column == 0), key=lambda piece: piece.row)
    ends = {wire.start.path: wire.end.row for wire in made.wires}
    rows = [ends.get(piece.path, float(made.rows)) for piece in sources]
    assert rows == sorted(rows)


@pytest.fixture
def view(qtbot: QtBot) -> LineView:
    made = LineView()
    qtbot.addWidget(made)
    made.set_places((("site", "Site"), ("sources", "Sources")))
    made.show_system(CABIN, STATUSES, BADGES, "metric", "")
    made.resize(1320, made.sizeHint().height())
    made.show()
    return made


def middle(view: LineView, path: str) -> QPoint:
    return view._canvas.box(path).center().toPoint()


@pytest.mark.parametrize("look", [LIGHT, DARK, PROJECTOR], ids=lambda look: look.name)
@pytest.mark.parametrize("width", [1320, 1880])
def test_that_boxes_of_six_sources_lie_in_the_line_and_apart(qtbot: QtBot, look: Look, width: int) -> None:
    design = system([0, 0, 1], [1], [2, 9], 3, 2)
    view = LineView()
    qtbot.addWidget(view)
    view.set_look(look)
    view.show_system(design, {}, {}, "metric", "")
    view.resize(width, view.sizeHint().height())
    view.show()
    canvas = view._canvas
    boxes = [canvas.box(piece.path) for piece in plan(design, "metric").pieces]
    assert not any(one.intersects(other) for one, other in combinations(boxes, 2))
    inside = canvas.viewport().rect()
    assert all(inside.contains(box.toAlignedRect()) for box in boxes)
    assert canvas.verticalScrollBar().maximum() == 0


def test_that_a_click_on_each_piece_chooses_it(qtbot: QtBot, view: LineView) -> None:
    for piece in plan(CABIN, "metric").pieces:
        with qtbot.waitSignal(view.piece_chosen) as caught:
            qtbot.mouseClick(view._canvas.viewport(), Qt.MouseButton.LeftButton, pos=middle(view, piece.path))
        assert caught.args == [piece.path]


def test_that_arrows_walk_along_the_wires_and_up_and_down(qtbot: QtBot, view: LineView) -> None:
    seen: list[str] = []

    def choose(path: str) -> None:
        seen.append(path)
        view.show_system(CABIN, STATUSES, BADGES, "metric", path)

    view.piece_chosen.connect(choose)
    choose("wind.mast")
    for key in (Qt.Key.Key_Right, Qt.Key.Key_Right, Qt.Key.Key_Left, Qt.Key.Key_Down, Qt.Key.Key_Left):
        qtbot.keyClick(view._canvas, key)
    assert seen[1] == "controllers.gale"
    assert seen[2] == "bank"
    assert seen[3].startswith("controllers.")
    assert seen[4] == "controllers.sun"
    assert seen[5].startswith("arrays.")
    qtbot.keyClick(view._canvas, Qt.Key.Key_Return)
    assert seen[-1] == seen[5]


def test_that_a_reader_of_the_screen_hears_the_selected_piece_with_its_status(view: LineView) -> None:
    view.show_system(CABIN, STATUSES, BADGES, "metric", "arrays.south")
    told = view._canvas.accessibleDescription()
    assert told.startswith("South array")
    assert "126 V · 18.4 A" in told
    assert told.endswith("fails")


def test_that_a_source_without_a_controller_says_so(qtbot: QtBot, view: LineView) -> None:
    lone = Design(arrays=(Array(id="south", label="South array"),))
    view.show_system(lone, {}, {}, "metric", "arrays.south")
    assert LOOSE in view._canvas.accessibleDescription()
    assert [piece.path for piece in plan(lone, "metric").loose] == ["arrays.south"]


def test_that_an_empty_site_offers_its_first_array_on_the_line(qtbot: QtBot, view: LineView) -> None:
    view.show_system(Design(), {}, {}, "metric", "")
    assert FIRST.startswith("+")
    with qtbot.waitSignal(view.add_asked) as caught:
        qtbot.mouseClick(view._canvas.viewport(), Qt.MouseButton.LeftButton, pos=middle(view, ""))
    assert caught.args == ["arrays"]


def test_that_every_kind_can_be_added_from_the_menu(qtbot: QtBot, view: LineView) -> None:
    asked: list[str] = []
    view.add_asked.connect(asked.append)
    for action in view._menu.actions():
        action.trigger()
    assert asked == [table for table, _ in ADDABLE]
    assert {"arrays", "wind", "hydro", "inverters", "generators", "diversions", "loads"} <= set(asked)


def test_that_places_are_asked_for_by_a_click_and_shown_as_open(qtbot: QtBot, view: LineView) -> None:
    with qtbot.waitSignal(view.place_chosen) as caught:
        qtbot.mouseClick(view._places["site"], Qt.MouseButton.LeftButton)
    assert caught.args == ["site"]
    view.set_place("sources")
    assert view._places["sources"].isChecked() and not view._places["site"].isChecked()


def test_that_many_sources_scroll_while_the_bank_stays_in_sight(qtbot: QtBot, view: LineView) -> None:
    design = system([0] * 12, [1] * 6, [], 2, 1)
    view.show_system(design, {}, {}, "metric", "")
    view.resize(1320, view.sizeHint().height())
    canvas = view._canvas
    assert canvas.verticalScrollBar().maximum() > 0
    assert view.sizeHint().height() < 220
    for value in (0, canvas.verticalScrollBar().maximum()):
        canvas.verticalScrollBar().setValue(value)
        assert canvas.viewport().rect().contains(canvas.box("bank").toAlignedRect())
    view.show_system(design, {}, {}, "metric", "arrays.a0")
    qtbot.keyClick(canvas, Qt.Key.Key_Return)
    assert canvas.verticalScrollBar().value() < canvas.box("arrays.a0").height()


def test_that_moving_conditions_lay_nothing_out_anew(view: LineView) -> None:
    before = view._canvas._plan
    view.show_system(CABIN, STATUSES, {"arrays.south": (120.0, 17.0)}, "metric", "")
    assert view._canvas._plan is before
