"""The findings: worst first, opened by mouse and by keys, and still in hand after a re-evaluation."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAction, QColor, QGuiApplication
from PySide6.QtWidgets import QLabel, QToolButton
from pytestqt.qtbot import QtBot

from app.dialogs.keys import KeysDialog, rows_of
from app.look import DARK, LIGHT, LOOKS, PROJECTOR, Look
from app.views.caution import CautionPanel, cautions
from app.views.finding_body import FindingBody, measured, plain
from app.views.finding_cards import keys_of
from app.views.findings import KEYS, FindingsView
from app.views.worked import WorkedView, math_html, worked_html
from engine.finding import Finding, Signal, Status, worst_first
from engine.physics import battery, pv
from engine.sources import COMMON_PRACTICE
from engine.steps import lines
from engine.worksheet import work

COLD = work(pv.cold_voltage, voc=49.5, beta_voc=-0.0027, temperature=-10.0, modules=3)
TOO_HIGH = Finding(
    rule="device-voltage",
    where="circuits.south-run",
    status=Status.FAILS,
    signal=Signal.DANGER,
    title="Array breaker: rated 150 V dc, 162.5 V can stand across it",
    remedy="Use a 250 V dc class or higher.",
    source=COMMON_PRACTICE,
    value=162.53,
    limit=150.0,
    unit="V",
    margin=-0.0835,
    steps=(COLD,),
    field="circuits.south-run.device_voltage",
)
LOCKED = replace(
    TOO_HIGH,
    rule="lock-out",
    where="arrays.south",
    status=Status.MARGINAL,
    signal=Signal.NONE,
    title="South array waits in the cold",
    field="arrays.south.modules",
    steps=(),
)
UNKNOWN = replace(
    LOCKED,
    rule="string-fuse",
    status=Status.UNKNOWN,
    title="The module's largest fuse is not entered",
    remedy="Enter what the module's data sheet says.",
    value=None,
    limit=None,
    margin=None,
    field="",
)
MEETS = tuple(
    replace(LOCKED, rule=f"rule-{n}", status=Status.MEETS, title=f"Rule {n} meets", remedy="Keep it so.")
    for n in range(30)
)
FINDINGS = worst_first((*MEETS, LOCKED, UNKNOWN, TOO_HIGH))


@pytest.fixture
def view(qtbot: QtBot) -> FindingsView:
    made = FindingsView()
    qtbot.addWidget(made)
    made.resize(332, 600)
    made.show_findings(FINDINGS, "metric")
    made.show()
    return made


def titles(view: FindingsView) -> list[str]:
    model = view.list.model()
    return [model.data(model.index(row, 0)) for row in range(model.rowCount())]


def press(qtbot: QtBot, view: FindingsView, button: str) -> None:
    (found,) = (b for b in view.findChildren(QToolButton) if b.text() == button and b.isVisible())
    qtbot.mouseClick(found, Qt.MouseButton.LeftButton)


def open_body(view: FindingsView) -> str:
    """All that the open card says, without its letters' dress."""
    text = " ".join(label.text() for label in view.list.findChildren(QLabel) if label.isVisible())
    return unescape(re.sub(r"<[^>]*>", "", text)).replace("\N{NO-BREAK SPACE}", " ")


def click_card(qtbot: QtBot, view: FindingsView, row: int) -> None:
    corner = view.list.visualRect(view.list.model().index(row, 0)).topLeft()
    qtbot.mouseClick(view.list.viewport(), Qt.MouseButton.LeftButton, pos=corner + QPoint(60, 12))


def test_that_the_worst_stands_on_top_and_every_status_is_counted(view: FindingsView) -> None:
    assert titles(view)[:3] == [TOO_HIGH.title, UNKNOWN.title, LOCKED.title]
    assert view.counts.text == "1 fails · 1 unknown · 1 marginal · 30 meet"
    assert view.counts.accessibleName() == view.counts.text


def test_that_what_meets_can_be_hidden_and_the_counts_still_tell_of_it(
    view: FindingsView, qtbot: QtBot
) -> None:
    press(qtbot, view, "Only open")
    assert titles(view) == [TOO_HIGH.title, UNKNOWN.title, LOCKED.title]
    assert "30 meet" in view.counts.text
    view.show_findings(MEETS, "metric")
    assert titles(view) == []
    assert [label.text() for label in view.findChildren(QLabel) if "Nothing is open" in label.text()]


