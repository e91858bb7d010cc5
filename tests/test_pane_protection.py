"""The Protection pane: a device typed by keyboard, the design's devices, and a judged order list."""

from __future__ import annotations

from pathlib import Path

import pytest
from a_wired_site import wired
from PySide6.QtCore import QModelIndex, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.fields.controls import Choice, Line
from app.look import LOOKS
from app.panes.protection import ProtectionPane
from app.session import Session
from app.views.findings import CardList
from app.views.text_table import TextTable
from engine import in_hand
from engine.design import Design
from engine.finding import Finding

GOOD = {"volts": "150 V=", "amps": "40 A", "breaking": "10 kA", "poles": "2", "polarity": "none"}
LIST = (
    "label,volts,amps,breaking,poles,polarity,circuit,quantity\n"
    "Array breaker,150 V=,40 A,10 kA,2,none,south-run,1\n"
    "House breaker,400 V ~,40 A,10 kA,2,,,3\n"
    "Bare breaker,150 V=,40 A,,2,none,south-run,1\n"
)


class Sitting:
    """The pane over a session, and hands to type with."""

    def __init__(self, qtbot: QtBot, design: Design | None = None) -> None:
        self.bot = qtbot
        self.session = Session(wired() if design is None else design)
        self.pane = ProtectionPane(self.session)
        qtbot.addWidget(self.pane)
        self.pane.set_look(LOOKS["light"])
        self.pane.resize(980, 560)
        self.pane.refresh()
        self.pane.show()

    def type(self, key: str, text: str) -> None:
        """Type a text over what stands in a line and leave it by Enter; choose by the keyboard."""
        control = self.pane.form.control(key)
        if isinstance(control, Line):
            control.setFocus()
            control.selectAll()
            self.bot.keyClick(control, Qt.Key.Key_Delete)
            self.bot.keyClicks(control, text)
            self.bot.keyClick(control, Qt.Key.Key_Return)
            return
        assert isinstance(control, Choice)
        wanted = control.findData(text)
        key_ = Qt.Key.Key_Down if wanted > control.currentIndex() else Qt.Key.Key_Up
        while control.currentIndex() != wanted:
            before = control.currentIndex()
            self.bot.keyClick(control, key_)
            assert control.currentIndex() != before

    def take(self, texts: dict[str, str]) -> None:
        """Type everything that is printed."""
        for key, text in texts.items():
            self.type(key, text)

    def wait(self) -> None:
        """Wait until the order list is judged and shown."""
        self.pane.order.jobs.wait()
        self.bot.waitUntil(lambda: bool(self.pane.order.table.texts().rows))


def findings(cards: CardList) -> tuple[Finding, ...]:
    """The cards of a list."""
    rows: tuple[Finding, ...] = cards.model().rows  # type: ignore[attr-defined]
    return rows


def words(table: TextTable) -> list[tuple[str, ...]]:
    """The lines of a table with the word of their status."""
    return table.texts().exported()[1:]


@pytest.fixture
def sitting(qtbot: QtBot) -> Sitting:
    """The pane over the wired site."""
    return Sitting(qtbot)


def test_that_what_is_typed_by_keyboard_is_judged_in_every_circuit(sitting: Sitting) -> None:
    sitting.take(GOOD)
    cards = {item.where: item for item in findings(sitting.pane.verdicts)}
    verdicts = in_hand.judge(sitting.session.evaluation, in_hand.read(GOOD))
    assert cards.keys() == {f"circuits.{item.circuit}" for item in verdicts}
    for item in verdicts:
        assert item.word in cards[f"circuits.{item.circuit}"].title
        card = cards[f"circuits.{item.circuit}"]
        assert all(words in f"{card.title} {card.remedy}" for words in item.says.split(". "))


def test_that_circuits_that_it_fits_come_first(sitting: Sitting) -> None:
    sitting.take(GOOD)
    first = findings(sitting.pane.verdicts)[0]
    assert first.where == "circuits.south-run" and ": fit" in first.title


def test_that_a_bad_text_is_told_beside_the_form_and_judged_nowhere(sitting: Sitting) -> None:
    sitting.take({**GOOD, "amps": "40"})
    form = sitting.pane.form
    assert form.error.isVisible() and "Current" in form.error.text() and "unit" in form.error.text()
    assert form.control("amps").property("bad") and not sitting.pane.verdicts.isVisible()
    sitting.type("amps", "40 A")
    assert not form.error.isVisible() and not form.control("amps").property("bad")
    assert sitting.pane.verdicts.isVisible()


