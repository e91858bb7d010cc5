"""One circuit typed in the window without any site: by keyboard, with a device in hand against it."""

from __future__ import annotations

import re

from a_wired_site import wired
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QStyle, QStyleOptionComboBox, QWidget
from pytestqt.qtbot import QtBot

from app.fields.controls import Choice, Line
from app.look import LOOKS, style_sheet
from app.panes.protection import ProtectionPane
from app.session import Session
from app.views.findings import CardList
from engine.design import Design
from engine.finding import Finding

ATTIC = {
    "isc": "14.2 A",
    "strings": "3",
    "voltage": "187 V",
    "length": "40 m",
    "place": "attic",
    "method": "raceway",
    "ambient": "58 degC",
}


class Counter:
    """The pane over a design, turned to its typed circuit by a click, and hands to type with."""

    def __init__(self, qtbot: QtBot, design: Design) -> None:
        self.bot, self.session = qtbot, Session(design)
        self.pane = ProtectionPane(self.session)
        qtbot.addWidget(self.pane)
        self.pane.set_look(LOOKS["light"])
        self.pane.resize(980, 560)
        self.pane.refresh()
        self.pane.show()
        qtbot.mouseClick(self.pane.faces.button("typed"), Qt.MouseButton.LeftButton)

    def take(self, texts: dict[str, str]) -> None:
        """Type the fields of the circuit."""
        for name, text in texts.items():
            self.enter(self.pane.typed.rows[name].control, text)

    def hold(self, texts: dict[str, str]) -> None:
        """Type what is printed on a device."""
        for key, text in texts.items():
            self.enter(self.pane.form.control(key), text)

    def enter(self, control: QWidget, text: str) -> None:
        """Type over what stands there, or choose by the keyboard."""
        control.setFocus()
        if isinstance(control, Line):
            control.selectAll()
            self.bot.keyClick(control, Qt.Key.Key_Delete)
            self.bot.keyClicks(control, text)
            self.bot.keyClick(control, Qt.Key.Key_Return)
            return
        assert isinstance(control, Choice)
        while control.currentIndex() != control.findData(text):
            before = control.currentIndex()
            self.bot.keyClick(control, Qt.Key.Key_Down if before < control.findData(text) else Qt.Key.Key_Up)
            assert control.currentIndex() != before

    def answer(self) -> str:
        """What stands at the right, without its markup."""
        return " ".join(re.sub(r"<[^>]+>", " ", self.pane.typed.answer.text()).split())


def cards(held: CardList) -> tuple[Finding, ...]:
    rows: tuple[Finding, ...] = held.model().rows  # type: ignore[attr-defined]
    return rows


def test_that_a_circuit_is_sized_without_any_site(qtbot: QtBot) -> None:
    """By hand in tests/test_in_hand_typed.py: 4 AWG, 70 A, the 250 V class."""
    counter = Counter(qtbot, Design())
    before = counter.session.design
    assert "Type the short-circuit current" in counter.answer()
    counter.take(ATTIC)
    for words in ("Conductor 4 AWG", "Device 70 A", "Dc voltage class 250 V", "By nec-2023"):
        assert words in counter.answer()
    assert ("dc voltage class", "250 V") in counter.pane._exported()
    assert {item.rule for item in cards(counter.pane.reasons)} >= {"conductor", "voltage-class"}
    assert counter.session.design is before


def test_that_the_circuit_is_judged_by_the_rules_of_the_site_until_others_are_typed(qtbot: QtBot) -> None:
    counter = Counter(qtbot, wired({"rules": "iec"}))
    counter.take({**ATTIC, "method": "B1"})
    assert "By iec" in counter.answer() and "mm2" in counter.answer()
    counter.take({"method": "raceway", "rules": "nec-2017"})
    assert "By nec-2017" in counter.answer() and "4 AWG" in counter.answer()


def test_that_a_text_that_cannot_be_read_is_said_at_its_field(qtbot: QtBot) -> None:
    counter = Counter(qtbot, Design())
    counter.take({**ATTIC, "length": "40"})
    row = counter.pane.typed.rows["length"]
    assert row.note.isVisibleTo(counter.pane) and "40" in row.note.text()
    assert "Not read" in counter.answer() and counter.pane._exported() == []
    counter.take({"length": "40 m"})
    assert not row.note.isVisibleTo(counter.pane) and "4 AWG" in counter.answer()


def test_that_a_device_in_hand_is_held_against_the_typed_circuit_alone(qtbot: QtBot) -> None:
    """80 A on a conductor that 70 A protect; on the site's circuits again after another click."""
    counter = Counter(qtbot, wired())
    counter.hold({"volts": "250 V=", "amps": "80 A", "breaking": "10 kA", "poles": "2", "polarity": "none"})
    assert cards(counter.pane.verdicts) == () and "No circuit is typed" in counter.pane._told.text()
    counter.take({**ATTIC, "series_fuse": "25 A", "back_feed": "0 A"})
    found = {item.where: item for item in cards(counter.pane.verdicts)}
    assert found.keys() == {"circuits.typed-run", "circuits.typed-string"}
    run = found["circuits.typed-run"]
    assert (run.rule, run.value, run.limit, run.status.word) == ("device-current", 80, 70, "fails")
    qtbot.mouseClick(counter.pane.faces.button("devices"), Qt.MouseButton.LeftButton)
    assert "circuits.typed-run" not in {item.where for item in cards(counter.pane.verdicts)}


def test_that_a_card_leads_to_the_field_of_the_typed_circuit(qtbot: QtBot) -> None:
    counter = Counter(qtbot, wired())
    counter.take(ATTIC)
    asked: list[str] = []
    counter.pane.field_asked.connect(asked.append)
    fuse = next(item for item in cards(counter.pane.reasons) if item.rule == "string-fuse")
    assert "Largest series fuse of its modules" in fuse.remedy
    counter.pane.reasons.field_asked.emit(fuse.field)
    assert not asked and counter.pane.focusWidget() is counter.pane.typed.rows["series_fuse"].control


def test_that_emptying_takes_the_next_circuit(qtbot: QtBot) -> None:
    counter = Counter(qtbot, Design())
    counter.take(ATTIC)
    qtbot.mouseClick(counter.pane.typed.clear_button, Qt.MouseButton.LeftButton)
    assert counter.pane.typed.cards() == () and "Type the short-circuit" in counter.answer()
    assert all(not row.control.shown for row in counter.pane.typed.rows.values())


def test_that_an_opened_choice_is_a_list_with_room_and_no_scroller_over_its_last_line(qtbot: QtBot) -> None:
    counter = Counter(qtbot, Design())
    counter.pane.setStyleSheet(style_sheet(LOOKS["light"]))
    control = counter.pane.form.control("poles")
    assert isinstance(control, Choice)
    option = QStyleOptionComboBox()
    control.initStyleOption(option)
    assert not control.style().styleHint(QStyle.StyleHint.SH_ComboBox_Popup, option, control)
    assert control.maxVisibleItems() >= control.count()
    assert control.view().sizeHintForRow(0) >= control.fontMetrics().height() + 8
