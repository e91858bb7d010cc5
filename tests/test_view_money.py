"""The pictures of money and metal: what they say, that every number has its place, that points are true."""

from __future__ import annotations

import dataclasses

import pytest
from PySide6.QtCore import QEvent, QPoint
from PySide6.QtGui import QHelpEvent
from PySide6.QtWidgets import QApplication, QToolTip
from pytestqt.qtbot import QtBot

from app.look import LIGHT, LOOKS
from app.places import demo_sites
from app.views import money as money_view
from app.views import voltage_trade
from app.views.money import MoneyView, amount
from app.views.voltage_plot import name_of
from app.views.voltage_trade import VoltageTradeView
from engine import evaluate, load, units
from engine.evaluation import Evaluation
from engine.money.sizes import Money, money
from engine.money.voltage import Trade, trade


@pytest.fixture(scope="module")
def cabin() -> Evaluation:
    return evaluate(load(demo_sites() / "lake_cabin.toml"))


@pytest.fixture
def tips(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The texts of the tooltips that were shown."""
    told: list[str] = []
    monkeypatch.setattr(QToolTip, "showText", lambda _at, text, *_more: told.append(text))
    return told


def money_of(evaluation: Evaluation, id: str = "south-run") -> Money:
    found = money(evaluation, id)
    assert found is not None
    return found


def trade_of(evaluation: Evaluation, id: str = "south-run") -> Trade:
    found = trade(evaluation, id)
    assert found is not None
    return found


def shown_money(qtbot: QtBot, given: Money, size: tuple[int, int] = (640, 260)) -> MoneyView:
    view = MoneyView()
    qtbot.addWidget(view)
    view.show_given(given, "us", "dollars")
    view.resize(*size)
    view.show()
    return view


def shown_plot(qtbot: QtBot, given: Trade, size: tuple[int, int] = (640, 240)) -> VoltageTradeView:
    view = VoltageTradeView()
    qtbot.addWidget(view)
    view.show_given(given, "us", "dollars")
    view.resize(*size)
    view.show()
    return view


# Sizes


def test_that_the_verdict_opens_its_formula_with_the_numbers_of_the_run(
    cabin: Evaluation, qtbot: QtBot
) -> None:
    given = money_of(cabin)
    view = shown_money(qtbot, given)
    opened: list[tuple[str, object]] = []
    view.worksheet_asked.connect(lambda id, inputs: opened.append((id, inputs)))
    assert "Its formula" in view._told.text()
    view._told.linkActivated.emit("worksheet:")
    assert opened == [("wire-saving", dict(given.steps[0].inputs))]


def test_that_the_verdict_names_the_least_and_says_what_asks_for_another(cabin: Evaluation) -> None:
    given = money_of(cabin)
    assert given.best is not None and given.chosen is not None and given.chosen > given.best
    told = money_view.verdict(given, "dollars")
    assert told.startswith(f"{given.best.text} costs least")
    assert f"The drop, not money, asks for {given.chosen.text}." in told
    assert f"a watt of array {amount(given.watt)} dollars" in told


def test_that_a_choice_that_money_agrees_with_is_not_called_another(cabin: Evaluation) -> None:
    given = money_of(cabin)
    same = dataclasses.replace(given, chosen=given.best)
    assert "asks for" not in money_view.verdict(same, "") and "The design has" not in money_view.verdict(
        same, ""
    )


def test_that_a_missing_price_is_a_link_and_a_size_without_record_can_be_added(
    cabin: Evaluation, qtbot: QtBot
) -> None:
    bare = dataclasses.replace(cabin.design, wires=(), prices=type(cabin.design.prices)())
    view = shown_money(qtbot, money_of(evaluate(bare)))
    fields: list[str] = []
    prices: list[str] = []
    view.field_asked.connect(fields.append)
    view.price_asked.connect(prices.append)
    for link in ("price:4 AWG", "field:prices.array_watt"):
        assert f"href='{link}'" in view._told.text()
        view._told.linkActivated.emit(link)
    assert (prices, fields) == (["4 AWG"], ["prices.array_watt"])


def test_that_every_size_is_spoken_with_its_numbers(cabin: Evaluation, qtbot: QtBot) -> None:
    given = money_of(cabin)
    view = shown_money(qtbot, given)
    spoken = view._bars.accessibleDescription()
    for option in given.options:
        assert f"{option.size.text}: drop {units.show(option.fraction, '%', 'us', 2)}" in spoken
        assert f"lost {units.show(option.loss, 'W', 'us', 3)}" in spoken
        if option.price is not None:
            assert f"price {amount(option.price)}" in spoken


def test_that_hovering_over_a_bar_tells_it_in_words(cabin: Evaluation, qtbot: QtBot, tips: list[str]) -> None:
    given = money_of(cabin)
    view = shown_money(qtbot, given)
    bars = view._bars
    left, wide = bars._columns()
    for at, option in enumerate(given.options):
        spot = QPoint(round(left + (at + 0.5) * wide), bars.height() // 2)
        QApplication.sendEvent(bars, QHelpEvent(QEvent.Type.ToolTip, spot, bars.mapToGlobal(spot)))
        assert tips.pop().startswith(option.size.text)


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("size", [(330, 180), (640, 260), (1200, 500)])
def test_that_bars_stand_on_one_floor_inside_the_picture(
    cabin: Evaluation, qtbot: QtBot, look: str, size: tuple[int, int]
) -> None:
    for id in cabin.circuits:
        view = shown_money(qtbot, money_of(cabin, id), size)
        view.set_look(LOOKS[look])
        assert not view.grab().isNull()


def test_that_a_fixed_conductor_under_the_rules_is_told_to_be_too_thin(
    cabin: Evaluation, qtbot: QtBot
) -> None:
    from engine import edit

    design = edit.set_field(cabin.design, "circuits.south-run.size", "12 AWG")
    view = shown_money(qtbot, money_of(evaluate(design)))
    assert "12 AWG, less than the rules allow" in view._bars.accessibleDescription()


# Voltages


def test_that_the_cheapest_voltage_is_named_and_what_dashes_need(cabin: Evaluation) -> None:
    given = trade_of(cabin)
    assert given.best is not None
    html = "".join(voltage_trade.lines(given, "us", "dollars", LIGHT))
    assert f"{given.best[0]} in series" in html and given.best[1].text in html
    for level in given.levels:
        if not level.allowed and level.survives is not None:
            assert (
                f"{level.count} in series one that survives {units.show(level.survives, 'V', 'us', 3)}"
                in html
            )
            assert "needs a controller that survives" in name_of(level, "us")


def test_that_a_crossing_is_told_in_money(cabin: Evaluation) -> None:
    given = trade_of(cabin)
    assert given.crossings
    html = "".join(voltage_trade.lines(given, "us", "dollars", LIGHT))
    for crossing in given.crossings:
        assert (
            f"Up to {amount(crossing.cost, 'dollars')} of conductor {crossing.higher} in series loses less"
            in html
        )


def test_that_points_stand_where_the_axes_say_and_inside_the_plot(cabin: Evaluation, qtbot: QtBot) -> None:
    given = trade_of(cabin)
    view = shown_plot(qtbot, given)
    plot = view.plot
    across, up = plot.axes()
    box = plot.box().adjusted(-0.5, -0.5, 0.5, 0.5)
    for level in given.levels:
        for point in level.points:
            spot = plot.at(point)
            assert box.contains(spot)
            assert across.value(spot.x()) == pytest.approx(point.price)
            assert point.yearly is not None
            assert up.value(spot.y()) == pytest.approx(point.yearly / 1000)


def test_that_hovering_over_a_point_tells_its_numbers(
    cabin: Evaluation, qtbot: QtBot, tips: list[str]
) -> None:
    given = trade_of(cabin)
    view = shown_plot(qtbot, given, (900, 400))
    plot = view.plot
    level, point = given.levels[0], given.levels[0].points[0]
    spot = plot.at(point).toPoint()
    QApplication.sendEvent(plot, QHelpEvent(QEvent.Type.ToolTip, spot, plot.mapToGlobal(spot)))
    assert tips[0].startswith(name_of(level, "us")) and point.size.text in tips[0]


def test_that_without_prices_the_plot_counts_metal(cabin: Evaluation, qtbot: QtBot) -> None:
    bare = evaluate(dataclasses.replace(cabin.design, wires=()))
    given = trade_of(bare)
    view = shown_plot(qtbot, given)
    plot = view.plot
    across, _ = plot.axes()
    point = given.levels[0].points[0]
    assert across.value(plot.at(point).x()) == pytest.approx(point.mass)


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("size", [(330, 160), (640, 240), (1200, 500)])
def test_that_the_plot_is_drawn_at_any_size(
    cabin: Evaluation, qtbot: QtBot, look: str, size: tuple[int, int]
) -> None:
    view = shown_plot(qtbot, trade_of(cabin), size)
    plot = view.plot
    plot.set_look(LOOKS[look])
    assert not plot.grab().isNull()


def test_that_nothing_to_compare_says_why(cabin: Evaluation, qtbot: QtBot) -> None:
    view = VoltageTradeView()
    qtbot.addWidget(view)
    view.show_given(Trade("south-run", why="A controller that does not track."), "us", "")
    assert "does not track" in view._told.text()
    assert not view.grab().isNull()
