"""What every pane is: a form at the left, the picture that the form governs at the right."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from app.bind import Form
from app.look import Look

FORM_WIDTH = 348


class Pane(QWidget):
    """A pane; the window calls ``refresh`` while it is visible and ``go_to`` to jump to a field."""

    def __init__(self) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        self._form_sheet, self.form_column = sheet()
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        inside = QWidget()
        self.fields = QVBoxLayout(inside)
        self.fields.setContentsMargins(0, 0, 8, 0)
        self.fields.setSpacing(4)
        scroll.setWidget(inside)
        self._scroll = scroll
        self.form_column.addWidget(scroll)
        self._form_sheet.setFixedWidth(FORM_WIDTH)
        row.addWidget(self._form_sheet)
        self.picture = QVBoxLayout()
        self.picture.setSpacing(8)
        row.addLayout(self.picture, 1)

    def forms(self) -> tuple[Form, ...]:
        """The forms of this pane, top to bottom."""
        return ()

    def refresh(self) -> None:
        """Show the session as it stands."""
        raise NotImplementedError

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._form_sheet.setFixedWidth(FORM_WIDTH if look.text < 16 else FORM_WIDTH + 92)

    def go_to(self, path: str) -> bool:
        """Put the hand on a field, if this pane has it."""
        for form in self.forms():
            if form.go_to(path):
                row = form.row(path)
                if row is not None:
                    self._scroll.ensureWidgetVisible(row, 0, 48)
                return True
        return False


def sheet() -> tuple[QFrame, QVBoxLayout]:
    """A white sheet with a hairline edge, and its column."""
    frame = QFrame()
    frame.setObjectName("sheet")
    column = QVBoxLayout(frame)
    column.setContentsMargins(16, 12, 8, 12)
    column.setSpacing(4)
    return frame, column