def test_that_a_mark_against_the_choice_is_refused(sitting: Sitting) -> None:
    sitting.take({"volts": "400 V ~", "supply": "dc"})
    assert "marked for ac" in sitting.pane.form.error.text()
    assert sitting.pane.form.control("supply").property("bad")
    assert not sitting.pane.form.control("sort").property("bad")


def test_that_a_verdict_opens_by_enter_and_leads_to_its_circuit(sitting: Sitting) -> None:
    sitting.take(GOOD)
    cards = sitting.pane.verdicts
    cards.setFocus()
    cards.setCurrentIndex(cards.model().index(0, 0, QModelIndex()))
    sitting.bot.keyClick(cards, Qt.Key.Key_Return)
    assert findings(cards)[0].steps
    with sitting.bot.waitSignal(sitting.pane.field_asked) as asked:
        sitting.bot.keyClick(cards, Qt.Key.Key_G)
    assert asked.args == ["circuits.south-run.device"]


def test_that_the_form_empties_for_the_next_device(sitting: Sitting) -> None:
    sitting.take(GOOD)
    sitting.bot.mouseClick(sitting.pane.form.clear_button, Qt.MouseButton.LeftButton)
    assert sitting.pane.form.texts() == {} and not sitting.pane.verdicts.isVisible()


def test_that_an_edit_of_the_site_judges_the_device_anew(sitting: Sitting) -> None:
    sitting.take(GOOD)
    sitting.session.edit("arrays.south.modules", "3")
    sitting.session.settle()
    sitting.pane.refresh()
    (card,) = [item for item in findings(sitting.pane.verdicts) if item.where == "circuits.south-run"]
    assert "unfit" in card.title and card.limit == 150


def test_that_the_devices_of_the_design_are_listed_with_their_circuits(sitting: Sitting) -> None:
    rows = words(sitting.pane.devices.table)
    by_circuits = {row[-1]: row for row in rows}
    assert by_circuits["south-run"][2:5] == ("run-breaker", "breaker", "35 A")
    assert by_circuits["c-battery"][1] == "1"
    assert all(row[0] in ("fails", "unknown", "marginal", "meets") for row in rows)


def test_that_strings_take_a_fuse_each_and_a_run_its_disconnect(qtbot: QtBot) -> None:
    design = wired({"arrays.south.strings": "3", "circuits.south-run.device": ""})
    rows = {row[-1]: row for row in words(Sitting(qtbot, design).pane.devices.table)}
    assert rows["south-string"][1:5] == ("3", "fuse", "fuse", "20 A")
    assert rows["south-run"][3] == "disconnect"


def test_that_a_line_of_the_design_opens_into_what_decides_on_its_circuits(sitting: Sitting) -> None:
    table = sitting.pane.devices.table
    places = {row[-1]: at for at, row in enumerate(words(table))}
    table.setFocus()
    while table.line() != places["c-battery"]:
        sitting.bot.keyClick(table, Qt.Key.Key_Down if table.line() < places["c-battery"] else Qt.Key.Key_Up)
    cards = findings(sitting.pane.reasons)
    assert cards and {item.where for item in cards} == {"circuits.c-battery"}
    assert not {"conductor", "voltage-drop"} & {item.rule for item in cards}
    sitting.bot.keyClick(table, Qt.Key.Key_Return)
    assert sitting.pane.reasons.hasFocus() or not sitting.pane.isActiveWindow()


def test_that_the_list_of_devices_is_copied_and_saved(
    sitting: Sitting, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    sitting.pane.copy()
    head, *lines = QGuiApplication.clipboard().text().splitlines()
    assert head.split("\t") == ["Status", *in_hand.HEADS]
    assert len(lines) == len(words(sitting.pane.devices.table))
    path = tmp_path / "devices"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(path), ""))
    sitting.pane.save_csv()
    assert (tmp_path / "devices.csv").read_text("utf-8").splitlines()[0].startswith("Status,Quantity,Device")


def test_that_a_file_that_cannot_be_written_is_said(
    sitting: Sitting, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "no" / "x.csv"), ""))
    with sitting.bot.waitSignal(sitting.pane.said) as said:
        sitting.pane.save_csv()
    assert "Not saved" in said.args[0]


