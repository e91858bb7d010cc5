"""A worksheet's inputs as fields, each with why its text was refused; texts in, typed texts out."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Mapping
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.fields.controls import Choices
from app.fields.row import FieldRow
from engine import units
from engine.fields import Spec
from engine.problems import Problem, Problems
from engine.worksheet import Input, Worked, Worksheet
from engine.worksheet_text import input_text, run

NOT_GIVEN = "not given"
FLAGS = (("yes", "yes"), ("no", "no"))
UNSAFE = set('"\\$`!')


def run_typed(sheet: Worksheet, texts: Mapping[str, str]) -> Worked:
    """Run a worksheet on what is typed; an empty text takes the default. Raises ``Problems``."""
    return run(sheet, {name: text for name, text in texts.items() if text})


def place_of(sheet: Worksheet, problem: Problem) -> str:
    """The input that a problem is about; empty where it is about none, such as a table's end."""
    name = problem.where.removeprefix(f"{sheet.id}.")
    return name if any(item.name == name for item in sheet.inputs) else ""


def example(sheet: Worksheet) -> dict[str, str]:
    """Texts to begin with: the examples of what has to be given, and of what these then ask for."""
    texts = {item.name: item.example for item in sheet.inputs if item.required}
    for group in sheet.one_of:
        if not any(name in texts for name in group):
            texts[group[0]] = sheet.input(group[0]).example
    for _ in sheet.inputs:
        try:
            run_typed(sheet, texts)
            return texts
        except Problems as error:
            asked = {place_of(sheet, problem) for problem in error.problems} - texts.keys() - {""}
            if not asked:
                return texts
            texts |= {name: sheet.input(name).example for name in asked}
    return texts


def texts_of(sheet: Worksheet, inputs: Mapping[str, Any], habit: str) -> dict[str, str]:
    """Canonical inputs of a worked step as texts that could have been typed."""
    return {
        item.name: input_text(item, inputs[item.name], habit)
        for item in sheet.inputs
        if inputs.get(item.name) is not None
    }


def command(sheet: Worksheet, texts: Mapping[str, str]) -> str:
    """The same calculation as a line for a shell."""
    pairs = [f"{item.name}={_quoted(texts[item.name])}" for item in sheet.inputs if texts.get(item.name)]
    return " ".join(["farstead work", sheet.id, *pairs])


def _quoted(text: str) -> str:
    """Double quotes, which every shell knows, where the text allows them."""
    if UNSAFE & set(text) or shlex.quote(text) == text:
        return shlex.quote(text)
    return f'"{text}"'


class WorksheetForm(QWidget):
    """The fields of one worksheet; ``edited(name, text)`` when a person has entered something."""

    edited = Signal(str, str)

    def __init__(self) -> None:
        super().__init__()
        self._sheet: Worksheet | None = None
        self.rows: dict[str, FieldRow] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)

    def show_inputs(
        self, sheet: Worksheet, texts: Mapping[str, str], problems: Iterable[Problem], habit: str
    ) -> None:
        """Show what is typed, the defaults of what is not, and what is wrong."""
        if sheet is not self._sheet:
            self._sheet = sheet
            self._build(sheet)
        wrong = {place_of(sheet, problem): problem for problem in problems}
        for item in sheet.inputs:
            row, text = self.rows[item.name], texts.get(item.name, "")
            row.show_value(text or _default(item, habit), default=not text, tip=_tip(item, habit))
            problem = wrong.get(item.name)
            if problem is not None:
                hint = f" ({problem.hint})" if problem.hint else ""
                row.show_error(f"got {problem.got}, need {problem.need}{hint}")

    def _build(self, sheet: Worksheet) -> None:
        for row in self.rows.values():
            self._column.removeWidget(row)
            row.hide()
            row.deleteLater()
        self.rows = {}
        for item in sheet.inputs:
            row = FieldRow(item.name, _spec(item), _choices(item))
            if not item.required:
                row.nothing = NOT_GIVEN
            row.committed.connect(self.edited)
            self.rows[item.name] = row
            self._column.addWidget(row)


def _spec(item: Input) -> Spec:
    kind = "quantities" if item.kind == "sizes" else "word" if item.kind == "family" else item.kind
    return Spec(item.name, kind, item.title[:1].upper() + item.title[1:], item.unit)


def _choices(item: Input) -> Choices:
    pairs = FLAGS if item.kind == "flag" else tuple((word, word) for word in item.words)
    return (("", NOT_GIVEN), *pairs) if pairs and item.default is None else pairs


def _default(item: Input, habit: str) -> str:
    return "" if item.required or item.default is None else input_text(item, item.default, habit)


def _tip(item: Input, habit: str) -> str:
    unit = "1/K" if item.kind == "coefficient" else item.unit or "1"
    parts = [f"{item.name}, such as {item.example}"]
    bounds = (("from", item.low), ("above", item.above), ("to", item.high))
    ends = [f"{name} {units.show(end, unit, habit)}" for name, end in bounds if end is not None]
    if ends:
        parts.append("Range: " + " ".join(ends) + ".")
    if not item.required:
        parts.append(f"Empty it for the default: {_default(item, habit) or NOT_GIVEN}.")
    return "\n".join(parts)
