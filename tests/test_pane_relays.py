"""The pane of relays in the real window: logic at the left, a day of it at the right, what stops chatter."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QPushButton, QWidget
from pytestqt.qtbot import QtBot

from app import pieces
from app.look import LOOKS
from app.panes.relays import RelaysPane
from app.places import demo_sites
from app.session import Session
from app.views.caution import CautionPanel
from app.views.relay_trace import RelayTrace, Trace
from app.window import Window
from engine import load
from engine.finding import Signal

WEAK = {"off_at": "29.3 V", "least_on": "0 s", "off_delay": "0 s"}


@pytest.fixture
def window(qtbot: QtBot, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Window:
    monkeypatch.setenv("FARSTEAD_STATE", str(tmp_path))
    session = Session(load(demo_sites() / "lake_cabin.toml"))
    made = Window(session)
    qtbot.addWidget(made, before_close_func=lambda _window: session.undo_stack.setClean())
    made.resize(1366, 768)
    made.show()
    made.choose("relays.divert")
    return made


def change(window: Window, **texts: str) -> None:
    for name, text in texts.items():
        window.session.edit(f"relays.divert.{name}", text)
    window.session.settle()


def trace(window: Window) -> Trace:
    return window.shown._trace._trace  # type: ignore[no-any-return]


def image(widget: QWidget) -> QImage:
    picture = QImage(widget.size(), QImage.Format.Format_RGB32)
    widget.render(picture)
    return picture


def said(window: Window) -> str:
    return str(window.shown._told.text())


def test_that_a_relay_and_the_load_that_it_drives_open_together(window: Window) -> None:
    assert isinstance(window.shown, RelaysPane)
    owners = [form.owner for form in window.shown.forms()]
    assert owners == ["relays.divert", "diversions.heater"]
    window.choose("diversions.heater")
    assert isinstance(window.shown, RelaysPane)
    assert [form.owner for form in window.shown.forms()] == owners[::-1]
    assert trace(window).title == "Divert to the air heater"
    assert window.go_to("relays.vent-fan.on_at") and window.session.selected == "relays.vent-fan"


def test_that_the_shortest_delay_is_applied_by_a_button_and_undone(window: Window) -> None:
    button = window.shown._apply
    assert not button.isVisible()
    change(window, **WEAK)
    assert trace(window).day.chatters and button.isVisible()
    assert "The shortest delays that stop the chatter" in said(window)
    assert isinstance(button, QPushButton)
    wanted = button.text().removeprefix("Hold it on for ")
    button.click()
    window.session.settle()
    assert f"{window.session.design.relays[0].least_on:g} s" == wanted
    assert not trace(window).day.chatters and not button.isVisible()
    window.session.undo_stack.undo()
    window.session.settle()
    assert trace(window).day.chatters and window.session.design.relays[0].least_on == 0


def test_that_the_day_follows_the_fields_and_the_look(window: Window) -> None:
    before = image(window.shown._trace)
    change(window, on_at="30.5 V")
    assert image(window.shown._trace) != before
    assert "30.5 V" in window.shown._about.text()
    day = image(window.shown._trace)
    window.set_look("dark")
    assert image(window.shown._trace) != day


def test_that_one_looks_at_the_hour_in_which_it_switches_most(window: Window) -> None:
    pane = window.shown
    pane._span.setCurrentIndex(pane._span.findData("hour"))
    pane._span.activated.emit(1)
    shown = trace(window)
    assert shown.stop - shown.start == 3600
    assert shown.day.run is not None
    inside = [second for second in shown.day.run.switched if shown.start <= second < shown.stop]
    assert len(inside) * 24 >= len(shown.day.run.switched)  # no hour has more than the busiest
    pane._weather.setCurrentIndex(pane._weather.findData("clear"))
    pane._weather.activated.emit(1)
    assert trace(window).day is not shown.day


def test_that_both_failures_of_a_contact_are_told_with_their_signal_words(window: Window) -> None:
    shut, opened = window.shown._panels
    assert isinstance(shut, CautionPanel)
    assert shut.accessibleName().startswith("WARNING: The load drains")
    assert opened.accessibleName().startswith("DANGER: Nothing takes")
    change(window, purpose="surplus load")
    assert opened._signal is Signal.NOTICE


def test_that_a_relay_without_a_day_says_why_and_what_to_enter(window: Window) -> None:
    window.choose("relays.start-shed")
    assert "state of charge" in trace(window).day.why and not said(window)
    window.choose("relays.divert")
    change(window, least_on="")
    assert trace(window).day.why == "Enter: Least on-time."


def test_that_a_site_without_relays_says_what_to_do_next(window: Window) -> None:
    for path in ("relays.divert", "relays.vent-fan", "relays.start-shed", "diversions.heater"):
        window.session.remove(path)
    window.session.settle()
    window.choose("relays")
    assert "Add a relay" in window.shown._about.text()
    assert "Add a relay" in trace(window).day.why


@pytest.mark.parametrize("look", list(LOOKS))
@pytest.mark.parametrize("size", [(320, 150), (640, 300), (1100, 700)])
def test_that_no_label_of_the_trace_leaves_its_view(
    window: Window, qtbot: QtBot, look: str, size: tuple[int, int]
) -> None:
    view = RelayTrace()
    qtbot.addWidget(view)
    view.set_look(LOOKS[look])
    view.resize(*size)
    shown = trace(window)
    view.show_trace(shown)
    volts, contact, current = view.bands()
    assert volts.bottom() <= contact.top() and contact.bottom() <= current.top()
    assert current.bottom() <= view.height()
    assert not image(view).isNull()


def test_that_a_relay_is_added_from_the_menu_and_opens(window: Window) -> None:
    pieces.add(window, "relays")
    window.session.settle()
    added = window.session.design.relays[-1]
    assert window.session.selected == f"relays.{added.id}"
    assert "Enter: Watches, On at, Off at." in window.shown._about.text()
    assert trace(window).day.why == "Enter what it watches."


def test_that_a_switch_leads_from_the_set_points_to_the_relays_and_back(window: Window) -> None:
    assert window.place == "setup"

    def press(name: str) -> None:
        button = next(each for each in window.shown.findChildren(QPushButton) if each.text() == name)
        button.click()

    press("Charging")
    assert not isinstance(window.shown, RelaysPane)
    press("Relays")
    assert isinstance(window.shown, RelaysPane)
    assert window.shown.forms()[0].owner == "relays.divert"
