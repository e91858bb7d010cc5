"""The help: each trade word explained once, each page true to the window, found by search and by F1."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QHelpEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLineEdit, QWidget
from pytestqt.qtbot import QtBot

from app import glossary, help_pages
from app.dialogs.help import HelpWindow
from app.fields import row
from app.help_html import LABEL, page_html
from app.help_pages import LINK, groups, ids, page, search
from app.look import LIGHT, LOOKS
from app.panes import CLASSES, PLACES
from app.views import label_tips
from app.views.curves import CurvesView
from app.views.label_tips import words_at
from app.views.lettering import noted
from app.views.worked import worked_html
from engine.design import KEYED, SINGLE, About
from engine.physics.worksheets import WORKSHEETS
from engine.worksheet_text import run
from tests.a_window import Hands, copy_of, over

HERE = Path(__file__).resolve().parent.parent
LONGEST = 30  # words in the sentence of a trade word
PLAIN = (
    *("area", "band", "building", "carries", "class", "connects at", "counts of it", "data", "day"),
    *("days", "diameter", "example", "exponent", "far away", "far the wall", "faster than", "feeds"),
    *("full", "heat loss", "height", "highest thing", "how the cold", "kind", "limit", "links"),
    *("marked", "material", "mean cube", "month", "name", "number", "pieces", "place", "purpose"),
    *("ranges", "ratio", "rise", "room", "runs through", "share", "sky", "spark", "stop", "story"),
    *("supply", "table", "takes", "time", "units", "upper over lower", "values", "watches"),
    *("weather file", "where it connects"),
)
"""What needs no word of the trade to be understood; a title has one of these or a trade word."""


def is_plain(title: str) -> bool:
    return any(re.search(rf"\b{re.escape(word)}\b", title.lower()) for word in PLAIN)


@pytest.fixture
def lake(qtbot: QtBot, tmp_path: Path) -> Hands:
    return over(qtbot, copy_of("lake_cabin", tmp_path))


@pytest.fixture
def tips(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The tooltips that are shown: kept, as a screenless platform can't raise one."""
    shown: list[str] = []

    class Kept:
        @staticmethod
        def showText(_at: QPoint, text: str, _widget: QWidget) -> None:
            shown.append(text)

    for module in (row, label_tips):
        monkeypatch.setattr(module, "QToolTip", Kept)
    return shown


def opened(hands: Hands) -> HelpWindow:
    """The help that stands beside the window."""
    found = hands.window.findChild(HelpWindow)
    assert found is not None and found.isVisible()
    return found


def press_f1(hands: Hands) -> HelpWindow:
    hands.window.activateWindow()
    hands.bot.waitUntil(hands.window.isActiveWindow)
    hands.press(Qt.Key.Key_F1)
    return opened(hands)


# The glossary


def test_that_every_field_title_holds_a_trade_word_or_a_plain_one() -> None:
    records = (About, *SINGLE.values(), *KEYED.values())
    specs = [spec for record in records for spec in record.specs().values()]
    lacking = [
        spec.title
        for spec in specs
        if not glossary.words_of_field(spec.title, spec.help) and not is_plain(spec.title)
    ]
    assert not lacking


def test_that_every_worksheet_title_holds_a_trade_word_or_a_plain_one() -> None:
    titles = [item.title for sheet in WORKSHEETS for item in (*sheet.inputs, *sheet.outputs)]
    assert not [title for title in titles if not glossary.words_in(title) and not is_plain(title)]


def test_that_no_sentence_of_the_glossary_is_long() -> None:
    terms = glossary.terms().values()
    assert not [term.word for term in terms if len(term.sentence.split()) > LONGEST]
    assert all(term.sentence.endswith(".") and term.sentence[0].isupper() for term in terms)


def test_that_no_spelling_stands_in_the_glossary_twice() -> None:
    forms = [form.lower() for term in glossary.terms().values() for form in (term.word, *term.also)]
    assert len(forms) == len(set(forms))


def test_that_every_word_to_read_next_is_in_the_glossary() -> None:
    terms = glossary.terms()
    assert not [(term.word, see) for term in terms.values() for see in term.see if see not in terms]


def test_that_of_overlapping_words_the_longest_is_found() -> None:
    assert [term.word for term in glossary.words_in("Open-circuit voltage of the strings")] == [
        "open-circuit voltage",
        "string",
    ]
    assert [term.word for term in glossary.words_in("Solid-state")] == ["solid-state relay"]
    assert glossary.words_in("as well as a stringent heading") == ()


def test_that_a_word_is_marked_once_and_its_text_stays_safe() -> None:
    html = glossary.marked("a fuse < a fuse & more", set())
    assert html.count("title=") == 1
    assert "&lt; a fuse &amp; more" in html


# On hover


