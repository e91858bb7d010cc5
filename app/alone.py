"""One picture of a pane alone over the whole screen, in large type and thick strokes, for a projector.

The very widget moves here and back, so that it goes on following every slider and edit.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, Qt, Signal
from PySide6.QtGui import QCursor, QKeySequence, QShortcut
from PySide6.QtWidgets import (
    QAbstractScrollArea,
    QApplication,
    QComboBox,
    QHBoxLayout,
    QMainWindow,
    QPushButton,
    QSizePolicy,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.look import LIGHT, Look
from app.pane import Pane
from app.views.told import ToldView

VIEWS = "app.views."
LINES = 36  # of type on the height of the picture
LARGEST = 30  # pixels of type
UNBOUND = 16777215  # Qt's own greatest size of a widget


def pictures_of(pane: object) -> list[Any]:
    """Every picture of a pane that paints itself, also one behind another; its form is left out."""
    if not isinstance(pane, Pane):
        return []
    items = (pane.picture.itemAt(at) for at in range(pane.picture.count()))
    roots = [item.widget() for item in items if item is not None]
    return [found for root in roots if root is not None for found in _inside(root)]


def _inside(widget: QWidget) -> Iterator[QWidget]:
    grows = widget.sizePolicy().verticalPolicy() == QSizePolicy.Policy.Expanding
    whole = isinstance(widget, ToldView) or (grows and _paints_itself(widget))
    if whole and hasattr(widget, "set_look"):
        yield widget
        return
    for child in widget.children():
        if isinstance(child, QWidget):
            yield from _inside(child)


def _paints_itself(widget: QWidget) -> bool:
    kinds = (kind for kind in type(widget).__mro__ if kind.__module__.startswith(VIEWS))
    return any("paintEvent" in vars(kind) for kind in kinds)


class Alone(QWidget):
    """The place of the one picture; the parts of the window that go ``aside`` for it come back after it.

    ``stands(on)`` when a picture begins or ends to stand alone.
    """

    stands = Signal(bool)

    def __init__(self, aside: Sequence[QWidget]) -> None:
        super().__init__()
        self._aside = aside
        self._before, self._bounds = Qt.WindowState.WindowNoState, QRect()
        self._look: Look = LIGHT
        self._pane: Pane | None = None
        self._picture: Any = None
        self._place = QWidget()  # keeps the picture's place in the pane
        self._most = UNBOUND
        self.choice = QComboBox()
        self.choice.setAccessibleName("Picture")
        self.choice.setStyleSheet("QComboBox { combobox-popup: 0; }")  # a list under it: all are seen at once
        self.choice.activated.connect(self._turn)
        self.back = QPushButton("Back (Esc)")
        self.back.clicked.connect(self.leave)
        row = QHBoxLayout()
        row.addWidget(self.choice)
        row.addStretch(1)
        row.addWidget(self.back)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.addLayout(row)
        self._escape = QShortcut(QKeySequence(Qt.Key.Key_Escape), self)
        self._escape.setContext(Qt.ShortcutContext.WindowShortcut)
        self._escape.activated.connect(self.leave)
        self._escape.setEnabled(False)
        self.hide()

    @property
    def picture(self) -> Any:
        """The picture that stands alone; ``None`` where none does."""
        return self._picture

    def follow(self, pane: object) -> None:
        """Watch for a double click on the pictures of the pane that is shown; another's goes back."""
        if self._pane is not None and self._pane is not pane:
            self.leave()
        for picture in pictures_of(pane):
            touched = picture.viewport() if isinstance(picture, QAbstractScrollArea) else picture
            if touched.property("watched") is None:
                touched.setProperty("watched", True)
                touched.installEventFilter(self)

    def wear(self, look: Look) -> None:
        """Wear a look, larger."""
        self._look = look
        if self._picture is not None:
            self._enlarge()

    def toggle(self, pane: object) -> bool:
        """The picture in hand alone, or back to the pane; whether there was one."""
        if self._picture is not None:
            self.leave()
            return True
        picture = _in_hand(pictures_of(pane))
        if picture is None or not isinstance(pane, Pane):
            return False
        self.show_alone(pane, picture)
        return True

    def show_alone(self, pane: Pane, picture: Any) -> None:
        """Take a picture out of its pane."""
        seen = [each for each in pictures_of(pane) if each.isVisibleTo(pane)]
        seen.sort(key=lambda each: (each.mapTo(pane, QPoint()).y(), each.mapTo(pane, QPoint()).x()))
        self._pane = pane
        self.choice.clear()
        for number, each in enumerate(seen, 1):
            self.choice.addItem(each.accessibleName() or f"Picture {number}", each)
        self.choice.setCurrentIndex(seen.index(picture))
        self.choice.setVisible(len(seen) > 1)
        self._take(picture)
        self._clear(True)
        self.show()
        self._escape.setEnabled(True)
        picture.setFocus()

    def leave(self) -> None:
        """Put the picture back where it was."""
        if self._picture is None:
            return
        self._give_back()
        self._pane = None
        self._escape.setEnabled(False)
        self.hide()
        self._clear(False)

    def _clear(self, on: bool) -> None:
        """Give the whole screen to the picture and the conditions below it, or take it back."""
        window = self.window()
        self.stands.emit(on)
        for part in self._aside:
            part.setVisible(not on)
        if isinstance(window, QMainWindow):  # a bar that is hidden would hear no keys
            window.menuBar().setMaximumHeight(0 if on else UNBOUND)
        if on:
            self._before, self._bounds = window.windowState(), window.geometry()
            window.setWindowState(self._before | Qt.WindowState.WindowFullScreen)
            return
        window.setWindowState(self._before)
        if self._before == Qt.WindowState.WindowNoState:
            window.setGeometry(self._bounds)  # not every window system brings it back by itself

    def _turn(self, at: int) -> None:
        picture = self.choice.itemData(at)
        if picture is not None and picture is not self._picture:
            self._give_back()
            self._take(picture)
            picture.setFocus()

    def _take(self, picture: Any) -> None:
        self._picture, self._most = picture, picture.maximumHeight()
        _swap(picture, self._place)
        picture.setMaximumHeight(UNBOUND)
        self._column.addWidget(picture, 1)
        if hasattr(picture, "stand_alone"):
            picture.stand_alone(True)
        picture.show()
        self._enlarge()

    def _give_back(self) -> None:
        picture, self._picture = self._picture, None
        self._column.removeWidget(picture)
        _swap(self._place, picture)
        self._place.setParent(None)
        picture.setMaximumHeight(self._most)
        if hasattr(picture, "stand_alone"):
            picture.stand_alone(False)
        picture.set_look(self._look)
        picture.show()

    def _enlarge(self) -> None:
        """Type for the height that there is, and strokes with it."""
        high = self.window().height()
        text = max(self._look.text + 4, min(high // LINES, LARGEST))
        self._picture.set_look(replace(self._look, text=text, stroke=self._look.stroke + 1))

    def resizeEvent(self, _event: object) -> None:
        if self._picture is not None:
            self._enlarge()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """A double click on a picture brings it here, and on this one back; a zoom goes first."""
        if event.type() != QEvent.Type.MouseButtonDblClick:
            return False
        picture = next((each for each in _upward(watched) if hasattr(each, "set_look")), None)
        if picture is None or getattr(picture, "zoomed", False):
            return False
        if picture is self._picture:
            self.leave()
            return True
        pane = next((each for each in _upward(watched) if isinstance(each, Pane)), None)
        if pane is None or picture not in pictures_of(pane):
            return False
        self.show_alone(pane, picture)
        return True


def _upward(watched: QObject | None) -> Iterator[QObject]:
    while watched is not None:
        yield watched
        watched = watched.parent()


def _in_hand(pictures: list[Any]) -> Any:
    """The picture with the focus, else under the pointer, else the largest that is seen; else none."""
    seen = [picture for picture in pictures if picture.isVisible()]
    focused, under = QApplication.focusWidget(), QCursor.pos()
    for picture in seen:
        if focused is not None and (picture is focused or picture.isAncestorOf(focused)):
            return picture
    for picture in seen:
        if picture.rect().contains(picture.mapFromGlobal(QPoint(under))):
            return picture
    return max(seen, key=lambda picture: picture.width() * picture.height(), default=None)


def _swap(widget: QWidget, other: QWidget) -> None:
    """Put another widget in the place of one, wherever that stands; the splitter's sizes stay."""
    parent = widget.parentWidget()
    if isinstance(parent, QSplitter):
        sizes, at = parent.sizes(), parent.indexOf(widget)
        parent.replaceWidget(at, other)
        parent.setSizes(sizes)
    elif isinstance(parent, QStackedWidget):
        at, current = parent.indexOf(widget), parent.currentIndex()
        parent.removeWidget(widget)
        parent.insertWidget(at, other)
        parent.setCurrentIndex(current)
    else:
        layout = None if parent is None else parent.layout()
        assert layout is not None, type(parent).__name__
        layout.replaceWidget(widget, other)
    other.show()
