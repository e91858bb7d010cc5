"""A worked step to read: the formula, the formula with this run's numbers, the result, the source.

The text is the engine's (``engine.steps.lines``); here it only gets its letters: symbols in italics with
subscripts, powers raised, results bold.
"""

from __future__ import annotations

import re
from html import escape

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtWidgets import QLabel, QSizePolicy, QToolButton, QVBoxLayout, QWidget

from app.glossary import marked
from app.look import LIGHT, Look
from engine.steps import lines, symbols
from engine.worksheet import Worked, Worksheet

SERIF = '"DejaVu Serif", "Noto Serif", serif'
WORD = re.compile(r"[^\W\d]\w*")
POWER = re.compile(r" ?\^ ?(?:\(((?:[^()]|\([^()]*\))+)\)|([-+]?[\w.]+))")
QUANTITY = re.compile(r"(?<=\d) (?=[A-Za-z°µΩ%])")  # between a number and its unit, where no line may break
SELECTABLE = Qt.TextInteractionFlag.TextSelectableByMouse | Qt.TextInteractionFlag.TextSelectableByKeyboard


def math_html(text: str, names: frozenset[str]) -> str:
    """A formula's text as rich text: names in italics, what follows their ``_`` lowered, powers raised."""
    text = QUANTITY.sub("\N{NO-BREAK SPACE}", text)
    text = POWER.sub(lambda match: f"\x01{match[1] or match[2]}\x02", text)
    known = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    html = (
        re.sub(rf"(?<!\w)(?:{known})(?!\w)", lambda match: _name(match[0]), _safe(text))
        if known
        else _safe(text)
    )
    return html.replace("\x01", "<sup>").replace("\x02", "</sup>").replace(" - ", " − ")


def formula_html(sheet: Worksheet) -> str:
    """A worksheet's formulas as rich text, a line each, in the symbols of its worked steps."""
    known = symbols(sheet)
    named = (WORD.sub(lambda match: known.get(match[0], match[0]), text) for text in sheet.expression)
    tidy = (text.replace(" * ", " · ").replace("degC", "°C") for text in named)
    return "".join(
        _line(math_html(text, frozenset(known.values())), serif=True, above=6, hang=20) for text in tidy
    )


def _safe(text: str) -> str:
    """Escaped, by characters that hold no letters, so that a name can't be found inside an entity."""
    return text.replace("&", "&#38;").replace("<", "&#60;").replace(">", "&#62;")


def _name(name: str) -> str:
    base, _, lowered = name.partition("_")
    if not lowered or len(base) > 1:
        return f"<i>{name}</i>"
    return f"<i>{base}</i><sub>{lowered}</sub>"


def worked_html(worked: Worked, habit: str, look: Look, *, title: bool = True) -> str:
    """A worked step as rich text in a look's colours and sizes."""
    head, *rest, source = lines(worked, habit)
    names = frozenset(symbols(worked.sheet).values())
    results = {symbols(worked.sheet)[output.name] for output in worked.sheet.outputs}
    seen: set[str] = set()
    parts = [_line(marked(head, seen), bold=True, above=0)] if title else []
    left = ""
    for text, after in zip(rest, [*rest[1:], ""], strict=True):
        if text.startswith("  = "):
            body = math_html(text.strip(), frozenset())
            if left in results and not after.startswith("  = "):
                parts.append(_line(f"<b>{body}</b>", serif=True, indent=20, hang=16))
            else:
                parts.append(_line(body, serif=True, indent=20, hang=16, colour=look.soft))
        elif text.partition(" = ")[0] in names or after.startswith("  = "):
            left = text.partition(" = ")[0]
            parts.append(_line(math_html(text, names), serif=True, above=6, hang=20))
        else:  # an input before the formulas, or an output after them that no formula gives
            parts.append(_line(_named(text, names, seen, bold=bool(left)), above=4, hang=20))
    parts.append(_line(escape(source), above=8, colour=look.soft, size=look.small))
    return "".join(parts)


