"""Help for where the hand is: F1 on a field opens its trade word, elsewhere the page of the pane."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QApplication, QComboBox, QLineEdit, QWidget

from app.fields.row import FieldRow
from app.glossary import Term, words_in, words_of_field
from app.help_pages import page_of_pane
from app.views.findings import FindingsView

if TYPE_CHECKING:
    from app.dialogs.help import HelpWindow
    from app.window import Window

GLOSSARY = "glossary"


def open_help(window: Window, page: str = "", word: str = "") -> HelpWindow:
    """Open the help beside a window, at a page or a word; made when it is first asked for."""
    from app.dialogs.help import HelpWindow

    found = window.findChild(HelpWindow)
    if found is None:
        found = HelpWindow(window)
        found.set_look(window.look)
        found.place_asked.connect(lambda name: _lead(window, name))
    found.open_page(page, word)
    found.show()
    found.activateWindow()
    return found


def help_here(window: Window) -> HelpWindow:
    """Open the help on what has the focus, or on the pane that is shown."""
    focus = QApplication.focusWidget()
    words = () if focus is None else words_at(focus)
    if words:
        return open_help(window, GLOSSARY, words[0].word)
    if focus is not None and _within(focus, FindingsView) is not None:
        return open_help(window, "findings")
    return open_help(window, page_of_pane(type(window.shown).__module__.rpartition(".")[2]))


def words_at(focus: QWidget) -> tuple[Term, ...]:
    """The trade words of the field that has the focus."""
    row = _within(focus, FieldRow)
    if isinstance(row, FieldRow):
        return words_of_field(row.spec.title, row.spec.help)
    return words_in(focus.accessibleName()) if isinstance(focus, QLineEdit | QComboBox) else ()


def _within(widget: QWidget, kind: type[QWidget]) -> QWidget | None:
    at: QWidget | None = widget
    while at is not None and not isinstance(at, kind):
        at = at.parentWidget()
    return at


def _lead(window: Window, name: str) -> None:
    window.show_place(name)
    window.activateWindow()