def test_that_a_piece_shows_its_own_findings_and_those_of_its_circuits(
    view: FindingsView, qtbot: QtBot
) -> None:
    other = replace(LOCKED, where="arrays.west", title="West array waits too")
    everything = worst_first((*FINDINGS, other))
    (button,) = (b for b in view.findChildren(QToolButton) if b.text() == "This piece")
    assert not button.isEnabled()
    view.show_findings(everything, "metric", "arrays.south", FINDINGS)
    press(qtbot, view, "This piece")
    assert other.title not in titles(view)
    assert {TOO_HIGH.title, LOCKED.title} <= set(titles(view))
    press(qtbot, view, "All")
    assert other.title in titles(view)


def test_that_without_a_selected_piece_everything_is_shown(view: FindingsView, qtbot: QtBot) -> None:
    view.show_findings(FINDINGS, "metric", "arrays.west", ())
    press(qtbot, view, "This piece")
    assert titles(view) == []
    view.show_findings(FINDINGS, "metric", None)
    assert len(titles(view)) == len(FINDINGS)


def test_that_a_click_opens_a_finding_into_its_worked_steps_and_a_second_closes_it(
    view: FindingsView, qtbot: QtBot
) -> None:
    click_card(qtbot, view, 0)
    said = open_body(view)
    for part in ("162.5 V", "150 V", "common practice", "device-voltage", COLD.sheet.title):
        assert part in said
    click_card(qtbot, view, 0)
    assert open_body(view) == ""


def test_that_every_number_of_a_worked_step_is_on_the_open_card(view: FindingsView, qtbot: QtBot) -> None:
    click_card(qtbot, view, 0)
    said = open_body(view).replace("−", "-")
    for line in lines(COLD, "metric"):
        for number in re.findall(r"\d[\d.]*", line):
            assert number in said


def test_that_keys_walk_open_and_go_to_the_field(view: FindingsView, qtbot: QtBot) -> None:
    asked: list[str] = []
    view.field_asked.connect(asked.append)
    view.list.setFocus()
    for key in (Qt.Key.Key_Home, Qt.Key.Key_Return):
        qtbot.keyClick(view.list, key)
    assert COLD.sheet.title in open_body(view)
    qtbot.keyClick(view.list, Qt.Key.Key_G)
    qtbot.keyClick(view.list, Qt.Key.Key_Down)
    qtbot.keyClick(view.list, Qt.Key.Key_G)
    qtbot.keyClick(view.list, Qt.Key.Key_Down)
    qtbot.keyClick(view.list, Qt.Key.Key_G)
    assert asked == [TOO_HIGH.field, LOCKED.field]
    qtbot.keyClick(view.list, Qt.Key.Key_Escape)
    assert open_body(view) == ""


def test_that_the_buttons_of_an_open_finding_ask_for_its_field_and_its_worksheet(
    view: FindingsView, qtbot: QtBot
) -> None:
    fields: list[str] = []
    sheets: list[tuple[str, object]] = []
    view.field_asked.connect(fields.append)
    view.worksheet_asked.connect(lambda id, inputs: sheets.append((id, inputs)))
    click_card(qtbot, view, 0)
    press(qtbot, view, "Go to field")
    press(qtbot, view, "Open worksheet")
    assert fields == [TOO_HIGH.field]
    assert sheets == [("pv-cold-voltage", dict(COLD.inputs))]


def test_that_a_finding_without_a_field_offers_no_way_to_one(view: FindingsView, qtbot: QtBot) -> None:
    click_card(qtbot, view, 1)
    assert [b.text() for b in view.list.findChildren(QToolButton) if b.isVisible()] == ["Copy"]


