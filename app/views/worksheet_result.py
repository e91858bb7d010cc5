"""A worksheet's answer: every output with its unit, the worked step, where the formula holds; or why not."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.glossary import marked
from app.look import LIGHT, Look
from app.views.worked import RichLabel, WorkedView, formula_html
from engine.worksheet import Worked, Worksheet
from engine.worksheet_text import value_text

OTHER = {"us": "metric", "metric": "us"}


class WorksheetResult(QScrollArea):
    """The answer to what stands in the form."""

    def __init__(self) -> None:
        super().__init__()
        self._look = LIGHT
        self._shown: tuple[Worksheet, Worked | None, tuple[str, ...], str] | None = None
        self.answer = RichLabel("Result")
        self.worked = WorkedView(title=False, can_open=False)
        self.validity = RichLabel("Where the formula holds")
        self._rule = QFrame()
        self._rule.setFixedHeight(1)
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 12, 0)
        column.setSpacing(12)
        for widget in (self.answer, self._rule, self.worked, self.validity):
            column.addWidget(widget)
        column.addStretch(1)
        self.setWidget(inside)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)

    def show_worked(self, worked: Worked, habit: str) -> None:
        """Show a result in a habit of units, the other habit beside it."""
        self._shown = (worked.sheet, worked, (), habit)
        self._draw()

    def show_problems(self, sheet: Worksheet, problems: Iterable[str], habit: str) -> None:
        """Show why there is no result, with the formula still to be read."""
        self._shown = (sheet, None, tuple(problems), habit)
        self._draw()

    def set_look(self, look: Look) -> None:
        """Wear a look."""
        self._look = look
        self._rule.setStyleSheet(f"background: {look.hairline};")
        self.worked.set_look(look)
        self._draw()

    def _draw(self) -> None:
        if self._shown is None:
            return
        sheet, worked, problems, habit = self._shown
        look = self._look
        self.worked.setVisible(worked is not None)
        if worked is None:
            said = "".join(f"<p style='margin: 4px 0 0 0;'>{escape(text)}</p>" for text in problems)
            self.answer.setText(
                f"<p style='margin: 0;'><b>No result</b></p><span style='color: {look.fails};'>{said}</span>"
                f"<p style='margin: 12px 0 0 0;'><b>{escape(sheet.title)}</b></p>{formula_html(sheet)}"
            )
        else:
            self.answer.setText(_outputs(worked, habit, look))
            self.worked.show_worked(worked, habit)
        self.validity.setVisible(bool(sheet.validity))
        self.validity.setText(f"<span style='color: {look.soft};'>Holds for: {escape(sheet.validity)}</span>")


def _outputs(worked: Worked, habit: str, look: Look) -> str:
    rows, seen = [], set[str]()
    for place, output in enumerate(worked.sheet.outputs):
        value = worked.outputs[output.name]
        text, other = (value_text(value, output.unit, h) for h in (habit, OTHER[habit]))
        size = look.large if place == 0 else look.text
        beside = "" if other == text else f"= {escape(other)}"
        title = output.title[:1].upper() + output.title[1:]
        rows.append(
            f"<tr><td style='padding-right: 16px;' valign='middle'>{marked(title, seen)}</td>"
            f"<td align='right' valign='middle'><b style='font-size: {size}px;'>{escape(text)}</b></td>"
            f"<td style='padding-left: 12px; color: {look.soft};' valign='middle'>{beside}</td></tr>"
        )
    return f"<table cellspacing='0' cellpadding='2'>{''.join(rows)}</table>"
