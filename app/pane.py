"""What every pane is: a form at the left, the picture that the form governs at the right."""

from __future__ import annotations

from functools import partial

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from app.bind import Form
from app.look import Look

FORM_WIDTH = 348
LARGE_FORM_WIDTH = FORM_WIDTH + 40
ROOMY = 1100  # pixels of a pane from which on its form takes a share of what is more
ROOM = 48


class Pane(QWidget):
    """A pane; the window calls ``refresh`` while it is visible and ``go_to`` to jump to a field.

    What a pane asks of the window it says by signals that the window knows by name: ``piece_chosen(path)``,
    ``add_asked(table)``, ``module_asked(path)``, ``need_asked(path)``, ``said(text)``.
    """

    def __init__(self) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        self._form_sheet, self.form_column = sheet()
        scroll, self.fields = scrolled()
        self.form_column.addWidget(scroll)
        self._form_width = FORM_WIDTH
        self._form_sheet.setFixedWidth(FORM_WIDTH)
        row.addWidget(self._form_sheet)
        self.picture = QVBoxLayout()
        self.picture.setSpacing(8)
        row.addLayout(self.picture, 1)

    def forms(self) -> tuple[Form, ...]:
        """The forms of this pane, top to bottom."""
        return ()

    @property
    def live(self) -> bool:
        """Whether its picture answers to the conditions of looking."""
        return False

    @property
    def source(self) -> str:
        """The path of the source whose picture it shows; empty for none."""
        return ""

    @property
    def tells_needs(self) -> bool:
        """Whether it shows the next steps itself."""
        return False

    def refresh(self) -> None:
        """Show the session as it stands."""
        raise NotImplementedError

    def refresh_look(self) -> None:
        """Only conditions of looking moved: redraw the picture, leave the forms."""

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._form_width = FORM_WIDTH if look.text < 16 else LARGE_FORM_WIDTH
        self._widen()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The form takes its share of a wide window."""
        super().resizeEvent(event)
        self._widen()

    def _widen(self) -> None:
        more = max(0, min(self.width() - ROOMY, 4 * 96) // 4)
        self._form_sheet.setFixedWidth(self._form_width + more)

    def go_to(self, path: str) -> bool:
        """Put the hand on a field, if this pane has it."""
        for form in self.forms():
            if form.isVisibleTo(self) and form.go_to(path):
                row = form.row(path)
                if row is not None:
                    QTimer.singleShot(0, row, partial(reveal, row))  # once new rows have their places
                return True
        return False

    def go_to_record(self, path: str) -> bool:
        """Put the hand on the first field of a record, if this pane has it."""
        form = next((form for form in self.forms() if form.owner == path and form.isVisibleTo(self)), None)
        return form is not None and self.go_to(form.first)

    def unread(self) -> tuple[str, ...]:
        """The titles of fields where a text stands that the design does not have."""
        return tuple(title for form in self.forms() if form.isVisibleTo(self) for title in form.unread())


def reveal(widget: QWidget, *, at_top: bool = False) -> None:
    """Scroll the nearest area round a widget until it is seen, or until it stands at the top."""
    around = widget.parentWidget()
    while around is not None and not isinstance(around, QScrollArea):
        around = around.parentWidget()
    inside = around.widget() if isinstance(around, QScrollArea) else None
    if not isinstance(around, QScrollArea) or inside is None:
        return
    layout = inside.layout()
    if layout is not None:
        layout.activate()
    inside.adjustSize()
    if at_top:
        around.verticalScrollBar().setValue(widget.mapTo(inside, widget.rect().topLeft()).y())
    else:
        around.ensureWidgetVisible(widget, 0, ROOM)


def sheet() -> tuple[QFrame, QVBoxLayout]:
    """A white sheet with a hairline edge, and its column."""
    frame = QFrame()
    frame.setObjectName("sheet")
    column = QVBoxLayout(frame)
    column.setContentsMargins(16, 12, 8, 12)
    column.setSpacing(4)
    return frame, column


def scrolled() -> tuple[QScrollArea, QVBoxLayout]:
    """An area that scrolls up and down, and the column inside it."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)  # its fields take it, and scroll it
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    inside = QWidget()
    column = QVBoxLayout(inside)
    column.setContentsMargins(0, 0, 8, 0)
    column.setSpacing(4)
    area.setWidget(inside)
    return area, column
