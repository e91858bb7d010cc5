"""What the job needs next, in its order: the empty state of the window. A click goes there."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QEnterEvent, QFocusEvent, QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QSizePolicy, QVBoxLayout, QWidget

from engine.needs import Need


class Step(QFrame):
    """One step: its number and what to do. A click, Enter or Space takes it."""

    clicked = Signal()

    def __init__(self, number: int) -> None:
        super().__init__()
        self.setObjectName("step")
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self._number, self._text = QLabel(str(number)), QLabel()
        self._number.setObjectName("soft")
        self._text.setWordWrap(True)
        row = QHBoxLayout(self)
        row.setContentsMargins(8, 6, 8, 6)
        row.setSpacing(8)
        row.addWidget(self._number, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self._text, 1)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)

    def show_text(self, text: str) -> None:
        """Show what to do."""
        self._text.setText(text)
        self.setAccessibleName(text)

    def fit(self, width: int) -> int:
        """Stand as tall as the text at a width, so that no line is squeezed away; that height."""
        layout = self.layout()
        tall = layout.totalHeightForWidth(width) if layout is not None else 0
        self.setMinimumHeight(max(tall, 0))
        return max(tall, 0)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self.clicked.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space):
            self.clicked.emit()
        else:
            super().keyPressEvent(event)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self._mark("focused", True)

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self._mark("focused", False)

    def enterEvent(self, event: QEnterEvent) -> None:
        super().enterEvent(event)
        self._mark("hovered", True)

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self._mark("hovered", False)

    def _mark(self, name: str, on: bool) -> None:
        self.setProperty(name, on)
        self.style().unpolish(self)
        self.style().polish(self)


class NeedsView(QWidget):
    """The next steps, ``most`` at a time; ``asked(path)``: a field's, or a table's that lacks a record."""

    asked = Signal(str)

    def __init__(self, title: str = "Next", most: int = 3) -> None:
        super().__init__()
        self._most = most
        self._shown: tuple[Need, ...] = ()
        self._steps: list[Step] = []
        self._title, self._rest = QLabel(title), QLabel()
        self._title.setObjectName("title")
        self._rest.setObjectName("note")
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 8, 4)
        self._column.setSpacing(4)
        self._column.addWidget(self._title)
        self._column.addWidget(self._rest)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Claim the room that the steps take at this width before the findings below get theirs."""
        edges, count = self._column.contentsMargins(), min(len(self._shown), self._most)
        width = self.width() - edges.left() - edges.right()
        heights = [self._title.sizeHint().height(), *(step.fit(width) for step in self._steps[:count])]
        if len(self._shown) > count:
            heights.append(self._rest.sizeHint().height())
        gaps = self._column.spacing() * (len(heights) - 1)
        self.setMinimumHeight(sum(heights) + gaps + edges.top() + edges.bottom())

    def show_needs(self, needs: Sequence[Need]) -> None:
        """Show the first few needs as steps to take, and how many there are after these."""
        if tuple(needs) == self._shown:
            return
        self._shown = tuple(needs)
        shown = self._shown[: self._most]
        for place in range(len(self._steps), len(shown)):
            step = Step(place + 1)
            step.clicked.connect(lambda place=place: self.asked.emit(self._shown[place].path))
            self._steps.append(step)
            self._column.insertWidget(place + 1, step)
        for place, step in enumerate(self._steps):
            step.setVisible(place < len(shown))
            if place < len(shown):
                step.show_text(shown[place].sentence)
        more = len(self._shown) - len(shown)
        self._rest.setText(f"and {more} more after these" if more > 0 else "")
        self._rest.setVisible(more > 0)
        self._fit()
