"""Every pane in every look: texts read on what is behind them, fit their room, and stand in nobody's way.

Contrast is that of W3C, Web Content Accessibility Guidelines (WCAG) 2.1: 1.4.3 asks 4.5 to 1 of text
(controls that can't be used are exempt), 1.4.11 asks 3 to 1 of what must be seen to understand a picture.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest
from PySide6.QtCore import QPoint, QPointF, QRectF
from PySide6.QtGui import QColor, QImage, QPainter, Qt, QTextDocument
from PySide6.QtWidgets import QAbstractButton, QLabel, QWidget
from pytestqt.qtbot import QtBot

from app.fields.controls import Choice
from app.look import LOOKS, Look
from app.panes import PLACES
from app.views.fitted import FittedLabel
from app.views.lettering import Letters, contrast, line_colour, noted
from engine.finding import Signal, Status
from tests.a_window import Hands, copy_of, over

TEXT, STROKE = 4.5, 3.0
PIECES = ("wind", "inverters", "generators", "diversions", "relays")
WALKS = {"lake_cabin": (*(name for name, _ in PLACES), *PIECES), "mountain_farm": ("hydro", "protection")}
"""Each place, and each kind of piece that has a pane of its own."""
NEAR = 1.0  # pixels that rounding may take


def walked(hands: Hands, look: str) -> Iterator[str]:
    """Walk over the panes in a look; where the hand is."""
    hands.window.set_look(look)
    assert hands.session.path is not None
    for name in WALKS[hands.session.path.stem]:
        if name in dict(PLACES):
            hands.session.select("")
            hands.window.show_place(name)
        else:
            hands.window.choose(f"{name}.{getattr(hands.design, name)[0].id}")
        hands.settle()
        yield name


def painters(hands: Hands) -> list[QWidget]:
    """The visible views that paint themselves."""
    views = [each for each in hands.window.findChildren(QWidget) if each.isVisible()]
    return [
        each
        for each in views
        if any(
            "paintEvent" in vars(kind) and kind.__module__.startswith("app.views")
            for kind in type(each).__mro__
        )
    ]


@pytest.fixture(params=WALKS)
def hands(request: pytest.FixtureRequest, qtbot: QtBot, tmp_path: Path) -> Hands:
    return over(qtbot, copy_of(request.param, tmp_path))


@pytest.mark.slow
@pytest.mark.parametrize("look", LOOKS)
def test_that_the_window_stays_within_a_small_screen(hands: Hands, look: str) -> None:
    for where in walked(hands, look):
        size, least = hands.window.size(), hands.window.minimumSizeHint()
        assert (size.width(), size.height()) == (1366, 768), where
        assert least.width() <= 1280 and least.height() <= 680, where


@pytest.mark.slow
@pytest.mark.parametrize("look", LOOKS)
def test_that_no_text_is_cut(hands: Hands, look: str) -> None:
    cut = [f"{where}: {told}" for where in walked(hands, look) for told in _cut(hands)]
    assert not cut, "\n".join(dict.fromkeys(cut))


def _cut(hands: Hands) -> Iterator[str]:
    """What does not fit; what is elided on purpose tells its whole text on hover, and is left out."""
    for each in hands.window.findChildren(QWidget):
        if not each.isVisible() or isinstance(each, FittedLabel | Choice):
            continue
        metrics, room = each.fontMetrics(), each.contentsRect()
        if isinstance(each, QLabel) and each.text():
            plain = _plain(each.text())
            if each.wordWrap():
                words = plain.replace("-", "- ").split()
                if max(map(metrics.horizontalAdvance, words), default=0) > room.width() + NEAR:
                    yield f"a word of {plain!r}"
                if each.heightForWidth(each.width()) > each.height() + NEAR:
                    yield f"lines of {plain!r}"
            elif metrics.horizontalAdvance(plain) > room.width() + NEAR:
                yield repr(plain)
        elif isinstance(each, QAbstractButton) and each.text():
            text = each.text().replace("&", "")
            if metrics.horizontalAdvance(text) > each.width() or metrics.height() > each.height():
                yield repr(text)


def _plain(text: str) -> str:
    if not Qt.mightBeRichText(text):
        return text
    document = QTextDocument()
    document.setHtml(text)
    return document.toPlainText()


def test_that_a_choice_that_is_cut_ends_in_an_ellipsis_and_is_told_whole(
    qtbot: QtBot, tmp_path: Path
) -> None:
    hands = over(qtbot, copy_of("lake_cabin", tmp_path))
    hands.window.go_to("arrays.south.controller")
    row, choice = hands.row("arrays.south.controller"), hands.choice("arrays.south.controller")
    assert choice.is_cut and row.told.find(choice.currentText()) >= 0
    assert not hands.choice("arrays.south.mounting").is_cut


def test_that_a_fitted_label_is_cut_to_its_room_and_keeps_its_text(qtbot: QtBot) -> None:
    label = FittedLabel()
    qtbot.addWidget(label)
    label.setText("Load table, the mean day of September")
    label.resize(120, 20)
    assert label.seen.endswith("…") and label.text().endswith("September")
    assert label.fontMetrics().horizontalAdvance(label.seen) <= 120
    label.resize(label.sizeHint())
    assert label.seen == label.text()


@pytest.mark.slow
@pytest.mark.parametrize("look", LOOKS)
def test_that_painted_texts_stay_in_their_picture_and_off_each_other(hands: Hands, look: str) -> None:
    wrong: list[str] = []
    for where in walked(hands, look):
        for view in painters(hands):
            with noted() as all_notes:
                view.grab()
            inside = QRectF(view.rect()).adjusted(-NEAR, -NEAR, NEAR, NEAR)
            notes = [(box, text) for box, text in all_notes if text.strip()]
            seen = f"{where}, {type(view).__name__}"
            if not _scrolls(view):
                wrong += [f"{seen}: {text!r} leaves it" for box, text in notes if not inside.contains(box)]
                wrong += [
                    f"{seen}: {one[1]!r} on {other[1]!r}"
                    for one, other in combinations(notes, 2)
                    if one[1] != other[1] and _overlap(one[0], other[0])
                ]
    assert not wrong, "\n".join(dict.fromkeys(wrong))


def _scrolls(view: QWidget) -> bool:
    """Whether part of it is out of sight: what is noted there is not seen."""
    bar = getattr(view, "verticalScrollBar", None)
    return bar is not None and bar().maximum() > 0


def _overlap(one: QRectF, other: QRectF) -> bool:
    """Whether letters of one touch letters of another: the line's height has air above and below."""
    both = one.adjusted(1, 3, -1, -3) & other.adjusted(1, 3, -1, -3)
    return both.width() > 0 and both.height() > 0