def test_that_a_finding_is_copied_with_its_worked_steps(view: FindingsView, qtbot: QtBot) -> None:
    view.list.setFocus()
    qtbot.keyClick(view.list, Qt.Key.Key_Home)
    qtbot.keyClick(view.list, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    copied = QGuiApplication.clipboard().text()
    assert copied == plain(TOO_HIGH, "metric")
    assert copied.startswith(f"fails, DANGER: {TOO_HIGH.title}\n{TOO_HIGH.remedy}")
    assert "\n".join(lines(COLD, "metric")) in copied


def test_that_the_open_card_and_the_place_in_the_list_outlive_a_re_evaluation(
    view: FindingsView, qtbot: QtBot
) -> None:
    view.list.setFocus()
    click_card(qtbot, view, 20)
    opened = titles(view)[20]
    qtbot.waitUntil(lambda: view.list.verticalScrollBar().value() > 0)
    place = view.list.visualRect(view.list.model().index(20, 0)).top()
    worse = replace(LOCKED, rule="new-rule", status=Status.FAILS, title="Something new fails")
    view.show_findings(worst_first((*FINDINGS, worse)), "metric")
    assert titles(view)[0] == TOO_HIGH.title
    assert titles(view)[21] == opened
    assert view.list.visualRect(view.list.model().index(21, 0)).top() == place
    assert view.list.currentIndex().row() == 21
    assert "rule-" in open_body(view)


def test_that_an_open_card_follows_its_numbers(view: FindingsView, qtbot: QtBot) -> None:
    click_card(qtbot, view, 0)
    warmer = work(pv.cold_voltage, voc=49.5, beta_voc=-0.0027, temperature=0.0, modules=3)
    changed = replace(TOO_HIGH, value=158.5, steps=(warmer,))
    view.show_findings(worst_first((*MEETS, LOCKED, UNKNOWN, changed)), "us")
    said = open_body(view)
    assert "158.5 V" in said
    assert "32 °F (0 °C)" in said
    assert "162.5 V" not in said


def test_that_hundreds_of_findings_show_their_first_cards_at_once_and_end_at_their_last(
    view: FindingsView, qtbot: QtBot
) -> None:
    many = tuple(replace(LOCKED, where=f"arrays.a{at}", title=f"Array {at} waits") for at in range(371))
    view.show_findings(many, "metric")
    middle = view.list.viewport().rect().center()
    assert view.list.indexAt(middle).isValid()  # before another event is worked off
    qtbot.keyClick(view.list, Qt.Key.Key_Down)
    qtbot.keyClick(view.list, Qt.Key.Key_End)
    assert view.list.currentIndex().row() == 370
    assert view.list.visualRect(view.list.currentIndex()).intersects(view.list.viewport().rect())
    fresh = tuple(replace(finding, title=f"{finding.title} on") for finding in many)
    view.show_findings(fresh, "metric")
    assert view.list.currentIndex().row() == 370
    assert view.list.currentIndex().data() == "Array 370 waits on"


def test_that_the_same_findings_again_change_nothing(view: FindingsView, qtbot: QtBot) -> None:
    changes: list[str] = []
    model = view.list.model()
    model.modelReset.connect(lambda: changes.append("reset"))
    model.dataChanged.connect(lambda first, last: changes.append(f"{first.row()} to {last.row()}"))
    view.show_findings(tuple(replace(finding) for finding in FINDINGS), "metric")
    assert changes == []
    changed = (*FINDINGS[:5], replace(FINDINGS[5], title="Another title"), *FINDINGS[6:])
    view.show_findings(changed, "metric")
    assert changes == ["5 to 5"]


def test_that_two_findings_of_one_rule_at_one_place_are_told_apart() -> None:
    assert len(set(keys_of((LOCKED, replace(LOCKED, title="Again"), TOO_HIGH)))) == 3


def test_that_a_value_just_over_its_limit_never_reads_as_the_limit() -> None:
    shown = dict(measured(replace(TOO_HIGH, value=150.004, margin=-0.004 / 150), "metric"))
    assert shown["limit"] == "150 V"
    assert shown["value"] != "150 V"
    assert float(shown["margin"].removesuffix(" %")) < 0


def test_that_a_word_and_a_number_without_a_limit_are_shown_as_they_are() -> None:
    shown = measured(replace(TOO_HIGH, value="not marked", limit="dc", unit="", margin=None), "metric")
    assert shown == [("value", "not marked"), ("limit", "dc")]
    assert measured(UNKNOWN, "metric") == []


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS)
def test_that_no_text_of_a_card_is_cut_in_any_look(look: Look, view: FindingsView, qtbot: QtBot) -> None:
    view.set_look(look)
    click_card(qtbot, view, 0)
    for label in view.list.findChildren(QLabel):
        assert label.height() >= label.heightForWidth(label.width())
        assert label.mapTo(view.list.viewport(), QPoint(label.width(), 0)).x() <= view.list.viewport().width()
    (body,) = view.list.findChildren(FindingBody)
    assert body.height() >= body.height_in(body.width())


