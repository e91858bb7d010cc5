"""The help: a list and a search at the left, a page at the right, beside the window and not in its way."""

from __future__ import annotations

from urllib.parse import quote, unquote

from PySide6.QtCore import QEvent, Qt, QUrl, Signal
from PySide6.QtGui import QColor, QKeyEvent, QKeySequence, QShortcut, QTextCharFormat, QTextCursor
from PySide6.QtWidgets import (
    QDialog,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QSplitter,
    QTextBrowser,
    QTextEdit,
    QTreeWidget,
    QTreeWidgetItem,
    QTreeWidgetItemIterator,
    QVBoxLayout,
    QWidget,
)

from app.help_html import page_html
from app.help_pages import Hit, groups, page, search
from app.look import LIGHT, Look

SIZE = (920, 640)
LIST_WIDTH = 272
MARGIN = 20  # round the text of a page, in pixels
HIT = Qt.ItemDataRole.UserRole
FEW = 2  # letters from which on a search says something
ABOVE = 12  # pixels over a word that is opened
DISTANCE = 80  # pixels from the top at which the first word found comes to stand


class HelpWindow(QDialog):
    """The help window; ``place_asked(name)`` when a link leads to a place of the main window."""

    place_asked = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Help")
        self.setModal(False)
        self._look: Look = LIGHT
        self._now = Hit("", "")
        self._back: list[Hit] = []
        self.search_box = QLineEdit()
        self.search_box.setPlaceholderText("Search the help")
        self.search_box.setAccessibleName("Search the help")
        self.search_box.setClearButtonEnabled(True)
        self.search_box.textChanged.connect(self._search)
        self.search_box.returnPressed.connect(self._take_first)
        self.list = QTreeWidget()
        self.list.setHeaderHidden(True)
        self.list.setStyleSheet("QTreeWidget::item { padding: 2px 0; }")
        self.list.setAccessibleName("Pages")
        self.list.currentItemChanged.connect(lambda item, _before: self._chosen(item))
        self.nothing = QLabel("Nothing holds all these words. Try fewer, or one in the singular.")
        self.nothing.setObjectName("note")
        self.nothing.setWordWrap(True)
        self.nothing.hide()
        self.text = QTextBrowser()
        self.text.setOpenLinks(False)
        self.text.setAccessibleName("Page")
        self.text.anchorClicked.connect(self.follow)
        self.text.document().setDocumentMargin(MARGIN)
        self.back_button = QPushButton("Back")
        self.back_button.setToolTip("The page before (Alt+Left)")
        self.back_button.setAutoDefault(False)
        self.back_button.clicked.connect(self.go_back)
        QShortcut(QKeySequence("Alt+Left"), self, self.go_back)
        QShortcut(QKeySequence("Ctrl+F"), self, self._to_search)
        self._lay_out()
        self._list_pages()

    def _lay_out(self) -> None:
        left = QWidget()
        column = QVBoxLayout(left)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        head = QHBoxLayout()
        head.setSpacing(8)
        head.addWidget(self.search_box, 1)
        head.addWidget(self.back_button)
        column.addLayout(head)
        column.addWidget(self.nothing)
        column.addWidget(self.list, 1)
        split = self._split = QSplitter(Qt.Orientation.Horizontal)
        split.setChildrenCollapsible(False)
        split.addWidget(left)
        split.addWidget(self.text)
        split.setStretchFactor(1, 1)
        split.setSizes([LIST_WIDTH, SIZE[0] - LIST_WIDTH])
        around = QHBoxLayout(self)
        around.setContentsMargins(12, 12, 12, 12)
        around.addWidget(split)
        self.resize(*SIZE)

    def set_look(self, look: Look) -> None:
        """Wear a look; the page keeps its place."""
        if look is not self._look:
            if look.text != self._look.text:
                self._make_room(look)
            self._look = look
            at = self.text.verticalScrollBar().value()
            self._draw()
            self.text.verticalScrollBar().setValue(at)

    def _make_room(self, look: Look) -> None:
        """Larger letters get a wider window and list; the height is the screen's."""
        wide = round(SIZE[0] * look.text / LIGHT.text)
        left = round(LIST_WIDTH * look.text / LIGHT.text)
        self.resize(wide, self.height())
        self._split.setSizes([left, wide - left])

    @property
    def shown(self) -> Hit:
        """The page and word that are shown."""
        return self._now

    def open_page(self, id: str = "", word: str = "") -> None:
        """Show a page, at a word of it; the first where none is named and none is shown."""
        id = id or self._now.page or groups()[0][1][0]
        hit = Hit(id, word or page(id).title, word)
        if hit != self._now:
            if self._now.page:
                self._back.append(self._now)
            self._show(hit)
        self._mark_in_list()

    def go_back(self) -> None:
        """Show the page before."""
        if self._back:
            self._show(self._back.pop())
            self._mark_in_list()

    def follow(self, url: QUrl) -> None:
        """Go where a link leads."""
        kind, _, target = unquote(url.toString()).partition(":")
        if kind == "page":
            self.open_page(target)
        elif kind == "word":
            self.open_page("glossary", target)
        else:
            self.place_asked.emit(target)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape empties the search first, and closes the help then."""
        if event.key() == Qt.Key.Key_Escape and self.search_box.text():
            self.search_box.clear()
            return
        super().keyPressEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        """Another look of the main window reaches the page too."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.StyleChange:
            look = getattr(self.parent(), "look", None)
            if isinstance(look, Look):
                self.set_look(look)

    def _show(self, hit: Hit) -> None:
        before, self._now = self._now.page, hit
        if hit.page != before:
            self._draw()
        if hit.word:
            self._scroll_to_word(hit.word)
        self.back_button.setEnabled(bool(self._back))

    def _draw(self) -> None:
        if self._now.page:
            self.text.setHtml(page_html(page(self._now.page), self._look))
            self._highlight()
            if self._now.word:
                self._scroll_to_word(self._now.word)

    def _scroll_to_word(self, word: str) -> None:
        """Put a word of the glossary near the top."""
        self.text.scrollToAnchor(quote(word))
        bar = self.text.verticalScrollBar()
        bar.setValue(bar.value() - ABOVE)

    def _highlight(self) -> None:
        """Mark what is searched for, and scroll to the first of it where that is out of sight."""
        document = self.text.document()
        found = []
        for word in self._asked():
            at = document.find(word)
            while not at.isNull():
                found.append(at)
                at = document.find(word, at)
        self.text.setExtraSelections([_mark(at, self._look) for at in found])
        if found and not self._now.word:
            bar = self.text.verticalScrollBar()
            first = min(found, key=lambda at: at.selectionStart())
            top = self.text.cursorRect(first).top() + bar.value()
            bar.setValue(top - DISTANCE if top > self.text.viewport().height() - DISTANCE else 0)

    def _asked(self) -> list[str]:
        text = self.search_box.text().strip()
        return text.split() if len(text) >= FEW else []

    def _search(self) -> None:
        asked = self._asked()
        hits = search(" ".join(asked)) if asked else ()
        self.nothing.setVisible(bool(asked) and not hits)
        if asked:
            self._list_hits(hits)
        else:
            self._list_pages()
        self._highlight()

    def _list_pages(self) -> None:
        self.list.clear()
        for title, ids in groups():
            group = _item(title, None)
            letters = group.font(0)
            letters.setBold(True)
            group.setFont(0, letters)
            group.addChildren([_item(page(id).title, Hit(id, page(id).title)) for id in ids])
            self.list.addTopLevelItem(group)
        self.list.setRootIsDecorated(True)
        self.list.expandAll()
        self._mark_in_list()

    def _list_hits(self, hits: tuple[Hit, ...]) -> None:
        self.list.clear()
        self.list.setRootIsDecorated(False)
        self.list.addTopLevelItems(
            [_item(f"{hit.title} (word)" if hit.word else hit.title, hit) for hit in hits]
        )

    def _items(self) -> list[QTreeWidgetItem]:
        every = QTreeWidgetItemIterator(self.list)
        found = []
        while (item := every.value()) is not None:
            found.append(item)
            every += 1
        return found

    def _mark_in_list(self) -> None:
        """Select what is shown, without choosing it anew."""
        for item in self._items():
            hit = item.data(0, HIT)
            if isinstance(hit, Hit) and (hit.page, hit.word) in (
                (self._now.page, self._now.word),
                (self._now.page, ""),
            ):
                self.list.setCurrentItem(item)
                return

    def _chosen(self, item: QTreeWidgetItem | None) -> None:
        hit = None if item is None else item.data(0, HIT)
        if isinstance(hit, Hit) and (hit.word or hit.page != self._now.page):
            self.open_page(hit.page, hit.word)

    def _take_first(self) -> None:
        first = self.list.topLevelItem(0)
        if self._asked() and first is not None:
            self.list.setCurrentItem(first)
            self.list.setFocus()

    def _to_search(self) -> None:
        self.search_box.setFocus()
        self.search_box.selectAll()


def _mark(at: QTextCursor, look: Look) -> QTextEdit.ExtraSelection:
    mark = QTextEdit.ExtraSelection()
    letters = QTextCharFormat()
    letters.setBackground(QColor(look.sun))
    letters.setForeground(QColor("#000000"))
    mark.cursor, mark.format = at, letters
    return mark


def _item(text: str, hit: Hit | None) -> QTreeWidgetItem:
    item = QTreeWidgetItem([text])
    item.setData(0, HIT, hit)
    item.setToolTip(0, text)
    if hit is None:
        item.setFlags(Qt.ItemFlag.ItemIsEnabled)
    return item
