"""The Site pane: a weather file read in the background, taken row by row as one step, and its pictures."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app import place_words
from app.dialogs.take_weather import TakeWeather
from app.panes.site import DECIDES, SitePane
from app.places import demo_sites
from app.session import Session
from app.views.place import VIEWS
from engine import load
from engine.edit import set_fields
from engine.sections.place import place
from tests.a_weather_file import epw

DATA = Path(__file__).parent / "data"


@pytest.fixture
def session() -> Session:
    return Session(load(demo_sites() / "lake_cabin.toml"))


@pytest.fixture
def pane(qtbot: QtBot, session: Session) -> Iterator[SitePane]:
    made = SitePane(session)
    qtbot.addWidget(made)
    made.resize(1000, 560)
    made.refresh()
    made.show()
    yield made
    made._reading.wait()


@pytest.fixture
def year(tmp_path: Path) -> Path:
    path = tmp_path / "year.epw"
    path.write_text(epw(), encoding="utf-8")
    return path


def opened(qtbot: QtBot, pane: SitePane, path: Path) -> TakeWeather:
    """The dialog once the file is read."""
    pane.read_weather(path)
    dialog = pane._reading.dialog
    assert dialog is not None
    qtbot.waitUntil(lambda: dialog.progress.isHidden(), timeout=20_000)
    return dialog


def tick(dialog: TakeWeather, *names: str) -> None:
    """Tick the rows of these fields and no others."""
    for row, offer in enumerate(dialog._offers):
        item = dialog.table.item(row, 0)
        if item is not None and offer.values:
            on = offer.name in names
            item.setCheckState(Qt.CheckState.Checked if on else Qt.CheckState.Unchecked)


# Taking


def test_that_what_is_ticked_goes_into_the_site_as_one_step(
    qtbot: QtBot, session: Session, pane: SitePane, year: Path
) -> None:
    before = session.design
    dialog = opened(qtbot, pane, year)
    tick(dialog, "sun", "wind_speed")
    dialog.take.click()
    site = session.design.site
    assert site.sun_from == "weather file year.epw, means of its hours" == site.wind_from
    assert site.latitude == before.site.latitude and site.weather_file == "year.epw"
    assert session.undo_stack.count() == 1 and pane._reading.dialog is None
    session.undo_stack.undo()
    assert session.design.site == before.site
    session.undo_stack.redo()
    assert session.design.site == site


def test_that_a_head_fills_place_and_temperatures(qtbot: QtBot, session: Session, pane: SitePane) -> None:
    dialog = opened(qtbot, pane, DATA / "port_header.epw")
    tick(dialog, "design_low", "record_low", "design_high")
    dialog.take.click()
    site = session.design.site
    assert (site.design_low, site.record_low, site.design_high) == (-5.9, -12.4, 30.8)
    assert "DESIGN CONDITIONS" in str(site.record_low_from)
    assert session.weather is None  # it has no hours


def test_that_what_is_milder_than_now_is_not_ticked_by_itself(qtbot: QtBot, pane: SitePane) -> None:
    dialog = opened(qtbot, pane, DATA / "port_header.epw")  # -5.9 degC, where the cabin has -35
    names = [offer.name for offer in dialog.chosen()]
    assert "design_low" not in names and "record_low" not in names and "latitude" in names
    rows = {offer.name: row for row, offer in enumerate(dialog._offers)}
    told = dialog.table.item(rows["design_low"], 3)
    assert told is not None and "milder" in told.text()


def test_that_every_row_tells_what_the_file_says_and_what_the_site_has(
    qtbot: QtBot, session: Session, pane: SitePane, year: Path
) -> None:
    dialog = opened(qtbot, pane, year)
    rows = {offer.name: row for row, offer in enumerate(dialog._offers)}
    elevation = [dialog.table.item(rows["elevation"], column) for column in range(3)]
    assert [item.text() if item else "" for item in elevation] == ["Elevation", "984.3 ft", "1400 ft"]
    low = dialog.table.item(rows["design_low"], 3)
    assert low is not None and "extremes" in low.text()
    assert "10 m" in dialog.notes.text()


def test_that_what_contradicts_the_site_is_said_and_nothing_is_taken(
    qtbot: QtBot, session: Session, pane: SitePane
) -> None:
    session.edit("site.record_low", "-38 degC")
    session.edit("site.design_low", "-36 degC")
    before = session.design
    dialog = opened(qtbot, pane, DATA / "port_header.epw")
    tick(dialog, "record_low")  # -12.4, above the design low that stays
    dialog.take.click()
    assert "record_low" in dialog.wrong.text() and session.design is before
    dialog.reject()


def test_that_nothing_ticked_can_not_be_taken(qtbot: QtBot, pane: SitePane, year: Path) -> None:
    dialog = opened(qtbot, pane, year)
    tick(dialog)
    assert not dialog.take.isEnabled()
    tick(dialog, "sun")
    assert dialog.take.isEnabled()
    dialog.reject()


# Reading


def test_that_another_file_is_refused_and_nothing_changes(
    qtbot: QtBot, session: Session, pane: SitePane, tmp_path: Path
) -> None:
    path = tmp_path / "notes.epw"
    path.write_text("hello", encoding="utf-8")
    before = session.design
    dialog = opened(qtbot, pane, path)
    assert "EPW" in dialog.wrong.text() and "hello" in dialog.wrong.text()
    assert dialog.take.isHidden() and session.design is before
    dialog.reject()


def test_that_a_reading_that_is_cancelled_is_dropped(
    qtbot: QtBot, session: Session, pane: SitePane, year: Path
) -> None:
    before = session.design
    pane.read_weather(year)
    dialog = pane._reading.dialog
    assert dialog is not None
    dialog.reject()
    pane._reading.wait()
    qtbot.wait(10)
    assert pane._reading.dialog is None and session.weather is None and session.design is before


def test_that_of_two_readings_the_later_counts(qtbot: QtBot, pane: SitePane, year: Path) -> None:
    pane.read_weather(year)
    dialog = opened(qtbot, pane, DATA / "port_header.epw")
    pane._reading.wait()
    qtbot.wait(10)
    assert dialog.said.text().startswith("port_header.epw")
    dialog.reject()


def test_that_hours_that_are_only_looked_at_change_no_design(
    qtbot: QtBot, session: Session, pane: SitePane, year: Path
) -> None:
    before = session.design
    dialog = opened(qtbot, pane, year)
    dialog.look.click()
    assert session.weather is not None and session.design is before and not session.dirty
    session.start(before, None)
    assert session.weather is None


# Pictures


def test_that_every_picture_tells_a_sentence_with_and_without_a_file(
    qtbot: QtBot, session: Session, pane: SitePane, year: Path
) -> None:
    plain = {}
    for view in VIEWS:
        pane.switch.press(view)
        assert pane._place.isVisible() and not pane._climate.isVisible()
        plain[view] = pane._place.said()
        pane.grab()
    opened(qtbot, pane, year).look.click()
    for view in VIEWS:
        pane.switch.press(view)
        pane.grab()
        if view != "sun path":
            assert "year.epw" in pane._place.said() != plain[view]
    pane.switch.press(DECIDES)
    assert pane._climate.isVisible()


def test_that_without_hours_only_the_months_are_told() -> None:
    site = load(demo_sites() / "lake_cabin.toml").site
    found = place(site)
    assert found.days is None and not found.air
    assert "only hours" in place_words.dark(found, "us")
    assert "hide" in place_words.air(found, "us")


def test_that_a_bare_site_says_what_to_enter() -> None:
    found = place(
        set_fields(
            load(demo_sites() / "lake_cabin.toml"),
            dict.fromkeys(
                ("site.latitude", "site.sun", "site.air_temperature", "site.wind_speed", "site.wind_months"),
                "",
            ),
        ).site
    )
    for view, tell in (
        ("sun path", place_words.sun_path(found)),
        ("air", place_words.air(found, "us")),
        ("wind", place_words.wind(found, "us")),
        ("dark", place_words.dark(found, "us")),
    ):
        assert tell == "" and "ead a weather file" in place_words.empty(view)


def test_that_the_coarse_default_is_said_in_field_and_picture(session: Session, pane: SitePane) -> None:
    session.edit("site.sun", "")
    pane.refresh()
    row = pane._site.row("site.sun")
    assert row is not None and "coarse default" in row.control.toolTip() + row.toolTip()
    assert "coarse default" in pane._climate._coarse
    pane.switch.press("dark")
    assert "coarse default" in pane._place.said() and "MERRA-2" in pane._place.said()
