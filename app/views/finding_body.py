"""What an open finding shows under its title: value against limit, source, worked steps, buttons."""

from __future__ import annotations

import math
from html import escape

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QToolButton, QVBoxLayout, QWidget

from app.look import Look
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

    def __init__(self, finding: Finding, habit: str, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.finding = finding
        self._head = 0
        self.column = QVBoxLayout(self)
        self.column.setSpacing(8)
        self._facts = RichLabel("Value, limit and source")
        self._facts.setText(_facts(finding, habit, look))
        self.column.addWidget(self._facts)
        for worked in finding.steps:
            rule = QFrame()
            rule.setFixedHeight(1)
            rule.setStyleSheet(f"background: {look.hairline};")
            self.column.addWidget(rule)
            step = WorkedView()
            step.set_look(look)
            step.show_worked(worked, habit)
            step.opened.connect(self.worksheet_asked)
            self.column.addWidget(step)
        buttons = QHBoxLayout()
        if finding.field:
            buttons.addWidget(self._button("Go to field", "Jump to the field that mends it (G)", self._go))
        buttons.addWidget(self._button("Copy", "Copy the finding and its worked steps (Ctrl+C)", self._copy))
        buttons.addStretch(1)
        self.column.addLayout(buttons)

    def set_head(self, height: int) -> None:
        """Leave room for the painted head of the card."""
        self._head = height
        self.column.setContentsMargins(LEFT, height, 12, 14)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A click below the head stays here; on the head it closes the card."""
        event.setAccepted(event.position().y() > self._head)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """As for the press."""
        event.setAccepted(event.position().y() > self._head)

    def _button(self, text: str, tip: str, run: object) -> QToolButton:
        button = QToolButton()
        button.setText(text)
        button.setToolTip(tip)
        button.setAccessibleName(f"{text}: {self.finding.title}")
        button.clicked.connect(run)
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        return button

    def _go(self) -> None:
        self.field_asked.emit(self.finding.field)

    def _copy(self) -> None:
        self.copy_asked.emit()


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
