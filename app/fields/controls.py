"""The controls of a form, one a kind of field. Each shows a text and tells of one that a person has entered.

They share a small face: ``entered(text)`` when a person is done, ``dropped`` when Escape put the old text
back, ``show_text``, ``now`` for the text that stands there, ``shown`` for the one that was put there.
"""

from __future__ import annotations

from PySide6.QtCore import QEvent, QMimeData, QModelIndex, QPersistentModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QFocusEvent, QKeyEvent, QKeySequence, QPaintEvent, QWheelEvent
from PySide6.QtWidgets import (
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionComboBox,
    QStyleOptionViewItem,
    QStylePainter,
)

NOT_ENTERED = "not entered"
TEXT_MARGIN = 1  # pixels that the style keeps free beside the text of a combo
Choices = tuple[tuple[str, str], ...]
STEPS = {Qt.Key.Key_Up: 1, Qt.Key.Key_Down: -1}


class Line(QLineEdit):
    """One line of text. Undo belongs to the design as long as nothing is being typed here."""

    entered = Signal(str)
    dropped = Signal()

    def __init__(self, *, numeric: bool = True) -> None:
        super().__init__()
        self.shown = ""
        self.steps = False
        self.stepping = False
        if numeric:
            self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.editingFinished.connect(self._finished)

    def show_text(self, text: str) -> None:
        """Put a text there."""
        self.shown = text
        if self.text() != text:
            self.setText(text)
            self.setCursorPosition(0)

    def now(self) -> str:
        """The text that stands there."""
        return self.text().strip()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """A file is for the window."""
        if event.mimeData().hasUrls():
            event.ignore()
        else:
            super().dragEnterEvent(event)

    def _finished(self) -> None:
        if self.now() != self.shown or self.property("bad"):
            self.entered.emit(self.now())

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            undo, redo = QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo
            if self.now() == self.shown and (event.matches(undo) or event.matches(redo)):
                event.ignore()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape puts the old text back; Up and Down step a count."""
        key = Qt.Key(event.key())
        if key == Qt.Key.Key_Escape and self.text() != self.shown:
            self.setText(self.shown)
            self.dropped.emit()
        elif self.steps and key in STEPS and self.now().isdecimal():
            self.stepping = True
            self.setText(str(max(0, int(self.now()) + STEPS[key])))
            self._finished()
            self.stepping = False
        else:
            super().keyPressEvent(event)


class Roomy(QStyledItemDelegate):
    """Gives each choice of a list room above and below."""

    def sizeHint(self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        """The size of the text, and some pixels of height."""
        return super().sizeHint(option, index) + QSize(0, 8)


class Choice(QComboBox):
    """One of a few texts, each shown by its name. The wheel scrolls the form, never a value."""

    entered = Signal(str)
    dropped = Signal()

    def __init__(self, choices: Choices) -> None:
        super().__init__()
        self.shown = ""
        self.stepping = False
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.setItemDelegate(Roomy(self))
        self.offer(choices)
        self.activated.connect(self._chosen)

    def offer(self, choices: Choices) -> None:
        """Offer ``(text to enter, name to show)`` pairs."""
        held = tuple((str(self.itemData(at) or ""), self.itemText(at)) for at in range(self.count()))
        if held != choices:
            self.clear()
            for text, name in choices:
                self.addItem(name, text)
            if self.shown or self.findData("") >= 0:
                self.show_text(self.shown)

    def show_text(self, text: str) -> None:
        """Choose a text; one that is not offered is shown all the same."""
        self.shown = text
        place = self.findData(text)
        if place < 0:
            self.addItem(text or NOT_ENTERED, text)
            place = self.count() - 1
        self.setCurrentIndex(place)

    def now(self) -> str:
        """The text that is chosen."""
        return str(self.currentData() or "")

    def _chosen(self) -> None:
        if self.now() != self.shown:
            self.entered.emit(self.now())

    @property
    def is_cut(self) -> bool:
        """Whether the name that is shown has less room than it needs."""
        return self._fitting() != self.currentText()

    def _fitting(self) -> str:
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        edit = QStyle.SubControl.SC_ComboBoxEditField
        room = self.style().subControlRect(QStyle.ComplexControl.CC_ComboBox, option, edit, self)
        return self.fontMetrics().elidedText(
            self.currentText(), Qt.TextElideMode.ElideRight, room.width() - 2 * TEXT_MARGIN
        )

    def paintEvent(self, _event: QPaintEvent) -> None:
        """A name that is too long ends in an ellipsis, never in the middle of a letter."""
        option = QStyleOptionComboBox()
        self.initStyleOption(option)
        option.currentText = self._fitting()
        painter = QStylePainter(self)
        painter.drawComplexControl(QStyle.ComplexControl.CC_ComboBox, option)
        painter.drawControl(QStyle.ControlElement.CE_ComboBoxLabel, option)
        painter.end()

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()


class Block(QPlainTextEdit):
    """A few lines of text, entered when the hand leaves them."""

    entered = Signal(str)
    dropped = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.shown = ""
        self.stepping = False
        self.setTabChangesFocus(True)
        self.setFixedHeight(96)

    def show_text(self, text: str) -> None:
        """Put a text there."""
        self.shown = text
        if self.toPlainText() != text:
            self.setPlainText(text)

    def now(self) -> str:
        """The text that stands there."""
        return self.toPlainText().strip()

    def canInsertFromMimeData(self, source: QMimeData) -> bool:
        """A file is for the window."""
        return not source.hasUrls() and super().canInsertFromMimeData(source)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        if event.reason() != Qt.FocusReason.PopupFocusReason and self.now() != self.shown:
            self.entered.emit(self.now())

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            undo, redo = QKeySequence.StandardKey.Undo, QKeySequence.StandardKey.Redo
            if self.now() == self.shown and (event.matches(undo) or event.matches(redo)):
                event.ignore()
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Escape puts the old text back."""
        if event.key() == Qt.Key.Key_Escape and self.now() != self.shown:
            self.setPlainText(self.shown)
            self.dropped.emit()
        else:
            super().keyPressEvent(event)