def test_that_the_tooltip_of_a_field_ends_with_its_trade_words(lake: Hands, tips: list[str]) -> None:
    lake.window.go_to("arrays.south.tilt")
    field = lake.row("arrays.south.tilt")
    sentence = glossary.terms()["tilt"].sentence
    assert field.told.rstrip("</p>").endswith(sentence)
    assert "Range" in field.told
    at = QPoint(4, 4)
    QApplication.sendEvent(field, QHelpEvent(QHelpEvent.Type.ToolTip, at, field.mapToGlobal(at)))
    assert tips and sentence in tips[0]


def test_that_a_worked_step_marks_each_trade_word_once() -> None:
    sheet = next(sheet for sheet in WORKSHEETS if sheet.id == "pv-cold-voltage")
    worked = run(sheet, {item.name: item.example for item in sheet.inputs if item.required})
    html = worked_html(worked, "metric", LIGHT)
    assert html.count("title='String: ") == html.count("title='Open-circuit voltage: ") == 1


def test_that_a_painted_label_tells_its_words_where_it_stands(lake: Hands) -> None:
    curves = lake.window.shown.findChild(CurvesView)
    assert curves is not None
    with noted() as labels:
        curves.grab()
    box, text = next(label for label in labels if "operates to" in label[1])
    assert words_at(curves, box.center().toPoint()) == glossary.words_in(text)
    assert glossary.words_in(text)[0].word == "operating limit"
    empty = QPoint(1, curves.height() - 1)
    assert words_at(curves, empty) == ()


def test_that_the_window_answers_a_tooltip_over_a_painted_label(lake: Hands, tips: list[str]) -> None:
    curves = lake.window.shown.findChild(CurvesView)
    assert curves is not None
    with noted() as labels:
        curves.grab()
    at = next(box for box, text in labels if "operates to" in text).center().toPoint()
    there = curves.mapTo(lake.window, at)
    event = QHelpEvent(QHelpEvent.Type.ToolTip, there, lake.window.mapToGlobal(there))
    QApplication.sendEvent(lake.window, event)
    assert len(tips) == 1 and glossary.terms()["operating limit"].sentence in tips[0]


# The pages