def test_that_a_pasted_order_list_is_judged_line_by_line(sitting: Sitting) -> None:
    sitting.bot.mouseClick(sitting.pane.faces.button("order"), Qt.MouseButton.LeftButton)
    QGuiApplication.clipboard().setText(LIST.replace(",", "\t"))
    sitting.bot.mouseClick(sitting.pane.order.paste_button, Qt.MouseButton.LeftButton)
    sitting.wait()
    rows = words(sitting.pane.order.table)
    assert [row[:5] for row in rows] == [
        ("meets", "2", "Array breaker", "south-run", "fit"),
        ("fails", "3", "3 × House breaker", "nowhere", "unfit"),
        ("unknown", "4", "Bare breaker", "south-run", "not enough printed on it to say"),
    ]
    sitting.pane.order.table.selectRow(0)
    (card,) = findings(sitting.pane.reasons)
    assert card.where == "circuits.south-run"
    sitting.pane.order.table.selectRow(1)
    assert len(findings(sitting.pane.reasons)) == len(sitting.session.evaluation.circuits)


def test_that_a_list_is_pasted_by_its_key_and_not_into_the_devices(sitting: Sitting) -> None:
    QGuiApplication.clipboard().setText(LIST)
    control = Qt.KeyboardModifier.ControlModifier
    sitting.pane.activateWindow()
    sitting.bot.waitUntil(sitting.pane.isActiveWindow)
    sitting.pane.devices.table.setFocus()
    sitting.bot.keyClick(sitting.pane.devices.table, Qt.Key.Key_V, control)
    assert sitting.pane.order.table.texts().rows == ()
    sitting.bot.mouseClick(sitting.pane.faces.button("order"), Qt.MouseButton.LeftButton)
    sitting.bot.keyClick(sitting.pane.faces.button("order"), Qt.Key.Key_V, control)
    sitting.wait()
    assert len(words(sitting.pane.order.table)) == 3


def test_that_a_bad_line_is_told_by_its_number(sitting: Sitting) -> None:
    sitting.pane.take_list(LIST + "Odd,3 apples,40 A,,,,,1\n")
    sitting.wait()
    assert "(line 5)" in sitting.pane.order.told.text() and len(words(sitting.pane.order.table)) == 3


def test_that_an_imported_file_is_judged_and_a_bad_one_said(sitting: Sitting, tmp_path: Path) -> None:
    path = tmp_path / "order.csv"
    path.write_text(LIST, encoding="utf-8")
    sitting.pane.import_file(path)
    sitting.wait()
    assert len(words(sitting.pane.order.table)) == 3
    for bad in (tmp_path / "none.csv", tmp_path):
        with sitting.bot.waitSignal(sitting.pane.said) as said:
            sitting.pane.import_file(bad)
        assert "Not read" in said.args[0]
    path.write_bytes(b"\xff\xfe\x00label")
    with sitting.bot.waitSignal(sitting.pane.said) as said:
        sitting.pane.import_file(path)
    assert "not a text file" in said.args[0]


def test_that_the_order_list_follows_the_site(sitting: Sitting) -> None:
    sitting.pane.take_list(LIST)
    sitting.wait()
    sitting.session.edit("arrays.south.modules", "3")
    sitting.session.settle()
    sitting.pane.refresh()
    sitting.pane.order.jobs.wait()
    sitting.bot.waitUntil(lambda: words(sitting.pane.order.table)[0][0] != "meets")


def test_that_a_site_without_circuits_says_what_to_do(qtbot: QtBot) -> None:
    sitting = Sitting(qtbot, Design())
    sitting.take(GOOD)
    assert sitting.pane.verdicts.isHidden() and words(sitting.pane.devices.table) == []
    sitting.pane.take_list(LIST)
    assert "circuit" in sitting.pane.order.told.text()


def test_that_every_control_has_a_name_and_the_hand_can_reach_it(sitting: Sitting) -> None:
    form = sitting.pane.form
    keys = ("volts", "amps", "breaking", "supply", "sort", "poles", "polarity", "class", "continuous")
    for widget in (
        *(form.control(key) for key in keys),
        form.clear_button,
        sitting.pane.faces.button("devices"),
        sitting.pane.faces.button("order"),
        sitting.pane.order.paste_button,
        sitting.pane.order.import_button,
        sitting.pane.devices.table,
        sitting.pane.verdicts,
        sitting.pane.reasons,
    ):
        assert widget.accessibleName()
        assert widget.focusPolicy() & Qt.FocusPolicy.TabFocus
