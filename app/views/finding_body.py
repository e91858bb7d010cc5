"""What an open finding shows under its title: value against limit, source, worked steps, buttons."""

from __future__ import annotations

import math
from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QToolButton, QVBoxLayout, QWidget

from app.look import LIGHT, Look
from app.views.worked import RichLabel, WorkedView
from engine import units
from engine.finding import Finding
from engine.steps import lines
from engine.worksheet_text import value_text

LEFT = 32


def measured(finding: Finding, habit: str) -> list[tuple[str, str]]:
    """Value, limit and margin with their names, as far as the finding has them; the margin rounded down."""
    value, limit, unit = finding.value, finding.limit, finding.unit or "1"
    shown = [value_text(item, unit, habit) for item in (value, limit)]
    if isinstance(value, int | float) and isinstance(limit, int | float):
        shown = list(units.show_apart(value, limit, unit, habit))
    rows = [(name, text) for name, text in zip(("value", "limit"), shown, strict=True) if text != "none"]
    if finding.margin is not None:
        rows.append(("margin", f"{math.floor(finding.margin * 1000 + 1e-9) / 10:g} %"))
    return rows


def plain(finding: Finding, habit: str) -> str:
    """The whole finding as text, worked steps included."""
    signal = f", {finding.signal.word}" if finding.signal.word else ""
    text = [f"{finding.status.word}{signal}: {finding.title}", *([finding.remedy] if finding.remedy else [])]
    text += [f"{name}: {shown}" for name, shown in measured(finding, habit)]
    text += [f"source: {finding.source}", f"rule: {finding.rule}, at {finding.where}"]
    for worked in finding.steps:
        text += ["", *lines(worked, habit)]
    return "\n".join(text)


class FindingBody(QWidget):
    """The body of the open card."""

    field_asked = Signal(str)
    worksheet_asked = Signal(str, object)
    copy_asked = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._look, self._head = LIGHT, 0
        self._finding: Finding | None = None
        self._habit = ""
        self._facts = RichLabel("Value, limit and source")
        self._steps: list[WorkedView] = []
        self._go = _button("Go to field", "Jump to the field that mends it (G)")
        self._go.clicked.connect(self._ask_field)
        self._copy = _button("Copy", "Copy the finding and its worked steps (Ctrl+C)")
        self._copy.clicked.connect(self.copy_asked)
        buttons = QHBoxLayout()
        buttons.addWidget(self._go)
        buttons.addWidget(self._copy)
        buttons.addStretch(1)
        self.column = QVBoxLayout(self)
        self.column.setSpacing(12)
        self.column.addWidget(self._facts)
        self.column.addLayout(buttons)
        self.hide()

    def show_finding(self, finding: Finding, habit: str) -> bool:
        """Show a finding; ``False`` where it stands already."""
        if (finding, habit) == (self._finding, self._habit):
            return False
        self._finding, self._habit = finding, habit
        self._facts.setText(_facts(finding, habit, self._look))
        self._go.setVisible(bool(finding.field))
        self._go.setAccessibleName(f"Go to field: {finding.title}")
        while len(self._steps) > len(finding.steps):
            step = self._steps.pop()
            self.column.removeWidget(step)
            step.hide()
            step.deleteLater()
        while len(self._steps) < len(finding.steps):
            step = WorkedView()
            step.set_look(self._look)
            step.opened.connect(self.worksheet_asked)
            self._steps.append(step)
            self.column.insertWidget(len(self._steps), step)
        for step, worked in zip(self._steps, finding.steps, strict=True):
            step.show_worked(worked, habit)
        return True

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        for step in self._steps:
            step.set_look(look)
        if self._finding is not None:
            self._facts.setText(_facts(self._finding, self._habit, look))

    def height_in(self, width: int) -> int:
        """The height in pixels of head and body together in a width."""
        return self.column.totalHeightForWidth(width)

    def set_head(self, height: int) -> None:
        """Leave room for the painted head of the card."""
        if height != self._head:
            self._head = height
            self.column.setContentsMargins(LEFT, height, 12, 14)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw a hairline above each worked step."""
        painter = QPainter(self)
        painter.setPen(QColor(self._look.hairline))
        for step in self._steps:
            above = step.y() - self.column.spacing() // 2
            painter.drawLine(step.x(), above, step.x() + step.width(), above)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A click below the head stays here; on the head it closes the card."""
        event.setAccepted(event.position().y() > self._head)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """As for the press."""
        event.setAccepted(event.position().y() > self._head)

    def _ask_field(self) -> None:
        if self._finding is not None:
            self.field_asked.emit(self._finding.field)


def _button(text: str, tip: str) -> QToolButton:
    button = QToolButton()
    button.setText(text)
    button.setToolTip(tip)
    button.setAccessibleName(text)
    button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
    return button


def _facts(finding: Finding, habit: str, look: Look) -> str:
    cells = "".join(
        f"<tr><td style='color:{look.soft}; padding-right: 16px;'>{name}</td>"
        f"<td align='right'><b>{escape(text)}</b></td></tr>"
        for name, text in measured(finding, habit)
    )
    often = f"<br>found {finding.count} times; the worst is shown" if finding.count > 1 else ""
    where = f"rule {escape(finding.rule)}{often}<br>source: {escape(str(finding.source))}"
    table = f"<table cellspacing='0' cellpadding='1'>{cells}</table>" if cells else ""
    return f"{table}<p style='margin: 4px 0 0 0; color: {look.soft}; font-size: {look.small}px;'>{where}</p>"