@cache
def said_in_program() -> frozenset[str]:
    """Every text that the program's code holds: what stands on buttons, menus, headings and in fields."""
    files = [
        *(HERE / "app").rglob("*.py"),
        HERE / "engine" / "design.py",
        *(HERE / "engine/sections").rglob("*.py"),
    ]
    files = [file for file in files if not file.name.startswith("help")]
    texts = {
        node.value
        for file in files
        for node in ast.walk(ast.parse(file.read_text("utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    return frozenset(text.replace("&", "") for text in texts)


def test_that_every_label_quoted_in_the_help_stands_in_the_program(lake: Hands) -> None:
    made = {action.text().replace("&", "") for action in lake.window.actions_made}
    known = said_in_program() | made
    quoted = [(id, label) for id in ids() for block in page(id).blocks for label in LABEL.findall(block.text)]
    assert len(quoted) > 150
    assert not [(id, label) for id, label in quoted if label not in known and id not in help_pages.MADE]


def test_that_every_label_quoted_in_the_readme_stands_in_the_program(lake: Hands) -> None:
    made = {action.text().replace("&", "") for action in lake.window.actions_made}
    told = (HERE / "README.md").read_text("utf-8").split("## The designer")[1].split("## Every command")[0]
    prose = re.sub(r"^(    .*|!\[.*)$", "", told, flags=re.MULTILINE)
    quoted = LABEL.findall(" ".join(prose.split()))
    assert len(quoted) > 20
    assert not [label for label in quoted if label not in said_in_program() | made]


def test_that_every_link_of_the_help_leads_somewhere() -> None:
    places = {name for name, _ in PLACES}
    known = {"page": set(ids()), "place": places, "word": set(glossary.terms())}
    links = [link for id in ids() for block in page(id).blocks for link in LINK.findall(block.text)]
    assert len(links) > 100
    assert not [link for link in links if link[2] not in known[link[1]]]


def test_that_each_pane_has_a_page_and_each_file_a_place_in_the_list() -> None:
    lacking = [name for name in CLASSES if f"pane-{name}" not in ids()]
    assert not lacking, f"a pane wants a page in assets/help and a line in its index.toml: {lacking}"
    files = {path.stem for path in (HERE / "assets" / "help").glob("*.txt")}
    assert files == set(ids()) - help_pages.MADE.keys()
    titles = [page(id).title for id in ids()]
    assert len(titles) == len(set(titles))


def test_that_how_do_i_is_told_in_numbered_steps() -> None:
    for id in ids():
        kinds = [block.kind for block in page(id).blocks]
        assert ("step" in kinds) == id.startswith("how-"), id


def test_that_the_sources_name_how_each_table_was_obtained() -> None:
    from engine import tables

    said = page("sources").plain
    assert all(tables.table(name).title in said for name in tables.names())
    assert "from memory: check it against the text at hand" in said


@pytest.mark.parametrize("look", sorted(LOOKS))
def test_that_every_page_can_be_drawn_in_every_look(look: str) -> None:
    for id in ids():
        assert page(id).title in page_html(page(id), LOOKS[look]).replace("&#x27;", "'")


# Search


def test_that_search_puts_titles_first() -> None:
    hits = search("breaker")
    assert {hit.title for hit in hits[:2]} == {"breaker", "Check the breaker in my hand"}
    assert search("nothing-of-the-kind") == () == search("  ")


def test_that_search_wants_all_words() -> None:
    both = {(hit.page, hit.word) for hit in search("lithium cold")}
    assert ("pane-storage", "") in both
    assert both < {(hit.page, hit.word) for hit in search("lithium")}


# The window


def test_that_f1_opens_the_page_of_each_place(lake: Hands) -> None:
    for place, _title in PLACES:
        lake.window.show_place(place)
        lake.window.line.setFocus()
        assert press_f1(lake).shown.page == f"pane-{place}"


def test_that_f1_on_a_turbine_opens_the_page_of_turbines(lake: Hands) -> None:
    lake.click_piece("wind.mast")
    lake.window.line.setFocus()
    assert press_f1(lake).shown.page == "pane-wind"


def test_that_f1_on_a_field_opens_its_word(lake: Hands) -> None:
    lake.window.go_to("arrays.south.azimuth")
    shown = press_f1(lake).shown
    assert (shown.page, shown.word) == ("glossary", "azimuth")


def test_that_f1_in_the_findings_tells_how_to_read_them(lake: Hands) -> None:
    lake.window.findings.list.setFocus()
    assert press_f1(lake).shown.page == "findings"


def test_that_a_search_lists_what_it_finds_and_marks_it_in_the_page(lake: Hands) -> None:
    help = press_f1(lake)
    QTest.keyClicks(help.search_box, "chatter")
    first = help.list.topLevelItem(0)
    assert first is not None and first.text(0) == "chatter (word)"
    QTest.keyClick(help.search_box, Qt.Key.Key_Return)
    assert help.shown.word == "chatter"
    assert help.text.extraSelections()
    QTest.keyClick(help.search_box, Qt.Key.Key_Escape)
    assert help.isVisible() and help.search_box.text() == "" and not help.text.extraSelections()


def test_that_what_is_not_found_is_said(lake: Hands) -> None:
    help = press_f1(lake)
    QTest.keyClicks(help.search_box, "zzzz")
    assert help.list.topLevelItemCount() == 0 and help.nothing.isVisible()


def test_that_links_lead_to_words_pages_and_places_and_back_again(lake: Hands) -> None:
    help = press_f1(lake)
    help.open_page("how-new-site")
    click_link(help, "unknown")
    assert (help.shown.page, help.shown.word) == ("glossary", "unknown")
    help.back_button.click()
    assert help.shown.page == "how-new-site"
    click_link(help, "Storage")
    assert lake.window.place == "storage"


def test_that_a_click_in_the_list_opens_the_page(lake: Hands) -> None:
    help = press_f1(lake)
    item = help.list.findItems("Size the battery", Qt.MatchFlag.MatchRecursive)[0]
    help.list.scrollToItem(item)
    at = help.list.visualItemRect(item).center()
    QTest.mouseClick(help.list.viewport(), Qt.MouseButton.LeftButton, pos=at)
    assert help.shown.page == "how-battery"


def test_that_the_help_wears_the_look_of_its_window(lake: Hands) -> None:
    help = press_f1(lake)
    small = help.width()
    lake.window.set_look("projector")
    assert f"{LOOKS['projector'].large + 4}px" in help.text.toHtml()
    assert small < help.width() <= 1366


def test_that_one_help_stands_beside_a_window(lake: Hands) -> None:
    first = press_f1(lake)
    first.close()
    lake.window.activateWindow()
    assert press_f1(lake) is first
    assert len(lake.window.findChildren(HelpWindow)) == 1


def test_that_the_help_does_not_stand_in_the_way(lake: Hands) -> None:
    help = press_f1(lake)
    assert not help.isModal()
    lake.type_in("arrays.south.tilt", "40 deg")
    assert lake.entered("arrays.south.tilt") == "40 deg"


def test_that_every_part_of_the_help_has_a_spoken_name(lake: Hands) -> None:
    help = press_f1(lake)
    assert all(part.accessibleName() for part in (help.search_box, help.list, help.text))
    assert all(line.accessibleName() for line in help.findChildren(QLineEdit))
    assert groups()


def click_link(help: HelpWindow, words: str) -> None:
    """Click the words of a link in the page."""
    at = help.text.document().find(words, 0)
    while not at.isNull() and not at.charFormat().anchorHref():
        at = help.text.document().find(words, at)
    assert not at.isNull(), words
    where = help.text.cursorRect(at).center() - QPoint(6, 0)
    QTest.mouseClick(help.text.viewport(), Qt.MouseButton.LeftButton, pos=where)
    QApplication.processEvents()
