"""The checklist for the day of commissioning, as it will stand on paper: what design data can't show."""

from __future__ import annotations

from PySide6.QtWidgets import QFrame, QLabel, QTextBrowser, QVBoxLayout, QWidget

from app.look import LIGHT, Look
from app.print_checklist import exported, list_html
from engine.evaluation import Evaluation

TOLD = "What only a person at the place can see. It is ticked and signed on paper: print it, and keep it."
EMPTY = "No line yet: they come with sources, a battery and circuits."


class ChecklistView(QWidget):
    """Lines grouped by the order of the day; their text can be marked and copied."""

    def __init__(self) -> None:
        super().__init__()
        self._look = LIGHT
        self._evaluation: Evaluation | None = None
        self._told = QLabel()
        self._told.setObjectName("soft")
        self._told.setWordWrap(True)
        self.text = QTextBrowser()
        self.text.setAccessibleName("Checklist for the day of commissioning")
        self.text.setFrameShape(QFrame.Shape.NoFrame)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self._told)
        column.addWidget(self.text, 1)
        column.addStretch(0)

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self.text.setStyleSheet(
            f"QTextBrowser {{ background: transparent; border: none; font-size: {look.text}px; }}"
        )
        self._show()

    def show_evaluation(self, evaluation: Evaluation) -> None:
        """Show the lines that are about something that the design has."""
        if evaluation is not self._evaluation:
            self._evaluation = evaluation
            self._show()

    def exported(self) -> list[tuple[str, ...]]:
        """Heads and lines as cells of text; none where there is no line."""
        found = [] if self._evaluation is None else exported(self._evaluation)
        return found if len(found) > 1 else []

    def _show(self) -> None:
        if self._evaluation is None:
            return
        some = bool(self.exported())
        self._told.setText(TOLD if some else EMPTY)
        self.text.setVisible(some)
        html = list_html(self._evaluation, self._look.soft)
        if html != self.text.property("told"):
            self.text.setProperty("told", html)
            self.text.setHtml(html)