def test_that_a_screen_reader_hears_the_status_and_the_signal_word_first(view: FindingsView) -> None:
    index = view.list.model().index(0, 0)
    spoken = view.list.model().data(index, Qt.ItemDataRole.AccessibleTextRole)
    assert spoken.startswith("fails, DANGER: Array breaker")
    assert "fails" in view.list.model().data(index, Qt.ItemDataRole.ToolTipRole)


# Worked steps


def test_that_symbols_are_lowered_and_powers_raised() -> None:
    assert math_html("V_module = Voc · k", frozenset({"V_module", "k"})) == (
        "<i>V</i><sub>module</sub> = Voc · <i>k</i>"
    )
    assert math_html("4 · d ^ 2", frozenset({"d"})) == "4 · <i>d</i><sup>2</sup>"
    assert math_html("(C / I)^1.2", frozenset()) == "(C / I)<sup>1.2</sup>"
    assert math_html("92 ^ ((36 - g) / 39)", frozenset({"g"})) == "92<sup>(36 − <i>g</i>) / 39</sup>"
    assert math_html("a < b & c", frozenset({"a"})) == "<i>a</i> &#60; b &#38; c"


def test_that_the_result_of_a_formula_is_bold_and_its_numbers_are_not() -> None:
    html = worked_html(COLD, "metric", LIGHT)
    assert re.findall(r"<b>(.*?)</b>", html) == ["= 1.095", "= 54.18\xa0V", "= 162.5\xa0V"]
    assert COLD.sheet.title not in worked_html(COLD, "metric", LIGHT, title=False)


def test_that_an_output_without_a_formula_is_named_in_full() -> None:
    runtime = work(battery.battery_runtime, capacity=200.0, rated_time=20.0, current=25.0, exponent=1.2)
    html = worked_html(runtime, "metric", LIGHT)
    assert "not to be counted on = <b>no</b>" in html


def test_that_a_worked_step_can_be_selected_and_copied(qtbot: QtBot) -> None:
    step = WorkedView()
    qtbot.addWidget(step)
    step.show_worked(COLD, "us")
    assert step.plain() == "\n".join(lines(COLD, "us"))
    (label,) = step.findChildren(QLabel)
    assert label.textInteractionFlags() & Qt.TextInteractionFlag.TextSelectableByKeyboard


# Cautions

# The colours of ANSI Z535.1 as sRGB are the look's own; what matters here is who reads what on which.
DECIDERS = ("local code", "authority having jurisdiction", "maker's instructions", "qualified person")


@pytest.mark.parametrize("place", cautions())
def test_that_every_caution_says_who_decides_and_is_shown_uncut(place: str, qtbot: QtBot) -> None:
    signal, text = cautions()[place]
    assert all(decider in text for decider in DECIDERS)
    panel = CautionPanel(place)
    qtbot.addWidget(panel)
    for look in (LIGHT, DARK, PROJECTOR):
        panel.set_look(look)
        panel.resize(260, 40)
        panel.show()
        word, body = panel.findChildren(QLabel)
        assert word.text().split()[-1] == signal.word
        assert body.height() >= body.heightForWidth(body.width())
    assert panel.accessibleName() == f"{signal.word}: {text}"


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.1, W3C, 2018, "relative luminance")."""
    parts = QColor(colour).getRgbF()[:3]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio (WCAG 2.1, W3C, 2018, 1.4.3); 4.5 is wanted for text."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS)
def test_that_what_is_written_can_be_read_in_every_look(look: Look) -> None:
    for signal in Signal:
        assert contrast(*look.signal(signal)) >= 4.5
    for letters in (look.ink, look.soft, look.fails):
        for ground in (look.sheet, look.field):
            assert contrast(letters, ground) >= 4.5
    assert contrast(look.on_accent, look.water) >= 4.5  # selected text


# Keys


def test_that_the_page_of_keys_lists_the_actions_that_have_one(qtbot: QtBot) -> None:
    with_key, without = QAction("&Open…"), QAction("About")
    with_key.setShortcut("Ctrl+O")
    rows = rows_of([with_key, without])
    assert rows == [("Open…", with_key.shortcut().toString(with_key.shortcut().SequenceFormat.NativeText))]
    dialog = KeysDialog([with_key, without])
    qtbot.addWidget(dialog)
    cells = [dialog.table.item(row, 0).text() for row in range(dialog.table.rowCount())]
    assert "Open…" in cells
    assert "About" not in cells
    assert {what for what, _ in KEYS} <= set(cells)
