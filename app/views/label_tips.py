"""The trade words of a label under the mouse, as a tooltip: painted labels of pictures and plain ones alike.

A tooltip that nobody below answers comes up to the window. Only then is the picture painted once more, aside,
with its labels noted, so that pictures need not keep where their labels stand.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPoint
from PySide6.QtGui import QHelpEvent, QPixmap
from PySide6.QtWidgets import QLabel, QToolTip, QWidget

from app.glossary import Term, tooltip, words_in
from app.views.lettering import noted


class LabelTips(QObject):
    """Answers the tooltips of one window."""

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._window = window
        window.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Tell the words of the label under the mouse, if it has any."""
        if event.type() != QEvent.Type.ToolTip or not isinstance(event, QHelpEvent):
            return False
        child = self._window.childAt(event.pos())
        words = () if child is None else words_at(child, child.mapFrom(self._window, event.pos()))
        if not words:
            return False
        QToolTip.showText(event.globalPos(), tooltip("", words), self._window)
        return True


def words_at(widget: QWidget, at: QPoint) -> tuple[Term, ...]:
    """The trade words of the label at a point of a widget."""
    if isinstance(widget, QLabel):
        return words_in(widget.text())
    aside = QPixmap(widget.size())
    with noted() as labels:
        widget.render(aside)
    return next((words_in(text) for box, text in reversed(labels) if box.contains(at)), ())