def _named(text: str, names: frozenset[str], seen: set[str], *, bold: bool) -> str:
    """An input or output with its title, its trade words marked; a symbol behind it stands in its letters."""
    left, _, right = QUANTITY.sub("\N{NO-BREAK SPACE}", text).rpartition(" = ")
    title, comma, symbol = left.rpartition(", ")
    named = bool(comma) and symbol in names
    written = f"{marked(title, seen)}, {_name(symbol)}" if named else marked(left, seen)
    return f"{written} = <b>{escape(right)}</b>" if bold else f"{written} = {escape(right)}"


def _line(
    html: str,
    *,
    bold: bool = False,
    serif: bool = False,
    above: int = 2,
    indent: int = 0,
    hang: int = 0,
    colour: str = "",
    size: int = 0,
) -> str:
    style = f"margin: {above}px 0 0 {indent + hang}px; text-indent: {-hang}px;"
    style += " font-weight: bold;" if bold else ""
    style += f" color: {colour};" if colour else ""
    style += f" font-size: {size}px;" if size else ""
    inner = f"<span style='font-family: {SERIF};'>{html}</span>" if serif else html
    return f'<p style="{style}">{inner}</p>'


class RichLabel(QLabel):
    """Wrapped rich text that can be selected and copied; it measures itself once a text and width."""

    def __init__(self, name: str = "") -> None:
        super().__init__()
        self._heights: dict[int, int] = {}
        self.setWordWrap(True)
        self.setTextFormat(Qt.TextFormat.RichText)
        self.setTextInteractionFlags(SELECTABLE)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.MinimumExpanding)
        self.setAccessibleName(name)

    def setText(self, text: str) -> None:
        """Show a text; nothing is done where it stands already."""
        if text != self.text():
            self._heights.clear()
            super().setText(text)

    def heightForWidth(self, width: int) -> int:
        """The height of the text in a width; a layout asks for it many times."""
        if width not in self._heights:
            self._heights[width] = super().heightForWidth(width)
        return self._heights[width]

    def minimumSizeHint(self) -> QSize:
        """Its width is given from outside, and its height follows."""
        return QSize(0, 0)

    def sizeHint(self) -> QSize:
        """As for the least size; the layout goes by the height for its width."""
        return QSize(0, 0)

    def changeEvent(self, event: QEvent) -> None:
        """Other letters have other heights."""
        super().changeEvent(event)
        if event.type() in (QEvent.Type.FontChange, QEvent.Type.StyleChange):
            self._heights.clear()


class WorkedView(QWidget):
    """One worked step; ``opened(worksheet id, inputs)`` asks for it in the Worksheets pane."""

    opened = Signal(str, object)

    def __init__(self, *, title: bool = True, can_open: bool = True) -> None:
        super().__init__()
        self._look = LIGHT
        self._title = title
        self._worked: Worked | None = None
        self._habit = "metric"
        self._text = RichLabel("Worked step")
        self._open = QToolButton()
        self._open.setText("Open worksheet")
        self._open.setToolTip("Open this calculation with these numbers, to change them")
        self._open.setVisible(can_open)
        self._open.clicked.connect(self._ask)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self._text)
        column.addWidget(self._open, alignment=Qt.AlignmentFlag.AlignLeft)

    def show_worked(self, worked: Worked, habit: str) -> None:
        """Show a step in a habit of units."""
        if (worked, habit) == (self._worked, self._habit):
            return
        self._worked, self._habit = worked, habit
        self._open.setAccessibleName(f"Open worksheet: {worked.sheet.title}")
        self._draw()

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self._draw()

    def plain(self) -> str:
        """The step as text."""
        return "" if self._worked is None else "\n".join(lines(self._worked, self._habit))

    def _draw(self) -> None:
        if self._worked is not None:
            self._text.setText(worked_html(self._worked, self._habit, self._look, title=self._title))

    def _ask(self) -> None:
        if self._worked is not None:
            self.opened.emit(self._worked.sheet.id, dict(self._worked.inputs))
