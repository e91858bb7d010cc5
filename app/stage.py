"""The place of the panes: one at a time, and scrolled where it needs more than the window has room for."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QStackedWidget, QWidget

LEAST = QSize(360, 180)


class _Panes(QStackedWidget):
    """As small as the pane that is shown allows; the others ask for nothing."""

    def minimumSizeHint(self) -> QSize:
        shown = self.currentWidget()
        return QSize() if shown is None else shown.minimumSizeHint()

    def sizeHint(self) -> QSize:
        shown = self.currentWidget()
        return QSize() if shown is None else shown.sizeHint()


class _Room(QWidget):
    """Holds the panes without a layout, so that they scroll below their least height and no sooner: with one
    they would be given the height that they like best for their width."""

    def __init__(self, panes: _Panes) -> None:
        super().__init__()
        self._panes = panes
        panes.setParent(self)

    def minimumSizeHint(self) -> QSize:
        return self._panes.minimumSizeHint()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._panes.resize(self.size())

    def event(self, event: QEvent) -> bool:
        """Another least size of the panes is another one of this."""
        if event.type() == QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().event(event)


class Stage(QScrollArea):
    """Panes in front of each other. No pane, in whatever size of type, makes the window larger than its
    screen."""

    def __init__(self) -> None:
        super().__init__()
        self._panes = _Panes()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        room = _Room(self._panes)
        self.setWidget(room)
        for each in (self, self.viewport(), room, self._panes):
            each.setAutoFillBackground(False)

    def take(self, pane: QWidget) -> None:
        """Take a pane in, behind the one that is shown."""
        self._panes.addWidget(pane)

    def show_pane(self, pane: QWidget) -> None:
        """Show a pane that was taken in, from its top."""
        if self._panes.currentWidget() is not pane:
            self._panes.setCurrentWidget(pane)
            self._panes.updateGeometry()
            self.verticalScrollBar().setValue(0)
            self.horizontalScrollBar().setValue(0)

    def minimumSizeHint(self) -> QSize:
        return LEAST

    def sizeHint(self) -> QSize:
        return self._panes.sizeHint()