@pytest.mark.slow
@pytest.mark.parametrize("look", LOOKS)
def test_that_painted_texts_read_on_what_is_behind_them(
    hands: Hands, look: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[tuple[QRectF, str, QColor]] = []
    first = Letters.draw

    def draw(
        self: Letters, painter: QPainter, x: float, middle: float, text: str, colour: str | QColor
    ) -> None:
        first(self, painter, x, middle, text, colour)
        box = QRectF(x, middle - self.height / 2, self.width(text), self.height)
        drawn.append((painter.worldTransform().mapRect(box), text, QColor(colour)))

    monkeypatch.setattr(Letters, "draw", draw)
    wrong: dict[str, float] = {}
    for where in walked(hands, look):
        picture = pixels(hands.window)
        for view in [view for view in painters(hands) if not _scrolls(view)]:
            drawn.clear()
            view.grab()
            corner = QPointF(view.mapTo(hands.window, QPoint()))
            for box, text, colour in [each for each in drawn if each[1].strip()]:
                ground = _ground(picture, box.translated(corner), colour)
                if ground is not None and contrast(colour, ground) < TEXT:
                    told = f"{where}, {type(view).__name__}: {text!r} {colour.name()} on {ground.name()}"
                    wrong[told] = round(contrast(colour, ground), 2)
    assert not wrong


def pixels(widget: QWidget) -> npt.NDArray[np.uint32]:
    """What a widget shows, ``0xffrrggbb[y, x]``."""
    image = widget.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    return np.frombuffer(image.constBits(), np.uint32).reshape(image.height(), -1)[:, : image.width()].copy()


def _ground(picture: npt.NDArray[np.uint32], box: QRectF, ink: QColor) -> QColor | None:
    """The colour that most of a text stands on."""
    inside = box.toAlignedRect()
    part = picture[max(inside.top(), 0) : inside.bottom(), max(inside.left(), 0) : inside.right()]
    colours, counts = np.unique(part[part != ink.rgb()], return_counts=True)
    return QColor.fromRgb(int(colours[np.argmax(counts)])) if colours.size else None


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS.keys())
def test_that_words_of_panels_buttons_and_selections_read(look: Look) -> None:
    pairs = [look.signal(signal) for signal in Signal]
    pairs += [(look.accent, look.on_accent), (look.water, look.on_accent)]
    pairs += [(look.hairline, look.ink), (look.sheet, look.fails), (look.field, look.soft)]
    for ground, ink in pairs:
        assert contrast(QColor(ground), QColor(ink)) >= TEXT, (ground, ink)


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS.keys())
def test_that_marks_focus_and_bad_fields_stand_out_from_what_is_round_them(look: Look) -> None:
    for ground in (look.sheet, look.paper, look.field):
        for colour in (*(look.status(status) for status in Status), look.water, look.fails, look.soft):
            assert contrast(QColor(colour), QColor(ground)) >= STROKE, (colour, ground)


@pytest.mark.parametrize("look", LOOKS.values(), ids=LOOKS.keys())
def test_that_the_line_of_every_source_stands_out_and_keeps_its_hue(look: Look) -> None:
    for name in ("sun", "wind", "water", "battery", "loads"):
        line, area = line_colour(look, name), QColor(look.source(name))
        assert contrast(line, QColor(look.sheet)) >= STROKE, name
        assert abs(line.hsvHue() - area.hsvHue()) <= 2
        if contrast(area, QColor(look.sheet)) >= STROKE:
            assert line.name() == area.name()
